"""The compiled engine against pybullet: same forces and bodies, two integrators; and many runs at once."""

from __future__ import annotations

import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

pytest.importorskip("pybullet")

from few import slow_but
from tipline.endings import Decided
from tipline.engines import many, simulate
from tipline.engines.guards import LONG_STEP
from tipline.engines.watching import watch_of
from tipline.errors import InputError
from tipline.floors.laws.of_floor import floor_laws
from tipline.kernels import layout as at
from tipline.kernels.watching import R_BEGINS, S_SINCE, Watch
from tipline.mechanics.constants import STANDARD_GRAVITY as G
from tipline.model.shipped import list_shipped
from tipline.runs.outcome import outcome_of
from tipline.scenario import Case, read
from tipline.scenario.spec import Expect, Neighbour
from tipline.statics.barrier import crest_losses
from tipline.sweeps import batch
from tipline.sweeps.batch import run_batch
from trucks import (
    EMPTY,
    FORKS,
    FREE,
    HUNG,
    STOP,
    both_front,
    case,
    drive,
    hole,
    loads,
    roll,
    rolled,
    run,
    series,
    start,
)

SWING = '[[event]]\nkind = "swing"\nangle = "10 deg"\ntowards = "90 deg"\n'
WIND = '[[event]]\nkind = "wind"\nat = "0.5 s"\nspeed = "14 m/s"\nfrom_azimuth = "90 deg"\n'
SOFT = (
    '[[event]]\nkind = "soft_place"\nat = "0.5 s"\nunder = "front-left"\nsize = ["0.6 m", "0.5 m"]\n'
    'bearing_pressure = "900 kPa"\nhardening = "60 MPa/m"\nrate_speed = "300 mm/s"\n'
)
MOVES = '[[event]]\nkind = "counterweight"\nat = "0.3 s"\nto = "1.0 m"\n'
TURNS = '[[event]]\nkind = "floor_turns"\nat = "0.5 s"\nslope = "5 %"\ntowards = "90 deg"\nover = "2 s"\n'
FIXED = FORKS.replace("demo-truck-a", "demo-truck-b").replace('"1.2 m"\nballast', '"0 m"\nballast')
MOVING = {"setup.speed": "1.2 m/s", "setup.hook_height": "3 m"}
CASES: dict[str, tuple[str, dict[str, str]]] = {
    "breakthrough": (HUNG + hole("front-left", "60 mm"), {}),
    "both front": (FORKS + both_front("60 mm"), {}),
    "service stop": (HUNG + STOP, MOVING),
    "soft place": (HUNG + SOFT, {}),
    "swing": (HUNG + SWING, {}),
    "wind": (HUNG + WIND, {}),
    "counterweight moves": (HUNG + MOVES, {}),
    "floor turns": (HUNG + TURNS, {}),
    "fixed axle, twins": (FIXED + hole("rear-left", "60 mm"), {}),
}


@pytest.mark.parametrize("name", [*CASES, "tips"])
def test_at_the_same_step_it_is_the_same_motion(name: str) -> None:
    """States of every body after 1, 10, 1000 and 3000 steps: within 1e-7; one that tips makes rounding grow.

    That one is followed for 2.8 s, past 20 deg, where it is 1e-10: from 2.2 s on its steer axle, off the floor, strikes
    the stop again and again, and each stroke makes a difference ten to thirty times as large.
    """
    text, changes = CASES.get(name, (HUNG + hole("front-left", "200 mm"), {}))
    last = 2800 if name == "tips" else 3000
    record = rolled(start(text, changes), 3.0).record
    rows, _ = drive(start(text, changes), 3.0)
    for k in (1, 10, 1000, last):
        apart = np.abs(rows[k, 1 : 1 + 13 * at.N_BODY] - record[k, 1 : 1 + 13 * at.N_BODY])
        assert apart.max() < 1e-7, f"step {k}"
    forces = slice(79, -at.N_WATCHED)  # and energies: [N], [J]
    assert np.abs(rows[:last, forces] - record[:last, forces]).max() < 1e-2
    if name == "tips":
        assert np.degrees(np.abs(series(run(text, changes), "roll")[last])) > 20.0


@pytest.mark.parametrize("name", slow_but(CASES, "breakthrough", "service stop"))
def test_at_its_own_step_roll_and_pitch_agree_to_a_tenth_of_a_degree(name: str) -> None:
    """1 to 8 ms against 1 ms; the steps' own difference, measured: 0.007 deg at most; peak tyre loads within 0.9 %.

    Both go on until the outcome is decided: in the wind that is after the 8 s asked for, and the peaks come then.
    """
    text, changes = CASES[name]
    found = case(text, changes)
    single = simulate(found, losses=crest_losses(found))
    batch = run_batch([found], early=False)[0]
    for channel, ends in (("roll", batch.roll), ("pitch", batch.pitch)):
        values = series(single, channel)
        apart = np.degrees(np.abs([ends[0] - values.min(), ends[1] - values.max()]))
        print(f"\n{name}: {channel} differs by {apart.max():.4f} deg of {np.degrees(np.ptp(values)):.3f}")
        assert apart.max() < 0.1
        assert apart.max() < 0.02 + 0.01 * np.degrees(np.ptp(values))
    assert np.allclose(batch.peak_load, loads(single).max(axis=0), rtol=0.01)


FEW_SHIPPED = (
    "front-tyre-breaks-through-load-high", "service-stop-load-high", "floor-falls-sideways", "load-shed-from-the-jib",
    "unladen-counterweight-out-falls-back", "free-load-slides-on-the-forks", "slow-lean-on-soft-ground",
)  # fmt: skip
"""An ending of each kind."""


def stated(name: str) -> list[tuple[Case, Expect | Neighbour]]:
    expect = read(name).scenario.expect
    assert expect is not None
    assert expect.neighbour is not None
    pairs = ((read(name), expect), (read(name, dict(expect.neighbour.set)), expect.neighbour))
    return [(replace(found, cells=()), wanted) for found, wanted in pairs]


@pytest.mark.parametrize("name", slow_but(list_shipped()["scenario"], *FEW_SHIPPED))
def test_shipped_scenarios_and_their_neighbours_end_as_they_say(name: str) -> None:
    """The direction is told for a truck that goes over; one that rests on its body has none here."""
    for found, wanted in stated(name):
        result = run_batch([found], zones=[floor_laws(found).zones])[0]
        assert result.truck == wanted.truck
        if result.truck == "over":
            assert result.direction == getattr(wanted, "direction", None) or isinstance(wanted, Neighbour)


ROLLS, NEARER, HARDER = np.radians(0.05), 0.01, 0.03
"""How far steps taken at once may move the roll [rad], a least distance [m] and a peak load of a truck that stays.

Over all shipped scenarios and their neighbours, against single steps of 1 ms: 0.03 degrees, 5 mm, 2.9 %. Over 900
drawn that stay, in the mean 0.0007 degrees, 0.6 mm, 0.16 %, at most 0.06 degrees, 30 mm, 5 %, but for three that 1 and
0.5 ms tell apart as well: a slab that breaks under one tyre after the other, and two that land on either side.
"""


@pytest.mark.parametrize(
    "name",
    slow_but(list_shipped()["scenario"], "front-tyre-breaks-through-load-high", "front-tyre-sinks-in-soft-ground"),
)
def test_steps_taken_at_once_change_no_word_and_little_else(name: str) -> None:
    cases = [found for found, _ in stated(name)]
    zones = [floor_laws(found).zones for found in cases]
    for own, fine in zip(*(run_batch(cases, zones, dt, early=False) for dt in (None, 1e-3)), strict=True):
        assert (own.truck, own.lifted_load, own.floor, own.lead) == (
            fine.truck,
            fine.lifted_load,
            fine.floor,
            fine.lead,
        )
        if own.truck not in ("over", "resting"):
            assert [*own.roll, *own.pitch] == pytest.approx([*fine.roll, *fine.pitch], rel=0.0, abs=ROLLS)
            apart = [abs(own.least_distance[line] - there) for line, there in fine.least_distance.items()]
            assert np.nanmax(apart) < NEARER
            assert np.allclose(own.peak_load, fine.peak_load, rtol=HARDER)


def test_a_load_that_swings_on_is_stepped_several_steps_at_once() -> None:
    """And one by one where a step is asked for."""
    found = case(HUNG + SWING, {"run.duration": "4 s"})
    own, asked = (roll(found, dt=dt, early=False) for dt in (None, many.STEP))
    assert own.watch.seen[S_SINCE] > asked.watch.seen[S_SINCE] == 1
    assert [*own.seen.roll, *own.seen.pitch] == pytest.approx(
        [*asked.seen.roll, *asked.seen.pitch], abs=np.radians(0.01)
    )


def test_wheels_that_roll_freely_are_no_heavier_in_long_steps() -> None:
    """Down 3 % of slope for 3 s, a hung load swinging back: 2.806 m, and 7 mm less where grip was given more to turn.

    Without the load it goes as far as the slope's pull on all mass and what its wheels add takes it (from memory).
    """
    rolling = {"setup.slope": "3 %", "setup.slope_towards": "0 deg", "setup.speed": "0.5 m/s"}
    rolling |= {"run.duration": "3 s", "run.extend_to": "3 s"}
    swung, alone = case(HUNG, rolling), case(EMPTY, rolling)
    assert roll(swung, early=False).gone == pytest.approx(roll(swung, dt=many.STEP, early=False).gone, abs=1e-3)
    rolled_on = roll(alone, early=False)
    plant, seconds = rolled_on.prepared.build.plant, rolled_on.time
    added = float((plant.tyre[:, at.T_IW] / plant.tyre[:, at.T_R] ** 2).sum() / plant.mass.sum())
    way = 0.5 * seconds + 0.5 * G * np.sin(np.arctan(0.03)) / (1.0 + added) * seconds**2
    assert rolled_on.gone == pytest.approx(way, abs=3e-3)


def test_a_row_at_which_a_command_takes_another_course_is_stepped_to() -> None:
    """A depth that grows for 0.1 s bends where it begins and ends; the first row is alone."""
    table = start(HUNG + hole("front-left", "60 mm"), {"event.0.at": "0.5 s", "event.0.over": "0.1 s"}).commands.table
    even = table[:, at.K_EVEN]
    assert even[[0, 1, 490, 499, 500, 590, 599, 600]].tolist() == [1.0, 64.0, 10.0, 1.0, 64.0, 10.0, 1.0, 64.0]
    assert (even[600:] == 64.0).all(), "the last row lasts"
    at_once = start(HUNG + hole("front-left", "60 mm"), {"event.0.at": "0.5 s", "event.0.over": "0 s"}).commands
    assert at_once.table[[498, 499, 500], at.K_EVEN].tolist()[:2] == [1.0, 1.0]


def test_a_fall_is_told_as_by_single_steps() -> None:
    """Its least distances jump within a step: by 8 mm at most here, by 5 in all shipped falls, by 20 in 40 drawn."""
    found = case(HUNG + hole("front-left", "200 mm"))
    own, asked = (run_batch([found], dt=dt, early=False)[0] for dt in (None, many.STEP))
    assert (own.truck, own.direction) == (asked.truck, asked.direction) == ("over", "front")
    assert own.least_distance == pytest.approx(asked.least_distance, abs=1e-2, nan_ok=True)
    assert own.time == pytest.approx(asked.time, abs=0.01)


@pytest.mark.parametrize("name", CASES)
def test_an_early_end_changes_no_outcome(name: str) -> None:
    text, changes = CASES[name]
    early, late = (run_batch([case(text, changes)], early=flag)[0] for flag in (True, False))
    assert early.truck == late.truck
    assert early.time <= late.time + LONG_STEP, "a look at what decides may come a long step later"
    assert np.allclose([*early.roll, *early.pitch], [*late.roll, *late.pitch], atol=np.radians(0.02))


def test_a_truck_at_rest_is_not_stepped_to_its_duration() -> None:
    result = run_batch([case(HUNG)])[0]
    assert result.truck == "down"
    assert result.why == Decided.REST
    assert result.time < 1.5


def sample() -> list[Case]:
    return [case(HUNG + hole("front-left", f"{depth} mm")) for depth in (40, 80, 120)] + [case(HUNG + SOFT)]


def test_same_bits_twice_and_with_two_threads() -> None:
    first, second, threaded = run_batch(sample()), run_batch(sample()), run_batch(sample(), threads=2)
    assert first == second == threaded
    assert len({result.truck for result in first}) > 1


def test_threads_take_every_run_once_however_many_they_are() -> None:
    """More threads than runs, one run, none, and more than are made ready at a time; one of them has no result."""
    cases = [*sample(), *(case(HUNG + hole("front-left", f"{depth} mm")) for depth in range(50, 70, 2))]
    cases.insert(3, case(HUNG, {"machine.mast.chain_stiffness": "9e4 MN/m"}))
    alone = run_batch(cases)
    assert [result.truck for result in alone].count("no result") == 1
    for threads in (2, 3, 20):
        for count in (0, 1, 5, len(cases)):
            assert run_batch(cases[:count], threads=threads) == alone[:count]


def test_with_two_threads_no_more_is_begun_once_one_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    cases, made_ready = sample() * 20, []

    def begun(one: Case, *told: Any, **named: Any) -> Callable[[], many.Rolled]:
        made_ready.append(one)
        if len(made_ready) == 11:
            raise InputError("cannot be simulated", key="setup")
        return many.begun(one, *told, **named)

    monkeypatch.setattr(batch, "begun", begun)
    with pytest.raises(InputError, match="cannot be simulated"):
        run_batch(cases, threads=2)
    assert 11 <= len(made_ready) < 40


def test_a_run_lets_python_go_on_beside_it() -> None:
    """While a long run is stepped in a thread, Python counts on in this one: the compiled run holds no lock.

    With it held there would be a look before the run and one after it.
    """
    long = case(HUNG + hole("front-left", "60 mm"), {"run.duration": "60 s", "run.extend_to": "60 s"})
    ready = run_batch([long], early=False)
    with ThreadPoolExecutor(1) as pool:
        future, counted = pool.submit(roll, long, early=False), 0
        while not future.done():
            time.sleep(1e-3)
            counted += 1
        steps = future.result().steps
    print(f"\n{counted} looks of a millisecond in {steps:.0f} steps")
    assert steps * many.STEP >= ready[0].time
    assert counted > 5


def all_stepped(*told: Any, **named: Any) -> Watch:
    """What a run is watched by, with no step to leave out."""
    watch = watch_of(*told, **named)
    watch.rule[R_BEGINS] = 0.0
    return watch


def test_a_run_takes_nothing_of_the_one_before_it_that_is_not_its_own() -> None:
    """One truck with other depths, tyres, slopes, swings, soil, wind and ramps: to the bit as each by itself."""
    soft, ramp = HUNG + SOFT, '[[event]]\nkind = "ramp"\nslope = "2 %"\nbegins = "2 m"\nlength = "2 m"\n'
    ramp += '[[event]]\nkind = "drive"\nat = "0.2 s"\nspeed = "1.5 m/s"\n'
    texts = [HUNG + hole("front-left", f"{depth} mm") for depth in (40, 60, 40)]
    texts += [HUNG + hole("rear-left", "60 mm"), HUNG + SWING, HUNG + SWING.replace("10 deg", "5 deg"), HUNG + SWING]
    texts += [HUNG, soft, soft.replace("60 MPa/m", "90 MPa/m"), HUNG + WIND, HUNG + WIND.replace("90 deg", "0 deg")]
    texts += [HUNG + TURNS, HUNG + MOVES, FREE, FORKS, FORKS + ramp, FORKS + ramp.replace("2 %", "3 %")]
    cases = [case(text, {"run.duration": "2 s", "run.extend_to": "2 s"}) for text in texts]
    cases += [case(texts[0], {"setup.slope": f"{by} %", "setup.slope_towards": "90 deg"}) for by in (0, 1)]
    together = run_batch(cases)
    assert [repr(result) for result in together] == [repr(run_batch([alone])[0]) for alone in cases]
    assert len({repr(result) for result in together}) > 0.8 * len(cases)


@pytest.mark.parametrize("name", ["breakthrough", "wind", "floor turns", "fixed axle, twins"])
def test_the_steps_in_which_a_truck_only_stands_are_left_out(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """What happens begins at the same step, and the row is that of the whole run: within 1e-6 of a metre or radian.

    At one step throughout: how many are taken at once where all moves smoothly may hang on rounding.
    """
    one = case(*CASES[name])
    short = roll(one, dt=many.STEP)
    monkeypatch.setattr(many, "watch_of", all_stepped)
    whole = roll(one, dt=many.STEP)
    assert whole.stepped == whole.steps == short.steps
    assert short.stepped == pytest.approx(whole.steps - 0.5 / many.STEP, abs=2)
    left, kept = short.seen, whole.seen
    words = ("truck", "lifted_load", "floor", "line", "decided", "no_return")
    assert [getattr(left, word) for word in words] == [getattr(kept, word) for word in words]
    assert [*left.roll, *left.pitch] == pytest.approx([*kept.roll, *kept.pitch], rel=0.0, abs=1e-6)
    for line, (apart, _) in kept.distance.items():
        assert left.distance[line][0] == pytest.approx(apart, rel=0.0, abs=1e-6)
    for tyre, load in kept.lightest.items():
        assert left.lightest[tyre] == pytest.approx(load, rel=1e-5, abs=1.0)
        assert left.peak_load[tyre][0] == pytest.approx(kept.peak_load[tyre][0], rel=1e-5, abs=1.0)


@pytest.mark.parametrize("name", ["swing", "soft place"])
def test_no_step_is_left_out_where_something_moves_from_the_start(name: str) -> None:
    text, changes = CASES[name]
    run = roll(case(text.replace('kind = "soft_place"\nat = "0.5 s"', 'kind = "soft_place"\nat = "0 s"'), changes))
    assert run.stepped == run.steps == round(run.time / many.STEP) + 1


def test_order_does_not_matter_though_neighbours_share_their_assembly() -> None:
    cases = [case(HUNG + hole("front-left", "80 mm")), case(HUNG, load__mass="4 t"), case(FORKS)]
    there, back = run_batch(cases), run_batch(cases[::-1])
    assert there == back[::-1]
    assert there[0] == run_batch(cases[:1])[0]


def test_a_load_free_on_the_forks_is_followed_here_too() -> None:
    """One that stays where it lies leans as one that is held; one that the forks drop from under has dropped."""
    free, fixed = run_batch([case(FREE + hole("front-left", "40 mm")), case(FORKS + hole("front-left", "40 mm"))])
    assert (free.reason, fixed.reason) == ("", "")
    assert abs(free.roll[0] - fixed.roll[0]) < np.radians(0.5)
    stop = '[[event]]\nkind = "service_stop"\nat = "0.5 s"\ndeceleration = "4 m/s2"\n'
    slick = {"setup.speed": "2 m/s", "load.friction_on_forks": "0.05", "machine.drive.rise_time": "0.1 s"}
    # at 2 ms it comes to lie 0.36 m farther out, at 1 ms it goes over the tips
    assert run_batch([case(FREE + stop, slick)], dt=1e-3)[0].lifted_load == "dropped"


def test_a_case_without_a_result_costs_itself_only() -> None:
    """A step too long for the axle's stop is refused for that case; at the step of its own choice it runs."""
    refused = run_batch([case(HUNG), case(FORKS)], dt=2e-2)
    assert {result.truck for result in refused} == {"no result"}
    assert "would need a step" in refused[0].reason
    stiff = {"machine.mast.chain_stiffness": "800 MN/m"}
    results = run_batch([case(FORKS, stiff), case(FORKS)])
    assert [result.truck for result in results] == ["down", "down"]


def test_zones_must_match_the_cases() -> None:
    with pytest.raises(ValueError, match="1 sets of floor zones for 2 cases"):
        run_batch(sample()[:2], zones=[()])


SET_UPS = {
    "a": ("7.05", "1.6", "5.2", ["front-left"]),
    "b": ("7.0", "1.7", "10", ["front-left-outer", "front-left-inner"]),
    "c": ("5.7", "1.4", "2.4", ["front-left"]),
}
"""Hook height [m], reach [m], load [t] and the tyres that lose their floor, for each demo truck."""


BOTH = {
    "a": ["front-left", "front-right"],
    "b": ["front-left-outer", "front-left-inner", "front-right-outer", "front-right-inner"],
    "c": ["front-left", "front-right"],
}
DEPTHS = [(truck, both) for truck in SET_UPS for both in (False, True) if (truck, both) != ("c", True)]
"""Which truck, and whether both sides lose their floor; c then has no single depth, see the test below."""


def sinks(truck: str, depth: float, both: bool = False) -> Case:
    height, reach, mass, under = SET_UPS[truck]
    under = BOTH[truck] if both else under
    text = HUNG.replace("demo-truck-a", f"demo-truck-{truck}").replace('"1.2 m"\nballast', '"0.8 m"\nballast')
    text = text.replace('"7.05 m"', f'"{height} m"').replace('"1.6 m"\nhook', f'"{reach} m"\nhook')
    return case(
        text.replace('"5.2 t"', f'"{mass} t"')
        + hole(str(under), f"{1e3 * depth:.4f} mm").replace('"[', "[").replace(']"', "]")
    )


def tips_alone(found: Case) -> bool:
    """Whether it goes over in pybullet."""
    return outcome_of(simulate(found, losses=crest_losses(found)), found.inputs).truck == "over"


@pytest.mark.slow
@pytest.mark.parametrize(("truck", "both"), DEPTHS)
def test_both_engines_tip_at_the_same_depth(truck: str, both: bool) -> None:
    """Within 2 mm: 2 mm below and above the depth of the compiled engine, by bisection, a single run stays and tips."""
    low, high = 0.02, 0.30
    while high - low > 2e-4:
        middle = 0.5 * (low + high)
        over = run_batch([sinks(truck, middle, both)])[0].truck == "over"
        low, high = (low, middle) if over else (middle, high)
    print(f"\ntruck {truck}, {'both' if both else 'one'}: tips from {1e3 * high:.1f} mm in the compiled engine")
    assert 0.03 < high < 0.29
    assert not tips_alone(sinks(truck, low - 2e-3, both))
    assert tips_alone(sinks(truck, high + 2e-3, both))


@pytest.mark.slow
def test_both_engines_tip_at_the_same_depths_where_it_comes_and_goes() -> None:
    """Truck c rocks with its hung load for 6 to 10 s before it goes over: at 41 and 46 mm, not at 38 and 43 mm."""
    found = [sinks("c", depth, both=True) for depth in (0.038, 0.041, 0.043, 0.046)]
    over = [result.truck == "over" for result in run_batch(found)]
    assert over == [tips_alone(one) for one in found] == [False, True, False, True]


@pytest.mark.slow
@pytest.mark.parametrize("truck", SET_UPS)
@pytest.mark.parametrize("depth", [0.02, 0.04])
def test_well_below_the_threshold_roll_agrees_to_a_tenth_of_a_degree(truck: str, depth: float) -> None:
    found = sinks(truck, depth)
    single = simulate(found, losses=crest_losses(found))
    batch, values = run_batch([found])[0], series(single, "roll")
    apart = np.degrees(np.abs([batch.roll[0] - values.min(), batch.roll[1] - values.max()])).max()
    print(f"\ntruck {truck}, {1e3 * depth:.0f} mm: {apart:.4f} deg apart of {np.degrees(np.ptp(values)):.2f}")
    assert apart < 0.1
    assert batch.truck == outcome_of(single, found.inputs).truck
