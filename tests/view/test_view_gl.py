"""The choice of the OpenGL backend and the trial render."""

from __future__ import annotations

import subprocess

import pytest

from tipline.errors import MissingPart
from tipline.view import gl


@pytest.fixture
def fresh(monkeypatch: pytest.MonkeyPatch) -> pytest.MonkeyPatch:
    """Make the probe forget what it found before, and again afterwards."""
    gl.tried.cache_clear()
    monkeypatch.setattr(gl.tried, "cache_clear", gl.tried.cache_clear, raising=False)
    return monkeypatch


@pytest.fixture(autouse=True)
def _forget() -> object:
    yield
    gl.tried.cache_clear()


def test_egl_is_chosen_before_osmesa(fresh: pytest.MonkeyPatch) -> None:
    fresh.delenv("VTK_DEFAULT_OPENGL_WINDOW", raising=False)
    fresh.setattr(gl, "loads", lambda library: True)
    fresh.setattr(gl.sys, "platform", "linux")
    gl.choose_backend()
    assert gl.os.environ["VTK_DEFAULT_OPENGL_WINDOW"] == "vtkEGLRenderWindow"


def test_osmesa_is_chosen_where_egl_is_absent(fresh: pytest.MonkeyPatch) -> None:
    fresh.delenv("VTK_DEFAULT_OPENGL_WINDOW", raising=False)
    fresh.setattr(gl, "loads", lambda library: "OSMesa" in library)
    fresh.setattr(gl.sys, "platform", "linux")
    gl.choose_backend()
    assert gl.os.environ["VTK_DEFAULT_OPENGL_WINDOW"] == "vtkOSOpenGLRenderWindow"


def test_a_backend_the_user_set_stays(fresh: pytest.MonkeyPatch) -> None:
    fresh.setenv("VTK_DEFAULT_OPENGL_WINDOW", "vtkXOpenGLRenderWindow")
    gl.choose_backend()
    assert gl.os.environ["VTK_DEFAULT_OPENGL_WINDOW"] == "vtkXOpenGLRenderWindow"


def test_without_a_library_the_probe_says_what_to_install(fresh: pytest.MonkeyPatch) -> None:
    fresh.delenv("VTK_DEFAULT_OPENGL_WINDOW", raising=False)
    fresh.delenv("DISPLAY", raising=False)
    fresh.setattr(gl, "loads", lambda library: False)
    fresh.setattr(gl.sys, "platform", "linux")
    missing = gl.probe()
    assert missing is not None
    assert "apt-get install libegl1 libgl1-mesa-dri" in missing


@pytest.mark.parametrize(("code", "words"), [(-11, "signal 11"), (3, "code 3")])
def test_a_driver_that_dies_is_reported_not_passed_on(fresh: pytest.MonkeyPatch, code: int, words: str) -> None:
    fresh.setattr(
        gl.subprocess,
        "run",
        lambda *a, **k: subprocess.CompletedProcess(args=a, returncode=code, stdout=b"", stderr=b""),
    )
    missing = gl.probe()
    assert missing is not None
    assert words in missing
    assert gl.REMEDY in missing
    with pytest.raises(MissingPart, match="libegl1"):
        gl.require()


def test_a_probe_that_hangs_ends(fresh: pytest.MonkeyPatch) -> None:
    def hang(*args: object, **options: object) -> None:
        raise subprocess.TimeoutExpired("python", 1.0)

    fresh.setattr(gl.subprocess, "run", hang)
    missing = gl.probe()
    assert missing is not None
    assert "did not end" in missing
