"""What the batch engine says of a run: words and distances of the assessment, and when it may stop early.

Measured.

A tyre left up was off for nine tenths of the last swing, or never came back, or is off when nothing moves for a
second. Asked at one moment, or for the whole of a swing, the word hung on a touch in passing or on when the run
ended, and the engines differed over holes of 100 to 108 mm. Both engines count the same share, over 2 s or a hung
load's swing. What is left: a tall truck near its limit takes 4 s to rock, and one that touches once in that may be
called lifted or left up by when the run ends; so may one at the border of the share, or of the 1 % of the rest load
that makes a tyre off.

A truck that swings on, with energy enough to tip, is decided when four half swings in a row since the last command
leaned no further and came no nearer to a line than any before, the weight (a hung load's at the hook) within all of
them, and the last was no livelier. Half swings are 1 s or a hung load's; over fewer of them, or by the lean alone, a
truck was called lifted at 9 or 12 s that went over its line at 12 or 17. Both engines ask the same at the same looks,
every 4 ms, and end there (asked every 2 s, the one missed, over and over, a calm that lasted 1.3 s in 3, and said
undecided at 30 s of what was decided at 9.7); nothing is decided before the last command, so that a stop that begins
late is waited for. Of 120 random cases drawn after the last change of the rule one differed in a word (left up
or lifted, at the border of the share); of 480 by the form before it one (a load at the border of sliding); over
durations of 1 to 5 s, 7 of 370.

When a batch run may end early. Nothing more commanded, and either fallen; or at rest for a second; or energy rules
out that it tips (what moves and all that springs hold is less than to any crest, with a bound for what springs give
there), and for a whole swing no tyre went off and it leaned no further than before. In 280 random cases no word
differed from the full duration; 54 to 63 % of the steps were done. A truck that still lifts tyres runs on.
"""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import numpy as np
import pytest

from drawn import draws
from few import slow_but
from shipped_runs import shipped_case, shipped_run
from tipline import engines
from tipline.endings import RULES
from tipline.engines.prepare import prepare
from tipline.engines.watching import watch_of
from tipline.floors.laws.of_floor import floor_laws
from tipline.kernels import layout as at
from tipline.kernels.watching import C_SOFT
from tipline.model.shipped import list_shipped
from tipline.runs.assessment import assess_run
from tipline.runs.outcome import outcome_of
from tipline.scenario import read
from tipline.statics.barrier import crest_losses, energies_to_tip
from tipline.statics.truck import truck_of
from tipline.sweeps.batch import BatchResult, run_batch
from trucks import FORKS, FREE, case, hole, rolled

NAMES = list_shipped()["scenario"]
LANDS = {"floor-falls-diagonally", "load-lands-counterweight-out"}
"""Where load or truck strike the floor before all lies: distances then jump within a step."""


def words(result: BatchResult) -> tuple[str | None, ...]:
    return result.truck, result.lifted_load, result.floor, result.lead, result.direction


@pytest.mark.slow
@pytest.mark.parametrize("name", NAMES)
def test_words_and_least_distances_are_those_of_a_single_run(
    name: str, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Words equal; least distances within 10 mm, 50 mm where one strikes the floor: 2 ms against 1 ms.

    Depths are compared up to where the batch run ends: a truck that has fallen is not followed down.
    """
    found = shipped_case(name)
    result = run_batch([found], zones=[floor_laws(found).zones])[0]
    run = shipped_run(tmp_path_factory, name)
    report = assess_run(run, found)
    outcome = report.outcome
    assert words(result) == (
        outcome.truck, outcome.lifted_load, outcome.floor, outcome.lead, outcome.direction
    )  # fmt: skip
    assert set(result.least_swing) == set(report.swing)
    within = 0.05 if name in LANDS else 0.01
    for own, single in ((result.least_distance, report.distances), (result.least_swing, report.swing)):
        for line, (value, _) in single.items():
            assert own[line] == pytest.approx(value, abs=within, nan_ok=True), line
    assert result.steer_share == pytest.approx(report.steer_axle_share, abs=0.01)
    until = run.time <= result.time
    # what stands out of the floor has a depth below nought
    depths = [max(float(run.series(f"place_depth.{p['index']}")[until].max()), 0.0) for p in run.meta["places"]]
    assert max(result.peak_depth.values(), default=0.0) == pytest.approx(max(depths, default=0.0), abs=2e-3)


def test_a_load_that_would_slide_on_the_forks_is_told() -> None:
    """Level stop from 2 m/s: held at 4 m/s2 it needs friction above 0.41; at 1 m/s2 it stays."""
    stop = '[[event]]\nkind = "service_stop"\nat = "0.5 s"\n'
    slick = {"setup.speed": "2 m/s", "load.friction_on_forks": "0.2", "machine.drive.rise_time": "0.1 s"}
    hard, soft = (
        run_batch([case(FORKS + stop + f'deceleration = "{rate} m/s2"\n', slick)])[0].lifted_load for rate in (4, 1)
    )
    assert (hard, soft) == ("slid", "kept")


def test_a_free_load_that_stays_lets_the_truck_down_as_one_that_is_held() -> None:
    single, batch = run_batch([case(FREE + hole("front-left", "40 mm")), case(FORKS + hole("front-left", "40 mm"))])
    assert (single.truck, single.floor) == (batch.truck, batch.floor)
    for line, value in single.least_distance.items():
        assert batch.least_distance[line] == pytest.approx(value, abs=0.05), line
    assert single.peak_depth == pytest.approx(batch.peak_depth)


@pytest.mark.parametrize(
    "name", slow_but(NAMES, "front-tyre-breaks-through-load-high", "service-stop-load-low", "floor-falls-sideways")
)
def test_the_bound_for_springs_on_the_crest_is_one(name: str) -> None:
    """What springs hold at rest and give on the crest is more than what the crest, by saddle search, lies lower."""
    found = read(name)
    prepared = prepare(found, dt=2e-3, brief=True)
    bounds = watch_of(prepared, 2e-3).crest[:, C_SOFT]
    held = rolled(prepare(found), 0.0).record[0, -at.N_WATCHED - 4]
    energy, _ = energies_to_tip(truck_of(found))
    for exact, bound, line in zip(crest_losses(found), bounds, energy, strict=True):
        assert exact < bound + held or np.isnan(energy[line]), line


@pytest.mark.slow
def test_an_early_end_changes_no_word_of_random_cases() -> None:
    """40 random trucks, loads, heights and events: the words of the early end are those of the full duration."""
    cases = draws(40, 11)
    early, full = run_batch(cases), run_batch(cases, early=False)
    differ = [(one, other) for one, other in zip(early, full, strict=True) if words(one) != words(other)]
    assert differ == []
    counted = {word: sum(result.truck == word for result in full) for word in {result.truck for result in full}}
    saved = sum(one.time for one in early) / sum(other.time for other in full)
    sooner = [one for one, other in zip(early, full, strict=True) if one.time < other.time - 0.5]
    print(f"\n{counted}; {len(sooner)} of {len(cases)} end sooner, {100 * saved:.0f} % of the time is stepped")
    assert len(sooner) >= 10
    assert len(counted) >= 3
    moved = [
        abs(a - b) for one, other in zip(early, full, strict=True) for a, b in zip(one.roll, other.roll, strict=True)
    ]
    assert max(moved) < np.radians(0.1)


@pytest.mark.slow
def test_random_cases_end_as_a_single_run_does() -> None:
    """30 of them, three trucks, ten kinds of event; roll within 0.1 deg where the truck stays on its tyres.

    At 2 ms against 1 ms a word may lie at a border: a tyre off the floor for 10 ms or not, a load that slides for 50 ms
    or not. At the same step and for as long both engines say the same, whatever that border is: of 480 cases all did,
    and 476 at their own steps.
    """
    told, largest, at_a_border = [], 0.0, 0
    for found in draws(30, 20250):
        batch = run_batch([found])[0]
        run = engines.simulate(found, losses=crest_losses(found))
        single = outcome_of(run, found.inputs)
        told.append(single.truck)
        ended = (single.truck, single.lifted_load, single.floor, single.lead, single.direction)
        if words(batch) != ended:
            at_a_border += 1
            batch = run_batch([found], dt=1e-3, early=False)[0]
        assert words(batch) == ended
        if single.truck in ("down", "down, too light to steer", "tyre-lifted"):
            values = run.series("roll")
            apart = np.degrees(max(abs(batch.roll[0] - values.min()), abs(batch.roll[1] - values.max())))
            largest = max(largest, float(apart))
            assert apart < 0.1, found.scenario.event[0]
    assert at_a_border <= 1
    print(f"\n{Counter(told)}; roll at most {largest:.3f} deg apart")
    assert len(set(told)) >= 5


@pytest.mark.slow
@pytest.mark.parametrize(
    ("name", "at", "truck"),
    [("service-stop-load-high", 7.4, "over"), ("service-stop-load-high", 7.7, "over"),
     ("pedal-lift-load-raised", 7.4, "over")],
)  # fmt: skip
def test_a_stop_that_begins_late_is_waited_for(name: str, at: float, truck: str) -> None:
    """Of 8 s: at the duration the truck still brakes, evenly."""
    found = read(name, {"event.0.at": f"{at} s"})
    single = outcome_of(engines.simulate(found, losses=crest_losses(found)), found.inputs)
    batch = run_batch([found])[0]
    assert (single.truck, batch.truck) == (truck, truck)
    assert batch.lifted_load == single.lifted_load


def test_a_floor_that_breaks_after_the_fall_broke(tmp_path: Path) -> None:
    """The one-at-a-time engine goes on to the duration; the batch engine ends with the fall, before the hole."""
    given = read("service-stop-load-high").scenario.file
    assert given is not None
    text = given.read_text(encoding="utf-8")
    late = '[[event]]\nat = "7 s"\nkind = "breakthrough"\nunder = "front-left"\ndepth = "60 mm"\n'
    late += 'hole = ["0.6 m", "0.6 m"]\n'
    own = tmp_path / "late.toml"
    own.write_text(text[: text.index("[expect]")] + late, encoding="utf-8")
    batch = run_batch([read(own)])[0]
    assert (batch.truck, batch.floor) == ("over", "broke")
    assert batch.time < 7.0


def test_a_load_that_swings_on_in_the_wind_is_decided_at_once_in_both_engines() -> None:
    """Small truck, 19.7 m/s of wind from the left on 2.1 t: calm in some half swings and not in others, to the end.

    Half swings are whole steps, of 1 and of 2 ms: over a dozen of them the ends come 10 ms apart.
    """
    text = (
        'title = "wind"\nmachine = "demo-truck-c"\nfloor = "demo-hall-a"\n[setup]\ncounterweight_extension = "0.2 m"\n'
        'attachment = "jib"\nhook_height = "4.588 m"\njib_reach = "1.4 m"\n[load]\nmass = "2.073 t"\n'
        'size = ["1.4 m", "1.3 m", "1.4 m"]\nheight_of_centre = "0.6 m"\ncentre_offset = ["0 m", "-0.076 m"]\n'
        'hung_by = "0.9 m"\n[[event]]\nat = "0.5 s"\nkind = "wind"\nspeed = "19.73 m/s"\nfrom_azimuth = "90 deg"\n'
        '[run]\nduration = "9 s"\n'
    )
    found = case(text)
    run = engines.simulate(found, losses=crest_losses(found), engine="compiled")
    batch = run_batch([found])[0]
    assert outcome_of(run, found.inputs).truck == batch.truck == "down, too light to steer"
    assert run.time[-1] == pytest.approx(batch.time, abs=0.02)


@pytest.mark.slow
@pytest.mark.parametrize("slope", [23.0, 24.5, 25.0, 25.5, 25.6])
def test_a_truck_that_rocks_on_ends_as_a_single_run_does(slope: float) -> None:
    """A floor turned too fast leaves the fixed axle's truck rocking with a tyre that lifts in each swing, for long.

    Asked every 0.25 s, the recorded run at 25.6 % ended with a tyre off where one of many, asked every 4 ms, had lifted
    one: the share of the last swing that counts hangs on when the run ends. Both end at the same look now.
    """
    settings = {"event.0.slope": f"{slope} %", "event.0.rate": "4 deg/s", "run.duration": "8 s"}
    found = read("floor-turned-until-something-goes", settings)
    run, batch = engines.simulate(found, losses=crest_losses(found)), run_batch([found])[0]
    assert outcome_of(run, found.inputs).truck in ("tyre-lifted", "tyre-off")
    assert batch.truck == outcome_of(run, found.inputs).truck
    assert batch.time == pytest.approx(run.time[-1], abs=2 * RULES.looks)


@pytest.mark.slow
def test_short_commands_say_all_that_the_long_ones_say() -> None:
    """A table that ends at the duration is the start of the whole one, whose further rows are its last one again."""
    late = [read("service-stop-load-high", {"event.0.at": f"{at} s"}) for at in (7.0, 7.4, 7.7, 7.95)]
    cases, short = [*(read(name) for name in NAMES), *late, *draws(30, 5)], 0
    for found in cases:
        brief, whole = (prepare(found, dt=2e-3, brief=flag).commands.table for flag in (True, False))
        assert np.array_equal(brief, whole[: len(brief)])
        assert (whole[len(brief) :] == brief[-1]).all()
        short += len(brief) < len(whole)
    assert short > 0.7 * len(cases)


@pytest.mark.slow
def test_holes_to_both_sides_tip_at_the_same_depth() -> None:
    """Every half millimetre about the depth that tips: while runs began leaning to one side it was 1 mm apart."""
    depths = np.arange(0.104, 0.1121, 0.0005)
    name, tyres = "front-tyre-breaks-through-load-high", ("front-left", "front-right")
    found = {
        tyre: run_batch(
            [read(name, {"event.0.depth": f"{depth} m", "event.0.under": f'["{tyre}"]'}) for depth in depths]
        )
        for tyre in tyres
    }
    left, right = ([row.truck for row in found[tyre]] for tyre in tyres)
    assert left == right
    assert {"over", "tyre-lifted"} <= set(left)
