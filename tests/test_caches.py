"""Where compiled code is kept, on an account without a home, and what a file of it that was cut costs."""

from __future__ import annotations

import os
import subprocess
import sys
import warnings
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace

import pytest

from tipline import caches
from tipline.errors import CacheNote
from tipline.kernels import compiled

NOWHERE = "/dev/null/home"
"""A folder that not even root can make."""


@pytest.fixture(autouse=True)
def _bare(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """An account with nothing of its own but a folder for what is temporary."""
    for name in ("XDG_CACHE_HOME", "NUMBA_CACHE_DIR", "MPLCONFIGDIR"):
        monkeypatch.setenv(name, "")
        monkeypatch.delenv(name)
    monkeypatch.setenv("HOME", NOWHERE)
    (tmp_path / "tmp").mkdir()
    monkeypatch.setattr(caches.tempfile, "tempdir", str(tmp_path / "tmp"))
    for asked in (caches.cache_home, compiled.code_folder):
        asked.cache_clear()
    yield
    for asked in (caches.cache_home, compiled.code_folder):
        asked.cache_clear()


def test_the_users_own_folder_is_taken_where_it_can_be_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HOME", str(tmp_path))
    assert caches.cache_home() == tmp_path / ".cache"
    caches.cache_home.cache_clear()
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "named"))
    assert caches.cache_home() == tmp_path / "named"
    assert compiled.code_folder() == tmp_path / "named" / "tipline" / Path(os.environ["NUMBA_CACHE_DIR"]).name
    assert "MPLCONFIGDIR" not in os.environ


def test_a_folder_that_hangs_on_where_one_stands_is_not_taken(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Code is run from it, so it must not be anybody's."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_CACHE_HOME", "cache")
    with pytest.warns(CacheNote):
        assert caches.cache_home() == tmp_path / "tmp" / f"tipline-{os.getuid()}"


def test_without_a_home_it_is_a_private_temporary_one_told_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with pytest.warns(CacheNote, match=r"no home folder can be written .* is in ") as told:
        folder = compiled.code_folder()
        assert compiled.code_folder() == folder
    assert len(told) == 1
    private = tmp_path / "tmp" / f"tipline-{os.getuid()}"
    assert folder is not None
    assert folder.parent == private / "tipline"
    assert private.stat().st_mode & 0o777 == 0o700
    assert os.environ["MPLCONFIGDIR"] == os.environ["XDG_CACHE_HOME"] == str(private)
    monkeypatch.setattr(Path, "home", lambda: pytest.fail("asked again"))


def test_an_account_that_the_system_has_no_entry_for_has_no_home(monkeypatch: pytest.MonkeyPatch) -> None:
    def none() -> Path:
        raise RuntimeError

    monkeypatch.setattr(Path, "home", none)
    with pytest.warns(CacheNote):
        assert caches.cache_home() is not None


@pytest.mark.parametrize("how", ["open", "link"])
def test_a_folder_that_others_may_have_written_is_not_taken(tmp_path: Path, how: str) -> None:
    theirs = tmp_path / "tmp" / f"tipline-{os.getuid()}"
    if how == "open":
        theirs.mkdir()
        theirs.chmod(0o777)
    else:
        (tmp_path / "elsewhere").mkdir(mode=0o700)
        theirs.symlink_to(tmp_path / "elsewhere")
    with pytest.warns(CacheNote):
        found = caches.cache_home()
    assert found is not None
    assert found != theirs
    assert found.parent == theirs.parent
    assert found.stat().st_mode & 0o777 == 0o700


def test_where_nothing_at_all_can_be_written_code_is_compiled_and_not_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(caches, "can_be_written", lambda _: False)
    monkeypatch.setattr(caches.tempfile, "tempdir", NOWHERE)
    with pytest.warns(CacheNote, match="compiled code is not kept"):
        assert compiled.code_folder() is None


def test_a_process_started_after_an_edit_does_not_take_the_code_of_the_one_that_started_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("HOME", str(tmp_path))
    before = compiled.code_folder()
    compiled.code_folder.cache_clear()
    monkeypatch.setattr(compiled, "version", lambda *_: "0123456789abcdef")
    assert compiled.code_folder() == tmp_path / ".cache" / "tipline" / "0123456789abcdef" != before
    compiled.code_folder.cache_clear()
    monkeypatch.setenv("NUMBA_CACHE_DIR", str(tmp_path / "mine"))
    assert compiled.code_folder() == tmp_path / "mine"


def square(number: float) -> float:
    return number * number


@pytest.fixture
def small(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """A kernel that is compiled at once; where its code is kept."""
    monkeypatch.setattr(compiled, "rollout", SimpleNamespace(roll_out=square))
    monkeypatch.setattr(compiled, "BARE", {})
    monkeypatch.setenv("NUMBA_CACHE_DIR", str(tmp_path / "code"))
    numba = compiled.register()
    monkeypatch.setattr(numba.config, "CACHE_DIR", str(tmp_path / "code"))
    return tmp_path / "code"


@pytest.mark.slow
@pytest.mark.parametrize("part", [0.0, 0.5])
@pytest.mark.parametrize("kind", ["*.nbi", "*.nbc"])
def test_a_file_of_compiled_code_that_was_cut_is_made_anew(small: Path, kind: str, part: float) -> None:
    def fresh() -> object:
        return compiled.compiled.__wrapped__("roll_out")  # as in another process

    assert fresh()(3.0) == 9.0
    (file,) = small.rglob(kind)
    whole = file.read_bytes()
    file.write_bytes(whole[: int(part * len(whole))])
    again = fresh()
    assert again(3.0) == 9.0
    assert not again.stats.cache_hits, "it was cut"
    last = fresh()
    assert last(3.0) == 9.0
    assert last.stats.cache_hits, "it was kept again"


def test_code_that_cannot_be_kept_is_told_and_used(small: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    made = compiled.compiled.__wrapped__("roll_out")

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(made._cache.files, "save_overload", full)
    with pytest.warns(CacheNote, match="not kept: .*No space left"):
        assert made(4.0) == 16.0


def test_the_command_tells_it_in_one_line(tmp_path: Path) -> None:
    code = "from tipline.cli import main; from tipline import caches, cli; cli.app = caches.cache_home; main()"
    environment = {"PATH": os.environ["PATH"], "HOME": NOWHERE, "TMPDIR": str(tmp_path)}
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, env=environment)
    assert done.stderr.startswith("tipline: no home folder can be written (XDG_CACHE_HOME names another): what is kept")
    assert done.stderr.count("\n") == 1


def test_notes_are_not_errors_of_the_tests() -> None:
    """The suite makes errors of warnings; a note is one only where nobody expects it."""
    with warnings.catch_warnings(), pytest.raises(CacheNote):
        warnings.simplefilter("error")
        caches.cache_home()
