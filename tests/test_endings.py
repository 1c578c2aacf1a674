"""Words of an ending stand once: files, kernels, sweeps and pages know the same ones."""

from __future__ import annotations

from typing import get_args

import pytest

from tipline.endings import (
    ENDED,
    ENDS,
    LINES,
    SHORT,
    Decided,
    FloorEnd,
    LoadEnd,
    TruckEnd,
    leading,
    load_ended,
    load_ends,
)  # fmt: skip
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


def test_a_load_that_the_run_held_fixed_is_not_said_to_have_dropped() -> None:
    """The picture shows it on the forks, at whatever lean: what it would have done is worked out, and said so."""
    for word, would, did in (
        ("slid", "would slide", "would have slid"),
        ("dropped", "would drop", "would have dropped"),
    ):
        assert load_ends(word, held=True, down=False) == would
        assert load_ended(word, held=True, down=False) == f"{did}; the run held it fixed to the forks"
        assert load_ended(word, held=True, down=True) == "went down with the truck; the run held it fixed to the forks"
        assert load_ended(word, held=False, down=False) == word
        assert leading("tyre-lifted", "", word, "held", held=True) == f"the lifted load {did}"
        assert leading("tyre-lifted", "", word, "held") == f"the lifted load {word}"
    assert load_ended("kept", held=True, down=False) == load_ended("kept", held=False, down=False)


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
