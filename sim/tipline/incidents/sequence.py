"""What happens in the runs of a cause that come nearest to what was found, and when: the likely course of events."""

from __future__ import annotations

import re
from collections.abc import Sequence

from tipline.engines.simulate import simulate
from tipline.floors.laws.of_floor import floor_laws
from tipline.incidents.report import Step
from tipline.results import COMPILED
from tipline.runs.assessment import assess_run
from tipline.scenario.case import Case

__all__ = ["NEAREST", "course"]

NEAREST = 5
"""Runs of a cause that are run once more for its course of events (our choice: a range of times in a second or two)."""
_FIGURES = re.compile(r"[0-9][0-9.,]*")


def course(cases: Sequence[Case]) -> tuple[Step, ...]:
    """Return what happens in the first of some cases, in order, with when the same happens in the others."""
    told = [assess_run(simulate(case, zones=floor_laws(case).zones, engine=COMPILED), case).events for case in cases]
    steps = []
    for at, what in sorted(told[0]):
        times = [at, *(time for other in told[1:] for time in [_when(other, what)] if time is not None)]
        steps.append(Step(at, min(times), max(times), len(times), len(cases), what))
    return tuple(steps)


def _when(events: Sequence[tuple[float, str]], what: str) -> float | None:
    """Return when something first happened, whatever its figures; None where it did not."""
    kind = _FIGURES.sub("", what)
    return min((at for at, said in events if _FIGURES.sub("", said) == kind), default=None)
