"""Every check can fail: each is seen to differ under at least one spoiled formula.

Each number, arithmetic operator, comparison and pair of legs of an arc tangent in the formulas is changed, one at a
time, in a fresh copy of the package. Themes that simulate are spoiled in tests/engine.
"""

import ast
import importlib
import importlib.util
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

import tipline.mechanics

ROOM = Path(tipline.mechanics.__file__).parent
# Formulas, the themes of the self-test that call them, every how many spots, and the share that must be noticed.
GROUPS = {
    "truck": (
        ("statics", "tipping", "energy", "pendulum", "rocking", "mast", "resistance", "rating"),
        (
            "published_statics",
            "published_tipping",
            "published_dynamics",
            "published_mast",
            "published_rating",
            "derived_statics",
            "derived_tipping",
            "derived_dynamics",
            "derived_rating",
        ),
        1,
        0.8,
    ),
    "slab": (("slab", "slab_field", "patch"), ("ground_slab",), 1, 0.6),
    "strength": (
        ("collapse", "punching", "joints", "spreaders", "patch"),
        ("ground_strength", "ground_spreaders"),
        1,
        0.6,
    ),
    "layers": (("halfspace", "layered", "asphalt"), ("ground_layers",), 3, 0.6),
    "soil": (("bearing", "granular_platform", "subgrade", "sinkage"), ("ground_soil",), 2, 0.5),
    "covers": (("covers",), ("ground_covers",), 1, 0.5),
    "plate": (("plate_fe",), ("ground_plate",), 4, 0.15),
}
SWAPPED = {ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult}
TURNED = {ast.Lt: ast.GtE, ast.GtE: ast.Lt, ast.Gt: ast.LtE, ast.LtE: ast.Gt}
FRESH = ("tipline.mechanics", "tipline.selftest")


def _spots(tree: ast.Module) -> list[ast.AST]:
    """Give the places to spoil: arithmetic and numbers inside functions."""
    functions = [node for node in tree.body if isinstance(node, ast.FunctionDef)]
    inside = [node for function in functions for part in function.body for node in ast.walk(part)]
    return [node for node in inside if _can_spoil(node)]


def _can_spoil(node: ast.AST) -> bool:
    if isinstance(node, ast.BinOp):
        return type(node.op) in SWAPPED
    if isinstance(node, ast.Compare):
        return len(node.ops) == 1 and type(node.ops[0]) in TURNED
    if isinstance(node, ast.Call):
        return isinstance(node.func, ast.Attribute) and node.func.attr == "atan2"
    return isinstance(node, ast.Constant) and isinstance(node.value, float) and node.value != 0.0


def _spoil(source: str, index: int) -> ast.Module:
    tree = ast.parse(source)
    node = _spots(tree)[index]
    if isinstance(node, ast.BinOp):
        node.op = SWAPPED[type(node.op)]()
    elif isinstance(node, ast.Compare):
        node.ops = [TURNED[type(node.ops[0])]()]
    elif isinstance(node, ast.Call):
        node.args.reverse()
    elif isinstance(node, ast.Constant):
        node.value = 1.3 * float(node.value)  # type: ignore[arg-type]
    return ast.fix_missing_locations(tree)


@contextmanager
def _fresh_package() -> Iterator[None]:
    """Set our modules aside, so that the spoiled copy never meets the real one."""
    held = {name: module for name, module in sys.modules.items() if name.startswith(FRESH)}
    for name in held:
        del sys.modules[name]
    try:
        yield
    finally:
        for name in [name for name in sys.modules if name.startswith(FRESH)]:
            del sys.modules[name]
        sys.modules.update(held)


def _differing(module: str, index: int, themes: tuple[str, ...]) -> set[str]:
    """Names of the checks that differ, or cannot be computed, under one spoiled formula."""
    path = ROOM / f"{module}.py"
    name = f"tipline.mechanics.{module}"
    with _fresh_package():
        importlib.import_module("tipline.mechanics")
        spec = importlib.util.spec_from_file_location(name, path)
        assert spec is not None
        spoiled = importlib.util.module_from_spec(spec)
        sys.modules[name] = spoiled
        try:
            exec(compile(_spoil(path.read_text(encoding="utf-8"), index), str(path), "exec"), spoiled.__dict__)
            found = [importlib.import_module(f"tipline.selftest.{theme}") for theme in themes]
            return {check.name for theme in found for check in theme.CHECKS if not _passes(check)}
        except ValueError:  # a number made while the checks are listed
            return set()


def _passes(check) -> bool:
    """Tell whether a check agrees; a spoiled power may be complex, a spoiled matrix singular."""
    try:
        return check.run().passed
    except (TypeError, RuntimeError, IndexError, MemoryError):
        return False


def test_every_theme_is_spoiled() -> None:
    """No theme of the self-test is left out."""
    from tipline.selftest import registry

    listed = {theme.__name__.rsplit(".", 1)[-1] for theme in registry._THEMES}
    elsewhere = {name for name in listed if name.endswith("_engine")} | {"shipped_trucks"}
    assert set().union(*(themes for _, themes, *_ in GROUPS.values())) == listed - elsewhere


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore::RuntimeWarning")
@pytest.mark.parametrize("group", GROUPS)
def test_every_check_differs_under_a_spoiled_formula(group: str) -> None:
    """No check passes whatever the formulas are, and most changes of a formula are noticed."""
    modules, themes, every, share = GROUPS[group]
    places = {m: len(_spots(ast.parse((ROOM / f"{m}.py").read_text("utf-8")))) for m in modules}
    spoils = [(m, i) for m in modules for i in range(0, places[m], every)]
    found = [_differing(module, index, themes) for module, index in spoils]
    checked = [c.name for t in themes for c in importlib.import_module(f"tipline.selftest.{t}").CHECKS]
    noticed = sum(bool(names) for names in found)
    if noticed < len(spoils):
        print([spoil for spoil, names in zip(spoils, found, strict=True) if not names])
    print(f"{group}: {len(spoils)} spoiled formulas, {noticed} noticed; {len(checked)} checks")
    assert set(checked) - set().union(*found) == set()
    assert noticed > share * len(spoils)
