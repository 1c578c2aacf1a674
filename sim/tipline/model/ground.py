"""Bare ground: layers of soil by word or by numbers, a granular platform on top, the water table."""

from __future__ import annotations

import math
from typing import Annotated, Literal

from pydantic import Field

from tipline.model.areas import Answered
from tipline.model.quantities import (
    Absent,
    BearingRatio,
    NonNegativeLength,
    PositiveLength,
    PositivePressure,
    Pressure,
    Quantity,
    Spec,
    SubgradeReaction,
    UnitWeight,
)
from tipline.model.words import NOT_KNOWN, Below, SoilWord

__all__ = ["Ground", "PlateTest", "Platform", "SoilLayer"]

SoilFriction = Annotated[float, Quantity("angle", least=0.0, most=math.radians(50))]


class PlateTest(Spec):
    """One reading of a plate-load test: how far a stiff round plate sank under a pressure."""

    pressure: PositivePressure
    sinking: PositiveLength
    diameter: PositiveLength


class SoilNumbers(Spec):
    """Soil by word, or by numbers that stand over it; ``undrained_strength`` is for short loading of clay and silt."""

    soil: SoilWord = NOT_KNOWN
    undrained_strength: PositivePressure | None = None
    cohesion: Pressure | None = None
    friction_angle: SoilFriction | None = None
    unit_weight: UnitWeight | None = None
    stiffness: PositivePressure | None = None


class SoilLayer(SoilNumbers):
    """One layer, the top one first; without a thickness it goes on down."""

    thickness: PositiveLength | None = None


class Platform(SoilNumbers):
    """Granular fill laid on the ground to work from."""

    thickness: PositiveLength


class Ground(Answered):
    """Ground that tyres or spreaders stand on directly."""

    kind: Literal["ground"]
    below: Below = "soil"
    layer: tuple[SoilLayer, ...] = Field(min_length=1, max_length=20)
    platform: Platform | None = None
    cbr: BearingRatio | None = None
    subgrade_reaction: SubgradeReaction | None = None
    plate_test: PlateTest | None = None
    water_table: Annotated[NonNegativeLength | None, Absent("a band")] = None
