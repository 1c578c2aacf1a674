"""Spoil single places of the program and see whether the tests notice: not part of the gates, since it takes an hour.

    python tests/mutants/run.py --kept [--only floors]
    python tests/mutants/run.py --seed 8 --count 60 [--only floors] [--list] [--log FILE [--most 1]]

The first asks of every place that was tried (`places.toml`, by the text of its line) the one test that noticed it; a
line that is no longer there is printed too: look where it has gone, and change or draw another. The second draws anew.

Places are drawn evenly over the rooms outside `mechanics`: a number, a comparison, a sign, a product, an "and", the
lesser of two. Each is changed in a copy of the sources, and the tests of its room are run on the copy until one fails:
those that load the module itself first, then what loads its callers, quick before slow. What survives is printed with
its place: close it with a test, or show that it changes nothing. With a log, what is in it is not asked again.
"""

from __future__ import annotations

import argparse
import ast
import json
import os
import random
import shutil
import subprocess
import sys
import tempfile
import time
import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
SOURCE = ROOT / "sim" / "tipline"
PLACES = Path(__file__).parent / "places.toml"
ROOMS = {
    "statics": ("statics", "pose", "slope_limits", "engines"),
    "pose": ("pose", "statics", "pages"),
    "runs": ("runs", "pages", "engines", "scenarios"),
    "floors": ("floors", "engines/test_zones.py", "view/test_view_floor.py", "verification/test_plate_load_tests.py"),
    "slope_limits": ("slope_limits", "pages", "engines/test_slope_limits.py"),
    "kernels": ("kernels", "statics", "sweeps/test_batch.py", "engines", "sweeps/test_dynamics.py"),
    "engines": ("engines", "scenario", "sweeps/test_batch.py"),
    "geometry": ("geometry", "statics", "engines/test_export.py", "pose"),
    "sweeps": ("sweeps",),
    "report": ("pages", "slope_limits", "floors", "sweeps/test_assessment.py", "runs"),
}
"""Rooms that are spoiled, and the tests that are asked of each."""
NEAR = 2
"""Tests that reach a module over so many imports are asked of it first, wherever they lie."""
LONGEST = 1200.0
"""Time [s] after which tests are given up: they may not end under the change, or the computer be slow."""
UNDECIDED = "NO END"
SWAPPED: dict[type, type] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.Lt: ast.GtE, ast.Gt: ast.LtE,
    ast.LtE: ast.Gt, ast.GtE: ast.Lt, ast.And: ast.Or, ast.Or: ast.And, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
}  # fmt: skip
SIGNS = {
    ast.Add: "+", ast.Sub: "-", ast.Mult: "*", ast.Div: "/", ast.Lt: "<", ast.Gt: ">", ast.LtE: "<=", ast.GtE: ">=",
    ast.And: "and", ast.Or: "or", ast.Eq: "==", ast.NotEq: "!=",
}  # fmt: skip
NAMES = {"min": "max", "max": "min", "lesser": "greater", "sin": "cos", "cos": "sin"}


@dataclass(frozen=True)
class Mutant:
    """One change: characters of a file from ``start`` to ``end`` by ``text``."""

    room: str
    file: Path
    line: int
    start: int
    end: int
    was: str
    text: str

    def __str__(self) -> str:
        """Return where it is and what is changed."""
        return f"{self.file.relative_to(SOURCE)}:{self.line}: {self.was} -> {self.text}"


class _Places(ast.NodeVisitor):
    """Finds what can be changed in the functions and constants of a module."""

    def __init__(self, text: str) -> None:
        self.text, self.found = text, list[tuple[int, int, int, str, str]]()
        self.starts = [0]
        for line in text.encode().splitlines(keepends=True):
            self.starts.append(self.starts[-1] + len(line))

    def _at(self, line: int, column: int) -> int:
        return self.starts[line - 1] + column

    def _between(self, left: ast.expr, right: ast.expr, sign: type) -> None:
        if sign not in SWAPPED or left.end_lineno is None or left.end_col_offset is None:
            return
        start, end = self._at(left.end_lineno, left.end_col_offset), self._at(right.lineno, right.col_offset)
        was, new = SIGNS[sign], SIGNS[SWAPPED[sign]]
        gap = self.text.encode()[start:end].decode()
        where = gap.find(was)
        if where >= 0 and gap.count(was) == 1:
            begin = start + len(gap[:where].encode())
            self.found.append((left.end_lineno, begin, begin + len(was), was, new))

    def visit_Constant(self, node: ast.Constant) -> None:
        """Change a number that is no index by a tenth, a flag to its opposite."""
        whole = isinstance(node.value, int) and not isinstance(node.value, bool)
        if node.end_col_offset is None or node.end_lineno != node.lineno:
            return
        start, end = self._at(node.lineno, node.col_offset), self._at(node.lineno, node.end_col_offset)
        was = self.text.encode()[start:end].decode()
        if isinstance(node.value, bool):
            self.found.append((node.lineno, start, end, was, str(not node.value)))
        elif isinstance(node.value, float) and node.value not in (0.0,):
            self.found.append((node.lineno, start, end, was, f"({was} * 1.1)"))
        elif whole and isinstance(node.value, int) and node.value > 2:
            self.found.append((node.lineno, start, end, was, str(node.value + 1)))

    def visit_BinOp(self, node: ast.BinOp) -> None:
        """Swap a sign."""
        self._between(node.left, node.right, type(node.op))
        self.generic_visit(node)

    def visit_Compare(self, node: ast.Compare) -> None:
        """Turn a comparison round."""
        self._between(node.left, node.comparators[0], type(node.ops[0]))
        self.generic_visit(node)

    def visit_BoolOp(self, node: ast.BoolOp) -> None:
        """Swap and with or."""
        self._between(node.values[0], node.values[1], type(node.op))
        self.generic_visit(node)

    def visit_Name(self, node: ast.Name) -> None:
        """Swap the lesser with the greater, a sine with a cosine."""
        if node.id in NAMES:
            start = self._at(node.lineno, node.col_offset)
            self.found.append((node.lineno, start, start + len(node.id), node.id, NAMES[node.id]))

    def visit_FunctionDef(self, node: ast.FunctionDef) -> None:
        """Go into a function's body and defaults, past decorators and annotations."""
        for default in (*node.args.defaults, *(one for one in node.args.kw_defaults if one)):
            self.visit(default)
        for part in node.body:
            self.visit(part)

    def visit_AnnAssign(self, node: ast.AnnAssign) -> None:
        """Go into the value only."""
        if node.value is not None:
            self.visit(node.value)

    def visit_ClassDef(self, node: ast.ClassDef) -> None:
        """Go into a class's body, past what it is made by."""
        for part in node.body:
            self.visit(part)

    def visit_JoinedStr(self, node: ast.JoinedStr) -> None:
        """Leave what is said alone."""


def mutants(seed: int, count: int, only: str) -> Iterator[Mutant]:
    """Draw places, as many of each room and none twice: the same for the same seed and sources."""
    rnd = random.Random(seed)
    rooms, drawn = [only] if only else list(ROOMS), set[Mutant]()
    while len(drawn) < count:
        room = rooms[len(drawn) % len(rooms)]
        file = rnd.choice(sorted((SOURCE / room).rglob("*.py")))
        places = _Places(file.read_text(encoding="utf-8"))
        places.visit(ast.parse(places.text))
        left = [mutant for place in places.found if (mutant := Mutant(room, file, *place)) not in drawn]
        if left:
            drawn.add(mutant := rnd.choice(left))
            yield mutant


@dataclass(frozen=True)
class Kept:
    """A place that was tried: the change, "" where its line is gone, and the test that notices it or why none can."""

    said: str
    mutant: Mutant | None
    by: str
    same: str


def kept_places(only: str) -> Iterator[Kept]:
    """Read them."""
    for place in tomllib.loads(PLACES.read_text(encoding="utf-8"))["place"]:
        room = place["file"].partition("/")[0]
        if not only or only == room:
            said = f"{place['file']}: {place['was']} -> {place['now']}"
            yield Kept(said, _found(room, place), place.get("by", ""), place.get("same", ""))


def _found(room: str, place: dict[str, Any]) -> Mutant | None:
    """Find a place by its line, the ``which``-th that reads so, and what is changed there, which the line has once."""
    file = SOURCE / place["file"]
    lines = file.read_bytes().splitlines(keepends=True) if file.exists() else []
    alike = [number for number, line in enumerate(lines) if line.decode().strip() == place["line"]]
    which = place.get("which", 1) - 1
    if which >= len(alike) or place["line"].count(place["was"]) != 1:
        return None
    before = b"".join(lines[: alike[which]])
    start = len(before) + lines[alike[which]].find(place["was"].encode())
    end = start + len(place["was"].encode())
    return Mutant(room, file, alike[which] + 1, start, end, place["was"], place["now"])


@cache
def loaded_by(file: Path) -> frozenset[Path]:
    """Return the files of the program, and of what tests share, that a file loads itself."""
    names = set[str]()
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {part.name for part in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            names |= {node.module, *(f"{node.module}.{part.name}" for part in node.names)}
    found = set[Path]()
    for name in names:
        for root in (SOURCE.parent, ROOT / "tests" / "shared", file.parent):
            place = root.joinpath(*name.split("."))
            found |= {one for one in (place.with_suffix(".py"), place / "__init__.py") if one.is_file()}
    return frozenset(found)


def far(test: Path, file: Path) -> int:
    """Return over how many imports a test reaches a file."""
    reached, steps = {test}, 0
    while file not in reached:
        more = frozenset[Path]().union(*map(loaded_by, reached)) - reached
        if not more:
            return 99
        reached, steps = reached | more, steps + 1
    return steps


def asked_of(mutant: Mutant) -> list[tuple[Sequence[Path | str], str]]:
    """Return which tests are asked of a change, and which marks: near ones, others of its room, slow ones of both."""
    every = sorted(set((ROOT / "tests").rglob("test_*.py")) - set((ROOT / "tests" / "benchmarks").iterdir()))
    rooms = [ROOT / "tests" / name for name in ROOMS[mutant.room]]
    of_room = [test for room in rooms for test in every if test == room or room in test.parents]
    reach = {test: far(test, mutant.file) for test in every}
    near = [test for test in every if reach[test] <= NEAR]
    near.sort(key=lambda test: (reach[test], of_room.index(test) if test in of_room else len(every)))
    others = [test for test in dict.fromkeys(of_room) if test not in near]
    slow = [*(test for test in near if test in of_room or reach[test] == 1), *others]
    return [(near, "not slow"), (others, "not slow"), (slow, "slow")]


class Copy:
    """A copy of the sources, in one place so that what is kept of compiled code is found again."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        shutil.copytree(ROOT / "sim", folder / "sim", ignore=shutil.ignore_patterns("__pycache__"))
        for data in ("models", "scenarios"):
            (folder / data).symlink_to(ROOT / data)

    def caught(self, mutant: Mutant, by: str = "") -> str:
        """Return the test that notices a change, "" where none does; asked is one of them, or all that reach it."""
        file = self.folder / "sim" / "tipline" / mutant.file.relative_to(SOURCE)
        text, end = file.read_bytes(), time.monotonic() + LONGEST
        file.write_bytes(text[: mutant.start] + mutant.text.encode() + text[mutant.end :])
        try:
            for tests, marks in [([by], "")] if by else asked_of(mutant):
                failed = self._failed(tests, marks, mutant.room == "kernels", end) if tests else ""
                if failed:
                    return failed
            return ""
        finally:
            file.write_bytes(text)

    def _failed(self, tests: Sequence[Path | str], marks: str, compiles: bool, end: float) -> str:
        """Return which of the tests fails first, "" where none does."""
        surroundings = os.environ | {
            "PYTHONPATH": str(self.folder / "sim"),
            "PYTHONPYCACHEPREFIX": str(self.folder / "read"),
            "PYTHONDONTWRITEBYTECODE": "",
        }
        if compiles:
            surroundings["XDG_CACHE_HOME"] = str(self.folder / "cache")
        words = [sys.executable, "-m", "pytest", "-q", "-x", "-p", "no:cacheprovider", "-m", marks]
        try:
            done = subprocess.run(
                [*words, *map(str, tests)],
                cwd=ROOT, env=surroundings, capture_output=True, text=True, check=False,
                timeout=max(end - time.monotonic(), 1.0),
            )  # fmt: skip
        except subprocess.TimeoutExpired:
            return UNDECIDED
        if done.returncode in (0, 5):
            return ""
        told = [line for line in done.stdout.splitlines() if line.startswith(("FAILED", "ERROR"))]
        return told[0] if told else f"pytest ended with {done.returncode}"


def ask_kept(only: str) -> None:
    """Ask of each place that was tried the test that noticed it, and count."""
    places, noticed = list(kept_places(only)), 0
    with tempfile.TemporaryDirectory() as folder:
        copy = Copy(Path(folder))
        for place in places:
            by = copy.caught(place.mutant, place.by) if place.mutant and place.by else ""
            noticed += by not in ("", UNDECIDED)
            why = f"changes nothing: {place.same}" if place.same else "SURVIVED"
            print(f"{place.said}\n    {by or (why if place.mutant else 'ITS LINE IS GONE')}", flush=True)
    same = sum(bool(place.same) for place in places)
    print(f"{noticed} of {len(places)} noticed, {same} change nothing")


def main() -> None:
    """Run them and print what came of each."""
    asked = argparse.ArgumentParser(description="spoil single places and see whether the tests notice")
    asked.add_argument("--seed", type=int, default=7)
    asked.add_argument("--count", type=int, default=60)
    asked.add_argument("--only", default="", choices=("", *ROOMS))
    asked.add_argument("--list", action="store_true")
    asked.add_argument("--kept", action="store_true", help="ask those that were tried of the test that noticed them")
    asked.add_argument("--log", type=Path, help="file that keeps what came of each")
    asked.add_argument("--most", type=int, default=10_000, help="how many are tried now")
    told = asked.parse_args()
    if told.kept:
        ask_kept(told.only)
        return
    drawn = list(mutants(told.seed, told.count, told.only))
    if told.list:
        print("\n".join(f"{number:3} {mutant}" for number, mutant in enumerate(drawn, start=1)))
        return
    known = dict(map(json.loads, told.log.read_text().splitlines())) if told.log and told.log.exists() else {}
    left = [mutant for mutant in drawn if str(mutant) not in known]
    with tempfile.TemporaryDirectory() as folder:
        copy = Copy(Path(folder))
        for mutant in left[: told.most]:
            known[str(mutant)] = by = copy.caught(mutant)
            print(f"{mutant}\n    {by or 'SURVIVED'}", flush=True)
            if told.log:
                with told.log.open("a", encoding="utf-8") as log:
                    log.write(json.dumps((str(mutant), by)) + "\n")
    results = [known[str(mutant)] for mutant in drawn if str(mutant) in known]
    noticed = sum(by not in ("", UNDECIDED) for by in results)
    print(f"{noticed} of {len(results)} noticed, {results.count(UNDECIDED)} without an end")


if __name__ == "__main__":
    main()
