"""Speed as ratios within one run, figures printed (pytest -s); only generous ratios are asserted.

Set-up: demo truck A with a hung load over a breakthrough, or parked; 1 kHz.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "engine"))

from mujoco_twin import model_text
from trucks import HUNG, case, hole, start

from tipline.engine import simulate
from tipline.engine.simulate import _Loop
from tipline.engine.world import World
from tipline.kernels import layout as at
from tipline.kernels.compiled import compiled

pytestmark = pytest.mark.slow
STEPS = 4000
TEXT = HUNG + hole("front-left", "60 mm")


def per_step(action: Callable[[int], object], steps: int = STEPS, times: int = 3) -> float:
    """Least time a step [us] of some repetitions."""
    best = float("inf")
    for _ in range(times):
        begin = time.perf_counter()
        for k in range(steps):
            action(k)
        best = min(best, time.perf_counter() - begin)
    return 1e6 * best / steps


def whole_step(times: int = 3) -> float:
    """Least time a step [us] of the product's loop."""
    best = float("inf")
    for _ in range(times):
        prepared = start(TEXT)
        with World(prepared, 1e-3) as world:
            loop = _Loop(prepared, world)
            loop.advance_to(0.1, None)
            begin = time.perf_counter()
            loop.advance_to(6.1, None)
            best = min(best, time.perf_counter() - begin)
    return 1e6 * best / 6000


def kernel_step() -> float:
    """Time [us] of kernels with record, the truck parked."""
    prepared = start(TEXT)
    with World(prepared, 1e-3) as world:
        loop = _Loop(prepared, world)
        loop.advance_to(0.1, None)
        step, table = compiled("packed_step"), prepared.commands.table
        return per_step(
            lambda k: step(101 + k, 1e-3, loop._state, table, loop._wrench, loop.record, loop._buffer, loop._index), 300
        )


def bare_step() -> float:
    """Time [us] of stepping the same bodies in pybullet, nothing read, nothing applied."""
    with World(start(TEXT), 1e-3) as world:
        return per_step(lambda _: world.step())


def native_step() -> float:
    """Time [us] of MuJoCo's own contact step of the same truck: wheels as cylinders on a plane."""
    import mujoco

    prepared = start(HUNG)
    text = model_text(prepared.build, 1e-3, own_springs=False, gravity="0 0 -9.80665")
    text = text.replace('<flag contact="disable" constraint="disable"/>', "").replace(
        "<worldbody>", '<worldbody><geom type="plane" size="50 50 1"/>'
    )
    for body in (at.CHASSIS, at.AXLE):
        name = f'<body name="{at.BODIES[body]}"'
        geoms = ""
        for row in prepared.build.plant.tyre[prepared.build.plant.tyre[:, at.T_BODY] == body]:
            place = " ".join(f"{value:.6f}" for value in row[at.T_X : at.T_Z + 1])
            geoms += (
                f'<geom type="cylinder" euler="1.5707963 0 0" size="{row[at.T_R]} {row[at.T_W] / 2}" pos="{place}"/>'
            )
        before, after = text.split(name, 1)
        head, rest = after.split("<inertial", 1)
        text = f"{before}{name}{head}{geoms}<inertial{rest}"
    model = mujoco.MjModel.from_xml_string(text)
    data = mujoco.MjData(model)
    data.joint("truck").qpos[:3] = prepared.build.centre[at.CHASSIS]
    data.joint("load").qpos[:3] = prepared.build.centre[at.LOAD]
    for _ in range(50):
        mujoco.mj_step(model, data)
    assert data.ncon > 0
    return per_step(lambda _: mujoco.mj_step(model, data), 1000)


def test_cost_of_a_step() -> None:
    kernel, whole, bare, native = kernel_step(), whole_step(), bare_step(), native_step()
    print(
        f"\nkernels and record {kernel:.1f} us, whole step {whole:.1f} us, bare pybullet {bare:.1f} us "
        f"(ratio {whole / bare:.1f}), MuJoCo with its own contacts {native:.1f} us (ratio {whole / native:.1f})"
    )
    assert kernel < whole
    assert whole < 20.0 * bare
    assert whole < 10.0 * native


def test_eight_seconds_at_one_kilohertz() -> None:
    """The stepping alone and the whole call, against the simulated time."""
    simulate(case(TEXT))
    times = []
    for _ in range(3):
        begin = time.perf_counter()
        result = simulate(case(TEXT))
        times.append(time.perf_counter() - begin)
    stepping = 8e-3 * whole_step()
    print(f"\n8 s: stepping {stepping:.2f} s, whole call {min(times):.2f} s for {len(result.time)} steps")
    assert stepping < 2.0
    assert min(times) < 4.0


def start_up(arguments: list[str]) -> float:
    """Median wall time [s] of a fresh process."""
    times = []
    for _ in range(5):
        begin = time.perf_counter()
        subprocess.run([sys.executable, *arguments], capture_output=True, check=False, timeout=60)
        times.append(time.perf_counter() - begin)
    return statistics.median(times)


def test_start_up(tmp_path: Path) -> None:
    """--help and check against a Python that only imports numpy."""
    file = tmp_path / "case.toml"
    file.write_text(TEXT, encoding="utf-8")
    numpy = start_up(["-c", "import numpy"])
    helped = start_up(["-m", "tipline", "--help"])
    checked = start_up(["-m", "tipline", "check", str(file), "--quiet"])
    print(f"\nimport numpy {numpy:.2f} s, --help {helped:.2f} s, check {checked:.2f} s")
    assert helped < 6.0 * numpy
    assert checked < 15.0 * numpy
