"""Make what ``ABSENT`` names look as if it were not installed: Python runs this as it starts, where PYTHONPATH has it.

Several names have spaces between them. Processes that are started by such a one do the same. ``opengl`` and
``chromium`` are these two, any other word is a package that cannot be found. Only tests and `.ci/run` use it; the
program does not know of it.

Where ``MET`` names a folder, the files of tests that ask for such a part, themselves or by what they call or start, are
noted there, in a file of the part's name. Asking is to import one of ``DOORS``, whether or not it was imported before,
or to look for chromium.
"""

from __future__ import annotations

import builtins
import ctypes
import importlib.util
import os
import shutil
import sys
from importlib.machinery import PathFinder
from pathlib import Path
from typing import Any

ABSENT = os.environ.get("ABSENT", "").split()
TOGETHER = {"dask": ("dask", "distributed"), "pybullet": ("pybullet", "pybullet_data", "pybullet_utils")}
"""Packages that are installed together."""
DOORS = {
    "pybullet": "pybullet",
    "dask": "dask",
    "distributed": "dask",
    "pyvista": "opengl",
    "tipline.view.gl": "opengl",
}
"""Whoever imports one of these needs the part, or does without it."""
ROOMS = {door.rpartition(".")[0] for door in DOORS}
MET = os.environ.get("MET", "")
DRAWERS = ("libEGL", "libGL", "libOSMesa")


class _Without(PathFinder):
    """Finds all packages but those that are absent, and their versions."""

    names = frozenset(name for absent in ABSENT for name in TOGETHER.get(absent, (absent,)))

    @classmethod
    def find_spec(cls, fullname: str, path: Any = None, target: Any = None) -> Any:
        """Find a module."""
        return None if fullname.partition(".")[0] in cls.names else super().find_spec(fullname, path, target)

    @classmethod
    def find_distributions(cls, *words: Any, **named: Any) -> Any:
        """Find what is known of the packages that are installed."""
        found = PathFinder.find_distributions(*words, **named)
        return (one for one in found if one.metadata["Name"].lower() not in cls.names)


class _NotLoaded(ctypes.CDLL):
    """Loads all libraries but those that draw."""

    def __init__(self, name: str | None, *words: Any, **named: Any) -> None:
        if name and name.startswith(DRAWERS):
            msg = f"{name}: cannot open shared object file: No such file or directory"
            raise OSError(msg)
        super().__init__(name, *words, **named)


def _which(command: str, *words: Any, **named: Any) -> str | None:
    return None if command.startswith("chromium") else _found(command, *words, **named)


def _note(part: str) -> None:
    """Note the file of the test that is running, or else is being read."""
    test = os.environ.get("PYTEST_CURRENT_TEST", "").partition("::")[0]
    frame = sys._getframe(2)
    while not test and frame.f_back is not None:
        frame = frame.f_back
        if Path(frame.f_code.co_filename).name.startswith("test_"):
            test = frame.f_code.co_filename
    if test:
        with (Path(MET) / part).open("a", encoding="utf-8") as file:
            file.write(f"{test}\n")


def _import(name: str, globals: Any = None, locals: Any = None, fromlist: Any = (), level: int = 0) -> Any:
    for door in (name, *(f"{name}.{inner}" for inner in fromlist or () if name in ROOMS)):
        if door in DOORS:
            _note(DOORS[door])
    return _imported(name, globals, locals, fromlist, level)


def _by_name(asked: Any) -> Any:
    """Note who calls a function of `importlib` with the name of a door."""

    def ask(name: str, package: str | None = None) -> Any:
        if name in DOORS:
            _note(DOORS[name])
        return asked(name, package)

    return ask


def _look(command: str, *words: Any, **named: Any) -> str | None:
    if command.startswith("chromium"):
        _note("chromium")
    return _found(command, *words, **named)


_imported, _found = builtins.__import__, shutil.which
if MET:
    builtins.__import__ = _import
    importlib.util.find_spec = _by_name(importlib.util.find_spec)
    importlib.import_module = _by_name(importlib.import_module)
    shutil.which = _look  # type: ignore[assignment]
if "opengl" in ABSENT:
    ctypes.CDLL = _NotLoaded  # type: ignore[misc]
    os.environ["__EGL_VENDOR_LIBRARY_FILENAMES"] = os.devnull  # what loads it in another way finds no driver
    for name in ("DISPLAY", "VTK_DEFAULT_OPENGL_WINDOW"):
        os.environ.pop(name, None)
if "chromium" in ABSENT:
    shutil.which = _which  # type: ignore[assignment]
if set(ABSENT) - {"opengl", "chromium"}:
    sys.meta_path[sys.meta_path.index(PathFinder)] = _Without
