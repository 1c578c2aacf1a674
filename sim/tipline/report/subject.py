"""What a report is made from: the attributes it reads of an assessed run or pose.

SI and radians throughout. A pair (value, time) gives the value and when [s] in the run it occurred. A value that
could not be given is NaN, and `reasons` says why under the value's dotted name in the summary.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Protocol

Timed = tuple[float, float]


class Outcome(Protocol):
    """How a run ended, in three lines; `lead` is the worst of them and `direction` the tip line crossed, or ""."""

    @property
    def truck(self) -> str: ...
    @property
    def lifted_load(self) -> str: ...
    @property
    def floor(self) -> str: ...
    @property
    def lead(self) -> str: ...
    @property
    def direction(self) -> str | None: ...


class Varied(Protocol):
    """A setting and its values: SI numbers of a dimension, or texts where ``dimension`` is empty."""

    @property
    def key(self) -> str: ...
    @property
    def label(self) -> str: ...
    @property
    def values(self) -> Sequence[float | str]: ...
    @property
    def dimension(self) -> str: ...


class OutcomeTable(Protocol):
    """Outcomes over two settings: outcomes[row][column]; `this` is the cell of the run itself, or None."""

    @property
    def row(self) -> Varied: ...
    @property
    def column(self) -> Varied: ...
    @property
    def outcomes(self) -> Sequence[Sequence[str]]: ...
    @property
    def this(self) -> tuple[int, int] | None: ...


class Between(Protocol):
    """The least, the likely and the greatest of a value."""

    @property
    def low(self) -> float: ...
    @property
    def likely(self) -> float: ...
    @property
    def high(self) -> float: ...


class FloorBreaks(Protocol):
    """In how many runs on drawn floors the floor broke, the tyre loads [N] it broke at, and how the truck ended."""

    @property
    def runs(self) -> int: ...
    @property
    def broke(self) -> int: ...
    @property
    def strength(self) -> Between: ...
    @property
    def decides(self) -> str: ...
    @property
    def endings(self) -> Sequence[tuple[str, int]]: ...
    @property
    def either_way(self) -> bool: ...


class FloorAsked(Protocol):
    """What a set-up asks of the floor, in words."""

    @property
    def lead(self) -> str: ...
    @property
    def lines(self) -> Sequence[str]: ...


class Common(Protocol):
    """What every report tells."""

    @property
    def title(self) -> str: ...
    @property
    def demo(self) -> bool: ...
    @property
    def assumed(self) -> Sequence[str]: ...
    @property
    def governs(self) -> Sequence[str]: ...
    @property
    def holds_only_while(self) -> Sequence[tuple[str, float, str]]:
        """Give label, SI value, dimension of each limit."""
        ...

    @property
    def exceeded(self) -> Sequence[str]:
        """Give each planning limit that is exceeded, in words; empty when none is."""
        ...

    @property
    def reasons(self) -> Mapping[str, str]: ...


class RunReport(Common, Protocol):
    """An assessed run."""

    @property
    def run_id(self) -> str: ...
    @property
    def outcome(self) -> Outcome: ...
    @property
    def distances(self) -> Mapping[str, Timed]: ...
    @property
    def swing(self) -> Mapping[str, Timed]: ...
    @property
    def energy_left(self) -> Mapping[str, Timed]: ...
    @property
    def steer_axle_share(self) -> float: ...
    @property
    def lightest_tyre(self) -> tuple[str, float, float]: ...
    @property
    def weight(self) -> float: ...
    @property
    def rest_tyre_loads(self) -> Mapping[str, float]: ...
    @property
    def rest_axle_share(self) -> Mapping[str, float]: ...
    @property
    def peak_tyre_loads(self) -> Mapping[str, Timed]: ...
    @property
    def numerics(self) -> Mapping[str, float]: ...
    @property
    def events(self) -> Sequence[tuple[float, str]]: ...
    @property
    def no_return(self) -> float | None:
        """Give the time from which nothing could have stopped it, None where that never came."""
        ...

    @property
    def pose(self) -> PoseReport:
        """Give the set-up at rest, before anything happens."""
        ...

    @property
    def outcome_table(self) -> OutcomeTable | None: ...
    @property
    def floor_breaks(self) -> FloorBreaks | None: ...


class PoseReport(Common, Protocol):
    """An assessed pose, at rest."""

    @property
    def stands(self) -> str:
        """Give `stands`, or what it does instead: `tips`, `slides`, `rolls`, with the tip line if there is one."""
        ...

    @property
    def lean(self) -> str:
        """Give the side to which the mast's play is taken: the worse one, or "" where it has none."""
        ...

    @property
    def weight(self) -> float: ...
    @property
    def tyre_loads(self) -> Mapping[str, float]: ...
    @property
    def axle_share(self) -> Mapping[str, float]: ...
    @property
    def distances(self) -> Mapping[str, float]: ...
    @property
    def swing(self) -> Mapping[str, float]: ...
    @property
    def over(self) -> str | None:
        """Give the tip line it goes over where it does not stand."""
        ...

    @property
    def fold_factor(self) -> float:
        """Give the share of the lifted load with which it would still stand; NaN where that does not apply."""
        ...

    @property
    def energy_to_tip(self) -> Mapping[str, float]: ...
    @property
    def floor(self) -> FloorAsked | None: ...
    @property
    def hole_depth_limits(self) -> Mapping[str, float]:
        """Give the least drop of each side [m] that could tip it; empty for a hung or moving load."""
        ...

    @property
    def holds_against(self) -> Sequence[tuple[str, float, str]]:
        """Give label, SI value and dimension of what it holds against, one at a time."""
        ...
