"""Choose the OpenGL backend before pyvista is imported, and find out in a child process whether it draws."""

from __future__ import annotations

import ctypes
import os
import subprocess
import sys
import threading
from functools import cache

from tipline.caches import cache_home
from tipline.errors import MissingPart

__all__ = ["REMEDY", "choose_backend", "loads", "probe", "require", "tried"]

REMEDY = "apt-get install libegl1 libgl1-mesa-dri"
_VARIABLE = "VTK_DEFAULT_OPENGL_WINDOW"
_PROBE = """
import sys
from importlib.util import find_spec
if find_spec("pyvista") is None:
    raise ModuleNotFoundError("pyvista")
from vtkmodules.vtkCommonCore import vtkUnsignedCharArray
from vtkmodules.vtkFiltersSources import vtkCubeSource
from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper, vtkRenderer, vtkRenderWindow
import vtkmodules.vtkRenderingOpenGL2
cube, mapper, actor = vtkCubeSource(), vtkPolyDataMapper(), vtkActor()
renderer, window = vtkRenderer(), vtkRenderWindow()
mapper.SetInputConnection(cube.GetOutputPort())
actor.SetMapper(mapper)
renderer.AddActor(actor)
window.SetOffScreenRendering(True)
window.SetSize(64, 64)
window.AddRenderer(renderer)
window.Render()
colours = vtkUnsignedCharArray()
window.GetPixelData(0, 0, 63, 63, 0, colours, 0)
least, most = colours.GetRange()
sys.exit(0 if most - least > 50 else 3)
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


_TRYING = threading.Lock()


def probe() -> str | None:
    """Find out once whether this computer draws, as `tried` does: of two threads the second waits for the first."""
    with _TRYING:
        return tried()


@cache
def tried(timeout: float = 120.0) -> str | None:
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
    os.environ["ALLOW_PLOTTING"] = "true"  # pyvista need not try it a second time


def _advice(what: str) -> str:
    return f"{what}; on Debian or Ubuntu install OpenGL with: {REMEDY}"


def loads(library: str) -> bool:
    """Whether a library can be loaded."""
    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True
