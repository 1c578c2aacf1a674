"""What every part of a floor has: a place in plan, friction, and what others have said it may carry."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

from pydantic import Field, GetJsonSchemaHandler, model_validator
from pydantic_core import core_schema

from tipline.model.plane import Outline, rectangle
from tipline.model.quantities import (
    Angle,
    Area,
    Friction,
    PlanPoint,
    PlanSize,
    PositiveForce,
    PositiveLength,
    PositivePressure,
    PositiveSpeed,
    PressureGradient,
    Quantity,
    Setting,
    Spec,
)

if TYPE_CHECKING:
    from pydantic.json_schema import JsonSchemaValue

__all__ = ["Answered", "FrictionTable", "Placed", "PostedLoad", "SoilLaw", "Surface"]

PostedLoad = Annotated[float, Quantity("areal_load", above=0.0, most=2.5e5)]
"""A load posted on a floor, spread over all of it; more than 250 kPa (about 5200 psf) is a slip of the unit."""


class FrictionTable(Spec):
    """Friction of the floor against each kind of tyre; one number stands for all three."""

    solid: Friction
    band: Friction
    pneumatic: Friction

    @model_validator(mode="before")
    @classmethod
    def _for_all_kinds(cls, value: Any) -> Any:
        if isinstance(value, str) or (isinstance(value, int | float) and not isinstance(value, bool)):
            return {"solid": value, "band": value, "pneumatic": value}
        return value

    @classmethod
    def __get_pydantic_json_schema__(
        cls, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        """Allow one number, with or without an origin, in place of the table."""
        whole = handler(schema)
        table = handler.resolve_ref_schema(whole)
        as_written = dict(table)
        table.clear()
        table["anyOf"] = [as_written, *as_written["properties"]["solid"]["anyOf"]]
        return whole

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


class Placed(Spec):
    """A rectangle (corner, size, heading about the corner) or an outline, in the world plane."""

    name: str = Field(min_length=1, max_length=60)
    corner: Annotated[PlanPoint | None, Setting()] = None
    size: Annotated[PlanSize | None, Setting()] = None
    heading: Annotated[Angle, Setting()] = 0.0
    outline: Annotated[tuple[PlanPoint, ...] | None, Setting()] = Field(default=None, max_length=200)

    @property
    def corners(self) -> Outline:
        """The outline, or the corners of the rectangle, in the world plane [m]; empty where neither is given."""
        if self.outline is not None:
            return self.outline
        return () if self.corner is None or self.size is None else rectangle(self.corner, self.size, self.heading)


class Surface(Spec):
    """A part of the floor whose friction may differ from the rest: left out, the floor's own."""

    friction: FrictionTable | None = None


class Answered(Surface):
    """What is posted on a floor, and the wheel load that whoever answers for it has allowed.

    ``allowed_wheel_load`` holds for patches of ``allowed_wheel_patch`` or more; ``allowed_by`` says who answered.
    """

    posted: PostedLoad | None = None
    allowed_wheel_load: PositiveForce | None = None
    allowed_wheel_patch: Area | None = None
    allowed_by: str = Field(default="", max_length=200)
