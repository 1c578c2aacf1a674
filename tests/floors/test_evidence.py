"""What a floor has carried: which draws it leaves, by hand; what it says; what is refused."""

from __future__ import annotations

import re
from collections.abc import Callable

import numpy as np
import pytest

from cases import nine_tonnes
from tipline import scenario
from tipline.errors import InputError
from tipline.floors.answers.demand import demand
from tipline.floors.answers.report import FloorReport
from tipline.floors.known.draws import COUNT, columns
from tipline.floors.laws.of_floor import floor_laws
from tipline.floors.modes.evidence import bands_of, left_likely
from tipline.model.document import Document
from tipline.model.floor import Floor
from tipline.model.reader import to_floor
from tipline.scenario import Case

Make = Callable[..., Case]
CLAY = """title = "Invented clay"
[elsewhere]
kind = "ground"
[[elsewhere.layer]]
soil = "firm clay"
undrained_strength = "40 kPa"
"""
CARRIED = """
[[past_load]]
name = "lorry"
mass = "{mass}"
tyres = {tyres}
pressure = "{pressure}"
times = 3
"""


def floor_of(*parts: str) -> Floor:
    return to_floor(Document.from_text('name = "invented"\n' + "".join(parts), "invented.toml"))


def carried(mass: str = "20 t", tyres: int = 10, pressure: str = "250 kPa") -> str:
    return CARRIED.format(mass=mass, tyres=tyres, pressure=pressure)


@pytest.fixture
def asked(make: Make, tmp_path) -> Callable[..., FloorReport]:
    def ask(*parts: str) -> FloorReport:
        file = tmp_path / "invented.toml"
        file.write_text("".join(parts), encoding="utf-8")
        return demand(make(nine_tonnes(file)), detail=False)

    return ask


def test_only_clay_that_bears_what_it_bore_is_left() -> None:
    """Square patch on clay, Vesic: (2 + pi) (1 + 1 / (2 + pi)) cu = 6.1416 cu; 250 kPa need 40.706 kPa."""
    floor = floor_of(CLAY, carried())
    bands = bands_of(floor.elsewhere, floor)
    assert bands.kept is not None
    clay = columns(bands.layers[0].named("firm clay (layer 0) "))["firm clay (layer 0) undrained_strength"]
    assert np.array_equal(bands.kept, clay >= 250e3 / 6.14159265)
    assert 0.3 * COUNT < bands.kept.sum() < 0.5 * COUNT


def test_a_truck_on_it_is_asked_over_the_draws_that_are_left(asked: Callable[..., FloorReport]) -> None:
    before, after = asked(CLAY), asked(CLAY, carried())
    assert before.worst is not None
    assert after.worst is not None
    assert before.evidence == ()
    # patch and load are the same, and strength is in proportion to cu: 5 % of 40 kPa told lies at 24 kPa, of the rest
    # a little above 40.7 kPa
    assert before.worst.strength.low / before.worst.strength.likely == pytest.approx(24.0 / 40.0, rel=0.01)
    assert after.worst.strength.low / before.worst.strength.likely == pytest.approx(40.7 / 40.0, rel=0.03)
    assert after.worst.strength.likely > 1.1 * before.worst.strength.likely
    assert after.worst.of_limit.high < 0.65 * before.worst.of_limit.high
    assert after.worst.of_limit.worst == pytest.approx(before.worst.of_limit.likely * 40.0 / 24.0)  # the corner stays
    told = " ".join(after.evidence)
    assert "lorry: 19.6 kN on a tyre, an even share on 10 tyres, 3 times" in told
    assert "an assumption of ours" in told
    left = re.search(r"(\d+) of 2000 draws are left", told)
    assert left is not None
    assert 600 < int(left[1]) < 1000


def test_a_run_takes_the_middle_of_what_is_left(make: Make, tmp_path) -> None:
    """Clay that bore 250 kPa: the middle of the draws above 40.7 kPa, where 40 kPa is the middle of all."""
    starts = []
    for name, text in (("before", CLAY), ("after", CLAY + carried())):
        file = tmp_path / f"{name}.toml"
        file.write_text(text, encoding="utf-8")
        starts.append(floor_laws(make(nine_tonnes(file))).zones[0].soil[0])
    floor = floor_of(CLAY, carried())
    middle = left_likely(bands_of(floor.elsewhere, floor))["firm clay (layer 0) undrained_strength"]
    assert 44e3 < middle < 56e3
    assert starts[1] / starts[0] == pytest.approx(middle / 40e3, rel=1e-6)


def test_what_was_light_for_the_floor_tells_nothing(asked: Callable[..., FloorReport]) -> None:
    before, after = asked(CLAY), asked(CLAY, carried(pressure="100 kPa"))
    assert "2000 of 2000 draws are left" in " ".join(after.evidence)
    for one, two in zip(before.answers, after.answers, strict=True):
        assert two.of_limit.high == pytest.approx(one.of_limit.high, rel=0.1)


def test_a_past_that_does_not_go_with_the_floor_is_left_out_and_said(asked: Callable[..., FloorReport]) -> None:
    before, after = asked(CLAY), asked(CLAY, carried(pressure="5 MPa"))
    assert "do not go together: in 0 of 2000 draws" in " ".join(after.evidence)
    assert [one.of_limit for one in before.answers] == [one.of_limit for one in after.answers]


def test_the_same_wheels_with_no_crack_found_say_more_than_that_nothing_broke() -> None:
    slab = 'title = "Invented"\n[elsewhere]\nkind = "slab"\nbelow = "soil"\nsoil = "firm clay"\nthickness = "6 in"\n'
    heavy = carried("24 t", 4, "1 MPa")
    plain = floor_of(slab, heavy)
    looked = floor_of(slab, heavy, "no_crack = true\n")
    kept, more = (bands_of(floor.elsewhere, floor).kept for floor in (plain, looked))
    assert kept is not None
    assert more is not None
    assert 100 < more.sum() < 0.9 * kept.sum()
    assert not np.any(more & ~kept)


@pytest.mark.parametrize(
    ("changed", "key", "told"),
    [
        ('load = "40 kN"\n', "past_load.0", "one of them"),
        ('zone = "hall"\n', "past_load.0.zone", "no zone has this name"),
        ('tyres = 0\n', "past_load.0.tyres", ""),
        ('zone = "firm"\n', "past_load.0", "of which nothing is asked"),
        ('zone = "firm"\nat = ["20 m", "20 m"]\n', "past_load.0.zone", "at lies on the main floor"),
    ],
)  # fmt: skip
def test_a_past_load_that_cannot_be_is_refused_with_its_key(changed: str, key: str, told: str) -> None:
    zone = '[[zone]]\nname = "firm"\nkind = "rigid"\ncorner = ["0 m", "0 m"]\nsize = ["5 m", "5 m"]\n'
    past = carried().replace("tyres = 10\n", "") if changed.startswith("tyres") else carried()
    with pytest.raises(InputError) as caught:
        floor_of(CLAY, zone, past, changed)
    assert caught.value.key == key
    assert told in caught.value.reason


def test_a_resolved_file_keeps_what_was_carried(tmp_path) -> None:
    file = tmp_path / "own.toml"
    file.write_text(CLAY + carried(), encoding="utf-8")
    case = scenario.read("service-stop-load-low", {"floor": str(file)})
    scenario.write_resolved(case, tmp_path / "resolved.toml")
    assert scenario.read(tmp_path / "resolved.toml").floor.past_load == case.floor.past_load
