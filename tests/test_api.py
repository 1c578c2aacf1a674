"""What the package offers by name does what the commands do, and loads nothing before it is used."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

import tipline
from tipline.errors import InputError


@pytest.mark.parametrize("name", tipline.__all__)
def test_every_name_is_there(name: str) -> None:
    assert callable(getattr(tipline, name))


def test_there_is_a_function_for_every_command() -> None:
    from tipline.cli import app

    commands = {command.name or command.callback.__name__ for command in app.registered_commands if command.callback}
    told = {"list": "shipped", "self-test": "self_test"}
    assert {told.get(name, name) for name in commands} <= set(tipline.__all__)


def test_an_absent_name_is_an_attribute_error() -> None:
    with pytest.raises(AttributeError, match="no attribute 'tip'"):
        _ = tipline.tip


def test_importing_it_loads_no_library() -> None:
    code = "import sys, tipline; print([n for n in ('numpy', 'pydantic', 'pybullet', 'numba') if n in sys.modules])"
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout == "[]\n"


def test_a_result_is_written_as_its_command_writes_it(tmp_path: Path) -> None:
    asked = tipline.floor("the-same-lift-on-spreaders")
    folder = tipline.write(asked, tmp_path / "floor", pictures=False)
    assert {"report.html", "summary.json", "inputs"} <= {path.name for path in folder.iterdir()}
    with pytest.raises(InputError, match="something there already"):
        tipline.write(asked, folder, pictures=False)
    made = tipline.export("the-same-lift-on-spreaders", "mjcf")
    assert any(path.suffix == ".xml" for path in tipline.write(made, tmp_path / "truck").iterdir())
    posed = tipline.check("the-same-lift-on-spreaders")
    left = tipline.write(posed, tmp_path / "pose")
    assert {path.name for path in left.iterdir()} == {"report.html", "summary.json", "inputs"}
    assert posed.title in (left / "report.html").read_text(encoding="utf-8")


def test_it_lists_describes_and_checks_itself() -> None:
    assert "demo-truck-a" in tipline.shipped()["machine"]
    assert tipline.schema("machine")["type"] == "object"
    assert callable(tipline.self_test)
