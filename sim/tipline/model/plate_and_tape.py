"""What people hold of a truck: its capacity plate, a weighbridge ticket, a tape, a packing list; all of it optional."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from tipline.model.quantities import (
    Count,
    NonNegativeLength,
    PositiveLength,
    PositiveMass,
    PositiveSpeed,
    Quantity,
    Setting,
    Spec,
)

__all__ = ["PlateAndTape"]

Sag = Annotated[float, Quantity("angle", above=0.0, most=0.1)]
MaybeMass = Annotated[PositiveMass | None, Setting()]
MaybeLength = Annotated[PositiveLength | None, Setting()]


class PlateAndTape(Spec):
    """A truck by plate, own weight, axle loads and tape; what is left out is filled in within a band.

    ``rated_extension`` and ``rated_slabs`` are those of the plate's row; ``weighed_extension`` and ``weighed_slabs``
    how it stood when it was weighed, without a load, its forks on. Tracks are measured between the middles of the outer
    tyres, ``fork_face`` and ``rear_end`` from the middle of the drive axle, counterweight home.
    """

    rated_load: MaybeMass = None
    rated_load_centre: MaybeLength = None
    lift_height: MaybeLength = None
    rated_extension: Annotated[NonNegativeLength | None, Setting()] = None
    rated_slabs: Count | None = Field(default=None, ge=0, le=50)

    own_weight: MaybeMass = None
    drive_axle_load: MaybeMass = None
    steer_axle_load: MaybeMass = None
    weighed_extension: Annotated[NonNegativeLength | None, Setting()] = None
    weighed_slabs: Count | None = Field(default=None, ge=0, le=50)

    wheelbase: MaybeLength = None
    drive_track: MaybeLength = None
    steer_track: MaybeLength = None
    drive_tyres: Count | None = Field(default=None, ge=2, le=4, multiple_of=2)
    tyre_kind: Annotated[Literal["solid", "band", "pneumatic"] | None, Setting()] = None
    drive_tyre_diameter: MaybeLength = None
    drive_tyre_width: MaybeLength = None
    steer_tyre_diameter: MaybeLength = None
    steer_tyre_width: MaybeLength = None
    steer_axle_kind: Annotated[Literal["pivoting", "fixed"] | None, Setting()] = None
    fork_face: MaybeLength = None
    fork_length: MaybeLength = None
    rear_end: MaybeLength = None
    width: MaybeLength = None
    guard_height: MaybeLength = None
    lowered_mast_height: MaybeLength = None
    mast_stages: Count | None = Field(default=None, ge=1, le=5)

    counterweight_mass: MaybeMass = None
    counterweight_stroke: Annotated[NonNegativeLength | None, Setting()] = None
    counterweight_step: MaybeLength = None
    slab_mass: MaybeMass = None
    slabs_most: Count | None = Field(default=None, ge=0, le=50)
    jib_mass: MaybeMass = None
    jib_reach: Annotated[tuple[PositiveLength, ...] | None, Setting()] = Field(default=None, max_length=40)
    jib_rise: Annotated[tuple[PositiveLength, ...] | None, Setting()] = Field(default=None, max_length=40)

    top_speed: Annotated[PositiveSpeed | None, Setting()] = None
    own_height_of_centre: MaybeLength = None
    mast_mass: MaybeMass = None
    mast_sag: Annotated[Sag | None, Setting()] = None
    chosen: dict[str, float] = Field(default_factory=dict)
