"""What a set-up or a route asks of a floor, over all that is not known, against two numbers."""

from tipline.assess.floor.alone import floor_alone
from tipline.assess.floor.answers import Answer, Area, FloorReport, Plan, Span, StressMap, TyreSheet, WheelSheet
from tipline.assess.floor.demand import demand, route
from tipline.model.plane import Outline, Point

__all__ = [
    "Answer",
    "Area",
    "FloorReport",
    "Outline",
    "Plan",
    "Point",
    "Span",
    "StressMap",
    "TyreSheet",
    "WheelSheet",
    "demand",
    "floor_alone",
    "route",
]
