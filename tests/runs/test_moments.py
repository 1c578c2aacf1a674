"""The moments a class is shown, of runs played by hand: each when the arrays have it, and how long there was."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import tipline
from tipline.runs.beside import apart, changes, said_of_changes
from tipline.runs.moments import ASK_AFTER, landing_of, moments_of
from tipline.scenario import read

HIGH = "front-tyre-breaks-through-load-high"


@pytest.fixture(scope="module")
def falls() -> tipline.RunResult:
    return tipline.run(HIGH, spread=0, floor_spread=0, engine="compiled")


@pytest.fixture(scope="module")
def holds() -> tipline.RunResult:
    return tipline.run(HIGH, {"event.0.depth": "95 mm"}, spread=0, floor_spread=0, engine="compiled")


def test_each_moment_is_when_the_arrays_have_it(falls: tipline.RunResult) -> None:
    report, run = falls.report, falls.run
    found = {moment.kind: moment.time for moment in moments_of(report, falls.case.scenario).all}
    assert list(found) == ["event", "tyre off", "line crossed", "no return", "landing", "outcome"]
    assert found["event"] == 1.0
    crossing = run.at(found["line crossed"])
    least = np.min([run.series(f"distance.{line}") for line in ("front", "back", "left", "right")], axis=0)
    assert least[crossing] < 0.0
    assert (least[:crossing] >= 0.0).all()
    assert found["no return"] == report.no_return
    down = run.at(found["landing"])
    touching = (run.series("body_force") > 0.0) | (run.series("load_floor_force") > 0.0)
    assert touching[down]
    assert not touching[:down].any()
    assert found["outcome"] == run.time[-1]
    assert sorted(found.values()) == list(found.values())


def test_it_tells_how_long_there_was_from_the_first_sign(falls: tipline.RunResult, holds: tipline.RunResult) -> None:
    told = moments_of(falls.report, falls.case.scenario)
    assert told.first_sign == 1.0
    assert told.left == pytest.approx(falls.report.no_return - 1.0 if falls.report.no_return else None)
    assert told.ask == pytest.approx(1.0 + ASK_AFTER)
    stayed = moments_of(holds.report, holds.case.scenario)
    assert stayed.left is None
    assert stayed.no_return is None
    assert stayed.ask == told.ask  # a class cannot tell by when it is asked how it ends
    assert [moment.kind for moment in stayed.all][-1] == "outcome"


def test_what_the_driver_does_is_no_first_sign() -> None:
    result = tipline.run("service-stop-load-high", {"run.duration": 4.0}, spread=0, floor_spread=0, engine="compiled")
    told = moments_of(result.report, result.case.scenario)
    assert result.run.watched is not None
    off = min(left for left, _ in result.run.watched.off.values())
    assert told.first_sign == off > 1.0
    assert (told.all[0].kind, told.all[0].time) == ("event", 1.0)


def test_what_lies_from_the_start_has_not_landed(falls: tipline.RunResult) -> None:
    run = falls.run
    lying = run.with_channels({"body_force": replace(run.channels["body_force"], values=np.ones_like(run.time))})
    assert landing_of(lying, None) is None
    assert landing_of(run, falls.report.no_return) is not None


def test_the_one_thing_that_changed_is_said(falls: tipline.RunResult, holds: tipline.RunResult) -> None:
    found = changes(falls.case, holds.case)
    assert [(change.what, change.first, change.second) for change in found] == [("hole depth", "118 mm", "95 mm")]
    assert said_of_changes(found) == "One thing changed: hole depth, 118 mm in A, 95 mm in B."
    assert said_of_changes(changes(falls.case, falls.case)) == "Nothing was changed between A and B."
    both = read(HIGH, {"event.0.depth": "95 mm", "load.mass": "4 t", "run.duration": "3 s"})
    told = said_of_changes(changes(falls.case, both))
    assert told == "2 things changed: load mass, 4.5 tonne in A, 4 tonne in B; hole depth, 118 mm in A, 95 mm in B."
    heights = [read("service-stop-load-high", {"setup.fork_height": height}) for height in ("5 m", "0.3 m")]
    assert said_of_changes(changes(*heights)) == "One thing changed: fork height, 5 m in A, 0.3 m in B."


def test_differences_are_those_of_the_arrays(falls: tipline.RunResult, holds: tipline.RunResult) -> None:
    times, lines = apart(falls.run, holds.run)
    for time in (0.0, 1.2, 2.0, 2.8):
        at = int(np.argmin(np.abs(times - time)))
        for line in ("left", "back"):
            a, b = (result.run.series(f"distance.{line}")[result.run.at(times[at])] for result in (falls, holds))
            assert lines[line][at] == pytest.approx(b - a, abs=2e-4)
    late = times > (falls.report.no_return or np.inf)
    assert late.any()
    assert np.isnan(lines["left"][late]).all()
