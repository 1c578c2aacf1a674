"""What `sitecustomize` beside this file hides is gone, also in what a process starts; the rest is there."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

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


def test_what_is_not_named_is_found() -> None:
    assert asked("chromium", "dask") == asked("chromium", "")
    assert asked("dask", "pybullet") == asked("dask", "")
    assert asked("pybullet", "dask") == asked("pybullet", "")
