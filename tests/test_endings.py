"""Words of an ending stand once: files, kernels, sweeps and pages know the same ones."""

from __future__ import annotations

from typing import get_args

import pytest

from tipline.endings import ENDED, ENDS, LINES, SHORT, Decided, FloorEnd, LoadEnd, TruckEnd
from tipline.kernels import watching
from tipline.scenario import spec, sweep


@pytest.mark.parametrize(
    ("words", "ends"),
    [(spec.TruckWord, TruckEnd), (spec.LoadOutcome, LoadEnd), (spec.FloorOutcome, FloorEnd)],
    ids=["truck", "lifted load", "floor"],
)
def test_files_may_expect_every_ending_there_is(words: object, ends: type[TruckEnd | LoadEnd | FloorEnd]) -> None:
    assert set(get_args(words)) == set(ends) - {TruckEnd.NO_RESULT}


def test_a_sweep_may_ask_for_every_ending_but_the_best_of_each_part() -> None:
    assert set(sweep.BAD_TRUCK) == set(TruckEnd) - {TruckEnd.DOWN, TruckEnd.NO_RESULT}
    assert set(sweep.BAD_LOAD) == {LoadEnd.SLID, LoadEnd.DROPPED}
    assert set(sweep.BAD_FLOOR) == {FloorEnd.SANK, FloorEnd.BROKE}


def test_every_ending_of_the_truck_is_said_on_a_page() -> None:
    assert set(SHORT) == set(TruckEnd)
    assert set(ENDS) == set(ENDED) == {*TruckEnd, *LoadEnd, *FloorEnd} - {LoadEnd.NONE}


@pytest.mark.parametrize(("old", "new"), [("lifted", "tyre-lifted"), ("left-up", "tyre-off"), ("over", "over")])
def test_files_that_were_written_before_are_still_read(old: str, new: str) -> None:
    assert spec.Expect(truck=old, because="it was").truck == new  # type: ignore[arg-type]
    assert spec.Neighbour(set={"a": "1"}, truck=old).truck == new  # type: ignore[arg-type]


def test_codes_of_the_kernels_are_places_of_the_words() -> None:
    words = {
        TruckEnd.DOWN: watching.DOWN, TruckEnd.TOO_LIGHT: watching.TOO_LIGHT, TruckEnd.TYRE_OFF: watching.TYRE_OFF,
        TruckEnd.TYRE_LIFTED: watching.TYRE_LIFTED, TruckEnd.RESTING: watching.RESTING, TruckEnd.OVER: watching.OVER,
        TruckEnd.UNDECIDED: watching.UNDECIDED, TruckEnd.NO_RESULT: watching.NO_RESULT,
    }  # fmt: skip
    assert words == {word: code for code, word in enumerate(TruckEnd)}
    assert [LINES[code] for code in (watching.FRONT, watching.BACK, watching.LEFT, watching.RIGHT)] == list(LINES)
    assert list(Decided)[watching.BY_ERROR] == "broke down"
