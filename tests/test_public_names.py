"""Tests ask the product by its public names; the few others are listed here, each with its reason."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

HERE = Path(__file__).parent
ALLOWED = {
    "tipline.mechanics._plate_system": "the solver's own refusals, met with the check before it taken away",
    "tipline.mechanics._plate_system._check_held": "the check that is taken away",
    "tipline.sweeps.job._case": "a row's case, timed apart from its run",
    "tipline.sweeps.job._changes": "what a row changes, timed apart from its run",
    "tipline.sweeps.job._drawn": "what a row draws, timed apart from its run",
    "tipline.sweeps.job._ended": "runs made slow in a child, to be broken off",
    "tipline.view.fit_ranges._MOST": "as many ranges as a drawing holds",
    "tipline.view.fit_ranges._value": "a range's ends as they are written",
    "tipline.view.plots._STYLES": "every line told apart without its colour",
    "tipline.view.set_up_plan._Plan": "where a drawing's labels lie, which its text does not tell",
}


def private(text: str) -> Iterator[str]:
    """Yield every private name of the product that a test imports or takes from a module."""
    tree, modules = ast.parse(text), dict[str, str]()
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and (node.module or "").partition(".")[0] == "tipline":
            for one in node.names:
                modules[one.asname or one.name] = f"{node.module}.{one.name}"
                if one.name.startswith("_") and not one.name.startswith("__"):
                    yield f"{node.module}.{one.name}"
    for node in ast.walk(tree):
        if isinstance(node, ast.Attribute) and node.attr.startswith("_") and not node.attr.startswith("__"):
            if isinstance(node.value, ast.Name) and modules.get(node.value.id, "").rpartition(".")[2].islower():
                yield f"{modules[node.value.id]}.{node.attr}"
        elif isinstance(node, ast.Call) and ast.unparse(node.func).endswith(".setattr") and len(node.args) > 1:
            owner, name = node.args[0], node.args[1]
            if isinstance(owner, ast.Name) and owner.id in modules and ast.unparse(name).startswith("'_"):
                yield f"{modules[owner.id]}.{ast.literal_eval(name)}"


@pytest.mark.slow
def test_private_names_are_asked_for_where_there_is_a_reason_only() -> None:
    found = {name for path in HERE.rglob("*.py") for name in private(path.read_text(encoding="utf-8"))}
    assert found == set(ALLOWED)


def test_they_are_found_however_they_are_reached() -> None:
    text = "from tipline.a import _b, c\nc._d()\nmonkeypatch.setattr(c, '_e', 1)\nc.__doc__\nc.f"
    assert sorted(private(text)) == ["tipline.a._b", "tipline.a.c._d", "tipline.a.c._e"]
