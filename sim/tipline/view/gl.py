"""Choose the OpenGL backend before pyvista is imported, and find out in a child process whether it draws."""

from __future__ import annotations

import ctypes
import os
import subprocess
import sys
from functools import cache

from tipline.caches import cache_home
from tipline.errors import MissingPart

__all__ = ["REMEDY", "choose_backend", "loads", "probe", "require"]

REMEDY = "apt-get install libegl1 libgl1-mesa-dri"
_VARIABLE = "VTK_DEFAULT_OPENGL_WINDOW"
_PROBE = """
import sys
import numpy as np
import pyvista as pv
pl = pv.Plotter(off_screen=True, window_size=(64, 64), lighting=None)
pl.add_mesh(pv.Cube(), color="red", lighting=False)
pl.show(auto_close=False)
sys.exit(0 if np.ptp(pl.image) > 50 else 3)
"""


def choose_backend() -> None:
    """Set the off-screen backend for vtk in this process; a backend the user has set stays as it is."""
    cache_home()  # told to what draws letters, where the account has none
    if os.environ.get(_VARIABLE) or sys.platform != "linux":
        return
    if loads("libEGL.so.1"):
        os.environ[_VARIABLE] = "vtkEGLRenderWindow"
    elif loads("libOSMesa.so.8"):
        os.environ[_VARIABLE] = "vtkOSOpenGLRenderWindow"


@cache
def probe(timeout: float = 120.0) -> str | None:
    """Render 64 x 64 pixels in a child process; None if that works, else a text that says what to install.

    A library without its driver ends the process with a segmentation fault, so the try must not be made here.
    """
    choose_backend()
    if sys.platform == "linux" and not os.environ.get(_VARIABLE) and not os.environ.get("DISPLAY"):
        return _advice("no OpenGL library was found")
    try:
        # this interpreter, which takes no module of the current folder, and a constant text
        done = subprocess.run(
            [sys.executable, "-P", "-c", _PROBE],
            capture_output=True,
            timeout=timeout,
            check=False,
            env=dict(os.environ),
        )
    except subprocess.TimeoutExpired:
        return _advice(f"the trial render did not end within {timeout:.0f} s")
    if done.returncode == 0:
        return None
    if b"ModuleNotFoundError" in done.stderr:
        return "pyvista is not installed; install it with: pip install pyvista"
    how = f"ended by signal {-done.returncode}" if done.returncode < 0 else f"ended with code {done.returncode}"
    return _advice(f"the trial render {how}")


def require() -> None:
    """Raise MissingPart when pictures cannot be drawn on this computer."""
    missing = probe()
    if missing:
        raise MissingPart(missing)


def _advice(what: str) -> str:
    return f"{what}; on Debian or Ubuntu install OpenGL with: {REMEDY}"


def loads(library: str) -> bool:
    """Whether a library can be loaded."""
    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True
