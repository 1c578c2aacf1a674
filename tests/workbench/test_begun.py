"""Sweeps and incidents that are not whole: what of them is kept, listed and gone on with, and what is not taken."""

from __future__ import annotations

import json
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from tipline.errors import InputError
from tipline.scenario.templates import template
from tipline.workbench.begun import ASKED, beside, files_of, kept_to_go_on
from tipline.workbench.history import entries
from tipline.workbench.tasks import task_of
from tipline.workbench.work import Work

SHIPPED = "service-stop-load-low"
FILES = {"own.toml": template("sweep"), "lift.toml": template("scenario")}


def broken_off(folder: Path, rows: int, files: dict[str, str]) -> None:
    request = {"command": "sweep", "name": "own.toml", "system": "us"}
    with pytest.raises(KeyboardInterrupt), kept_to_go_on(folder, request, files):
        (folder / "parts").mkdir(parents=True)
        for number in range(rows):
            (folder / "parts" / f"{number:06d}.parquet").write_bytes(b"rows")
        raise KeyboardInterrupt


def test_what_breaks_off_with_rows_is_listed_and_gone_on_with_from_the_same_files(tmp_path: Path) -> None:
    folder = tmp_path / "runs" / "sweep-own"
    broken_off(folder, 2, FILES)
    (entry,) = entries(tmp_path / "runs")
    assert (entry.name, entry.kind, entry.begun, entry.page) == ("sweep-own", "sweep", True, "")
    task, stem = task_of(Work(ThreadPoolExecutor(1)), tmp_path / "runs", "go-on", "sweep-own")
    assert task is not None
    assert (task.command, task.folder, task.name, task.system, stem) == ("sweep", str(folder), "own.toml", "us", "")
    assert task.files == FILES
    with kept_to_go_on(folder, {"command": "sweep", "name": "own.toml"}, task.files):
        (folder / "summary.json").write_text(json.dumps({"schema": "tipline.sweep/1", "title": "Own"}))
    (whole,) = entries(tmp_path / "runs")
    assert (whole.begun, whole.title) == (False, "Own")
    assert not beside(folder).exists()


def test_of_what_breaks_off_before_its_first_row_nothing_is_left(tmp_path: Path) -> None:
    broken_off(tmp_path / "runs" / "sweep-own", 0, FILES)
    assert list((tmp_path / "runs").iterdir()) == []
    with pytest.raises(InputError, match="no result in this folder"):
        task_of(Work(ThreadPoolExecutor(1)), tmp_path / "runs", "go-on", "sweep-own")


@pytest.mark.parametrize(
    ("asked", "text"),
    [
        ({"command": "run", "name": "own.toml"}, FILES["own.toml"]),
        ({"command": "sweep", "name": "/etc/passwd"}, FILES["own.toml"]),
        ({"command": "sweep", "name": "own.toml"}, FILES["own.toml"].replace(SHIPPED, "/etc/passwd")),
        ({"command": "sweep", "name": "own.toml"}, "not a = = file"),
        ([], FILES["own.toml"]),
    ],
)
def test_a_stranger_s_folder_is_not_gone_on_with_where_it_names_what_is_not_in_it(
    tmp_path: Path, asked: object, text: str
) -> None:
    folder = tmp_path / "sweep-own"
    broken_off(folder, 1, FILES)
    (beside(folder) / ASKED).write_text(json.dumps(asked))
    (beside(folder) / "own.toml").write_text(text)
    with pytest.raises(InputError):
        files_of(folder)


def test_a_request_that_is_nested_without_end_is_none(tmp_path: Path) -> None:
    folder = tmp_path / "runs" / "sweep-own"
    broken_off(folder, 1, FILES)
    (beside(folder) / ASKED).write_text("[" * 60_000)
    assert entries(tmp_path / "runs") == []
    with pytest.raises(InputError, match="no sweep and no incident"):
        files_of(folder)
