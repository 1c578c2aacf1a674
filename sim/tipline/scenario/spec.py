"""The scenario as data: set-up, events in time, what is expected, how long it runs.

Directions of slope, wind, push and swing are azimuths [rad] from the truck's heading: 0 ahead, 90 deg left.
A slope's azimuth is where the floor falls to; a wind's is where the wind comes from.
"""

from __future__ import annotations

from math import pi
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, WithJsonSchema

from tipline.endings import now
from tipline.model.floor import SoilLaw
from tipline.model.load import LiftedLoad
from tipline.model.machine import Attachment, Origin
from tipline.model.quantities import (
    Absent,
    Angle,
    AngularSpeed,
    Area,
    Count,
    Flag,
    Length,
    Meant,
    NonNegativeLength,
    NonNegativeSpeed,
    PlanPoint,
    PlanSize,
    PositiveAcceleration,
    PositiveForce,
    PositiveLength,
    PositiveSpeed,
    PositiveTime,
    Quantity,
    Setting,
    SlopeAngle,
    Spec,
    Speed,
    Time,
)

__all__ = [
    "Breakthrough",
    "CounterweightMove",
    "Defects",
    "DriveEvent",
    "Event",
    "Expect",
    "FloorTurns",
    "LoadShed",
    "Lower",
    "Neighbour",
    "OutcomeTable",
    "PedalLift",
    "Push",
    "Raise",
    "Ramp",
    "RunSettings",
    "Scenario",
    "ServiceStop",
    "Setup",
    "SoftPlace",
    "Swing",
    "Threshold",
    "TiltMove",
    "Turn",
    "TyreDefect",
    "Wind",
]

TruckWord = Literal["down", "down, too light to steer", "tyre-lifted", "tyre-off", "resting", "over", "undecided"]
TruckOutcome = Annotated[TruckWord, BeforeValidator(now)]
LoadOutcome = Literal["kept", "slid", "dropped", "none"]
FloorOutcome = Literal["held", "sank", "broke"]
BodyName = Literal["chassis", "axle", "mast", "carriage", "counterweight", "load"]


def _as_tuple(value: Any) -> Any:
    return (value,) if isinstance(value, str) else value


_NAMES = {"type": "array", "items": {"type": "string"}, "minItems": 1, "maxItems": 16}
Under = Annotated[
    tuple[str, ...],
    BeforeValidator(_as_tuple),
    Field(min_length=1, max_length=16),
    WithJsonSchema({"anyOf": [{"type": "string"}, _NAMES]}),
]


RampSlope = Annotated[float, Quantity("slope", above=0.0, most=0.4636476)]


Share = Annotated[float, Quantity("ratio", above=0.0, most=5.0), Setting()]
StopAngle = Annotated[float | None, Quantity("angle", above=0.0, most=0.5), Setting()]


class TyreDefect(Spec):
    """What is wrong with one tyre.

    ``worn`` is off its radius beyond what the machine file says; ``stiffness`` the part of its own that is left, of one
    that has lost pressure; ``burst``: it stands on what a burst leaves of its rubber.
    """

    name: str = Field(min_length=1, max_length=60)
    worn: Annotated[NonNegativeLength, Setting()] = 0.0
    stiffness: Share = 1.0
    burst: Flag = False


class Defects(Spec):
    """What is wrong with the machine, as hypotheses or as found; what nothing is said of is as the machine file has it.

    ``stop_left``, ``stop_right``: the angle at which a worn or missing stop of the steer axle is met as the frame rolls
    to that side. ``braking``: the part of what the drive is told to brake by that it does; ``braking_rise``: within
    what time it comes on. ``lift_leak``, ``tilt_leak``: at what speed carriage and mast come down and forward.
    ``steering_off``: by what angle the wheels run off to the left of where they are steered.
    """

    tyre: tuple[TyreDefect, ...] = Field(default=(), max_length=16)
    stop_left: StopAngle = None
    stop_right: StopAngle = None
    braking: Share = 1.0
    braking_rise: Annotated[PositiveTime | None, Setting()] = None
    lift_leak: Annotated[PositiveSpeed | None, Setting()] = None
    tilt_leak: Annotated[AngularSpeed | None, Setting()] = None
    steering_off: Annotated[float | None, Quantity("angle", least=-0.18, most=0.18), Setting()] = None


class Setup(Spec):
    """How the truck stands at time zero; ``speed`` is forward, ``slope`` left out means the floor's own."""

    position: Annotated[PlanPoint, Setting()] = (0.0, 0.0)
    heading: Annotated[Angle, Setting()] = 0.0
    counterweight_extension: NonNegativeLength = 0.0
    ballast_slabs: Count = Field(default=0, ge=0)
    attachment: Attachment
    jib_reach: Annotated[PositiveLength | None, Setting()] = None
    jib_rise: Length | None = None
    fork_height: Annotated[NonNegativeLength | None, Setting()] = None
    hook_height: Annotated[PositiveLength | None, Setting()] = None
    tilt: Angle = 0.0
    speed: Annotated[Speed, Setting()] = 0.0
    slope: Annotated[SlopeAngle | None, Setting()] = None
    slope_towards: Annotated[Angle | None, Setting()] = None
    defects: Defects | None = None


class _Timed(Spec):
    at: Time


class Breakthrough(_Timed):
    """The floor gives way under tyres: a hole of ``depth``; ``over`` is the time the floor takes to drop."""

    kind: Literal["breakthrough"]
    under: Under
    depth: PositiveLength
    hole: PlanSize = (0.6, 0.6)
    over: Annotated[Time, Setting()] = 0.0


class SoftPlace(SoilLaw):
    """A yielding place under tyres."""

    kind: Literal["soft_place"]
    at: Annotated[Time, Setting()] = 0.0
    under: Under
    size: PlanSize


class DriveEvent(_Timed):
    """Drive to a speed, forward positive."""

    kind: Literal["drive"]
    speed: Speed
    acceleration: Annotated[PositiveAcceleration | None, Setting()] = None


class ServiceStop(_Timed):
    """Brake to standstill with the service brake."""

    kind: Literal["service_stop"]
    deceleration: Annotated[PositiveAcceleration | None, Setting()] = None


class PedalLift(_Timed):
    """Let go of the drive pedal: the hydrostatic drive brakes the truck."""

    kind: Literal["pedal_lift"]
    deceleration: Annotated[PositiveAcceleration | None, Setting()] = None


class Turn(_Timed):
    """Steer into a turn of a radius, from its middle to the middle of the drive axle; ``over``: time of steering."""

    kind: Literal["turn"]
    radius: Annotated[PositiveLength | None, Setting()] = None
    towards: Literal["left", "right", "ahead"]
    over: Annotated[Time, Setting()] = 0.5

    @property
    def curve(self) -> float:
        """Curvature [1/m] of the way, to the left positive."""
        if self.radius is None or self.towards == "ahead":
            return 0.0
        return (1.0 if self.towards == "left" else -1.0) / self.radius


class FloorTurns(_Timed):
    """The floor turns to a slope, within a time or at a rate."""

    kind: Literal["floor_turns"]
    slope: SlopeAngle
    towards: Angle
    over: Annotated[PositiveTime | None, Setting()] = None
    rate: Annotated[AngularSpeed | None, Setting()] = None


class Ramp(Spec):
    """A ramp in the floor, there from the start: from an edge on it goes up or down evenly, then on level again.

    ``begins`` is how far its edge lies from the middle of the drive axle at the start, ``towards`` the azimuth in which
    the ramp runs from there (180 degrees: behind the truck), ``length`` its length on the level.
    """

    kind: Literal["ramp"]
    begins: PositiveLength
    slope: RampSlope
    goes: Annotated[Literal["up", "down"], Setting()] = "up"
    towards: Annotated[Angle, Setting()] = 0.0
    length: Annotated[PositiveLength, Setting()] = 20.0


class Threshold(Spec):
    """What stands out of the floor, there from the start, and is driven over: a threshold, a rail, a cover.

    ``begins``: how far its near edge lies from the middle of the drive axle at the start; ``towards``: in which azimuth
    from there; ``length`` along it, ``width`` across it; ``left_of``: how far its middle lies to the left of the way.
    """

    kind: Literal["threshold"]
    begins: PositiveLength
    height: Annotated[float, Quantity("length", above=0.0, most=0.15)]
    towards: Annotated[Angle, Setting()] = 0.0
    length: Annotated[PositiveLength, Setting()] = 0.1
    width: Annotated[PositiveLength, Setting()] = 20.0
    left_of: Annotated[Length, Setting()] = 0.0


class _Lifting(_Timed):
    to: NonNegativeLength
    speed: Annotated[PositiveSpeed | None, Setting()] = None
    stop: Annotated[Time | None, Setting()] = None

    @property
    def stopping(self) -> float:
        """How long stopping takes [s]; 0.3 s where nothing is said (our choice: a lever let go without haste)."""
        return 0.3 if self.stop is None else self.stop


class Raise(_Lifting):
    """Raise the carriage until the fork height (hook height on a jib) is ``to``; ``stop`` is the stopping time."""

    kind: Literal["raise"]


class Lower(_Lifting):
    """Lower the carriage until the fork height (hook height on a jib) is ``to``; ``stop`` is the stopping time."""

    kind: Literal["lower"]


class TiltMove(_Timed):
    """Tilt the mast to an angle, back positive."""

    kind: Literal["tilt"]
    to: Angle
    speed: Annotated[AngularSpeed | None, Setting()] = None


class CounterweightMove(_Timed):
    """Slide the counterweight to an extension."""

    kind: Literal["counterweight"]
    to: NonNegativeLength
    speed: Annotated[PositiveSpeed | None, Setting()] = None


class Wind(_Timed):
    """Wind from an azimuth, rising over a time; ``area`` is the area that faces it."""

    kind: Literal["wind"]
    speed: NonNegativeSpeed
    from_azimuth: Angle
    area: Annotated[Area | None, Absent("from the outline of truck and load")] = None
    over: Annotated[Time, Setting()] = 0.0


class Push(_Timed):
    """A force on the centre of one part, level or ``down`` from that, rising over a time, gone at once at its end.

    ``lasts`` counts from its begin; left out means to the end.
    """

    kind: Literal["push"]
    at_part: BodyName
    force: PositiveForce
    direction: Angle
    down: Annotated[float, Quantity("angle", least=-0.5 * pi, most=0.5 * pi), Setting()] = 0.0
    over: Annotated[Time, Setting()] = 0.0
    lasts: Annotated[PositiveTime | None, Setting()] = None


class Swing(Spec):
    """The hung load starts displaced by an angle towards an azimuth, at rest, at time zero."""

    kind: Literal["swing"]
    angle: Annotated[float, Quantity("angle", above=0.0, most=1.2)]
    towards: Angle


class LoadShed(_Timed):
    """The lifted load comes off at once."""

    kind: Literal["load_shed"]


Event = Annotated[
    Breakthrough
    | SoftPlace
    | DriveEvent
    | ServiceStop
    | PedalLift
    | Turn
    | FloorTurns
    | Ramp
    | Threshold
    | Raise
    | Lower
    | TiltMove
    | CounterweightMove
    | Wind
    | Push
    | Swing
    | LoadShed,
    Field(discriminator="kind"),
]


class Neighbour(Spec):
    """Nearby settings (keys as in ``--set``) and the outcome they lead to."""

    set: dict[str, str] = Field(min_length=1)
    truck: TruckOutcome | None = None
    lifted_load: LoadOutcome | None = None
    floor: FloorOutcome | None = None
    because: str = ""


class Expect(Spec):
    """The outcome that is expected, and why; tests hold the scenario to it."""

    truck: TruckOutcome
    lifted_load: LoadOutcome | None = None
    floor: FloorOutcome | None = None
    lead: str | None = None
    direction: str | None = None
    because: str
    neighbour: Neighbour | None = None


class OutcomeTable(Spec):
    """Outcomes over two settings (keys as in ``--set``), each cell a run of its own."""

    row: str
    rows: tuple[str, ...] = Field(min_length=1, max_length=12)
    column: str
    columns: tuple[str, ...] = Field(min_length=1, max_length=12)


class RunSettings(Spec):
    """How long it runs; ``extend_to`` caps the extension of one that is undecided or not at rest.

    ``stand``: how long the truck has stood there before time zero, for ground that yields or creeps. ``spread``: in how
    many runs values are drawn from what is not known of them, 0 for none.
    """

    duration: Annotated[float, Quantity("time", above=0.0, most=600.0), Setting()] = 8.0
    time_step: Annotated[float, Quantity("time", least=1e-4, most=5e-3), Setting()] = 1e-3
    extend_to: Annotated[float, Quantity("time", above=0.0, most=600.0), Setting()] = 30.0
    record_every: Annotated[Count, Setting()] = Field(default=1, ge=1, le=1000)
    stand: Annotated[float, Quantity("time", least=0.0, most=604800.0), Setting()] = 0.0
    spread: Annotated[Count | None, Setting()] = Field(default=None, ge=0, le=500)


class Scenario(Spec):
    """What happens, to which machine, on which floor; ``machine`` and ``floor`` are names or paths."""

    title: str = Field(min_length=1, max_length=200)
    origin: Origin = "told"
    machine: str
    floor: str
    setup: Setup
    load: LiftedLoad | None = None
    event: tuple[Event, ...] = Field(default=(), max_length=200)
    table: OutcomeTable | None = None
    expect: Expect | None = None
    run: RunSettings = RunSettings()
    meant: Meant = ()
    file: Path | None = None
    origins: dict[str, str] = Field(default_factory=dict)
