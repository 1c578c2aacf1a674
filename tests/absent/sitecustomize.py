"""Make what ``ABSENT`` names look as if it were not installed: Python runs this as it starts, where PYTHONPATH has it.

Several names have spaces between them. Processes that are started by such a one do the same. ``opengl`` and
``chromium`` are these two, any other word is a package that cannot be found. Only tests and `.ci/run` use it; the
program does not know of it.
"""

from __future__ import annotations

import ctypes
import os
import shutil
import sys
from importlib.machinery import PathFinder
from typing import Any

ABSENT = os.environ.get("ABSENT", "").split()
TOGETHER = {"dask": ("dask", "distributed"), "pybullet": ("pybullet", "pybullet_data", "pybullet_utils")}
"""Packages that are installed together."""
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


_found = shutil.which
if "opengl" in ABSENT:
    ctypes.CDLL = _NotLoaded  # type: ignore[misc]
    os.environ["__EGL_VENDOR_LIBRARY_FILENAMES"] = os.devnull  # what loads it in another way finds no driver
    os.environ.pop("DISPLAY", None)
if "chromium" in ABSENT:
    shutil.which = _which  # type: ignore[assignment]
if set(ABSENT) - {"opengl", "chromium"}:
    sys.meta_path[sys.meta_path.index(PathFinder)] = _Without
