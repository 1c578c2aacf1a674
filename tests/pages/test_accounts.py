"""A hostile folder, a closed screen, two runs at once: nothing strange is run, and nothing that was made is lost.

Measured.

Accounts without a home. Compiled code and the caches of matplotlib and fontconfig go to `XDG_CACHE_HOME`, else
`~/.cache`, else a private temporary folder (`caches.py`), where nobody else may have written: code is run from it. A
child is started with `-P`, dask's with `PYTHONSAFEPATH`, so that no module of the current folder is taken for one of
the program's; `python -m tipline` takes it off the path itself, before any import but `os` and `sys`.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

import tipline
from tipline import cli
from tipline.commands import folder
from tipline.errors import InputError
from tipline.kernels.compiled import code_folder
from tipline.view import gl

STRANGE = (
    "pickle",
    "numpy",
    "struct",
    "threading",
    "signal",
    "pyvista",
    "numba",
    "typer",
    "tomllib",
    "multiprocessing",
)
"""Modules of the current folder's that must not be taken for those of the program."""
SCENARIO = "front-tyre-breaks-through-load-high"
EXCEEDING = "stop-with-the-load-up-breaks-a-slab"
"""It asks more of the floor than the planning limit, so that its exit code is not 0."""
SHORT = ("--set", "run.duration=0.2 s", "--set", "run.extend_to=0.2 s", "--set", "event.0.at=0.1 s")
QUICK = ("--spread", "0", "--floor-spread", "0", "--no-pictures")
SWEEP = f"""
title = "two depths"
scenario = "{SCENARIO}"
method = "grid"
[set]
"run.duration" = "0.2 s"
"run.extend_to" = "0.2 s"
"event.0.at" = "0.1 s"
[[variable]]
key = "event.0.depth"
values = ["60 mm", "70 mm"]
"""


def command(*words: str, **how: object) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run([sys.executable, "-m", "tipline", *words], check=False, timeout=300, **how)  # type: ignore[call-overload, no-any-return]


@pytest.fixture
def strange(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A current folder with modules that note that they were run; the file in which they do."""
    noted = tmp_path / "noted"
    for name in STRANGE:
        (tmp_path / f"{name}.py").write_text(f"open({str(noted)!r}, 'a').write({name + chr(10)!r})\n", encoding="utf-8")
    (tmp_path / "matplotlibrc").write_text("text.usetex: True\n", encoding="utf-8")
    (tmp_path / "sweep.toml").write_text(SWEEP, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return noted


@pytest.mark.parametrize(
    "words",
    [
        ("check", SCENARIO),
        pytest.param(("run", SCENARIO, *SHORT, *QUICK), marks=pytest.mark.slow),
        pytest.param(("list",), marks=pytest.mark.slow),
        pytest.param(("schema",), marks=pytest.mark.slow),
        pytest.param(("floor", "demo-hall-c"), marks=pytest.mark.slow),
        pytest.param(("export", SCENARIO, "--format", "glb"), marks=pytest.mark.slow),
        pytest.param(("sweep", "sweep.toml", "--no-pictures"), marks=pytest.mark.slow),
        pytest.param(("sweep", "sweep.toml", "--workers", "2"), marks=pytest.mark.slow),
        pytest.param(("slopes", SCENARIO, "--heights", "2"), marks=pytest.mark.slow),
        pytest.param(("run", SCENARIO, *SHORT, *QUICK[:4], "--draft"), marks=pytest.mark.slow),
        pytest.param(("self-test", "--json"), marks=pytest.mark.slow),
    ],
    ids=" ".join,
)
def test_no_command_runs_code_of_the_current_folder(strange: Path, words: Sequence[str]) -> None:
    done = command(*words, capture_output=True)
    assert done.returncode in (0, 4), done.stderr.decode()
    assert not strange.exists(), strange.read_text(encoding="utf-8").split()


SERVICE = ["unshare", "--user", "--map-user=54321", "env", "-i", f"PATH={os.environ.get('PATH', '')}", "LANG=C.UTF-8"]
"""An account that the system has no entry for, without a home and with nothing else told."""


def service_accounts_can_be_tried() -> bool:
    try:
        return subprocess.run([*SERVICE, "true"], check=False, capture_output=True).returncode == 0
    except OSError:
        return False


@pytest.mark.skipif(not service_accounts_can_be_tried(), reason="needs a user's own names of accounts")
@pytest.mark.parametrize(
    ("words", "compiles"),
    [
        pytest.param(("check", SCENARIO, "--out", "out"), False, marks=pytest.mark.slow),
        pytest.param(("floor", "demo-hall-c", "--no-pictures", "--out", "out"), False, marks=pytest.mark.slow),
        pytest.param(("run", SCENARIO, *SHORT, *QUICK, "--out", "out"), True, marks=pytest.mark.slow),
        pytest.param(("sweep", "sweep.toml", "--no-pictures", "--out", "out"), True, marks=pytest.mark.slow),
        pytest.param(("sweep", "sweep.toml", "--workers", "2", "--out", "out"), True, marks=pytest.mark.slow),
        pytest.param(("slopes", SCENARIO, "--heights", "1", "--out", "out"), True, marks=pytest.mark.slow),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, tuple) else "",
)
def test_an_account_without_home_and_entry_gets_its_answer(
    tmp_path: Path, words: Sequence[str], compiles: bool
) -> None:
    """What is compiled goes to a private temporary folder, here with what this account has compiled already."""
    (tmp_path / "sweep.toml").write_text(SWEEP, encoding="utf-8")
    kept = code_folder()
    assert kept is not None
    own = tmp_path / "temporary" / "tipline-54321"
    shutil.copytree(kept, own / "tipline" / kept.name)
    own.chmod(0o700)
    program = [sys.executable, "-m", "tipline", *words]
    done = subprocess.run(
        [*SERVICE, f"TMPDIR={own.parent}", *program], cwd=tmp_path, check=False, capture_output=True, timeout=900
    )
    told = done.stderr.decode()
    assert done.returncode in (0, 4), told
    assert told.count("no home folder can be written") == compiles, told
    assert "Traceback" not in told
    assert "--out" not in words or len(list((tmp_path / "out").iterdir())) > 2


@pytest.mark.slow
def test_settings_of_the_compiler_in_the_current_folder_are_not_read(tmp_path: Path) -> None:
    (tmp_path / ".numba_config.yaml").write_text("disable_jit: 1\n", encoding="utf-8")
    ask = "from tipline.kernels.compiled import register as loaded; print(loaded().config.DISABLE_JIT, end='')"
    for program, answer in ((ask, b"0"), ("import numba; print(numba.config.DISABLE_JIT, end='')", b"1")):
        done = subprocess.run([sys.executable, "-c", program], cwd=tmp_path, check=False, capture_output=True)
        assert (done.stdout, done.stderr) == (answer, b"")


@pytest.mark.slow
def test_the_trial_render_runs_none_either(strange: Path) -> None:
    gl.tried.cache_clear()
    missing = gl.probe()
    gl.tried.cache_clear()
    assert not strange.exists(), strange.read_text(encoding="utf-8").split()
    assert missing is None or "code" not in missing


def test_a_program_in_the_current_folder_is_found(tmp_path: Path) -> None:
    """From the folder of the sources, not installed."""
    sources = Path(tipline.__file__).parents[1]
    assert command("--version", cwd=sources, capture_output=True).stdout.startswith(b"tipline ")


@pytest.mark.slow
@pytest.mark.parametrize("how", ["2>&-", ">&-", "<&- >&- 2>&-"])
def test_closed_streams_lose_nothing(tmp_path: Path, how: str) -> None:
    line = f"{sys.executable} -m tipline check {EXCEEDING} --out out {how}"
    done = subprocess.run(["sh", "-c", line], cwd=tmp_path, check=False)
    assert done.returncode == cli.LIMIT_EXCEEDED
    page = (tmp_path / "out" / "report.html").read_bytes()
    assert page.startswith(b"<!doctype html>")
    assert page.endswith(b"</html>")
    assert {path.name for path in (tmp_path / "out").iterdir()} == {
        "plan.svg",
        "report.html",
        "report.json",
        "summary.json",
        "inputs",
    }


@pytest.mark.slow
@pytest.mark.parametrize("which", ["stdout", "stderr", "both"])
def test_a_reader_that_stops_changes_neither_folder_nor_exit_code(tmp_path: Path, which: str) -> None:
    """The progress goes to stderr, the page to stdout."""
    words = ("check", EXCEEDING, "--out", "out")
    read, write = os.pipe()
    os.close(read)  # nobody reads
    kept = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    done = command(*words, cwd=tmp_path, **{**kept, **{name: write for name in kept if which in (name, "both")}})
    os.close(write)
    assert done.returncode == cli.LIMIT_EXCEEDED
    assert (tmp_path / "out" / "report.html").stat().st_size > 1000


@pytest.mark.slow
@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is full")
def test_a_page_that_cannot_be_printed_is_told_and_the_folder_is_there(tmp_path: Path) -> None:
    with Path("/dev/full").open("wb") as full:
        done = command(
            "check", "service-stop-load-high", "--out", "out", cwd=tmp_path, stdout=full, stderr=subprocess.PIPE
        )
    assert done.returncode == 2
    told = done.stderr.decode()
    assert "what was to be printed could not be: No space left on device. Print it elsewhere" in told
    assert "Exception" not in told
    assert (tmp_path / "out" / "report.html").stat().st_size > 1000


def test_a_link_is_followed_to_where_the_folder_is_to_be(tmp_path: Path) -> None:
    (tmp_path / "disk").mkdir()
    for name in ("absent", "empty"):
        (tmp_path / name).symlink_to(tmp_path / "disk" / name)
    (tmp_path / "disk" / "empty").mkdir()
    for name in ("absent", "empty"):
        with folder.new_folder(tmp_path / name) as work:
            (work / "a").write_text("1")
        assert (tmp_path / "disk" / name / "a").read_text() == "1"
        assert (tmp_path / name).is_symlink()
    assert sorted(path.name for path in (tmp_path / "disk").iterdir()) == ["absent", "empty"]


def test_a_link_that_came_meanwhile_loses_nothing(tmp_path: Path) -> None:
    with (
        pytest.raises(InputError, match=r"What was written is kept in .*out-2"),
        folder.new_folder(tmp_path / "out") as work,
    ):
        (work / "a").write_text("1")
        (tmp_path / "out").symlink_to(tmp_path / "nowhere")
    assert (tmp_path / "out-2" / "a").read_text() == "1"


def test_a_link_to_itself_is_refused(tmp_path: Path) -> None:
    (tmp_path / "out").symlink_to(tmp_path / "out")
    with pytest.raises(InputError), folder.new_folder(tmp_path / "out"):
        pytest.fail("no work may start")


@pytest.mark.parametrize("mask", [0o022, 0o077, 0o002])
def test_the_folder_keeps_to_the_rights_that_the_account_gives(tmp_path: Path, mask: int) -> None:
    before = os.umask(mask)
    try:
        with folder.new_folder(tmp_path / "out") as work:
            (work / "a").write_text("1")
    finally:
        os.umask(before)
    assert (tmp_path / "out").stat().st_mode & 0o777 == 0o777 & ~mask
    assert (tmp_path / "out" / "a").stat().st_mode & 0o777 == 0o666 & ~mask


def test_runs_at_once_have_names_of_their_own(tmp_path: Path) -> None:
    def one(number: int) -> Path:
        with folder.own_name(tmp_path / "runs", "case") as target, folder.new_folder(target) as work:
            (work / "a").write_text(str(number))
            waiting.result()
        return target

    with ThreadPoolExecutor(9) as pool:
        from concurrent.futures import Future

        waiting: Future[None] = Future()
        asked = [pool.submit(one, number) for number in range(8)]
        while len(list((tmp_path / "runs").glob(".*"))) < 8:
            pass
        waiting.set_result(None)
        found = [future.result() for future in asked]
    assert len(set(found)) == 8
    assert [int((place / "a").read_text()) for place in found] == list(range(8))
    assert {path.name for path in (tmp_path / "runs").iterdir()} == {"case", *(f"case-{k}" for k in range(2, 9))}


def test_a_name_that_was_taken_for_nothing_goes(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="broken"), folder.own_name(tmp_path / "runs", "case"):
        msg = "broken"
        raise ValueError(msg)
    assert list(tmp_path.iterdir()) == []
