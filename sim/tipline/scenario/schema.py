"""JSON Schemas of the files people write, for editors that check while one types."""

from __future__ import annotations

from typing import Any

from tipline.model.floor import Floor
from tipline.model.machine import Machine
from tipline.model.quantities import Spec
from tipline.model.shipped import Kind
from tipline.model.spreaders import Stock
from tipline.scenario.spec import Scenario

__all__ = ["schema"]

_SPECS: dict[Kind, type[Spec]] = {"machine": Machine, "floor": Floor, "stock": Stock, "scenario": Scenario}


def schema(kind: Kind) -> dict[str, Any]:
    """Return the JSON Schema of a machine, floor, stock or scenario file."""
    made = _SPECS[kind].model_json_schema()
    for name in ("origins", "file"):
        made["properties"].pop(name, None)
        for part in made.get("$defs", {}).values():
            part.get("properties", {}).pop(name, None)
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", "title": f"{kind} file", **made}
