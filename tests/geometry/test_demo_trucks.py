"""The demo trucks are plausible machines: a moment balance of the assembled masses, and sag added by hand formulas.

"Common practice, no source" marks figures of the trade that no source was found for.
"""

import itertools
import math

import numpy as np
import pytest

from tipline.geometry import Assembly, assemble
from tipline.model.machine import CapacityPlate, Machine, Tyre
from tipline.model.reader import read_machine
from tipline.scenario.spec import Setup

GRAVITY = 9.80665
TRUCKS = {letter: read_machine(f"demo-truck-{letter}") for letter in "abc"}
TONNES = {"a": 12.0, "b": 22.0, "c": 6.0}
ROWS = [(letter, n) for letter, truck in TRUCKS.items() for n in range(len(truck.capacity_plate))]


@pytest.fixture(params=TRUCKS)
def machine(request: pytest.FixtureRequest) -> Machine:
    return TRUCKS[request.param]


def most_slabs(machine: Machine) -> int:
    assert machine.ballast_slab is not None
    return machine.ballast_slab.most


def unladen(machine: Machine, extension: float, slabs: int, fork_height: float = 0.15) -> Assembly:
    setup = Setup(attachment="forks", fork_height=fork_height, counterweight_extension=extension, ballast_slabs=slabs)
    return assemble(machine, setup)


def set_up(machine: Machine, row: CapacityPlate) -> Assembly:
    assert row.extension is not None
    assert row.slabs is not None
    common = {"counterweight_extension": row.extension, "ballast_slabs": row.slabs}
    if row.attachment == "forks":
        return assemble(machine, Setup(attachment="forks", fork_height=row.height, **common))
    return assemble(machine, Setup(attachment="jib", jib_reach=row.load_centre, hook_height=row.height, **common))


def weight_and_centre(built: Assembly) -> tuple[float, float]:
    """Mass of the truck without load, and the x of its centre."""
    return float(built.mass[:5].sum()), float(built.mass[:5] @ built.centre[:5, 0] / built.mass[:5].sum())


def rigid_tipping_load(machine: Machine, built: Assembly, out: float) -> float:
    weight, x = weight_and_centre(built)
    return -weight * x / (machine.carriage.face + out)


def sagging_tipping_load(machine: Machine, built: Assembly, out: float, load_height: float) -> float:
    """Load that tips the truck forward with tyres compressed, the mast bent and its play at the front end.

    Small angles about the drive axle's contact line; all weight is on the drive axle when the truck tips.
    """
    tyre, count, m = machine.drive_axle.tyre[0], len(machine.drive_axle.tyre), machine.mast
    assert tyre.stiffness is not None
    joint, arm = built.points.mast_joint, machine.carriage.face + out
    carriage, own = built.mass[3], built.centre[:5]
    moving = np.array([0.0, 0.0, 1.0, 1.0, 0.0]) * (own[:, 2] - joint[2])
    load, bend = rigid_tipping_load(machine, built, out), 0.0
    for _ in range(200):
        on_tyre = GRAVITY * (built.mass[:5].sum() + load) / count
        pitch = tyre.rated_load / tyre.stiffness * (on_tyre / tyre.rated_load) ** (2 / 3) / machine.wheelbase
        lean = pitch + bend
        moment = GRAVITY * load * (arm - joint[0] + (load_height - joint[2]) * lean)
        moment += GRAVITY * carriage * (own[3, 0] - joint[0] + (own[3, 2] - joint[2]) * lean)
        bend = moment / m.stiffness_fore_aft + m.roller_play / 2
        resisting = -float(built.mass[:5] @ (own[:, 0] + own[:, 2] * pitch + moving * bend))
        load = 0.5 * load + 0.5 * resisting / (arm + load_height * pitch + (load_height - joint[2]) * bend)
    return load


def load_height(machine: Machine, row: CapacityPlate) -> float:
    """Height at which the load acts: its centre on the forks, the hook when it hangs."""
    assert row.height is not None
    return row.height + (row.load_centre if row.attachment == "forks" else 0.0)


def rated(machine: Machine) -> CapacityPlate:
    row = machine.capacity_plate[0]
    assert row.note == "rated set-up"
    return row


@pytest.mark.parametrize("letter", TRUCKS)
def test_every_demo_says_so(letter: str) -> None:
    machine = TRUCKS[letter]
    assert machine.demo
    assert machine.origin == "demo"
    assert machine.name == f"demo-truck-{letter}"
    assert "Demo" in machine.title


@pytest.mark.parametrize("letter", TRUCKS)
def test_rated_load_and_own_weight(letter: str) -> None:
    """Own weight about 0.85 of the rated load: common practice, no source."""
    machine = TRUCKS[letter]
    row = rated(machine)
    assert row.load == pytest.approx(TONNES[letter] * 1e3, rel=0.025), "about 12, 22 and 6 t"
    weight, _ = weight_and_centre(unladen(machine, 0.0, row.slabs or 0))
    assert weight / row.load == pytest.approx(0.85, abs=0.02)


def test_drive_axle_share_at_the_rated_set_up(machine: Machine) -> None:
    """About nine tenths of truck plus load on the drive axle, 0.85 to 0.95: common practice, no source."""
    row = rated(machine)
    assert row.extension == machine.counterweight.stroke
    weight, x = weight_and_centre(unladen(machine, machine.counterweight.stroke, row.slabs or 0))
    moment = weight * x + row.load * (machine.carriage.face + row.load_centre)
    assert 0.85 <= 1.0 + moment / (weight + row.load) / machine.wheelbase <= 0.95


@pytest.mark.parametrize("letter", ["a", "c"])
def test_falls_back_unladen_with_the_counterweight_out_and_all_slabs_on(letter: str) -> None:
    machine = TRUCKS[letter]
    _, x = weight_and_centre(unladen(machine, machine.counterweight.stroke, most_slabs(machine)))
    assert x < -machine.wheelbase - 0.05


def test_truck_b_stands_unladen_but_light_in_front_with_everything_out() -> None:
    machine = TRUCKS["b"]
    _, x = weight_and_centre(unladen(machine, machine.counterweight.stroke, most_slabs(machine)))
    assert 0.90 < -x / machine.wheelbase < 0.98


@pytest.mark.parametrize("slabs", ["none", "rated", "all"])
def test_stands_well_unladen_with_the_counterweight_home(machine: Machine, slabs: str) -> None:
    count = {"none": 0, "rated": rated(machine).slabs or 0, "all": most_slabs(machine)}[slabs]
    _, x = weight_and_centre(unladen(machine, 0.0, count))
    assert 0.5 < -x / machine.wheelbase < 0.8


def test_stands_unladen_at_the_rated_set_up(machine: Machine) -> None:
    _, x = weight_and_centre(unladen(machine, machine.counterweight.stroke, rated(machine).slabs or 0))
    assert -x / machine.wheelbase < 0.96


def test_forward_margin_with_the_load_low_and_raised(machine: Machine) -> None:
    """Regulators' guide: 30 to 50 % with the load down, 15 to 20 % fully raised (from memory)."""
    row = rated(machine)
    low = unladen(machine, machine.counterweight.stroke, row.slabs or 0)
    assert 1.30 < rigid_tipping_load(machine, low, row.load_centre) / row.load < 1.50
    raised = set_up(machine, row)
    tipping = sagging_tipping_load(machine, raised, row.load_centre, load_height(machine, row))
    assert 0.15 < tipping / row.load - 1.0 < 0.205
    assert 0.15 < 1.0 - row.load / tipping < 0.20


@pytest.mark.parametrize(("letter", "index"), ROWS)
def test_plate_rows_stay_below_tipping(letter: str, index: int) -> None:
    machine = TRUCKS[letter]
    row = machine.capacity_plate[index]
    tipping = sagging_tipping_load(machine, set_up(machine, row), row.load_centre, load_height(machine, row))
    share = row.load / tipping
    held = "held to the rated load" in row.note
    assert (0.70 if held else 0.79) < share < 0.85
    assert row.load <= rated(machine).load


def test_more_extension_and_slabs_carry_more_and_a_longer_load_centre_less(machine: Machine) -> None:
    plate = [row for row in machine.capacity_plate if row.attachment == "forks"]
    by_extension = [row.load for row in plate[:4]]
    assert by_extension == sorted(by_extension, reverse=True)
    assert plate[4].load < plate[0].load
    jib = [row for row in machine.capacity_plate if row.attachment == "jib" and row.extension]
    assert [row.load for row in jib] == sorted((row.load for row in jib), reverse=True)


def test_hook_reaches_about_seven_metres_on_truck_a() -> None:
    machine = TRUCKS["a"]
    assert machine.jib is not None
    assert machine.mast.top_fork_height + max(machine.jib.rise_pins) == pytest.approx(7.0, abs=0.2)


def test_tyres_have_plausible_sizes(machine: Machine) -> None:
    for tyre in (*machine.drive_axle.tyre, *machine.steer_axle.tyre):
        assert tyre.kind == "solid"
        assert 0.5 <= tyre.diameter <= 0.8
        assert 0.2 <= tyre.width <= 0.35
        assert 0.06 <= tyre.rubber_thickness <= 0.14
        assert tyre.stiffness is not None
        assert 0.05 < tyre.rated_load / tyre.stiffness / tyre.rubber_thickness < 0.25


@pytest.mark.parametrize("letter", ["a", "b"])
def test_large_tyres_have_a_secant_of_four_to_eight_meganewtons_a_metre(letter: str) -> None:
    for tyre in (*TRUCKS[letter].drive_axle.tyre, *TRUCKS[letter].steer_axle.tyre):
        assert tyre.stiffness is not None
        assert 4e6 <= tyre.stiffness <= 8e6


def test_rated_tyre_loads_are_those_of_the_worst_set_up(machine: Machine) -> None:
    """Drive tyres at the rated set-up, within 5 %; steer tyres unladen at the rated set-up, within 15 %."""
    row = rated(machine)
    weight, x = weight_and_centre(unladen(machine, machine.counterweight.stroke, row.slabs or 0))
    laden = weight + row.load
    front = laden + (weight * x + row.load * (machine.carriage.face + row.load_centre)) / machine.wheelbase
    rear = -weight * x / machine.wheelbase

    def of_each(tyres: tuple[Tyre, ...], mass: float) -> float:
        return GRAVITY * mass / len(tyres) / tyres[0].rated_load

    assert of_each(machine.drive_axle.tyre, front) == pytest.approx(1.0, abs=0.05)
    assert of_each(machine.steer_axle.tyre, rear) == pytest.approx(1.0, abs=0.15)


def test_no_two_tyres_of_an_axle_overlap(machine: Machine) -> None:
    for axle in (machine.drive_axle, machine.steer_axle):
        edges = sorted((tyre.across - tyre.width / 2, tyre.across + tyre.width / 2) for tyre in axle.tyre)
        assert all(left[1] < right[0] for left, right in itertools.pairwise(edges))
        assert sum(tyre.across for tyre in axle.tyre) == pytest.approx(0.0)


def test_mast_fits_between_the_drive_tyres(machine: Machine) -> None:
    gap = min(abs(tyre.across) - tyre.width / 2 for tyre in machine.drive_axle.tyre)
    assert machine.mast.width / 2 < gap


def test_mast_bends_by_centimetres_like_the_beam_it_stands_for(machine: Machine) -> None:
    """Deflection at the raised forks under the rated load, against a cantilever under an end moment.

    The beam that gives the same deflection, M L^2 / (2 E I), must have a plausible section: two channels of the
    stated depth, each with an I between that of one light channel and a solid bar half as wide as deep.
    """
    m, row = machine.mast, rated(machine)
    moment = GRAVITY * row.load * (machine.carriage.face + row.load_centre - (m.face - m.channel_depth / 2))
    assert row.height is not None
    lumped = moment / m.stiffness_fore_aft * (row.height - m.joint_height)
    assert 0.02 < lumped < 0.08
    length = row.height - m.foot_height
    inertia = moment * length**2 / (2.0 * 210e9 * lumped)
    solid = (m.channel_depth / 2) * m.channel_depth**3 / 12
    assert 0.2 * 2 * solid < inertia < 2.5 * 2 * solid
    assert 0.3 < (m.joint_height - m.foot_height) / length < 0.5


def test_roller_play_and_chain(machine: Machine) -> None:
    assert 0.3 <= math.degrees(machine.mast.roller_play) <= 0.5
    assert 10e6 <= machine.mast.chain_stiffness <= 30e6


def test_a_pedal_lift_stops_harder_than_the_service_brake(machine: Machine) -> None:
    assert machine.drive.pedal_lift_deceleration > machine.drive.service_deceleration
    assert machine.drive.parking_brake_force > 0.15 * GRAVITY * 1.85 * rated(machine).load
