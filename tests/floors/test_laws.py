"""The laws that a floor file becomes: strengths in the right order, notes, spreaders, draws."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from few import slow_but
from tipline.floors.answers.demand import demand
from tipline.floors.laws.of_floor import floor_laws, places_met, singly
from tipline.geometry.ground import ZoneLaw
from tipline.model.plane import rectangle_of
from tipline.model.shipped import find
from tipline.runs.breaks import Drawn, breaks_of, drawn_floors
from tipline.scenario import Case, read

LID = "driving-onto-a-trench-lid"
BY_THE_PIPES = {"setup.position": '["8 m", "6.6 m"]', "setup.heading": "-90 deg"}
STOP = "stop-with-the-load-up-breaks-a-slab"


def law(name: str, case: Case) -> ZoneLaw:
    return next(zone for zone in floor_laws(case).zones if zone.name == name)


@pytest.mark.slow
def test_a_thicker_slab_holds_more_and_a_cavity_takes_from_it() -> None:
    thin, thick = read(STOP), read(STOP, {"floor.zone.0.thickness": "8 in"})
    slab, hollow = law("old slab", thin), law("hollow washed out by a drain", thin)
    joint = law("old slab, joint", thin)
    assert law("old slab", thick).strength > 1.4 * slab.strength
    assert hollow.strength < slab.strength
    assert hollow.depth == pytest.approx(0.12)
    assert joint.strength <= slab.strength


@pytest.mark.slow
def test_strength_at_a_place_does_not_depend_on_the_duration() -> None:
    short, long = read(STOP, {"run.duration": "3 s"}), read(STOP, {"run.duration": "6 s"})
    name = "hollow washed out by a drain"
    assert law(name, short).strength == pytest.approx(law(name, long).strength)


@pytest.mark.parametrize("name", slow_but([LID, "the-same-lift-on-spreaders"], "the-same-lift-on-spreaders"))
def test_compiled_kernels_give_the_same_laws(name: str) -> None:
    plain, compiled = floor_laws(read(name)), floor_laws(read(name), compiled=True)
    assert plain.notes == compiled.notes
    for one, other in zip(plain.zones, compiled.zones, strict=True):
        assert (one.name, one.law) == (other.name, other.law)
        assert other.strength == pytest.approx(one.strength, rel=1e-10)
        assert other.stiffness == pytest.approx(one.stiffness, rel=1e-10)
        assert other.soil == pytest.approx(one.soil, rel=1e-10)


def test_what_nobody_knows_is_firm_and_says_so() -> None:
    laws = floor_laws(read(STOP, {"floor.zone.0.below": "not known"}))
    assert {zone.law for zone in laws.zones} == {"firm"}
    assert any("no strength known" in note for note in laws.notes)


@pytest.mark.slow
def test_a_cover_of_a_higher_class_holds_more() -> None:
    lid, better = (read(LID, {**BY_THE_PIPES, "floor.zone.1.load_class": name}) for name in ("B125", "C250"))
    strengths = [law("pipe trench, west", case).strength for case in (lid, better)]
    assert strengths[1] == pytest.approx(2.0 * strengths[0], rel=0.01)


@pytest.mark.slow
def test_a_plate_on_a_slab_strengthens_its_own_place_and_nothing_beside_it(tmp_path: Path) -> None:
    spots = {one.patch.tyre: one.patch.at for one in singly(places_met(read(STOP, {"setup.speed": "0 km/h"})))}
    sheets = "".join(
        f'[[spreader]]\nname = "under {tyre}"\nkind = "steel_plate"\nsize = ["1 m", "0.8 m"]\nthickness = "40 mm"\n'
        f'at = ["{x} m", "{y} m"]\n'
        for tyre, (x, y) in spots.items()
    )
    (tmp_path / "mine.toml").write_text(find("floor", "demo-hall-c")[0].read_text(encoding="utf-8") + sheets)
    still = {"setup.speed": "0 km/h", "floor": str(tmp_path / "mine.toml")}
    laid, alone = read(STOP, still), read(STOP, {"setup.speed": "0 km/h"})
    assert law("old slab", laid).strength == law("old slab", alone).strength
    for tyre in spots:
        under = law(f"under {tyre}", laid)
        assert under.law == "holds"
        assert under.friction < 1.0
    assert law("under front-right", laid).strength > 1.05 * law("old slab", alone).strength


@pytest.mark.slow
def test_a_lid_breaks_at_the_strength_of_the_tyre_that_comes_nearest_to_it() -> None:
    """A rear tyre's patch, smaller than the test block, would break it at less; it carries a third of that."""
    case = read(LID, BY_THE_PIPES)
    assert law("pipe trench, west", case).strength == pytest.approx(125e3)
    worst = max(
        (one for one in demand(case, (8.0, 4.3), detail=False).answers if one.zone == "pipe trench, west"),
        key=lambda one: one.of_strength.likely,
    )
    assert worst.tyre.startswith("front")
    assert worst.tyre_load / worst.of_strength.likely == pytest.approx(125e3)


def test_a_thinner_plate_spreads_to_less() -> None:
    areas = [
        law("long plate", read("the-same-lift-on-spreaders", {"floor.spreader.0.thickness": thick})).area
        for thick in ("20 mm", "16.5 mm")
    ]
    assert 0.6 < areas[1] / areas[0] < 0.9


def test_a_skew_outline_is_no_rectangle() -> None:
    assert rectangle_of(((0.0, 0.0), (4.0, 0.0), (5.0, 2.0), (1.0, 2.0))) is None
    found = rectangle_of(((0.0, 0.0), (4.0, 0.0), (4.0, 2.0), (0.0, 2.0)))
    assert found is not None
    assert found.size == pytest.approx((4.0, 2.0))


@pytest.mark.slow
def test_draws_move_the_strength_and_are_always_the_same() -> None:
    case = read(STOP)
    met = list(places_met(case))
    drawn = drawn_floors(case, 5, met)
    strengths = [one.strength for one in drawn]
    assert max(strengths) > 1.3 * min(strengths)  # the middles of five steps of probability lie near what is likely
    assert strengths == [one.strength for one in drawn_floors(case, 5, met)]


@pytest.mark.slow
def test_where_a_plain_slab_breaks_and_a_class_cover_are_drawn_however_well_they_are_known() -> None:
    case = read(LID, BY_THE_PIPES)
    drawn = drawn_floors(case, 8, list(places_met(case)))
    lids = [next(zone.strength for zone in one.zones if zone.name == "pipe trench, west") for one in drawn]
    likely = law("pipe trench, west", case).strength
    assert min(lids) >= likely * (1 - 1e-9)
    assert 1.3 * likely < max(lids) < 1.5 * likely
    thin = read(STOP)
    names = drawn_floors(thin, 4, list(places_met(thin)))[0].inputs
    assert {"past_first_crack of old slab", "thickness of old slab"} <= set(names)


def test_breaks_are_counted_and_the_input_that_goes_with_strength_is_named() -> None:
    drawn = [Drawn({"thick_ness": float(i), "other": float((3 * i) % 5)}, (), 10.0 * i) for i in range(5)]
    found = breaks_of(drawn, [("over", True), ("over", True), *[("down", False)] * 3], "over", 25.0, demo="")
    assert (found.runs, found.broke, found.decides, found.either_way) == (5, 2, "thick ness", True)
    assert found.endings == (("down", 3), ("over", 2))
    assert not breaks_of(drawn, [("over", True)] * 5, "over", 25.0, demo="").either_way


@pytest.mark.slow
def test_a_cover_lies_on_top_of_its_slab_in_whatever_order_the_file_has_them() -> None:
    case = read(LID, BY_THE_PIPES)
    turned = replace(case, floor=case.floor.model_copy(update={"zone": tuple(reversed(case.floor.zone))}))
    for one in (case, turned):
        names = [zone.name for zone in floor_laws(one).zones]
        assert names.index("pipe trench, west") > max(i for i, name in enumerate(names) if "hall slab" in name)
