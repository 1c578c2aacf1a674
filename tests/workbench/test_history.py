"""Results in the folder of runs: what is listed of them, and that no name leads out of it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tipline.workbench.history import entries, file_in, folder_of


@pytest.fixture
def runs(tmp_path: Path) -> Path:
    made = tmp_path / "runs"
    for name, told in {
        "lift": {"schema": "tipline.summary/2", "scenario": "A lift", "outcome": {"heading": "It fell"}, "demo": True},
        "floor-x": {"schema": "tipline.floor/2", "floor": "Hall"},
        "list": [],
    }.items():
        (made / name / "inputs").mkdir(parents=True)
        (made / name / "summary.json").write_text(json.dumps(told))
    (made / "broken").mkdir()
    (made / "broken" / "summary.json").write_text("{")
    (made / "half").mkdir()
    (made / "lift" / "replay.html").write_text("played")
    (made / "lift" / ".hidden.html").write_text("no")
    (made / "lift" / "tool.py").write_text("no")
    (made / "lift" / "inputs" / "resolved.toml").write_text("yes")
    (tmp_path / "secret.html").write_text("no")
    (made / "lift" / "link.html").symlink_to(tmp_path / "secret.html")
    (made / "linked").symlink_to(tmp_path)
    (tmp_path / "summary.json").write_text("{}")
    return made


def test_results_are_listed_by_kind_with_how_they_ended(runs: Path) -> None:
    listed = {entry.name: entry for entry in entries(runs)}
    assert set(listed) == {"lift", "floor-x"}
    assert (listed["lift"].kind, listed["lift"].title, listed["lift"].said) == ("run", "A lift", "It fell")
    assert (listed["lift"].replay, listed["lift"].film, listed["lift"].demo) == (True, False, True)
    assert listed["floor-x"].kind == "floor"
    assert entries(runs / "nowhere") == []


def test_files_of_a_result_are_found(runs: Path) -> None:
    folder = folder_of(runs, "lift")
    assert folder == runs / "lift"
    assert file_in(folder, "replay.html") == folder / "replay.html"
    assert file_in(folder, "inputs/resolved.toml") == folder / "inputs" / "resolved.toml"


@pytest.mark.parametrize("name", ["", ".", "..", "../runs/lift", "lift/../lift", "/etc", "linked", "half", "lift\0"])
def test_no_name_leads_out_of_the_folder_of_runs(runs: Path, name: str) -> None:
    assert folder_of(runs, name) is None


@pytest.mark.parametrize(
    "path",
    [
        "", ".", "..", "../floor-x/summary.json", "../../secret.html", "/etc/passwd", "inputs/../replay.html",
        "inputs//resolved.toml", "..\\secret.html", ".hidden.html", "tool.py", "link.html", "inputs", "replay.html\0",
    ],
)  # fmt: skip
def test_no_path_leads_out_of_a_result(runs: Path, path: str) -> None:
    assert file_in(runs / "lift", path) is None
