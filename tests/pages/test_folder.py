"""A result folder appears whole or not at all, and says what it lacks."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tipline.commands.folder import free_name, new_folder
from tipline.errors import InputError


def left_in(folder: Path) -> list[str]:
    return sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*"))


def test_folder_appears_only_when_whole(tmp_path: Path) -> None:
    target = tmp_path / "deep" / "er" / "out"
    with new_folder(target) as work:
        (work / "a").write_text("1")
        assert not target.exists()
        assert work.parent == target.parent, "beside the target, so that renaming never copies"
    assert left_in(tmp_path) == ["deep", "deep/er", "deep/er/out", "deep/er/out/a"]
    assert target.stat().st_mode & 0o777 == 0o755


@pytest.mark.parametrize("failure", [KeyboardInterrupt, ValueError, SystemExit])
def test_nothing_is_left_after_a_failure(tmp_path: Path, failure: type[BaseException]) -> None:
    with pytest.raises(failure), new_folder(tmp_path / "deep" / "er" / "out") as work:
        (work / "a").write_text("1")
        (work / "inputs").mkdir()
        raise failure
    assert left_in(tmp_path) == []


def test_parents_that_hold_something_else_stay(tmp_path: Path) -> None:
    (tmp_path / "runs").mkdir()
    (tmp_path / "runs" / "earlier").mkdir()
    with pytest.raises(ValueError, match="broken"), new_folder(tmp_path / "runs" / "new"):
        msg = "broken"
        raise ValueError(msg)
    assert left_in(tmp_path) == ["runs", "runs/earlier"]


def test_a_filled_folder_is_refused_and_kept(tmp_path: Path) -> None:
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "mine").write_text("1")
    with pytest.raises(InputError, match=r"folder = .*something there already"), new_folder(tmp_path / "out"):
        pytest.fail("no work may start")
    assert (tmp_path / "out" / "mine").read_text() == "1"


def test_an_empty_folder_is_taken(tmp_path: Path) -> None:
    (tmp_path / "out").mkdir()
    with new_folder(tmp_path / "out") as work:
        (work / "a").write_text("1")
    assert left_in(tmp_path) == ["out", "out/a"]


def test_a_file_in_the_way_is_refused(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("1")
    for target in (tmp_path / "file", tmp_path / "file" / "out"):
        with pytest.raises(InputError), new_folder(target):
            pytest.fail("no work may start")
    assert left_in(tmp_path) == ["file"]


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="root may write everywhere")
def test_a_folder_without_leave_to_write_is_refused(tmp_path: Path) -> None:
    tmp_path.chmod(0o500)
    with pytest.raises(InputError, match="cannot be written"), new_folder(tmp_path / "out"):
        pytest.fail("no work may start")


@pytest.mark.skipif(not Path("/proc/version").exists(), reason="needs a place that nobody can write to")
def test_a_place_nobody_can_write_to_is_refused() -> None:
    with pytest.raises(InputError, match="cannot be written"), new_folder(Path("/proc/out")):
        pytest.fail("no work may start")


def test_free_name_counts_up(tmp_path: Path) -> None:
    assert free_name(tmp_path, "run") == tmp_path / "run"
    (tmp_path / "run").mkdir()
    (tmp_path / "run-2").mkdir()
    assert free_name(tmp_path, "run") == tmp_path / "run-3"


def test_what_was_written_is_kept_where_another_run_took_the_name_meanwhile(tmp_path: Path) -> None:
    with (
        pytest.raises(InputError, match=r"came there while .* kept in .*out-2"),
        new_folder(tmp_path / "out") as work,
    ):
        (work / "mine").write_text("whole")
        (tmp_path / "out").mkdir()
        (tmp_path / "out" / "theirs").write_text("whole")
    assert [path.name for path in (tmp_path / "out").iterdir()] == ["theirs"]
    assert (tmp_path / "out-2" / "mine").read_text() == "whole"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["out", "out-2"]
