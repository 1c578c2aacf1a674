"""Formulas are called by commands; those that none calls are oracles, and an answer meets each in a test."""

from __future__ import annotations

import ast
import functools
from pathlib import Path

import pytest

import tipline
from tipline.oracles import MET
from tipline.selftest.sources import Definition, Sources
from tipline.selftest.used_by import COMMANDS, reached_by

ROOT = Path(tipline.__file__).parent
TESTS = Path(__file__).parents[2]
pytestmark = pytest.mark.slow  # all the sources are read


@functools.cache
def sources() -> Sources:
    return Sources(ROOT)


def test_every_formula_is_on_the_way_of_a_command() -> None:
    """Else it is an oracle, or nobody's."""
    reached = frozenset().union(*(reached_by(command) for command in COMMANDS))
    formulas = set(sources().public("tipline.mechanics"))
    assert len(formulas) > 100
    assert formulas - reached == set()


def test_every_oracle_is_met() -> None:
    """Functions; their records come with them."""
    functions = {
        f"{module.removeprefix('tipline.oracles.')}.{name}"
        for module, name in sources().public("tipline.oracles")
        if isinstance(sources().node((module, name)), ast.FunctionDef)
    }
    assert functions == set(MET)


@pytest.mark.parametrize(
    ("oracle", "command", "test"), [(name, *met) for name, mets in MET.items() for met in mets], ids=str
)
def test_the_test_that_is_named_holds_an_answer_of_the_command_against_the_oracle(
    oracle: str, command: str, test: str
) -> None:
    """It, or a helper beside it, names the oracle, by way of another one perhaps, and a definition of the command."""
    file, name = test.split("::")
    found = named(TESTS / file, name)
    module, function = oracle.split(".")
    by_way = {one for one in found if one[0].startswith("tipline.oracles")}
    assert (f"tipline.oracles.{module}", function) in sources().reached(by_way)
    own = {one for one in found if not one[0].startswith("tipline.oracles")}
    own |= sources().reached({one for one in own if one[0].startswith("tipline.selftest")})
    assert own & reached_by(command) - of_any_check()


def of_any_check() -> set[Definition]:
    """What a check comes to whatever it computes."""
    return sources().reached([("tipline.selftest.check", "Check")])


def named(file: Path, test: str) -> set[Definition]:
    """Give what a test, the helpers and fixtures of its file that it names, and theirs, come from."""
    tree = ast.parse(file.read_text(encoding="utf-8"))
    held: dict[str, ast.stmt] = {}
    for node in tree.body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            held[node.name] = node
        elif isinstance(node, ast.Assign):
            held |= {target.id: node for target in node.targets if isinstance(target, ast.Name)}
    imported: dict[str, str] = {}
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("tipline"):
            imported |= {one.asname or one.name: f"{node.module}.{one.name}" for one in node.names}
    found: set[Definition] = set()
    ahead, seen = [test], set()
    assert test in held, f"{file} has no {test}"
    while ahead:
        name = ahead.pop()
        if name in seen:
            continue
        seen.add(name)
        if name in held:
            parts = list(ast.walk(held[name]))
            ahead += [part.id for part in parts if isinstance(part, ast.Name)]
            ahead += [part.arg for part in parts if isinstance(part, ast.arg)]
            found |= {
                one
                for part in parts
                if isinstance(part, ast.Attribute) and isinstance(part.value, ast.Name) and part.value.id in imported
                for one in [sources().resolve(f"{imported[part.value.id]}.{part.attr}")]
                if isinstance(one, tuple)
            }
        elif name in imported:
            one = sources().resolve(imported[name])
            if isinstance(one, tuple):
                found.add(one)
    return found
