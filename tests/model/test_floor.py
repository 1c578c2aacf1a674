"""Floors as told: words, places in plan, shipped floors, what resolved files keep."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tipline import scenario
from tipline.errors import InputError
from tipline.mechanics.soils import SOILS as CLASSES
from tipline.model import list_shipped, read_floor, read_stock
from tipline.model.document import Document
from tipline.model.floor import Floor
from tipline.model.origins import leaves
from tipline.model.plane import area_of, crosses_itself, inside, rectangle, rectangle_about, shared_area, to_outline
from tipline.model.reader import to_floor
from tipline.model.words import GRANULAR

FLOORS = list_shipped()["floor"]
HEAD = 'name = "invented"\ntitle = "Invented floor of the tests"\n'
SLAB = HEAD + '[elsewhere]\nkind = "slab"\nbelow = "soil"\n'


def floor_of(text: str) -> Floor:
    return to_floor(Document.from_text(text, "invented.toml"))


def slab_with(line: str) -> Floor:
    return floor_of(SLAB + line)


def test_there_is_a_shipped_floor_of_each_kind_and_all_say_they_are_invented():
    kinds = {"rigid"}
    for name in FLOORS:
        floor = read_floor(name)
        kinds |= {floor.elsewhere.kind, *(zone.kind for zone in floor.zone)}
        assert floor.demo
        assert floor.title.startswith("Demo ")
    assert kinds == {"rigid", "soft", "hole", "slab", "suspended", "asphalt", "ground", "cover"}
    assert len(FLOORS) >= 9


@pytest.mark.parametrize("name", FLOORS)
def test_a_resolved_file_keeps_every_value_and_word_of_a_floor_with_its_origin(name, tmp_path):
    case = scenario.read("service-stop-load-low", {"floor": name})
    scenario.write_resolved(case, tmp_path / "resolved.toml")
    again = scenario.read(tmp_path / "resolved.toml")
    assert again == case
    assert again.floor.origins == case.floor.origins
    pairs = zip(leaves(case.floor), leaves(again.floor), strict=True)
    assert all(repr(one.value) == repr(two.value) for one, two in pairs)


def test_a_floor_whose_words_have_origins_of_their_own_survives(tmp_path):
    floor = tmp_path / "own.toml"
    text = '[elsewhere]\nkind = "slab"\nbelow = { value = "basement", origin = "told" }\nsoil = "firm clay"\n'
    floor.write_text('title = "Invented"\norigin = "drawing"\n' + text, encoding="utf-8")
    case = scenario.read("service-stop-load-low", {"floor": str(floor)})
    assert case.floor.elsewhere.below == "basement, tunnel, pit or duct"
    assert case.resolved["floor.elsewhere.below"]["origin"] == "told"
    assert case.resolved["floor.elsewhere.soil"] == {
        "value": "firm clay", "si": "firm clay", "unit": "", "origin": "drawing",
    }  # fmt: skip
    assert case.resolved["floor.elsewhere.reinforcement"]["origin"] == "assumed"
    assert "reinforcement of the main floor: not known, assumed" in case.assumed
    assert "thickness of the main floor: not given, a band stands in its place, assumed" in case.assumed


def test_words_can_be_changed_from_the_command_line():
    floor = read_floor("demo-hall-c", {"zone.old slab.soil": "Stiff  Clay", "zone.old slab.thickness": "7 in"})
    assert floor.zone[0].soil == "stiff clay"
    assert floor.zone[0].thickness == pytest.approx(7 * 0.0254, rel=1e-12)
    assert floor.origins["zone.0.soil"] == "told"


@pytest.mark.parametrize(
    ("text", "pascal"),
    [("4000 psi", 27.579e6), ("C25/30", 25e6), ("c30/37", 30e6), ("C 12 / 15", 12e6), ("30 MPa", 30e6), ("8 MPa", 8e6)],
)
def test_concrete_is_told_by_strength_or_by_class(text, pascal):
    assert slab_with(f'concrete = "{text}"\n').elsewhere.concrete == pytest.approx(pascal, rel=1e-4)


@pytest.mark.parametrize(
    "text", ["C25", "C30/25", "C25/40", "C/30", "C200/240", "25", "25 kN", "concrete", "C25/30 MPa"]
)
def test_a_strength_that_can_be_read_two_ways_is_refused(text):
    with pytest.raises(InputError) as caught:
        slab_with(f'concrete = "{text}"\n')
    assert caught.value.key == "elsewhere.concrete"
    assert caught.value.line == 6


def test_the_soil_words_are_those_of_the_soil_classes():
    for word in CLASSES:
        assert slab_with(f'soil = "{word}"\n').elsewhere.soil == word
    assert slab_with('soil = "clay"\n').elsewhere.soil == "soft clay"
    assert slab_with('soil = "unknown"\n').elsewhere.soil == "not known"
    assert set(GRANULAR) < set(CLASSES)


def test_us_values_read():
    slab = slab_with('subgrade_reaction = "200 pci"\nsteel_area = "0.12 in2/ft"\nposted = "250 psf"\n').elsewhere
    assert slab.subgrade_reaction == pytest.approx(54.29e6, rel=1e-3)
    assert slab.steel_area == pytest.approx(254e-6, rel=1e-3)
    assert slab.posted == pytest.approx(11.97e3, rel=1e-3)


def test_a_cover_counts_before_the_slab_it_lies_in_and_the_rest_is_elsewhere():
    floor = read_floor("demo-hall-d")
    assert floor.zone_at((10.0, 4.3)).name == "pipe trench, west"
    assert floor.zone_at((10.0, 3.0)).name == "hall slab"
    assert floor.zone_at((-5.0, 3.0)) is None
    assert floor.part_at((-5.0, 3.0)) is floor.elsewhere
    assert floor.key_of(floor.zone[2]) == "zone.2"
    assert floor.key_of(floor.elsewhere) == "elsewhere"


def test_friction_is_that_of_the_zone_where_it_has_its_own():
    floor = read_floor("demo-site-a")
    assert floor.friction_at((18.0, 5.0), "solid") == 0.3
    assert floor.friction_at((8.0, 5.0), "solid") == 0.45
    assert floor.friction_at((-8.0, 5.0), "band") == 0.4


def test_zones_that_only_touch_do_not_overlap():
    text = ""
    for index in range(3):
        text += f'\n[[zone]]\nname = "bay {index}"\nkind = "slab"\nbelow = "soil"\ncorner = ["{6 * index} m", "0 m"]\n'
        text += 'size = ["6 m", "5 m"]\n'
    assert len(floor_of(HEAD + text).zone) == 3


def test_the_stock_has_both_kinds_and_says_it_is_invented():
    stock = read_stock("demo-stock-a", {"item.plate a.count": "2"})
    assert stock.demo
    assert {item.kind for item in stock.item} == {"steel_plate", "timber_mat"}
    assert stock.item[0].count == 2
    assert stock.origins["item.0.thickness"] == "demo"


numbers = st.floats(-20.0, 20.0)
sizes = st.tuples(st.floats(0.5, 10.0), st.floats(0.5, 10.0))


@given(
    st.tuples(numbers, numbers), sizes, st.floats(-3.0, 3.0), st.tuples(numbers, numbers), sizes, st.floats(-3.0, 3.0)
)
def test_shared_area_is_mutual_and_no_more_than_either(at, size, heading, other_at, other_size, other_heading):
    one, two = rectangle(at, size, heading), rectangle_about(other_at, other_size, other_heading)
    shared = shared_area(one, two)
    assert shared == pytest.approx(shared_area(two, one), abs=1e-6)
    assert -1e-9 <= shared <= min(abs(area_of(one)), abs(area_of(two))) * (1 + 1e-9)
    assert shared_area(one, one) == pytest.approx(math.prod(size), rel=1e-9)


@given(st.floats(0.0, 6.0), st.floats(-3.0, 3.0))
def test_shared_area_of_shifted_rectangles_is_the_product_of_what_is_left(shift, heading):
    one = rectangle((0.0, 0.0), (5.0, 2.0), heading)
    moved = rectangle((shift * math.cos(heading), shift * math.sin(heading)), (5.0, 2.0), heading)
    assert shared_area(one, moved) == pytest.approx(2.0 * max(5.0 - shift, 0.0), abs=1e-9)


def test_an_l_shaped_zone_shares_nothing_with_what_lies_in_its_corner():
    ell = ((0.0, 0.0), (6.0, 0.0), (6.0, 2.0), (2.0, 2.0), (2.0, 6.0), (0.0, 6.0))
    assert shared_area(ell, rectangle((2.0, 2.0), (4.0, 4.0), 0.0)) == pytest.approx(0.0, abs=1e-9)
    assert shared_area(ell, rectangle((1.0, 1.0), (4.0, 4.0), 0.0)) == pytest.approx(7.0, rel=1e-9)
    for first in range(len(ell)):
        turned = (*ell[first:], *ell[:first])
        assert shared_area(turned, ell) == pytest.approx(20.0, rel=1e-9)
        assert shared_area(tuple(reversed(turned)), ell) == pytest.approx(20.0, rel=1e-9)
    assert inside((1.0, 5.0), ell)
    assert not inside((3.0, 3.0), ell)
    assert to_outline((3.0, 3.0), ell) == pytest.approx(1.0)
    assert not crosses_itself(ell)
    assert crosses_itself(((0.0, 0.0), (2.0, 2.0), (2.0, 0.0), (0.0, 2.0)))
