"""Findings weighed against runs, on causes whose chances are known in closed form."""

from __future__ import annotations

from collections.abc import Sequence
from math import exp, log, pi, sqrt

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.stats import binomtest, kstest, norm

from tipline.incidents.judged import Judged, evenly, quantiles, told_range
from tipline.incidents.report import Verdict
from tipline.incidents.weighing import Agreement, Evidence, log_mean, made_up, probabilities

Array = NDArray[np.float64]


def normal_causes(
    middles: Sequence[float], widths: Sequence[float], value: float, deviation: float, runs: int = 4000
) -> Judged:
    """Causes whose runs leave a normal quantity, of which one record is known."""
    drawn = np.random.default_rng(1)
    left = tuple(m + w * drawn.standard_normal((runs, 1)) for m, w in zip(middles, widths, strict=True))
    priors = np.full(len(left), 1.0 / len(left))
    return Judged((Evidence("place", value, deviation),), left, priors, 3)


@pytest.mark.slow
@pytest.mark.parametrize("value", [-0.2, 0.3, 1.2])
def test_the_chance_of_a_record_is_that_of_two_normal_laws_one_on_the_other(value: float) -> None:
    """Left by N(m, w), recorded with N(0, d): the record is N(m, sqrt(w^2 + d^2)).

    n runs near it tell it within one part in sqrt(n), here to four times that.
    """
    judged = normal_causes([0.0, 1.0], [0.7, 0.4], value, 0.2, 40_000)
    laws = [norm.pdf(value, 0.0, sqrt(0.49 + 0.04)), norm.pdf(value, 1.0, sqrt(0.16 + 0.04))]
    for cause, law in enumerate(laws):
        assert judged.near(cause) > 500
        assert exp(judged.chances[cause]) == pytest.approx(law, rel=4.0 / sqrt(judged.near(cause)))
    assert judged.probabilities[0] == pytest.approx(laws[0] / sum(laws), abs=0.02)
    low, high = judged.span(0)
    assert low < judged.probabilities[0] < high
    assert high - low < 0.04


def test_what_is_known_of_a_setting_is_the_normal_law_between_run_and_record() -> None:
    """A record of 1.0 within 0.3 of what N(0, 0.5) left: mean 1.0 x 0.25 / 0.34 = 0.735, deviation 0.257."""
    judged = normal_causes([0.0], [0.5], 1.0, 0.3, 40_000)
    weights, left = judged.weights(0), judged.left[0][:, 0]
    mean = float(weights @ left)
    assert mean == pytest.approx(0.7353, abs=0.01)
    assert sqrt(float(weights @ (left - mean) ** 2)) == pytest.approx(0.2572, abs=0.01)


def test_an_angle_is_the_same_after_a_turn() -> None:
    """FindingSaid at 179 degrees, left at -179: two degrees apart."""
    found = Evidence("heading", pi - 0.01, 0.02, turns=True)
    there = Agreement(np.array([[-pi + 0.01]])).logs([found], np.array([[found.value]]))
    assert there[0, 0, 0] == pytest.approx(-0.5 - log(0.02 * sqrt(2 * pi)))


def test_a_word_is_right_as_often_as_is_said() -> None:
    """Of three words, 0.9 on the right one leaves 0.05 for each of the others."""
    found = Evidence("floor", 2.0, words=("held", "sank", "broke"), sure=0.9)
    logs = Agreement(np.array([[2.0], [0.0], [-1.0]])).logs([found], np.array([[2.0]]))
    assert np.exp(logs[0, :, 0]) == pytest.approx([0.9, 0.05, 0.05])


def test_probabilities_stay_what_they_were_where_nothing_has_a_chance() -> None:
    """No run left what could be recorded: nothing is learnt of which cause it was."""
    nothing = np.array([-np.inf, -np.inf])
    assert probabilities(nothing, np.array([0.3, 0.7])) == pytest.approx([0.3, 0.7])
    assert probabilities(np.array([0.0, log(3.0)]), np.array([0.5, 0.5])) == pytest.approx([0.25, 0.75])


def test_made_up_records_err_as_is_said() -> None:
    """Two sigma of a normal law, and one word in five wrong, shared by the other two."""
    drawn = np.random.default_rng(4)
    findings = [Evidence("x", 0.0, 0.3), Evidence("w", 0.0, words=("a", "b", "c"), sure=0.8)]
    values = made_up(findings, np.tile([2.0, 1.0], (40_000, 1)), drawn)
    assert values[:, 0].std() == pytest.approx(0.3, rel=0.02)
    assert [(values[:, 1] == word).mean() for word in range(3)] == pytest.approx([0.1, 0.8, 0.1], abs=0.006)


@pytest.mark.slow
def test_told_probabilities_come_true() -> None:
    """Over 2000 made-up cases of three causes with two findings each, told 10 to 30 % is so in 10 to 30 of 100."""
    drawn = np.random.default_rng(8)
    left = tuple(
        np.column_stack([m + 0.6 * drawn.standard_normal(1500), drawn.choice(3, 1500, p=p)])
        for m, p in ((0.0, [0.6, 0.3, 0.1]), (0.8, [0.3, 0.3, 0.4]), (1.4, [0.1, 0.2, 0.7]))
    )
    findings = (Evidence("x", 0.5, 0.4), Evidence("w", 1.0, words=("a", "b", "c"), sure=0.9))
    judged = Judged(findings, left, np.array([0.5, 0.3, 0.2]), 6)
    told, truth, cases = judged.told_of_made_up(2000)
    for low, high in ((0.0, 0.1), (0.1, 0.3), (0.3, 0.5), (0.5, 0.7), (0.7, 0.9), (0.9, 1.01)):
        inside = (told >= low) & (told < high)
        was = truth[:, None] == np.arange(3)
        count = int(inside.sum())
        assert count > 40
        assert binomtest(int((inside & was).sum()), count, float(told[inside].mean())).pvalue > 1e-3
    own = [
        float(case.weights[left[cause][:, 0] < left[cause][case.run, 0]].sum())
        for cause, case in zip(truth.tolist(), cases, strict=True)
        if case.weights is not None
    ]
    assert kstest(own, "uniform").pvalue > 1e-3  # where the true setting ranks among its weighted runs


def test_a_cause_whose_runs_lie_far_off_is_not_consistent() -> None:
    """What was found lies 10 deviations from all that either cause leaves: neither fits, however they compare."""
    far = normal_causes([0.0, 0.5], [0.3, 0.3], 6.0, 0.2)
    assert [verdict for verdict, _ in far.verdicts()] == [Verdict.NOT, Verdict.NOT]
    near = normal_causes([0.0, 6.0], [0.3, 0.3], 6.0, 0.2)
    assert [verdict for verdict, _ in near.verdicts()] == [Verdict.NOT, Verdict.CONSISTENT]


def test_causes_within_a_factor_of_three_are_not_told_apart() -> None:
    """N(0, 1) and N(0.4, 1) beside a record of 0.2: a factor of 1."""
    alike = normal_causes([0.0, 0.4, 2.6], [1.0, 1.0, 1.0], 0.2, 0.1)
    verdicts = alike.verdicts()
    assert verdicts[0] == (Verdict.APART, (1,))
    assert verdicts[1] == (Verdict.APART, (0,))
    assert verdicts[2] == (Verdict.CONSISTENT, ())


def test_a_rare_cause_suits_but_has_little_chance() -> None:
    """One run in fifty of a cause leaves just what was found: consistent, and 50 times less likely."""
    drawn = np.random.default_rng(2)
    often = drawn.normal(1.0, 0.1, (4000, 1))
    seldom = np.where(
        drawn.random((4000, 1)) < 0.02, drawn.normal(1.0, 0.1, (4000, 1)), drawn.normal(-9, 0.1, (4000, 1))
    )
    judged = Judged((Evidence("x", 1.0, 0.1),), (often, seldom), np.array([0.5, 0.5]), 1)
    assert [verdict for verdict, _ in judged.verdicts()] == [Verdict.CONSISTENT, Verdict.CONSISTENT]
    assert exp(float(judged.chances[0] - judged.chances[1])) == pytest.approx(50.0, rel=0.25)


def test_a_finding_that_repeats_another_adds_nothing() -> None:
    """Two columns that are one: by itself each speaks for the first cause, beside the other with exact words not."""
    left = tuple(
        np.repeat(np.array(words, dtype=float)[:, None], 2, axis=1)
        for words in ([0] * 90 + [1] * 10, [0] * 30 + [1] * 70)
    )
    findings = tuple(Evidence(name, 0.0, words=("yes", "no"), sure=0.999999) for name in ("one", "same"))
    judged = Judged(findings, left, np.array([0.5, 0.5]), 1)
    factors = list(judged.factors())
    assert [factor.alone for factor in factors] == pytest.approx([3.0, 3.0], rel=1e-3)
    assert [factor.beside for factor in factors] == pytest.approx([1.0, 1.0], rel=1e-3)


@pytest.mark.slow
def test_one_more_finding_is_worth_what_it_tells() -> None:
    """Nothing known of two causes: 50 %. A word that is right in 19 of 20 and differs between them: 90.5 %.

    0.95^2 + 0.05^2 = 0.905: the chance of the right one, with a record that is right or wrong.
    """
    flat = tuple(np.zeros((500, 1)) for _ in range(2))
    judged = Judged((Evidence("x", 0.0, 1.0),), flat, np.array([0.5, 0.5]), 2)
    now, then = judged.with_one_more("floor.end", [np.zeros(500), np.ones(500)], 4000)
    assert now == pytest.approx(0.5)
    # of three words the wrong one is half as often the other cause's: 0.95^2/0.975 + 0.025^2/0.975 + 0.025 x 0.5
    assert then == pytest.approx(0.95**2 / 0.975 + 0.025**2 / 0.975 + 0.025 * 0.5, abs=0.01)


def test_the_mean_of_logs() -> None:
    """Of 1, 2 and 3 times e^-800, which no float holds: 2 e^-800."""
    assert log_mean(np.log([1.0, 2.0, 3.0]) - 800.0, np.ones(3)) == pytest.approx(log(2.0) - 800.0)
    assert log_mean(np.array([0.0, -5.0]), np.array([1e-310, 1.0])) == pytest.approx(-5.0), "one that hardly counts"


def test_runs_are_taken_as_often_as_they_weigh() -> None:
    """Of weights 1, 0, 6, 3 ten draws take the first once, the second never, the others six and three times."""
    drawn = evenly(np.array([1.0, 0.0, 6.0, 3.0]), 10)
    assert np.bincount(drawn, minlength=4).tolist() == [1, 0, 6, 3]


def test_the_nine_in_ten_of_a_setting_is_as_wide_as_so_few_runs_ask() -> None:
    """Of 20 runs that weigh alike, 1 to 20: a further one lies outside their ends in 2 of 21 cases, within in 0.905.

    Between the second and the last but one, as told before, it lies in 18 of 21: 0.857. One alone tells nothing.
    """
    values, weights = np.arange(1.0, 21.0), np.full(20, 0.05)
    low, middle, high = told_range(values, weights)
    assert (low, high) == (1.0, 20.0)
    assert middle in (10.0, 11.0)
    assert quantiles(values, weights, (0.051, 0.949)) == (2.0, 19.0)
    drawn = np.random.default_rng(3)
    runs, truth = drawn.random((4000, 20)), drawn.random(4000)
    ranges = np.array([told_range(row, weights) for row in runs])
    held = (ranges[:, 0] <= truth) & (truth <= ranges[:, 2])
    assert held.mean() == pytest.approx(19.0 / 21.0, abs=0.015)
    alone = np.where(np.arange(20) == 7, 1.0, 0.0)
    assert told_range(values, alone)[::2] == (1.0, 20.0)
    many = told_range(np.arange(1.0, 10_001.0), np.full(10_000, 1e-4))
    assert many == pytest.approx((500.0, 5000.0, 9500.0), abs=1.0)


def test_runs_that_count_for_more_weigh_so() -> None:
    """Two runs, the second as two: a record at it, far from the first, has 2/3 of the chance that the second gives."""
    judged = Judged((Evidence("x", 1.0, 0.1),), (np.array([[-9.0], [1.0]]),), np.ones(1), 1, (np.array([0.5, 1.0]),))
    assert exp(judged.chances[0]) == pytest.approx(2.0 / 3.0 / (0.1 * sqrt(2 * pi)))
    assert judged.held(0) == pytest.approx([1 / 3, 2 / 3])
    assert judged.weights(0) == pytest.approx([0.0, 1.0])


def test_what_the_nearest_run_misses_is_told_of_all_and_of_those_that_end_as_found() -> None:
    """Found over, 7 m off within 1. One run lies 7 m off and stands, another is over and lies 12 m off."""
    findings = (Evidence("end", 1.0, words=("stands", "over"), sure=0.99), Evidence("off", 7.0, 1.0))
    judged = Judged(findings, (np.array([[0.0, 7.1], [1.0, 12.0]]),), np.ones(1), 1)
    assert judged.missed(0, np.array([True, True])) == 0
    assert judged.missed(0, np.array([False, True])) == 1


NOTHING = float("nan")


def mark(*left: Sequence[float]) -> Judged:
    """A mark found at 1.0 within 0.1, and what the runs of each cause left of one."""
    columns = tuple(np.array(runs)[:, None] for runs in left)
    return Judged((Evidence("mark", 1.0, 0.1),), columns, np.full(len(left), 1.0 / len(left)), 3)


def test_a_cause_whose_runs_leave_no_mark_does_not_go_with_a_mark() -> None:
    """Of its 200 made-up cases none finds a mark, so that none is as far from its runs: 1 of 201."""
    judged = mark([NOTHING] * 60, [0.95, 1.0, 1.05] * 20)
    assert judged.fit(0) == pytest.approx(1 / 201)
    assert judged.verdicts()[0] == (Verdict.NOT, ())
    assert judged.verdicts()[1] == (Verdict.CONSISTENT, ())
    assert judged.probabilities == pytest.approx([0.0, 1.0])
    assert judged.missed(0, np.ones(60, dtype=np.bool_)) == 0


def test_a_cause_that_seldom_leaves_a_mark_but_then_there_goes_with_it() -> None:
    """A tenth of its runs mark the floor where the other's all do: a factor of ten, and no further off."""
    judged = mark([NOTHING] * 540 + [0.95, 1.0, 1.05] * 20, [0.95, 1.0, 1.05] * 20)
    assert judged.fit(0) > 0.5
    assert judged.probabilities == pytest.approx([1 / 11, 10 / 11])
    assert [verdict for verdict, _ in judged.verdicts()] == [Verdict.CONSISTENT, Verdict.CONSISTENT]


def test_that_no_mark_was_found_is_told_by_looking_for_one() -> None:
    """One cause always leaves a mark, the other never: who looks knows which, and knew as good as nothing before."""
    judged = Judged((Evidence("x", 0.0, 1.0),), (np.zeros((40, 1)), np.zeros((40, 1))), np.full(2, 0.5), 3)
    columns = (np.full(40, 1.0), np.full(40, NOTHING))
    assert judged.with_one_more("mark.truck_ahead", columns) == pytest.approx((0.5, 1.0))
