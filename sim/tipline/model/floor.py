"""The floor as data: slope, friction, and zones in plan that are rigid, soft or open."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from tipline.model.machine import Origin
from tipline.model.quantities import (
    Angle,
    Flag,
    Friction,
    NonNegativeLength,
    PlanPoint,
    PlanSize,
    PositiveLength,
    PositivePressure,
    PositiveSpeed,
    PressureGradient,
    Setting,
    SlopeAngle,
    Spec,
)

__all__ = ["Floor", "FrictionTable", "HoleZone", "RigidZone", "SoftZone", "SoilLaw", "Zone"]


class FrictionTable(Spec):
    """Friction of the floor against each kind of tyre; one number stands for all three."""

    solid: Friction
    band: Friction
    pneumatic: Friction

    @model_validator(mode="before")
    @classmethod
    def _spread(cls, value: Any) -> Any:
        if isinstance(value, str) or (isinstance(value, int | float) and not isinstance(value, bool)):
            return {"solid": value, "band": value, "pneumatic": value}
        return value

    def against(self, kind: str) -> float:
        """Return the friction against one kind of tyre."""
        return {"solid": self.solid, "band": self.band, "pneumatic": self.pneumatic}[kind]


class SoilLaw(Spec):
    """A yielding floor: pressure at which it starts to yield, its growth with depth, its rate, its bottom.

    ``rate_speed`` is the sinking speed at twice the yield pressure; ``most_depth`` is where it is hard again.
    """

    bearing_pressure: PositivePressure
    hardening: PressureGradient = 0.0
    rate_speed: PositiveSpeed = 0.01
    most_depth: PositiveLength = 0.5


class _Area(Spec):
    """A rectangle (corner, size, heading about the corner) or an outline, in the world plane."""

    name: str = Field(min_length=1, max_length=60)
    corner: Annotated[PlanPoint | None, Setting()] = None
    size: Annotated[PlanSize | None, Setting()] = None
    heading: Annotated[Angle, Setting()] = 0.0
    outline: Annotated[tuple[PlanPoint, ...] | None, Setting()] = Field(default=None, max_length=200)


class RigidZone(_Area):
    """A part of the floor that does not give; ``depth`` is how far it lies below the rest."""

    kind: Literal["rigid"]
    depth: Annotated[NonNegativeLength, Setting()] = 0.0


class SoftZone(_Area, SoilLaw):
    """A part of the floor that yields under a tyre."""

    kind: Literal["soft"]


class HoleZone(_Area):
    """An open hole with a hard bottom."""

    kind: Literal["hole"]
    depth: PositiveLength


Zone = Annotated[RigidZone | SoftZone | HoleZone, Field(discriminator="kind")]


class Floor(Spec):
    """One floor; ``slope_towards`` is the world angle towards which it falls, counter-clockwise from world x."""

    name: str = Field(min_length=1, max_length=100)
    title: str = Field(max_length=200)
    demo: Flag = False
    origin: Origin = "told"
    friction: FrictionTable = FrictionTable(solid=0.6, band=0.6, pneumatic=0.6)
    slope: SlopeAngle = 0.0
    slope_towards: Annotated[Angle, Setting()] = 0.0
    zone: tuple[Zone, ...] = Field(default=(), max_length=200)
    origins: dict[str, str] = Field(default_factory=dict)
