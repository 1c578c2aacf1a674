"""Sweep files: what they mean, and one clear located message for each spoiled one."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from tipline.errors import InputError, InputErrors
from tipline.model.shipped import find, list_shipped
from tipline.scenario import schema
from tipline.scenario.sweep_reader import read_sweep

HEAD = 'title = "t"\nscenario = "front-tyre-breaks-through-load-high"\n'
DRAWN = HEAD + 'method = "monte-carlo"\nruns = 10\n'
DEPTH = '[[variable]]\nkey = "event.0.depth"\n'
MASS = '[[variable]]\nkey = "load.mass"\n'
RANGE = 'least = "60 mm"\nmost = "160 mm"\n'
SOUGHT = '[threshold]\nkey = "event.0.depth"\nleast = "20 mm"\nmost = "300 mm"\n'
GRID = HEAD + 'method = "grid"\n'
SEEK = HEAD + 'method = "threshold"\n'

SPOILED: dict[str, tuple[str, str, str]] = {
    "unknown method": (DRAWN.replace("monte-carlo", "montecarlo") + DEPTH + RANGE, "method", 'mean "monte-carlo"'),
    "unknown key": (DRAWN + "seeed = 4\n" + DEPTH + RANGE, "seeed", 'unknown key, did you mean "seed"?'),
    "unknown key in a variable": (DRAWN + DEPTH + RANGE + "orign = 3\n", "variable.0.orign", 'did you mean "origin"?'),
    "no such scenario": (
        DRAWN.replace("load-high", "load-hihg") + DEPTH + RANGE, "scenario", 'Did you mean "front-tyre-breaks-through',
    ),
    "no runs": (DRAWN.replace("runs = 10\n", "") + DEPTH + RANGE, "runs", "is needed for method monte-carlo"),
    "runs beside a grid": (GRID + "runs = 5\n" + DEPTH + 'values = ["60 mm"]\n', "runs", "is not for method grid"),
    "runs not whole": (DRAWN.replace("10", "10.5") + DEPTH + RANGE, "runs", "must be a whole number"),
    "too many runs": (DRAWN.replace("10", "2000000") + DEPTH + RANGE, "runs", "must be 1000000 or less"),
    "nothing varies": (DRAWN, "variable", "needs at least one"),
    "no such setting": (DRAWN + DEPTH.replace("depth", "dept") + RANGE, "variable.0.key", 'did you mean "depth"?'),
    "no such event": (DRAWN + DEPTH.replace("0", "3") + RANGE, "variable.0.key", 'no entry "3"; entries: 0 to 0'),
    "no unit": (DRAWN + DEPTH + 'least = 60\nmost = "160 mm"\n', "variable.0.least", "a number without a unit"),
    "other unit": (DRAWN + DEPTH + 'least = "60 kg"\nmost = "160 mm"\n', "variable.0.least", "a unit of mass"),
    "a ton": (DRAWN + MASS + 'values = ["4 t", "5 ton"]\n', "variable.0.values.1", "a ton is 907, 1000 or 1016 kg"),
    "ends crossed": (
        DRAWN + DEPTH + 'least = "160 mm"\nmost = "60 mm"\n', "variable.0.most", "must be greater than least",
    ),
    "no most": (DRAWN + DEPTH + 'least = "60 mm"\n', "variable.0", "most is needed for uniform"),
    "no deviation": (
        DRAWN + DEPTH + 'distribution = "normal"\nmean = "90 mm"\n', "variable.0", "deviation is needed for normal",
    ),
    "deviation of nothing": (
        DRAWN + DEPTH + 'distribution = "normal"\nmean = "90 mm"\ndeviation = "0 mm"\n',
        "variable.0.deviation",
        "must be greater than 0",
    ),
    "what the distribution does not take": (
        DRAWN + DEPTH + RANGE + 'likeliest = "90 mm"\n', "variable.0.likeliest", "is not for uniform",
    ),
    "likeliest outside": (
        DRAWN + DEPTH + RANGE + 'distribution = "triangular"\nlikeliest = "200 mm"\n',
        "variable.0.likeliest",
        "must lie between least and most",
    ),
    "lognormal below zero": (
        DRAWN + DEPTH + 'distribution = "lognormal"\nmean = "-9 mm"\ndeviation = "1 mm"\n',
        "variable.0.mean",
        "must be greater than 0 for lognormal",
    ),
    "a normal that reaches what cannot be": (
        DRAWN + MASS + 'distribution = "normal"\nmean = "4 t"\ndeviation = "2 t"\n',
        "variable.0.mean",
        "load.mass = -2000.0 kg does not read: must be greater than 0",
    ),
    "a value that cannot be": (
        DRAWN + '[[variable]]\nkey = "setup.ballast_slabs"\nvalues = [2, 12]\n',
        "variable.0.values.1",
        "setup.ballast_slabs = 12 does not read",
    ),
    "values and distribution": (
        DRAWN + DEPTH + 'values = ["60 mm"]\ndistribution = "normal"\n', "variable.0.distribution", "beside values",
    ),
    "a range of whole numbers": (
        DRAWN + '[[variable]]\nkey = "setup.ballast_slabs"\nleast = 0\nmost = 4\n', "variable.0.key", "takes no range",
    ),
    "a grid without count": (GRID + DEPTH + RANGE, "variable.0", "needs a count"),
    "a count that is no grid's": (DRAWN + DEPTH + RANGE + "count = 4\n", "variable.0.count", "is for a grid only"),
    "a grid too large": (
        GRID + (DEPTH + RANGE + "count = 1000\n") + (MASS + 'least = "4 t"\nmost = "5 t"\ncount = 1000\n')
        + '[[variable]]\nkey = "setup.ballast_slabs"\nvalues = [2, 4]\n',
        "method",
        "2000000 combinations, at most 1000000",
    ),
    "the same setting twice": (DRAWN + DEPTH + RANGE + DEPTH + RANGE, "variable.1.key", "is set elsewhere"),
    "a threshold of nothing": (SEEK, "threshold", "is needed but not there"),
    "a threshold of another method": (DRAWN + DEPTH + RANGE + SOUGHT.replace("event.0.depth", "load.mass").replace(
        "20 mm", "1 t").replace("300 mm", "9 t"), "threshold", "is not for method monte-carlo"),
    "a threshold too fine": (SEEK + SOUGHT + 'within = "1 m"\n', "threshold.within", "must be smaller than the range"),
    "an outcome nobody knows": (SEEK + SOUGHT + 'outcome = "tipped"\n', "threshold.outcome", "not one of the choices"),
    "too few for indices": (
        DRAWN.replace("monte-carlo", "sensitivity") + DEPTH + RANGE, "runs", "sensitivity to 1 settings needs 12 runs",
    ),
    "a wrong change in all runs": (
        DRAWN + '[set]\n"setup.hook_height" = "5 kg"\n' + DEPTH + RANGE, "set.setup.hook_height", "a unit of mass",
    ),
    "a list in all runs": (
        DRAWN + '[set]\n"load.centre_offset" = ["0 m", "0 m"]\n' + DEPTH + RANGE, "set.load.centre_offset", "in quotes",
    ),
    "a list as a value": (DRAWN + DEPTH + 'values = [["1 mm"]]\n', "variable.0.values.0", "must be text, a number"),
    "a flag as an end": (DRAWN + DEPTH + 'least = true\nmost = "2 m"\n', "variable.0.least", "must be a quantity"),
    "an endless factor": (
        DRAWN + MASS + "relative = true\nleast = 0.5\nmost = inf\n", "variable.0.most", "not a finite number",
    ),
    "a number as a key": (DRAWN + "[[variable]]\nkey = 5\n" + RANGE, "variable.0.key", "must be a key in quotes"),
    "an entry of a list that nobody gave": (
        DRAWN + '[[variable]]\nkey = "load.centre_offset.0"\n' + RANGE, "variable.0.least", "Give the whole list",
    ),
    "a factor of a word": (
        DRAWN + '[[variable]]\nkey = "event.0.under"\nrelative = true\nvalues = [1]\n', "variable.0.relative", "single",
    ),
    "two kinds of setting as one": (
        DRAWN + '[[variable]]\nkey = ["load.mass", "event.0.depth"]\n' + RANGE, "variable.0.key", "of different kinds",
    ),
}  # fmt: skip


def problems_of(text: str, folder: Path) -> tuple[Path, tuple[InputError, ...]]:
    path = folder / "spoiled.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_sweep(path)
    error = caught.value
    return path, error.problems if isinstance(error, InputErrors) else (error,)


@pytest.mark.parametrize("name", SPOILED)
def test_one_clear_message(name: str, tmp_path: Path) -> None:
    text, key, says = SPOILED[name]
    path, (problem,) = problems_of(text, tmp_path)
    assert (problem.key or "") == key
    assert says in str(problem)
    assert str(problem).startswith(f"{path}:{problem.line}: ")
    line = text.splitlines()[(problem.line or 1) - 1]
    last = [part for part in key.split(".") if not part.isdigit()][-1]
    absent = problem.value is None
    assert absent or last in line
    assert problem.remedy
    assert problem.exit_code == 2


def test_there_are_many_spoiled_files() -> None:
    assert len(SPOILED) >= 30


def test_problems_of_all_variables_are_told_together(tmp_path: Path) -> None:
    text = DRAWN + DEPTH + 'least = "60 kg"\nmost = "1 m"\n' + MASS + 'values = ["5 ton"]\n'
    _, problems = problems_of(text, tmp_path)
    assert [problem.key for problem in problems] == ["variable.0.least", "variable.1.values.0"]


def test_a_distribution_without_any_figure_names_those_it_needs(tmp_path: Path) -> None:
    _, problems = problems_of(DRAWN + DEPTH + 'distribution = "normal"\n', tmp_path)
    assert [str(problem).partition(": ")[2] for problem in problems] == [
        "variable.0: deviation is needed for normal. Add deviation = ...",
        "variable.0: mean is needed for normal. Add mean = ...",
    ]  # fmt: skip


def test_a_change_of_the_file_is_located_as_such(tmp_path: Path) -> None:
    path = tmp_path / "sweep.toml"
    path.write_text(DRAWN + DEPTH + RANGE, encoding="utf-8")
    assert read_sweep(path, {"runs": "7"}).rows == 7
    with pytest.raises(InputError, match=r"from overrides: runs = 0: must be 1 or more"):
        read_sweep(path, {"runs": "0"})


def test_an_unknown_name_suggests_the_nearest() -> None:
    with pytest.raises(InputError, match='Did you mean "what-buys-most-on-soft-ground"'):
        read_sweep("what-buys-most-on-hard-ground")


@pytest.mark.parametrize("name", list_shipped()["sweep"])
def test_shipped_sweeps_read_and_fit_the_schema(name: str) -> None:
    plan = read_sweep(name)
    assert plan.rows > 1
    assert plan.case.demo
    assert plan.sweep.question
    data = tomllib.loads(find("sweep", name)[0].read_text(encoding="utf-8"))
    Draft202012Validator(json.loads(json.dumps(schema("sweep")))).validate(data)


def test_there_are_three_shipped_sweeps() -> None:
    assert len(list_shipped()["sweep"]) >= 3


def test_the_schema_refuses_an_unknown_key_and_a_wrong_word() -> None:
    check = Draft202012Validator(schema("sweep"))
    good = tomllib.loads(DRAWN + DEPTH + RANGE)
    assert check.is_valid(good)
    assert not check.is_valid({**good, "seeed": 4})
    assert not check.is_valid({**good, "method": "guess"})


def test_a_variable_in_words_and_in_si(tmp_path: Path) -> None:
    path = tmp_path / "sweep.toml"
    stiff = '["machine.drive_axle.tyre.front-left.stiffness", "machine.steer_axle.tyre.rear-left.stiffness"]'
    path.write_text(
        DRAWN
        + DEPTH
        + RANGE
        + f'[[variable]]\nkey = {stiff}\nname = "tyre"\nrelative = true\nleast = 0.8\nmost = 1.2\n',
        encoding="utf-8",
    )
    depth, tyre = read_sweep(path).inputs
    assert depth.label == "hole depth"
    assert depth.words() == "any value from 60 mm to 160 mm, each as likely"
    assert depth.texts(0.1) == {"event.0.depth": "0.1 m"}
    assert (depth.unit, tyre.unit) == ("m", "")
    assert tyre.words() == "any value from 80 % to 120 %, each as likely"
    assert list(tyre.texts(0.5).values()) == ["3000000.0 N/m", "2500000.0 N/m"]
