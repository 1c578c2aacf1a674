"""What of its scenario a row of a sweep did not meet, by where its truck was told to drive and how it ended."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from tipline.endings import TruckEnd
from tipline.model.floor import Floor
from tipline.runs.met import SUNK
from tipline.scenario.commanded import Inputs, drives
from tipline.scenario.driving import travelled
from tipline.scenario.spec import Ramp, SoftPlace, Threshold
from tipline.scenario.unmet import missed, on_the_way, short_of

if TYPE_CHECKING:
    from tipline.sweeps.batch import BatchResult

__all__ = ["counted", "unmet"]

_BETWEEN = "; "


def unmet(inputs: Inputs, floor: Floor, result: BatchResult) -> str:
    """Return what a run did not meet, as predicates in one cell of a table; "" where it met all."""
    return _BETWEEN.join(_unmet(inputs, floor, result))


def _unmet(inputs: Inputs, floor: Floor, result: BatchResult) -> Iterator[str]:
    fallen, driving = result.truck in (TruckEnd.OVER, TruckEnd.RESTING), drives(inputs.scenario)
    events = inputs.scenario.event
    if floor.zone or floor.spreader or any(isinstance(event, Ramp | Threshold) for event in events):
        until = result.time if fallen else max(result.time, inputs.scenario.run.duration)
        low, high = travelled(inputs, until) if driving else (0.0, 0.0)
        yield from dict.fromkeys(f"the {what} was not reached" for what, _ in short_of(inputs, low, high))
        if (gap := missed(floor, on_the_way(inputs, low, high, until), driving=driving)) is not None:
            yield f"no tyre came onto any {gap[0]} of the floor"
    for index, event in enumerate(events):
        if isinstance(event, SoftPlace) and all(result.peak_depth.get(name, 0.0) < SUNK for name in event.under):
            yield f"the soft place under {' and '.join(event.under)} never yielded"
        elif fallen and getattr(event, "at", 0.0) > result.time:
            yield f"event.{index}, {event.kind.replace('_', ' ')}, had not begun when the truck was down"


def counted(cells: Iterable[str | None]) -> tuple[str, ...]:
    """Return in how many runs each thing was not met, in sentences, most often first."""
    rows = list(cells)
    counts = Counter(thing for cell in rows if cell for thing in cell.split(_BETWEEN))
    return tuple(f"In {many} of {len(rows)} runs {what}." for what, many in counts.most_common())
