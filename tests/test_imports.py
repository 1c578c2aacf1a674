"""No two modules need each other, whichever way they are named: imported, for types only, or by a string."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import pytest

import tipline

HERE = Path(tipline.__file__).parent
BY_STRING = re.compile(r"tipline(\.[a-z_]\w*)+")


def modules() -> dict[str, str]:
    """Return the text of every module by its dotted name."""
    named = {}
    for path in HERE.rglob("*.py"):
        parts = ("tipline", *path.relative_to(HERE).with_suffix("").parts)
        named[".".join(parts).removesuffix(".__init__")] = path.read_text(encoding="utf-8")
    return named


def asked_for(text: str) -> Iterator[str]:
    """Yield every name of ours that a module imports or spells in a string."""
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Import):
            yield from (one.name for one in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert not node.level
            yield from (f"{node.module}.{one.name}" for one in node.names)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and BY_STRING.fullmatch(node.value):
            yield node.value


def needs(texts: dict[str, str]) -> dict[str, set[str]]:
    """Return for each module those it needs."""
    found: dict[str, set[str]] = {}
    for name, text in texts.items():
        found[name] = set()
        for asked in asked_for(text):
            module = asked
            while module and module not in texts:
                module = module.rpartition(".")[0]
            found[name] |= {module} - {"", name}
    return found


@pytest.mark.slow
def test_no_two_modules_need_each_other() -> None:
    needed = needs(modules())
    order = {name: place for place, name in enumerate(TopologicalSorter(needed).static_order())}
    assert order.keys() == needed.keys()
    assert all(order[other] < order[name] for name, others in needed.items() for other in others)


@pytest.mark.parametrize(
    "line", ["from tipline.a import x", "import tipline.a", 'import_module("tipline.a")', "from tipline import a"]
)
def test_a_circle_is_found_by_whichever_words_it_is_closed(line: str) -> None:
    texts = {"tipline": "", "tipline.a": "def f():\n    from tipline.b import y", "tipline.b": f"if T:\n    {line}"}
    with pytest.raises(CycleError):
        tuple(TopologicalSorter(needs(texts)).static_order())
