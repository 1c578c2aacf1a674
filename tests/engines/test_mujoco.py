"""The same truck and kernels in MuJoCo: two engines, one answer; and once with MuJoCo's own rope and mast springs.

This says that bodies and joints are right. Both engines share the kernels: the laws are tested elsewhere.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from few import slow_but
from mujoco_twin import simulate_twin
from tipline.engines.prepare import Prepared
from tipline.kernels import layout as at
from tipline.results import Run
from tipline.selftest import recorded
from trucks import FORKS, FREE, HUNG, STOP, both_front, hole, loads, play, series, start

SECONDS = 4.0
TIPPING = 3.7
"""Time [s] of the case that tips, past 70 deg. After it the load, which lies on the floor, is snatched up: its rope
comes taut in one engine a step before the other, and rounding becomes half a millimetre."""
SWING = '[[event]]\nkind = "swing"\nangle = "10 deg"\ntowards = "90 deg"\n'
CASES = {
    "rest": (HUNG, {}),
    "front-left 60 mm, load low": (FORKS + hole("front-left", "60 mm"), {}),
    "front-left 60 mm, load high": (HUNG + hole("front-left", "60 mm"), {}),
    "front-left 200 mm, tips": (HUNG + hole("front-left", "200 mm"), {}),
    "service stop": (HUNG + STOP, {"setup.speed": "1.2 m/s", "setup.hook_height": "3 m"}),
    "rear-left 80 mm": (HUNG + hole("rear-left", "80 mm"), {}),
    "load free on forks": (FREE + hole("front-left", "60 mm"), {}),
    "counterweight moves": (HUNG + '[[event]]\nkind = "counterweight"\nat = "0.3 s"\nto = "1.0 m"\n', {}),
    "fixed axle, twins": (
        FORKS.replace("demo-truck-a", "demo-truck-b").replace('"1.2 m"\nballast', '"0 m"\nballast')
        + hole("rear-left", "60 mm"),
        {},
    ),
}
FEW = ("front-left 60 mm, load high", "fixed axle, twins")
HEADS = ("case", "largest roll [deg]", "difference [deg]", "peak tyre load [kN]", "difference [%]", "place [mm]")


def compare(name: str, ours: Run, twin: Run) -> tuple[float, float, float]:
    """Print one line of the table; return differences of largest roll [deg], peak load (share) and place [m]."""
    roll = [float(np.degrees(np.abs(series(result, "roll")).max())) for result in (ours, twin)]
    peak = [float(loads(result).max()) for result in (ours, twin)]
    place = float(np.abs(ours.poses[..., :3] - twin.poses[..., :3]).max())
    share = peak[1] / peak[0] - 1.0
    print(f"\n{' | '.join(HEADS)}")
    numbers = f"{peak[0] / 1e3:.2f} | {100 * share:+.1e} | {1e3 * place:.1e}"
    assert recorded(f"MuJoCo, {name}: largest roll").pair == pytest.approx(roll, rel=1e-2, abs=1e-9)
    assert recorded(f"MuJoCo, {name}: peak").pair == pytest.approx([load / 1e3 for load in peak], rel=1e-2)
    print(f"{name} | {roll[0]:.4f} | {roll[1] - roll[0]:+.1e} | {numbers}")
    return abs(roll[1] - roll[0]), abs(share), place


@pytest.mark.parametrize("name", slow_but(CASES, *FEW))
def test_mujoco_with_the_same_kernels_gives_the_same_run(name: str) -> None:
    """Largest roll within 1e-4 deg, peak load within 1e-6, places within 0.01 mm over 4 s (measured: rounding)."""
    text, changes = CASES[name]
    seconds = TIPPING if name.endswith("tips") else SECONDS
    ours, twin = play(start(text, changes), seconds), simulate_twin(start(text, changes), seconds)
    roll, share, place = compare(name, ours, twin)
    assert roll < 1e-4
    assert share < 1e-6
    assert place < 1e-5


def tips(depth: float, twin: bool) -> bool:
    prepared = start(HUNG + hole("front-left", f"{1e3 * depth:.4f} mm"))
    result = simulate_twin(prepared, 6.0) if twin else play(prepared, 6.0)
    return bool(np.abs(series(result, "roll")).max() > np.radians(40.0))


@pytest.mark.slow
def test_both_engines_tip_at_the_same_depth() -> None:
    """By bisection to 0.5 mm; within 2 mm."""
    found = []
    for twin in (False, True):
        low, high = 0.06, 0.20
        assert not tips(low, twin)
        assert tips(high, twin)
        while high - low > 5e-4:
            middle = 0.5 * (low + high)
            low, high = (low, middle) if tips(middle, twin) else (middle, high)
        found.append(0.5 * (low + high))
    print(f"\ntip depth [mm]: pybullet {1e3 * found[0]:.1f}, MuJoCo {1e3 * found[1]:.1f}")
    assert abs(found[0] - found[1]) < 2e-3
    assert recorded("mujoco-tip-depth").pair == pytest.approx([1e3 * depth for depth in found], abs=0.5)


EVEN = {f"machine.mast.stiffness_{way}": "6 MN m/rad" for way in ("fore_aft", "sideways", "twist")}
EVEN["machine.mast.roller_play"] = "0 deg"
OWN = {
    "front-left 60 mm": HUNG + hole("front-left", "60 mm"),
    "both front 60 mm, rope goes slack": HUNG + both_front("60 mm"),
    "load swings": HUNG + SWING,
}


def undamped(prepared: Prepared) -> Prepared:
    """Take the damping of mast and rope out; a tendon's damping would push."""
    mast, link = prepared.build.plant.mast.copy(), prepared.build.plant.link.copy()
    mast[at.M_DX : at.M_DZ + 1] = 0.0
    link[at.L_RO_C] = 0.0
    plant = prepared.build.plant._replace(mast=mast, link=link)
    return replace(prepared, build=replace(prepared.build, plant=plant))


@pytest.mark.slow
@pytest.mark.parametrize("name", OWN)
def test_mujoco_with_its_own_rope_and_mast_gives_the_same_run(name: str) -> None:
    """A tendon that only pulls and a sprung ball joint, of equal stiffness each way: within 0.001 deg, 1e-4, 0.1 mm."""
    text = OWN[name]
    ours = play(undamped(start(text, EVEN)), SECONDS)
    twin = simulate_twin(undamped(start(text, EVEN)), SECONDS, own_springs=True)
    roll, share, place = compare(f"{name}, own springs", ours, twin)
    assert roll < 1e-3
    assert share < 1e-4
    assert place < 1e-4
    assert np.abs(series(twin, "rope_force")).max() == 0.0
    assert series(ours, "rope_force").max() > 4e4
    if "slack" in name:
        assert series(ours, "rope_force").min() == 0.0
