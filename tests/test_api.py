"""What the package offers by name does what the commands do, and loads nothing before it is used."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

import tipline
from tipline.cli import app
from tipline.errors import InputError, InputErrors
from tipline.model.document import Document
from tipline.scenario import read
from tipline.scenario.sweep_reader import read_sweep

HIGH = "front-tyre-breaks-through-load-high"
SWEEP = "one-front-tyre-breaks-through"


@pytest.mark.parametrize("name", tipline.__all__)
def test_every_name_is_there(name: str) -> None:
    assert callable(getattr(tipline, name))


def test_there_is_a_function_for_every_command() -> None:
    commands = {command.name or command.callback.__name__ for command in app.registered_commands if command.callback}
    told = {"list": "shipped", "report": "report_of", "self-test": "self_test"}  # a room has the name report
    commands -= {"open"}  # pages to be looked at, which give nothing back
    assert {told.get(name, name) for name in commands} <= set(tipline.__all__)


def test_an_absent_name_is_an_attribute_error() -> None:
    with pytest.raises(AttributeError, match="no attribute 'tip'"):
        _ = tipline.tip


def test_importing_it_loads_no_library() -> None:
    code = "import sys, tipline; print([n for n in ('numpy', 'pydantic', 'pybullet', 'numba') if n in sys.modules])"
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout == "[]\n"


def test_a_result_is_written_as_its_command_writes_it(tmp_path: Path) -> None:
    asked = tipline.floor("the-same-lift-on-spreaders")
    folder = tipline.write(asked, tmp_path / "floor", pictures=False)
    assert {"report.html", "summary.json", "inputs"} <= {path.name for path in folder.iterdir()}
    with pytest.raises(InputError, match="something there already"):
        tipline.write(asked, folder, pictures=False)
    made = tipline.export("the-same-lift-on-spreaders", "mjcf")
    assert any(path.suffix == ".xml" for path in tipline.write(made, tmp_path / "truck").iterdir())
    posed = tipline.check("the-same-lift-on-spreaders")
    left = tipline.write(posed, tmp_path / "pose")
    assert {path.name for path in left.iterdir()} == {
        "report.html", "report.json", "summary.json", "inputs", "plan.svg",
    }  # fmt: skip
    assert posed.title in (left / "report.html").read_text(encoding="utf-8")


def test_it_lists_describes_and_checks_itself() -> None:
    assert "demo-truck-a" in tipline.shipped()["machine"]
    assert tipline.schema("machine")["type"] == "object"
    assert callable(tipline.self_test)


def test_tab_shows_the_public_functions_and_nothing_else() -> None:
    import tipline.commands.run
    import tipline.view

    assert dir(tipline) == sorted(tipline.__all__)
    assert set(dir(tipline)) == {
        "check", "copy_shipped", "export", "fit", "floor", "lesson", "loads", "new", "reconstruct", "repeat", "replay",
        "report_of", "run", "schema", "self_test", "shipped", "slopes", "start", "sweep", "write",
    }  # fmt: skip
    assert not any(isinstance(getattr(tipline, name), type) for name in dir(tipline))
    assert tipline.CheckResult.__name__ == "CheckResult"


AS_TEXT = {
    "event.0.depth": "95 mm", "load.mass": "4 t", "setup.slope": "2 %", "setup.slope_towards": "90 deg",
    "load.size": '["1.8 m", "1.4 m", "1.6 m"]',
    "machine.drive_axle.tyre.front-left.friction": "50 %", "floor.slope": "1 deg", "setup.ballast_slabs": "1",
}  # fmt: skip
IN_SI = {
    "event.0.depth": 0.095, "load.mass": 4000, "load.size": [1.8, 1.4, 1.6], "floor.slope": np.float64(np.pi / 180.0),
    "setup.slope": float(np.arctan(0.02)), "setup.slope_towards": np.pi / 2, "setup.ballast_slabs": 1,
    "machine.drive_axle.tyre.front-left.friction": 0.5,
}  # fmt: skip


def test_a_number_is_what_the_text_says_in_si() -> None:
    told, given = read(HIGH, AS_TEXT), read(HIGH, IN_SI)
    assert told == given
    assert told.resolved == given.resolved
    assert (told.unusual, told.told, told.assumed) == (given.unusual, given.told, given.assumed)
    assert given.load is not None
    assert (given.load.mass, given.scenario.event[0].depth) == (4000.0, 0.095)
    assert read(HIGH, {**IN_SI, "load.size": np.array([1.8, 1.4, 1.6])}) == given


@pytest.mark.slow
@pytest.mark.parametrize("changes", [AS_TEXT, IN_SI])
def test_a_file_a_name_and_a_case_take_the_same_changes(changes: dict[str, object], tmp_path: Path) -> None:
    known = read(HIGH)
    file = tmp_path / "mine.toml"
    file.write_text(next(iter(known.files.values())), encoding="utf-8")
    by_name, by_case = tipline.check(HIGH, changes), tipline.check(known, changes)
    assert by_case == by_name
    assert tipline.check(str(file), changes).distances == tipline.check(file, changes).distances == by_name.distances
    assert tipline.check(tipline.check(known, {"load.mass": "4 t"}).case, changes).distances == by_name.distances
    assert tipline.export(known, "urdf", changes).exported == tipline.export(HIGH, "urdf", changes).exported
    asked = tipline.floor(read("the-same-lift-on-spreaders"), {"load.mass": 3000.0}).report
    assert asked.answers == tipline.floor("the-same-lift-on-spreaders", {"load.mass": "3 t"}).report.answers


def test_a_sweep_takes_numbers_and_what_was_read() -> None:
    told = read_sweep(SWEEP, {"runs": "8", "variable.5.least": "50 mm", "variable.5.most": "160 mm"})
    given = read_sweep(SWEEP, {"runs": 8, "variable.5.least": 0.05, "variable.5.most": 0.16})
    assert told.inputs == given.inputs
    assert given.rows == 8
    assert "variable.5" in str(read_sweep(SWEEP, {"variable.5.most": 1.6}).unusual[0])


def test_a_case_keeps_the_texts_it_was_read_from(tmp_path: Path) -> None:
    file = tmp_path / "mine.toml"
    file.write_text(next(iter(read(HIGH).files.values())), encoding="utf-8")
    known = read(file, {"load.mass": "4 t"})
    file.unlink()
    again = tipline.check(known, {"load.mass": "3 t"})
    assert again.case.load is not None
    assert again.case.load.mass == 3000.0
    changed = replace(known, load=None)
    with pytest.raises(InputError, match="overrides: changes are for a case as it was read"):
        tipline.check(changed, {"load.mass": "3 t"})


WRONG = [
    "load.mass=4 t", ["load.mass"], {1: "4 t"}, {"": "4 t"}, {"load.mass": ""}, {"load.mass": None}, {"load.mass": {}},
    {"load.mass": object()}, {"load.mass": float("nan")}, {"load.mass": -1}, {"load.mass": [1.0]}, {"load.mass": True},
    {"setup.attachment": 3}, {"machine": 5}, {"load": 5}, {"event.7.depth": 1.0}, {"title.x": 1}, {"a..b": 1},
    {"load.mass": 10**400}, {"load.size": [1.0]}, {"load.size": [[1.0, 1.0, 1.0]]},
]  # fmt: skip


@pytest.mark.parametrize("wrong", WRONG, ids=range(len(WRONG)))
@pytest.mark.parametrize(
    "ask", [tipline.check, tipline.slopes, lambda given, wrong: tipline.export(given, "glb", wrong)]
)
def test_a_wrong_override_is_our_error(ask: Callable[..., object], wrong: object) -> None:
    for given in (HIGH, read(HIGH)):
        with pytest.raises(InputError) as caught:
            ask(given, wrong)
        assert "--" not in str(caught.value)
        assert "overrides" in str(caught.value)


@pytest.mark.parametrize(
    ("ask", "told"),
    [
        (lambda: tipline.check(5), "scenario = 5"),
        (lambda: tipline.run(None), "scenario = None"),
        (lambda: tipline.run(HIGH, spread=-1), "spread = -1: must be a whole number from 0 to 500"),
        (lambda: tipline.run(HIGH, floor_spread="3"), "floor_spread = '3'"),
        (lambda: tipline.floor(5), "subject = 5"),
        (lambda: tipline.floor("demo-hall-a", route="way.toml"), "route = way.toml: a route needs a truck"),
        (lambda: tipline.floor("demo-hall-a", stock="no-stock"), "stock = no-stock: spreaders need a truck"),
        (lambda: tipline.floor(HIGH, stock=5), "stock = 5"),
        (lambda: tipline.floor("demo-hall-a", 5), "overrides = 5"),
        (lambda: tipline.slopes(HIGH, directions=4), "directions = 4: must be between 8 and 720"),
        (lambda: tipline.slopes(HIGH, directions="72"), "directions = '72'"),
        (lambda: tipline.slopes(HIGH, heights=["high"]), "heights = ['high']"),
        (lambda: tipline.slopes(HIGH, heights=[]), "heights = []: names no height"),
        (lambda: tipline.slopes(HIGH, heights=True), "heights = True"),
        (lambda: tipline.slopes(HIGH, beside=["tilt"]), "beside = tilt: a set-up needs keys and values"),
        (lambda: tipline.slopes(HIGH, beside=5), "beside = 5"),
        (lambda: tipline.slopes(HIGH, ramps=13), "ramps = 13"),
        (lambda: tipline.sweep(SWEEP, give_up_after="soon"), "give_up_after = soon"),
        (lambda: tipline.sweep(SWEEP, give_up_after=0.5), "give_up_after = 0.5: must be from 1 s"),
        (lambda: tipline.sweep(SWEEP, workers=-1), "workers = -1"),
        (lambda: tipline.sweep(SWEEP, {"runs": 0}), "from overrides: runs = 0"),
        (lambda: tipline.sweep(None), "file = None"),
        (lambda: tipline.export(HIGH, "obj"), "form = 'obj'"),
        (lambda: tipline.schema("truck"), "kind = 'truck'"),
        (lambda: tipline.write(5, "lift-1"), "result = 5"),
    ],
)
def test_in_python_a_message_names_the_argument(ask: Callable[[], object], told: str) -> None:
    with pytest.raises(InputError) as caught:
        ask()
    assert str(caught.value).startswith(told)
    assert "--" not in str(caught.value)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("slopes", HIGH, "--directions", "4"), "--directions = 4: must be between 8 and 720"),
        (("slopes", HIGH, "--heights", "high"), "--heights = high"),
        (("slopes", HIGH, "--beside", "tilt"), "--beside = tilt"),
        (("floor", "demo-hall-a", "--route", "way.toml"), "--route = way.toml"),
        (("sweep", SWEEP, "--give-up-after", "soon"), "--give-up-after = soon"),
        (("check", HIGH, "--set", "load.mass=none"), "from --set: load.mass"),
        (("check", HIGH, "--strict", "--set", "load.mass=32 t"), "--set \"meant=['load.mass']\""),
    ],
)
def test_on_the_command_line_a_message_names_the_option(
    words: tuple[str, ...], told: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    done = CliRunner().invoke(app, [*words, "--quiet"])
    assert done.exit_code == 2
    assert told in done.stderr


def test_what_is_unusual_says_in_python_how_it_is_meant() -> None:
    with pytest.raises(InputErrors) as caught:
        tipline.check(HIGH, {"load.mass": 32000.0}, strict=True)
    assert str(caught.value).endswith("""overrides={'meant': '["load.mass"]'}""")
    meant = {"load.mass": 32000.0, "meant": ["load.mass"]}
    assert tipline.check(HIGH, meant, strict=True).case.scenario.meant == ("load.mass",)


def test_heights_and_set_ups_beside_are_lists() -> None:
    from tipline.slope_limits.asked import asked_heights

    case = read(HIGH)
    assert asked_heights(case, [3.0, "4 m"]) == asked_heights(case, "3 m, 4 m") == (3.0, 4.0)
    assert asked_heights(case, np.array([3.0, 4.0])) == (3.0, 4.0)
    assert asked_heights(case, 3) == asked_heights(case, "3")
    assert asked_heights(case, 3.0) == (3.0,)


def test_heights_that_nobody_names_are_four_from_the_lowest_to_the_top_and_the_own_one() -> None:
    from tipline.slope_limits.asked import CARRYING, asked_heights, set_ups

    case = read("service-stop-load-high")
    four = asked_heights(case, 4)
    assert four == pytest.approx(np.linspace(CARRYING, case.machine.mast.top_fork_height, 4))
    assert asked_heights(case, None) == tuple(sorted({*four, case.height}))
    low = read("service-stop-load-high", {"setup.fork_height": "0.1 m"})
    assert asked_heights(low, 4)[0] == pytest.approx(0.1)
    for heights, count in (("1 m, 2 m", 3), (f"1 m, {case.height} m", 2)):
        found = [one.case.height for one in set_ups([("", case)], heights, with_own=True)]
        assert len(found) == count
        assert case.height in found


def test_a_change_of_a_quantity_is_written_as_text() -> None:
    document = Document.from_text('a = "1 m"', "t")
    document.change("a", [1, 2.5])
    document.rewrite(("a",), lambda number: f"{number} m")
    assert document.data == {"a": ["1 m", "2.5 m"]}
    assert document.in_si(("a", 1))
    document.change("a", "3 m")
    assert not document.in_si(("a",))
