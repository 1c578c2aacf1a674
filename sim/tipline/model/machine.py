"""The truck as data: what a machine file holds, in SI.

Truck frame: x forward, y to the left, z up; origin on the floor under the drive-axle centre.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from tipline.model.plate_and_tape import PlateAndTape
from tipline.model.quantities import (
    Absent,
    AngularSpeed,
    Count,
    DampingRatio,
    Flag,
    Friction,
    Inertia,
    Length,
    Mass,
    Meant,
    Moment,
    NonNegativeLength,
    Point,
    PositiveAcceleration,
    PositiveForce,
    PositiveLength,
    PositiveMass,
    PositivePressure,
    PositiveSpeed,
    PositiveTime,
    Pressure,
    Quantity,
    Setting,
    Size,
    Spec,
    Stiffness,
    TiltAngle,
    TorsionStiffness,
    Unless,
)

__all__ = [
    "BallastSlab",
    "CapacityPlate",
    "Carriage",
    "Chassis",
    "Counterweight",
    "Drive",
    "DriveAxle",
    "Forks",
    "Jib",
    "Machine",
    "Mast",
    "MastSection",
    "SagReading",
    "SteerAxle",
    "Tyre",
    "TyreReading",
    "Weighing",
]

SignedSlope = Annotated[float, Quantity("slope", least=-0.35, most=0.35)]
Origin = Literal["measured", "cored", "plate", "drawing", "told", "assumed", "demo"]
Attachment = Literal["forks", "jib", "none"]
TyreKind = Literal["solid", "band", "pneumatic"]
_FROM_SOLIDS = Absent("from the drawn solids")
_FROM_SECTIONS = Absent("from the sections of its stages")


class Tyre(Spec):
    """One tyre; ``across`` is the y of its middle, left positive.

    ``diameter`` and ``rubber_thickness`` are those of the new tyre, ``wear`` what is worn off its radius; a machine
    that was read holds what is left, and no wear. ``lost`` is what one tyre alone has lost of its radius: its hub stays
    where the others hold it, and the truck leans to it.
    """

    name: str = Field(min_length=1, max_length=60)
    across: Length
    diameter: PositiveLength
    width: PositiveLength
    rubber_thickness: PositiveLength
    wear: Annotated[NonNegativeLength, Setting()] = 0.0
    lost: Annotated[NonNegativeLength, Setting()] = 0.0
    kind: TyreKind = "solid"
    stiffness: Annotated[Stiffness | None, Absent("from the rubber's size and modulus")] = None
    rated_load: PositiveForce
    rubber_modulus: Annotated[PositivePressure, Unless("stiffness")] = 5e6
    inflation: Annotated[Pressure | None, Setting()] = None
    damping_ratio: DampingRatio = 0.05
    friction: Annotated[Friction | None, Setting()] = None


class Chassis(Spec):
    """The frame with everything fixed to it; x of its ends in the truck frame."""

    mass: PositiveMass
    centre: Annotated[Point | None, _FROM_SOLIDS] = None
    front: Length
    rear: Length
    width: PositiveLength
    belly_clearance: PositiveLength
    deck_height: PositiveLength
    guard_height: PositiveLength
    guard_front: Length
    guard_rear: Length


class DriveAxle(Spec):
    """The tyres under the load, driven and braked; ``wheel_inertia`` is that of one tyre with its wheel."""

    tyre: tuple[Tyre, ...] = Field(min_length=2, max_length=8)
    wheel_inertia: Annotated[Inertia | None, Absent("from the tyre's size")] = None


class SteerAxle(Spec):
    """The tyres behind; the axle swings on a pivot up to a stop, or is fixed to the frame.

    ``stop`` is met on both sides, as the frame rolls left and right; ``stop_right`` where the right one is another.
    """

    kind: Literal["pivoting", "fixed"]
    mass: PositiveMass
    tyre: tuple[Tyre, ...] = Field(min_length=2, max_length=8)
    pivot_height: PositiveLength
    stop: Annotated[TiltAngle | None, Setting()] = None
    stop_right: Annotated[TiltAngle | None, Setting()] = None
    frame_torsion_stiffness: Annotated[TorsionStiffness | None, Setting()] = None

    @property
    def stops(self) -> tuple[float, float]:
        """The stops that the frame meets as it rolls left and right [rad]; 0 without."""
        left = self.stop or 0.0
        return left, left if self.stop_right is None else self.stop_right


class Counterweight(Spec):
    """The sliding counterweight at home: ``centre``; it slides back over ``stroke`` in steps."""

    mass: PositiveMass
    centre: Point
    size: Size
    stroke: NonNegativeLength = 0.0
    step: Annotated[PositiveLength | None, Setting()] = None
    speed: PositiveSpeed = 0.05


class BallastSlab(Spec):
    """One removable weight; the lowest one's centre with the counterweight at home."""

    mass: PositiveMass
    size: Size
    most: Count = Field(ge=0, le=50)
    first_centre: Point


class MastSection(Spec):
    """The two channels of one stage of the mast, both alike, over all, and the ties between them.

    ``depth`` is that fore and aft on the truck; ``tie_spacing`` goes from the middle of one tie to that of the next.
    """

    depth: PositiveLength
    flange: PositiveLength
    web: PositiveLength
    flange_thickness: PositiveLength
    tie_spacing: PositiveLength


class Mast(Spec):
    """The mast, lowered and upright; ``face`` is the x of the front of its channels.

    Its two stiffnesses and the height of the joint they act in are given, or ``section``: the channels of each stage,
    the outermost first, one for all. ``overlap`` is how far neighbouring stages still run in each other with the forks
    at the top, between their rollers; ``tilt_cylinder_height`` where the cylinders hold the outermost one.
    """

    mass: PositiveMass
    centre: Annotated[Point | None, _FROM_SOLIDS] = None
    stages: Count = Field(ge=1, le=5)
    face: Length
    foot_height: PositiveLength
    lowered_height: PositiveLength
    top_fork_height: PositiveLength
    width: PositiveLength
    channel_depth: PositiveLength
    tilt_back: TiltAngle
    tilt_forward: TiltAngle
    tilt_axis: tuple[Length, Length]
    joint_height: Annotated[PositiveLength | None, _FROM_SECTIONS] = None
    stiffness_fore_aft: Annotated[TorsionStiffness | None, _FROM_SECTIONS] = None
    stiffness_sideways: Annotated[TorsionStiffness | None, _FROM_SECTIONS] = None
    section: tuple[MastSection, ...] = Field(default=(), max_length=5)
    overlap: Annotated[
        PositiveLength | None, Absent("from the heights of its stages"), Unless("stiffness_fore_aft")
    ] = None
    tilt_cylinder_height: Annotated[PositiveLength | None, Absent("as drawn"), Unless("stiffness_fore_aft")] = None
    stiffness_twist: TorsionStiffness = 2e6
    roller_play: TiltAngle = 0.0
    chain_stiffness: Stiffness = 8e6
    lift_speed: PositiveSpeed = 0.2
    lower_speed: PositiveSpeed = 0.2
    tilt_speed: AngularSpeed = 0.02
    largest_moment: Annotated[Moment | None, Setting()] = None


class Carriage(Spec):
    """The plate that rides in the mast; ``face`` is the x of the fork face with no tilt.

    ``largest_moment`` is that of the gross load, and of a jib, about the fork face; a mast's about the front of its
    channels.
    """

    mass: PositiveMass
    width: PositiveLength
    height: PositiveLength
    face: Length
    largest_moment: Annotated[Moment | None, Setting()] = None


class Forks(Spec):
    """Both forks together; ``spread`` is the distance between their centre lines.

    ``rated_load`` is what is stamped on each of them, at ``rated_load_centre``.
    """

    mass: PositiveMass
    length: PositiveLength
    width: PositiveLength
    thickness: PositiveLength
    spread: PositiveLength
    rated_load: Annotated[PositiveMass | None, Setting()] = None
    rated_load_centre: Annotated[PositiveLength | None, Setting()] = None


class Jib(Spec):
    """The boom on the carriage: hook out from the fork face, and above the fork height, on pins."""

    mass: PositiveMass
    reach_pins: tuple[PositiveLength, ...] = Field(min_length=1, max_length=40)
    rise_pins: tuple[Length, ...] = Field(min_length=1, max_length=40)
    section: PositiveLength


class Drive(Spec):
    """How the truck drives and stops; decelerations on level floor."""

    top_speed: PositiveSpeed
    service_deceleration: PositiveAcceleration
    pedal_lift_deceleration: PositiveAcceleration
    rise_time: PositiveTime = 0.3
    pedal_lift_rise_time: PositiveTime = 0.15
    parking_brake_force: PositiveForce
    acceleration: PositiveAcceleration = 0.5


class CapacityPlate(Spec):
    """One row of the capacity plate."""

    attachment: Attachment
    load_centre: NonNegativeLength
    load: PositiveMass
    height: Annotated[PositiveLength | None, Setting()] = None
    extension: Annotated[NonNegativeLength | None, Setting()] = None
    slabs: Count | None = Field(default=None, ge=0, le=50)
    note: str = ""


class TyreReading(Spec):
    """What a scale under one tyre read."""

    name: str = Field(min_length=1, max_length=60)
    load: Mass


class Weighing(Spec):
    """Scale readings of the truck in one set-up; ``load_centre`` out from the fork face.

    On a level floor with all tyres at one height, unless ``slope`` says how it falls ahead (behind below 0), or
    ``steer_axle_raised`` by how much the steer tyres stand higher. ``accuracy`` is that of one reading.
    """

    drive_axle: Annotated[Mass | None, Setting()] = None
    steer_axle: Annotated[Mass | None, Setting()] = None
    total: Annotated[Mass | None, Setting()] = None
    extension: Annotated[NonNegativeLength | None, Setting()] = None
    slabs: Count | None = Field(default=None, ge=0, le=50)
    attachment: Attachment = "none"
    lifted_load: Annotated[Mass | None, Setting()] = None
    load_centre: Annotated[NonNegativeLength | None, Setting()] = None
    tyre: tuple[TyreReading, ...] = Field(default=(), max_length=16)
    slope: Annotated[SignedSlope | None, Setting()] = None
    steer_axle_raised: Annotated[NonNegativeLength | None, Setting()] = None
    accuracy: Annotated[PositiveMass | None, Setting()] = None
    note: str = ""


class SagReading(Spec):
    """How far the hook, or the load on the forks, moved ahead as a load went up: mast upright, on a level floor."""

    lifted_load: PositiveMass
    attachment: Literal["forks", "jib"]
    load_centre: PositiveLength
    from_height: NonNegativeLength
    to_height: PositiveLength
    moved_ahead: Length
    extension: Annotated[NonNegativeLength | None, Setting()] = None
    slabs: Count | None = Field(default=None, ge=0, le=50)
    accuracy: Annotated[PositiveLength | None, Setting()] = None
    note: str = ""


class Machine(Spec):
    """One truck. ``origin`` holds for every value that has none of its own in ``origins``.

    With ``plate_and_tape`` all that a file leaves out is filled in from it.
    """

    name: str = Field(min_length=1, max_length=100)
    title: str = Field(max_length=200)
    demo: Flag = False
    origin: Origin = "told"
    plate_and_tape: PlateAndTape | None = None
    wheelbase: PositiveLength
    chassis: Chassis
    drive_axle: DriveAxle
    steer_axle: SteerAxle
    counterweight: Counterweight
    ballast_slab: BallastSlab | None = None
    mast: Mast
    carriage: Carriage
    forks: Forks | None = None
    jib: Jib | None = None
    drive: Drive
    capacity_plate: tuple[CapacityPlate, ...] = ()
    weighings: tuple[Weighing, ...] = ()
    sags: tuple[SagReading, ...] = ()
    meant: Meant = ()
    origins: dict[str, str] = Field(default_factory=dict)
