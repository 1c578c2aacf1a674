"""How the runs of a spread ended: what was varied, the counts, and where this one would end otherwise.

An ending is how truck, lifted load and floor are left. A truck that stays on its tyres ends so whether a tyre lifted on
the way or not; over, resting, a tyre off and undecided are endings of their own. A case could go either way only where
some runs go over and some stay up, or some drop the lifted load and some keep it: `could_go_either_way`.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from math import atan, sqrt, tan
from typing import Any

from tipline.endings import ENDS, LoadEnd, TruckEnd, also, load_did, load_ends
from tipline.notebook import Shown, marks, to_frame

__all__ = [
    "NO_RESULT",
    "Ending",
    "EndingChange",
    "Spread",
    "VariedInput",
    "could_go_either_way",
    "counted",
    "interval",
    "parted",
]

NO_RESULT: str = TruckEnd.NO_RESULT
_FALLEN = (TruckEnd.OVER, TruckEnd.RESTING)
_ON_TYRES = (TruckEnd.DOWN, TruckEnd.TOO_LIGHT, TruckEnd.TYRE_LIFTED)
_KEPT = (LoadEnd.KEPT, LoadEnd.SLID)
NORMAL_95 = 1.959964
"""The standard normal value that 2.5 % lie above, by definition."""


@dataclass(frozen=True)
class Ending:
    """How one run ended, in the words of `Outcome`; a part that is not told is "".

    ``reason``: why it has no result; ``load_held``: as in `Outcome`, of the run that others are set beside; ``goes``:
    what its truck does that was not told to, in short.
    """

    truck: str
    lifted_load: str = ""
    floor: str = ""
    reason: str = field(default="", compare=False)
    load_held: bool = field(default=False, compare=False)
    goes: str = field(default="", compare=False)

    @property
    def kind(self) -> tuple[str, str, str]:
        """What tells two endings apart."""
        return "on its tyres" if self.truck in _ON_TYRES else self.truck, self.lifted_load, self.floor

    @property
    def stayed_up(self) -> bool:
        """Whether the truck ended on its tyres, all or some of them."""
        return self.truck in (*_ON_TYRES, TruckEnd.TYRE_OFF)

    @property
    def fell(self) -> bool:
        """Whether the truck went over or came to rest on its body."""
        return self.truck in _FALLEN

    def against(self, other: Ending) -> str:
        """Return this ending in words, with the load and the floor where they are not those of the other."""
        words = [self.truck]
        if self.lifted_load != other.lifted_load and TruckEnd.OVER not in (self.truck, other.truck):
            words.append(f"lifted load {self.lifted_load}")
        if self.floor != other.floor:
            words.append(f"floor {self.floor}")
        return ", ".join(words)

    def said_against(self, other: Ending) -> str:
        """Say this ending after "it", with the load and the floor where they are not those of the other."""
        said = [also(ENDS[self.truck], self.goes)]
        if self.lifted_load != other.lifted_load and TruckEnd.OVER not in (self.truck, other.truck):
            said.append(f"the lifted load {load_ends(self.lifted_load, held=other.load_held, down=False)}")
        if self.floor != other.floor:
            said.append(f"the floor {ENDS[self.floor]}")
        return ", and ".join((", ".join(said[:-1]), said[-1])) if len(said) > 1 else said[0]


@dataclass(frozen=True)
class VariedInput:
    """One thing that was varied, evenly from ``low`` to ``high``; ``here`` is that of the run itself. SI.

    how : the origin of the value; clipped : what kept a range from its full width, or ""; once_measured : the
    half-width that is left of it once it is measured
    """

    what: str
    dimension: str
    here: float
    low: float
    high: float
    how: str
    clipped: str = ""
    once_measured: float = 0.0


@dataclass(frozen=True)
class EndingChange:
    """The nearest value of one quantity at which the case would end otherwise, all else as in the run. SI.

    at : that value, None where there is none from ``low`` to ``high``; ending : how it ends there, said : in words
    side : how that value differs from the run's own in a word, "deeper"
    comes_back : whether it ends as the run itself again at a value looked at a little farther
    """

    what: str
    dimension: str
    here: float
    at: float | None
    ending: str
    low: float
    high: float
    comes_back: bool = False
    said: str = ""
    side: str = ""

    def apart(self, value: float) -> float:
        """Return how far a value of the quantity is from that of the run; of a slope as the slope between them."""
        if self.dimension == "slope":
            return atan(abs(tan(value) - tan(self.here)))
        return abs(value - self.here)


@dataclass(frozen=True)
class Spread(Shown):
    """A case run again and again within what is not known of it.

    Attributes
    ----------
    demo : what of the case is invented, "" for nothing
    asked, runs : how many runs were wanted, and how many have a result
    here : the ending of the run itself
    stayed_up : in how many runs the truck did; ``interval``: 95 % interval of that share, as if drawn independently
    truck, lifted_load, floor : how often each ended in which way, most often first
    like_this : how many ended as the run itself
    either_way : whether it could go either way, the run itself among the endings
    decides : the input that parts the endings most, "" where none stands out; ``decides_how``: in which way it does
    inputs : what was varied
    change : where the leading quantity of the events changes the ending; ``stays_until``: where it changes whether the
        truck stays up, None where that is the same or nothing was found
    edge : how the runs beside it end the very case, where that is otherwise, else ""; edge_said : the same in words
    lost : why runs have no result, and how many of each
    reason : why there are fewer runs or none
    values : of each run with a result, the inputs in their order
    endings : of each of these runs
    """

    demo: str
    asked: int
    runs: int
    here: Ending
    stayed_up: int
    interval: tuple[float, float]
    truck: tuple[tuple[str, int], ...]
    lifted_load: tuple[tuple[str, int], ...]
    floor: tuple[tuple[str, int], ...]
    like_this: int
    either_way: bool
    decides: str
    decides_how: str
    inputs: tuple[VariedInput, ...]
    change: EndingChange | None
    stays_until: EndingChange | None
    edge: str
    reason: str
    values: tuple[tuple[float, ...], ...] = field(default=(), repr=False)
    endings: tuple[Ending, ...] = field(default=(), repr=False)
    edge_said: str = ""
    lost: tuple[tuple[str, int], ...] = ()

    @property
    def doubt(self) -> str:
        """The counts in words where it could go either way, else ""."""
        if not self.either_way:
            return ""
        if 0 < self.stayed_up < self.runs or (self.stayed_up == 0) == self.here.stayed_up:
            return f"the truck stayed up in {self.stayed_up} of {self.runs} runs"
        dropped = dict(self.lifted_load).get(LoadEnd.DROPPED, 0)
        return f"the lifted load {load_did(LoadEnd.DROPPED, held=self.here.load_held)} in {dropped} of {self.runs} runs"

    def to_pandas(self) -> Any:
        """Return a row for each run: its inputs in SI, and how it ended; raises MissingPart without pandas."""
        names = [knob.what for knob in self.inputs]
        return to_frame(
            [
                {
                    **dict(zip(names, values, strict=True)),
                    "truck": ending.truck,
                    "lifted_load": ending.lifted_load,
                    "floor": ending.floor,
                }
                for values, ending in zip(self.values, self.endings, strict=True)
            ],
            marks(self.demo),
        )


def could_go_either_way(endings: Iterable[Ending]) -> bool:
    """Return whether some go over and some stay up, or some drop the load and some keep it.

    Of a load only where the truck stays up, for it goes down with the truck; what has no result or no end counts not.
    """
    known = list(endings)
    trucks = {ending.fell for ending in known if ending.fell or ending.stayed_up}
    loads = {
        ending.lifted_load == LoadEnd.DROPPED
        for ending in known
        if not ending.fell and ending.lifted_load in (*_KEPT, LoadEnd.DROPPED)
    }
    return len(trucks) > 1 or len(loads) > 1


def counted(words: Iterable[str]) -> tuple[tuple[str, int], ...]:
    """Count words, most often first, of equals the one that came first; "" is not counted."""
    return tuple(Counter(word for word in words if word).most_common())


def interval(count: int, runs: int) -> tuple[float, float]:
    """Return the 95 % interval of a share from a count by Wilson's score (from memory); 0 and 1 without runs."""
    if runs == 0:
        return 0.0, 1.0
    z2, share = NORMAL_95**2, count / runs
    middle = (share + z2 / (2 * runs)) / (1 + z2 / runs)
    half = NORMAL_95 * sqrt(share * (1 - share) / runs + z2 / (4 * runs**2)) / (1 + z2 / runs)
    return max(0.0, middle - half) if count > 0 else 0.0, min(1.0, middle + half) if count < runs else 1.0


def parted(values: Sequence[float], group: Sequence[bool]) -> float:
    """Return how far the values of a group lie above the others' by their ranks, in standard deviations of chance.

    Source: the rank-sum statistic of Mann and Whitney with its normal approximation (from memory). 0 where either
    group is empty.
    """
    order = sorted(range(len(values)), key=lambda index: values[index])
    ranks = [0.0] * len(values)
    start = 0
    while start < len(order):
        end = start
        while end < len(order) and values[order[end]] == values[order[start]]:
            end += 1
        for index in order[start:end]:
            ranks[index] = 0.5 * (start + end + 1)
        start = end
    inside = sum(group)
    outside = len(group) - inside
    if not inside or not outside:
        return 0.0
    total = sum(rank for rank, member in zip(ranks, group, strict=True) if member)
    wins = total - inside * (inside + 1) / 2
    return (wins - inside * outside / 2) / sqrt(inside * outside * (inside + outside + 1) / 12)
