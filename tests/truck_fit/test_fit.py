"""A machine fitted to weighings: true values within the told range, what cannot be told named, contradictions found."""

from __future__ import annotations

import tomllib
from math import atan, cos, sin, sqrt
from pathlib import Path

import numpy as np
import pytest
from tests.shared.cases import truck_of_channels
from tests.shared.spec_sheet import sheet_of, sheet_text
from tests.shared.told_ranges import AT_LEAST, AT_MOST, DRAWS, held_of_draws

import tipline
from tipline import scenario
from tipline.errors import InputError
from tipline.kernels import layout as at
from tipline.model.machine import Machine, SagReading, TyreReading, Weighing
from tipline.model.own_truck import bands_of
from tipline.model.reader import read_machine
from tipline.model.rewritten import NewValue, rewritten
from tipline.model.shipped import find
from tipline.pose.weighings import parts_as_weighed, readings_of, share_read
from tipline.set_ups.rules import LoadRules
from tipline.statics.truck import truck_of
from tipline.truck_fit.assessment import SURE, FitReport, assess_fit
from tipline.truck_fit.readings import Reading, sag_reading, weighing_readings
from tipline.truck_fit.unknowns import unknowns_of, with_values

SCALES = 20.0
"""Accuracy of every reading here, one standard deviation [kg]."""
BASE = Weighing(attachment="forks", slabs=0, extension=0.0, accuracy=SCALES)
WEIGHINGS = (
    BASE,
    BASE.model_copy(update={"extension": 1.2}),
    BASE.model_copy(update={"slabs": 6}),
    BASE.model_copy(update={"steer_axle_raised": 0.3}),
    BASE.model_copy(update={"extension": 1.2, "steer_axle_raised": 0.3}),
    BASE.model_copy(update={"attachment": "none"}),
)


@pytest.fixture(scope="module")
def machine() -> Machine:
    """Demo truck A as somebody's own, nothing of it certain, and without its plate."""
    read = read_machine("demo-truck-a")
    return read.model_copy(update={"capacity_plate": (), "origins": dict.fromkeys(read.origins, "assumed")})


def weighed(machine: Machine, weighing: Weighing, apart: tuple[float, float] = (0.0, 0.0)) -> Weighing:
    """Weigh a machine: its parts put together anew, which the fit does once for all its values."""
    mass, centre = parts_as_weighed(machine, weighing)
    steer = float(mass.sum()) * share_read(machine, weighing, mass, centre)
    drive = float(mass.sum()) - steer
    return weighing.model_copy(update={"drive_axle": drive + apart[0], "steer_axle": steer + apart[1]})


def fit_of(machine: Machine, *weighings: Weighing) -> FitReport:
    return assess_fit(machine.model_copy(update={"weighings": weighings}), LoadRules())


@pytest.mark.slow
def test_the_truth_lies_in_its_own_range_as_often_as_told(machine: Machine) -> None:
    """200 drawn trucks, each weighed six times on scales good to 20 kg: in 95 in 100, each value by itself and all."""
    unknowns = tuple(
        one for one in unknowns_of(machine) if one.dimension != "torsion_stiffness" and one.key != "jib.mass"
    )
    readings = [
        reading
        for weighing in WEIGHINGS
        for reading in weighing_readings(machine, weighing, unknowns, {"drive axle": 0.0, "steer axle": 0.0})
    ]
    inside, left = held_of_draws(readings, unknowns, SURE, np.random.default_rng(15))
    told = dict(zip((unknown.name for unknown in unknowns), inside.tolist(), strict=True))
    assert all(AT_LEAST <= count <= AT_MOST for count in told.values()), told
    assert abs(inside.sum() / (DRAWS * len(unknowns)) - 0.95) < 0.02, told
    # what such weighings are made for is determined, and not left to what the file said
    known = dict(zip((unknown.name for unknown in unknowns), left.tolist(), strict=True))
    assert max(known[name] for name in ("counterweight.mass", "ballast_slab.mass", "forks.mass")) < 0.25, known


@pytest.mark.slow
def test_what_the_fit_asks_is_what_a_machine_with_those_values_weighs(machine: Machine) -> None:
    """The sums that are asked once for all values, against the parts put together anew: to 0.1 kg."""
    unknowns = unknowns_of(machine)
    values = np.array([unknown.value + 0.5 * unknown.spread for unknown in unknowns])
    other = with_values(machine, unknowns, values.tolist())
    for weighing in (*WEIGHINGS, BASE.model_copy(update={"slope": 0.05, "attachment": "jib"})):
        for reading in weighing_readings(machine, weighing, unknowns, {"drive axle": 0.0, "steer axle": 0.0}):
            anew = weighed(other, weighing)
            by_axle = {"drive axle": anew.drive_axle, "steer axle": anew.steer_axle}
            assert reading.given(values) == pytest.approx(by_axle[reading.words], abs=0.1)


def test_a_raised_axle_and_a_slope_tell_the_height_as_by_hand(machine: Machine) -> None:
    """One mass 1 m behind and 1.3 m up on wheels of 0.3 m, wheelbase 2 m, the steer tyres 0.5 m higher."""
    wheels = {
        axle: getattr(machine, axle).model_copy(
            update={"tyre": tuple(one.model_copy(update={"diameter": 0.6}) for one in getattr(machine, axle).tyre)}
        )
        for axle in ("drive_axle", "steer_axle")
    }
    truck = machine.model_copy(update={"wheelbase": 2.0, **wheels})
    mass, centre = np.array([1000.0]), np.array([[-1.0, 0.0, 1.3]])
    turn = 0.25
    ahead = -1.0 * sqrt(1.0 - turn**2) + 1.0 * turn
    raised = share_read(truck, Weighing(steer_axle_raised=0.5), mass, centre)
    assert raised == pytest.approx(-ahead / (2.0 * sqrt(1.0 - turn**2)), rel=1e-9)
    assert raised == pytest.approx(0.370900, abs=1e-6)
    # on 5 % falling ahead the balance point lies 0.05 x 1.3 m further ahead
    assert share_read(truck, Weighing(slope=atan(0.05)), mass, centre) == pytest.approx((1.0 - 0.065) / 2.0, rel=1e-9)
    assert share_read(truck, Weighing(), mass, centre) == pytest.approx(0.5)


def test_tyres_of_an_axle_add_up(machine: Machine) -> None:
    read = [TyreReading(name="front-left", load=1900.0), TyreReading(name="front-right", load=2000.0)]
    assert readings_of(machine, Weighing(tyre=tuple(read))) == {"drive axle": 3900.0}


def test_a_sag_is_that_of_the_poses_that_check_solves(machine: Machine, tmp_path: Path) -> None:
    """5 t on the jib from 2 m to 7 m: how far the hook moves ahead, by the fit's formula and by two poses; 0.2 mm."""
    sag = SagReading(
        lifted_load=5000.0, attachment="jib", load_centre=1.6, from_height=2.0, to_height=7.0, moved_ahead=0.1,
        extension=1.2, slabs=2,
    )  # fmt: skip
    unknowns = tuple(one for one in unknowns_of(machine) if one.dimension == "torsion_stiffness")
    hooks = []
    for height in (2.0, 7.0):
        file = tmp_path / "lift.toml"
        file.write_text(
            'title = "Up"\nmachine = "demo-truck-a"\nfloor = "demo-hall-a"\n[setup]\nattachment = "jib"\n'
            f'counterweight_extension = "1.2 m"\nballast_slabs = 2\njib_reach = "1.6 m"\nhook_height = "{height} m"\n'
            '[load]\nmass = "5 t"\nsize = ["1 m", "1.6 m", "0.8 m"]\nheight_of_centre = "0.4 m"\nhung_by = "0.2 m"\n',
            encoding="utf-8",
        )
        truck = truck_of(scenario.read(file))
        pose = truck.rest(truck.gravity(0.0, 0.0), 1.0)
        link = truck.plant.link[at.L_HX : at.L_HZ + 1]
        ahead = pose.position[at.CARRIAGE] + pose.rot[at.CARRIAGE] @ link
        hooks.append(float(ahead[0] - pose.tyre[:2, 4].mean()))
    given = sag_reading(machine, sag, unknowns).given(np.array([unknowns[0].value]))
    assert given == pytest.approx(hooks[1] - hooks[0], abs=2e-4)
    assert 0.05 < given < 0.25


@pytest.mark.slow
def test_a_sag_finds_the_stiffness_of_the_mast(machine: Machine) -> None:
    """Read to 1 mm of a mast of 6 MN m/rad: found within its range, and determined."""
    sag = SagReading(
        lifted_load=5000.0, attachment="jib", load_centre=1.6, from_height=2.0, to_height=7.0, moved_ahead=0.1,
        extension=1.2, slabs=2, accuracy=0.001,
    )  # fmt: skip
    unknowns = tuple(one for one in unknowns_of(machine) if one.dimension == "torsion_stiffness")
    moved = sag_reading(machine, sag, unknowns).given(np.array([6e6]))
    found = assess_fit(
        machine.model_copy(update={"sags": (sag.model_copy(update={"moved_ahead": moved}),)}), LoadRules()
    )
    (mast,) = (one for one in found.fitted if one.unknown.key == "mast.stiffness_fore_aft")
    assert mast.value == pytest.approx(6e6, rel=0.01)
    assert mast.low < 6e6 < mast.high
    assert mast.told == "yes"


@pytest.mark.slow
def test_a_wrong_reading_is_named_first(machine: Machine) -> None:
    """300 kg too much on one axle of one weighing among six, on scales good to 20 kg."""
    right = [weighed(machine, weighing) for weighing in WEIGHINGS]
    assert not fit_of(machine, *right).contradictions
    wrong = right[2].model_copy(update={"drive_axle": (right[2].drive_axle or 0.0) + 300.0})
    again = right[2].model_copy(update={"note": "once more"})
    found = fit_of(machine, *right[:2], wrong, *right[3:], again)
    worst = found.contradictions[0]
    assert (worst.words, worst.value) == ("drive axle", wrong.drive_axle)
    assert "6 ballast slabs" in worst.where
    assert worst.against > 5.0


@pytest.mark.slow
def test_two_totals_that_differ_contradict_each_other(machine: Machine) -> None:
    one = weighed(machine, BASE)
    other = one.model_copy(update={"drive_axle": (one.drive_axle or 0.0) + 400.0})
    assert len(fit_of(machine, one, other).contradictions) >= 2


@pytest.mark.slow
def test_one_weighing_does_not_tell_parts_apart(machine: Machine) -> None:
    """Both axles once: no mass is determined, and the page says which are told only together."""
    found = fit_of(machine, weighed(machine, BASE))
    assert {one.told for one in found.fitted} <= {"partly", "no"}
    assert any("mass of the chassis" in group and "mass of the counterweight" in group for group in found.together)
    # the counterweight moved out tells it apart, and that is proposed
    proposed = {one.of.name: one for one in found.advice}
    assert "all the way out" in proposed["counterweight.mass"].how


@pytest.mark.slow
def test_the_weighing_that_is_proposed_tells_as_much_as_promised(machine: Machine) -> None:
    """The spread of the counterweight's mass after it, within a tenth; scales as good as the promise takes them."""
    first = weighed(machine, BASE).model_copy(update={"accuracy": None})
    promised = next(one for one in fit_of(machine, first).advice if one.of.name == "counterweight.mass")
    second = weighed(machine, BASE.model_copy(update={"extension": 1.2})).model_copy(update={"accuracy": None})
    after = next(one for one in fit_of(machine, first, second).fitted if one.unknown.name == "counterweight.mass")
    assert 0.5 * (after.high - after.low) == pytest.approx(promised.after, rel=0.1)
    assert promised.after < 0.5 * promised.before


@pytest.mark.slow
def test_a_plate_keeps_the_truck_from_being_too_light() -> None:
    """Demo truck A with 20 % less counterweight than its plate needs: the fit gives some of it back."""
    read = read_machine("demo-truck-a")
    light = read.counterweight.model_copy(update={"mass": 2200.0})
    update = {"counterweight": light, "origins": dict.fromkeys(read.origins, "assumed"), "weighings": (), "sags": ()}
    machine = read.model_copy(update=update)
    only = BASE.model_copy(update={"total": 8100.0, "accuracy": 2000.0})
    found = assess_fit(machine.model_copy(update={"weighings": (only,)}), LoadRules())
    rows = [one for one in found.readings if one.least]
    assert rows
    short = [one for one in rows if one.before < one.value]
    assert short
    assert all(one.after > one.before for one in short)


TICKET = """
[[weighings]]
note = "weighbridge"
attachment = "forks"
extension = "0 m"
slabs = 0
drive_axle = "4.10 t"
steer_axle = "5.55 t"
accuracy = "20 kg"

[[weighings]]
attachment = "forks"
extension = "1.2 m"
slabs = 0
drive_axle = "1.80 t"
steer_axle = "7.86 t"
accuracy = "20 kg"
"""


def own_truck(folder: Path) -> Path:
    text = find("machine", "demo-truck-a")[0].read_text(encoding="utf-8")
    text = text.replace('mass = "3.40 t"\n', 'mass = "3.40 t"  # as the dealer said\n')
    path = folder / "own.toml"
    path.write_text(text + TICKET, encoding="utf-8")
    return path


@pytest.mark.slow
def test_a_new_file_keeps_comments_and_reads_as_fitted(tmp_path: Path) -> None:
    path = own_truck(tmp_path)
    result = tipline.fit(path)
    folder = tipline.write(result, tmp_path / "out")
    new = folder / "own-fitted.toml"
    before, after = path.read_text(encoding="utf-8").split("\n"), new.read_text(encoding="utf-8").split("\n")
    assert len(before) == len(after)
    changed = [k for k in range(len(before)) if before[k] != after[k]]
    assert 0 < len(changed) <= 8
    line = next(one for one in after if "as the dealer said" in one)
    assert 'origin = "measured" }  # as the dealer said; fitted: ' in line
    read = read_machine(new)
    fitted = {one.unknown.name: one for one in result.report.fitted}
    assert read.counterweight.mass == pytest.approx(fitted["counterweight.mass"].value, rel=1e-4)
    assert read.origins["counterweight.mass"] == "measured"
    assert tipline.check("service-stop-load-low", {"machine": str(new)}).stands
    # what it weighs now is what the ticket says
    mass, centre = parts_as_weighed(read, read.weighings[0])
    assert mass.sum() == pytest.approx(9650.0, abs=30.0)
    steer = mass.sum() * share_read(read, read.weighings[0], mass, centre)
    assert steer == pytest.approx(5550.0, abs=30.0)


def test_a_value_goes_into_its_place_however_it_is_written() -> None:
    text = '# head\n[a]\nx = [ "1 m", "2 m" ] # two\ny = { value = "3 t", origin = "told" }\n[c]\nz = 1\n'
    new = NewValue("5 m", "measured", "fitted: 4 m to 6 m")
    out = rewritten(text, {("a", "x", 1): new, ("a", "y"): new, ("c", "w"): new, ("d", "v"): new})
    told = {"value": "5 m", "origin": "measured"}
    assert tomllib.loads(out) == {"a": {"x": ["1 m", told], "y": told}, "c": {"w": told, "z": 1}, "d": {"v": told}}
    assert out.startswith("# head\n[a]\nx = [ ")
    assert "# two; y fitted: 4 m to 6 m\n" in out


def test_a_machine_that_nobody_weighed_is_refused_with_what_to_add() -> None:
    with pytest.raises(InputError, match=r"no weighings and no sags.*Add \[\[weighings\]\]"):
        tipline.fit("demo-truck-a")


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"weighings": '[{attachment = "forks"}]'}, "it has no reading"),
        ({"weighings": '[{tyre = [{name = "front", load = "2 t"}]}]'}, "the machine has no such tyre"),
        (
            {"weighings": '[{tyre = [{name = "front-left", load = "2 t"}]}]'},
            "of the drive axle front-right is not read",
        ),
    ],
)
def test_a_weighing_that_cannot_be_is_told(change: dict[str, str], told: str) -> None:
    with pytest.raises(InputError) as error:
        tipline.fit("demo-truck-a", change)
    assert told in str(error.value)


def test_turning_is_that_of_two_rods() -> None:
    """Raised by so much that the truck turns by 0.1 rad: axle and centre as the cosine and sine say."""
    machine = read_machine("demo-truck-a")
    front, rear, base = machine.drive_axle.tyre[0].diameter / 2, machine.steer_axle.tyre[0].diameter / 2, 1.90
    up = base * sin(0.1) + (rear - front) * (cos(0.1) - 1.0)
    mass, centre = np.array([1.0]), np.array([[-0.8, 0.0, 0.9]])
    share = share_read(machine, Weighing(steer_axle_raised=up), mass, centre)
    ahead = -0.8 * cos(0.1) + (0.9 - front) * sin(0.1)
    assert share == pytest.approx(-ahead / (base * cos(0.1) - (rear - front) * sin(0.1)), rel=1e-6)


def test_readings_hold_their_own_words(machine: Machine) -> None:
    (reading, _) = weighing_readings(machine, weighed(machine, BASE), unknowns_of(machine))
    assert isinstance(reading, Reading)
    assert reading.where.startswith("counterweight at home, no ballast slabs, forks")
    assert reading.accuracy == SCALES


def as_read(machine: Machine, **setup: object) -> str:
    """What scales would read of a truck, as a table of its file."""
    weighing = Weighing(attachment="forks", **setup)  # type: ignore[arg-type]
    mass, centre = parts_as_weighed(machine, weighing)
    steer = float(mass.sum() * share_read(machine, weighing, mass, centre))
    told = f'drive_axle = "{mass.sum() - steer:.0f} kg"\nsteer_axle = "{steer:.0f} kg"\nattachment = "forks"\n'
    told += "".join(
        f"{key} = {value}\n" if key == "slabs" else f'{key} = "{value} m"\n' for key, value in setup.items()
    )
    return f'[[weighings]]\naccuracy = "10 kg"\n{told}'


def test_a_truck_by_plate_and_tape_is_fitted_in_its_bands(tmp_path: Path) -> None:
    """Demo truck A by its spec sheet, weighed with the counterweight out and with the steer axle 0.4 m up.

    The sliding mass is the change of the drive axle by moments, 3.4 t of it the counterweight's; the height of the
    truck's own centre is met within 10 mm by the new file and written as measured. What no scales tell stays a band.
    """
    true = read_machine("demo-truck-a")
    out, up = as_read(true, extension=1.2, slabs=2), as_read(true, extension=0.0, slabs=2, steer_axle_raised=0.4)
    file = tmp_path / "own.toml"
    file.write_text(f"{sheet_text(sheet_of('demo-truck-a'))}\n{out}\n{up}", encoding="utf-8")
    result = tipline.fit(file)
    found = {one.unknown.name: one for one in result.report.fitted}
    weight = found["plate_and_tape.counterweight_mass"]
    assert weight.value == pytest.approx(3400.0, abs=30.0)
    assert weight.low < 3400.0 < weight.high
    mass, centre = parts_as_weighed(true, Weighing(attachment="forks", extension=0.0, slabs=2))
    high = float(mass @ centre[:, 2] / mass.sum())
    height = found["plate_and_tape.own_height_of_centre"]
    assert height.value == pytest.approx(high, abs=0.01)
    assert height.low < high < height.high
    assert (weight.told, height.told, found["plate_and_tape.mast_sag"].told) == ("yes", "yes", "no")
    assert not result.report.contradictions
    folder = tipline.write(result, tmp_path / "fitted")
    new = folder / "own-fitted.toml"
    machine = read_machine(new)
    assert machine.origins["plate_and_tape.own_height_of_centre"] == "measured"
    mass, centre = parts_as_weighed(machine, Weighing(attachment="forks", extension=0.0, slabs=2))
    assert float(mass @ centre[:, 2] / mass.sum()) == pytest.approx(high, abs=0.01)
    assert {band.key for band in bands_of(machine)} == {"mast_mass", "mast_sag"}
    assert tipline.check("service-stop-load-low", {"machine": str(new)}).stands == "stands"


@pytest.mark.slow
def test_a_sag_of_a_truck_by_plate_and_tape_tells_its_lean(tmp_path: Path) -> None:
    """Of a mast that leans 0.015 rad under the rated load: the sag that it gives is read, and 0.015 found."""
    told = sheet_of("demo-truck-a")
    file = tmp_path / "own.toml"
    file.write_text(sheet_text(told | {"mast_sag": "0.015 rad"}), encoding="utf-8")
    sag = SagReading(lifted_load=6000.0, attachment="forks", load_centre=0.6, from_height=0.3, to_height=5.0,
                     moved_ahead=0.0, extension=1.2, slabs=2)  # fmt: skip
    moved = sag_reading(read_machine(file), sag, ()).given(np.zeros(0))
    reading = (
        f'[[sags]]\nlifted_load = "6 t"\nattachment = "forks"\nload_centre = "0.6 m"\nfrom_height = "0.3 m"\n'
        f'to_height = "5 m"\nmoved_ahead = "{1e3 * moved:.2f} mm"\nextension = "1.2 m"\nslabs = 2\naccuracy = "1 mm"\n'
    )
    file.write_text(f"{sheet_text(told)}\n{reading}", encoding="utf-8")
    lean = {one.unknown.name: one for one in tipline.fit(file).report.fitted}["plate_and_tape.mast_sag"]
    assert lean.value == pytest.approx(0.015, abs=2e-4)
    assert lean.told == "yes"


@pytest.mark.slow
def test_a_mast_by_its_channels_is_fitted_in_all_else(tmp_path: Path) -> None:
    """Its stiffness comes from the channels and is no unknown; the weights are."""
    file = tmp_path / "channels.toml"
    file.write_text(truck_of_channels(tmp_path).read_text(encoding="utf-8") + TICKET, encoding="utf-8")
    result = tipline.fit(file)
    found = {one.unknown.name: one for one in result.report.fitted}
    assert "mast.stiffness_fore_aft" not in found
    assert found["counterweight.mass"].told == "yes"
    folder = tipline.write(result, tmp_path / "fitted")
    assert read_machine(folder / "channels-fitted.toml").mast.section
