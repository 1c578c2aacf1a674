"""Many runs in one process: memory stays where the first of them put it."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from multiprocessing import get_context

import pytest

from memory import InUse, in_use
from tipline.engines import simulate
from tipline.runs.assessment import assess_run
from tipline.scenario import Case
from tipline.statics.barrier import crest_losses
from tipline.sweeps.batch import run_batch
from trucks import FORKS, HUNG, case, hole

pytestmark = pytest.mark.slow


def variants(start: int, stop: int) -> list[Case]:
    """Cases that differ in load, height and hole, so that nothing kept from one serves all; 1 s each."""
    found = []
    base = {False: case(HUNG + hole("front-left", "60 mm")), True: case(FORKS + hole("front-left", "60 mm"))}
    for index in range(start, stop):
        one = base[index % 2 == 1]
        assert one.load is not None
        load = one.load.model_copy(update={"mass": 3000.0 + index, "size": (1.6, 1.3, 1.4 + 1e-4 * index)})
        run = one.scenario.run.model_copy(update={"duration": 1.0, "extend_to": 1.0})
        setup = one.scenario.setup.model_copy(update={"ballast_slabs": index % 5})
        scenario = one.scenario.model_copy(update={"run": run, "setup": setup})
        found.append(replace(one, scenario=scenario, load=load, cells=()))
    return found


def batch(count: int, first: int) -> InUse:
    """Memory that batch runs add after the first of them."""
    run_batch(variants(0, first))
    before = in_use()
    for start in range(first, count, 100):  # made anew, since a case keeps what is worked out of it
        run_batch(variants(start, start + 100), threads=1 + start // 100 % 2)
    return in_use().since(before)


def single(count: int, first: int) -> InUse:
    """Memory that single runs, each with its assessment, add after the first of them."""
    before = in_use()
    for index, one in enumerate(variants(0, count)):
        if index == first:
            before = in_use()
        assess_run(simulate(one, losses=crest_losses(one)), one)
    return in_use().since(before)


@pytest.mark.parametrize(("runs", "count", "first"), [(batch, 1400, 400), (single, 56, 36)])
def test_many_runs_in_one_process_keep_nothing(runs: Callable[[int, int], InUse], count: int, first: int) -> None:
    """A thousand of a batch, twenty one at a time, in a process of their own, once what is kept by number is full.

    Measured: 0.02 MB and below 200 blocks. The arrays of one run are 1 MB, one client of the engine is 38 MB.
    """
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as pool:
        grown = pool.submit(runs, count, first).result()
    print(f"\n{count - first} runs ({runs.__name__}): {grown}")
    assert grown.megabytes < 0.15
    assert grown.blocks < 1500
