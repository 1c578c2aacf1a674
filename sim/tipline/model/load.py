"""The lifted load as data."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from tipline.model.quantities import (
    Absent,
    Friction,
    Mass,
    NonNegativeLength,
    PlanPoint,
    PositiveLength,
    PositiveMass,
    Setting,
    Size,
    Spec,
    Unless,
)

__all__ = ["LiftedLoad"]

_AT_THE_FORK_FACE = Absent("with the load's back against the fork face")


class LiftedLoad(Spec):
    """What is lifted: size is length, width, height; its centre from the middle of the plan, and above the underside.

    ``hung_by`` is the rope from the hook to the top of the load, none on the forks. ``lightest`` and ``heaviest`` are
    what it may weigh where nobody knows it better; else that goes by how its weight is known.
    """

    mass: PositiveMass
    weight_from: Literal["told", "drawing", "plate", "weighed", "assumed", "demo"] = "assumed"
    lightest: Annotated[PositiveMass | None, Setting()] = None
    heaviest: Annotated[PositiveMass | None, Setting()] = None
    size: Size
    centre_offset: PlanPoint = (0.0, 0.0)
    height_of_centre: NonNegativeLength
    rigging_weight: Mass = 0.0
    hung_by: Annotated[PositiveLength | None, Setting()] = None
    load_centre: Annotated[PositiveLength | None, _AT_THE_FORK_FACE, Unless("hung_by")] = None
    on_forks: Annotated[Literal["fixed", "free"], Setting()] = "fixed"
    friction_on_forks: Annotated[Friction, Unless("hung_by")] = 0.3
    origins: dict[str, str] = Field(default_factory=dict)
