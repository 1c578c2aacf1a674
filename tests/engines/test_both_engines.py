"""A recorded run of the compiled engine beside one of pybullet: the same arrays over time, and the same words.

Both do the same steps on the same forces; what differs is rounding, in how the bodies are moved. Measured over all
shipped scenarios and their neighbours, at a step of 1 ms: until something other than a tyre strikes the floor, or there
is no way back, 2e-12 m and 2e-6 N. After that a difference grows by the stroke: to 1.5 mm and 0.7 N by the end of the
run, 8 s of which may lie after a fall. No word differs.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import pytest

from few import slow_cases

pytest.importorskip("pybullet")

import tipline
from shipped_runs import shipped_case, shipped_run
from tipline import engines
from tipline.cli.run import Engine
from tipline.engines.rolled import Rolling
from tipline.errors import InputError
from tipline.floors.laws.of_floor import floor_laws
from tipline.model.shipped import list_shipped
from tipline.results import COMPILED, ENGINES, PYBULLET, Run
from tipline.runs.assessment import assess_run
from tipline.scenario import Case
from tipline.statics.barrier import crest_losses
from trucks import FORKS, FREE, HUNG, case, hole, loads

NAMES = list_shipped()["scenario"]
STANDING, FALLEN = (1e-9, 1e-3), (1e-2, 10.0)
"""How far apart the engines may be [m, and parts of a quaternion; N] until then, and by the end of the run."""
LATER = 5
"""By how many samples one may be followed longer until all lies still, or a distance be told longer as it falls."""


def made(found: Case, engine: str) -> Run:
    return engines.simulate(found, losses=crest_losses(found), zones=floor_laws(found).zones, engine=engine)


@lru_cache(maxsize=4)
def both(text: str) -> tuple[Run, Run]:
    return made(case(text), PYBULLET), made(case(text), COMPILED)


def struck(run: Run) -> int:
    """The first sample at which something other than a tyre meets the floor, or there is no way back."""
    assert run.watched is not None
    down = (run.series("body_force") > 0.0) | (run.series("load_floor_force") > 0.0)
    if run.watched.no_return is not None:
        down |= run.time >= run.watched.no_return
    return int(np.argmax(down)) if down.any() else len(run.time)


def check_alike(one: Run, other: Run) -> None:
    """Names, units, shapes, sample times, and all that is told of a run but what made it.

    What fell is followed until it lies still, which may be a few samples sooner in the one.
    """
    assert abs(len(one.time) - len(other.time)) <= LATER
    count = min(len(one.time), len(other.time))
    assert np.array_equal(one.time[:count], other.time[:count])
    assert (one.bodies, one.tyres, list(one.channels)) == (other.bodies, other.tyres, list(other.channels))
    for name, channel in one.channels.items():
        there = other.channels[name]
        assert (channel.unit, channel.label, channel.values.shape[1:]) == (
            there.unit,
            there.label,
            there.values.shape[1:],
        )
        apart = np.isfinite(channel.values[:count]) != np.isfinite(there.values[:count])
        assert np.count_nonzero(apart) <= LATER, name
    assert list(one.meta) == list(other.meta)
    assert (one.meta["engine"], other.meta["engine"]) == tuple(ENGINES)
    for name in ("notes", "centres", "outside", "commanded_until_s", "time_step_s", "stands_at_start"):
        assert one.meta[name] == other.meta[name], name
    places = [[(place["law"], place["tyre"], place["zone"]) for place in run.meta["places"]] for run in (one, other)]
    assert places[0] == places[1]


def words(run: Run, found: Case) -> tuple[object, ...]:
    seen, report = run.watched, assess_run(run, found)
    assert seen is not None
    told = tuple(what for _, what in sorted(report.events))
    down = report.at_end.truck.down
    return seen.truck, seen.lifted_load, seen.floor, seen.line, seen.decided, report.heading, len(told), down


def check_apart(one: Run, other: Run) -> None:
    """Positions and tyre loads, over time."""
    count = min(len(one.time), len(other.time))
    until = min(struck(one), count)
    place = np.abs(one.poses[:count] - other.poses[:count]).reshape(count, -1).max(axis=1)
    load = np.abs(loads(one)[:count] - loads(other)[:count]).max(axis=1)
    print(f"\nto {one.time[until - 1]:.2f} s {place[:until].max():.1e} m, {load[:until].max():.1e} N; ", end="")
    print(f"to {one.time[count - 1]:.2f} s {place.max():.1e} m, {load.max():.1e} N")
    assert place[:until].max() < STANDING[0]
    assert load[:until].max() < STANDING[1]
    assert place.max() < FALLEN[0]
    assert load.max() < FALLEN[1]


@pytest.mark.parametrize("text", [HUNG + hole("front-left", "60 mm"), *slow_cases(FREE + hole("rear-left", "60 mm"))])
def test_both_engines_record_the_same_run(text: str) -> None:
    one, other = both(text)
    check_alike(one, other)
    check_apart(one, other)
    assert words(one, case(text)) == words(other, case(text))


@pytest.mark.slow
@pytest.mark.parametrize("name", NAMES)
def test_every_shipped_run_is_the_same_in_both(name: str, tmp_path_factory: pytest.TempPathFactory) -> None:
    """Of one its own run, of the next its neighbour's, which ends otherwise."""
    neighbour = NAMES.index(name) % 2 == 1
    found = shipped_case(name, neighbour=neighbour)
    one, other = shipped_run(tmp_path_factory, name, neighbour=neighbour), made(found, COMPILED)
    check_alike(one, other)
    check_apart(one, other)
    assert words(one, found) == words(other, found)


@pytest.mark.slow
def test_a_run_in_compiled_code_has_the_same_bits_twice() -> None:
    text = FREE + hole("rear-left", "60 mm")
    first, second = both(text)[1], made(case(text), COMPILED)
    assert np.array_equal(first.poses, second.poses)
    for name, channel in first.channels.items():
        assert np.array_equal(channel.values, second.channels[name].values, equal_nan=True), name
    assert first.watched == second.watched


def test_a_run_ends_at_the_step_that_decides_however_often_it_is_looked_at(monkeypatch: pytest.MonkeyPatch) -> None:
    """Decided by even swings at 6.2 s, the last step before a look, it was stepped once more before that was asked."""
    turn = '[[event]]\nkind = "turn"\nat = "0.7 s"\nradius = "3 m"\ntowards = "left"\n'
    found = case(FORKS + turn, {"setup.fork_height": "3 m", "setup.speed": "-6 km/h", "run.duration": "6 s"})
    runs = [made(found, COMPILED)]
    monkeypatch.setattr(Rolling, "looks", 1)
    runs.append(made(found, COMPILED))
    assert [(run.watched.decided, float(run.time[-1])) for run in runs if run.watched] == [("swings evenly", 6.2)] * 2
    assert np.array_equal(runs[0].poses, runs[1].poses)


def test_samples_are_as_far_apart_as_asked_for() -> None:
    found = case(HUNG + hole("front-left", "60 mm"), {"run.record_every": "8", "run.duration": "1 s"})
    runs = [engines.simulate(found, engine=engine) for engine in ENGINES]
    assert np.array_equal(runs[0].time, runs[1].time)
    assert runs[1].time[1] == pytest.approx(8e-3)


def test_what_a_run_can_be_made_by_has_one_list() -> None:
    assert [engine.value for engine in Engine] == list(ENGINES)
    with pytest.raises(InputError, match="'bullet': is not known"):
        tipline.run("front-tyre-breaks-through-load-low", engine="bullet")
