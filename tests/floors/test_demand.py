"""What is asked of a floor: claims that hold whatever the formulas are, and the words in which it is said."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from math import inf, isfinite, log

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cases import nine_tonnes
from few import slow_but
from tipline.floors.answers.alone import floor_alone
from tipline.floors.answers.demand import demand, route
from tipline.floors.answers.report import FloorReport
from tipline.floors.known.bands import SHARES
from tipline.floors.known.draws import columns
from tipline.floors.known.of_zone import Band, stock_bands, zone_bands
from tipline.floors.known.ratio import over_draws
from tipline.floors.known.span import Span, range_words, ratio_words
from tipline.floors.modes.ground import GroundLayer, bearing_mode
from tipline.floors.modes.mode import Mode
from tipline.floors.modes.of_zone import modes_of
from tipline.floors.modes.situation import Situation
from tipline.floors.modes.slab import SlabPlace, slab_modes, slab_of
from tipline.floors.modes.spreader import Laid, plate_relief
from tipline.floors.places.patch import Patch
from tipline.floors.places.zones import Near
from tipline.model import read_floor, read_stock
from tipline.model.shipped import list_shipped
from tipline.model.spreaders import StockMat, StockPlate
from tipline.scenario import Case
from tipline.scenario.route import Route

Make = Callable[..., Case]


@dataclass(frozen=True)
class Ends:
    likely: float
    pessimistic: float
    optimistic: float


SLAB: dict[str, Ends] = {
    "thickness": Ends(0.15, 0.12, 0.17),
    "flexural_strength": Ends(3.7e6, 2.4e6, 5.0e6),
    "compressive_strength": Ends(30e6, 20e6, 40e6),
    "modulus": Ends(30e9, 34e9, 22e9),
    "subgrade_reaction": Ends(40e6, 20e6, 80e6),
    "edge_distance": Ends(0.0, 0.3, -0.3),
    "joint_transfer": Ends(0.4, 0.0, 0.8),
    "hidden_joint": Ends(2.5, 0.0, 2.5),
    "hidden_transfer": Ends(0.3, 0.0, 0.8),
    "cavity_radius": Ends(0.2, 0.5, 0.0),
    "past_first_crack": Ends(0.5, 0.0, 1.0),
    "steel_area": Ends(3e-4, 1e-4, 4e-4),
    "steel_depth": Ends(0.1, 0.05, 0.12),
    "steel_yield": Ends(4.6e8, 2.5e8, 5e8),
    "fibre_residual": Ends(1e6, 0.0, 2e6),
}
PLACES = {
    "inside": {},
    "edge": {"to_edge": 0.25, "to_joint": 0.25},
    "joint": {"to_joint": 0.25},
    "corner": {"to_edge": 0.25, "to_joint": 0.25, "to_other_edge": 0.4, "to_other_joint": 0.4},
    "cavity": {"cavity": 0.1, "over_cavity": True, "to_joint": 0.3},
    "unknown": {"cavity": 0.0, "joint_anywhere": True},
}
KINDS = ("none", "mesh", "fibre")


def place(where: str, load: float = 7e4, kind: str = "none", others: tuple[tuple[float, float], ...] = ()) -> SlabPlace:
    patch = Patch("t", (0.0, 0.0), 0.0, 0.24, 0.30, load)
    near = tuple((at, load, patch.radius) for at in others)
    return SlabPlace(patch=patch, others=near, reinforcement=kind, **PLACES[where])  # type: ignore[arg-type]


def at_likely(mode: Mode, changed: Mapping[str, float] | None = None) -> float:
    inputs = {name: SLAB[name].likely for name in mode.inputs} | {
        name: value for name, value in (changed or {}).items() if name in mode.inputs
    }
    asked, strength = mode.ask(inputs)
    return asked / strength


@pytest.mark.parametrize("where", PLACES)
@pytest.mark.parametrize("kind", KINDS)
def test_more_load_never_lowers_a_ratio(where: str, kind: str) -> None:
    for before, after in zip(slab_modes(place(where, 5e4, kind)), slab_modes(place(where, 6e4, kind)), strict=True):
        assert before.name == after.name
        assert at_likely(after) >= at_likely(before) * (1 + 1e-9)


@pytest.mark.parametrize("where", PLACES)
@pytest.mark.parametrize("kind", KINDS)
@given(thick=st.floats(0.10, 0.5), more=st.floats(1.0, 1.5))
@settings(max_examples=20, deadline=None)
def test_a_thicker_slab_never_raises_a_ratio(where: str, kind: str, thick: float, more: float) -> None:
    for mode in slab_modes(place(where, 7e4, kind)):
        thin, stout = at_likely(mode, {"thickness": thick}), at_likely(mode, {"thickness": thick * more})
        assert stout <= thin * (1 + 1e-9), mode.name


@pytest.mark.parametrize("where", PLACES)
def test_two_tyres_close_together_ask_more_than_one(where: str) -> None:
    alone = {mode.name: at_likely(mode) for mode in slab_modes(place(where))}
    pair = {mode.name: at_likely(mode) for mode in slab_modes(place(where, others=((0.0, 0.4),)))}
    bending = [name for name in alone if name.startswith("bending") and "corner" not in name]
    assert bending
    for name in bending:
        assert pair[name] > 1.05 * alone[name]
    assert all(pair[name] >= alone[name] for name in alone)


BOTH_WAYS = {"collapse by yield lines": 0.002}
"""Where a stiffer slab or ground is worse in one place and better in another; with all at its worst it is 0.0018."""


@pytest.mark.parametrize("where", PLACES)
@pytest.mark.parametrize("kind", KINDS)
@given(wider=st.lists(st.floats(0.0, 0.3), min_size=len(SLAB), max_size=len(SLAB)))
@settings(max_examples=3, deadline=None)
def test_a_wider_band_never_narrows_the_answer(where: str, kind: str, wider: list[float]) -> None:
    def widened(band: Ends, part: float) -> Ends:
        return Ends(
            band.likely,
            band.pessimistic + part * (band.pessimistic - band.likely) * (band.pessimistic > 0.0),
            band.optimistic + part * (band.optimistic - band.likely) * (0.0 < band.optimistic < 0.8),
        )

    wide = {name: widened(band, part) for (name, band), part in zip(SLAB.items(), wider, strict=True)}
    for mode in slab_modes(place(where, 7e4, kind)):
        before = over_draws(mode.ask, {name: SLAB[name] for name in mode.inputs}, arrays=mode.arrays).ratio
        after = over_draws(mode.ask, {name: wide[name] for name in mode.inputs}, arrays=mode.arrays).ratio
        # the draw at the fractile may have the widened input at its better side, so it may lose a little
        assert after.high >= before.high * 0.98, mode.name
        assert after.worst >= before.worst * (1 - BOTH_WAYS.get(mode.name, 1e-9)), mode.name
        assert before.low <= before.high <= before.worst, mode.name


@pytest.mark.parametrize("where", PLACES)
@pytest.mark.parametrize("kind", KINDS)
def test_draws_asked_together_are_those_asked_one_by_one(where: str, kind: str) -> None:
    for mode in slab_modes(place(where, 7e4, kind, others=((0.0, 0.6), (1.4, 0.3)))):
        assert mode.arrays
        drawn = columns({name: SLAB[name] for name in mode.inputs}, 60)
        together = np.array([np.broadcast_to(side, 60) for side in mode.ask(drawn)])  # type: ignore[arg-type]
        singly = [mode.ask({name: float(column[i]) for name, column in drawn.items()}) for i in range(60)]
        assert pytest.approx(np.array(singly), rel=1e-12) == together.T, mode.name


def test_a_strength_of_nothing_is_asked_for_without_end() -> None:
    found = over_draws(lambda _: (1.0, 0.0), {})
    assert found.ratio == Span(inf, inf, inf, inf)


def test_braking_takes_from_the_bearing_of_ground() -> None:
    patch = Patch("t", (0.0, 0.0), 0.0, 0.24, 0.30, 2e4)
    inputs = {"undrained_strength": 6e4}
    still = bearing_mode(patch, GroundLayer("clay", True, ""), 0.0).ask(inputs)
    braked = bearing_mode(patch, GroundLayer("clay", True, ""), 0.15).ask(inputs)
    assert still[0] == braked[0]
    assert braked[1] < 0.9 * still[1]


@pytest.mark.parametrize(
    ("span", "words"),
    [
        (Span(0.71, 1.24, 1.42), "1.2 (nine in ten 0.7 to 1.4)"),
        (Span(0.96, 0.98, 0.98), "0.98 (nine in ten 0.96 to 0.98)"),
        (Span(0.5, 0.5, 0.5), "0.5"),
        (Span(1.004, 1.1, 12.4), "1.1 (nine in ten just over 1 to 12)"),
        (Span(2.0, inf, inf), "more than all (nine in ten 2.0 to more than all)"),
        (Span(0.001, 0.2, 400.0), "0.2 (nine in ten under 0.01 to over 100)"),
    ],
)
def test_ratios_are_said_with_the_digits_they_have(span: Span, words: str) -> None:
    assert ratio_words(span) == words


@pytest.fixture
def asked(make: Make) -> Callable[..., FloorReport]:
    def ask(floor: str, x: float = 6.0, y: float = 5.5, mass: float = 9.0, **more: object) -> FloorReport:
        return demand(make(nine_tonnes(floor, x, y, mass)), detail=False, **more)  # type: ignore[arg-type]

    return ask


def test_the_thin_slab_names_what_governs_and_what_to_find_out(asked: Callable[..., FloorReport]) -> None:
    report = asked("demo-hall-c")
    worst = report.worst
    assert worst is not None
    assert worst.tyre == "front-right"
    assert "cavity" in worst.mode
    assert report.exceeded
    assert 1 <= len(report.questions) <= 2
    assert report.questions[0].text.startswith("Core it and test the core: how thick is the old slab, and how strong")
    for one in report.questions:
        assert log(one.then.high / one.then.low) < 0.85 * log(one.now.high / one.now.low)
        assert range_words(one.then) != range_words(one.now)
    needed = report.inverses[0].needed
    assert 0.1 < needed.low < needed.likely < needed.high < 0.8
    text = " ".join((report.lead, *report.exceeded, *report.lines)).casefold()
    for word in ("safe", "ok", "permitted", "capacity", "utilisation", " yes"):
        assert word not in text


@pytest.mark.parametrize("name", [name for name in list_shipped()["floor"] if name.startswith("demo-")])
def test_a_question_narrows_the_range_and_lowers_its_upper_end_and_asks_nothing_known(name: str, make: Make) -> None:
    report = demand(make(nine_tonnes(name)), detail=False)
    worst = report.worst
    for one in report.questions:
        if not isfinite(one.now.high):  # what is underneath: no number either way
            continue
        assert worst is not None
        assert one.now == worst.of_limit
        assert log(one.then.high / one.then.low) <= 0.85 * log(one.now.high / one.now.low)
        assert one.then.high <= 0.95 * one.now.high
        assert range_words(one.then) != range_words(one.now)
        assert ("Still exceeded" in one.text) is (one.now.high > 1.0 and one.then.high > 1.0)
    if name == "demo-hall-b":  # cored, thickness and concrete both
        assert not any("ore" in one.text for one in report.questions)


def test_planning_goes_by_the_95_percent_draw_and_the_worst_corner_is_shown_beside_it(make: Make) -> None:
    report = demand(make(nine_tonnes("demo-hall-b", mass=5.0)), detail=False)
    between = [one for one in report.answers if one.of_limit.high <= 1.0 < one.of_limit.worst]
    assert between
    for one in between:
        assert not one.exceeds
        assert "all at its worst at once" in one.words
        assert "exceeded" not in one.words
        assert not any(one.mode in text and one.zone in text and one.tyre in text for text in report.exceeded)
    over = [one for one in report.answers if one.of_limit.likely <= 1.0 < one.of_limit.high]
    for one in over:
        assert one.exceeds
        assert "planning goes by the upper figure" in one.words


@pytest.mark.slow
def test_the_thickness_it_asks_for_is_enough_and_a_little_less_is_not(
    make: Make, monkeypatch: pytest.MonkeyPatch
) -> None:
    case = make(nine_tonnes("demo-hall-c"))
    needed = demand(case, detail=False).inverses[0].needed.high
    for factor, within in ((1.01, True), (0.95, False)):
        # the thickness needed is the one that is there, so what is told of it is known for certain here
        monkeypatch.setitem(SHARES, "thickness", ((1.0, 1.0),) * 4)
        thick = make(nine_tonnes("demo-hall-c"), {"floor.zone.0.thickness": f"{needed * factor:.6f} m"})
        worst = demand(thick, detail=False).worst
        assert worst is not None
        assert (worst.of_limit.high <= 1.0) is within


def test_the_planning_limit_is_never_mixed_with_the_expected_strength(asked: Callable[..., FloorReport]) -> None:
    for floor in ("demo-hall-b", "demo-hall-c", "demo-site-a", "demo-yard-b"):
        for one in asked(floor).answers:
            assert one.limit.high == pytest.approx(one.strength.high / one.factor)
            assert one.of_limit.high == pytest.approx(one.of_strength.high * one.factor)
            assert one.factor > 1.0
            assert "planning limit" in one.words
            assert "expected strength" in one.words


def test_a_suspended_floor_gets_no_strength_and_no_inverse(asked: Callable[..., FloorReport]) -> None:
    report = asked("demo-hall-e", 14.0, 8.0)
    assert not report.answers
    assert not report.inverses
    assert not report.exceeded
    assert report.unanswered[0].posted is not None
    assert report.lead.startswith("others must answer for ")
    assert len(report.tyres) == 4


def test_what_is_not_known_to_lie_on_soil_asks_what_is_underneath(asked: Callable[..., FloorReport]) -> None:
    report = asked("demo-hall-e", 6.0, 1.5)
    assert [one.zone for one in report.unanswered] == ["gate strip"]
    assert "underneath" in report.questions[0].text


def test_an_allowed_wheel_load_is_compared_and_its_strength_stays_unknown(asked: Callable[..., FloorReport]) -> None:
    report = asked("demo-hall-e", 5.0, 6.0)
    worst = report.worst
    assert worst is not None
    assert worst.mode == "allowed wheel load"
    assert not worst.strength_known
    assert worst.limit.high == 30e3
    assert "expected strength is not known" in worst.words
    assert report.exceeded


def test_a_cover_nobody_knows_carries_nothing(asked: Callable[..., FloorReport]) -> None:
    report = asked("demo-hall-d", 25.0, 4.9)
    worst = report.worst
    assert worst is not None
    assert worst.mode == "a cover nobody knows"
    assert worst.of_limit.low == inf
    assert "nothing to stand on" in worst.words


def test_a_rigid_floor_is_not_asked(asked: Callable[..., FloorReport]) -> None:
    report = asked("demo-hall-a")
    assert not report.answers
    assert "taken as rigid" in report.lead
    assert not report.exceeded


def test_warm_asphalt_gets_no_number_for_its_surface(asked: Callable[..., FloorReport]) -> None:
    assert any("surface" in one.zone for one in asked("demo-yard-c").unanswered)
    assert not asked("demo-yard-b").unanswered


def test_a_lighter_load_asks_less(asked: Callable[..., FloorReport]) -> None:
    heavy, light = asked("demo-hall-b"), asked("demo-hall-b", mass=5.0)
    assert heavy.worst is not None
    assert light.worst is not None
    assert light.worst.of_limit.high < heavy.worst.of_limit.high


@pytest.mark.slow
def test_spreaders_bring_it_within_or_none_in_the_stock_does(make: Make) -> None:
    stock = read_stock("demo-stock-a")
    gravel = demand(make(nine_tonnes("demo-yard-d")), stock=stock)
    assert gravel.spreaders
    for one in gravel.spreaders:
        assert one.found
        assert one.before.high > 1.0 >= one.after.high
    nothing = stock.model_copy(update={"item": tuple(item for item in stock.item if item.name == "plate a")})
    slab = demand(make(nine_tonnes("demo-hall-c")), stock=nothing)
    assert not any(one.found for one in slab.spreaders if one.tyre.startswith("front"))
    without = [one for one in slab.spreaders if not one.found]
    assert {one.tyre for one in without} >= {"front-left", "front-right"}
    assert all(one.text.startswith("None in") for one in without)


@pytest.mark.slow
def test_a_thicker_plate_leaves_less_bending_in_the_slab_and_never_adds_any() -> None:
    slab = slab_of({name: band.likely for name, band in SLAB.items()})
    left = []
    for thick in (0.02, 0.032, 0.05):
        band = {"thickness": Band(thick, thick, thick, "measured")}
        sheet = StockPlate(name="p", kind="steel_plate", size=(2.0, 1.2), thickness=thick, count=1)
        under = place("inside")
        laid = Laid.about(sheet, (0.0, 0.0), 0.0, under.patch, band)
        left.append(plate_relief(under, laid, slab))
    assert 1.0 >= left[0] > left[1] > left[2] > 0.6
    # what 45 degrees would promise for the thinnest: more than the plate elements find
    spread_out = place("inside").patch.radius + 0.02
    assert left[0] > 1.0 - 0.5 * (spread_out / place("inside").patch.radius - 1.0)


def test_a_plate_under_a_small_patch_at_the_edge_of_a_thick_slab_has_an_answer() -> None:
    """The special theory spreads the patch past the rim of panel and plate, which was refused without a word."""
    small = Patch("t", (0.0, 0.0), 0.0, 0.14, 0.26, 3e4)
    sheet = StockPlate(name="p", kind="steel_plate", size=(0.2, 0.3), thickness=0.024, count=1)
    laid = Laid.about(sheet, (0.0, 0.0), 0.0, small, {"thickness": Band(0.024, 0.024, 0.024, "measured")})
    slab = slab_of({**{name: band.likely for name, band in SLAB.items()}, "thickness": 0.27})
    assert 0.9 < plate_relief(SlabPlace(patch=small, to_edge=0.0, to_joint=0.0), laid, slab) <= 1.0


def test_a_mat_takes_nothing_off_the_bending_of_a_slab() -> None:
    mat = StockMat(name="m", kind="timber_mat", size=(4.0, 1.2), thickness=0.3, count=1)
    under = place("inside")
    laid = Laid.about(mat, (0.0, 0.0), 0.0, under.patch, {"thickness": Band(0.3, 0.3, 0.3, "measured")})
    assert plate_relief(under, laid, slab_of({name: band.likely for name, band in SLAB.items()})) == 1.0


def test_spreaders_are_sought_for_soft_places_too(make: Make) -> None:
    case = make(nine_tonnes("demo-yard-a", 10.0, 5.0, 6.0))
    bare = demand(case, detail=False)
    assert {one.event for one in bare.answers} == {"sinks in"}
    found = demand(case, stock=read_stock("demo-stock-a")).spreaders
    assert {one.zone for one in found} == {"soft strip"}
    for one in found:
        assert one.found
        assert one.before.high > 1.0 >= one.after.high
    assert not any("Spreaders" in text for text in demand(case, stock=read_stock("demo-stock-a")).remedies)


@pytest.mark.slow
def test_no_piece_of_the_stock_is_used_twice(make: Make) -> None:
    stock = read_stock("demo-stock-a")
    scarce = stock.model_copy(update={"item": tuple(item.model_copy(update={"count": 1}) for item in stock.item)})
    found = [one.name for one in demand(make(nine_tonnes("demo-yard-d")), stock=scarce).spreaders if one.found]
    assert found
    assert len(found) == len(set(found))


def test_a_tyre_on_a_laid_mat_asks_less_than_one_beside_it(make: Make) -> None:
    reports = [demand(make(nine_tonnes("demo-site-b", 4.0, y)), detail=False) for y in (0.0, 5.0)]
    on, beside = ([one for one in report.answers if "bearing of the ground" in one.mode] for report in reports)
    assert {one.tyre for one in on if len(one.tyres) == 1} == {"front-left", "front-right", "rear-left", "rear-right"}
    assert all("on mat" in one.zone for one in on)
    # front and rear tyre of a side stand on one mat: together they ask for more than either
    assert all(len(one.tyres) == 2 for one in on[:2])
    assert {one.zone for one in beside} == {"the main floor"}
    for one in (each for each in on if len(each.tyres) == 1):
        bare = next(other for other in beside if other.tyre == one.tyre)
        assert one.of_limit.likely < 0.7 * bare.of_limit.likely


@pytest.mark.parametrize("truck", slow_but("abc", "b"))
def test_every_tyre_of_every_demo_truck_stands_on_the_demo_mats(truck: str, make: Make) -> None:
    text = (
        nine_tonnes("demo-site-b", 4.0, 0.0, 3.0).replace("demo-truck-a", f"demo-truck-{truck}").replace("1.2 m", "1 m")
    )
    report = demand(make(text), detail=False)
    assert report.tyres
    assert all("on mat" in one.zone for one in report.answers)


@pytest.mark.slow
def test_the_stress_map_agrees_with_the_closed_formulas(make: Make) -> None:
    found = demand(make(nine_tonnes("demo-hall-d", 6.0, 5.0))).stress
    assert found is not None
    assert 0.75 * found.closed < found.greatest < 1.05 * found.closed
    assert found.limit < found.strength


WAY = Route(title="in and round", path=((2.0, 2.6), (14.0, 2.6), (14.0, 9.0)), turning_radius=2.5)


@pytest.mark.slow
def test_a_route_finds_the_lid_it_crosses_laden_and_empty(make: Make) -> None:
    report = route(make(nine_tonnes("demo-hall-d")), WAY, detail=False)
    assert {one.setup for one in report.answers} == {"laden", "empty"}
    assert {one.zone for one in report.answers} == {"hall slab", "pipe trench, west"}
    lids = [one for one in report.answers if one.zone.startswith("pipe")]
    assert {one.tyre for one in lids if one.setup == "laden"} == set(report.tracks)
    assert all(3.7 < one.at[1] < 4.9 for one in lids)
    assert any("pedal lift" in note for one in report.tyres for note in one.notes)
    by_tyre = {(one.tyre, one.setup): one for one in report.tyres}
    assert by_tyre["front-left", "laden"].peak_load > by_tyre["front-left", "laden"].static_load
    assert by_tyre["rear-left", "empty"].static_load > by_tyre["rear-left", "laden"].static_load


@pytest.mark.slow
def test_a_route_asks_at_least_what_standing_on_it_asks(make: Make) -> None:
    case = make(nine_tonnes("demo-hall-b", 6.0, 7.0))
    stood = demand(case, detail=False).worst
    way = Route(title="straight", path=((4.0, 7.0), (9.0, 7.0)), turning_radius=2.0)
    moved = route(case, way, detail=False).worst
    assert stood is not None
    assert moved is not None
    assert moved.of_limit.high >= stood.of_limit.high


def test_a_set_up_that_falls_has_no_answer(make: Make) -> None:
    text = nine_tonnes("demo-hall-c", mass=60.0).replace('["0.9 m", "1.0 m", "1.0 m"]', '["2.4 m", "2.4 m", "2.4 m"]')
    text = text.replace('height_of_centre = "0.5 m"', 'height_of_centre = "1.2 m"').replace('"0.6 m"', '"1.3 m"')
    report = demand(make(text), detail=False)
    assert report.lead.startswith("no answer")
    assert not report.answers


@pytest.mark.parametrize(
    "name", slow_but(list_shipped()["floor"], "demo-hall-a", "demo-site-a", "demo-yard-a", "demo-yard-d")
)
def test_every_shipped_floor_answers_alone_and_under_a_truck(name: str, make: Make) -> None:
    alone = floor_alone(read_floor(name))
    assert alone.inverses or alone.unanswered or "rigid" in alone.lead
    for one in alone.inverses:
        assert one.needed.low <= one.needed.likely <= one.needed.high
        assert isfinite(one.needed.high)
    report = demand(make(nine_tonnes(name)), detail=False)
    assert report.answers or report.unanswered or report.not_asked
    assert replace(report, title="x").title == "x"


def test_a_plate_over_a_cover_is_asked_over_the_band_of_its_span(make: Make) -> None:
    case = make(nine_tonnes("demo-hall-d", 8.0, 4.3, 5.0))
    stock = read_stock("demo-stock-a")
    zone = next(zone for zone in case.floor.zone if zone.name == "pipe trench, west")
    bands = zone_bands(zone, case.floor)
    sheet = next(item for item in stock.item if item.name == "plate d")
    tyre = Patch("t", (8.0, 4.3), 0.0, 0.24, 0.30, 5e4)
    laid = Laid.about(sheet, tyre.at, 0.0, tyre, stock_bands(sheet, stock))
    one = Situation("s", 0.0, False, tyre, (), zone, 1.0, Near(), laid)
    ((mode, known),) = modes_of(one, bands)
    assert known["span"] == bands["span"]
    wide, narrow = (
        mode.ask({name: band.likely for name, band in known.items()} | {"span": span})[0] for span in (0.7, 0.5)
    )
    assert wide > narrow
