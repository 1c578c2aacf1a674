"""A concrete floor slab as it is known: what it is made of, what is under it, its joints, edges and cavities."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from tipline.model.areas import Answered
from tipline.model.ground import PlateTest
from tipline.model.quantities import (
    Absent,
    Angle,
    BearingRatio,
    NonNegativeLength,
    PlanPoint,
    PlanSize,
    PositiveLength,
    PositivePressure,
    Quantity,
    Setting,
    Spec,
    SteelArea,
    SubgradeReaction,
    Unless,
    Year,
)
from tipline.model.words import NOT_KNOWN, Below, ConcreteStrength, Reinforcement, SoilWord, Word

__all__ = ["Cavity", "FreeEdge", "Joint", "Slab", "Suspended"]

Line = Annotated[tuple[PlanPoint, ...], Field(min_length=2, max_length=50)]
SlabThickness = Annotated[float, Quantity("length", least=0.05, most=2.0)]
_Transfer = Annotated[float, Quantity("ratio", least=0.0, most=1.0)]
_Opening = Annotated[float, Quantity("length", least=0.0, most=0.02)]
_BAND = "not given, a band stands in its place"


class Joint(Spec):
    """A joint along a line in the world plane.

    ``load_transfer`` is the part of the deflection that reaches the other side: deflection there over deflection here.
    Where it is not known, ``opening``, how wide the crack under a contraction joint stands open, tells of it.
    """

    kind: Literal["contraction", "construction", "isolation"]
    line: Annotated[Line, Setting()]
    load_transfer: Annotated[_Transfer | None, Absent(_BAND), Unless("opening")] = None
    opening: _Opening | None = None


class FreeEdge(Spec):
    """An edge of the slab with no slab beyond it, along a line in the world plane."""

    line: Annotated[Line, Setting()]


class Cavity(Spec):
    """Ground that does not touch the slab: a circle (``radius``) or a rectangle (``size``, ``heading``) about ``at``.

    ``depth`` is how far the ground lies below the slab there.
    """

    name: str = Field(default="cavity", min_length=1, max_length=60)
    at: PlanPoint
    radius: PositiveLength | None = None
    size: PlanSize | None = None
    heading: Annotated[Angle, Setting()] = 0.0
    depth: Annotated[PositiveLength | None, Absent(_BAND)] = None


class Slab(Answered):
    """A concrete slab. ``concrete`` is the cylinder strength, as specified or as cored.

    ``steel_area`` is that of the lower mesh or bars one way, per width, ``steel_depth`` how deep its middle lies under
    the top; ``fibre_residual`` the tension in bending that fibres hold after the crack.

    ``plate_test`` was made on the ground before the slab, and stands for ``subgrade_reaction``.

    ``below`` is what is under it; ``built`` and ``information_from`` are years. ``joints`` and ``cavities`` say
    whether the lists of them are complete; ``outer_edge`` what the rim of the zone is.
    """

    kind: Literal["slab"]
    below: Below
    thickness: Annotated[SlabThickness | None, Absent(_BAND)] = None
    concrete: Annotated[ConcreteStrength | None, Absent(_BAND)] = None
    built: Annotated[Year | None, Absent(NOT_KNOWN)] = None
    information_from: Annotated[Year | None, Setting()] = None
    reinforcement: Reinforcement = NOT_KNOWN
    steel_area: SteelArea | None = None
    steel_depth: PositiveLength | None = None
    steel_yield: PositivePressure | None = None
    fibre_residual: PositivePressure | None = None
    soil: SoilWord = NOT_KNOWN
    cbr: BearingRatio | None = None
    subgrade_reaction: Annotated[
        SubgradeReaction | None, Absent("by the soil, a band"), Unless("cbr"), Unless("plate_test")
    ] = None
    plate_test: PlateTest | None = None
    joints: Annotated[str, Word(("all told", NOT_KNOWN))] = NOT_KNOWN
    outer_edge: Annotated[str, Word(("free", "joined", NOT_KNOWN))] = NOT_KNOWN
    cavities: Annotated[str, Word(("surveyed", "not looked for"))] = "not looked for"
    joint: tuple[Joint, ...] = Field(default=(), max_length=200)
    edge: tuple[FreeEdge, ...] = Field(default=(), max_length=200)
    cavity: tuple[Cavity, ...] = Field(default=(), max_length=200)


class Suspended(Answered):
    """A floor that spans over a space: it gets no strength from us."""

    kind: Literal["suspended"]
    below: Annotated[str, Word(("basement, tunnel, pit or duct", NOT_KNOWN))] = NOT_KNOWN
    thickness: Annotated[SlabThickness | None, Absent(NOT_KNOWN)] = None
    span: Annotated[PositiveLength | None, Absent(NOT_KNOWN)] = None
    drop: Annotated[NonNegativeLength | None, Absent(NOT_KNOWN)] = None
