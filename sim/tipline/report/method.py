"""How each command works out its answer, in a few sentences, and the sources that the laws in it go by."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from tipline.report.page import PointList, Section, Table

__all__ = ["READ", "method_sections"]

_TRUCK = (
    "The truck is six rigid bodies: chassis, steer axle, mast, carriage, counterweight and lifted load, with masses, "
    "centres and inertias as the files state them.",
    "What gives are tyres, the mast about one joint, the lift chain and the rope, which only pull, and places in the "
    "floor.",
)
_METHOD: Mapping[str, Sequence[str]] = {
    "run": (
        *_TRUCK,
        "The motion is stepped through time under all forces: gravity, tyres on the floor with friction, brakes, and "
        "what the scenario makes happen.",
        "At each step energy is accounted for, and the distance of the balance point to every tip line is watched.",
        "The run ends once its ending is decided; truck, lifted load and floor are then named by fixed rules.",
        "Further runs draw what is not known, each quantity as wide as its origin makes it.",
    ),
    "check": (
        *_TRUCK,
        "The set-up is brought to equilibrium on its tyres; nothing is simulated.",
        "Each limit is sought alone, all else as stated, up to where equilibrium ends or something slides or rolls.",
    ),
    "slopes": (
        *_TRUCK,
        "For each height and direction the floor is tilted until the first thing goes: the truck tips, slides or rolls "
        "away, or the lifted load slides.",
    ),
    "floor": (
        "The tyre loads of the set-up, or of the way it drives, are set on each part of the floor.",
        "For every way in which a part can give, what is asked of it is set against its expected strength, and against "
        "a planning limit below that.",
        "What is not known of the floor is drawn many times; planning goes by the upper end of the draws.",
    ),
    "loads": (
        "For each set-up the greatest and the least load are sought under every rule; the rule that gives the least "
        "load governs.",
        "Where the machine has a capacity plate, nothing above it is given.",
    ),
    "sweep": (
        *_TRUCK,
        "Each row is a run of its own in compiled code, with inputs that depend on the seed and the row's number only.",
        "Rows are named by the same rules as single runs, and counted.",
    ),
    "reconstruct": (
        *_TRUCK,
        "Each run is made in compiled code, with settings that depend on the seed, the cause and the number of the run "
        "only, until truck and load lie.",
        "What each run leaves is weighed by what was found, as told under how causes are weighed.",
    ),
    "compare": ("Both results are taken as they were stored; nothing is computed again.",),
}
READ = {
    "text": "read there",
    "abstract": "known to exist; its numbers were not read",
    "no": "from memory",
}
"""How far a source was read, in words, by its mark in the list of sources."""


def method_sections(command: str, sources: Sequence[tuple[str, str]]) -> tuple[Section, ...]:
    """Give the method of a command and its sources, each a title and the mark of how far it was read."""
    worked_out = PointList("How it was worked out", tuple(_METHOD[command]))
    rows = tuple((title, READ[seen]) for title, seen in sources)
    listed = Table("Sources of the laws", ("source", "how far it was read"), rows, _NOTE)
    return (worked_out, listed) if rows else (worked_out,)


_NOTE = "Laws by equation and range, and the checks against published values: tipline report --method."
