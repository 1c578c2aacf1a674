"""Numbers of laws say where they come from: a key of the references, or that they are our own choice and why."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import tipline
from tipline.selftest import references

ROOT = Path(tipline.__file__).parent
ROOMS = ("kernels", "geometry", "engines", "statics", "floors", "pose", "runs", "slope_limits", "sweeps")
LAWS = sorted(path for room in ROOMS for path in (ROOT / room).rglob("*.py"))
SAID = re.compile(
    r"[Oo]ur\s(own\s)?choice|[Aa]ssumed|common practice, no source|from memory|own plate elements|numerical"
    r"|by definition"
)
KEY = re.compile(r"\[([A-Z][\w.-]+)\]")
WITHOUT_A_LAW = {
    "__init__", "compiled", "layout", "packed", "parts", "reading", "reduce", "rollout", "step", "uncompiled",
    "unpacked", "vector", "watch", "watching",
    "planning", "evidence", "mode", "of_zone", "situation",
    *(f"engines/{name}" for name in (
        "ahead", "loop", "many", "prepare", "record", "rolled", "simulate", "stepped", "taken_to", "truck",
    )),
    *(f"geometry/{name}" for name in (
        "attachments", "chassis", "contacts", "counterweight", "export", "ground", "lifted_load", "mast", "pieces",
        "setting", "solids", "wheels",
    )),
}  # fmt: skip
"""Files that call laws in order, compile them, name columns, or draw what is weighed."""
NEITHER = {"layout", "watching"}
"""Files of names of columns."""


def constants(path: Path) -> Iterator[tuple[str, str]]:
    """Yield each constant of a file that holds a number with a point, and what is said of it.

    What stands below several in a row is said of all of them; what a `Factor` or a `Band` says is said too.
    """
    body = ast.parse(path.read_text(encoding="utf-8")).body
    waiting: list[tuple[str, str]] = []
    for statement in body:
        if isinstance(statement, ast.Assign | ast.AnnAssign) and statement.value is not None:
            target = statement.targets[0] if isinstance(statement, ast.Assign) else statement.target
            texts = " ".join(
                part.value
                for part in ast.walk(statement.value)
                if isinstance(part, ast.Constant) and isinstance(part.value, str)
            )
            if _number(statement.value):
                waiting.append((ast.unparse(target), texts))
            continue
        said = ""
        if isinstance(statement, ast.Expr) and isinstance(statement.value, ast.Constant):
            said = str(statement.value.value)
        yield from ((name, f"{texts} {said}") for name, texts in waiting)
        waiting = []
    yield from waiting


def _number(value: ast.expr) -> bool:
    """Whether there is a number with a point in it, not nought; factors of the floor have a test of their own."""
    if isinstance(value, ast.Call) and ast.unparse(value.func) == "Factor":
        return False
    numbers = (part.value for part in ast.walk(value) if isinstance(part, ast.Constant))
    return any(isinstance(number, float) and number != 0.0 for number in numbers)


FOUND = [
    pytest.param(name, said, id=f"{path.relative_to(ROOT)}:{name}")
    for path in LAWS
    if path.stem not in NEITHER
    for name, said in constants(path)
]


def test_there_are_constants_to_look_at() -> None:
    assert len(FOUND) > 240


@pytest.mark.parametrize(("name", "said"), FOUND)
def test_a_number_of_a_law_has_a_source_or_says_that_it_is_our_choice(name: str, said: str) -> None:
    keys = KEY.findall(" ".join(re.findall(r"Source: ?((?:\[[^\]]*\],? ?)+)", said)))
    assert set(keys) <= references().keys()
    assert keys or SAID.search(said), f"{name}: {said.strip() or 'nothing is said'}"


CITING = sorted(
    path
    for room in ("kernels", "geometry", "engines", "statics", "floors/modes", "floors/laws")
    for path in (ROOT / room).glob("*.py")
    if not WITHOUT_A_LAW & {path.stem, path.relative_to(ROOT).with_suffix("").as_posix()}
)


@pytest.mark.parametrize("path", CITING, ids=lambda path: str(path.relative_to(ROOT)))
def test_a_file_of_laws_cites_its_sources_by_key(path: Path) -> None:
    cited = KEY.findall(" ".join(re.findall(r"^Source: (.*(?:\n.+)*)", _doc(path), re.MULTILINE)))
    assert cited, "no line 'Source: [Key]' in what stands at its head"
    assert set(cited) <= references().keys()


def _doc(path: Path) -> str:
    return ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))) or ""
