"""What is wrong with a machine: each defect changes the figure that it is of, by hand, and the run with it."""

from __future__ import annotations

from math import radians, tan
from pathlib import Path

import pytest

from tipline.errors import InputErrors
from tipline.kernels import layout as at
from tipline.kernels.joints import stop_of
from tipline.scenario import read, write_resolved
from tipline.scenario.case import Case
from tipline.scenario.reader import read_again
from tipline.scenario.spec import Lower, TiltMove, Turn
from tipline.statics.truck import truck_of
from tipline.sweeps.batch import BatchResult, run_batch

LOW, HOLE = "service-stop-load-low", "front-tyre-breaks-through-load-low"
STOP = "service-stop-load-high"
WORN = '[{ name = "front-left", worn = "20 mm" }]'


def with_(name: str, **defects: object) -> Case:
    return read(name, {f"setup.defects.{key}": value for key, value in defects.items()}, table=False)


def ended(case: Case) -> BatchResult:
    (result,) = run_batch([case])
    return result


def test_a_case_without_defects_has_the_machine_of_its_file() -> None:
    case = read(LOW, table=False)
    assert case.machine == case.as_read.machine
    assert case.scenario == case.as_read.scenario


def test_a_worn_tyre_is_lower_and_stiffer_and_a_soft_one_softer() -> None:
    """20 mm off the radius; the rest is stiffer by what it was thick over what it is; its hub stays where it was."""
    own = read(LOW, table=False).machine.drive_axle.tyre[0]
    worn = with_(LOW, tyre=WORN).machine.drive_axle
    assert (worn.tyre[0].diameter, worn.tyre[0].lost) == (own.diameter, pytest.approx(0.02))
    rows = [truck_of(one).plant.tyre[0] for one in (read(LOW, table=False), with_(LOW, tyre=WORN))]
    assert rows[0][at.T_R] - rows[1][at.T_R] == pytest.approx(0.02)
    assert rows[0][at.T_RIM] - rows[1][at.T_RIM] == pytest.approx(0.02 * rows[0][at.T_RIM] / own.rubber_thickness)
    assert own.stiffness is not None
    assert worn.tyre[0].stiffness == pytest.approx(own.stiffness * own.rubber_thickness / (own.rubber_thickness - 0.02))
    assert worn.tyre[1].lost == 0.0
    soft = with_(LOW, tyre='[{ name = "front-left", stiffness = 0.4 }]').machine.drive_axle.tyre[0]
    assert soft.stiffness == pytest.approx(0.4 * own.stiffness)
    burst = with_(LOW, tyre='[{ name = "front-left", burst = true }]').machine.drive_axle.tyre[0]
    assert burst.lost == pytest.approx(0.85 * own.rubber_thickness)


def test_a_burst_tyre_leans_the_truck_at_rest_by_what_it_stands_lower() -> None:
    """A front tyre lower by d on a track t, the steer axle pivoting, leans the frame by about d over t to that side."""
    own = read(LOW, table=False).machine.drive_axle.tyre[0]
    case = with_(LOW, tyre='[{ name = "front-left", burst = true }]')
    whole, flat = (truck_of(one) for one in (read(LOW, table=False), case))
    roll = [float(truck.rest(truck.gravity(0.0, 0.0), 0.0).q[1]) for truck in (whole, flat)]
    lower = 0.85 * own.rubber_thickness
    assert abs(roll[1] - roll[0]) == pytest.approx(lower / (2.0 * own.across), rel=0.25)
    assert roll[1] < roll[0]  # left side down


def test_each_side_has_its_own_stop() -> None:
    """One worn to the left: 9 degrees there, the file's own to the right, on the plant that all engines take."""
    own = read(HOLE, table=False).machine.steer_axle.stop
    left, right = with_(HOLE, stop_left="9 deg"), with_(HOLE, stop_right="9 deg")
    for case, stops in ((left, (radians(9.0), own)), (right, (own, radians(9.0)))):
        axle = truck_of(case).plant.axle
        assert case.machine.steer_axle.stops == pytest.approx(stops)
        assert (stop_of(axle, 0.01), stop_of(axle, -0.01)) == pytest.approx(stops)
        assert axle[at.A_STOP_RIGHT] == pytest.approx(stops[1])


@pytest.mark.slow
def test_a_worn_stop_counts_on_its_side_only_and_mirrored_alike() -> None:
    """Under a hole to the left the left stop is met: worn, the truck leans farther; the right one changes nothing.

    The same with the hole, and the worn stop, on the other side.
    """
    leans = {}
    for side, under in (("left", "front-left"), ("right", "front-right")):
        for stop in ("", "stop_left", "stop_right"):
            changes = {"event.0.under": under} | ({f"setup.defects.{stop}": "9 deg"} if stop else {})
            result = ended(read(HOLE, changes, table=False))
            leans[side, stop] = -result.roll[0] if side == "left" else result.roll[1]
    for side, other in (("left", "right"), ("right", "left")):
        assert leans[side, f"stop_{side}"] > leans[side, ""] + radians(0.5)
        assert leans[side, f"stop_{other}"] == pytest.approx(leans[side, ""], abs=radians(0.3))
    assert leans["left", "stop_left"] == pytest.approx(leans["right", "stop_right"], rel=1e-3)


def test_a_weak_brake_brakes_by_its_part_of_what_is_told_and_of_the_file() -> None:
    own = read(STOP, table=False)
    weak = read(STOP, {"setup.defects.braking": 0.5, "event.0.deceleration": "3 m/s2"}, table=False)
    assert weak.machine.drive.service_deceleration == pytest.approx(0.5 * own.machine.drive.service_deceleration)
    assert weak.machine.drive.pedal_lift_deceleration == pytest.approx(0.5 * own.machine.drive.pedal_lift_deceleration)
    assert [event.deceleration for event in weak.scenario.event if event.kind == "service_stop"] == [pytest.approx(1.5)]
    grabs = with_(STOP, braking_rise="0.05 s").machine.drive
    assert (grabs.rise_time, grabs.pedal_lift_rise_time) == (0.05, 0.05)


@pytest.mark.slow
def test_the_stop_that_tips_the_truck_does_not_with_half_the_brake() -> None:
    assert ended(read(STOP, table=False)).truck == "over"
    assert ended(with_(STOP, braking=0.5)).truck != "over"


def test_leaks_and_slack_are_events_that_come_by_themselves() -> None:
    """5 mm/s over 8 s is 40 mm lower; 4 degrees off on a wheelbase w is a turn of radius w / tan 4."""
    case = with_(LOW, lift_leak="5 mm/s", tilt_leak="0.25 deg/s", steering_off="-4 deg")
    own = read(LOW, table=False)
    lower, tilt, turn = case.scenario.event[len(own.scenario.event) :]
    assert isinstance(lower, Lower)
    assert lower.to == pytest.approx((own.scenario.setup.fork_height or 0.0) - 0.005 * own.scenario.run.duration)
    assert isinstance(tilt, TiltMove)
    assert tilt.to == pytest.approx(own.scenario.setup.tilt - radians(0.25) * own.scenario.run.duration)
    assert isinstance(turn, Turn)
    assert (turn.radius, turn.towards) == (pytest.approx(own.machine.wheelbase / tan(radians(4.0))), "right")


@pytest.mark.slow
def test_each_defect_changes_the_run() -> None:
    """Least distances and tyre loads of a drive and stop, against those of a machine with nothing wrong."""
    own = ended(read(LOW, table=False))
    told = {
        "tyre": '[{ name = "front-left", worn = "20 mm" }]', "braking": 0.6, "braking_rise": "0.05 s",
        "lift_leak": "20 mm/s", "tilt_leak": "0.3 deg/s", "steering_off": "4 deg",
    }  # fmt: skip
    for key, value in told.items():
        other = ended(with_(LOW, **{key: value}))
        moved = [abs(a - b) for a, b in zip(own.peak_load, other.peak_load, strict=True)]
        assert max(moved) > 50.0, key


def test_what_is_wrong_is_wrong_once_when_a_case_is_read_again(tmp_path: Path) -> None:
    """The resolved file has the machine as its file and the defects: read back it is the same case, not worn twice."""
    case = with_(LOW, tyre='[{ name = "front-left", worn = "20 mm" }]', stop_left="9 deg", lift_leak="5 mm/s")
    place = tmp_path / "resolved.toml"
    write_resolved(case, place)
    assert read(place).machine == case.machine
    assert read(place).scenario.event == case.scenario.event
    assert read_again(case, {"load.mass": "5 t"}).machine == case.machine


BAD = {
    "tyre": ('[{ name = "front", worn = "5 mm" }]', "setup.defects.tyre.0.name", "is no tyre of"),
    "worn": ('[{ name = "front-left", worn = "0.2 m" }]', "setup.defects.tyre.0.worn", "burst = true"),
    "braking": (0.0, "setup.defects.braking", "greater than 0"),
    "steering_off": ("20 deg", "setup.defects.steering_off", ""),
}


@pytest.mark.parametrize("key", BAD)
def test_a_wrong_defect_is_told_where_it_stands(key: str) -> None:
    value, place, said = BAD[key]
    with pytest.raises(InputErrors) as caught:
        with_(LOW, **{"tyre" if key == "worn" else key: value})
    assert any(str(one.key) == place and said in str(one) for one in caught.value.problems), str(caught.value)


def test_what_cannot_be_told_together_is_refused() -> None:
    with pytest.raises(InputErrors, match="does nothing to a truck that stands"):
        with_(HOLE, steering_off="2 deg")
    with pytest.raises(InputErrors, match="raised or lowered"):
        with_("lowering-stopped-short", lift_leak="5 mm/s")
    with pytest.raises(InputErrors, match="fixed steer axle"):
        with_("floor-turned-until-something-goes", stop_left="5 deg")
