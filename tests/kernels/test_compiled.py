"""Compiled code is kept by what is loaded: every change of a kernel has a place of its own.

Measured.

Compiled calls with arguments left out cost 0.16 ms each: give numba's functions all of them.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path
from types import ModuleType

import pytest

import tipline
from tipline.kernels.compiled import version

SOURCE = """
from typing import NamedTuple
STIFF = 2.0
NAMES = ("a", "b")
class Row(NamedTuple):
    a: float
def force(x):
    return STIFF * x + 1.0
"""


def loaded(source: str) -> ModuleType:
    module = ModuleType("kernel_under_test")
    exec(compile(source, "kernel_under_test.py", "exec"), vars(module))
    return module


@pytest.mark.parametrize(
    ("old", "new"),
    [("STIFF = 2.0", "STIFF = 3.0"), ("+ 1.0", "+ 2.0"), ("* x", "/ x"), ("a: float", "b: float"), ('"b"', '"c"')],
)
def test_any_change_of_a_kernel_has_a_place_of_its_own(old: str, new: str) -> None:
    assert old in SOURCE
    assert version(loaded(SOURCE)) != version(loaded(SOURCE.replace(old, new)))


def test_what_is_said_of_a_kernel_leaves_it_in_its_place() -> None:
    said = SOURCE.replace("(x):", '(x):\n    "Twice as far, one more."')
    assert version(loaded(said)) == version(loaded(said.replace("Twice", "Half")))
    assert version(loaded(said)) != version(loaded(said.replace("+ 1.0", "+ len('one')")))
    named = said.replace("return", "y = 'near'\n    return")
    assert version(loaded(named)) != version(loaded(named.replace("near", "far")))


def test_a_change_within_a_decorated_function_counts() -> None:
    about = SOURCE + "\nfrom contextlib import contextmanager\n@contextmanager\ndef within():\n    yield 1.0\n"
    assert version(loaded(about)) != version(loaded(about.replace("yield 1.0", "yield 2.0")))


SMALL = """
from types import SimpleNamespace
from tipline.kernels import compiled
compiled.rollout = SimpleNamespace(roll_out=compiled.joints.dead_zone)
made = compiled.compiled("roll_out")
made(3.0, 1.0)
print(compiled.__file__, made.stats.cache_hits.total())
"""


@pytest.mark.slow
def test_another_installation_of_the_same_takes_what_was_compiled_for_the_first(tmp_path: Path) -> None:
    told, own = [], {"NUMBA_CACHE_DIR": "", "XDG_CACHE_HOME": str(tmp_path)}
    for name in ("first", "second"):
        shutil.copytree(Path(tipline.__file__).parent, tmp_path / name / "tipline")
        done = subprocess.run(
            [sys.executable, "-c", SMALL],
            env=os.environ | own | {"PYTHONPATH": str(tmp_path / name)},
            cwd=tmp_path, capture_output=True, text=True, check=True,
        )  # fmt: skip
        told.append(done.stdout.split())
    for (file, _), name in zip(told, ("first", "second"), strict=True):
        assert Path(file).is_relative_to(tmp_path / name)
    assert [hits for _, hits in told] == ["0", "1"]


@pytest.mark.slow
def test_the_same_kernels_have_the_same_place_in_every_process() -> None:
    assert version(loaded(SOURCE)) == version(loaded(SOURCE))
    ask = "from tipline.kernels import compiled as c; print(c.version(*c.STEPPED, c.layout, c.slopes))"
    told = {
        subprocess.run(
            [sys.executable, "-c", ask], capture_output=True, text=True, check=True, env={"PYTHONHASHSEED": seed}
        ).stdout
        for seed in ("1", "2")
    }
    assert len(told) == 1
