"""Bands of what is known of a floor: likely between the ends, wider when less is known, filled values said."""

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tipline.floors.known.bands import OFFSETS, SHARES
from tipline.floors.known.of_zone import POSTED, Band, posted_answers, spreader_bands, zone_bands
from tipline.mechanics.collapse import flexural_strength_aci
from tipline.mechanics.soils import SOILS, soil_class
from tipline.model import list_shipped, read_floor
from tipline.model.document import Document
from tipline.model.ground import PlateTest
from tipline.model.reader import to_floor

HEAD = 'name = "invented"\ntitle = "Invented"\n'
STEPS = ("cored", "drawing", "told", "assumed")
LESS_IS_WORSE = {
    "thickness", "compressive_strength", "flexural_strength", "subgrade_reaction", "steel_area", "undrained_strength",
    "friction_angle", "joint_transfer",
}  # fmt: skip
MORE_IS_WORSE = {"modulus", "edge_distance", "cavity_radius", "surface_temperature", "span"}


def bands_of(text, kind="slab"):
    below = 'below = "soil"\n' if kind == "slab" else ""
    floor = to_floor(Document.from_text(f'{HEAD}[elsewhere]\nkind = "{kind}"\n{below}{text}', "invented.toml"))
    return zone_bands(floor.elsewhere, floor)


def told(key, value, origin):
    return f'{key} = {{ value = "{value}", origin = "{origin}" }}\n'


def width(band):
    return band.high / band.low


def all_bands(found):
    yield from found.bands.items()
    yield from (("joint_transfer", band) for band in found.joints)
    yield from (("cavity_radius", band) for band in (*found.cavities, *found.cavity_depths))


def every_shipped_part():
    for name in list_shipped()["floor"]:
        floor = read_floor(name)
        yield from ((floor, part) for part in (floor.elsewhere, *floor.zone))


def test_of_every_shipped_floor_likely_lies_between_the_ends_on_the_right_sides():
    count = 0
    for floor, part in every_shipped_part():
        for name, band in all_bands(zone_bands(part, floor)):
            bare = name.removeprefix("platform_").removeprefix("layer1_")
            assert band.low <= band.likely <= band.high
            if bare in LESS_IS_WORSE:
                assert band.pessimistic <= band.likely <= band.optimistic, name
            if bare in MORE_IS_WORSE:
                assert band.optimistic <= band.likely <= band.pessimistic, name
            count += 1
    assert count > 80


def test_a_band_that_does_not_hold_its_likely_value_is_refused():
    with pytest.raises(ValueError, match="lies outside"):
        Band(1.0, 2.0, 3.0, "told")


def test_every_filled_value_is_said_as_assumed():
    for floor, part in every_shipped_part():
        found = zone_bands(part, floor)
        filled = [name for name, band in all_bands(found) if band.how == "not known" or band.how.startswith("by ")]
        assert len(found.assumed) >= len(filled)
        assert all(line.endswith(", assumed") for line in found.assumed)


@pytest.mark.parametrize("kind", [*SHARES, *OFFSETS])
def test_spreads_widen_from_step_to_step(kind):
    table = {**SHARES, **OFFSETS}[kind]
    for known, less in pairwise(table):
        assert max(less) - min(less) >= max(known) - min(known) - 1e-12
        if kind != "compressive_strength":  # of a specified one the likely value itself moves
            assert min(less) <= min(known)
            assert max(less) >= max(known)


@pytest.mark.slow
@given(st.floats(0.1, 0.35))
def test_a_thickness_is_known_the_wider_the_less_is_known(thickness):
    bands = [bands_of(told("thickness", f"{thickness!r} m", origin))["thickness"] for origin in STEPS]
    bands.append(bands_of("")["thickness"])
    assert all(width(known) < width(less) for known, less in pairwise(bands))
    assert all(band.likely == thickness for band in bands[:-1])


@pytest.mark.slow
@given(st.floats(15e6, 45e6))
def test_concrete_is_known_the_wider_the_less_is_known(strength):
    found = [bands_of(told("concrete", f"{strength!r} Pa", origin)) for origin in STEPS]
    found.append(bands_of(""))
    for name in ("compressive_strength", "flexural_strength"):
        widths = [width(bands[name]) for bands in found]
        assert all(known < less for known, less in pairwise(widths)), (name, widths)


@given(st.floats(10e6, 200e6), st.sampled_from(["firm clay", "silty sand", "crushed rock"]))
def test_subgrade_is_known_the_wider_the_less_is_known(reaction, word):
    bands = [bands_of(told("subgrade_reaction", f"{reaction!r} N/m3", origin)) for origin in STEPS[1:3]]
    bands += [bands_of(told("soil", word, "told")), bands_of("")]
    widths = [width(found["subgrade_reaction"]) for found in bands]
    assert all(known <= less for known, less in pairwise(widths))
    assert widths[0] < widths[-1]


@pytest.mark.parametrize("word", SOILS)
def test_a_word_stands_for_no_less_than_its_class_and_widens_with_its_origin(word):
    layers = [
        bands_of("[[elsewhere.layer]]\n" + told("soil", word, origin), "ground").layers[0]
        for origin in ("drawing", "told", "assumed")
    ]
    row = soil_class(word)
    name, span = (
        ("undrained_strength", row.undrained_strength)
        if row.undrained_strength is not None
        else ("friction_angle", row.friction)
    )
    assert layers[0].undrained == (row.undrained_strength is not None)
    assert layers[0].bands[name].likely == pytest.approx(span.likely)
    assert layers[0].bands[name].pessimistic <= span.pessimistic * (1 + 1e-12)
    assert all(known.bands[name].low >= less.bands[name].low for known, less in pairwise(layers))
    assert width(layers[0].bands[name]) < width(layers[2].bands[name])


def test_a_soil_nobody_knows_is_wider_than_any_word_that_was_told_but_peat_and_loose_fill():
    nobody = bands_of('[[elsewhere.layer]]\nsoil = "not known"\n', "ground")
    for word in SOILS:
        if word not in {"peat", "loose fill"}:
            found = bands_of("[[elsewhere.layer]]\n" + told("soil", word, "told"), "ground")
            assert width(nobody["subgrade_reaction"]) > width(found["subgrade_reaction"])
            assert width(nobody["stiffness"]) > width(found["stiffness"])


def test_specified_concrete_is_taken_8_mpa_above_and_cored_as_found():
    drawn = bands_of(told("concrete", "C25/30", "drawing"))
    cored = bands_of(told("concrete", "C25/30", "cored"))
    assert (drawn["compressive_strength"].likely, cored["compressive_strength"].likely) == (33e6, 25e6)
    assert drawn["flexural_strength"].likely == flexural_strength_aci(33e6)


def test_thickness_off_a_drawing_may_be_a_fifth_less():
    assert bands_of(told("thickness", "6 in", "drawing"))["thickness"].pessimistic == pytest.approx(0.8 * 0.1524)


def test_a_band_says_of_which_year_the_information_is():
    assert (
        bands_of('built = 1974\ninformation_from = 1973\nthickness = "6 in"\n')["thickness"].note == "as known in 1973"
    )


def test_old_concrete_is_weaker_and_a_hidden_cavity_larger():
    old, new = bands_of("built = 1935\n"), bands_of("built = 2005\n")
    assert old["compressive_strength"].likely < new["compressive_strength"].likely
    assert old["cavity_radius"].pessimistic > new["cavity_radius"].pessimistic > 0.0
    surveyed = bands_of("built = 2005\n" + told("cavities", "surveyed", "measured"))
    assert surveyed["cavity_radius"].pessimistic < new["cavity_radius"].pessimistic
    assert bands_of("")["cavity_radius"].pessimistic == old["cavity_radius"].pessimistic


@pytest.mark.parametrize(
    ("built", "strengths"),
    [
        ("", (24, 11, 48)),
        ("built = 1949", (20, 12, 32)),
        ("built = 1979", (26, 15, 40)),
        ("built = 1980", (32, 20, 46)),
    ],
)
def test_concrete_not_told_is_of_its_years(built, strengths):
    """MPa: likely, weakest, strongest; what nobody dates is as weak as the weakest and as strong as the strongest."""
    band = bands_of(f"{built}\n")["compressive_strength"]
    found = [value / 1e6 for value in (band.likely, band.pessimistic, band.optimistic)]
    assert found == pytest.approx(strengths, rel=1e-12)


def test_reinforcement_not_told_counts_for_nothing_likely_and_none_has_none():
    assert bands_of("")["steel_area"].likely == 0.0
    assert bands_of("")["steel_area"].pessimistic == 0.0
    assert "steel_area" not in bands_of('reinforcement = "none"\n').bands
    assert set(bands_of('reinforcement = "fibre"\n').bands) >= {"fibre_residual"}
    assert bands_of('reinforcement = "mesh"\nsteel_area = "393 mm2/m"\n')["steel_area"].likely == pytest.approx(393e-6)


@given(st.floats(0.005, 0.9), st.floats(1.01, 2.0))
def test_subgrade_reaction_rises_with_the_bearing_ratio(ratio, more):
    low, high = (bands_of(f'cbr = "{100 * r!r} %"\n')["subgrade_reaction"] for r in (ratio, ratio * more))
    assert low.likely < high.likely
    assert low.how == "by bearing ratio, told"


@pytest.mark.parametrize(("percent", "reaction"), [(2, 20e6), (5, 40e6), (10, 60e6), (160, 271.77e6)])
def test_subgrade_reaction_goes_through_the_middle_of_the_usual_ranges(percent, reaction):
    assert bands_of(f'cbr = "{percent} %"\n')["subgrade_reaction"].likely == pytest.approx(reaction, rel=1e-4)


def test_joints_and_cavities_have_bands_of_their_own_in_the_order_of_the_file():
    floor = read_floor("demo-hall-c")
    found = zone_bands(floor.zone[0], floor)
    assert len(found.joints) == 3
    assert [round(band.likely, 3) for band in found.joints] == [0.4, 0.4, 0.3]
    assert found.cavities[0].pessimistic == pytest.approx(0.9)
    assert found.cavity_depths[0].likely == pytest.approx(0.12)
    assert found.joint_anywhere
    assert not zone_bands(read_floor("demo-hall-b").elsewhere, read_floor("demo-hall-b")).joint_anywhere


def test_joints_off_a_drawing_may_lie_further_off_than_measured_ones():
    def moved(*origins):
        line = '[[elsewhere.joint]]\nkind = "contraction"\n'
        line += 'line = {{ value = [["0 m", "0 m"], ["9 m", "0 m"]], origin = "{}" }}\n'
        return bands_of("".join(line.format(origin) for origin in origins))["edge_distance"].pessimistic

    assert moved("measured") < moved("drawing") < moved("told")
    assert moved("measured", "told", "measured") == moved("told")


@pytest.mark.parametrize("below", ["not known", "basement, tunnel, pit or duct"])
@pytest.mark.parametrize("kind", ["slab", "asphalt", "ground"])
def test_what_does_not_lie_on_soil_gets_no_strength(kind, below):
    text = f'{HEAD}[elsewhere]\nkind = "{kind}"\nbelow = "{below}"\n' + (
        'thickness = "1 m"\n' if kind != "ground" else ""
    )
    text += '[[elsewhere.layer]]\nsoil = "crushed rock"\n' if kind == "ground" else ""
    floor = to_floor(Document.from_text(text, "invented.toml"))
    found = zone_bands(floor.elsewhere, floor)
    assert found.refused
    assert not found.bands
    assert not found.layers


def test_suspended_floors_and_covers_nobody_knows_get_no_strength():
    floor = read_floor("demo-hall-e")
    refused = [zone_bands(part, floor).refused for part in (floor.elsewhere, *floor.zone)]
    assert ["beams" in why for why in refused] == [True, False, True]
    assert "nobody has said what is under" in refused[1]
    hall = read_floor("demo-hall-d")
    west, east, sump, *_ = (zone_bands(zone, hall) for zone in hall.zone[1:])
    assert east.refused
    assert not east.bands
    assert west["class_load"].likely == west["class_load"].pessimistic == 125e3
    assert sump["plate_thickness"].pessimistic == pytest.approx(0.019)


def test_a_class_that_was_only_told_may_be_one_class_less():
    floor = read_floor("demo-hall-d", {"zone.1.load_class": "D400"})
    assert floor.origins["zone.1.load_class"] == "told"
    assert zone_bands(floor.zone[1], floor)["class_load"].pessimistic == 200e3


@given(st.floats(-10.0, 50.0))
def test_asphalt_is_warmer_in_the_sun_and_the_unknown_sky_covers_all(celsius):
    air = f'air_temperature = "{celsius!r} degC"\n'
    sun, shade, unknown = (
        bands_of(air + more, "asphalt")["surface_temperature"] for more in ('sun = "sun"\n', 'sun = "shade"\n', "")
    )
    assert sun.likely > shade.likely
    assert unknown.low <= min(sun.low, shade.low)
    assert unknown.high >= max(sun.high, shade.high)


def test_clay_under_asphalt_is_weaker_by_word_than_by_a_measured_bearing_ratio():
    ratio = bands_of('soil = "soft clay"\n' + told("cbr", "6 %", "measured"), "asphalt")
    assert ratio["undrained_strength"].likely == pytest.approx(138e3)
    assert bands_of('soil = "soft clay"\n', "asphalt")["undrained_strength"].likely == 30e3
    assert sum("stiffness of the soil" in line for line in ratio.assumed) == 1


def test_layers_and_platform_of_ground_have_names_of_their_own():
    floor = read_floor("demo-site-a")
    found = zone_bands(floor.zone[0], floor)
    assert found["platform_friction_angle"].likely == pytest.approx(math.radians(40.0))
    assert found["platform_thickness"].pessimistic == pytest.approx(0.8 * 0.45)
    assert found["undrained_strength"].likely == 40e3
    site = read_floor("demo-site-b")
    assert zone_bands(site.elsewhere, site)["layer1_undrained_strength"].likely == 60e3


def test_spreaders_have_bands():
    floor = read_floor("demo-site-b")
    mat, plate = floor.spreader[0], floor.spreader[-1]
    assert set(spreader_bands(mat, floor)) == {"thickness", "modulus", "strength"}
    assert spreader_bands(mat, floor)["strength"].likely == 1.4
    assert spreader_bands(mat, floor)["modulus"].likely == 13e9
    nobody = mat.model_copy(update={"grade": "not known"})
    assert spreader_bands(nobody, floor)["strength"].likely == pytest.approx(1.4 / 1.5)
    assert spreader_bands(plate, floor)["yield_strength"].likely == 2.75e8
    assert spreader_bands(plate, floor)["thickness"].likely == 0.03


def test_a_posted_load_is_answered_with_why_it_does_not_decide():
    floor = read_floor("demo-hall-c")
    (text,) = posted_answers((floor.elsewhere, *floor.zone))
    assert text == f"posted load (old slab: 11.97 kN/m2). {POSTED}"
    assert "decides neither way" in POSTED
    assert posted_answers((read_floor("demo-hall-a").elsewhere,)) == ()


@pytest.mark.parametrize(("soil", "reaction"), [("stiff clay", 19.69e6), ("dense sand", 24.29e6)])
def test_a_plate_test_stands_for_the_subgrade_reaction(soil: str, reaction: float) -> None:
    """100 kPa sink a plate of 0.30 m by 2 mm: 50 MN/m3. On 0.762 m, clay: x 0.30 / 0.762 = 19.69 MN/m3;

    sand: x ((0.762 + 0.30) / (2 x 0.762))^2 = 0.4856: 24.28 MN/m3 (Terzaghi 1955, from memory).
    """
    floor = read_floor("demo-hall-c")
    test = {"pressure": "100 kPa", "sinking": "2 mm", "diameter": "0.30 m"}
    told = {"soil": soil, "plate_test": PlateTest.model_validate(test), "subgrade_reaction": None, "cbr": None}
    band = zone_bands(floor.zone[0].model_copy(update=told), floor)["subgrade_reaction"]
    assert band.likely == pytest.approx(reaction, rel=1e-3)
    assert band.pessimistic < band.likely < band.optimistic
    assert "0.3 m" in band.note or "300 mm" in band.note
