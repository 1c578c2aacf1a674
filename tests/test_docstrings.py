"""The public functions tell what goes in and what comes out: examples that hold, shapes and units of every array."""

from __future__ import annotations

import ast
import doctest
import inspect
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import tipline
from few import slow_but
from tipline.kernels import layout

NAMES = slow_but(tipline.__all__, "check")
OF_RESULTS = (
    "results.py", "pose/assessment.py", "runs/assessment.py", "runs/breaks.py", "runs/endings.py", "runs/peaks.py",
    "runs/outcome_table.py", "floors/answers/report.py", "slope_limits/maps.py", "sweeps/report.py",
    "sweeps/outcome_map.py", "sweeps/table.py",
)  # fmt: skip
"""Where the types stand that the public functions' results are made of."""


@pytest.mark.parametrize("name", NAMES)
def test_the_example_holds(name: str) -> None:
    (found,) = doctest.DocTestFinder(recurse=False).find(getattr(tipline, name), name)
    assert found.examples
    told: list[str] = []
    done = doctest.DocTestRunner().run(found, out=told.append)
    assert done.failed == 0, "".join(told)


@pytest.mark.parametrize("name", tipline.__all__)
def test_every_parameter_has_a_type_and_words(name: str) -> None:
    function = getattr(tipline, name)
    signature, words = inspect.signature(function), inspect.getdoc(function) or ""
    assert signature.return_annotation is not inspect.Signature.empty
    for parameter in signature.parameters.values():
        assert parameter.annotation is not inspect.Parameter.empty
        assert len(signature.parameters) < 2 or re.search(rf"^.*\b{parameter.name}\b.* : ", words, re.M), parameter


def arrays_in(file: str) -> Iterator[tuple[str, str, str]]:
    """Yield class, field or function, and docstring of each array that a public class holds or returns."""
    tree = ast.parse((Path(tipline.__file__).parent / file).read_text(encoding="utf-8"))
    for owner in tree.body:
        if not isinstance(owner, ast.ClassDef) or owner.name.startswith("_"):
            continue
        for part in owner.body:
            if isinstance(part, ast.AnnAssign) and isinstance(part.target, ast.Name) and is_array(part.annotation):
                yield owner.name, part.target.id, ast.get_docstring(owner) or ""
            elif isinstance(part, ast.FunctionDef) and not part.name.startswith("_") and is_array(part.returns):
                yield owner.name, f"{part.name}()", ast.get_docstring(part) or ""


def is_array(annotation: ast.expr | None) -> bool:
    return annotation is not None and re.search(r"\b(ND)?Array\b", ast.unparse(annotation)) is not None


ARRAYS = [(file, *found) for file in OF_RESULTS for found in arrays_in(file)]


def test_there_are_arrays_to_tell_of() -> None:
    assert len(ARRAYS) > 15
    assert {"Run", "SlopeMap", "BrakingMap", "StressMap", "SweepReport", "SweepTable"} <= {one[1] for one in ARRAYS}


@pytest.mark.parametrize(("file", "owner", "name", "words"), ARRAYS, ids=lambda value: str(value)[:40])
def test_an_array_has_its_shape_and_its_unit(file: str, owner: str, name: str, words: str) -> None:
    told = words if name.endswith("()") else next((line for line in told_of(words) if names(line, name)), "")
    assert re.search(r"\((\w+,|\w+(, \w+)+)\)", told), f"no shape of {owner}.{name}"
    assert re.search(r"\[[^\]]+\]|\bSI\b|\bflags\b|\btexts\b", told), f"no unit of {owner}.{name}"


def told_of(words: str) -> Iterator[str]:
    """Yield what is told of each attribute, its further lines with it."""
    _, _, listed = words.partition("Attributes\n----------\n")
    for entry in re.split(r"\n(?!\s)", listed):
        yield " ".join(entry.split())


def names(entry: str, name: str) -> bool:
    return name in entry.partition(" : ")[0].split(", ")


ROOMS = ("engines", "floors", "geometry", "mechanics", "oracles", "pose", "runs", "scenario", "set_ups", "slope_limits",
         "statics", "sweeps", "truck_fit", "view")  # fmt: skip
"""Rooms whose functions take and give arrays; those of the kernels have one name each, and are asked one by one."""
SHAPE = re.compile(r"\(\w+,\)|\([^()]*(\([^()]*\))?[^()]*,[^()]*\)|\bshape\b")
UNIT = re.compile(r"\[[^\]]+\]|\bSI\b|\bflags\b|\btexts\b|\bunit\b|\bindices\b")


def of_room(path: Path) -> Iterator[tuple[str, str]]:
    """Yield every public function and class of a module that has to do with arrays, with what is told of it."""
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_"):
            if isinstance(node, ast.ClassDef):
                if any(isinstance(part, ast.AnnAssign) and takes_arrays(part.annotation) for part in node.body):
                    yield node.name, ast.get_docstring(node) or ""
                functions = [part for part in node.body if isinstance(part, ast.FunctionDef)]
            else:
                functions = [node]
            for function in functions:
                given = (*function.args.posonlyargs, *function.args.args, *function.args.kwonlyargs)
                types = [argument.annotation for argument in given] + [function.returns]
                if not function.name.startswith("_") and any(map(takes_arrays, types)):
                    yield f"{node.name}: {function.name}", ast.get_docstring(function) or ""


def takes_arrays(annotation: ast.expr | None) -> bool:
    return annotation is not None and re.search(r"Array\b|Floats\b|ArrayLike\b", ast.unparse(annotation)) is not None


@pytest.mark.slow
def test_every_function_of_arrays_tells_shape_and_unit() -> None:
    paths = [
        path
        for room in ROOMS
        for path in sorted((Path(tipline.__file__).parent / room).rglob("*.py"))
        if not path.stem.startswith("_")
    ]
    told = [(path.stem, name, words) for path in paths for name, words in of_room(path)]
    silent = [f"{module}: {name}" for module, name, words in told if not (SHAPE.search(words) and UNIT.search(words))]
    assert len(told) > 120
    assert silent == []


LISTED = r"^(?:[^\n:]*[ ,])?{}(?:, \w+)* \([^()]*\) \[[^\]]+\]"
"""An array in the list of a module of the kernels: names, shape, unit."""


def of_kernels() -> Iterator[tuple[str, str, str, str]]:
    """Yield module, its docstring, array of each public function, and the words of that function."""
    for path in sorted((Path(tipline.__file__).parent / "kernels").glob("*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        for node in tree.body:
            if isinstance(node, ast.FunctionDef) and not node.name.startswith("_") and not path.stem.startswith("_"):
                words = " ".join((ast.get_docstring(node) or "").split())
                for argument in (*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs):
                    if takes_arrays(argument.annotation):
                        yield path.stem, ast.get_docstring(tree) or "", f"{node.name}: {argument.arg}", words


def test_every_array_of_a_kernel_has_its_shape_and_unit_in_its_words_or_on_a_list() -> None:
    common = ast.get_docstring(ast.parse(Path(layout.__file__).read_text(encoding="utf-8"))) or ""
    arrays = list(of_kernels())
    silent = []
    for module, listed, name, words in arrays:
        array = name.partition(": ")[2]
        own = re.search(rf"\b{array}(\[\w\])? \(\w[^()]*,[^()]*\)", words) or "any shape" in words
        if not own and not any(re.search(LISTED.format(array), lists, re.M) for lists in (listed, common)):
            silent.append(f"{module}: {name}")
    assert len(arrays) > 400
    assert silent == []
