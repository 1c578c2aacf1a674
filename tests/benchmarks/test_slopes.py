"""Slope limits in 72 directions at 20 heights: processor time on one core, against that of poses (pytest -s).

Measured.

Speed of slope limits. 72 directions by 20 heights are 0.65 to 0.8 s of one core (two threads share them), 1.5 s with
a load off the middle, where no side mirrors the other, and as much again for the stops
(`tests/benchmarks/test_slopes.py`); 480 residuals of 1.6 us a direction. Skipping the tyres where only the mast is
moved would save a fifth, compiling without checks for division 4 %; only a kernel that allocates nothing would halve
it.
"""

from __future__ import annotations

import time
from dataclasses import replace

import numpy as np
import pytest

from tipline.scenario import Case, read
from tipline.slope_limits.asked import at_height
from tipline.slope_limits.solving import SetUp, SlopeJob, slope_kernel
from tipline.statics.truck import truck_of

pytestmark = pytest.mark.slow

SCENARIOS = {"pivoting": "floor-falls-diagonally", "fixed": "floor-turned-until-something-goes"}


def spent(case: Case, times: int = 3) -> tuple[float, float]:
    """Least processor time [s] of the slopes, and of the slopes while braking, solving alone."""
    heights = np.linspace(0.3, case.machine.mast.top_fork_height, 20)
    cases = [at_height(case, float(height)) for height in heights]
    jobs = [SlopeJob(SetUp(one), truck_of(one), 72) for one in cases]
    run, least = slope_kernel(jobs[0]), [np.inf, np.inf]
    for _ in range(times):
        for which, solve in enumerate((SlopeJob.solve, SlopeJob.solve_braking)):
            begin = time.process_time()
            for job in jobs:
                solve(job, run)
            least[which] = min(least[which], time.process_time() - begin)
    return least[0], least[1]


def one_pose(case: Case, times: int = 5) -> float:
    """Least processor time [s] of one pose at rest, its residuals in plain Python."""
    truck, least = truck_of(case), np.inf
    for _ in range(times):
        begin = time.process_time()
        truck.solve(truck.gravity(0.0, 0.0), truck.start(1.0))
        least = min(least, time.process_time() - begin)
    return least


@pytest.mark.parametrize("axle", SCENARIOS)
@pytest.mark.parametrize("aside", [0.0, 0.1])
def test_72_directions_at_20_heights(axle: str, aside: float) -> None:
    """1440 directions for some 30 to 50 single poses of 0.02 s; a load off the middle costs twice as much.

    A truck even on both sides is asked in half of the directions.
    """
    case = read(SCENARIOS[axle])
    assert case.load is not None
    load = case.load.model_copy(update={"centre_offset": (0.0, aside)})
    found = replace(case, load=load)
    still, braking = spent(found)
    pose = one_pose(found)
    print(
        f"\n{axle} axle, load {aside} m off the middle: {still:.2f} s of one core, {braking:.2f} s while braking; "
        f"{still / pose:.0f} and {braking / pose:.0f} poses of {1e3 * pose:.0f} ms"
    )
    assert still < (100.0 if aside == 0.0 else 200.0) * pose
