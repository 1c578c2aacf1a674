"""README shows what its first command answers."""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

README = Path(__file__).parents[2] / "README.md"


def blocks() -> list[str]:
    """Return what stands indented in README, block by block, without the indent."""
    text = README.read_text(encoding="utf-8")
    found = re.findall(r"(?:^    .*\n(?:\n+(?=    ))?)+", text, re.M)
    return [re.sub(r"^    ", "", block, flags=re.M).rstrip() for block in found]


def without_id(text: str) -> list[str]:
    """Return the lines without the run's mark, which is another one for each version and processor."""
    return [line.rstrip() for line in re.sub(r"\brun [0-9a-f]{10}\b", "run", text).splitlines()]


@pytest.mark.slow
def test_the_first_answer_is_that_of_the_first_command(tmp_path: Path) -> None:
    command, answer = blocks()[:2]
    words = shlex.split(command.rpartition("&&")[2])
    assert Path(words[0]).name == "tipline"
    done = subprocess.run(
        [sys.executable, "-m", "tipline", *words[1:], "--no-pictures", "--quiet"],
        capture_output=True, text=True, check=True, cwd=tmp_path, env=os.environ | {"COLUMNS": "100"},
    )  # fmt: skip
    shown = without_id(answer)
    assert len(shown) > 15
    assert without_id(done.stdout)[: len(shown)] == shown
