"""Driving onto a ramp: the truck at rest on it is the truck on a turned floor; both engines; mirror; energy."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from few import slow_but
from mujoco_twin import simulate_twin
from tipline import scenario
from tipline.errors import InputError
from tipline.results import Run
from tipline.runs.outcome import outcome_of
from tipline.scenario import Case
from tipline.slope_limits.asked import at_height
from tipline.statics.truck import truck_of
from tipline.sweeps.batch import run_batch
from trucks import EMPTY, FORKS, HUNG, case, loads, play, roll, rolled, series, start

STOP = '[[event]]\nkind = "service_stop"\nat = "5 s"\n'


def ramp(slope: str, goes: str = "up", towards: str = "0 deg", begins: str = "2.6 m") -> str:
    """A ramp from the start."""
    return (
        f'[[event]]\nkind = "ramp"\nbegins = "{begins}"\nslope = "{slope}"\ngoes = "{goes}"\ntowards = "{towards}"\n'
        + STOP
    )


def driven(text: str, speed: str = "1.2 m/s", seconds: float = 9.0, **more: str) -> tuple[Case, Run]:
    """The run of a truck that drives onto it and stops."""
    changes = {"setup.speed": speed, "machine.mast.roller_play": "0 deg", **more}
    return case(text, changes), play(start(text, changes), seconds)


@pytest.mark.parametrize(
    ("text", "speed", "azimuth"),
    slow_but([
        (FORKS + ramp("10 %"), "1.2 m/s", 180.0),
        (FORKS + ramp("10 %", "down"), "1.2 m/s", 0.0),
        (FORKS + ramp("10 %", "up", "180 deg", "2.5 m"), "-1.2 m/s", 0.0),
        (HUNG + ramp("8 %"), "1.2 m/s", 180.0),
        (FORKS.replace("demo-truck-a", "demo-truck-b").replace('"1.2 m"\nballast', '"0 m"\nballast') + ramp("12 %"),
         "1.2 m/s", 180.0),
    ], HUNG + ramp("8 %")),
)  # fmt: skip
def test_at_rest_on_a_ramp_the_tyres_carry_what_they_carry_on_a_turned_floor(
    text: str, speed: str, azimuth: float
) -> None:
    """Loads across the level by the cosine of the slope, within 1 % of the weight, 3 % where a hung load still swings.

    The floor's own frame: a ramp's tyre loads are upright, those of a turned floor square to it.
    """
    here, run = driven(text, speed, 16.0)
    slope = float(here.scenario.event[0].slope)
    truck = truck_of(at_height(here, here.fork_height if here.hook_height is None else here.hook_height))
    pose = truck.solve(truck.gravity(slope, np.radians(azimuth)), truck.start(1.0))
    found = loads(run)[-7500:].mean(axis=0)
    assert found.sum() == pytest.approx(float(truck.plant.mass.sum()) * 9.80665, rel=5e-3)
    assert found * np.cos(slope) == pytest.approx(pose.loads, abs=(0.03 if truck.hung else 0.01) * found.sum())
    # measured against the floor, the frame leans as it does there
    lean = series(run, "pitch")[-7500:].mean() + (slope if azimuth == 180.0 else -slope)
    assert lean == pytest.approx(series(run, "pitch")[0], abs=np.radians(0.35))


@pytest.mark.parametrize("goes", ["up", "down"])
def test_the_drive_keeps_its_speed_and_the_ledger_closes(goes: str) -> None:
    """Within 10 % on the way, ledger within 0.3 %; it stands at the end."""
    _, run = driven(FORKS + ramp("10 %", goes))
    speed = series(run, "speed")
    assert speed[:4900].min() > 0.9 * 1.2
    assert speed[:4900].max() < 1.1 * 1.2
    assert abs(speed[-500:]).max() < 0.03
    assert float(run.meta["energy_error"]) < 3e-3
    x, z = (series(run, f"tyre_contact_{axis}.front-left")[-1] for axis in "xz")
    assert x > 4.0
    assert z == pytest.approx((0.1 if goes == "up" else -0.1) * (x - 2.6), abs=1e-4)


@pytest.mark.slow
def test_a_slanting_ramp_has_its_mirror_image() -> None:
    _, left = driven(EMPTY + ramp("12 %", towards="30 deg"))
    _, right = driven(EMPTY + ramp("12 %", towards="-30 deg"))
    assert np.abs(series(left, "roll")).max() > np.radians(2.0)
    # the drawn parts are not quite even left and right
    assert series(left, "roll") == pytest.approx(-series(right, "roll"), abs=np.radians(0.02))
    pairs = [0, 1, 2, 3], [1, 0, 3, 2]
    assert loads(left)[:, pairs[0]] == pytest.approx(loads(right)[:, pairs[1]], abs=2e3)


@pytest.mark.parametrize("text", [FORKS + ramp("10 %", "down", "20 deg"), HUNG + ramp("6 %")])
def test_the_batch_engine_drives_the_same_ramp(text: str) -> None:
    changes = {"setup.speed": "1.2 m/s", "run.duration": "6 s", "run.extend_to": "6 s"}
    one = play(start(text, changes), 6.0)
    other = rolled(start(text, changes), 6.0).record[:, 1:4]
    assert other[:5900] == pytest.approx(one.poses[:5900, 0, :3], abs=1e-5)


def test_a_finer_step_closes_the_ledger_and_changes_little() -> None:
    """Each half step halves what the ledger leaves open; greatest pitch within 0.01 deg, peak loads within 0.2 %."""
    stop = scenario.read("stop-on-the-way-down-a-ramp", {"event.0.slope": "4 %"})
    runs = [roll(stop, dt=dt, early=False).seen for dt in (2e-3, 1e-3, 5e-4)]
    for coarse, fine in pairwise(runs):
        assert fine.ledger_error == pytest.approx(0.5 * coarse.ledger_error, rel=0.1)
        assert fine.pitch[1] == pytest.approx(coarse.pitch[1], abs=np.radians(0.01))
        for tyre, (load, _) in coarse.peak_load.items():
            assert fine.peak_load[tyre][0] == pytest.approx(load, rel=2e-3)


@pytest.mark.slow
def test_mujoco_drives_the_same_ramp() -> None:
    text, changes = FORKS + ramp("10 %", "down", "20 deg"), {"setup.speed": "1.2 m/s"}
    ours, twin = play(start(text, changes), 6.0), simulate_twin(start(text, changes), 6.0)
    assert np.abs(ours.poses[..., :3] - twin.poses[..., :3]).max() < 1e-5
    assert loads(twin) == pytest.approx(loads(ours), abs=10.0)


def test_a_batch_ends_as_the_shipped_stop_on_a_ramp_and_its_neighbour() -> None:
    heights = ("3 m", "2.5 m")
    cases = [scenario.read("stop-on-the-way-down-a-ramp", {"setup.fork_height": height}) for height in heights]
    over, lifted = run_batch(cases)
    assert (over.truck, over.direction) == ("over", "front")
    assert lifted.truck == "tyre-lifted"


@pytest.mark.slow
def test_forks_too_low_for_a_ramp_run_into_it() -> None:
    _, run = driven(EMPTY + ramp("25 %"), **{"setup.fork_height": "0.08 m"})
    assert series(run, "body_force").max() > 1e3
    higher_case, higher = driven(EMPTY + ramp("25 %"), **{"setup.fork_height": "0.6 m"})
    assert series(higher, "body_force").max() == 0.0
    assert outcome_of(higher, higher_case.inputs).truck.startswith("down")


def test_a_corner_that_would_start_inside_the_ramp_is_refused() -> None:
    with pytest.raises(InputError, match="below the floor"):
        start(EMPTY + ramp("25 %", begins="0.6 m"))
