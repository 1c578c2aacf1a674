"""Steel plates and timber mats that spread a tyre's load: as laid on a floor, and as held in a stock."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from tipline.model.machine import Origin
from tipline.model.quantities import (
    Angle,
    Count,
    Flag,
    Friction,
    Meant,
    PlanPoint,
    PlanSize,
    PositiveLength,
    Setting,
    Spec,
)
from tipline.model.words import NOT_KNOWN, Word

__all__ = [
    "Spreader",
    "SteelGrade",
    "SteelPlate",
    "Stock",
    "StockItem",
    "StockMat",
    "StockPlate",
    "TimberGrade",
    "TimberMat",
]

SteelGrade = Annotated[str, Word(("S235", "S275", "S355", NOT_KNOWN), (("unknown", NOT_KNOWN),))]
TimberGrade = Annotated[str, Word(("C24", "D30", "D40", NOT_KNOWN), (("unknown", NOT_KNOWN),))]


class _Sheet(Spec):
    name: str = Field(min_length=1, max_length=60)
    size: PlanSize
    thickness: PositiveLength


class _Steel(_Sheet):
    kind: Literal["steel_plate"]
    grade: SteelGrade = NOT_KNOWN
    friction: Friction = 0.2
    friction_below: Friction = 0.2


class _Timber(_Sheet):
    kind: Literal["timber_mat"]
    grade: TimberGrade = NOT_KNOWN
    joined: Annotated[str, Word(("glued", "bolted", "loose", NOT_KNOWN))] = NOT_KNOWN
    worn: Flag = False
    friction: Friction = 0.3
    friction_below: Friction = 0.3


class _Laid(Spec):
    at: Annotated[PlanPoint, Setting()]
    heading: Annotated[Angle, Setting()] = 0.0


class SteelPlate(_Laid, _Steel):
    """A flat steel plate laid with its middle ``at`` a point, its first side along ``heading``.

    ``friction`` is that of a tyre on it, ``friction_below`` that of it on the floor; the defaults are for wet steel.
    """


class TimberMat(_Laid, _Timber):
    """A timber mat laid with its middle ``at`` a point; its first side, along ``heading``, is along the grain.

    ``joined`` says whether its timbers share a load; ``worn`` halves its stiffness.
    """


class StockPlate(_Steel):
    """A kind of steel plate held in stock."""

    count: Count = Field(ge=0, le=10_000)


class StockMat(_Timber):
    """A kind of timber mat held in stock; the first side is along the grain."""

    count: Count = Field(ge=0, le=10_000)


Spreader = Annotated[SteelPlate | TimberMat, Field(discriminator="kind")]
StockItem = Annotated[StockPlate | StockMat, Field(discriminator="kind")]


class Stock(Spec):
    """A list of the plates and mats at hand."""

    name: str = Field(min_length=1, max_length=100)
    title: str = Field(max_length=200)
    demo: Flag = False
    origin: Origin = "told"
    item: tuple[StockItem, ...] = Field(min_length=1, max_length=200)
    meant: Meant = ()
    origins: dict[str, str] = Field(default_factory=dict)

    @property
    def called(self) -> str:
        """What it is called on a page: its title, marked where it is invented."""
        return f"{self.title} (DEMO)" if self.demo else self.title
