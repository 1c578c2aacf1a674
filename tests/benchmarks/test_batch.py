"""Runs a second of the batch engine against the one-at-a-time engine on one core, in one run (pytest -s).

Twelve variants of demo truck A with a hung load over a breakthrough, about half of which tip. What the step costs in
accuracy is printed beside it: largest roll of those that stay, against a step of 0.25 ms.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

pytest.importorskip("pybullet")
sys.path.insert(0, str(Path(__file__).parents[1] / "engine"))

from trucks import HUNG, case, hole

from tipline import assess
from tipline.engine import simulate
from tipline.engine.prepare import prepare
from tipline.scenario import Case
from tipline.sweeps import BatchResult, run_batch

pytestmark = pytest.mark.slow


def depths() -> list[Case]:
    """The same truck over other holes."""
    return [case(HUNG + hole("front-left", f"{depth} mm")) for depth in range(60, 132, 6)]


def loads() -> list[Case]:
    """Other loads too: each variant is assembled anew."""
    return [
        case(HUNG + hole("front-left", f"{depth} mm"), load__mass=f"{4.4 + 0.1 * index:.1f} t")
        for index, depth in enumerate(range(60, 132, 6))
    ]


def single(cases: list[Case]) -> list[str]:
    """The one-at-a-time engine, and its outcome."""
    return [assess.outcome_of(simulate(one, decided=assess.decider(one)), one).truck for one in cases]


def simulated(cases: list[Case]) -> list[None]:
    """The one-at-a-time engine stepping to the duration, its outcome not asked."""
    return [None for one in cases if len(simulate(one).time) == 0]


def per_run(action: Callable[[list[Case]], object], cases: list[Case], times: int = 3) -> float:
    """Least processor time a run [ms] of some repetitions."""
    best = float("inf")
    for _ in range(times):
        begin = time.process_time()
        action(cases)
        best = min(best, time.process_time() - begin)
    return 1e3 * best / len(cases)


def largest_roll(results: list[BatchResult]) -> np.ndarray:
    stay = [result for result in results if result.truck != "over"]
    return np.degrees([max(-result.roll[0], result.roll[1]) for result in stay])


def test_step_of_500_hertz_is_as_good_as_the_one_at_a_time_engine_needs() -> None:
    fine, usual, coarse = (largest_roll(run_batch(depths(), dt=dt)) for dt in (2.5e-4, 1e-3, 2e-3))
    print(f"\nroll of those that stay, against 0.25 ms [deg]: 1 ms {np.abs(usual - fine).max():.4f}, ", end="")
    print(f"2 ms {np.abs(coarse - fine).max():.4f}")
    assert np.abs(coarse - fine).max() < 0.1


@pytest.mark.parametrize("variants", [depths, loads], ids=["one truck", "other loads"])
def test_runs_a_second_on_one_core(variants: Callable[[], list[Case]]) -> None:
    cases = variants()
    words = single(cases)
    assert [result.truck == "over" for result in run_batch(cases)] == [word == "over" for word in words]
    whole, stepped = per_run(single, cases), per_run(simulated, cases)
    full = per_run(lambda some: run_batch(some, early=False), cases)
    early, same = per_run(run_batch, cases), per_run(lambda some: run_batch(some, dt=1e-3), cases)
    start = per_run(lambda some: [prepare(one, dt=2e-3) for one in some], cases)
    print(
        f"\none at a time {whole:.0f} ms a run with its outcome, {stepped:.0f} ms for 8 s without; batch, 2 ms: "
        f"{early:.1f} ms (no early end {full:.1f}, at 1 ms {same:.1f}; a whole preparation is {start:.1f}), "
        f"{1e3 / early:.0f} runs a second; ratio {whole / early:.0f} with outcomes, {stepped / early:.0f} to the "
        f"stepping alone, {whole / full:.0f} without early end, {whole / same:.0f} at 1 ms"
    )
    assert whole > 10.0 * early
