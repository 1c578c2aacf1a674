"""Asphalt on a base on the soil, and what is known of its warmth."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from tipline.model.areas import Answered
from tipline.model.quantities import (
    Absent,
    BearingRatio,
    NonNegativeLength,
    PositiveLength,
    PositivePressure,
    PositiveTime,
    Spec,
    Temperature,
    Unless,
)
from tipline.model.words import NOT_KNOWN, Below, SoilWord, Word

__all__ = ["Asphalt", "Base", "IndentationReading"]

_BAND = "not given, a band stands in its place"


class Base(Spec):
    """The layer under the asphalt; ``stiffness`` is its modulus."""

    thickness: Annotated[PositiveLength | None, Absent(_BAND)] = None
    soil: SoilWord = NOT_KNOWN
    stiffness: Annotated[PositivePressure | None, Absent("by its soil, a band")] = None


class IndentationReading(Spec):
    """One reading of the user's own test: how deep a flat stamp had sunk after a time under a pressure."""

    after: PositiveTime
    depth: NonNegativeLength
    pressure: PositivePressure
    stamp_diameter: PositiveLength
    surface_temperature: Temperature


class Asphalt(Answered):
    """Asphalt; ``stiffness`` is its modulus at 20 degC under moving traffic.

    The surface's temperature, or the air's and whether the sun shines (shade: roofed or night). ``indentation`` holds
    the readings of one test.
    """

    kind: Literal["asphalt"]
    below: Below = "soil"
    thickness: Annotated[PositiveLength | None, Absent(_BAND)] = None
    stiffness: Annotated[PositivePressure | None, Absent(_BAND)] = None
    base: Base = Base()
    soil: SoilWord = NOT_KNOWN
    cbr: Annotated[BearingRatio | None, Absent("by the soil, a band")] = None
    surface_temperature: Annotated[Temperature | None, Absent(_BAND), Unless("air_temperature")] = None
    air_temperature: Temperature | None = None
    sun: Annotated[
        str,
        Word(("sun", "cloud", "shade", NOT_KNOWN), (("full sun", "sun"), ("night", "shade"))),
        Unless("surface_temperature"),
    ] = NOT_KNOWN
    indentation: tuple[IndentationReading, ...] = Field(default=(), max_length=200)
