"""A tyre's contact patch in the floor's plane."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi, sqrt

from tipline.model.plane import Outline, Point, rectangle_about

__all__ = ["Patch"]


@dataclass(frozen=True)
class Patch:
    """One tyre's contact patch: middle [m], heading [rad], length along it and width [m], load [N]."""

    tyre: str
    at: Point
    heading: float
    length: float
    width: float
    load: float
    peak_pressure: float = 0.0

    @property
    def area(self) -> float:
        """Area [m2]."""
        return self.length * self.width

    @property
    def radius(self) -> float:
        """Radius of the circle of that area [m]."""
        return sqrt(self.area / pi)

    @property
    def pressure(self) -> float:
        """Mean pressure [Pa]."""
        return self.load / self.area

    @property
    def outline(self) -> Outline:
        """Corners in the world plane."""
        return rectangle_about(self.at, (self.length, self.width), self.heading)
