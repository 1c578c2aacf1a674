"""What is drawn depends on seed and run index only; distributions have their moments; indices are those of Ishigami."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tipline.commands.sweep import sweep
from tipline.scenario.sweep_plan import SweptInput
from tipline.sweeps import execute, job
from tipline.sweeps.assessment import sobol_indices
from tipline.sweeps.draws import Rows, unit_rows, value_at

DRAWN = ("monte-carlo", "sobol", "latin-hypercube", "sensitivity")
PI = np.pi


def between(shape: str, **figures: float) -> SweptInput:
    return SweptInput("x", "x", ("x",), "length", shape, (), figures, False, (), "told")  # type: ignore[arg-type]


def test_thirds_of_what_was_drawn_have_no_more_digits_than_tell_them() -> None:
    """In one unit; no edge is moved by over an eighth of the narrowest third: thirds of 3.3 % need three digits."""
    depth = between("uniform")
    assert depth.say_edges([0.0462, 0.0817, 0.1168, 0.1523]) == ("46 mm", "82 mm", "120 mm", "150 mm")
    assert depth.say_edges([0.8402, 0.9321, 0.9817, 1.204]) == ("0.84 m", "0.93 m", "0.98 m", "1.2 m")
    part = replace(depth, relative=True, base=(5200.0,), dimension="mass")
    assert part.say_edges([0.95, 0.9833, 1.0167, 1.05]) == ("95 %", "98.3 %", "102 %", "105 %")
    assert part.say_edges([1.0, 1.0, 1.0, 1.0])[0] == "100 %"


@pytest.mark.parametrize("method", DRAWN)
@pytest.mark.parametrize("parts", [1, 2, 7])
def test_any_split_gives_the_same_rows_to_the_bit(method: str, parts: int) -> None:
    rows, width = 40, 3
    whole = unit_rows(method, 5, rows, width, 0, rows)
    edges = np.linspace(0, rows, parts + 1).astype(int)
    pieces = [unit_rows(method, 5, rows, width, a, b) for a, b in pairwise(edges)]
    assert np.array_equal(np.vstack(pieces), whole)
    assert np.array_equal(np.vstack([unit_rows(method, 5, rows, width, k, k + 1) for k in range(rows)]), whole)
    assert not np.array_equal(unit_rows(method, 6, rows, width, 0, rows), whole)
    assert ((whole > 0.0) & (whole < 1.0)).all()


@pytest.mark.parametrize("method", ["monte-carlo", "sobol"])
def test_more_runs_keep_the_rows_of_fewer(method: str) -> None:
    assert np.array_equal(unit_rows(method, 5, 100, 2, 0, 30), unit_rows(method, 5, 30, 2, 0, 30))


def test_a_latin_hypercube_has_one_point_in_each_slice() -> None:
    made = unit_rows("latin-hypercube", 1, 50, 4, 0, 50)
    assert all(np.array_equal(np.sort((column * 50).astype(int)), np.arange(50)) for column in made.T)


def test_a_sobol_sequence_has_as_many_points_in_each_half_and_quarter() -> None:
    made = unit_rows("sobol", 1, 64, 2, 0, 64)
    counts = np.histogram2d(*made.T, bins=4, range=[[0, 1], [0, 1]])[0]
    assert (counts == 4).all()


def test_no_number_of_a_monte_carlo_row_comes_again_in_another() -> None:
    made = unit_rows("monte-carlo", 0, 200, 20, 0, 200)
    assert len(np.unique(made)) == made.size


def test_monte_carlo_rows_are_not_alike() -> None:
    made = unit_rows("monte-carlo", 0, 20000, 2, 0, 20000)
    assert abs(made.mean() - 0.5) < 5e-3
    assert abs(np.corrcoef(made[:-1, 0], made[1:, 0])[0, 1]) < 0.02
    assert abs(np.corrcoef(made.T)[0, 1]) < 0.02


@pytest.mark.parametrize(
    ("one", "mean", "deviation"),
    [
        (between("uniform", least=2.0, most=8.0), 5.0, 6.0 / np.sqrt(12.0)),
        (between("normal", mean=3.0, deviation=0.5), 3.0, 0.5),
        (between("lognormal", mean=3.0, deviation=1.5), 3.0, 1.5),
        (between("triangular", least=0.0, likeliest=1.0, most=5.0), 2.0, np.sqrt((25.0 + 1.0 - 5.0) / 18.0)),
        # cut off symmetrically at two deviations: variance 1 - 4 phi(2) / (2 Phi(2) - 1)
        (between("truncated-normal", mean=1.0, deviation=1.0, least=-1.0, most=3.0), 1.0, 0.879626),
    ],
    ids=lambda value: getattr(value, "shape", ""),
)
def test_a_distribution_has_its_mean_and_deviation(one: SweptInput, mean: float, deviation: float) -> None:
    """Closed moments (textbook, from memory) against the midpoints of 20000 equal shares."""
    values = np.array([value_at(one, (k + 0.5) / 20000) for k in range(20000)], dtype=np.float64)
    assert values.mean() == pytest.approx(mean, abs=2e-3 * deviation)
    assert values.std() == pytest.approx(deviation, rel=5e-3)
    assert (np.diff(values) >= 0.0).all()


def test_a_list_is_drawn_evenly_and_a_grid_has_every_combination_once() -> None:
    one = replace(between("values"), values=(1, 2, 4), dimension="")
    assert [value_at(one, share) for share in (0.01, 0.34, 0.99)] == [1, 2, 4]
    other = replace(one, values=("a", "b"))
    made = Rows("grid", 0, (one, other), 6)
    rows = made.between(0, 6)
    assert len(set(rows)) == 6
    assert made.between(2, 4) == rows[2:4]


def ishigami(x: np.ndarray) -> np.ndarray:
    return np.sin(x[:, 0]) + 7.0 * np.sin(x[:, 1]) ** 2 + 0.1 * x[:, 2] ** 4 * np.sin(x[:, 0])


def exact() -> tuple[list[float], list[float]]:
    """First and total indices with a = 7, b = 0.1.

    Source: Ishigami and Homma (1990), closed variances as in Saltelli et al., Global Sensitivity Analysis, the Primer
    (2008), from memory: V1 = (1 + b pi^4 / 5)^2 / 2, V2 = a^2 / 8, V13 = 8 b^2 pi^8 / 225.
    """
    first, second, both = 0.5 * (1 + 0.1 * PI**4 / 5) ** 2, 49.0 / 8.0, 8 * 0.01 * PI**8 / 225
    whole = first + second + both
    return [first / whole, second / whole, 0.0], [(first + both) / whole, second / whole, both / whole]


def test_the_closed_indices_are_the_printed_ones() -> None:
    """0.314, 0.442, 0 and 0.558, 0.442, 0.244 are printed wherever the function is used."""
    assert np.round(exact(), 3).tolist() == [[0.314, 0.442, 0.0], [0.558, 0.442, 0.244]]


@pytest.mark.slow
def test_sobol_indices_of_ishigami() -> None:
    one = between("uniform", least=-PI, most=PI)
    rows = 4096 * 5
    units = unit_rows("sensitivity", 3, rows, 3, 0, rows)
    values = ishigami(np.array([[value_at(one, share) for share in row] for row in units], dtype=np.float64))
    found = sobol_indices(values, ["x1", "x2", "x3"], 3)
    first, total = exact()
    print("\n", [(round(one.first, 4), round(one.total, 4)) for one in found])
    assert [one.first for one in found] == pytest.approx(first, abs=0.01)
    assert [one.total for one in found] == pytest.approx(total, abs=0.01)
    assert all(one.first_half < 0.1 for one in found)
    values[7] = np.nan  # one run without a result costs its block only
    again = sobol_indices(values, ["x1", "x2", "x3"], 3)
    assert [one.total for one in again] == pytest.approx(total, abs=0.01)


def test_sobol_indices_of_the_g_function() -> None:
    """Six factors, a = 0, 1, 4.5, 9, 99, 99; variances V_i = 1 / (3 (1 + a_i)^2), of all prod(1 + V_i) - 1.

    Source: Saltelli and Sobol (1995), as in Saltelli et al., the Primer (2008), from memory.
    """
    a = np.array([0.0, 1.0, 4.5, 9.0, 99.0, 99.0])
    rows = 4096 * 8
    units = unit_rows("sensitivity", 6, rows, 6, 0, rows)
    found = sobol_indices(np.prod((np.abs(4.0 * units - 2.0) + a) / (1.0 + a), axis=1), list("abcdef"), 6)
    part = 1.0 / (3.0 * (1.0 + a) ** 2)
    whole = np.prod(1.0 + part) - 1.0
    print("\n", [(round(one.first, 4), round(one.total, 4)) for one in found])
    assert [one.first for one in found] == pytest.approx(part / whole, abs=2e-3)
    assert [one.total for one in found] == pytest.approx(part * (1.0 + whole) / (1.0 + part) / whole, abs=2e-3)


def test_runs_that_do_not_differ_have_no_indices() -> None:
    assert sobol_indices(np.zeros(5 * 16), ["a", "b", "c"], 0) == ()


SWEEP = """
title = "Ishigami"
scenario = "front-tyre-breaks-through-load-high"
method = "sensitivity"
runs = 10240
seed = 2
[[variable]]
key = "event.0.depth"
least = "60 mm"
most = "160 mm"
[[variable]]
key = "load.mass"
least = "4 t"
most = "5 t"
[[variable]]
key = "machine.drive_axle.tyre.front-left.stiffness"
name = "stiffness"
relative = true
least = 0.5
most = 1.5
"""


@pytest.mark.slow
def test_the_whole_way_from_a_file_to_the_report_gives_them_too(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The runs are replaced by the function; draws, chunks, table and report are the product's."""

    def runs(made: job.Job, indices: Any) -> list[job.Row]:
        drawn = Rows(made.sweep.method, made.sweep.seed, made.inputs, made.rows).between(indices[0], indices[-1] + 1)
        low, high = ([one.figures[end] for one in made.inputs] for end in ("least", "most"))
        shares = (np.array(drawn) - low) / (np.array(high) - low)
        told = ishigami(PI * (2.0 * shares - 1.0))
        rows = []
        for index, value in zip(indices, told.tolist(), strict=True):
            row = job.lost_row(made, index, "")
            rows.append(row | {"truck": "over" if value < 0.0 else "down", "least_distance": value})
        return rows

    monkeypatch.setattr(execute, "run_rows", runs)
    path = tmp_path / "ishigami.toml"
    path.write_text(SWEEP, encoding="utf-8")
    report = sweep(path, workers=0).report
    first, total = exact()
    assert [one.first for one in report.measure_indices] == pytest.approx(first, abs=0.02)
    assert [one.total for one in report.measure_indices] == pytest.approx(total, abs=0.02)
    assert len(report.indices) == 3
    # the sign alone: totals 0.69 and 0.62, each give or take 0.06
    assert report.lead == "not told apart by this many runs: hole depth, lifted load"
