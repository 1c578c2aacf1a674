"""Slope limits in 72 directions at 20 heights: processor time on one core (pytest -s)."""

from __future__ import annotations

import time
from dataclasses import replace

import numpy as np
import pytest

from tipline.assess.slopes import SetUp, _compiled, _Job
from tipline.assess.statics import truck_of
from tipline.scenario import Case, read
from tipline.tilting import at_height

pytestmark = pytest.mark.slow

SCENARIOS = {"pivoting": "floor-falls-diagonally", "fixed": "floor-turned-until-something-goes"}


def spent(case: Case, times: int = 3) -> tuple[float, float]:
    """Least processor time [s] of the slopes, and of the slopes while braking, solving alone."""
    heights = np.linspace(0.3, case.machine.mast.top_fork_height, 20)
    cases = [at_height(case, float(height)) for height in heights]
    jobs = [_Job(SetUp(one), truck_of(one), 72) for one in cases]
    run, least = _compiled(jobs[0]), [np.inf, np.inf]
    for _ in range(times):
        for which, solve in enumerate((_Job.solve, _Job.solve_braking)):
            begin = time.process_time()
            for job in jobs:
                solve(job, run)
            least[which] = min(least[which], time.process_time() - begin)
    return least[0], least[1]


@pytest.mark.parametrize("axle", SCENARIOS)
@pytest.mark.parametrize("aside", [0.0, 0.1])
def test_72_directions_at_20_heights(axle: str, aside: float) -> None:
    """A truck even on both sides is asked in half of the directions; a load off the middle costs twice as much."""
    case = read(SCENARIOS[axle])
    assert case.load is not None
    load = case.load.model_copy(update={"centre_offset": (0.0, aside)})
    still, braking = spent(replace(case, load=load))
    print(f"\n{axle} axle, load {aside} m off the middle: {still:.2f} s of one core, {braking:.2f} s while braking")
    assert still < (1.0 if aside == 0.0 else 2.0)
