"""Results in the folder of runs: what is listed of them, and that no name leads out of it."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from tipline.workbench.history import HEAD, MARK, entries, entry_of, file_in, folder_of


@pytest.fixture
def runs(tmp_path: Path) -> Path:
    folder = tmp_path / "runs"
    for name, facts in {
        "lift": {"schema": "tipline.summary/2", "scenario": "A lift", "outcome": {"heading": "It fell"}, "demo": True},
        "floor-x": {"schema": "tipline.floor/2", "floor": "Hall"},
        "list": [],
    }.items():
        (folder / name / "inputs").mkdir(parents=True)
        (folder / name / "summary.json").write_text(json.dumps(facts))
    for name, mark in (("lesson-1", '<b class="demo">DEMO</b>'), ("lesson-2", "")):
        (folder / name / "inputs").mkdir(parents=True)
        (folder / name / "lesson.html").write_text(f"<h1>A pair</h1>{mark}")
        (folder / name / "inputs" / "own.toml").write_text(f'title = "{name} <b>"')
    (folder / "broken").mkdir()
    (folder / "broken" / "summary.json").write_text("{")
    (folder / "deep").mkdir()
    (folder / "deep" / "summary.json").write_text("[" * 60_000)
    (folder / "half").mkdir()
    (folder / "lift" / "replay.html").write_text("played")
    (folder / "lift" / ".hidden.html").write_text("no")
    (folder / "lift" / "tool.py").write_text("no")
    (folder / "lift" / "inputs" / "resolved.toml").write_text("yes")
    (tmp_path / "secret.html").write_text("no")
    (folder / "lift" / "link.html").symlink_to(tmp_path / "secret.html")
    (folder / "linked").symlink_to(tmp_path)
    (tmp_path / "summary.json").write_text("{}")
    return folder


def test_results_are_listed_by_kind_with_how_they_ended(runs: Path) -> None:
    listed = {entry.name: entry for entry in entries(runs)}
    assert set(listed) == {"lift", "floor-x", "lesson-1", "lesson-2"}
    assert [(entry.kind, entry.title, entry.page, entry.demo) for name, entry in sorted(listed.items())[1:3]] == [
        ("lesson", "lesson-1 <b>", "lesson.html", True), ("lesson", "lesson-2 <b>", "lesson.html", False),
    ]  # fmt: skip
    assert (listed["lift"].kind, listed["lift"].title, listed["lift"].said) == ("run", "A lift", "It fell")
    assert (listed["lift"].replay, listed["lift"].film, listed["lift"].demo) == (True, False, True)
    assert listed["floor-x"].kind == "floor"
    assert entries(runs / "nowhere") == []


def test_a_folder_that_goes_while_it_is_looked_at_hides_no_other(runs: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def looked_for(place: Path) -> bool:
        there = bool(is_file(place))
        if place == runs / "lift" / "summary.json":
            place.unlink()
        return there

    is_file = Path.is_file
    monkeypatch.setattr(Path, "is_file", looked_for)
    assert {entry.name for entry in entries(runs)} == {"floor-x", "lesson-1", "lesson-2"}


def test_a_result_is_read_once_and_anew_where_something_was_added(runs: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    listed = {entry.name: entry for entry in entries(runs)}
    monkeypatch.setattr(json, "loads", lambda text: pytest.fail("it is read again"))
    assert {entry.name: entry for entry in entries(runs)} == listed
    monkeypatch.undo()
    (runs / "lift" / "replay.mp4").write_text("film")
    os.utime(runs / "lift", ns=(0, runs.stat().st_mtime_ns + 1))  # as a later second has it
    again = entry_of(runs / "lift")
    assert again is not None
    assert (listed["lift"].film, again.film) == (False, True)


def test_of_the_page_of_a_lesson_a_head_is_read(runs: Path) -> None:
    before = b" " * (HEAD - len(MARK))
    for name, text in {"lesson-1": before + MARK, "lesson-2": before + b" " + MARK}.items():
        (runs / name / "lesson.html").write_bytes(text + b" " * HEAD)
    assert {entry.name: entry.demo for entry in entries(runs) if entry.kind == "lesson"} == {
        "lesson-1": True, "lesson-2": False,
    }  # fmt: skip


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
