"""From a changed value to all figures of a set-up on the pages, by kind of floor: processor time (pytest -s).

Each floor once more with another load, in the process that stays, poses found by compiled code. In shares of the same
truck's time on a rigid floor; nothing is asserted but what must be so on any machine.

Measured.

Two cores beside others at work, least of five; on a quiet machine a rigid floor takes 0.065 s, and no shipped floor
0.2 s. Before all draws of ways to give under spreaders, of punching and of plates over openings were asked at once,
and trucks at rest built without what they need not, mats took 5 to 6 times a rigid floor and an own truck 3.6.

                                          likely     all
    rigid                                   1.00    1.00
    slab                                    1.09    1.51
    slab, driven over                       1.04    2.02
    slab with a lidded trench, driven over  1.05    2.21
    asphalt                                 1.11    1.31
    ground                                  1.15    1.52
    platform over clay                      1.11    1.29
    soft strips                             1.55    1.66
    plate on a soft strip                   1.02    1.18
    mats on ground                          1.01    1.60
    mats on ground, driven over             0.96    2.03
    mats and a plate on ground              1.04    1.54
    mats and a plate on ground, driven over 0.99    2.09
    own truck by plate and tape             1.41    3.31
"""

from __future__ import annotations

import time
from collections.abc import Callable

import pytest

from tipline.scenario.templates import template
from tipline.statics.truck import solve_compiled
from tipline.workbench.bench import OWN, Bench
from tipline.workbench.work import BenchAtRest, stand

pytestmark = pytest.mark.slow
STANDS, DRIVES = "front-tyre-breaks-through-load-high", "service-stop-load-high"
ON_MATS = {"floor": "demo-site-b", "setup.position": '["4 m", "0 m"]'}
ON_A_PLATE = {"floor": "demo-site-b", "setup.position": '["7 m", "0 m"]'}


def own_truck() -> Bench:
    """Lay a truck by plate and tape on the bench, on a rigid floor."""
    bench = Bench()
    bench.hand_in("own.toml", template("machine").encode())
    bench.choose(OWN)
    bench.change("machine", "own.toml")
    return bench


BENCHES: dict[str, Callable[[], Bench]] = {
    "rigid": lambda: Bench(DRIVES),
    "slab": lambda: Bench(STANDS, changes={"floor": "demo-hall-b"}),
    "slab, driven over": lambda: Bench("stop-with-the-load-up-breaks-a-slab"),
    "slab with a lidded trench, driven over": lambda: Bench("driving-onto-a-trench-lid"),
    "asphalt": lambda: Bench(STANDS, changes={"floor": "demo-yard-b"}),
    "ground": lambda: Bench(STANDS, changes={"floor": "demo-yard-d"}),
    "platform over clay": lambda: Bench(STANDS, changes={"floor": "demo-site-a"}),
    "soft strips": lambda: Bench("soft-ground-under-one-side"),
    "plate on a soft strip": lambda: Bench("the-same-lift-on-spreaders"),
    "mats on ground": lambda: Bench(STANDS, changes=dict(ON_MATS)),
    "mats on ground, driven over": lambda: Bench(DRIVES, changes=dict(ON_MATS)),
    "mats and a plate on ground": lambda: Bench(STANDS, changes=dict(ON_A_PLATE)),
    "mats and a plate on ground, driven over": lambda: Bench(DRIVES, changes=dict(ON_A_PLATE)),
    "own truck by plate and tape": own_truck,
}


def spent(bench: Bench, times: int = 5) -> tuple[float, float]:
    """Least processor time [s] until the likely figures stand there, and until all do."""
    load = bench.case().load
    assert load is not None
    before, first, whole = BenchAtRest(), [], []
    for k in range(times + 1):
        bench.change("load.mass", f"{load.mass * (1.0 - 0.003 * k):.1f} kg")
        begin, stages = time.process_time(), []
        for standing in stand(bench, "si", before):
            stages.append(time.process_time() - begin)
            before = standing
        assert before.problems == ()
        first.append(stages[0])
        whole.append(stages[-1])
    return min(first[1:]), min(whole[1:])


def test_all_figures_by_kind_of_floor() -> None:
    solve_compiled()
    seconds = {name: spent(make()) for name, make in BENCHES.items()}
    rigid = seconds["rigid"][1]
    print(f"\n{'':40}{'likely':>8}{'all':>8}  of a rigid floor's {rigid:.3f} s")
    for name, (first, whole) in seconds.items():
        print(f"{name:40}{first / rigid:8.2f}{whole / rigid:8.2f}")
    assert all(0.0 < first <= whole for first, whole in seconds.values())
