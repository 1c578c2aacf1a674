"""Whose answers rest on what a check computes: found as the check runs, and in the sources of the commands.

What a check calls itself is noted while it runs. Its number stands for the answer of a command if that command can come
to all of it. What only `oracles` define is no command's: it is a second route, that answers are held against in tests.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Collection, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache, partial, wraps
from pathlib import Path
from types import FrameType
from typing import Any, ParamSpec, TypeVar

from tipline import oracles
from tipline.selftest.sources import Definition, Sources

__all__ = ["COMMANDS", "UsedBy", "called", "kept", "reached_by", "used_by"]

COMMANDS = ("check", "run", "floor", "slopes", "loads", "fit", "start")
"""The commands that answer; a sweep and an export rest on what `run` rests on."""
_PACKAGE = "tipline"
_HERE = f"{_PACKAGE}.selftest"
_ORACLES = f"{_PACKAGE}.oracles."
_noted: list[set[Definition]] = []
Hook = Callable[[FrameType, Any, Any], object]
_P = ParamSpec("_P")
_R = TypeVar("_R")


@dataclass(frozen=True)
class UsedBy:
    """The commands whose answers rest on a check's number; of an oracle those whose answers meet it in a test."""

    commands: tuple[str, ...]
    oracle: bool
    tests: tuple[str, ...] = ()


@contextmanager
def called() -> Iterator[set[Definition]]:
    """Give the set of definitions of the program that the self-test calls itself, filled as it does."""
    calls: set[Definition] = set()
    _noted.append(calls)
    before = sys.getprofile()
    sys.setprofile(partial(_note, before))
    try:
        yield calls
    finally:
        sys.setprofile(before)
        _noted.pop()


def kept(function: Callable[_P, _R]) -> Callable[_P, _R]:
    """Keep what a function gave for its arguments, together with what it called to find it."""
    results: dict[object, tuple[_R, set[Definition]]] = {}

    @wraps(function)
    def again(*args: _P.args, **more: _P.kwargs) -> _R:
        arguments = args, tuple(more.items())
        if arguments not in results:
            with called() as calls:
                results[arguments] = function(*args, **more), calls
        value, calls = results[arguments]
        for noted in _noted:
            noted.update(calls)
        return value

    again.cache_clear = results.clear  # type: ignore[attr-defined]
    return again


def used_by(calls: Collection[Definition]) -> UsedBy:
    """Say whose answers rest on what a check called."""
    of_program = {definition for definition in calls if not definition[0].startswith(_ORACLES)}
    if of_program:
        return UsedBy(tuple(name for name in COMMANDS if of_program <= reached_by(name)), oracle=False)
    met = [
        use for module, name in sorted(calls) for use in oracles.MET.get(f"{module.removeprefix(_ORACLES)}.{name}", ())
    ]
    commands = {command for command, _ in met}
    tests = tuple(dict.fromkeys(test for _, test in met))
    return UsedBy(tuple(name for name in COMMANDS if name in commands), oracle=True, tests=tests)


@cache
def reached_by(command: str) -> frozenset[Definition]:
    """Return every definition that a command can come to from its own file of the command line."""
    return frozenset(_sources().reached([(f"{_PACKAGE}.cli.{command}", command)]))


@cache
def _sources() -> Sources:
    return Sources(Path(__file__).parents[1])


def _note(before: Hook | None, frame: FrameType, event: str, what: Any) -> None:
    if before is not None:
        before(frame, event, what)
    if event != "call" or frame.f_back is None:
        return
    module = _of(frame)
    if module.startswith(f"{_PACKAGE}.") and not module.startswith(_HERE) and _of(frame.f_back).startswith(_HERE):
        name = frame.f_code.co_qualname.split(".<")[0]
        if not name.rsplit(".", 1)[-1].startswith(("__", "<")):
            _noted[-1].add((module, name))


def _of(frame: FrameType) -> str:
    name: str = frame.f_globals.get("__name__", "")
    return name
