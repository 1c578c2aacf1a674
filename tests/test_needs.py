"""Below the commands a function takes what it uses: a whole case only where it needs most of one, or hands it on."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

import tipline

HERE = Path(tipline.__file__).parent
ABOVE = {"commands", "cli", "selftest", "workbench"}
"""Rooms that read a case and show it."""
PARTS = {
    "scenario": {"scenario"},
    "machine": {"machine"},
    "floor": {"floor"},
    "load": {"load"},
    "inputs": {"scenario", "machine"},
    "height": {"scenario", "machine"},
    "fork_height": {"scenario", "machine"},
    "hook_height": {"scenario", "machine"},
    "slope": {"scenario", "floor"},
    "demo": {"machine", "floor", "load"},
}
"""Which parts of a case each of its names is made of; names of what was read stand for all of its files."""
FEWEST = 3
"""Parts from which on a case is shorter to hand over, and says as much, as they are one by one."""

Function = ast.FunctionDef | ast.AsyncFunctionDef


def takers(tree: ast.Module) -> Iterator[tuple[Function, str]]:
    """Yield every function that takes a case, with the name that it has for it."""
    for node in ast.walk(tree):
        if isinstance(node, Function):
            for given in (*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs):
                if given.annotation is not None and ast.unparse(given.annotation) == "Case":
                    yield node, given.arg


def needs(function: Function, name: str) -> set[str] | None:
    """Return the parts of a case that a function reads; None where it hands the case on, keeps it or changes it."""
    read = [
        node.attr
        for node in ast.walk(function)
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id == name
    ]
    named = sum(isinstance(node, ast.Name) and node.id == name for node in ast.walk(function))
    if named > len(read):
        return None
    return set().union(*(PARTS.get(attribute, {attribute, "files", "origins"}) for attribute in read))


def slight(text: str) -> list[str]:
    """Return the functions of a module that take a case and read few of its parts, with these parts."""
    return [
        f"{function.name}: {', '.join(sorted(parts)) or 'nothing'}"
        for function, name in takers(ast.parse(text))
        if (parts := needs(function, name)) is not None and len(parts) < FEWEST
    ]


@pytest.mark.slow
def test_a_function_that_reads_few_parts_of_a_case_takes_these() -> None:
    """What a simulation, an assessment or a change of a case takes is the case; what reads a load takes the load."""
    wrong = {
        str(path.relative_to(HERE)): found
        for path in sorted(HERE.rglob("*.py"))
        if path.relative_to(HERE).parts[0] not in ABOVE and (found := slight(path.read_text(encoding="utf-8")))
    }
    assert wrong == {}


def test_few_parts_are_found_however_they_are_read() -> None:
    assert slight("def f(case: Case): return case.load") == ["f: load"]
    assert slight("def f(case: Case): return case.height, case.machine") == ["f: machine, scenario"]
    assert slight("def f(it: Case, x: int): return x") == ["f: nothing"]
    assert slight("def f(case: Case): return g(case)") == []
    assert slight("def f(case: Case): return case.slope, case.machine") == []
    assert slight("def f(case: Case): return case.resolved") == []
