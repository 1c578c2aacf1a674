"""Every check can fail: each is seen to differ under at least one spoiled formula.

Each number, arithmetic operator, comparison and pair of legs of an arc tangent in the formulas is changed, one at a
time: the function gets the changed body for as long as checks run. Only checks that call it can then differ; those that
never differed yet are all asked, the others until one does, quick ones first. What a theme computes while it lists its
checks is not spoiled: a check calls its formulas itself. Themes that simulate are spoiled in tests/engine.
"""

import ast
import importlib
import inspect
import signal
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cached_property
from importlib.util import find_spec
from types import CodeType, FunctionType, ModuleType
from typing import Any

import pytest

from tipline.selftest import Check

# Formulas, the themes of the self-test that call them, every how many spots, and the share that must be noticed.
GROUPS = {
    "truck": (
        ("statics", "tipping", "energy", "pendulum", "rocking", "resistance", "rating", "scales"),
        (
            "published_statics",
            "published_tipping",
            "published_dynamics",
            "derived_statics",
            "derived_tipping",
            "derived_dynamics",
            "derived_rating",
        ),
        1,
        0.8,
    ),
    "slab": (("slab", "slab_field", "kelvin", "patch"), ("ground_slab",), 1, 0.6),
    "strength": (
        ("collapse", "punching", "joints", "spreaders", "patch", "fatigue", "covers"),
        ("ground_strength", "ground_spreaders"),
        1,
        0.6,
    ),
    "layers": (("halfspace", "layered", "asphalt"), ("ground_layers",), 7, 0.6),
    "soil": (("bearing", "granular_platform", "subgrade", "sinkage"), ("ground_soil",), 2, 0.5),
    "mast": (("mast",), ("mast",), 1, 0.6),
    "covers": (("covers",), ("ground_covers",), 1, 0.5),
    "plate": (("plate_fe",), ("ground_plate",), 29, 0.15),
}
SWAPPED = {ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult}
TURNED = {ast.Lt: ast.GtE, ast.GtE: ast.Lt, ast.Gt: ast.LtE, ast.LtE: ast.Gt}


LONGEST = 10.0
"""Processor time [s] after which a check under a spoiled formula is given up: it differs."""


class Formula:
    """A function of a module of formulas, and its places to spoil: arithmetic, comparisons and numbers in its body."""

    def __init__(self, module: str, node: ast.FunctionDef, function: FunctionType) -> None:
        self.module, self.name, self._source, self.function = module, node.name, ast.unparse(node), function
        self.places = len(_spots(node))

    def spoiled(self, index: int) -> CodeType:
        """Give its body with one place changed."""
        tree = ast.parse(self._source)
        node = tree.body[0]
        assert isinstance(node, ast.FunctionDef)
        _spoil(_spots(node)[index])
        code = compile(ast.fix_missing_locations(tree), self.function.__code__.co_filename, "exec", dont_inherit=True)
        return next(part for part in code.co_consts if isinstance(part, CodeType) and part.co_name == self.name)

    @contextmanager
    def spoiled_at(self, index: int, themes: list[ModuleType]) -> Iterator[None]:
        """Let everybody who has the function call the spoiled one."""
        right = self.function.__code__
        self.function.__code__ = self.spoiled(index)
        try:
            yield
        finally:
            self.function.__code__ = right
            _forget(themes)


def _formulas(module: str) -> list[Formula]:
    """List the functions of a module and of the oracles of its name, and what their classes compute once and keep."""
    rooms = [name for name in (f"tipline.mechanics.{module}", f"tipline.oracles.{module}") if find_spec(name)]
    found = []
    for held in map(importlib.import_module, rooms):
        for node in ast.parse(inspect.getsource(held)).body:
            if isinstance(node, ast.FunctionDef):
                found.append(Formula(module, node, getattr(held, node.name)))
            elif isinstance(node, ast.ClassDef):
                kept = _kept(getattr(held, node.name))
                parts = [part for part in node.body if isinstance(part, ast.FunctionDef) and part.name in kept]
                found += [Formula(module, part, kept[part.name]) for part in parts]
    return found


def _kept(of: type) -> dict[str, Any]:
    """Name what a class computes once and keeps, with its function."""
    return {name: value.func for name, value in vars(of).items() if isinstance(value, cached_property)}


def _spots(function: ast.FunctionDef) -> list[ast.AST]:
    return [node for part in function.body for node in ast.walk(part) if _can_spoil(node)]


def _can_spoil(node: ast.AST) -> bool:
    if isinstance(node, ast.BinOp):
        return type(node.op) in SWAPPED
    if isinstance(node, ast.Compare):
        return len(node.ops) == 1 and type(node.ops[0]) in TURNED
    if isinstance(node, ast.Call):
        return isinstance(node.func, ast.Attribute) and node.func.attr == "atan2"
    return isinstance(node, ast.Constant) and isinstance(node.value, float) and node.value != 0.0


def _spoil(node: ast.AST) -> None:
    if isinstance(node, ast.BinOp):
        node.op = SWAPPED[type(node.op)]()
    elif isinstance(node, ast.Compare):
        node.ops = [TURNED[type(node.ops[0])]()]
    elif isinstance(node, ast.Call):
        node.args.reverse()
    elif isinstance(node, ast.Constant):
        node.value = 1.3 * float(node.value)  # type: ignore[arg-type]


def _forget(themes: list[ModuleType]) -> None:
    """Clear what the checks keep from one to the next."""
    for theme in themes:
        for value in vars(theme).values():
            if hasattr(value, "cache_clear"):
                value.cache_clear()
            for name in _kept(type(value)):
                vars(value).pop(name, None)


def _called_by(check: Check) -> tuple[set[CodeType], float]:
    """Whatever a check calls, by code, and the processor time it takes [s]."""
    called: set[CodeType] = set()
    begin = time.process_time()
    sys.setprofile(lambda frame, event, _: called.add(frame.f_code) if event == "call" else None)
    try:
        check.run()
    finally:
        sys.setprofile(None)
    return called, time.process_time() - begin


def _too_long(_number: int, _frame: object) -> None:
    raise TimeoutError


def _passes(check: Check) -> bool:
    """Tell whether a check agrees; a spoiled power may be complex, a matrix singular, a loop endless."""
    before = signal.signal(signal.SIGVTALRM, _too_long)
    signal.setitimer(signal.ITIMER_VIRTUAL, LONGEST)
    try:
        return check.run().passed
    except (TypeError, RuntimeError, IndexError, MemoryError, TimeoutError):
        return False
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0.0)
        signal.signal(signal.SIGVTALRM, before)


class Spoiler:
    """The checks of some themes, what each calls, and those that were seen to differ."""

    def __init__(self, themes: tuple[str, ...]) -> None:
        self.themes = [importlib.import_module(f"tipline.selftest.{theme}") for theme in themes]
        self.checks: list[Check] = [check for theme in self.themes for check in theme.CHECKS]
        self.differed: set[str] = set()
        self._called: dict[str, set[CodeType]] = {}
        takes: dict[str, float] = {}
        for check in self.checks:
            _forget(self.themes)
            self._called[check.name], takes[check.name] = _called_by(check)
        self.checks.sort(key=lambda check: takes[check.name])

    def undecided(self, formula: Formula) -> bool:
        """Tell whether a check that calls a formula never differed yet."""
        code = formula.function.__code__
        return any(code in self._called[check.name] for check in self.checks if check.name not in self.differed)

    def notices(self, formula: Formula, index: int) -> bool:
        """Tell whether a check differs under one spoiled formula; a check that never differed is always asked."""
        calling = [check for check in self.checks if formula.function.__code__ in self._called[check.name]]
        new = [check for check in calling if check.name not in self.differed]
        old = [check for check in calling if check.name in self.differed]
        with formula.spoiled_at(index, self.themes):
            found = {check.name for check in new if not _passes(check)}
            self.differed |= found
            return bool(found) or not all(_passes(check) for check in old)


def test_every_theme_is_spoiled() -> None:
    """No theme of the self-test is left out."""
    from tipline.selftest import registry

    listed = {theme.__name__.rsplit(".", 1)[-1] for theme in registry.THEMES}
    elsewhere = {name for name in listed if name.endswith("_engine")} | {"shipped_trucks", "textbook_trucks"}
    assert set().union(*(themes for _, themes, *_ in GROUPS.values())) == listed - elsewhere


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore::RuntimeWarning")
@pytest.mark.parametrize("group", GROUPS)
def test_every_check_differs_under_a_spoiled_formula(group: str) -> None:
    """No check passes whatever the formulas are, and most changes of a formula are noticed."""
    modules, themes, every, share = GROUPS[group]
    spoiler = Spoiler(themes)
    places = [(f, i) for m in modules for f in _formulas(m) for i in range(f.places)]
    spoils = places[::every]
    unnoticed = [(f.module, f.name, i) for f, i in spoils if not spoiler.notices(f, i)]
    if unnoticed:
        print(unnoticed)
    noticed = len(spoils) - len(unnoticed)
    for formula, index in places:  # a check that never differed is asked at the places between
        if spoiler.undecided(formula):
            spoiler.notices(formula, index)
    print(f"{group}: {len(spoils)} spoiled formulas, {noticed} noticed; {len(spoiler.checks)} checks")
    assert {check.name for check in spoiler.checks} - spoiler.differed == set()
    assert noticed > share * len(spoils)
