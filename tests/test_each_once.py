"""One word, one thing, and each rule once: no two classes of one name, no two functions that do the same; nouns."""

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


NO_NOUNS = {"asked", "found", "made", "one", "told"}
"""What no variable is called: it says nothing of what it holds."""
FIELDS = {
    "cli/signals.py: told", "commands/repeat.py: made", "floors/answers/report.py: found",
    "floors/answers/report.py: told", "incidents/report.py: told", "playback/of_run.py: asked",
    "report/filed.py: made", "runs/endings.py: asked", "scenario/incident.py: found", "set_ups/assessment.py: asked",
    "slope_limits/maps.py: asked", "sweeps/report.py: asked", "truck_fit/assessment.py: told", "view/canvas.py: told",
}  # fmt: skip
"""Fields of results and files, of which the class says what was asked, found or told."""


def without_noun(text: str) -> set[str]:
    """Return which of those words a module has for a variable, an argument or a field."""
    tree = ast.parse(text)
    stored = {node.id for node in ast.walk(tree) if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store)}
    return (stored | {node.arg for node in ast.walk(tree) if isinstance(node, ast.arg)}) & NO_NOUNS


@pytest.mark.slow
def test_variables_are_called_by_what_they_hold() -> None:
    """The pages that play runs and the kernels are left out."""
    texts = {str(path.relative_to(HERE)): path.read_text(encoding="utf-8") for path in sorted(HERE.rglob("*.py"))}
    named = {f"{file}: {word}" for file, text in texts.items() for word in without_noun(text)}
    assert {name for name in named if not name.startswith(("playback/", "kernels/"))} - FIELDS == set()


def test_a_variable_without_a_noun_is_found_however_it_is_set() -> None:
    assert without_noun("def f(one): return [told for told in one]") == {"one", "told"}
    assert without_noun("found = 1\nif (made := 2): a.asked = 3") == {"found", "made"}
