"""The spread: what is varied and by how much, counts by ending, how far a case is from another ending.

Measured.

A spread beside a run. 50 runs of the batch engine and some 15 more to find where the ending changes: 1 to 3 s of one
core; with a load free on the forks 6 runs one at a time. Three words of the truck ("down", "down, too light to
steer", "tyre-lifted") count as one ending, on its tyres: a heading that every light tyre changes would be read past.
"""

from __future__ import annotations

import functools
import random
from dataclasses import replace
from math import atan, tan

import numpy as np
import pytest

from tipline import engines
from tipline.geometry.ground import ZoneLaw
from tipline.model.shipped import list_shipped
from tipline.report.spread import within_range
from tipline.runs.endings import Ending, Spread, could_go_either_way, counted, interval, parted
from tipline.runs.outcome import Outcome, outcome_of
from tipline.scenario import Case, read
from tipline.statics.barrier import crest_losses
from tipline.sweeps.inputs import HALF_WIDTH, knobs, leading
from tipline.sweeps.spread import FEWEST, RUNS, drawn, planned, spread
from trucks import FORKS, FREE, HUNG, STOP, case, hole

HIGH = "front-tyre-breaks-through-load-high"


def plain(found: Case) -> Case:
    return replace(found, cells=())


@functools.cache
def single(depth: float) -> Outcome:
    """How the one-at-a-time engine ends the front tyre's breakthrough at a depth [mm]."""
    found = plain(read(HIGH, {"event.0.depth": f"{depth:.3f} mm"}))
    return outcome_of(engines.simulate(found, losses=crest_losses(found)), found.inputs)


@functools.cache
def near(count: int) -> Spread:
    """A spread about 110 mm, close to where this truck goes over."""
    return spread(plain(read(HIGH, {"event.0.depth": "110 mm"})), single(110.0), count)


def by_name(found: Case) -> dict[str, tuple[float, float, float]]:
    return {knob.input.what: (knob.input.low, knob.input.here, knob.input.high) for knob in knobs(found)}


def test_far_from_a_threshold_all_agree() -> None:
    found = plain(read("rear-tyre-breaks-through"))
    result = spread(found, Outcome("tyre-off", "kept", "broke", "a tyre off the floor"), 12)
    assert (result.runs, result.stayed_up, result.like_this) == (12, 12, 12)
    assert result.truck == (("tyre-off", 12),)
    assert not result.either_way
    assert result.doubt == ""


@pytest.mark.slow
def test_near_a_threshold_it_could_go_either_way() -> None:
    result = near(20)
    assert result.runs == 20
    assert 2 <= result.stayed_up <= 18
    assert result.either_way
    assert result.doubt == f"the truck stayed up in {result.stayed_up} of 20 runs"
    assert sum(count for _, count in result.truck) == 20
    assert result.interval[0] < result.stayed_up / 20 < result.interval[1]


def test_runs_that_all_end_otherwise_than_the_run_itself_leave_it_in_doubt() -> None:
    result = spread(case(HUNG + hole("front-left", "4 mm")), Outcome("over", "kept", "broke", "over"), 2)
    assert (result.stayed_up, result.like_this, result.either_way) == (2, 0, True)
    assert result.doubt == "the truck stayed up in 2 of 2 runs"


@pytest.mark.slow
def test_where_the_load_drops_in_some_runs_only_the_loads_are_counted() -> None:
    """49 lifted a tyre and 1 did not: no doubt of the truck; 7 of 50 lost the load, where the run itself kept it."""
    own = Ending("tyre-lifted", "kept", "broke")
    load = (("kept", 40), ("dropped", 7), ("slid", 3))
    found = replace(near(20), runs=50, here=own, stayed_up=50, lifted_load=load, either_way=True)
    assert found.doubt == "the lifted load dropped in 7 of 50 runs"
    assert replace(found, either_way=False).doubt == ""
    held = replace(found, here=Ending("tyre-lifted", "kept", "broke", load_held=True))
    assert held.doubt == "the lifted load would have dropped in 7 of 50 runs"


@pytest.mark.slow
def test_the_floor_answers_in_all_runs_as_in_the_run_itself() -> None:
    slab = ZoneLaw("slab", (0.0, 0.0), 0.0, (50.0, 50.0), law="holds", strength=20e3, depth=0.01)
    weak, rigid = (spread(case(HUNG), Outcome("down", "kept", "held", "down"), 2, zones) for zones in ([slab], None))
    assert (weak.floor, rigid.floor) == ((("broke", 2),), (("held", 2),))


@pytest.mark.slow
def test_same_input_same_bits_and_any_part_of_the_runs_is_the_same() -> None:
    near.cache_clear()
    first = near(20)
    near.cache_clear()
    assert near(20) == first
    fewer = near(6)
    assert fewer.values == first.values[:6]
    assert fewer.endings == first.endings[:6]


def test_draws_are_the_same_in_every_process() -> None:
    assert drawn(17, 3) == pytest.approx((0.036538069007, 0.229922476123, 0.581422625156), abs=1e-12)


@pytest.mark.slow
def test_runs_as_a_table_for_pandas() -> None:
    pytest.importorskip("pandas")
    result = near(20)
    table = result.to_pandas()
    assert list(table.columns) == [*(one.what for one in result.inputs), "truck", "lifted_load", "floor"]
    assert len(table) == 20
    assert (table["truck"] != "over").sum() == result.stayed_up
    assert table["hole depth"].between(0.099 - 1e-12, 0.121 + 1e-12).all()


@pytest.mark.parametrize("count", [1, 4, 8, 20])
def test_draws_follow_from_the_index_alone_and_every_ten_take_each_tenth_once(count: int) -> None:
    order = list(range(50))
    random.Random(1).shuffle(order)
    points = {index: drawn(index, count) for index in order}
    all_of = np.array([drawn(index, count) for index in range(50)])
    assert np.array_equal(all_of, np.array([points[index] for index in range(50)]))
    assert len(np.unique(all_of)) == all_of.size
    for block in all_of.reshape(5, 10, count):
        assert np.array_equal(np.sort((10 * block).astype(int), axis=0), np.tile(np.arange(10), (count, 1)).T)
        assert np.ptp(np.mod(10 * block, 1.0), axis=0).min() > 0.1, "not at the same spot of every tenth"


@pytest.mark.parametrize("step", [-2.0, 2.0])
def test_where_it_turns_is_within_2_mm_of_the_one_at_a_time_engine(step: float) -> None:
    """The front tyre's breakthrough: 2 mm less than the depth found it ends one way, 2 mm more the other."""
    result = near(1)
    assert result.change is not None
    at = result.change.at
    assert at is not None
    here_over, falls = single(110.0).truck == "over", result.change
    assert (falls.what, falls.dimension) == ("hole depth", "length")
    assert abs(at - falls.here) < 0.006
    deeper = single(1e3 * at + step).truck
    assert (deeper == "over") == (step > 0.0), f"{1e3 * at + step:.2f} mm ends {deeper}, as given over: {here_over}"


@pytest.mark.slow
def test_both_where_it_ends_otherwise_and_where_it_goes_over_are_told() -> None:
    """107 mm, hook at 5.6 m: a tyre lifts and comes back; a deeper hole leaves one up, a still deeper one tips it.

    By steps of 1 and 2 mm it is 111 mm for the one and 152 mm for the other.
    """
    found = plain(read(HIGH, {"event.0.depth": "107 mm", "setup.hook_height": "5.6 m"}))
    result = spread(found, Outcome("tyre-lifted", "kept", "broke", "tyre-lifted"), 1)
    assert result.change is not None
    assert result.stays_until is not None
    assert result.change.at is not None
    assert result.stays_until.at is not None
    assert 0.109 < result.change.at < 0.112
    assert 0.149 < result.stays_until.at < 0.153
    assert (result.change.ending, result.change.said) == ("tyre-off", "ends with a tyre off the floor")
    assert (result.stays_until.ending, result.stays_until.said) == ("over", "goes over")
    assert (result.change.side, result.stays_until.side) == ("deeper", "deeper")


@pytest.mark.slow
def test_a_change_that_bisection_steps_over_is_found_and_said_to_come_back() -> None:
    """With a stop of 2 deg it goes over at 96.0 to 99.4 mm, leaves a tyre up to 102.5 mm, and goes over from 103 mm on.

    The hung load swings back at another moment. Steps of 5, 10 and 20 % from 88 mm look at 92.4, 96.8 and 105.6 mm.
    """
    found = case(HUNG + hole("front-left", "88 mm"), {"machine.steer_axle.stop": "2 deg"})
    result = spread(found, Outcome("tyre-off", "kept", "broke", "up"), 1)
    assert result.change is not None
    assert result.change.at == pytest.approx(0.0960, abs=6e-4)
    assert result.change.ending == "over"
    assert result.change.comes_back
    said = " ".join(text for part in within_range(result, "up", "si") for text in getattr(part, "items", ()))
    assert "A little farther it ends as this run again: there is more than one change." in said


@pytest.mark.slow
def test_on_the_edge_of_two_endings_that_stay_up_it_is_told_where_it_goes_over() -> None:
    """As if the one-at-a-time engine had left a tyre up where the batch engine has it back on the floor."""
    result = spread(plain(read(HIGH, {"event.0.depth": "95 mm"})), Outcome("tyre-off", "kept", "broke", "up"), 1)
    assert (result.edge, result.edge_said) == ("tyre-lifted", "lifts a tyre and comes back down")
    assert result.change is None
    assert result.stays_until is not None
    assert result.stays_until.at == pytest.approx(0.1098, abs=1e-3)
    fell = spread(plain(read(HIGH, {"event.0.depth": "95 mm"})), Outcome("over", "dropped", "broke", "over"), 1)
    assert (fell.edge, fell.change, fell.stays_until) == ("tyre-lifted", None, None)


def test_a_counterweight_is_looked_for_at_its_steps_only() -> None:
    """It runs home under the load and the truck goes over; left further out, on a step of 100 mm, it stays."""
    found = plain(read("counterweight-run-home-under-load"))
    result = spread(found, Outcome("over", "dropped", "held", "over to the front", "front"), 1)
    assert result.change is not None
    assert result.change.what == "counterweight extension"
    assert result.change.at is not None
    assert 0.1 < result.change.at < 1.2
    assert result.change.at / 0.1 == pytest.approx(round(result.change.at / 0.1))


def test_no_change_says_how_far_was_looked() -> None:
    found = case(HUNG + hole("front-left", "4 mm"))
    result = spread(found, Outcome("down", "kept", "broke", "down"), 1)
    assert result.change is not None
    assert result.change.at is None
    assert (result.change.low, result.change.high) == pytest.approx((0.0002, 0.008))


@pytest.mark.parametrize(
    ("origin", "step"), [("measured", 0), ("drawing", 1), ("plate", 1), ("told", 2), ("assumed", 3)]
)
def test_how_a_value_is_known_decides_how_wide_it_is_drawn(origin: str, step: int) -> None:
    text = HUNG.replace('mass = "5.2 t"', f'mass = "5.2 t"\nweight_from = "{origin.replace("measured", "weighed")}"')
    low, here, high = by_name(case(text))["lifted weight"]
    assert here == 5200.0
    assert (here - low, high - here) == pytest.approx((HALF_WIDTH["weight"][step] * 5200.0,) * 2)


@pytest.mark.parametrize("name", list_shipped()["scenario"])
def test_ranges_lie_evenly_about_the_value_of_the_run_unless_it_is_said(name: str) -> None:
    for knob in knobs(read(name)):
        given = knob.input
        assert given.low < given.high, given.what
        if not given.clipped:
            assert given.here - given.low == pytest.approx(given.high - given.here, rel=1e-9), given.what


def test_every_half_width_grows_with_what_is_not_known() -> None:
    for name, widths in HALF_WIDTH.items():
        assert list(widths) == sorted(widths), name
        assert 0.0 < widths[0] < widths[3] < 0.5, name


def test_what_is_varied_follows_the_events_and_the_way_the_load_is_carried() -> None:
    hung, forks = by_name(case(HUNG + hole("front-left", "60 mm"))), by_name(case(FORKS + STOP))
    assert "hole depth" in hung
    assert "deceleration" in forks
    assert forks["deceleration"][1] == pytest.approx(1.6), "the truck's own where the event has none"
    assert not {"centre of the lifted load, out from its middle", "friction on the forks"} & set(hung), (
        "it hangs under its hook"
    )
    assert {"centre of the lifted load, out from its middle", "centre of the lifted load, left of its middle"} < set(
        forks
    )


def test_a_centre_is_kept_inside_the_box_and_that_is_said() -> None:
    text = FORKS.replace('height_of_centre = "0.6 m"', 'height_of_centre = "1.19 m"')
    high = next(knob.input for knob in knobs(case(text)) if knob.input.what.startswith("height of centre"))
    assert high.high == 1.2
    assert high.clipped == "kept inside the load's box"
    assert next(knob for knob in knobs(case(FORKS)) if "height" in knob.input.what).input.clipped == ""


def test_a_slope_is_looked_for_no_steeper_than_a_floor_can_be() -> None:
    turns = '[[event]]\nkind = "floor_turns"\nat = "0.5 s"\nslope = "80 %"\ntowards = "90 deg"\nover = "2 s"\n'
    found = leading(case(FORKS + turns))
    assert found is not None
    assert found[0].input.high == pytest.approx(atan(1.0))
    assert tan(found[0].input.here) == pytest.approx(0.8)


def test_moving_the_centre_leaves_the_box_where_it_is() -> None:
    given = read("service-stop-load-high")
    out = next(knob for knob in knobs(given) if "out from" in knob.input.what)
    moved = out.set(given, 0.05)
    assert given.load is not None
    assert moved.load is not None
    assert moved.load == moved.scenario.load
    assert given.load.load_centre is not None
    assert moved.load.load_centre == pytest.approx(given.load.load_centre + 0.05)
    assert moved.load.centre_offset == (0.05, 0.0)
    assert given.load.centre_offset == (0.0, 0.0)


def test_stiffness_and_friction_reach_every_tyre() -> None:
    given = case(FORKS)
    pairs = {knob.input.what: knob.set(given, 0.9) for knob in knobs(given) if knob.input.here == 1.0}
    assert len(pairs) == 2
    softer = pairs["stiffness of all tyres"].machine
    for axle in ("drive_axle", "steer_axle"):
        stiff = [tyre.stiffness for tyre in getattr(softer, axle).tyre]
        assert stiff == [0.9 * (tyre.stiffness or 0.0) for tyre in getattr(given.machine, axle).tyre]
    grip = pairs["friction of all tyres"].floor.friction
    assert grip.solid == pytest.approx(0.9 * given.floor.friction.solid)


def test_how_many_runs_are_made() -> None:
    assert planned(case(HUNG).scenario.run, None) == (RUNS, "")
    assert planned(case(HUNG).scenario.run, 7) == (7, "")
    assert planned(case(HUNG, run__spread="12").scenario.run, None) == (12, "")
    assert planned(case(FREE).scenario.run, None) == (RUNS, "")
    assert planned(case(HUNG, run__duration="500 s", run__extend_to="500 s").scenario.run, None)[0] == FEWEST
    count, reason = planned(case(HUNG, run__duration="200 s", run__extend_to="200 s").scenario.run, None)
    assert count < RUNS
    assert "200 s" in reason
    assert planned(case(HUNG, run__stand="200 s").scenario.run, None)[0] < RUNS


def test_a_run_that_cannot_be_has_no_result_and_costs_itself_only() -> None:
    """At the top speed of the truck half of the draws could not be asked for: they are kept within it."""
    drive = '[[event]]\nkind = "drive"\nat = "0.2 s"\nspeed = "2.5 m/s"\n'
    found = case(FORKS + drive + '[run]\nduration = "1 s"\nextend_to = "1 s"\n')
    speed = next(knob.input for knob in knobs(found) if knob.input.what == "driving speed")
    assert speed.high == pytest.approx(2.5)
    assert speed.clipped
    assert spread(found, Outcome("down", "kept", "held", "down"), 2).runs == 2


def test_it_could_go_either_way_only_where_some_go_over_or_some_drop_the_load() -> None:
    """One rule for terminal, page, film, notebook and sweep."""
    down, lifted, up, over = (Ending(word, "kept", "held") for word in ("down", "tyre-lifted", "tyre-off", "over"))
    light, moving, none = (
        Ending(word, "kept", "held") for word in ("down, too light to steer", "undecided", "no result")
    )
    fell, dropped = Ending("over", "dropped", "broke"), Ending("down", "dropped", "held")
    assert not could_go_either_way([down, lifted, light, up, moving, none])
    assert not could_go_either_way([fell, fell, Ending("resting", "kept", "broke"), moving])
    assert not could_go_either_way([down, Ending("down", "slid", "held"), Ending("down", "kept", "broke")])
    assert could_go_either_way([up, over])
    assert could_go_either_way([lifted, Ending("resting", "kept", "held")])
    assert could_go_either_way([down, dropped])
    assert could_go_either_way([Ending("down", "slid", "held"), dropped])
    assert could_go_either_way([Ending("", "kept"), Ending("", "dropped")])


def test_endings_tell_what_differs() -> None:
    down = Ending("down", "kept", "held")
    assert Ending("tyre-lifted", "slid", "broke").against(down) == "tyre-lifted, lifted load slid, floor broke"
    assert Ending("tyre-lifted", "kept", "broke").against(Ending("over", "dropped", "broke")) == "tyre-lifted"
    assert Ending("tyre-off", "slid", "broke").said_against(down) == (
        "ends with a tyre off the floor, the lifted load slides, and the floor breaks"
    )
    held = Ending("down", "kept", "held", load_held=True)
    assert Ending("tyre-off", "slid", "held").said_against(held) == (
        "ends with a tyre off the floor, and the lifted load would slide"
    )
    assert Ending("over", "dropped", "held").said_against(down) == "goes over"
    assert counted(["a", "b", "b", ""]) == (("b", 2), ("a", 1))


def test_interval_of_a_share() -> None:
    """By hand: z = 1.96; 41 of 50: (0.82 + 0.0384) / 1.0768 +- 0.1068."""
    assert interval(41, 50) == pytest.approx((0.692, 0.902), abs=5e-4)
    assert interval(0, 50) == pytest.approx((0.0, 0.0714), abs=5e-4)
    assert interval(50, 50)[1] == 1.0
    assert interval(0, 0) == (0.0, 1.0)


def test_ranks_part_two_groups() -> None:
    """Four above four: the sum of ranks lies 8 above its mean of 18, the deviation of chance is sqrt(16 x 9 / 12)."""
    values, group = [1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0], [False] * 4 + [True] * 4
    assert parted(values, group) == pytest.approx(8.0 / 12.0**0.5)
    assert parted(values, [not member for member in group]) == pytest.approx(-8.0 / 12.0**0.5)
    assert parted([1.0] * 8, group) == 0.0
    assert parted(values, [True] * 8) == 0.0


def test_a_tilting_mast_is_varied_between_its_own_ends() -> None:
    """Demo truck A tilts 3 degrees ahead and 5 back; ahead is below nought."""
    from math import radians

    from tipline.scenario import read
    from tipline.sweeps.inputs import leading

    led = leading(read("mast-tilted-ahead-with-the-load-up"))
    assert led is not None
    knob, scale = led
    assert (knob.input.low, knob.input.high) == pytest.approx((-radians(3.0), radians(5.0)))
    assert scale == pytest.approx(radians(8.0))


def test_a_speed_in_reverse_is_varied_from_slower_to_faster() -> None:
    """What is negative has its half-width about it too, the lesser end first."""
    driven = case(FORKS + '[[event]]\nkind = "drive"\nat = "1 s"\nspeed = "-3 km/h"\n')
    (knob,) = [one for one in knobs(driven) if one.input.what.startswith("driving speed")]
    assert knob.input.low < knob.input.here < knob.input.high < 0.0
    assert knob.input.here - knob.input.low == pytest.approx(knob.input.high - knob.input.here)
