"""Guards: what breaks down ends with a message, never with an outcome.

Measured.

Corners no stiffer than their body allows. Corners of 20 MN/m threw loads below 200 kg away at 100 m/s; stiffness goes
with the mass of what stands on them.
"""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from typer.testing import CliRunner

from tipline.cli import app
from tipline.engines import simulate
from tipline.engines.guards import steps_at_once
from tipline.engines.many import STEP
from tipline.engines.prepare import prepare
from tipline.engines.stepped import Stepped
from tipline.engines.world import World
from tipline.errors import NumericalError
from tipline.kernels import equilibrium as rest
from tipline.kernels import layout as at
from tipline.kernels import reading
from tipline.kernels.compiled import compiled
from tipline.kernels.rollout import roll_out
from tipline.mechanics.constants import STANDARD_GRAVITY as G
from tipline.results import ENGINES, PYBULLET
from tipline.scenario import read
from tipline.sweeps.batch import run_batch
from trucks import FORKS, HUNG, case, hole, start, with_memory

TEXT = HUNG + hole("front-left", "60 mm")
OF_PYBULLET = pytest.mark.skipif(find_spec("pybullet") is None, reason="pybullet is not installed")


def test_a_step_too_long_for_a_spring_is_refused() -> None:
    stiff = {"machine.mast.chain_stiffness": "2000 MN/m", "run.time_step": "4 ms"}
    with pytest.raises(NumericalError, match=r"the lift chain would need a step of [0-9.]+ ms or less") as caught:
        simulate(case(TEXT, stiff))
    assert caught.value.quantity == "time step"
    assert caught.value.exit_code == 3


def test_a_long_step_softens_the_axles_stop_and_says_so() -> None:
    """Its stiffness is our choice, not the machine's; up to 2 ms it is one and the same."""
    plants = {step: start(TEXT, run__time_step=step) for step in ("1 ms", "2 ms", "4 ms")}
    stops = {step: one.build.plant.axle[at.A_K] for step, one in plants.items()}
    assert stops["1 ms"] == stops["2 ms"]
    assert 0.25 < stops["4 ms"] / stops["1 ms"] < 0.4
    assert [any("stop is taken softer" in note for note in one.notes) for one in plants.values()] == [
        False,
        False,
        True,
    ]


def test_a_step_too_long_for_the_damping_of_the_grip_is_refused() -> None:
    """It would run in a silent limit cycle."""
    stiff = {f"machine.drive_axle.tyre.{side}.damping_ratio": "50 %" for side in ("front-left", "front-right")}
    with pytest.raises(NumericalError, match="damping of a wheel's grip"):
        simulate(case(TEXT, stiff))
    simulate(case(TEXT, {**stiff, "run.time_step": "0.4 ms", "run.duration": "0.6 s"}))


def test_a_step_too_long_for_the_damping_of_the_steer_axles_tyres_is_refused() -> None:
    """Its rate: twice a tyre's load at rest, times damping over load times the arm squared of both, over the inertia.

    Times the step it may come to 1.4; the drive tyres, which do not turn the axle, have nothing to do with it.
    """
    plant = start(TEXT).build.plant
    steered = plant.tyre[:, at.T_BODY] == at.AXLE
    arms = float((plant.tyre[steered, at.T_Y] ** 2).sum())
    weight = G * float(plant.mass.sum()) / 4.0
    damping = 1.4 * float(plant.inertia[at.AXLE][0, 0]) / (2.0 * weight * arms * 3e-6)  # so that it allows 3 us
    tyre = plant.tyre.copy()
    tyre[steered, at.T_CHI] = damping
    with pytest.raises(NumericalError, match=r"steer axle's tyres would need a step of 0\.003 ms or less"):
        steps_at_once(plant._replace(tyre=tyre), 1e-4)
    tyre[:, at.T_CHI] = np.where(steered, 0.0, damping)
    steps_at_once(plant._replace(tyre=tyre), 1e-4)


def test_rubber_that_is_stiffer_at_once_than_settled_takes_fewer_steps_at_once() -> None:
    """Its frequency times a step of 1 ms: 0.169 settled, 0.185 with the fifth that it is stiffer at once.

    That may come to 1.4: 8.3 steps, and 7.6.
    """
    plant = prepare(read("wind-on-a-hung-panel"), dt=STEP, brief=True).build.plant
    settled = plant.tyre.copy()
    settled[:, at.T_GIVES] = 0.0
    assert (steps_at_once(plant, STEP), steps_at_once(plant._replace(tyre=settled), STEP)) == (7, 8)


def spoil(monkeypatch: pytest.MonkeyPatch, value: float) -> None:
    """From 0.4 s on the speed of the chassis reads as this value."""
    read, count = World.read_joints, [0]

    def spoiled(self: World, state: Any) -> None:
        read(self, state)
        count[0] += 1
        if count[0] > 400:
            state[reading.OWN, 7] = value

    monkeypatch.setattr(World, "read_joints", spoiled)


@OF_PYBULLET
def test_a_number_that_is_none_stops_the_run_with_time_and_quantity(monkeypatch: pytest.MonkeyPatch) -> None:
    spoil(monkeypatch, np.nan)
    with pytest.raises(NumericalError, match="not a finite number") as caught:
        simulate(case(TEXT))
    assert caught.value.time == pytest.approx(0.4, abs=0.021)
    assert caught.value.quantity == "state of the bodies"
    assert "mass" in caught.value.remedy
    assert "0.5 ms and 0.25 ms" in caught.value.reason, "a shorter step was tried"


@OF_PYBULLET
def test_a_body_too_fast_stops_the_run(monkeypatch: pytest.MonkeyPatch) -> None:
    """The library clamps speeds at 100, so an explosion does not become a NaN."""
    spoil(monkeypatch, 90.0)
    with pytest.raises(NumericalError, match="90 m/s or rad/s, beyond 50"):
        simulate(case(TEXT))


@OF_PYBULLET
def test_energy_from_nowhere_stops_the_run(monkeypatch: pytest.MonkeyPatch) -> None:
    """Forces applied 10 % stronger than they were booked."""
    apply = World.apply

    def stronger(self: World, wrench: Any) -> None:
        apply(self, 1.1 * wrench)

    monkeypatch.setattr(World, "apply", stronger)
    with pytest.raises(NumericalError, match="unaccounted for") as caught:
        simulate(case(FORKS + hole("front-left", "120 mm")))
    assert caught.value.quantity == "energy ledger"
    assert caught.value.time is not None
    assert caught.value.reason.endswith("with a step of 0.5 ms and 0.25 ms it broke down too")
    assert "the truck rolls or rocks on its tyres (machine, setup)" in caught.value.remedy
    assert "time_step" not in caught.value.remedy


SHED_LOW = """
title = "A light load comes off the hook and strikes the floor"
machine = "demo-truck-c"
floor = "demo-hall-a"
[setup]
counterweight_extension = "0.8 m"
ballast_slabs = 1
attachment = "jib"
jib_reach = "1.7 m"
hook_height = "3.3 m"
[load]
mass = "2.7 t"
size = ["1.0 m", "1.2 m", "1.2 m"]
height_of_centre = "0.4 m"
hung_by = "1.2 m"
[[event]]
kind = "load_shed"
at = "0.24 s"
[run]
duration = "1.5 s"
extend_to = "1.5 s"
"""


@pytest.mark.parametrize(
    "engine", [pytest.param(name, marks=OF_PYBULLET) if name == PYBULLET else name for name in ENGINES]
)
def test_a_run_that_a_shorter_step_mends_is_made_with_it_and_says_so(engine: str) -> None:
    """A load of 2.7 t comes down on its corners with 5 m/s: for that contact 2 ms is long."""
    long, own = (simulate(found, engine=engine) for found in (case(SHED_LOW, run__time_step="2 ms"), case(SHED_LOW)))
    assert own.meta["time_step_s"] == long.meta["time_step_s"] == 1e-3
    assert not any("broke down" in note for note in own.meta["notes"])
    assert [note for note in long.meta["notes"] if "run with a time step of 1 ms: with 2 ms it broke down" in note]
    assert np.diff(long.time) == pytest.approx(2e-3), "recorded as often as asked for"
    assert (long.poses == own.poses[::2]).all()


def test_a_run_of_many_that_a_shorter_step_mends_is_made_with_it() -> None:
    batched = run_batch([case(SHED_LOW)], dt=2e-3)[0]
    assert batched.step < 2e-3
    assert batched.lifted_load == "dropped"


@OF_PYBULLET
def test_a_breakdown_is_exit_code_3_with_one_message_and_no_folder(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    spoil(monkeypatch, np.nan)
    file, out = tmp_path / "case.toml", tmp_path / "out"
    file.write_text(TEXT, encoding="utf-8")
    result = CliRunner().invoke(app, ["run", str(file), "--out", str(out), "--no-pictures", "--quiet"])
    assert result.exit_code == 3, result.output
    assert "not a finite number" in result.stderr
    assert "Traceback" not in result.stderr
    assert not result.stdout.strip()
    assert not out.exists()


@OF_PYBULLET
def test_a_build_without_its_inertia_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(World, "tame", lambda self: None)
    with pytest.raises(NumericalError, match="mass or inertia") as caught:
        simulate(case(TEXT))
    assert caught.value.quantity == "built model"


def test_a_body_that_stands_elsewhere_is_refused() -> None:
    prepared = start(TEXT)
    prepared.raw[at.MAST, 0] += 1e-4
    with pytest.raises(NumericalError, match=r"mast stands 0\.1 mm"), World(prepared, 1e-3):
        pass


def step_both(text: str, seconds: float, steps: int) -> tuple[list[Any], list[Any]]:
    """Run to a time, then do some steps interpreted and compiled from the same state; return what each wrote."""
    prepared = with_memory(start(text))
    table = prepared.commands.table
    with World(prepared, 1e-3) as world:
        loop = Stepped(prepared, world)
        loop.advance_to(seconds, None)
        world.read_joints(loop.state)
    written = []
    for kernel in (roll_out, compiled("roll_out")):
        state, wrench, record, buffer = (array.copy() for array in (loop.state, loop.wrench, loop.record, loop.buffer))
        for i in range(loop.k, loop.k + steps):
            kernel(i, i + 1, 1e-3, True, state, table, wrench, record, buffer, loop.index)
        arrays = [buffer[row[0] : row[4]] for row in loop.index]
        written.append([wrench, record[loop.k : loop.k + steps], *arrays])
    return written[0], written[1]


@pytest.mark.parametrize(
    "text",
    [HUNG + hole("front-left", "90 mm", "0.1 s"), FORKS + 'on_forks = "free"\n' + hole("front-left", "90 mm", "0.1 s")],
    ids=["hung", "free on forks"],
)
def test_compiled_and_interpreted_step_agree(text: str) -> None:
    """In the middle of a landing, every force, memory, record and watched figure within 1e-11 of its size."""
    interpreted, fast = step_both(text, 0.35, 3)
    for a, b in zip(interpreted, fast, strict=True):
        known = np.isfinite(a)
        assert (known == np.isfinite(b)).all()
        scale = np.abs(a[known]).max(initial=1.0)
        assert np.abs(a - b)[known].max(initial=0.0) <= 1e-11 * scale


def test_compiled_and_interpreted_equilibrium_agree() -> None:
    prepared = start(HUNG)
    plant, home = prepared.build.plant, prepared.build.home
    poses, loads = [], []
    for kernel in (rest.solve, compiled("solve")):
        q = np.zeros(rest.N_Q)
        q[rest.Q_MAST_X], q[rest.Q_MAST_Y] = plant.mast[at.M_PX], plant.mast[at.M_PY]
        tyre = np.zeros((len(plant.tyre), 14))
        status, *_ = kernel(
            q, plant, np.array([0.0, 0.3, -9.8]), np.zeros((6, 6)), home, np.zeros(len(plant.place)), np.zeros(3),
            np.zeros((6, 3)), np.zeros((6, 3, 3)), tyre, np.zeros((rest.N_Q, rest.N_Q)), False, *rest.USUAL,
        )  # fmt: skip
        assert status == rest.STANDS
        poses.append(q)
        loads.append(tyre[:, 0])
    assert poses[0] == pytest.approx(poses[1], abs=1e-12)
    assert loads[0] == pytest.approx(loads[1], rel=1e-9)
