"""A folder's own inputs run again: each grade, and what is named where it is not the same."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

import tipline
from tipline.errors import InputError


@pytest.fixture
def copy(checked: Path, tmp_path: Path) -> Path:
    return shutil.copytree(checked, tmp_path / "copy")


def change(folder: Path, by: Callable[[dict[str, Any]], None]) -> None:
    """Change what a summary holds."""
    path = folder / "summary.json"
    told = json.loads(path.read_text(encoding="utf-8"))
    by(told)
    path.write_text(json.dumps(told), encoding="utf-8")


@pytest.mark.parametrize("folder", ["checked", "ran", "asked"])
def test_what_nobody_touched_is_identical(request: pytest.FixtureRequest, folder: str) -> None:
    result = tipline.repeat(request.getfixturevalue(folder))
    assert (result.grade, result.differences, result.changed, result.made, result.why) == ("identical", (), (), (), ())


@pytest.mark.slow
@pytest.mark.parametrize(
    "made",
    [
        lambda: tipline.sweep("one-front-tyre-breaks-through", {"runs": 2}, workers=0),
        lambda: tipline.floor("stop-with-the-load-up-breaks-a-slab", stock="demo-stock-a"),
        lambda: tipline.floor("demo-hall-c"),
        lambda: tipline.slopes("service-stop-load-high", heights=[1.0], beside=["tilt = 2 deg"], directions=8),
    ],
)
def test_every_other_command_is_made_again_to_the_last_bit(made: Callable[[], Any], tmp_path: Path) -> None:
    result = tipline.repeat(tipline.write(made(), tmp_path / "out", pictures=False))
    assert (result.grade, result.differences, result.changed) == ("identical", (), ())


@pytest.mark.slow
def test_a_changed_file_is_named_and_what_differs_is_told(copy: Path, tmp_path: Path) -> None:
    path = copy / "inputs" / "demo-truck-a.toml"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace('wheelbase = "1.90 m"', 'wheelbase = "1.95 m"'), encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-m", "tipline", "repeat", "copy", "--json"],
        capture_output=True, text=True, cwd=tmp_path, check=False,
    )  # fmt: skip
    assert done.returncode == 5, done.stderr
    told = json.loads(done.stdout)
    assert told["grade"] == "differs"
    assert told["changed_inputs"] == ["inputs/demo-truck-a.toml was changed since"]
    assert {place["row"] for place in told["differences"] if place["table"] == "Tyre loads"} >= {"front-left"}
    assert all(place["one"] != place["other"] for place in told["differences"])


def test_a_figure_that_moved_by_less_than_is_reported_is_the_second_grade(copy: Path) -> None:
    def move(told: dict[str, Any]) -> None:
        told["rest"]["weight_kN"] *= 1.0 + 1e-12

    change(copy, move)
    result = tipline.repeat(copy)
    assert (result.grade, result.differences) == ("same in every figure reported", ())


@pytest.mark.slow
def test_a_recorded_bit_that_is_another_is_not_identical(ran: Path, tmp_path: Path) -> None:
    import pyarrow as pa
    import pyarrow.parquet as pq

    copy = shutil.copytree(ran, tmp_path / "copy")
    held = pq.read_table(copy / "run.parquet")
    at = held.column_names.index("roll")
    moved = held.column("roll").to_numpy().copy()
    moved[-1] += 1e-6
    pq.write_table(held.set_column(at, held.schema.field(at), pa.array(moved)), copy / "run.parquet")
    assert tipline.repeat(copy).grade == "same in every figure reported"


def test_another_version_is_named_as_what_may_be_the_cause(copy: Path) -> None:
    def other(told: dict[str, Any]) -> None:
        told["made"]["versions"]["numpy"] = "1.0"
        told["made"]["machine"]["processor"] = "another"

    change(copy, other)
    result = tipline.repeat(copy)
    assert result.grade == "identical"
    assert [(place.table, place.row, place.left) for place in result.made] == [
        ("versions", "numpy", "1.0"),
        ("machine", "processor", "another"),
    ]
    assert result.why[0].startswith("versions: numpy was 1.0, is ")


def test_a_library_of_another_version_is_named(copy: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What is installed is asked anew: a numpy that says it is another one stands beside the grade."""
    other = tmp_path / "other" / "numpy-9.9.9.dist-info"
    other.mkdir(parents=True)
    (other / "METADATA").write_text("Metadata-Version: 2.1\nName: numpy\nVersion: 9.9.9\n", encoding="utf-8")
    monkeypatch.syspath_prepend(other.parent)
    result = tipline.repeat(copy)
    assert result.grade == "identical"
    assert [(place.table, place.row, place.right) for place in result.made] == [("versions", "numpy", "9.9.9")]


def test_a_remark_added_to_a_file_is_noticed_though_nothing_differs(copy: Path) -> None:
    path = copy / "inputs" / "demo-truck-a.toml"
    path.write_text(path.read_text(encoding="utf-8") + "# looked at again\n", encoding="utf-8")
    result = tipline.repeat(copy)
    assert (result.grade, result.changed) == ("identical", ("inputs/demo-truck-a.toml was changed since",))


def test_a_case_that_was_changed_in_python_is_made_again_from_all_its_values(scenario: Path, tmp_path: Path) -> None:
    case = tipline.check(scenario).case
    moved = case.scenario.model_copy(update={"title": "Changed in Python"})
    folder = tipline.write(tipline.check(replace(case, scenario=moved)), tmp_path / "own")
    assert json.loads((folder / "summary.json").read_text(encoding="utf-8"))["made"]["read_from"] is None
    assert tipline.report_of(folder).page.title == "Changed in Python"


@pytest.mark.parametrize(
    ("harm", "told"),
    [
        (lambda folder: (folder / "inputs" / "mini.toml").unlink(), "mini.toml: is not there. Put back the file"),
        (lambda folder: (folder / "inputs" / "resolved.toml").unlink(), "resolved.toml: is not there. Put back"),
        (lambda folder: (folder / "summary.json").unlink(), "summary.json"),
        (lambda folder: change(folder, lambda told: told.pop("made")), "does not say how it was made"),
        (
            lambda folder: change(folder, lambda told: told["made"].update(command="exec")),
            "does not say how it was made",
        ),
    ],
)
def test_what_is_missing_is_named(copy: Path, harm: Callable[[Path], object], told: str) -> None:
    harm(copy)
    with pytest.raises(InputError, match=told):
        tipline.repeat(copy)


def source_file(told: dict[str, Any], file: object) -> None:
    told["made"]["read_from"]["texts"][0]["file"] = file


def renamed(folder: Path, machine: Path) -> None:
    """Let the scenario of a folder name a truck that lies elsewhere, and its record no longer tell the truck's text."""
    place = folder / "inputs" / "mini.toml"
    text = place.read_text(encoding="utf-8")
    place.write_text(text.replace('"demo-truck-a"', f'"{machine}"'), encoding="utf-8")
    change(folder, lambda told: told["made"]["read_from"].update(texts=told["made"]["read_from"]["texts"][:1]))


@pytest.mark.parametrize(
    ("by", "key"),
    [
        (lambda told: source_file(told, "/etc/hostname"), 'made.read_from.texts.0.file = "/etc/hostname"'),
        (lambda told: source_file(told, "../mine.toml"), 'made.read_from.texts.0.file = "../mine.toml"'),
        (lambda told: source_file(told, "inputs/../../mine.toml"), 'texts.0.file = "inputs/../../mine.toml"'),
        (lambda told: source_file(told, "summary.json"), 'texts.0.file = "summary.json"'),
        (lambda told: source_file(told, "inputs/a\0b"), "texts.0.file"),
        (lambda told: source_file(told, "\ud800"), "texts.0.file"),
        (lambda told: source_file(told, 3), "texts.0.file = 3"),
        (lambda told: told["made"]["arguments"].update(scenario="../mine.toml"), "made.arguments.scenario"),
        (lambda told: told["made"]["arguments"].update(scenario="/etc/hostname"), "made.arguments.scenario"),
        (lambda told: told["made"]["arguments"].update(scenario=["x"]), "made.arguments.scenario"),
        (lambda told: told["made"]["arguments"].update(out="/tmp/mine"), 'made.arguments.out = "/tmp/mine"'),
        (lambda told: told["made"].update(arguments=[]), "made.arguments = []: is no table"),
        (lambda told: told["made"]["read_from"].pop("texts"), "made.read_from.texts = null: is no list"),
        (lambda told: told["made"]["read_from"].update(texts=[3]), "made.read_from.texts.0 = 3: is no table"),
        (lambda told: told["made"]["read_from"].update(changes=[3]), "made.read_from.changes = [3]: is no table"),
        (lambda told: told["made"].update(read_from="x"), 'made.read_from = "x": is no table'),
    ],
)
def test_a_record_that_leads_out_of_its_folder_is_refused(
    copy: Path, by: Callable[[dict[str, Any]], None], key: str
) -> None:
    (copy.parent / "mine.toml").write_text("title = 'mine'\n", encoding="utf-8")
    change(copy, by)
    with pytest.raises(InputError) as caught:
        tipline.repeat(copy)
    assert str(caught.value).startswith(f"{copy / 'summary.json'}: ")
    assert key in str(caught.value)
    assert caught.value.remedy == "Give the folder as the command wrote it"


def test_a_file_that_a_strangers_scenario_names_elsewhere_is_not_read(copy: Path, tmp_path: Path) -> None:
    from tipline.model.shipped import find

    mine = shutil.copy(find("machine", "demo-truck-a")[0], tmp_path / "mine.toml")
    renamed(copy, mine)
    with pytest.raises(InputError, match="leads out of the folder that is read"):
        tipline.repeat(copy)
    inside = shutil.copy(mine, copy / "inputs" / "mine.toml")
    renamed(copy, inside)
    (copy / "inputs" / "mini.toml").write_text(
        (copy / "inputs" / "mini.toml").read_text(encoding="utf-8").replace(str(mine), inside.name), encoding="utf-8"
    )
    assert tipline.repeat(copy).command == "check"


@pytest.mark.parametrize("name", ["inputs/mini.toml", "summary.json", "report.json", "plan.svg", "inputs"])
def test_a_link_that_leads_out_of_the_folder_is_refused(copy: Path, tmp_path: Path, name: str) -> None:
    elsewhere = tmp_path / "elsewhere"
    (copy / name).rename(elsewhere)
    (copy / name).symlink_to(elsewhere)
    for asked in (tipline.repeat, tipline.report_of):
        with pytest.raises(InputError, match="is a link that leads out of the folder"):
            asked(copy)
    done = subprocess.run(
        [sys.executable, "-m", "tipline", "repeat", str(copy)], capture_output=True, text=True, check=False
    )
    assert (done.returncode, done.stdout) == (2, "")
    assert f"{copy / name}: is a link" in done.stderr.replace("\n", " ")


def test_a_folder_that_holds_no_result_is_told_as_that_and_not_by_a_link_in_it(tmp_path: Path) -> None:
    (tmp_path / "python").symlink_to(sys.executable)
    with pytest.raises(InputError, match=r"report\.json: is not there"):
        tipline.report_of(tmp_path)
    with pytest.raises(InputError, match=r"summary\.json: is not there"):
        tipline.repeat(tmp_path)


def test_a_run_of_a_stranger_reads_no_truck_that_lies_elsewhere(copy: Path, tmp_path: Path) -> None:
    from tipline.commands.stored import stored
    from tipline.model.shipped import find

    renamed(copy, shutil.copy(find("machine", "demo-truck-a")[0], tmp_path / "mine.toml"))
    (copy / "inputs" / "mini.toml").replace(copy / "inputs" / "resolved.toml")
    (copy / "run.parquet").touch()
    with pytest.raises(InputError, match="leads out of the folder that is read"):
        stored(copy)


def test_a_link_to_another_file_of_the_folder_is_read(copy: Path) -> None:
    (copy / "plan.svg").rename(copy / "drawn.svg")
    (copy / "plan.svg").symlink_to("drawn.svg")
    assert tipline.repeat(copy).grade == "identical"


def test_a_report_is_written_nowhere_but_over_the_page_it_was(copy: Path) -> None:
    path = copy / "report.json"
    told = json.loads(path.read_text(encoding="utf-8"))
    told["page"] = "../mine.html"
    path.write_text(json.dumps(told), encoding="utf-8")
    with pytest.raises(InputError, match=r'page = "\.\./mine\.html": must be one of report\.html, sweep\.html'):
        tipline.report_of(copy)


@pytest.mark.slow
def test_a_sweep_of_own_files_needs_them_no_longer(scenario: Path, tmp_path: Path) -> None:
    given = tmp_path / "given"
    given.mkdir()
    shutil.copy(scenario, given / "mini.toml")
    variable = '[[variable]]\nkey = "load.mass"\nleast = "3 t"\nmost = "4 t"\n'
    text = f'title = "Own"\nscenario = "./mini.toml"\nmethod = "sobol"\nruns = 2\nseed = 1\n{variable}'
    (given / "own.toml").write_text(text, encoding="utf-8")
    folder = tipline.write(tipline.sweep(given / "own.toml", workers=0), tmp_path / "out", pictures=False)
    shutil.rmtree(given)
    assert tipline.repeat(folder).grade == "identical"
