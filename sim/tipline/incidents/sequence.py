"""What happens in the runs of a cause that come nearest to what was found, and when: the likely course of events."""

from __future__ import annotations

import re
from collections.abc import Sequence
from math import cos, sin

import numpy as np
from numpy.typing import NDArray

from tipline.engines.simulate import simulate
from tipline.floors.laws.of_floor import floor_laws
from tipline.geometry import assemble
from tipline.geometry.posed import posed
from tipline.incidents.report import Course, PosedMoment, Step
from tipline.results import COMPILED, Run
from tipline.runs.assessment import assess_run
from tipline.runs.moments import moments_of
from tipline.scenario.case import Case
from tipline.scenario.spec import Setup

__all__ = ["NEAREST", "course"]

NEAREST = 5
"""Runs of a cause that are run once more for its course of events (our choice: a range of times in a second or two)."""
_FIGURES = re.compile(r"[0-9][0-9.,]*")
Events = Sequence[tuple[float, str]]


def course(cases: Sequence[Case]) -> Course:
    """Return what happens in the first of some cases, in order, with when the same happens in the others."""
    reports = [assess_run(simulate(case, zones=floor_laws(case).zones, engine=COMPILED), case) for case in cases]
    events = [[(at, _FIGURES.sub("", what)) for at, what in report.events] for report in reports]
    steps = [_step(at, what, _FIGURES.sub("", what), events) for at, what in sorted(reports[0].events)]
    noted = [moments_of(report, case.scenario).all for report, case in zip(reports, cases, strict=True)]
    kinds = [[(moment.time, moment.kind) for moment in moments] for moments in noted]
    case, first = cases[0], reports[0]
    from_start = _from(case.scenario.setup)
    moments = [
        PosedMoment(
            moment.kind,
            _step(moment.time, moment.words, moment.kind, kinds),
            from_start @ _placed(first.run, moment.time),
        )
        for moment in noted[0]
    ]
    parts = assemble(case.machine, case.scenario.setup, case.load).parts
    return Course(tuple(steps), tuple(moments), parts, (first.outcome.direction or "") if first.fell else "")


def _step(at: float, what: str, kind: str, runs: Sequence[Events]) -> Step:
    """Return a step of the first run, with when the first of its kind happened in each other run that has one."""
    others = [[time for time, other in run if other == kind] for run in runs[1:]]
    times = [at, *(min(same) for same in others if same)]
    return Step(at, min(times), max(times), len(times), len(runs), what)


def _placed(run: Run, at: float) -> NDArray[np.float64]:
    """Return where the bodies are in the world (bodies, 4, 4) at a time."""
    placed: NDArray[np.float64] = posed(run.poses[run.at(at)][None], np.array(run.meta["centres"]))[0]
    return placed


def _from(setup: Setup) -> NDArray[np.float64]:
    """Return the way (4, 4) from the world to the frame of where the truck stood."""
    (x, y), c, s = setup.position, cos(setup.heading), sin(setup.heading)
    turned = np.array([[c, s], [-s, c]])
    way = np.eye(4)
    way[:2, :2] = turned
    way[:2, 3] = -turned @ (x, y)
    return way
