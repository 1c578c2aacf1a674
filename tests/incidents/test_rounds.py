"""Rounds of runs nearer to what was found: drawn as is told, counted so that what is held before stays, soon enough.

Runs are made here by a formula, so that what they tell is known in closed form.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import exp, log, sqrt
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.stats import kstest, norm, truncnorm

from tipline.incidents.drawing import Kernel, counting, effective, kernel_about
from tipline.incidents.report import NEAR_ENOUGH
from tipline.incidents.rounds import CauseRuns, next_round
from tipline.model.shipped import find
from tipline.scenario.incident_plan import IncidentPlan
from tipline.scenario.incident_reader import read_incident
from tipline.sweeps.draws import EDGE, unit_rows, value_at

Array = NDArray[np.float64]
Law = Callable[[Array], Array]


class Made:
    """A table of runs that a formula makes: where the load lies, of the share of each setting."""

    def __init__(self, plan: IncidentPlan, shares: Array, law: Law) -> None:
        self._columns: dict[str, Any] = {
            varied.column: np.array([value_at(varied, share) for share in shares[:, k].tolist()])
            for k, varied in enumerate(plan.causes[0].plan.inputs)
        }
        self._columns["rest.load_left"] = law(shares)
        self._columns["truck"] = np.array(["over"] * len(shares), dtype=object)

    def column(self, name: str) -> Any:
        return self._columns[name]

    def __len__(self) -> int:
        return len(self._columns["truck"])


def of_one_record(value: float, within: float, **changes: int) -> IncidentPlan:
    """The case by the press with nothing found but where the load lies."""
    plan = read_incident("truck-on-its-side-by-the-press", changes)
    (reading,) = (reading for reading in plan.readings if reading.of == "load.left")
    return replace(plan, readings=(replace(reading, value=value, within=within),))


def run_to_the_end(plan: IncidentPlan, law: Law) -> CauseRuns:
    own = plan.causes[0].plan
    first = unit_rows("monte-carlo", own.sweep.seed, own.rows, len(own.inputs), 0, own.rows)
    tables: list[Any] = [Made(plan, first, law)]
    while (more := next_round(CauseRuns(plan, 0, tuple(tables)))) is not None:
        assert more.rows == -(-own.rows // 2) == len(more.shares)
        tables.append(Made(plan, np.array(more.shares), law))
    return CauseRuns(plan, 0, tuple(tables))


def third_share(shares: Array) -> Array:
    """The load lies as far to the left [m] as the share of the third setting says."""
    return shares[:, 2].copy()


def test_a_kernel_is_a_density_and_draws_as_it_says() -> None:
    """Mirrored at both ends it is 1 in all; what it draws has its own distribution."""
    kernel = Kernel(np.array([[0.02], [0.9]]), np.array([0.3, 0.7]), np.array([0.15]))
    at = (np.arange(4000) + 0.5) / 4000
    density = kernel.density(at[:, None])
    assert density.mean() == pytest.approx(1.0, abs=1e-6)
    drawn = kernel.draw(4000, np.random.default_rng(2))[:, 0]
    assert ((drawn > 0.0) & (drawn < 1.0)).all()
    below = np.cumsum(density) / 4000
    assert kstest(drawn, lambda x: np.interp(x, at, below)).pvalue > 0.01
    wide = Kernel(np.array([[0.99]]), np.ones(1), np.array([0.3])).draw(100_000, np.random.default_rng(3))
    assert wide.min() > 2.0 * EDGE, "past both ends it is mirrored twice, and heaps up at none"
    both = Kernel(np.array([[0.02, 0.5]]), np.ones(1), np.array([0.15, 0.1]))
    side = (np.arange(200) + 0.5) / 200
    square = np.stack(np.meshgrid(side, side), axis=-1).reshape(-1, 2)
    assert both.density(square).mean() == pytest.approx(1.0, abs=1e-4)


def test_what_is_drawn_nearer_counts_so_that_the_even_spread_stays() -> None:
    """Of 2000 even draws and 2000 about 0.9: the mean share is one half and its square a third, as of even ones."""
    kernel = Kernel(np.array([[0.9]]), np.ones(1), np.array([0.1]))
    drawn = np.random.default_rng(5)
    shares = np.concatenate([drawn.random((2000, 1)), kernel.draw(2000, drawn)])
    counts = counting(shares, 2000, [(2000, kernel)])
    assert counts.max() <= 2.0  # half was drawn evenly
    assert shares.mean() > 0.6
    weights = counts / counts.sum()
    assert weights @ shares[:, 0] == pytest.approx(0.5, abs=0.02)
    assert weights @ shares[:, 0] ** 2 == pytest.approx(1.0 / 3.0, abs=0.02)
    assert counts.mean() == pytest.approx(1.0, abs=0.03)


def test_a_round_is_drawn_about_ten_runs_at_least_where_one_alone_is_near() -> None:
    """Chances of e^-k^2 leave one run; made alike by a power they leave ten."""
    logs = -(np.arange(200.0) ** 2)
    kernel = kernel_about(np.linspace(0.0, 1.0, 200)[:, None], logs, np.ones(200))
    assert kernel is not None
    assert effective(np.exp(logs)) < 2.0
    assert effective(kernel.often) == pytest.approx(10.0, rel=1e-3)
    assert kernel_about(np.zeros((3, 1)), np.full(3, -np.inf), np.ones(3)) is None


@pytest.mark.parametrize(("value", "within"), [(0.7, 0.02), (0.995, 0.02), (0.3, 0.3)])
def test_rounds_bring_enough_runs_near_and_tell_what_the_closed_form_does(value: float, within: float) -> None:
    """A share even over 0 to 1, recorded within a normal error: the posterior is that normal law, cut off at 1."""
    plan = of_one_record(value, within, runs=200)
    runs = run_to_the_end(plan, third_share)
    judged, deviation = runs.judged, within / 1.959964
    assert judged.near(0) >= NEAR_ENOUGH
    assert (len(runs.tables) > 1) == (within < 0.1)  # a rough record needs no round
    law = truncnorm((0.0 - value) / deviation, (1.0 - value) / deviation, value, deviation)
    weights, share = judged.weights(0), judged.left[0][:, 0]
    mean = float(weights @ share)
    assert mean == pytest.approx(law.mean(), abs=4.0 * deviation / sqrt(judged.near(0)))
    assert sqrt(float(weights @ (share - mean) ** 2)) == pytest.approx(law.std(), rel=0.35)
    chance = norm.cdf((1.0 - value) / deviation) - norm.cdf(-value / deviation)
    assert exp(judged.chances[0]) == pytest.approx(chance, rel=0.35)


def test_no_round_is_added_beyond_what_the_case_allows_nor_where_none_brings_runs_nearer() -> None:
    plan = of_one_record(0.7, 0.004, runs=40, rounds=1)
    assert len(run_to_the_end(plan, third_share).tables) == 2
    assert len(run_to_the_end(of_one_record(0.7, 0.004, runs=40, rounds=0), third_share).tables) == 1
    far = run_to_the_end(of_one_record(9.0, 0.4, runs=40), lambda shares: 0.01 * shares[:, 2])
    assert len(far.tables) == 2  # all lie 40 deviations off, and more of them no nearer
    nothing = run_to_the_end(of_one_record(9.0, 0.4, runs=40), lambda shares: np.full(len(shares), np.nan))
    assert len(nothing.tables) == 1


@pytest.mark.slow
def test_a_cause_whose_runs_lay_wide_is_followed_to_what_was_found() -> None:
    """A corner of three settings, 1 part in 1000 of what is held possible: the cause suits in the end."""

    def corner(shares: Array) -> Array:
        return 10.0 * (shares.min(axis=1) - 0.9)

    runs = run_to_the_end(of_one_record(0.5, 0.2, runs=100, rounds=8), corner)
    first = CauseRuns(runs.plan, 0, runs.tables[:1]).judged
    assert first.near(0) < 5.0
    assert runs.judged.fit(0) > 0.05
    assert runs.judged.near(0) > 20.0
    # the least of d shares has the density d (1 - s)^(d - 1), the load lies at 10 (s - 0.9)
    settings = len(runs.own.plan.inputs)
    assert exp(runs.judged.chances[0]) == pytest.approx(settings * 0.05 ** (settings - 1) / 10.0, rel=0.5)


def test_runs_that_were_drawn_about_other_findings_are_refused() -> None:
    runs = run_to_the_end(of_one_record(0.7, 0.004, runs=40, rounds=1), third_share)
    other = replace(runs, plan=of_one_record(0.2, 0.004, runs=40, rounds=1))
    with pytest.raises(ValueError, match="drawn about other findings"):
        other.counts  # noqa: B018
    assert log(runs.counts.sum()) == pytest.approx(log(60.0), abs=0.3)


def test_a_weighbridge_ticket_is_held_to_what_each_run_lifted(tmp_path: Path) -> None:
    """Also where it was weighed after a move; a cause that does not vary the weight has that of its files."""
    text = find("incident", "truck-on-its-side-by-the-press")[0].read_text()
    ticket = '[[found]]\nof = "load.mass"\nrecorded = "2.31 t"\nwithin = "40 kg"\nmoved = true\n\n[[cause]]'
    file = tmp_path / "case.toml"
    file.write_text(text.replace("[[cause]]", ticket, 1), encoding="utf-8")
    plan = read_incident(file, {"runs": 40})
    (reading,) = (reading for reading in plan.readings if reading.of == "load.mass")
    assert (reading.used, reading.value, reading.within) == (True, pytest.approx(2310.0), pytest.approx(40.0))
    runs = run_to_the_end(replace(plan, readings=(reading,)), third_share)
    masses = runs.column("load.mass")
    assert runs.left("load.mass") == pytest.approx(masses)
    assert np.ptp(masses) > 200.0
    assert abs(float(runs.judged.weights(0) @ masses) - 2310.0) < 10.0
    own = plan.causes[0]
    (varied,) = (varied for varied in own.plan.inputs if "load.mass" in varied.keys)
    others = tuple(other for other in own.plan.inputs if other is not varied)
    bare = replace(plan, causes=(replace(own, plan=replace(own.plan, inputs=others)), *plan.causes[1:]))
    assert set(replace(runs, plan=bare).left("load.mass").tolist()) == {2200.0}
