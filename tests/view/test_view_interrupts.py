"""A request to end is met between two pictures: one that vtk is at, as it loads too, is finished first.

Measured.

KeyboardInterrupt raised by Python while vtk loaded its modules, which pyvista has it do as late as at the first
plotter, ended the process by a segmentation fault (4 of 24 requests in the first 1.8 s of the stills) or became an
ImportError with its traceback (2 of 24). Held back while it loads and draws, none of 28 requests did either.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tipline.view import scene
from tipline.view.scene import Scene
from tipline.view.story import Story

SIZE = (64, 40)
LOADED = """
from tipline.view import gl, libraries
gl.probe = lambda: None
try:
    libraries.load_all()
except KeyboardInterrupt:
    print("asked to end")
"""


def test_what_loads_vtk_is_loaded_ahead_and_not_broken_off(tmp_path: Path) -> None:
    package = tmp_path / "pyvista"
    package.mkdir()
    (package / "__init__.py").touch()
    plotting = "import signal\nsignal.raise_signal(signal.SIGINT)\nprint('whole')\n"
    (package / "plotting.py").write_text(plotting, encoding="utf-8")
    command = [sys.executable, "-c", LOADED]
    paths = os.pathsep.join((str(tmp_path), os.environ.get("PYTHONPATH", "")))
    surroundings = os.environ | {"PYTHONPATH": paths}
    done = subprocess.run(command, env=surroundings, capture_output=True, text=True, check=True)
    assert done.stdout == "whole\nasked to end\n"


@pytest.mark.slow
@pytest.mark.usefixtures("opengl")
def test_a_scene_and_a_picture_are_finished_before_a_request_to_end(
    make_story: Callable[..., Story], monkeypatch: pytest.MonkeyPatch
) -> None:
    story = make_story(2.0)
    drawn = Scene(story, SIZE)
    plotter = drawn._layers.plotter
    for owner, name, call in (
        (plotter, "render", lambda: drawn.draw(0)),
        (plotter, "close", drawn.close),
        (scene, "lay_floor", lambda: Scene(story, SIZE)),
    ):
        whole: list[object] = []
        with monkeypatch.context() as patch:
            patch.setattr(owner, name, _asked_within(getattr(owner, name), whole))
            with pytest.raises(KeyboardInterrupt):
                call()
        assert whole == ["begun", "ended"], name


def _asked_within(call: Callable[..., object], whole: list[object]) -> Callable[..., object]:
    """Have a request to end come as something is called."""

    def asked(*given: object, **named: object) -> object:
        whole.append("begun")
        signal.raise_signal(signal.SIGINT)
        made = call(*given, **named)
        whole.append("ended")
        return made

    return asked
