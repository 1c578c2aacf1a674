"""One word, one thing, and each rule once: no two classes of one name, no two functions that do the same."""

from __future__ import annotations

import ast
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

import pytest

import tipline

HERE = Path(tipline.__file__).parent
LARGE = 25
"""Parts of its syntax from which on a function is more than a name for something."""


class Renamed(ast.NodeTransformer):
    """A function's own names by the order in which they are met: two are the same whatever they call things."""

    def __init__(self, body: ast.AST) -> None:
        self.own = {node.arg for node in ast.walk(body) if isinstance(node, ast.arg)}
        self.own |= {
            node.id for node in ast.walk(body) if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store)
        }
        self.names: dict[str, str] = {}

    def visit_Name(self, node: ast.Name) -> ast.Name:
        name = self.names.setdefault(node.id, f"_{len(self.names)}") if node.id in self.own else node.id
        return ast.Name(name, node.ctx)

    def visit_arg(self, node: ast.arg) -> ast.arg:
        return ast.arg(self.names.setdefault(node.arg, f"_{len(self.names)}"))


def classes(text: str) -> Iterator[str]:
    """Yield the classes that a module defines."""
    yield from (node.name for node in ast.parse(text).body if isinstance(node, ast.ClassDef))


def bodies(text: str) -> Iterator[tuple[str, str]]:
    """Yield the name of every larger function of a module, and what it does, without its own names and words."""
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.FunctionDef):
            told = ast.get_docstring(node) is not None
            body = ast.Module([node.args, *node.body[told:]], [])  # type: ignore[list-item]
            if sum(1 for _ in ast.walk(body)) >= LARGE:
                yield node.name, ast.dump(Renamed(body).visit(body))


def several(texts: dict[str, str]) -> tuple[dict[str, list[str]], list[list[str]]]:
    """Return the names that several classes have, with their modules, and the functions that do the same."""
    named, done = defaultdict(list), defaultdict(list)
    for module, text in texts.items():
        for name in classes(text):
            named[name].append(module)
        for name, body in bodies(text):
            done[body].append(f"{module}: {name}")
    return (
        {name: modules for name, modules in named.items() if len(modules) > 1},
        [names for names in done.values() if len(names) > 1],
    )


@pytest.mark.slow
def test_no_two_classes_have_one_name_and_no_two_functions_do_the_same() -> None:
    texts = {str(path.relative_to(HERE)): path.read_text(encoding="utf-8") for path in sorted(HERE.rglob("*.py"))}
    assert several(texts) == ({}, [])


def test_what_is_there_twice_is_found_under_other_names() -> None:
    one = "class A: ...\ndef f(x, y):\n    'Say.'\n    z = x + y * 2.0\n    return [z, x, y] if z > 0.0 else [x - y, z]"
    other = one.replace("f(x, y)", "g(a, b)").replace("'Say.'", "'Tell.'")
    other = other.replace("x", "a").replace("y", "b").replace("z", "c")
    assert several({"p": one, "q": other}) == ({"A": ["p", "q"]}, [["p: f", "q: g"]])
    assert several({"p": one, "q": other.replace("2.0", "3.0").replace("class A", "class B")}) == ({}, [])
