"""How a run can end, in words, and by which rules that is told.

Truck: over once its weight is past a line it turns on, to stay; resting when something other than tyres carries it;
a tyre off when one stays off the floor, a tyre lifted when one was off it; else down. A tyre is off when it bears less
than a share of its rest load for a while; it stays off when it was so for most of the last swing, or never came back,
or is off when nothing moves, so neither a touch in passing nor the moment of a swing at which the run ends decides.

Decided means: fallen; or moving, swinging and springing with less energy than any line asks for; or neither rocking
nor swinging, though it may roll along; or rocking and swinging within the lines without getting worse. A lifted load
goes down with a truck that goes over. A truck that was to stand and did not is told by how it went (`Went`) beside.

Rules are our choices, with their reasons; where the reason is a run that told otherwise, DEVELOPERS.md has it.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import pi

__all__ = [
    "ENDED", "ENDS", "FORMERLY", "GOES", "GONE", "IN_SHORT", "LINES", "RULES", "SHORT", "SIDES", "Decided", "FloorEnd",
    "LoadEnd", "Rules", "TruckEnd", "Went", "also", "leading", "load_did", "load_ended", "load_ends", "now",
]  # fmt: skip

LINES = ("front", "back", "left", "right")
"""Tip lines, in the order of their rows and codes."""
SIDES = ("left", "right")


class TruckEnd(StrEnum):
    """How the truck ended, from the best to the worst it can be told of a run, then what has no ending."""

    DOWN = "down"
    TOO_LIGHT = "down, too light to steer"
    TYRE_LIFTED = "tyre-lifted"
    TYRE_OFF = "tyre-off"
    RESTING = "resting"
    OVER = "over"
    UNDECIDED = "undecided"
    NO_RESULT = "no result"


FORMERLY = {"lifted": TruckEnd.TYRE_LIFTED, "left-up": TruckEnd.TYRE_OFF}
"""Codes of files written before, which are still read: both were read as something else than was meant."""


def now(word: object) -> object:
    """Give the code of today for one that files had before; any other as it is."""
    return str(FORMERLY[word]) if isinstance(word, str) and word in FORMERLY else word


class LoadEnd(StrEnum):
    """How the lifted load ended."""

    KEPT = "kept"
    SLID = "slid"
    DROPPED = "dropped"
    NONE = "none"


class FloorEnd(StrEnum):
    """How the floor ended."""

    HELD = "held"
    SANK = "sank"
    BROKE = "broke"


ENDS: dict[str, str] = {
    TruckEnd.DOWN: "stays on its tyres",
    TruckEnd.TOO_LIGHT: "stays on its tyres, but with too little on the steer axle to steer",
    TruckEnd.TYRE_LIFTED: "lifts a tyre and comes back down",
    TruckEnd.TYRE_OFF: "ends with a tyre off the floor",
    TruckEnd.RESTING: "comes to rest on its body, mast or lifted load",
    TruckEnd.OVER: "goes over",
    TruckEnd.UNDECIDED: "is still moving at the end",
    TruckEnd.NO_RESULT: "gives no result",
    LoadEnd.KEPT: "stays where it was",
    LoadEnd.SLID: "slides",
    LoadEnd.DROPPED: "drops",
    FloorEnd.HELD: "holds",
    FloorEnd.SANK: "sinks",
    FloorEnd.BROKE: "breaks",
}
"""What truck, lifted load or floor does that ends so, after "it" or "the truck"."""
ENDED: dict[str, str] = {
    TruckEnd.DOWN: "stayed on its tyres",
    TruckEnd.TOO_LIGHT: "stayed on its tyres, but with too little on the steer axle to steer",
    TruckEnd.TYRE_LIFTED: "lifted a tyre and came back down",
    TruckEnd.TYRE_OFF: "ended with a tyre off the floor",
    TruckEnd.RESTING: "came to rest on its body, mast or lifted load",
    TruckEnd.OVER: "went over",
    TruckEnd.UNDECIDED: "was still moving at the end",
    TruckEnd.NO_RESULT: "gave no result",
    LoadEnd.KEPT: "stayed where it was",
    LoadEnd.SLID: "slid",
    LoadEnd.DROPPED: "dropped",
    FloorEnd.HELD: "held",
    FloorEnd.SANK: "sank",
    FloorEnd.BROKE: "broke",
}
"""The same of a run that is over."""
SHORT: dict[str, str] = {
    TruckEnd.DOWN: "on its tyres",
    TruckEnd.TOO_LIGHT: "too light to steer",
    TruckEnd.TYRE_LIFTED: "a tyre lifted, came back",
    TruckEnd.TYRE_OFF: "a tyre off the floor",
    TruckEnd.RESTING: "resting on its body",
    TruckEnd.OVER: "over",
    TruckEnd.UNDECIDED: "undecided",
    TruckEnd.NO_RESULT: "no result",
}
"""How the truck ended, for a cell of a table and a key of a plot."""


class Went(StrEnum):
    """How a truck went that was not told to: along or aside as on a map of slopes, or off the way that it is driven."""

    AWAY = "rolls away"
    AWAY_ASIDE = "slides away"
    MOVED = "moved"
    MOVED_ASIDE = "moved aside"
    OFF = "off its way"


GOES: dict[str, str] = {
    Went.AWAY: "rolls away: {} by the end",
    Went.AWAY_ASIDE: "slides away: {} by the end",
    Went.MOVED: "rolls or slides {}",
    Went.MOVED_ASIDE: "slides {} aside",
    Went.OFF: "does not go where it is driven: {} off by the end",
}
"""What such a truck does, after "the truck", with a gap for how far; away: it moves at the end, moved: it stands then.

Along it rolls on its steer axle, whether or not its braked tyres turn: how far is the same.
"""
GONE: dict[str, str] = {
    Went.AWAY: "rolled away: {} by the end",
    Went.AWAY_ASIDE: "slid away: {} by the end",
    Went.MOVED: "rolled or slid {}",
    Went.MOVED_ASIDE: "slid {} aside",
    Went.OFF: "did not go where it was driven: {} off by the end",
}
"""The same of a run that is over."""
IN_SHORT: dict[str, str] = {
    Went.AWAY: "rolls away",
    Went.AWAY_ASIDE: "slides away",
    Went.MOVED: "rolls or slides",
    Went.MOVED_ASIDE: "slides aside",
    Went.OFF: "does not go where it is driven",
}
"""The same without how far, after "it"."""


def also(end: str, goes: str) -> str:
    """Join how a truck ended and how it went, "" where it went nowhere, to what it does after "the truck"."""
    if not goes:
        return end
    return f"{end}{',' if ' and ' in end or ', ' in end else ''} and {goes}"


class Decided(StrEnum):
    """What decided an ending."""

    FALL = "fallen"
    REST = "neither rocks nor swings"
    SWING = "swings evenly, energy too small to tip"
    ENERGY = "energy too small to tip"
    CALM = "swings evenly"
    TIME = "time is over"
    ERROR = "broke down"


@dataclass(frozen=True)
class Rules:
    """Thresholds of an ending. SI and radians; shares are of one."""

    off_share: float = 0.01
    """Share of its rest load below which a tyre is off the floor; of the weight from which something else carries."""
    off_least: float = 1e-5
    """Share of the weight that counts in its place for a tyre that bore next to nothing at rest."""
    off_time: float = 0.01
    """Time [s] for which a tyre must be so: a bump shorter than that is no lift."""
    mostly: float = 0.9
    """Share of a swing for which a tyre bears nothing that stays off the floor."""
    light_to_steer: float = 0.05
    """Share of the tyre loads on the steer axle below which it is too light to steer (common practice, no source).

    Laden trucks of this kind carry about a tenth on it, so a tenth itself would call every rated set-up too light.
    """

    lying: float = pi / 3
    """Lean from which a truck lies on its side, whatever its tyres bear."""
    fallen: float = pi / 4
    """Lean from which a truck that is past a line is over, whatever it lands on and rolls back to."""
    window: float = 0.25
    """Time [s] for which an ending must hold."""
    looks: float = 4e-3
    """Time [s] between two looks at the tip lines that decide: short beside every sway, the same whatever the step."""
    at_rest: float = 1.0
    """Time [s] for which nothing may move: a truck that rocks lingers where it turns back."""
    long_swing: float = 2.0
    """Time [s] taken for one swing of the truck on its tyres, or longer where a hung load's is."""
    still: float = 1e-5
    """Rise of the whole truck [m] whose energy is the most that a still one moves with."""

    even_halves: int = 4
    """Half swings in a row that must be no worse than those before: a tall truck near its limit takes 4 s to rock."""
    alike: float = 1e-3
    """How much further [rad] a truck may lean in a half swing and count as leaning no further."""
    nearer: float = 1e-3
    """How much nearer [m] it may come to a tip line and count as coming no nearer."""
    slow: float = 1e-3
    """Rise of the whole truck [m] whose energy is too little to take one that leans no further over a line."""

    early_halves: int = 2
    """Half swings that must be even, no tyre off, before a run of many ends before its duration."""
    travel: float = 0.02
    """Way [m] that a truck which stays in place may go in a half swing."""
    sunk_on: float = 2e-4
    """Depth [m] that the floor may gain in a half swing and count as not sinking."""
    creeps: float = 0.02
    """Part of the speed at which a place sinks that a parked truck's floor may still have."""
    rests: float = 1e-7
    """Speed [m/s, rad/s] after the first step up to which the truck stood: an unrest of 5e-5 m/s2."""
    rolled: float = 0.05
    """Way [m] from which a truck has rolled or slid: less is the give of its tyres."""

    sinking: float = 1e-3
    """Speed [m/s] at which a place still sinks."""
    sunk: float = 1e-3
    """Depth [m] from which ground has sunk."""

    carried: float = 0.2
    """Share of its weight on the forks below which a load falls with them."""
    floating: float = 0.2
    """Time [s] for which the forks must be away from under a load for it to leave them: it falls 0.2 m in that."""
    smoothed: float = 0.02
    """Time [s] over which the acceleration of a load is taken: shorter ones it does not follow."""
    lasting: float = 0.05
    """Time [s] for which a load must ask for more than friction or its base gives."""
    slid: float = 0.02
    """Way [m] on the forks from which a load that lies free on them has slid."""
    fell: float = 0.1
    """Height [m] below its place on the forks from which such a load is off them."""

    fastest: float = 50.0
    """Speed [m/s] and turning [rad/s] beyond which a run has broken down."""
    ledger_share: float = 0.02
    """Energy that may be missing, as a share of what went through."""
    ledger_floor: float = 50.0
    """Energy [J] that may be missing however little went through."""
    landing: float = 0.08
    """Time [s] for which the ledger may stand open: as long as a corner of a fallen truck takes to strike the floor."""


RULES = Rules()


HELD = "; the run held it fixed to the forks"
"""What is said behind how such a load ended: it is worked out, and the picture shows it where it was."""


def load_ends(load: str, *, held: bool, down: bool) -> str:
    """Say what a lifted load does, after "it"; held: fixed to the forks in the run; down: the truck goes over."""
    if not held or load not in (LoadEnd.SLID, LoadEnd.DROPPED):
        return ENDS[load]
    return "goes down with the truck" if down else f"would {'slide' if load == LoadEnd.SLID else 'drop'}"


def load_ended(load: str, *, held: bool, down: bool) -> str:
    """Say the same of a run that is over."""
    if down and held and load in (LoadEnd.SLID, LoadEnd.DROPPED):
        return f"went down with the truck{HELD}"
    said = load_did(load, held=held)
    return said if said == ENDED[load] else f"{said}{HELD}"


def load_did(load: str, *, held: bool) -> str:
    """Say the same in short, of one of many runs."""
    return f"would have {ENDED[load]}" if held and load in (LoadEnd.SLID, LoadEnd.DROPPED) else ENDED[load]


def leading(truck: str, line: str, load: str, floor: str, *, held: bool = False) -> str:
    """Say the worst of the three in a few words; line: the tip line that the weight is past, "" for none.

    held: the lifted load was held fixed to the forks in the run.
    """
    would = "would have " if held else ""
    to = f" to the {line}" if line else ""
    resting = f"resting on its body{' or mast' if load == LoadEnd.NONE else ', mast or load'}"
    ranked = (
        (truck == TruckEnd.OVER, f"over{to}"),
        (truck == TruckEnd.UNDECIDED, truck),
        (truck == TruckEnd.RESTING and bool(to), f"{resting}, past the {line} line"),
        (load == LoadEnd.DROPPED, f"the lifted load {would}dropped"),
        (truck == TruckEnd.RESTING, resting),
        (truck == TruckEnd.TYRE_OFF, "a tyre off the floor"),
        (load == LoadEnd.SLID, f"the lifted load {would}slid"),
        (truck == TruckEnd.TYRE_LIFTED, "a tyre lifted and came back"),
        (floor == FloorEnd.BROKE, f"{truck}; the floor broke"),
        (floor == FloorEnd.SANK, f"{truck}; the floor sank"),
    )
    return next((str(text) for holds, text in ranked if holds), str(truck))
