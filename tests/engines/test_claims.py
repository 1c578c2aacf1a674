"""Claims about motion: convergence, ledger, mirror and turn, same bits, what an unloaded drive tyre costs.

Measured.

Brakes act between wheel and truck. With brakes against the ground a truck that pitches forward on locked wheels
gained 2 % energy.
"""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from few import slow_but
from tipline.engines import simulate
from tipline.kernels import layout as at
from tipline.kernels.equilibrium import Q_MAST_X, mirrored
from tipline.results import Run
from tipline.statics.barrier import crest_losses
from trucks import (
    EMPTY,
    FORKS,
    FREE,
    HUNG,
    STOP,
    G,
    both_front,
    case,
    hole,
    ledger_left,
    loads,
    play,
    run,
    series,
    start,
)

SIDES = ("left", "right")
NO_PLAY = {"machine.mast.roller_play": "0 deg"}
SOFT = (
    '[[event]]\nkind = "soft_place"\nat = "0.5 s"\nunder = "front-left"\nsize = ["0.7 m", "0.5 m"]\n'
    'bearing_pressure = "500 kPa"\nhardening = "10 MPa/m"\nrate_speed = "50 mm/s"\nmost_depth = "0.2 m"\n'
)
SWING = '[[event]]\nkind = "swing"\nangle = "10 deg"\ntowards = "90 deg"\n'
PUSH = (
    '[[event]]\nkind = "push"\nat = "0.3 s"\nat_part = "load"\nforce = "8 kN"\n'
    'direction = "60 deg"\nover = "0.5 s"\nlasts = "2 s"\n'
)
LOWER = '[[event]]\nkind = "lower"\nat = "0.3 s"\nto = "6.3 m"\nstop = "0.1 s"\n'
SLIDE = '[[event]]\nkind = "counterweight"\nat = "0.3 s"\nto = "1.0 m"\n'
HOME = SLIDE.replace("1.0 m", "0.4 m")
RAISE = LOWER.replace("lower", "raise").replace("6.3 m", "1.2 m")
TILT = '[[event]]\nkind = "tilt"\nat = "0.3 s"\nto = "4 deg"\n'
DRIVE = '[[event]]\nkind = "drive"\nat = "0.3 s"\nspeed = "1.5 m/s"\n'
TURNS = '[[event]]\nkind = "floor_turns"\nat = "0.3 s"\nslope = "4 deg"\ntowards = "70 deg"\nover = "2 s"\n'
SHED = '[[event]]\nkind = "load_shed"\nat = "0.5 s"\n'


@pytest.mark.slow
@pytest.mark.parametrize("play", ["0 deg", "0.4 deg"])
def test_peak_load_and_largest_roll_converge_with_the_first_power_of_the_step(play: str) -> None:
    """Breakthrough, from 1 down to 0.125 ms: the change halves each time (observed order 0.8 to 1.2).

    At the default 1 ms the peak is within 0.4 % of the limit and the largest roll within 0.002 deg, at 2 ms within
    0.8 % and 0.004 deg. Steps from 2 ms are too long to ask an order of: the mast, which leans away at first, comes
    across its play as the truck drops, and strikes its end between two steps.
    """
    text = HUNG + hole("front-left", "60 mm")
    rows = []
    for step in ("2 ms", "1 ms", "0.5 ms", "0.25 ms", "0.125 ms"):
        result = run(text, {"machine.mast.roller_play": play}, run__time_step=step, run__duration="2 s")
        rows.append((loads(result).max(), np.degrees(np.abs(series(result, "roll")).max())))
    values = np.array(rows)
    change = np.diff(values[1:], axis=0)
    order = np.log2(change[:-1] / change[1:])
    assert (order > 0.8).all(), order
    assert (order < 1.2).all(), order
    limit = values[-1] + change[-1]
    for found, share, angle in zip(values, (8e-3, 4e-3), (4e-3, 2e-3), strict=False):
        assert found[0] == pytest.approx(limit[0], rel=share)
        assert found[1] == pytest.approx(limit[1], abs=angle)


LEDGER = {
    "breakthrough": (HUNG + hole("front-left", "60 mm"), {}),
    "breakthrough, low": (FORKS + hole("front-left", "60 mm"), {}),
    "both front": (HUNG + both_front("60 mm"), {}),
    "rear": (HUNG + hole("rear-left", "60 mm"), {}),
    "stop": (FORKS + STOP, {"setup.speed": "2 m/s"}),
    "stop, tips ahead": (HUNG + STOP, {"setup.speed": "2 m/s"}),
    "swing": (HUNG + SWING, {}),
    "soft place": (HUNG + SOFT, {}),
    "tip-over, body lands": (HUNG + hole("front-left", "200 mm"), {}),
    "tip-over, load on forks": (FORKS + hole("front-left", "350 mm"), {"setup.fork_height": "5 m"}),
    "load free on forks": (FREE + hole("front-left", "60 mm"), {}),
    "push": (HUNG + PUSH, {}),
    "lower and stop short": (HUNG + LOWER, {}),
    "raise": (FORKS + RAISE, {}),
    "tilt back": (FORKS + TILT, {"event.0.to": "5 deg"}),
    "tilt ahead": (FORKS + TILT, {"event.0.to": "-3 deg"}),
    "tilt back, load high": (FORKS + TILT, {"event.0.to": "4 deg", "setup.fork_height": "3 m"}),
    "tilt back, load free": (FREE + TILT, {"event.0.to": "4 deg"}),
    "counterweight home": (HUNG + HOME, {}),
    "counterweight": (HUNG + SLIDE, {}),
    "drive": (FORKS + DRIVE, {}),
    "floor turns": (HUNG + TURNS, {}),
    "load shed": (HUNG + SHED, {}),
}
FEW = ("breakthrough", "stop", "tip-over, body lands", "load free on forks", "soft place", "floor turns", "raise")


@pytest.mark.parametrize("name", slow_but(LEDGER, *FEW))
def test_energy_ledger_closes(name: str) -> None:
    """What is missing at any time is below 1 % of what went through (motion, loss, work), or 25 J.

    2 % for a load that lies free on the forks, whose points come on and go off the forks with what they stored, and
    where a truck lands on its body from 5 m: a landing lasts few steps.
    """
    text, changes = LEDGER[name]
    result = run(text, changes, run__duration="6 s")
    missing, through = ledger_left(result)
    assert through > 20.0, "nothing happened"
    share = 0.02 if text.startswith(FREE) or name == "tip-over, load on forks" else 0.01
    assert missing < max(share * through, 25.0), f"{missing:.0f} J of {through:.0f} J"


@pytest.mark.slow
@pytest.mark.parametrize("depth", range(100, 200, 10))
def test_energy_ledger_closes_however_the_truck_comes_down(depth: int) -> None:
    """Holes of ten depths, so that it lands, rocks and lies in ten ways; within 1 %."""
    result = run(HUNG + hole("front-left", f"{depth} mm"), run__duration="7 s")
    missing, through = ledger_left(result)
    assert np.abs(series(result, "roll")).max() > np.radians(60.0)
    assert missing < 0.01 * through, f"{missing:.0f} J of {through:.0f} J"
    assert loads(result).max() < 1e6


@pytest.mark.slow
@pytest.mark.parametrize("height", ["0.3 m", "3 m"])
@pytest.mark.parametrize("tilt", ["4 deg", "-3 deg"])
def test_a_mast_that_was_tilted_moves_as_much_as_one_set_up_tilted(height: str, tilt: str) -> None:
    """It turns about its tilt axis: about the point that it bends at, 2.2 m up, low forks went ahead as it tilted back.

    Mean of the last swings, from where the run began. The tilt moves 1.6 to 2.3 kN between the axles with the forks
    low, 8 to 12 kN with them high. In a run that tilts the mast also gives way about the tilt axis, by the same at the
    load but the other way at low forks, with or without the tilt: 0.9 kN.
    """
    changes = {"setup.fork_height": height}
    moved = run(FORKS + TILT, {**changes, "event.0.to": tilt}, run__duration="9 s")
    upright, tilted = (
        loads(run(FORKS, {**changes, "setup.tilt": by}, run__duration="0.1 s"))[-1] for by in ("0 deg", tilt)
    )
    front = loads(moved)[:, :2].sum(axis=1)
    shift, told = front[moved.at(5.0) :].mean() - front[0], tilted[:2].sum() - upright[:2].sum()
    assert abs(told) > 1.5e3
    assert shift == pytest.approx(told, rel=0.06)
    assert front[0] == pytest.approx(upright[:2].sum(), abs=900.0)


def mirrored_poses(result: Run) -> np.ndarray:
    """Poses mirrored left to right: y, and the quaternion's x and z, change sign."""
    return result.poses * np.array([1.0, -1.0, 1.0, -1.0, 1.0, -1.0, 1.0])


def same_turn(a: np.ndarray, b: np.ndarray) -> float:
    """Largest angle [rad] between two series of quaternions."""
    return float(2.0 * np.sqrt(np.maximum(0.0, 1.0 - np.abs((a * b).sum(axis=-1)))).max())


@pytest.mark.parametrize("changes", [NO_PLAY, {}], ids=["no play", "play"])
@pytest.mark.parametrize("text", [HUNG, FORKS], ids=["hung", "forks"])
def test_a_hole_under_the_other_tyre_gives_the_mirrored_answer(text: str, changes: dict[str, str]) -> None:
    """Front-left and front-right, 2 s: loads within 1e-4 of the peak, places within 0.01 mm (rounding, grown)."""
    left, right = (play(start(text + hole(f"front-{side}", "60 mm"), changes), 2.0) for side in SIDES)
    assert np.abs(loads(left) - loads(right)[:, [1, 0, 3, 2]]).max() < 1e-4 * loads(left).max()
    assert np.abs(left.poses[..., :3] - mirrored_poses(right)[..., :3]).max() < 1e-5
    assert same_turn(left.poses[..., 3:], mirrored_poses(right)[..., 3:]) < 1e-5
    assert np.abs(series(left, "roll")).max() > 0.02


def sided(kind: str, side: str) -> str:
    """An event that takes the truck to a side."""
    out = "90 deg" if side == "left" else "-90 deg"
    return {
        "hole": hole(f"front-{side}", "60 mm"),
        "soft": SOFT.replace("front-left", f"front-{side}"),
        "swing": SWING.replace("90 deg", out),
        "push": PUSH.replace("60 deg", out),
        "turns": TURNS.replace("70 deg", out),
        "late hole": PUSH.replace("60 deg", "0 deg") + hole(f"rear-{side}", "60 mm"),
    }[kind]


@pytest.mark.parametrize("kind", ["hole", "soft", "swing", "push", "turns", "late hole"])
def test_mirrored_events_start_from_mirrored_poses_with_the_play_on_the_far_side(kind: str) -> None:
    left, right = (start(HUNG + sided(kind, side), {"setup.heading": "25 deg"}).q for side in SIDES)
    assert left == pytest.approx(mirrored(right, np.radians(25.0)), abs=1e-7)
    assert right[Q_MAST_X] < -1e-3 < 1e-3 < left[Q_MAST_X], "the mast leans away from where the truck is taken to"


def test_a_turned_truck_gives_the_turned_answer() -> None:
    """Heading 77 deg at another place, 2 s: loads within 1e-4 of the peak, height and lean alike."""
    text = HUNG + hole("front-left", "60 mm")
    plain = run(text, run__duration="2 s")
    turned = run(text, {"setup.position": '["12 m", "-7 m"]'}, setup__heading="77 deg", run__duration="2 s")
    assert np.abs(loads(plain) - loads(turned)).max() < 1e-4 * loads(plain).max()
    assert np.abs(plain.poses[..., 2] - turned.poses[..., 2]).max() < 5e-5
    for name in ("roll", "pitch", "axle_angle"):
        assert np.abs(series(plain, name) - series(turned, name)).max() < 1e-5
    heading = np.radians(77.0)
    way, other = plain.poses[:, 0, :2], turned.poses[:, 0, :2] - (12.0, -7.0)
    c, s = np.cos(heading), np.sin(heading)
    assert np.abs(way @ np.array([[c, s], [-s, c]]) - other).max() < 5e-5


DIGEST = """
import sys, hashlib
sys.path.insert(0, sys.argv[1])
from trucks import HUNG, hole, run
result = run(HUNG + hole("front-left", "60 mm"), run__duration="2 s")
print(hashlib.sha256(result.poses.tobytes()).hexdigest())
"""


@pytest.mark.slow
def test_same_input_gives_the_same_bits() -> None:
    """Twice in this process, and in a fresh one."""
    text = HUNG + hole("front-left", "60 mm")
    first, second = (run(text, run__duration="2 s") for _ in range(2))
    assert first.poses.tobytes() == second.poses.tobytes()
    assert all(
        first.channels[name].values.tobytes() == second.channels[name].values.tobytes() for name in first.channels
    )
    here = str(Path(__file__).parents[1] / "shared")
    env = {**os.environ, "PYTHONHASHSEED": "7"}
    fresh = subprocess.run(
        [sys.executable, "-c", DIGEST, here], capture_output=True, text=True, check=True, timeout=120, env=env
    )
    assert fresh.stdout.strip() == hashlib.sha256(first.poses.tobytes()).hexdigest()


def stopping(text: str, changes: dict[str, str]) -> tuple[float, float]:
    """Mean deceleration from 80 to 40 % of the speed, and the stopping distance."""
    result = run(text, changes, run__duration="5 s")
    speed, at_start = np.abs(series(result, "speed")), abs(series(result, "speed")[0])
    a, b = int(np.argmax(speed < 0.8 * at_start)), int(np.argmax(speed < 0.4 * at_start))
    rate = (speed[a] - speed[b]) / (result.time[b] - result.time[a])
    begin = result.at(0.5)
    way = float(np.linalg.norm(result.poses[-1, 0, :2] - result.poses[begin, 0, :2]))
    return float(rate), way


BY_TRUCK = {
    "demo-truck-a": {},
    "demo-truck-b": {"setup.counterweight_extension": "0.5 m", "setup.ballast_slabs": "0", "load.mass": "3 t"},
    "demo-truck-c": {"setup.counterweight_extension": "0.5 m", "setup.ballast_slabs": "0", "load.mass": "3 t"},
}


@pytest.mark.parametrize("machine", BY_TRUCK)
@pytest.mark.parametrize(("speed", "told"), slow_but([("7 km/h", 1.3), ("7 km/h", 0.8), ("-5 km/h", 0.8)], "-5 km/h"))
def test_a_stop_is_as_hard_as_told(machine: str, speed: str, told: float) -> None:
    """Within 1 %: what the truck's pitching adds between 80 and 40 % of the speed. By the free radius it was 4 %."""
    changes = {"machine": machine, "setup.speed": speed, **BY_TRUCK[machine]}
    rate, _ = stopping(FORKS + STOP + f'deceleration = "{told} m/s2"\n', changes)
    assert rate == pytest.approx(told, rel=0.01)


@pytest.mark.slow
@pytest.mark.parametrize("machine", BY_TRUCK)
@pytest.mark.parametrize("speed", [8.0, -6.0])
def test_a_truck_drives_as_fast_as_told(machine: str, speed: float) -> None:
    """Within 0.3 %: the mean over the last second, in which it still pitches a little.

    By the free radius it was 4 %, 8.3 km/h where 8 was told.
    """
    drive = f'[[event]]\nkind = "drive"\nat = "0.5 s"\nspeed = "{speed} km/h"\n'
    result = run(FORKS + drive, {"machine": machine, **BY_TRUCK[machine]}, run__duration="6 s")
    assert 3.6 * result.velocities[-1000:, 0, 0].mean() == pytest.approx(speed, rel=3e-3)


HARD = STOP + 'deceleration = "6 m/s2"\n'


@pytest.mark.parametrize("sense", [1.0, -1.0], ids=["forward", "backward"])
def test_locked_drive_wheels_brake_by_their_share_of_the_weight(sense: float) -> None:
    """a/g = mu (1 - s_r) / (1 - mu h / L) ahead, (1 + ...) backward: rigid, level; within 3 % (the truck pitches)."""
    mu = 0.25
    changes = {"floor.friction.solid": f"{mu}", "setup.speed": f"{2.0 * sense} m/s"}
    rate, _ = stopping(EMPTY + HARD, changes)
    made = start(EMPTY).build
    mass = made.plant.mass
    centre = (mass[:, None] * made.centre).sum(axis=0) / mass.sum()
    base = 1.90
    share, height = -centre[0] / base, centre[2]
    formula = G * mu * (1.0 - share) / (1.0 - sense * mu * height / base)
    rolling = 1.0 + float((made.plant.tyre[2:, at.T_IW] / made.plant.tyre[2:, at.T_R] ** 2).sum() / mass.sum())
    assert rate == pytest.approx(formula / rolling, rel=0.03)


def test_an_unloaded_drive_axle_lengthens_the_stop() -> None:
    """Backward, where braking lifts the load off the drive axle: longer than forward by a third at least."""
    changes = {"floor.friction.solid": "0.4"}
    forward = stopping(EMPTY + HARD, {**changes, "setup.speed": "2 m/s"})
    backward = stopping(EMPTY + HARD, {**changes, "setup.speed": "-2 m/s"})
    assert backward[0] < 0.75 * forward[0]
    assert backward[1] > 1.3 * forward[1]


def test_a_drive_tyre_over_a_hole_brakes_nothing_while_it_falls() -> None:
    """While the front-left tyre falls, the deceleration drops to what the front-right one gives."""
    changes = {"floor.friction.solid": "0.3", "setup.speed": "2 m/s"}
    whole = run(FORKS + HARD, changes, run__duration="1.5 s")
    broken = run(FORKS + HARD + hole("front-left", "120 mm", "0.9 s"), changes, run__duration="1.5 s")
    a, b = whole.at(0.905), whole.at(0.955)
    assert loads(broken)[a:b, 0].max() == 0.0
    assert series(broken, "tyre_drag.front-left")[a:b].max() == 0.0
    slowed = [abs(series(result, "speed")[b] - series(result, "speed")[a]) for result in (whole, broken)]
    assert slowed[1] < 0.8 * slowed[0]
    pull = [sum(series(result, f"tyre_drag.front-{side}")[a:b].mean() for side in SIDES) for result in (whole, broken)]
    right = np.mean(loads(broken)[a:b, 1]) / np.mean(loads(whole)[a:b, :2].sum(axis=1))
    # a twentieth goes into holding the truck sideways
    assert 0.93 * right < pull[1] / pull[0] < 1.001 * right


def test_the_progress_of_a_run_that_goes_on_stays_between_none_and_all() -> None:
    """To 0.5 s, then on to 1.3 s, each from none to all; told every 0.2 s."""
    pytest.importorskip("pybullet")
    told: list[float] = []
    going_on = case(HUNG + hole("front-left", "60 mm", "0.3 s"), {"run.duration": "0.5 s", "run.extend_to": "1.3 s"})
    result = simulate(going_on, told.append, losses=crest_losses(going_on), engine="pybullet")
    assert result.time[-1] == pytest.approx(1.3)
    assert told == pytest.approx([0.0, 0.4, 0.8, *((time - 0.501) / 0.8 for time in (0.6, 0.8, 1.0, 1.2))], abs=3e-3)
