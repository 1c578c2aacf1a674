"""Speed as ratios within one run, figures printed (pytest -s); only generous ratios are asserted.

Set-up: demo truck A with a hung load over a breakthrough, or parked; 1 kHz.

Measured.

No reference counts. numba counts references of every array at every call; with thirty arrays in two named tuples that
was 5 of 7.4 us a step. The stepped kernels allocate nothing and are compiled without (`kernels/compiled.py`).

Speed of a step (a quiet machine, least of many, processor time): kernels and record 3.1 us, reading 3.9, applying
1.9, bare `stepSimulation` 2.6; 8 s at 1 kHz in 0.10 s. The whole step is 4.8 to 5.0 times the bare one, up to 5.4
beside other work; with every tyre on yielding ground 1.12 times the step on a rigid floor. Joints are read instead of
links (before: reading 5.5, 5.9 times); the bodies follow from them in the kernel (`kernels/reading.py`). Links that
are not read are not brought up to date, and pybullet then takes the arm of a force on one from where it was a step
ago; `World.apply` allows for that.

The floor of the API (two cores under a load of ten, least of 60): place and velocity of a body are a call each, 1.1 us,
states of three joints 1.9 us whether the ball joint is among them or not, a force or torque 0.3 to 0.4 us. A truck with
a hung load needs five calls to read and eight to apply, 6.3 and 2.5 us; reading takes 7.1 us in all, applying 2.6, a
bare step 3.5. So no step with pybullet is below 3.5 times the bare one, whatever the kernels take.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from mujoco_twin import model_text
from tipline.engines import simulate
from tipline.engines.stepped import Stepped
from tipline.engines.world import World
from tipline.kernels import layout as at
from tipline.kernels.compiled import compiled
from trucks import HUNG, case, hole, start

pytestmark = pytest.mark.slow
TEXT = HUNG + hole("front-left", "60 mm")
SLAB = "stop-with-the-load-up-breaks-a-slab"


def per_step(action: Callable[[int], object], steps: int = 200, times: int = 60) -> float:
    """Least processor time a step [us] of some short stretches: other work on the machine disturbs few of them."""
    best, k = float("inf"), 0
    for _ in range(times):
        begin = time.process_time()
        for k in range(k, k + steps):  # noqa: B020
            action(k)
        best = min(best, time.process_time() - begin)
    return 1e6 * best / steps


def whole_step(times: int = 2) -> float:
    """Least time a step [us] of the product's loop, a second at a time."""
    best = float("inf")
    for _ in range(times):
        prepared = start(TEXT)
        with World(prepared, 1e-3) as world:
            loop = Stepped(prepared, world)
            loop.advance_to(0.1, None)
            for _ in range(7):
                begin = time.process_time()
                loop.advance_to(loop.time + 1.0, None)
                best = min(best, time.process_time() - begin)
    return 1e6 * best / 1000


def parts() -> tuple[float, float, float]:
    """Times [us] of kernels with record, of reading, and of applying, the truck parked."""
    prepared = start(TEXT)
    with World(prepared, 1e-3) as world:
        loop = Stepped(prepared, world)
        loop.advance_to(0.1, None)
        step, state, (_, _, *rest) = compiled("roll_out"), loop.state, loop.arguments(0, 0)
        kernel = per_step(lambda k: step(101 + k, 102 + k, *rest), 100)
        return kernel, per_step(lambda _: world.read_joints(state)), per_step(lambda _: world.apply(loop.calls), 20)


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
    return per_step(lambda _: mujoco.mj_step(model, data), 100)


def test_cost_of_a_step() -> None:
    """The aim is five times the bare step on a quiet machine; what the loop does is held to half as much again."""
    kernel, read, apply = parts()
    whole, bare, native = whole_step(), bare_step(), native_step()
    print(
        f"\nkernels and record {kernel:.1f} us, reading {read:.1f} us, applying {apply:.1f} us, "
        f"whole step {whole:.1f} us, bare pybullet {bare:.1f} us (ratio {whole / bare:.1f}), "
        f"MuJoCo with its own contacts {native:.1f} us (ratio {whole / native:.1f})"
    )
    assert kernel < whole
    assert whole < 7.5 * bare
    assert whole < 10.0 * native


def test_eight_seconds_at_one_kilohertz() -> None:
    """The stepping alone and the whole call with what it prepares and checks, against bare stepping."""
    simulate(case(TEXT))
    times = []
    for _ in range(3):
        begin = time.process_time()
        result = simulate(case(TEXT))
        times.append(time.process_time() - begin)
    stepping, bare = 8e-3 * whole_step(), 8e-3 * bare_step()
    print(
        f"\n8 s: bare pybullet {bare:.2f} s, stepping {stepping:.2f} s, whole call {min(times):.2f} s for "
        f"{len(result.time)} steps (ratio {min(times) / bare:.0f})"
    )
    assert min(times) < 14.0 * bare


def start_up(arguments: list[str], bytecode: Path) -> float:
    """Least processor time [s] of a fresh process, of five; as installed, with the modules' bytecode at hand."""
    times = []
    environment = {**os.environ, "PYTHONPYCACHEPREFIX": str(bytecode), "PYTHONDONTWRITEBYTECODE": ""}
    for _ in range(5):
        begin = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run([sys.executable, *arguments], capture_output=True, check=False, timeout=60, env=environment)
        end = resource.getrusage(resource.RUSAGE_CHILDREN)
        times.append(end.ru_utime + end.ru_stime - begin.ru_utime - begin.ru_stime)
    return min(times)


def test_start_up(tmp_path: Path) -> None:
    """--help and check, on a rigid floor and on a slab, against a Python that only imports numpy."""
    numpy = start_up(["-c", "import os; os.environ['OPENBLAS_NUM_THREADS'] = '1'; import numpy"], tmp_path)
    helped = start_up(["-m", "tipline", "--help"], tmp_path)
    rigid = start_up(["-m", "tipline", "check", "service-stop-load-high", "--quiet"], tmp_path)
    slab = start_up(["-m", "tipline", "check", SLAB, "--quiet"], tmp_path)
    print(f"\nimport numpy {numpy:.2f} s, --help {helped:.2f} s, check {rigid:.2f} s, on a slab {slab:.2f} s")
    assert helped < 4.0 * numpy
    assert rigid < 11.0 * numpy
    assert slab < 14.0 * numpy
