"""Types of the values in files that are words, or a concrete strength told in words."""

from __future__ import annotations

import difflib
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any

from pydantic import GetJsonSchemaHandler
from pydantic_core import core_schema

from tipline.mechanics.soils import SOILS, soil_class
from tipline.model.quantities import ORIGINS, Quantity, refuse_value

if TYPE_CHECKING:
    from pydantic.annotated_handlers import GetCoreSchemaHandler
    from pydantic.json_schema import JsonSchemaValue

__all__ = [
    "BELOW",
    "COVER_CLASSES",
    "GRANULAR",
    "NOT_KNOWN",
    "UNDER_IT",
    "Below",
    "ConcreteStrength",
    "CoverClass",
    "Reinforcement",
    "SoilWord",
    "Word",
]

NOT_KNOWN = "not known"

GRANULAR = ("medium sand", "dense sand", "loose gravel", "compacted gravel", "crushed rock", "compacted fill")
"""Soils a platform can be built of."""

UNDER_IT = "basement, tunnel, pit or duct"
BELOW = ("soil", UNDER_IT, NOT_KNOWN)
REINFORCEMENTS = ("none", "mesh", "fibre", "bars", NOT_KNOWN)
COVER_CLASSES = ("A15", "B125", "C250", "D400", "E600", "F900", NOT_KNOWN)


@dataclass(frozen=True)
class Word:
    """One word or short phrase out of a list; capitals and blanks do not count, an unknown one suggests the nearest."""

    choices: tuple[str, ...]
    also: tuple[tuple[str, str], ...] = ()

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> core_schema.CoreSchema:
        """Read text that is one of the choices."""
        return core_schema.no_info_plain_validator_function(self._read)

    def __get_pydantic_json_schema__(
        self, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        """List the choices; a word may stand in a table with its origin."""
        word: JsonSchemaValue = {"enum": list(self.choices)}
        table = {
            "type": "object",
            "properties": {"value": word, "origin": {"enum": list(ORIGINS)}},
            "required": ["value"],
            "additionalProperties": False,
        }
        return {"anyOf": [word, table]}

    def listed(self) -> str:
        """Return the choices in one line."""
        return "; ".join(self.choices)

    def remedy(self) -> str:
        """Say what may be written."""
        return f"Use one of: {self.listed()}"

    def _read(self, value: object) -> str:
        known = {choice.casefold(): choice for choice in self.choices} | dict(self.also)
        if not isinstance(value, str):
            refuse_value("must be text in quotes", self.remedy())
        word = known.get(" ".join(value.split()).casefold())
        if word is None:
            near = difflib.get_close_matches(value.casefold()[:60], known, n=1, cutoff=0.5)
            hint = f', did you mean "{known[near[0]]}"?' if near else ""
            refuse_value(f"not one of the choices{hint}", self.remedy())
        return word


@dataclass(frozen=True)
class _Soil(Word):
    """A word for a soil, or another word that people use for one."""

    def _read(self, value: object) -> str:
        try:
            return soil_class(value).name if isinstance(value, str) else super()._read(value)
        except ValueError:
            return super()._read(value)


@dataclass(frozen=True)
class _ConcreteStrength(Quantity):
    """Compressive strength of a concrete cylinder [Pa]; ``"C25/30"`` is a class: 25 MPa cylinder, 30 MPa cube."""

    def _number(self, value: object, *, bare: bool) -> float:
        if isinstance(value, str) and value.strip()[:1] in {"C", "c"}:
            return _class_strength(value)
        return super()._number(value, bare=bare)

    def _example(self) -> str:
        return '"4000 psi", "C25/30" or "30 MPa" (cylinder strength)'


_CLASS = re.compile(r"C\s*([0-9]{1,3})\s*/\s*([0-9]{1,3})", re.ASCII | re.IGNORECASE)


def _class_strength(text: str) -> float:
    match = _CLASS.fullmatch(text.strip())
    if match is None:
        refuse_value(
            "not a strength class: one has two figures, cylinder and cube",
            'Write it like "C25/30", or a cylinder strength such as "25 MPa"',
        )
    cylinder, cube = int(match[1]), int(match[2])
    if not cylinder < cube <= 1.35 * cylinder:
        refuse_value(
            "not a strength class: the second figure, the cube's, is a fifth to a quarter above the first",
            'Write it like "C25/30"',
        )
    return cylinder * 1e6


_UNKNOWN = (("unknown", NOT_KNOWN), ("don't know", NOT_KNOWN), ("?", NOT_KNOWN))
_UNDER = tuple((word, UNDER_IT) for word in ("basement", "cellar", "tunnel", "pit", "duct", "crawl space", "deck"))

Below = Annotated[str, Word(BELOW, (*_UNKNOWN, *_UNDER, ("ground", "soil")))]
SoilWord = Annotated[str, _Soil((*SOILS, NOT_KNOWN), _UNKNOWN)]
Reinforcement = Annotated[str, Word(REINFORCEMENTS, (*_UNKNOWN, ("fiber", "fibre")))]
CoverClass = Annotated[str, Word(COVER_CLASSES, _UNKNOWN)]
ConcreteStrength = Annotated[float, _ConcreteStrength("pressure", least=8e6, most=9e7)]
