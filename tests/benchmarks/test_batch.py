"""Runs a second of the batch engine: against the one-at-a-time engine, MuJoCo's rollout, two threads (pytest -s).

Twelve variants of demo truck A with a hung load over a breakthrough, about a quarter of which tip; each kind varies
something else from run to run. All times are processor time on one core, measured in the same run.

Measured.

The batch engine steps by 1 ms, and by up to 8 where what is commanded keeps its course and all moves smoothly
(`kernels/pace.py`). 8 s of a hung load over a hole, in which tyres lift and land all the time, take 3.4 to 4.3 ms on
one core, some 0.4 of them preparation and what is made of what was seen. MuJoCo's `rollout` of the same bodies with its
own contacts takes 33.4 to 36.3 ms at 2 ms: 7.9 to 10 times as long. By width of batch: 7.9 for one run, 9.6 to 10 for
6, 8.5 for 12, of which more fall, 8.8 for 48, 9.2 for 192; a run by itself has nothing to take from the run before.
With early ends, as it is asked for, a batch of which five of twelve fall takes 3.9 ms a run where only the depth
varies, 4.3 to 6.3 where loads, tyres or slabs do. A second thread makes a batch 1.92 to 1.97 times as fast, whatever
varies, where the cores give 1.95 to 2.02; 1.8 in the minutes after all gates, while the system takes its memory back.

Two threads, and how they share Python. A quarter of a run is preparation where the load varies, which holds Python's
lock but for some ninety places, at each of which numpy lets go of it and whoever waits for it takes it. Threads that
prepared at once, and a third that woke at each result, made two threads 1.5 to 1.7 times as fast as one, and a run 13 %
dearer. One after the other, and nobody told before the end, they were 1.72 to 2.01 times as fast, by the hour: where
the cores lie apart, what Python works on has to come over at each turn. Several runs made ready at a turn
(`sweeps.batch`), 1.92 to 1.96 in the same hour, and a run is no dearer than in one thread. One thread more than cores
gained nothing: whoever has the lock is put aside by who has work that needs none.

Preparation takes 0.3 to 0.6 ms of a run where only what happens varies and truck, pose, commands and packed arrays are
taken from the run before, 1.6 to 2.3 where the truck varies too: least of twenty batches, other processes beside them;
0.7 to 1.2 and 2.1 to 3.0 before, in turn with them. A height or a size of load that was not met before costs some 7 ms
more, for solids that are drawn anew. A row of a sweep costs another 1.1 ms, for reading its case, and starts from the
row before it. One at a time, a batch of which a quarter falls took 33 to 38 times as long with the assessment that
tells as much, when a step of many took 3.6 us. 100 000 runs of the shipped breakthrough took 32 minutes of two shared
cores then; the parent, which still loaded the engine, grew from 0.61 to 0.67 GB, table and pictures included; its
first rows are those of a sweep of 300 to the bit.

What longer steps cost. Of all shipped scenarios, their neighbours and 998 drawn cases none has another word than at
single steps of 1 ms. Of 902 drawn that stay up, rolls lie within 0.06 degrees, least distances within 30 mm, peak loads
within 5 %, but for three that single steps of 0.5 ms tell apart as well (78 mm, 15 %); in the mean 0.0007 degrees, 0.6
mm and 0.16 %. Of 95 that fall, least distances lie within 21 mm, peak loads within 10 %, but for one rim that strikes
the bottom of a hole (25 %, and 13 % from 1 to 0.5 ms). While commands were stepped singly to their end it was the same,
for a tenth more time. Wheels must not be made heavier for long steps, so that their grip survives them: a truck that
rolls fell behind by 7 mm in 3 s, and one that brakes there had peak loads 30 % off; their grip is taken from their spin
after the step (`kernels/wheels.py`). They are as good as that because speeds stand half a step before the places, and
are taken on by the mean of the steps before and after: gone on from by the new step alone, least distances lay 49 mm
and peak loads 34 % apart. By 2 ms where it is rough, in place of 1, it took no less time where nothing is commanded,
and peak loads lay up to 38 % off, least distances 78 mm: a rim that strikes the bottom of a hole is stiff. Longer steps
throughout do not do: at 3 ms two free loads were refused and rolls lay 1.2 degrees apart, at 4 ms eight were refused,
one word differed, peak loads lay 31 % apart. Speeds that are taken on to the instant at which forces act make dampers
truer in long steps and left the ledger open in rough ones: not done.

Parts that nobody else can call. numba links what a kernel calls so that others may call it too. Told that nobody does
(`kernels/parts.py`), the compiler shapes each part to its one caller, constants reach it, and what is put in place of
its call is not kept: a fifth less. Shapes of arrays that are written down (`kernels/shaped.py`) took 2.5 % off, as
numba's own `reshape` has every look reckon where a value lies; one division for all corners in place of one for each,
4 %; a swaying mast that counts half for how long steps may be, a tenth. Arrays declared apart from each other, sums in
any order, and an elimination of the joints written out gained nothing.

Arrays handed over. A function that takes the truck's two named tuples gets some 250 words at every call; put in place
of their calls (`forceinline`) the stepped kernels take a quarter less time and no longer to compile. Done to the
search for the pose at rest too it makes slopes a third faster and compiling ten times as long: left.

Where a step goes (sampled at 5 kHz, 2.7 us a step where MuJoCo's takes 11): tyres a fifth, of which half in their
strips; moving the bodies a quarter, of which half for the mass matrix; watching a sixth, most of it at the tip lines;
reading states and booking energy 7 %, corners of bodies 5 %, boxes 4 %, the rest joints, chain and rope. No part is
large. 8 ms is as long as chain, rope and the steer axle on its tyres survive. Looking at the tip lines every 8 ms in
place of 4 would save 4 %, and least distances lay 41 mm off.

Standing is not stepped. Where nothing moves after the first step, the batch engine goes on at the step at which
commands begin.
"""

from __future__ import annotations

import hashlib
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest

pytest.importorskip("pybullet")

from tipline.engines import simulate
from tipline.kernels import layout as at
from tipline.runs.assessment import assess_run
from tipline.runs.outcome import outcome_of
from tipline.scenario import Case
from tipline.statics.barrier import crest_losses
from tipline.sweeps.batch import BatchResult, run_batch
from trucks import HUNG, case, hole, roll

pytestmark = pytest.mark.slow

DEPTHS = range(60, 132, 6)
TYRES = [f"machine.{axle}.tyre.{name}" for axle, name in (
    ("drive_axle", "front-left"), ("drive_axle", "front-right"), ("steer_axle", "rear-left"),
    ("steer_axle", "rear-right"),
)]  # fmt: skip


def varied(change: Callable[[int], dict[str, str]]) -> list[Case]:
    """Twelve cases over holes of different depth, each changed in its own way too."""
    return [case(HUNG + hole("front-left", f"{depth} mm"), change(index)) for index, depth in enumerate(DEPTHS)]


KINDS: dict[str, Callable[[int], dict[str, str]]] = {
    "depth alone": lambda _: {},
    "load": lambda i: {"load.mass": f"{4.6 + 0.05 * i:.2f} t", "load.centre_offset": f'["0 m", "{0.005 * i} m"]'},
    "tyres": lambda i: {f"{tyre}.stiffness": f"{5.0 + 0.1 * i:.1f} MN/m" for tyre in TYRES},
    "slabs": lambda i: {"setup.ballast_slabs": f"{1 + i % 4}"},
}


def single(cases: list[Case]) -> list[str]:
    """The one-at-a-time engine, and what the batch engine tells too: outcome, least distances, peaks."""
    return [assess_run(simulate(one, losses=crest_losses(one)), one).outcome.truck for one in cases]


def outcomes(cases: list[Case]) -> list[str]:
    """The one-at-a-time engine with its outcome alone."""
    return [outcome_of(simulate(one, losses=crest_losses(one)), one.inputs).truck for one in cases]


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


def test_its_own_steps_are_as_good_as_the_one_at_a_time_engine_needs() -> None:
    cases = varied(KINDS["depth alone"])
    fine, usual, coarse, own = (largest_roll(run_batch(cases, dt=dt)) for dt in (2.5e-4, 1e-3, 2e-3, None))
    print(f"\nroll of those that stay, against 0.25 ms [deg]: 1 ms {np.abs(usual - fine).max():.4f}, ", end="")
    print(f"2 ms {np.abs(coarse - fine).max():.4f}, 1 to 8 ms {np.abs(own - fine).max():.4f}")
    assert np.abs(coarse - fine).max() < 0.1
    assert np.abs(own - fine).max() < 0.1


@pytest.mark.parametrize("kind", KINDS)
def test_runs_a_second_on_one_core(kind: str) -> None:
    cases = varied(KINDS[kind])
    few = cases[::4]
    assert [result.truck == "over" for result in run_batch(few)] == [word == "over" for word in single(few)]
    before = per_run(run_batch, cases, 6)
    whole, told, stepped = (per_run(action, few, 1) for action in (single, outcomes, simulated))
    batch = min(before, per_run(run_batch, cases, 6))
    print(
        f"\n{kind} varies: batch {batch:.1f} ms a run, {1e3 / batch:.0f} runs a second; one at a time {whole:.0f} ms "
        f"with its assessment, {told:.0f} ms with its outcome, {stepped:.0f} ms stepped only; "
        f"ratios {whole / batch:.0f}, {told / batch:.0f}, {stepped / batch:.0f}"
    )
    assert whole > 30.0 * batch


def native_text(found: Case, dt: float) -> tuple[str, np.ndarray]:
    """The same truck for MuJoCo alone: own contacts, springs, rope and stop; its state at rest, rolled 2 deg."""
    import mujoco

    from mujoco_twin import TwinWorld, in_body_axes, model_text
    from tipline.engines.prepare import prepare

    prepared = in_body_axes(prepare(found, dt=dt))
    made = prepared.build
    plant = made.plant
    text = model_text(made, dt, True, "0 0 -9.80665").replace("ROPE", f"{prepared.commands.table[0, at.K_ROPE]:.17g}")
    text = text.replace('<flag contact="disable" constraint="disable"/>', "")
    text = text.replace('integrator="Euler"', 'integrator="implicitfast" solver="Newton" iterations="4"')
    stop, chain = plant.axle[at.A_STOP], plant.link[at.L_CH_K]
    text = text.replace('<joint name="axle"', f'<joint name="axle" limited="true" range="{-stop} {stop}"')
    text = text.replace(
        '<joint name="lift"', f'<joint name="lift" stiffness="{chain}" damping="{plant.link[at.L_CH_C]}"'
    )
    touch = 'contype="1" conaffinity="0" mass="0"'
    for body, name in enumerate(at.BODIES):
        geoms = ""
        for tyre in plant.tyre[plant.tyre[:, at.T_BODY] == body]:
            place = " ".join(str(value) for value in tyre[at.T_X : at.T_Z + 1])
            size = f"{tyre[at.T_R]} {tyre[at.T_W] / 2}"
            geoms += f'<geom type="cylinder" pos="{place}" size="{size}" zaxis="0 1 0" {touch}/>'
        corners = plant.point[plant.point[:, at.C_BODY] == body][:, at.C_X : at.C_Z + 1]
        if len(corners):
            low, high = corners.min(axis=0), corners.max(axis=0)
            place = " ".join(str(value) for value in 0.5 * (low + high))
            half = " ".join(str(max(value, 0.01)) for value in 0.5 * (high - low))
            geoms += f'<geom type="box" pos="{place}" size="{half}" {touch}/>'
        head, found_it, tail = text.partition(f'<body name="{name}"')
        first, close, rest_of = tail.partition("<inertial")
        text = head + found_it + first + geoms + close + rest_of if found_it else text
    text = text.replace("<worldbody>", '<worldbody><geom type="plane" size="0 0 1" contype="0" conaffinity="1"/>')
    twin = TwinWorld(prepared, dt, True)
    model = mujoco.MjModel.from_xml_string(text)
    data = mujoco.MjData(model)
    data.qpos[:] = twin.data.qpos
    turn = np.zeros(4)
    mujoco.mju_mulQuat(turn, np.array([np.cos(np.radians(1.0)), np.sin(np.radians(1.0)), 0.0, 0.0]), data.qpos[3:7])
    data.qpos[3:7] = turn
    state = np.zeros(mujoco.mj_stateSize(model, mujoco.mjtState.mjSTATE_FULLPHYSICS))
    mujoco.mj_getState(model, data, state, mujoco.mjtState.mjSTATE_FULLPHYSICS)
    return text, state


def test_against_the_rollout_of_mujoco_with_its_own_contacts() -> None:
    """The same bodies and joints, 8 s, one thread: theirs at 2 ms, ours at 1 to 8 ms without an early end."""
    mujoco = pytest.importorskip("mujoco")
    from mujoco import rollout

    cases = varied(KINDS["depth alone"])[:6]
    text, state = native_text(case(HUNG), 2e-3)
    model = mujoco.MjModel.from_xml_string(text)
    assert model.nbody == 1 + int((roll(cases[0]).prepared.build.plant.mass > 0.0).sum())
    data, best = mujoco.MjData(model), float("inf")
    for _ in range(3):
        begin = time.process_time()
        states, _ = rollout.rollout(model, data, np.tile(state, (6, 1)), nstep=4000)
        best = min(best, time.process_time() - begin)
    theirs = 1e3 * best / 6
    quat = states[0, :, 4:8]  # after time and place: w, x, y, z
    lean = np.degrees(np.arccos(np.clip(1.0 - 2.0 * (quat[:, 1] ** 2 + quat[:, 2] ** 2), -1.0, 1.0)))
    assert np.isfinite(states).all()
    assert lean[0] == pytest.approx(2.0, abs=0.5)
    assert lean.max() < 6.0, "it stands on its contacts"
    assert np.ptp(states[0, 2000:, 3]) < 0.02, "and neither sinks nor jumps"
    steps = np.mean([result.time for result in run_batch(cases, early=False)]) / 2e-3
    ours = per_run(lambda some: run_batch(some, early=False), cases, 6) * 4000 / steps
    print(
        f"\n8 s: batch {ours:.1f} ms a run with preparation and assessment, MuJoCo {theirs:.1f} ms at 2 ms without "
        f"({model.nbody - 1} bodies, {model.nv} speeds): {theirs / ours:.2f} x"
    )
    assert 4.0 * ours < theirs


def gain(work: Callable[[int], object]) -> float:
    """How many times as fast work is done with two threads, least of three."""
    least = {}
    for threads in (1, 2):
        times = []
        for _ in range(3):
            begin = time.perf_counter()
            work(threads)
            times.append(time.perf_counter() - begin)
        least[threads] = min(times)
    return least[1] / least[2]


def hashing(threads: int) -> None:
    """Work of a known kind that holds no lock: it tells how much of a second core is free."""
    block = bytes(8_000_000)
    with ThreadPoolExecutor(threads) as pool:
        list(pool.map(lambda _: hashlib.sha256(block).digest(), range(40)))


def test_two_threads_share_the_work() -> None:
    """Nearly what a second core gives, though a quarter of a run is preparation in Python, one thread at a time."""
    cases = varied(KINDS["load"]) * 12
    before, found, after = gain(hashing), gain(lambda threads: run_batch(cases, threads=threads)), gain(hashing)
    print(f"\n{len(cases)} runs with two threads: {found:.2f} x; the cores themselves {before:.2f} x, {after:.2f} x")
    if min(before, after) < 1.6:
        pytest.skip("other work has the second core")
    assert found > 0.85 * min(before, after)
