"""The floor as data: slope, friction, zones in plan with what they are made of, spreaders on them, what they carried.

Where no zone lies the floor is what ``elsewhere`` says, and rigid when it says nothing. A cover or a hole may lie
within another zone and then counts there.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, Literal

from pydantic import Field

from tipline.model.areas import FrictionTable, Placed, SoilLaw, Surface
from tipline.model.asphalt import Asphalt
from tipline.model.cover import Cover
from tipline.model.ground import Ground
from tipline.model.machine import Origin
from tipline.model.past import PastLoad
from tipline.model.plane import Point, inside
from tipline.model.quantities import Angle, Flag, Meant, NonNegativeLength, PositiveLength, Setting, SlopeAngle, Spec
from tipline.model.slab import Slab, Suspended
from tipline.model.spreaders import Spreader

__all__ = [
    "OPENINGS",
    "AsphaltZone",
    "CoverZone",
    "Floor",
    "FrictionTable",
    "GroundZone",
    "HoleZone",
    "Material",
    "RigidZone",
    "SlabZone",
    "SoftZone",
    "SoilLaw",
    "SuspendedZone",
    "Zone",
]


OPENINGS = ("hole", "cover")
"""Kinds of zone that may lie within another."""


class Rigid(Surface):
    """A floor that does not give."""

    kind: Literal["rigid"]


class RigidZone(Placed, Rigid):
    """A part of the floor that does not give; ``depth`` is how far it lies below the rest."""

    depth: Annotated[NonNegativeLength, Setting()] = 0.0


class SoftZone(Placed, SoilLaw, Surface):
    """A part of the floor that yields under a tyre."""

    kind: Literal["soft"]


class HoleZone(Placed):
    """An open hole with a hard bottom."""

    kind: Literal["hole"]
    depth: PositiveLength


class SlabZone(Placed, Slab):
    """A concrete slab in a part of the floor."""


class SuspendedZone(Placed, Suspended):
    """A floor over a space, in a part of the floor."""


class AsphaltZone(Placed, Asphalt):
    """Asphalt in a part of the floor."""


class GroundZone(Placed, Ground):
    """Bare ground in a part of the floor."""


class CoverZone(Placed, Cover):
    """A cover over an opening in the floor."""


Zone = Annotated[
    RigidZone | SoftZone | HoleZone | SlabZone | SuspendedZone | AsphaltZone | GroundZone | CoverZone,
    Field(discriminator="kind"),
]
Material = Annotated[Rigid | Slab | Suspended | Asphalt | Ground, Field(discriminator="kind")]


class Floor(Spec):
    """One floor; ``slope_towards`` is the world angle towards which it falls, counter-clockwise from world x."""

    name: str = Field(min_length=1, max_length=100)
    title: str = Field(max_length=200)
    demo: Flag = False
    origin: Origin = "told"
    friction: FrictionTable = FrictionTable(solid=0.6, band=0.6, pneumatic=0.6)
    slope: SlopeAngle = 0.0
    slope_towards: Annotated[Angle, Setting()] = 0.0
    elsewhere: Material = Rigid(kind="rigid")
    zone: tuple[Zone, ...] = Field(default=(), max_length=200)
    spreader: tuple[Spreader, ...] = Field(default=(), max_length=200)
    past_load: tuple[PastLoad, ...] = Field(default=(), max_length=50)
    meant: Meant = ()
    origins: dict[str, str] = Field(default_factory=dict)

    @property
    def rigid(self) -> bool:
        """Whether it is rigid throughout, so that nothing can be asked of it."""
        return self.elsewhere.kind == "rigid" and not self.zone and not self.spreader

    def index_at(self, point: Point, among: Sequence[int] | None = None) -> int:
        """Return the place in the list of the zone at a point of the world plane, -1 = none.

        A cover or a hole counts before what it lies in, wherever it stands in the file. Nothing else may lie over
        another zone; where it does by a hair the earlier one counts. ``among``: places of those that alone can be
        there.
        """
        places = range(len(self.zone)) if among is None else among
        here = [index for index in places if inside(point, self.zone[index].corners)]
        return next((index for index in here if self.zone[index].kind in OPENINGS), here[0] if here else -1)

    def zone_at(self, point: Point) -> Zone | None:
        """Return the zone that `index_at` finds at a point; None = none."""
        index = self.index_at(point)
        return None if index < 0 else self.zone[index]

    def part_at(self, point: Point) -> Zone | Material:
        """Return what the floor is at a point of the world plane."""
        return self.zone_at(point) or self.elsewhere

    def carried(self, past: PastLoad) -> Zone | Material | None:
        """Return the part that a past load was on; None where no zone has the name."""
        if past.at is not None:
            return self.part_at(past.at)
        if past.zone is None:
            return self.elsewhere
        return next((zone for zone in self.zone if zone.name == past.zone), None)

    def key_of(self, part: Zone | Material) -> str:
        """Return the dotted key of a zone or of ``elsewhere``, under which ``origins`` holds its values."""
        return next((f"zone.{index}" for index, zone in enumerate(self.zone) if zone is part), "elsewhere")

    def friction_at(self, point: Point, kind: str) -> float:
        """Return the friction against a kind of tyre at a point of the world plane."""
        own = getattr(self.part_at(point), "friction", None) or self.friction
        return float(own.against(kind))
