"""Tyres that share a cover, a plug, a platform, soil under a pavement or a spreader are asked together.

Expected numbers are by hand, for two equal patches of 300 mm by 250 mm with 30 mm between them: 630 mm by 250 mm.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import combinations
from math import pi
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tipline import engines
from tipline.floors.answers.demand import demand
from tipline.floors.known.of_zone import zone_bands
from tipline.floors.laws.of_floor import floor_laws
from tipline.floors.modes.asphalt import stress_below
from tipline.floors.modes.of_zone import modes_of
from tipline.floors.modes.situation import Situation, stood
from tipline.floors.places.patch import Patch, as_one, clusters, spoken
from tipline.geometry.ground import ZoneLaw
from tipline.model import read_floor, read_stock
from tipline.model.floor import Floor
from tipline.model.plane import rectangle_about, shared_area
from tipline.runs.breaks import broke_by_load
from tipline.scenario import Case

Make = Callable[..., Case]
TRUCK = """
title = "twins on it"
machine = "demo-truck-b"
floor = "{floor}"
[setup]
position = ["6 m", "5 m"]
counterweight_extension = "0.6 m"
ballast_slabs = 4
attachment = "forks"
fork_height = "1 m"
[load]
mass = "{mass} t"
size = ["0.9 m", "1.0 m", "1.0 m"]
height_of_centre = "0.5 m"
load_centre = "0.6 m"
[run]
duration = "1 s"
"""
FLOOR = 'title = "f"\nfriction = { solid = 0.6, band = 0.5, pneumatic = 0.6 }\n'
LID = (
    '[[zone]]\nname = "lid"\nkind = "cover"\ncorner = ["5.5 m", "5.4 m"]\nsize = ["1 m", "1 m"]\ncover = "lid"\n'
    'load_class = { value = "B125", origin = "measured" }\ndepth = "0.5 m"\n'
)
SLAB = '[elsewhere]\nkind = "slab"\nbelow = "soil"\nthickness = "200 mm"\nsoil = "stiff clay"\njoints = "all told"\n'
LAYERS = (
    '[elsewhere]\nkind = "ground"\n[[elsewhere.layer]]\nsoil = "compacted gravel"\nthickness = "0.5 m"\n'
    '[[elsewhere.layer]]\nsoil = "soft clay"\n'
)
TRENCH = (
    '[[zone]]\nname = "plate"\nkind = "cover"\ncorner = ["5.75 m", "0 m"]\nsize = ["0.6 m", "12 m"]\n'
    'cover = "steel plate"\nplate_thickness = "20 mm"\nsteel_grade = "S235"\nspan = "0.5 m"\ndepth = "0.5 m"\n'
)


def pair(load: float = 82e3, other: float = 82e3) -> list[Patch]:
    places = ((6.0, 5.885 + 0.165, load), (6.0, 5.885 - 0.165, other))
    return [Patch(f"t{n}", (x, y), 0.0, 0.25, 0.30, own) for n, (x, y, own) in enumerate(places)]


def ratio(one: Situation, floor: str, way: str, tmp_path: Path) -> float:
    """Demand over expected strength at the likely inputs."""
    bands = zone_bands(one.zone, on(floor, tmp_path))
    mode, known = next((mode, known) for mode, known in modes_of(one, bands) if mode.name.startswith(way))
    asked, strength = mode.ask({name: known[name].likely for name in mode.inputs})
    return asked / strength


def on(text: str, tmp_path: Path) -> Floor:
    (tmp_path / "floor.toml").write_text(FLOOR + text, encoding="utf-8")
    return read_floor(tmp_path / "floor.toml")


def alone_and_together(text: str, way: str, tmp_path: Path, patches: list[Patch] | None = None) -> tuple[float, float]:
    found = list(stood(on(text, tmp_path), patches or pair(), "s"))
    alone = [one for one in found if not one.patch.members]
    both = [one for one in found if one.patch.members]
    assert len(both) == 1
    return (
        max(ratio(replace(one, others=()), text, way, tmp_path) for one in alone),
        ratio(both[0], text, way, tmp_path),
    )


def test_twins_on_one_lid_ask_for_their_sum(tmp_path: Path) -> None:
    """164 kN of the 125 kN of class B125; of the planning limit, 125 kN / 1.5, it is 1.97 where one asks 0.98."""
    alone, both = alone_and_together(LID, "class", tmp_path)
    assert alone == pytest.approx(82 / 125)
    assert both == pytest.approx(164 / 125)
    assert 1.5 * both == pytest.approx(1.968)


def test_twins_go_through_a_slab_in_one_plug(tmp_path: Path) -> None:
    """By hand for 0.2 m, EN 1992 at 2 d, at the same stress: 2 x 3.613 / 4.273 = 1.691.

    Perimeters: 2 (0.25 + 0.30) + 4 pi 0.2 = 3.613 m and 2 (0.25 + 0.63) + 2.513 = 4.273 m.
    """
    alone, both = alone_and_together(SLAB, "punching", tmp_path)
    assert both / alone == pytest.approx(1.691, abs=1e-3)


def test_tyres_whose_plugs_cannot_meet_have_none_together(tmp_path: Path) -> None:
    """Four times the 240 mm that the slab may be thick are 0.96 m."""
    bands = zone_bands(on(SLAB, tmp_path).elsewhere, on(SLAB, tmp_path))
    assert bands["thickness"].high == pytest.approx(0.24)
    for gap, ways in ((0.95, ["punching"]), (0.97, [])):
        parts = [pair()[0], replace(pair()[1], at=(6.0, 6.05 - 0.30 - gap))]
        assert [mode.name for mode, _ in modes_of(together(parts, tmp_path), bands)] == ways


def together(parts: list[Patch], tmp_path: Path) -> Situation:
    return next(one for one in stood(on(SLAB, tmp_path), parts, "s") if one.patch.members)


def test_twins_press_on_clay_below_gravel_together(tmp_path: Path) -> None:
    """1 in 2 through 0.5 m: 82 kN on 0.75 by 0.80 m, 164 kN on 0.75 by 1.13 m, x 1.416; a longer footing on clay bears
    less by 1 + B / (5.14 L): 1.182 and 1.129. Together 1.483.
    """
    alone, both = alone_and_together(LAYERS, "bearing of the soft clay", tmp_path)
    assert both / alone == pytest.approx(1.483, abs=1e-3)


def test_twins_on_a_plate_over_a_trench_share_its_strip(tmp_path: Path) -> None:
    """Span 0.52 m, strip as wide as the patch and half the span: 0.56 m alone, 0.89 m together: 2 x 0.56 / 0.89."""
    alone, both = alone_and_together(TRENCH, "bending of the cover", tmp_path)
    assert both / alone == pytest.approx(2 * 0.56 / 0.89, rel=1e-3)


def test_lids_farther_apart_than_they_span_are_loaded_one_by_one(tmp_path: Path) -> None:
    row = TRENCH.replace("plate_thickness", "# ").replace('cover = "steel plate"', 'cover = "lid"\nload_class = "B125"')
    apart = [pair()[0], replace(pair()[1], at=(6.0, 6.05 - 0.30 - 0.51))]
    close = [pair()[0], replace(pair()[1], at=(6.0, 6.05 - 0.30 - 0.49))]
    counts = [sum(bool(one.patch.members) for one in stood(on(row, tmp_path), it, "s")) for it in (apart, close)]
    assert counts == [0, 1]


def test_soil_below_asphalt_is_pressed_by_both() -> None:
    """All layers alike make a half-space, asked 0.8 (0.9 x 0.44 m + 0.3 m) = 0.557 m down: x 1.678 by summing it up."""
    alike = dict.fromkeys(("asphalt_stiffness", "soil_stiffness", "base_stiffness"), 60e6)
    inputs = {"surface_temperature": 293.15, "thickness": 0.44, "base_thickness": 0.3, **alike}
    twins, middle, deep = pair(), (6.0, 5.885), 0.5568
    assert stress_below(twins[:1], twins[0].at, inputs, 0.1) == pytest.approx(
        summed(twins[:1], twins[0].at, deep), rel=0.01
    )
    assert stress_below(twins, middle, inputs, 0.1) == pytest.approx(summed(twins, middle, deep), rel=0.02)
    assert summed(twins, middle, deep) / summed(twins[:1], twins[0].at, deep) == pytest.approx(1.678, abs=0.001)


def summed(parts: list[Patch], at: tuple[float, float], deep: float) -> float:
    """Vertical stress at a depth [Pa] by Boussinesq's point loads, 40 by 40 on each patch."""
    total = 0.0
    for one in parts:
        for i in range(40):
            for j in range(40):
                x = one.at[0] + one.length * ((i + 0.5) / 40 - 0.5) - at[0]
                y = one.at[1] + one.width * ((j + 0.5) / 40 - 0.5) - at[1]
                total += one.load / 1600 * 3 / (2 * pi) * deep**3 / (x * x + y * y + deep * deep) ** 2.5
    return total


FLOORS = {
    "lid": LID,
    "slab": SLAB,
    "layers": LAYERS,
    "trench": TRENCH,
    "platform": LAYERS.replace("soft clay", "firm clay").replace(
        '[[elsewhere.layer]]\nsoil = "compacted gravel"\nthickness = "0.5 m"\n', ""
    )
    + '[elsewhere.platform]\nsoil = "crushed rock"\nthickness = "0.4 m"\n',
    "asphalt": '[elsewhere]\nkind = "asphalt"\nsoil = "stiff clay"\n[elsewhere.base]\nsoil = "crushed rock"\n',
    "mat": LAYERS + '[[spreader]]\nname = "mat"\nkind = "timber_mat"\nsize = ["1.2 m", "2 m"]\nthickness = "150 mm"\n'
    'grade = "D40"\njoined = "bolted"\nat = ["6 m", "5.885 m"]\n',
}


@pytest.fixture(scope="module", params=FLOORS)
def floor(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Floor:
    return on(FLOORS[request.param], tmp_path_factory.mktemp(request.param))


def most_asked(floor: Floor, loads: tuple[float, float]) -> dict[str, float]:
    """The greatest demand over strength by way to give, over each tyre and both together."""
    found: dict[str, float] = {}
    for one in stood(floor, pair(*loads), "s"):
        for mode, known in modes_of(one, zone_bands(one.zone, floor)):
            asked, strength = mode.ask({name: known[name].likely for name in mode.inputs})
            way = mode.name.partition(",")[0]
            found[way] = max(found.get(way, 0.0), asked / strength)
    return found


@given(load=st.floats(1e4, 1.2e5), other=st.floats(1e3, 1.2e5), more=st.floats(1.0, 2.0))
@settings(max_examples=25, deadline=None)
def test_more_load_on_either_tyre_never_lowers_what_is_asked(
    floor: Floor, load: float, other: float, more: float
) -> None:
    before, after = most_asked(floor, (load, other)), most_asked(floor, (load, other * more))
    assert before.keys() == after.keys()
    for way, value in before.items():
        assert after[way] >= value * (1 - 1e-9), way


def test_a_neighbour_without_load_changes_nothing() -> None:
    heavy, idle = pair(82e3, 1.0)
    both = as_one([heavy, idle], 0.0)
    assert both.load == pytest.approx(heavy.load, rel=1e-4)
    assert both.width == pytest.approx(heavy.width, rel=1e-4)
    assert both.at[1] == pytest.approx(heavy.at[1], abs=1e-4)


def test_twins_join_before_axles_and_axles_before_the_truck() -> None:
    places = {
        "lo": (0.0, 1.05),
        "li": (0.0, 0.72),
        "ri": (0.0, -0.72),
        "ro": (0.0, -1.05),
        "bl": (-2.5, 0.86),
        "br": (-2.5, -0.86),
    }
    parts = [Patch(name, at, 0.0, 0.25, 0.30, 6e4) for name, at in places.items()]
    names = [{parts[place].tyre for place in found} for _, found in clusters(parts, 6.0)]
    assert names == [{"lo", "li"}, {"ri", "ro"}, {"lo", "li", "ri", "ro"}, {"bl", "br"}, set(places)]
    assert next(apart for apart, _ in clusters(parts, 6.0)) == pytest.approx(0.03)


@pytest.fixture
def twins(make: Make, tmp_path: Path) -> Callable[..., Case]:
    def stand(floor: str, mass: float = 14.0, **more: str) -> Case:
        (tmp_path / "floor.toml").write_text(FLOOR + floor, encoding="utf-8")
        text = TRUCK.format(floor=tmp_path / "floor.toml", mass=mass)
        return make(text, {key.replace("__", "."): value for key, value in more.items()})

    return stand


def test_the_report_names_both_twins_on_the_lid(twins: Callable[..., Case]) -> None:
    report = demand(twins(LID), detail=False)
    worst = report.worst
    assert worst is not None
    assert worst.tyres == ("front-left-outer", "front-left-inner")
    alone = next(one for one in report.answers if one.tyre == "front-left-inner")
    assert worst.of_limit.likely == pytest.approx(1.5 * worst.tyre_load / 125e3)
    assert worst.tyre_load > 1.99 * alone.tyre_load
    assert "the front-left-outer and front-left-inner tyres together load the floor to" in report.lead
    assert any("Less on the drive axle" in line for line in report.remedies)


def test_both_twins_count_as_a_wheel_for_an_allowed_wheel_load_and_an_axle_does_not(twins: Callable[..., Case]) -> None:
    allowed = SLAB + 'allowed_wheel_load = "100 kN"\nallowed_by = "an engineer"\n'
    found = [one for one in demand(twins(allowed), detail=False).answers if one.mode == "allowed wheel load"]
    assert max(len(one.tyres) for one in found) == 2
    worst = max(found, key=lambda one: one.of_limit.likely)
    assert worst.of_limit.likely == pytest.approx(worst.tyre_load / 100e3)
    assert worst.tyre_load > 110e3


def law(case: Case, name: str) -> ZoneLaw:
    return next(zone for zone in floor_laws(case).zones if zone.name == name)


def test_the_law_of_a_lid_holds_one_load_under_one_tyre_or_two(twins: Callable[..., Case]) -> None:
    found = law(twins(LID), "lid")
    assert found.together == pytest.approx(125e3)
    assert found.reach == pytest.approx(1.2 * 0.33)
    assert found.weakest == pytest.approx(62.5e3)


@pytest.mark.parametrize(("mass", "breaks"), [(16.0, True), (13.0, False)])
def test_a_lid_breaks_under_the_sum_of_what_stands_on_it(mass: float, breaks: bool, twins: Callable[..., Case]) -> None:
    """Class B125 under twins of some 67 and 58 kN each: neither would break it alone, two of 67 do."""
    case = twins(LID, mass)
    run = engines.simulate(case, zones=floor_laws(case).zones)
    both = [float(run.series(f"tyre_load.front-left-{side}")[0]) for side in ("inner", "outer")]
    assert law(case, "lid").together == pytest.approx(125e3)
    assert max(both) < 80e3
    assert (sum(both) > 125e3) is breaks
    assert broke_by_load(run) is breaks


STOCK = (
    'title = "square mats"\ndemo = true\norigin = "demo"\n[[item]]\nname = "square"\nkind = "timber_mat"\n'
    'size = ["1.2 m", "1.2 m"]\nthickness = "300 mm"\ngrade = "D40"\njoined = "bolted"\ncount = 10\n'
)
WEAK = '[elsewhere]\nkind = "ground"\n[[elsewhere.layer]]\nsoil = { value = "stiff clay", origin = "measured" }\n'


def test_spreaders_lie_beside_each_other_and_twins_get_one_under_both(
    twins: Callable[..., Case], tmp_path: Path
) -> None:
    """Mats of 1.2 m do not fit at the 0.33 m from twin to twin."""
    (tmp_path / "stock.toml").write_text(STOCK, encoding="utf-8")
    report = demand(twins(WEAK, 8.0), stock=read_stock(tmp_path / "stock.toml"))
    found = [one for one in report.spreaders if one.found]
    assert {one.tyre for one in found} >= {
        "front-left-inner and front-left-outer", "front-right-inner and front-right-outer",
    }  # fmt: skip
    outlines = [rectangle_about(one.at, one.size[:2], one.heading) for one in found]
    assert all(shared_area(one, other) < 1e-9 for one, other in combinations(outlines, 2))
    drawn = [area.outline for area in report.plan.areas if area.kind == "spreader needed"]
    assert drawn == outlines
    for sheet in found:
        outline = rectangle_about(sheet.at, sheet.size[:2], sheet.heading)
        under = [
            one.tyre for one in report.tyres if shared_area(rectangle_about(one.at, one.patch, 0.0), outline) > 0.0
        ]
        assert sheet.tyre == spoken(sorted(under))


def test_a_spreader_carries_what_stands_on_it_together(twins: Callable[..., Case], tmp_path: Path) -> None:
    """What the choice of a mat promises is what a floor with that mat laid there is then asked."""
    (tmp_path / "stock.toml").write_text(STOCK, encoding="utf-8")
    found = [one for one in demand(twins(WEAK, 8.0), stock=read_stock(tmp_path / "stock.toml")).spreaders if one.found]
    laid = "".join(
        f'[[spreader]]\nname = "mat {n}"\nkind = "timber_mat"\nsize = ["1.2 m", "1.2 m"]\ngrade = "D40"\n'
        f'thickness = {{ value = "300 mm", origin = "demo" }}\njoined = "bolted"\n'
        f'at = ["{one.at[0]} m", "{one.at[1]} m"]\n'
        for n, one in enumerate(found)
    )
    after = demand(twins(WEAK + laid, 8.0), detail=False)
    for one in found:
        on = [each for each in after.answers if set(each.tyres) & set(one.tyre.split(" and "))]
        alone = max(each.of_limit.likely for each in on if spoken(sorted(each.tyres)) == one.tyre)
        assert alone == pytest.approx(max(each.of_limit.likely for each in on if "on mat" in each.zone), rel=0.3)
        assert alone <= one.after.likely * 1.01
    last = [each.of_limit.likely for each in after.answers if set(each.tyres) & set(found[-1].tyre.split(" and "))]
    assert max(last) == pytest.approx(found[-1].after.likely, rel=0.05)
