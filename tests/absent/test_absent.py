"""What `sitecustomize` beside this file hides is gone, also in what a process starts; the rest is there."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from few import slow_but

HERE = Path(__file__).parent
ASK = {
    "pybullet": "from importlib.util import find_spec; print(find_spec('pybullet') is not None)",
    "dask": "from importlib.util import find_spec; print(any(map(find_spec, ('dask', 'distributed'))))",
    "opengl": "from tipline.view.gl import probe; print('no OpenGL library was found' not in (probe() or ''))",
    "chromium": "import shutil; print(shutil.which('chromium') is not None)",
    "versions": "from importlib.metadata import distributions as d; print('pybullet' in {x.name.lower() for x in d()})",
}  # fmt: skip


def asked(part: str, absent: str) -> str:
    again = f"import subprocess, sys; sys.exit(subprocess.run([sys.executable, '-P', '-c', {ASK[part]!r}]).returncode)"
    done = subprocess.run(
        [sys.executable, "-c", again],
        env=os.environ | {"ABSENT": absent, "PYTHONPATH": str(HERE)},
        capture_output=True,
        text=True,
        check=False,
    )
    return done.stdout.strip() or done.stderr


@pytest.mark.parametrize(
    ("part", "absent"),
    [
        *((name, name) for name in ASK if name != "versions"),
        ("versions", "pybullet"),
        *((part, "chromium dask opengl pybullet") for part in ASK),
    ],
)
def test_what_is_absent_is_not_found_in_a_child_of_a_child(part: str, absent: str) -> None:
    assert asked(part, absent) == "False"


@pytest.mark.slow
def test_what_is_not_named_is_found() -> None:
    assert asked("chromium", "dask") == asked("chromium", "")
    assert asked("dask", "pybullet") == asked("dask", "")
    assert asked("pybullet", "dask") == asked("pybullet", "")


@pytest.mark.parametrize(
    ("asks", "part"),
    [
        ("from importlib.util import find_spec; find_spec('pybullet')", "pybullet"),
        ("import distributed", "dask"),
        ("from tipline.view import gl", "opengl"),
        *slow_but([("import pytest; pytest.importorskip('distributed')", "dask")]),
        ("import shutil; shutil.which('chromium')", "chromium"),
        *slow_but([("import json, tipline; tipline.check", "")]),
    ],
)
def test_who_asks_for_a_part_is_noted_also_where_it_was_imported_before(tmp_path: Path, asks: str, part: str) -> None:
    """By the test that runs, in a child of it; twice, since one that was imported is asked for no finder any more."""
    subprocess.run(
        [sys.executable, "-c", f"for _ in range(2):\n    {asks}"],
        env=os.environ
        | {
            "ABSENT": "",
            "MET": str(tmp_path),
            "PYTHONPATH": str(HERE),
            "PYTEST_CURRENT_TEST": "test_it.py::test (call)",
        },
        check=True,
    )
    noted = {path.name: path.read_text(encoding="utf-8").splitlines() for path in tmp_path.iterdir()}
    assert set(noted) == ({part} if part else set())
    assert all(set(lines) == {"test_it.py"} and len(lines) >= 2 for lines in noted.values())
