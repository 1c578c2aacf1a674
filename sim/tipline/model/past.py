"""What of known weight has stood or driven on a floor: evidence about what it carries."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from tipline.model.quantities import (
    Count,
    Flag,
    PlanPoint,
    PositiveForce,
    PositiveMass,
    PositivePressure,
    Setting,
    Spec,
)

__all__ = ["PastLoad"]


class PastLoad(Spec):
    """A weight that the floor has carried on wheels: ``mass`` or ``load``, shared by a number of ``tyres``.

    The whole of a vehicle with all its tyres, or one axle with its own. The heaviest tyre carried at least an even
    share. ``pressure``: mean pressure under a tyre. ``at``: where it is known to have stood; without it, it counts as
    far from edges and joints. ``zone``: by name, where there is no ``at``; without both it was on the main floor.
    ``no_crack``: somebody looked afterwards and found none. ``times``: how often; one time is what counts.
    """

    name: str = Field(min_length=1, max_length=60)
    mass: Annotated[PositiveMass | None, Setting()] = None
    load: Annotated[PositiveForce | None, Setting()] = None
    tyres: Count = Field(ge=1, le=200)
    pressure: PositivePressure = 7e5
    zone: Annotated[str | None, Setting()] = None
    at: Annotated[PlanPoint | None, Setting()] = None
    times: Annotated[Count, Setting()] = Field(default=1, ge=1)
    no_crack: Annotated[Flag, Setting()] = False
