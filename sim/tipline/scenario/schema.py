"""JSON Schemas of the files people write, for editors that check while one types."""

from __future__ import annotations

from typing import Any

from tipline.errors import InputError, argument
from tipline.model.floor import Floor
from tipline.model.machine import Machine
from tipline.model.quantities import ORIGINS, Spec
from tipline.model.shipped import Kind
from tipline.model.spreaders import Stock
from tipline.scenario.incident import Incident
from tipline.scenario.lesson import Lesson
from tipline.scenario.spec import Scenario
from tipline.scenario.sweep import Sweep

__all__ = ["SPECS", "schema"]

SPECS: dict[Kind, type[Spec]] = {
    "machine": Machine,
    "floor": Floor,
    "stock": Stock,
    "scenario": Scenario,
    "sweep": Sweep,
    "incident": Incident,
    "lesson": Lesson,
}


def schema(kind: Kind) -> dict[str, Any]:
    """Return the JSON Schema of a kind of file: machine, floor, stock, scenario, sweep, incident or lesson.

    Raises
    ------
    InputError
        There is no such kind.

    Examples
    --------
    >>> import tipline
    >>> sorted(tipline.schema("sweep")["required"])
    ['method', 'scenario', 'title']
    """
    if kind not in SPECS:
        msg = "is no kind of file"
        raise InputError(msg, key=argument("kind"), value=repr(kind), remedy=f"Give one of {', '.join(SPECS)}")
    description = SPECS[kind].model_json_schema()
    for part in (description, *description.get("$defs", {}).values()):
        properties = part.get("properties", {})
        for name in ("origins", "file", "chosen"):
            properties.pop(name, None)
        for name, value in properties.items():
            properties[name] = _with_origin(value)
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", "title": f"{kind} file", **description}


def _with_origin(value: dict[str, Any]) -> dict[str, Any]:
    """Let a list of quantities, or of points, stand in a table with its origin as a single quantity may."""
    choices = value.get("anyOf", [value])
    array = next((choice for choice in choices if choice.get("type") == "array"), None)
    items = {} if array is None else {name: array[name] for name in ("items", "prefixItems") if name in array}
    text = repr(items)
    if "'origin'" not in text or "$ref" in text:
        return value
    table = {
        "type": "object",
        "properties": {"value": array, "origin": {"enum": list(ORIGINS)}},
        "required": ["value"],
        "additionalProperties": False,
    }
    about: dict[str, Any] = {name: value[name] for name in ("title", "default") if name in value}
    return about | {"anyOf": [*choices, table]}
