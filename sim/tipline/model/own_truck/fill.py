"""Fill a machine file that gives only plate and tape, and move a machine within what is not known of it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from tipline.errors import InputErrors
from tipline.model.document import Document, dotted
from tipline.model.machine import Machine
from tipline.model.own_truck.bands import TruckBand, estimate
from tipline.model.own_truck.parts import parts_of
from tipline.model.plate_and_tape import PlateAndTape
from tipline.model.positions import Path
from tipline.model.problems import build

__all__ = ["TABLE", "OtherKind", "as_measured", "bands_of", "fill_in", "other_kinds", "within_band", "within_bands"]

TABLE = "plate_and_tape"
_NEEDED = "Give rated_load from the capacity plate or own_weight from the nameplate; all else may be left out"
_TAKEN: dict[str, str] = {
    "wheelbase": "wheelbase",
    "chassis.width": "width",
    "chassis.guard_height": "guard_height",
    "counterweight.mass": "counterweight_mass",
    "counterweight.stroke": "counterweight_stroke",
    "counterweight.step": "counterweight_step",
    "ballast_slab.mass": "slab_mass",
    "ballast_slab.most": "slabs_most",
    "mast.mass": "mast_mass",
    "mast.stages": "mast_stages",
    "mast.lowered_height": "lowered_mast_height",
    "mast.top_fork_height": "lift_height",
    "carriage.face": "fork_face",
    "forks.length": "fork_length",
    "jib.mass": "jib_mass",
    "jib.reach_pins": "jib_reach",
    "jib.rise_pins": "jib_rise",
    "drive.top_speed": "top_speed",
    "steer_axle.kind": "steer_axle_kind",
    "capacity_plate.0.load": "rated_load",
    "capacity_plate.0.load_centre": "rated_load_centre",
    "capacity_plate.0.height": "lift_height",
    "capacity_plate.0.extension": "rated_extension",
    "capacity_plate.0.slabs": "rated_slabs",
    "weighings.0.total": "own_weight",
    "weighings.0.drive_axle": "drive_axle_load",
    "weighings.0.steer_axle": "steer_axle_load",
    "weighings.0.extension": "weighed_extension",
    "weighings.0.slabs": "weighed_slabs",
}
"""Values of a machine that are told as they stand, by the key that tells them."""
_BY_SECTION = ("joint_height", "stiffness_fore_aft", "stiffness_sideways", "stiffness_twist")
"""What is not filled in of a mast whose channels are given."""
_TYRE = {"across": "track", "diameter": "tyre_diameter", "width": "tyre_width", "kind": "tyre_kind"}


def fill_in(document: Document) -> None:
    """Fill in what a file with a table ``plate_and_tape`` does not give; any other file is left as it is.

    Raises InputErrors where what is told does not go together.
    """
    if TABLE not in document.data or not isinstance(document.data[TABLE], dict):
        return
    inside = Document(document.shown, document.text, document.data[TABLE], base=(*document.base, TABLE))
    inside.prefix = (*document.prefix, TABLE)
    inside.changed = {path[1:] for path in document.changed if path[:1] == (TABLE,)}
    inside.numbers = {path[1:] for path in document.numbers if path[:1] == (TABLE,)}
    known = build(PlateAndTape, inside)
    try:
        tables = _made(known, by_section=document.find(("mast", "section"))[1])
    except ValueError as error:
        remedy = _NEEDED if "neither" in str(error) else "Correct one of them, or leave out what you are not certain of"
        raise InputErrors([document.problem((TABLE,), str(error), remedy, absent=True)]) from error
    _put(document, document.data, tables, (), known)


def _made(known: PlateAndTape, *, by_section: bool) -> dict[str, Any]:
    """Return the tables that are filled in, without what a mast's channels tell."""
    tables = parts_of(estimate(known))
    if by_section:
        tables["mast"] = {key: value for key, value in tables["mast"].items() if key not in _BY_SECTION}
    return tables


def _put(document: Document, data: dict[str, Any], tables: dict[str, Any], path: Path, known: PlateAndTape) -> None:
    for key, value in tables.items():
        here = (*path, key)
        if key not in data:
            data[key] = value
            _note(document, value, here, known)
        elif isinstance(value, dict) and isinstance(data[key], dict):
            _put(document, data[key], value, here, known)


def _note(document: Document, value: Any, path: Path, known: PlateAndTape) -> None:
    """Note of every value that is filled in that it is a number in SI, and where it comes from."""
    entries: Iterator[tuple[Any, Any]] | None = None
    if isinstance(value, dict):
        entries = iter(value.items())
    elif isinstance(value, list) and value and isinstance(value[0], dict):
        entries = iter(enumerate(value))
    if entries is not None:
        for key, entry in entries:
            _note(document, entry, (*path, key), known)
        return
    document.filled[path] = TABLE
    if not isinstance(value, str):
        document.numbers.add(path)
    key = _told_by(path)
    if key is not None and getattr(known, key) is not None:
        origin = document.origins.get(f"{TABLE}.{key}")
        if origin is not None:
            document.origins[dotted(path)] = origin
    else:
        document.origins[dotted(path)] = "assumed"


def _told_by(path: Path) -> str | None:
    if len(path) == 4 and path[1] == "tyre":
        key = _TYRE.get(str(path[3]))
        return key if key in (None, "tyre_kind") else f"{str(path[0]).partition('_')[0]}_{key}"
    return _TAKEN.get(dotted(path))


def bands_of(machine: Machine) -> tuple[TruckBand, ...]:
    """Return what is not known of a machine that was filled in, with what was chosen of it set back; none otherwise."""
    known = machine.plate_and_tape
    if known is None:
        return ()
    bands = estimate(known.model_copy(update={"chosen": {}})).bands
    return tuple(band for band in bands.values() if _moves(machine, band))


def _moves(machine: Machine, band: TruckBand) -> bool:
    """Return whether a band changes the machine: not where the file gives the parts it would move."""
    ends = [within_band(machine, band.key, end) for end in (band.low, band.high)]
    low, high = (end.model_copy(update={"plate_and_tape": machine.plate_and_tape}) for end in ends)
    return low != high


@dataclass(frozen=True)
class OtherKind:
    """A truck with another kind of something that nobody told; ``words``: as what it is taken, how to get to know."""

    words: str
    machine: Machine


_KINDS: tuple[tuple[str, str | int, str], ...] = (
    (
        "steer_axle_kind",
        "fixed",
        "Steer axle: taken as one that swings on a pin, it could be fixed; look under it. The ranges hold for both.",
    ),
    (
        "tyre_kind",
        "pneumatic",
        "Tyres: taken as solid, they could be pneumatic; look for a valve. The ranges hold for both.",
    ),
    (
        "drive_tyres",
        4,
        "Drive tyres: taken as single, they could be twins. The distances hold for both; of twins each carries about "
        "half of the load here.",
    ),
)
"""What has no range but a kind: its key, what else it could be, and words for it."""


def other_kinds(machine: Machine) -> tuple[OtherKind, ...]:
    """Return a machine with each kind that nobody told as it could be otherwise; nothing where all was told."""
    known, others = machine.plate_and_tape, []
    for key, kind, words in _KINDS if known is not None else ():
        if getattr(known, key) is not None:
            continue
        other = _with_tape(machine, {key: kind})
        if other is not machine:
            others.append(OtherKind(words, other))
    return tuple(others)


def within_band(machine: Machine, key: str, value: float) -> Machine:
    """Return a machine with another value of what is not known of it; only what was filled in moves.

    Where the truck could not be so, its parts heavier than the whole, it is left as it is.
    """
    return within_bands(machine, {key: value})


def within_bands(machine: Machine, values: Mapping[str, float]) -> Machine:
    """Return a machine with other values of several things that are not known of it, as `within_band` does of one."""
    known = machine.plate_and_tape
    return machine if known is None else _with_tape(machine, {"chosen": {**known.chosen, **values}})


def as_measured(machine: Machine, values: Mapping[str, float]) -> Machine:
    """Return a machine with values of what is not known of it as if they were told: they may lie beyond their bands.

    Where the truck could not be so it is left as it is.
    """
    return machine if machine.plate_and_tape is None else _with_tape(machine, dict(values))


def _with_tape(machine: Machine, changes: dict[str, Any]) -> Machine:
    """Return a machine filled in from another plate and tape; as it is where that could not be."""
    known = machine.plate_and_tape
    assert known is not None
    tapes = (_Tape(tape, bool(machine.mast.section)) for tape in (known, known.model_copy(update=changes)))
    try:
        return _filled(_Filled(machine, *tapes))
    except ValueError:
        return machine


class _Filled:
    """A machine as it is and its other tape, which count as equal to others that are."""

    def __init__(self, machine: Machine, before: _Tape, after: _Tape) -> None:
        self.machine, self.before, self.after = machine, before, after

    def __hash__(self) -> int:
        return hash((self.before, self.after))

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Filled) and self._key == other._key

    @property
    def _key(self) -> tuple[Machine, _Tape, _Tape]:
        return self.machine, self.before, self.after


@lru_cache(maxsize=512)
def _filled(filled: _Filled) -> Machine:
    """Return a machine with its other tape; where that could not be it is refused anew."""
    machine, before, after = filled.machine, filled.before, filled.after
    moved = _moved(machine, _kept(before), _kept(after), (), machine.origins)
    return machine.model_copy(update={"plate_and_tape": after.known, **moved})


class _Tape:
    """A plate and tape that counts as equal to every other of which the same is told and chosen."""

    def __init__(self, known: PlateAndTape, by_section: bool) -> None:
        self.known, self.by_section = known, by_section
        values = tuple(value for key, value in vars(known).items() if key != "chosen")
        self._key = by_section, values, tuple(sorted(known.chosen.items()))
        self._hash = hash(self._key)

    def __hash__(self) -> int:
        return self._hash

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Tape) and self._key == other._key


@lru_cache(maxsize=512)
def _kept(tape: _Tape) -> dict[str, Any]:
    """Return the tables that are filled in, to be read only: a truck's corners are asked for again and again."""
    return _made(tape.known, by_section=tape.by_section)


def _moved(spec: Any, before: Any, after: Any, path: Path, origins: dict[str, str]) -> dict[str, Any]:
    """Return the fields of a spec that were filled in otherwise before."""
    changed: dict[str, Any] = {key: None for key in before.keys() - after.keys() if _assumed(origins, (*path, key))}
    for key, value in after.items():
        old, there, here = before.get(key), getattr(spec, key), (*path, key)
        if old == value or (there is None and old is not None):
            continue
        if isinstance(value, dict):
            changed[key] = there.model_copy(update=_moved(there, old, value, here, origins))
        elif isinstance(value, list) and value and isinstance(value[0], dict) and len(value) != len(old):
            if len(there) == len(old):
                changed[key] = tuple(type(there[0]).model_validate(entry) for entry in value)
        elif isinstance(value, list) and value and isinstance(value[0], dict):
            entries = zip(there, old, value, strict=False)
            changed[key] = tuple(
                entry.model_copy(update=_moved(entry, before, other, (*here, index), origins))
                for index, (entry, before, other) in enumerate(entries)
            )
        elif _assumed(origins, here) or old is None:
            changed[key] = tuple(value) if isinstance(value, list) else value
    return changed


def _assumed(origins: dict[str, str], path: Path) -> bool:
    return origins.get(dotted(path)) == "assumed"
