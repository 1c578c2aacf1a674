"""Every value that a file may hold: its key, another value of it, and whether an answer takes notice."""

from __future__ import annotations

import re
import types
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import fields, is_dataclass
from itertools import islice
from math import radians
from typing import Annotated, Any, Literal, NamedTuple, Union, get_args, get_origin

import numpy as np
from pydantic import BaseModel
from pydantic.fields import FieldInfo

from tipline.errors import InputErrors, TiplineError
from tipline.model.quantities import Quantity
from tipline.model.words import Word

NOUGHT = {
    "length": (0.1, 0.02, -0.1), "mass": (80.0,), "speed": (0.5,), "time": (0.3, 3600.0), "angle": (0.2, 0.03, -0.03),
    "slope": (0.02,), "ratio": (0.1,), "pressure": (1e4,), "pressure_gradient": (1e6,),
}  # fmt: skip
"""What a value of nought is changed to, in SI."""
SHARES = (1.2, 0.8, 1.05, 1.5, 0.5)


class Leaf(NamedTuple):
    """A value in a spec: its pattern (as `patterns`), its dotted key, the value, and how its field is declared."""

    pattern: str
    key: str
    value: Any
    marks: tuple[Any, ...]


def bare(annotation: Any) -> Any:
    """Return a type without what is noted beside it."""
    while get_origin(annotation) is Annotated:
        annotation = get_args(annotation)[0]
    return annotation


def kind_of(spec: type[BaseModel]) -> str:
    """Return the kind that a spec is one of, in brackets; "" for one that has no kind of its own."""
    field = spec.model_fields.get("kind")
    words = () if field is None else get_args(bare(field.annotation))
    return f"[{words[0]}]" if len(words) == 1 else ""


def patterns(annotation: Any, at: str = "") -> Iterator[str]:
    """Yield the keys that a type takes: ``*`` for each of a list, the kind of a table in brackets behind its key."""
    annotation = bare(annotation)
    if get_origin(annotation) in (Union, types.UnionType):
        for one in get_args(annotation):
            if one is not type(None):
                yield from patterns(one, at)
    elif get_origin(annotation) is tuple:
        inside = get_args(annotation)
        for index, one in enumerate(inside[:1] if inside[-1] is Ellipsis else inside):
            yield from patterns(one, f"{at}.*" if inside[-1] is Ellipsis else f"{at}.{index}")
    elif isinstance(annotation, type) and issubclass(annotation, BaseModel):
        start = f"{at}{kind_of(annotation)}"
        for name, field in annotation.model_fields.items():
            if not (name == "kind" and kind_of(annotation)):
                yield from patterns(field.annotation, f"{start}.{name}" if start else name)
    else:
        yield at


def leaves(spec: BaseModel, pattern: str = "", key: str = "") -> Iterator[Leaf]:
    """Yield the values of a spec that are there, of a list all entries."""
    start = f"{pattern}{kind_of(type(spec))}"
    for name, field in type(spec).model_fields.items():
        inner = f"{start}.{name}" if start else name
        yield from _within(getattr(spec, name), field, inner, f"{key}.{name}" if key else name)


def _within(value: Any, field: FieldInfo, pattern: str, key: str) -> Iterator[Leaf]:
    if value is None:
        return
    if isinstance(value, BaseModel):
        yield from leaves(value, pattern, key)
    elif isinstance(value, tuple):
        many = _listed(field, pattern)
        for index, entry in enumerate(value):
            yield from _within(entry, field, f"{pattern}.{'*' if many else index}", f"{key}.{index}")
    else:
        yield Leaf(pattern, key, value, tuple(_marks(field)))


def _listed(field: FieldInfo, pattern: str) -> bool:
    """Whether the entries of a tuple field are a list of any length."""
    return any(one.startswith(f"{pattern}.*") for one in patterns(field.annotation, _stem(pattern)))


def _stem(pattern: str) -> str:
    """Return a pattern without what lies within its last field."""
    parts = pattern.split(".")
    while parts[-1] == "*" or parts[-1].isdigit():
        parts.pop()
    return ".".join(parts)


def _marks(node: Any) -> Iterator[Any]:
    if isinstance(node, FieldInfo):
        yield from node.metadata
        yield from _marks(node.annotation)
        return
    yield from getattr(node, "__metadata__", ())
    if get_origin(node) is Literal:
        yield node
    for part in get_args(node) if get_origin(node) is not Literal else ():
        yield from _marks(part)


def others(leaf: Leaf, names: Sequence[str] = ()) -> Iterator[Any]:
    """Yield other values, clearly apart from the own one, as a change takes them; ``names`` for a text."""
    value = leaf.value
    yield from names
    if isinstance(value, bool):
        yield str(not value).lower()
    elif isinstance(value, int):
        yield from (value + 1, value - 1, 2 * value + 3) if value > 0 else (value + 1, value + 2)
    elif isinstance(value, float):
        quantity = next(mark for mark in leaf.marks if isinstance(mark, Quantity))
        yield from (NOUGHT.get(quantity.dimension, ()) if value == 0.0 else (value * share for share in SHARES))
        if quantity.dimension == "temperature":
            yield from (value + 15.0, value - 15.0)
        if quantity.dimension == "angle":
            yield from (value + radians(30.0), value - radians(30.0))
    else:
        words = [mark for mark in leaf.marks if isinstance(mark, Word)]
        choices = [one for mark in leaf.marks if get_origin(mark) is Literal for one in get_args(mark)]
        yield from (one for one in (*words[0].choices,) if one != value) if words else ()
        yield from (one for one in choices if one != value)
        if isinstance(value, str) and not words and not choices:
            yield f"{value} 2"


def plain(node: Any) -> Any:
    """Return an answer as something that can be compared and takes no notice of how its numbers were written."""
    if isinstance(node, np.ndarray):
        return node.shape, node.tobytes()
    if isinstance(node, Mapping):
        return tuple((str(name), plain(entry)) for name, entry in node.items())
    if is_dataclass(node) and not isinstance(node, type):
        return tuple(plain(getattr(node, field.name)) for field in fields(node) if field.compare)
    if isinstance(node, tuple | list):
        return tuple(plain(entry) for entry in node)
    if isinstance(node, float | int | str | bytes | type(None)):
        return repr(node)
    return ""


Answer = Callable[[Any], Any]


class Base:
    """Inputs, and what is worked out from them, each when it is first asked for; ``names`` are other values by key."""

    def __init__(
        self,
        name: str,
        read: Callable[[dict[str, Any]], Any],
        changes: Mapping[str, Any],
        names: Mapping[str, Sequence[Any]],
    ) -> None:
        self.name, self.names, self._read, self._changes = name, names, read, dict(changes)
        self.inputs = read(self._changes)
        self._answers: dict[str, Any] = {}

    def noticed(self, leaf: Leaf, start: str, answers: Mapping[str, Answer], most: int | None = None) -> bool:
        """Whether one of the answers takes notice of another value, or what else stands there is refused for it.

        most: how many other values are tried; left out, all
        """
        refused = False
        for value in islice(others(leaf, self.names.get(leaf.pattern, ())), most):
            key = f"{start}{leaf.key}"
            try:
                changed = self._read({**self._changes, key: value})
                if any(self._differs(name, answer, changed) for name, answer in answers.items()):
                    return True
            except InputErrors as error:
                refused = refused or not any(key.startswith(problem.key or "") for problem in error.problems)
            except TiplineError:
                continue
        return refused

    def other(self, leaf: Leaf, start: str) -> Any | None:
        """Return the inputs with the first other value that can be read, None where there is none."""
        for value in others(leaf, self.names.get(leaf.pattern, ())):
            with suppress(TiplineError, InputErrors):
                return self._read({**self._changes, f"{start}{leaf.key}": value})
        return None

    def _differs(self, name: str, answer: Answer, changed: Any) -> bool:
        if name not in self._answers:
            self._answers[name] = plain(answer(self.inputs))
        return bool(plain(answer(changed)) != self._answers[name])


def unnoticed(
    wanted: Iterable[str],
    bases: Iterable[Base],
    parts: Callable[[Any], Iterable[tuple[str, BaseModel]]],
    answers: Mapping[str, Answer],
    most: int | None = None,
) -> set[str]:
    """Return the patterns of which no base has a value that an answer takes notice of.

    parts: what of the inputs is looked through, and how its keys begin; of a list its first two entries are tried.
    most: how many other values of each are tried; left out, all
    """
    left = set(wanted)
    for base in bases:
        tried = Counter[str]()
        for start, spec in parts(base.inputs):
            for leaf in leaves(spec):
                pattern = same(leaf.pattern)
                if pattern in left and tried[pattern] < 2:
                    tried[pattern] += 1
                    left -= {pattern} if base.noticed(leaf, start, answers, most) else set()
    return left


def same(pattern: str) -> str:
    """Return one pattern for what is read alike: a zone and what the floor is elsewhere; friction against a kind."""
    pattern = pattern.replace("elsewhere[", "zone.*[")
    return re.sub(r"zone\.\*\[\w+\](\.friction\.(?:band|pneumatic))", r"zone.*\1", pattern)
