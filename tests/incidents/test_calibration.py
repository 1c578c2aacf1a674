"""Told probabilities and ranges on made-up cases: they hold where records err as is said, and are caught where not."""

from __future__ import annotations

from collections.abc import Sequence
from xml.etree import ElementTree

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.stats import chisquare

from tipline.incidents import judged as weighed
from tipline.incidents.calibration import calibration
from tipline.incidents.judged import TRIED, Judged
from tipline.incidents.report import Bin, Calibration
from tipline.incidents.weighing import Agreement, Evidence
from tipline.view.calibration_plot import draw_calibration

Array = NDArray[np.float64]


def _told(seed: int = 6) -> Calibration:
    """Three causes, each with a setting that its record shows with an error, and one that it does not show at all."""
    drawn = np.random.default_rng(8)
    left = tuple(m + 0.6 * drawn.standard_normal((1500, 1)) for m in (0.0, 0.8, 1.6))
    unseen = [drawn.random(1500) for _ in left]
    judged = Judged((Evidence("x", 0.5, 0.4),), left, np.array([0.5, 0.3, 0.2]), seed)
    settings = [{"seen": ours[:, 0], "unseen": other} for ours, other in zip(left, unseen, strict=True)]
    return calibration(judged, settings)


def _outside(bins: Sequence[Bin]) -> int:
    return sum(not part.span[0] <= part.told <= part.span[1] for part in bins)


@pytest.mark.slow
def test_told_probabilities_and_ranges_hold_on_made_up_cases() -> None:
    told = _told()
    assert told.cases == TRIED == 600
    assert told.few < 10  # of records far from most runs
    assert [(one.cause, one.label) for one in told.ranked] == [(k, of) for k in range(3) for of in ("seen", "unseen")]
    assert sum(one.cases for one in told.ranked) == 2 * (told.cases - told.few)
    assert all(sum(one.tenths) == one.cases for one in told.ranked)
    assert sum(one.off > one.allowed for one in told.ranked) <= 2  # each 1 time in 20: three in 2 of 1000
    assert sum(not one.span[0] <= 0.9 <= one.span[1] for one in told.ranked) <= 1
    assert 0.88 < sum(one.within for one in told.ranked) / (2 * (told.cases - told.few)) < 0.92
    assert chisquare(np.sum([one.tenths for one in told.ranked], axis=0)).pvalue > 0.01
    assert sum(part.cases for part in told.bins) == 3 * told.cases
    assert _outside(told.bins) <= 1
    assert told == _told()


@pytest.mark.slow
def test_records_taken_for_better_known_than_they_are_show(monkeypatch: pytest.MonkeyPatch) -> None:
    """Weighed with a third of the error that they were made up with: ranks crowd at both ends, ranges are missed."""

    class Sure(Agreement):
        def logs(self, findings: Sequence[Evidence], values: Array, wider: float = 1.0) -> Array:
            return super().logs(findings, values, wider / 3.0)

    right = _told()
    monkeypatch.setattr(weighed, "Agreement", Sure)
    told = _told()
    seen = [one for one in told.ranked if one.label == "seen"]
    assert all(one.span[1] < 0.9 for one in seen)
    assert sum(one.tenths[0] + one.tenths[-1] for one in seen) > 0.35 * told.cases
    assert _outside(told.bins) > _outside(right.bins)


def test_a_case_of_whose_settings_nothing_would_be_told_is_counted_and_left_out() -> None:
    """Of a cause with one run there is none to rank among; beside 8 alike runs a range is all there is."""
    judged = Judged((Evidence("x", 0.0, 1.0),), (np.array([[0.0]]),), np.array([1.0]), 1)
    told = calibration(judged, [{"setting": np.array([1.0])}])
    assert told.few == told.cases
    assert told.ranked == ()
    for runs, few in ((9, TRIED), (11, 0)):  # its own run is left out
        alike = Judged((Evidence("x", 0.0, 1.0),), (np.zeros((runs, 1)),), np.array([1.0]), 1)
        assert calibration(alike, [{"setting": np.arange(float(runs))}]).few == few


@pytest.mark.slow
def test_the_plot_has_a_point_for_each_row_of_the_table_and_stands_without_ranks() -> None:
    told = _told()
    drawing = draw_calibration(told, "made up")
    assert ElementTree.fromstring(drawing).tag.endswith("svg")
    assert drawing == draw_calibration(told, "made up")
    assert len(drawing) > len(draw_calibration(Calibration(told.cases, told.named, told.bins), "made up")) > 1000
    assert drawing != draw_calibration(told, "")
