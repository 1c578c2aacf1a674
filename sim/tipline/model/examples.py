"""How a value of a file is written, by example: from the type of the field that reads it."""

from __future__ import annotations

import types
from collections.abc import Sequence
from typing import Annotated, Any, Literal, Union, get_args, get_origin

import annotated_types
from pydantic import BaseModel
from pydantic.fields import FieldInfo

from tipline.model.quantities import Quantity
from tipline.model.words import Word

__all__ = ["example_of"]

_PLAIN = {str: '"..."', bool: "true", int: "1", float: "1.0"}
_FEW = 6
"""So many keys of a table are shown."""


def example_of(field: FieldInfo, steps: int = 0) -> str | None:
    """Return how the value of a field is written, or an entry so many lists further in; None where nothing tells it."""
    return _example(_inside(field.annotation, steps), field.metadata if steps == 0 else ())


def _inside(annotation: Any, steps: int) -> Any:
    """Return the type of an entry of lists."""
    while steps > 0:
        annotation = _only(annotation)
        parts = get_args(annotation)
        if get_origin(annotation) is not tuple or not parts:
            return None
        annotation, steps = parts[0], steps - 1
    return annotation


def _only(annotation: Any) -> Any:
    """Return a type without what is noted of it, and of several that are taken the first."""
    while get_origin(annotation) in (Annotated, Union, types.UnionType):
        annotation = get_args(annotation)[0]
    return annotation


def _example(annotation: Any, marks: Sequence[Any]) -> str | None:
    origin, parts = get_origin(annotation), get_args(annotation)
    if origin is Annotated:
        return _example(parts[0], [*parts[1:], *marks])
    if origin in (Union, types.UnionType):
        return _example(parts[0], marks)
    marked = _by_marks(marks)
    if marked is None and origin is tuple:
        return _list(parts, marks)
    if marked is None and origin is not None:
        return f'"{parts[0]}"' if origin is Literal else '{ "key" = "value" }'
    return marked or _plain(annotation, marks)


def _by_marks(marks: Sequence[Any]) -> str | None:
    quantity = next((mark for mark in marks if isinstance(mark, Quantity)), None)
    word = next((mark for mark in marks if isinstance(mark, Word)), None)
    return quantity.example() if quantity else f'"{word.choices[0]}"' if word else None


def _plain(annotation: Any, marks: Sequence[Any]) -> str | None:
    if annotation is int:
        return str(next((mark.ge for mark in marks if isinstance(mark, annotated_types.Ge)), 1))
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        keys = [f"{name} = ..." for name, field in annotation.model_fields.items() if field.is_required()]
        return "{ " + ", ".join(keys[:_FEW] or ["..."]) + " }"
    return _PLAIN.get(annotation)


def _list(parts: Sequence[Any], marks: Sequence[Any]) -> str | None:
    """Return how a list is written: all entries of one of fixed length, as many as are needed of any other, or two."""
    if len(parts) == 2 and parts[1] is Ellipsis:
        least = next((mark.min_length for mark in marks if isinstance(mark, annotated_types.MinLen)), 1)
        parts = [parts[0]] * max(1, min(least, 2))
    entries = [_example(part, ()) for part in parts]
    return None if None in entries else "[" + ", ".join(str(entry) for entry in entries) + "]"
