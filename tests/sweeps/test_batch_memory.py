"""Many runs in one process: memory stays where the first of them put it."""

from __future__ import annotations

import gc
from dataclasses import replace
from pathlib import Path

import pytest

pytest.importorskip("pybullet")

from trucks import FORKS, HUNG, case, hole

from tipline import assess
from tipline.engine import simulate
from tipline.scenario import Case
from tipline.sweeps import run_batch

pytestmark = pytest.mark.slow


def resident() -> float:
    """Memory of this process that is in use now [MB]."""
    gc.collect()
    pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1])
    return pages * 4096 / 1e6


def variants(count: int) -> list[Case]:
    """Cases that differ in load, height and hole, so that nothing kept from one serves all; 2 s each."""
    found = []
    base = {False: case(HUNG + hole("front-left", "60 mm")), True: case(FORKS + hole("front-left", "60 mm"))}
    for index in range(count):
        one = base[index % 2 == 1]
        assert one.load is not None
        load = one.load.model_copy(update={"mass": 3000.0 + index, "size": (1.6, 1.3, 1.4 + 1e-4 * index)})
        run = one.scenario.run.model_copy(update={"duration": 2.0, "extend_to": 2.0})
        setup = one.scenario.setup.model_copy(update={"ballast_slabs": index % 5})
        scenario = one.scenario.model_copy(update={"run": run, "setup": setup})
        found.append(replace(one, scenario=scenario, load=load, cells=()))
    return found


def test_a_thousand_batch_runs_add_less_than_10_megabytes() -> None:
    """After 200 that fill what is kept; measured: below 1 MB."""
    cases = variants(1000)
    run_batch(cases[:200])
    before = resident()
    for start in range(0, 1000, 100):
        run_batch(cases[start : start + 100], threads=1 + start // 100 % 2)
    print(f"\n1000 batch runs: {resident() - before:+.1f} MB")
    assert resident() - before < 10.0


def test_sixty_single_runs_add_less_than_20_megabytes() -> None:
    """One at a time, each with its assessment, after 15 that fill what is kept."""
    cases = variants(75)

    def run(some: list[Case]) -> None:
        for one in some:
            assess.assess_run(simulate(one, decided=assess.decider(one)), one)

    run(cases[:15])
    before = resident()
    run(cases[15:])
    print(f"\n60 single runs: {resident() - before:+.1f} MB")
    assert resident() - before < 20.0
