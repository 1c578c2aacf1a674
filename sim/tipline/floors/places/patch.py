"""Contact patches in the floor's plane: one tyre's, or several taken as one because the floor answers them together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, groupby
from math import hypot, inf, pi

from tipline.elementwise import greater, lesser, sqrt
from tipline.model.plane import Outline, Point, rectangle_about, turned

__all__ = ["Patch", "as_one", "chained", "clusters", "gap", "spoken"]


@dataclass(frozen=True)
class Patch:
    """A contact patch: middle [m], heading [rad], length along it and width [m], load [N].

    ``members``: of several that are taken as one, what it stands for; empty for one tyre's own. ``gap``: the greatest
    clear way from one of them to the next [m]. ``kind``: of the tyre.
    """

    tyre: str
    at: Point
    heading: float
    length: float
    width: float
    load: float
    peak_pressure: float = 0.0
    members: tuple[Patch, ...] = ()
    gap: float = 0.0
    kind: str = "solid"

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

    @property
    def singles(self) -> tuple[Patch, ...]:
        """The tyres' own patches that it stands for; itself where it is one tyre's."""
        return tuple(single for part in self.members for single in part.singles) if self.members else (self,)

    @property
    def tyres(self) -> tuple[str, ...]:
        """Names of the tyres that it stands for."""
        return tuple(single.tyre for single in self.singles)

    @property
    def across(self) -> float:
        """The greatest way between the middles of two of its tyres [m]."""
        pairs = combinations([single.at for single in self.singles], 2)
        return max((hypot(a[0] - b[0], a[1] - b[1]) for a, b in pairs), default=0.0)


def as_one(parts: Sequence[Patch], heading: float, apart: float = 0.0) -> Patch:
    """Return several patches as one: the rectangle about the middle of their load, as far as to their nearer rim.

    So a lighter neighbour counts by its load: without load it leaves the heavier patch as it was (the effective area
    of a footing that is loaded off its middle: Meyerhof 1953, from memory). A single one is returned as it is.
    apart: the greatest clear way from one to the next [m].
    """
    if len(parts) == 1:
        return parts[0]
    load = sum(part.load for part in parts)
    corners = [turned(point, -heading) for part in parts for point in part.outline]
    middles = [(turned(part.at, -heading), part.load) for part in parts]
    middle = tuple(sum(at[axis] * weight for at, weight in middles) / load for axis in (0, 1))
    low, high = ([end(*(at[axis] for at in corners)) for axis in (0, 1)] for end in (lesser, greater))
    long, wide = (2.0 * lesser(middle[axis] - low[axis], high[axis] - middle[axis]) for axis in (0, 1))
    name = spoken([name for part in parts for name in part.tyres])
    at = turned((middle[0], middle[1]), heading)
    most = max(part.peak_pressure for part in parts)
    return Patch(name, at, heading, long, wide, load, most, tuple(parts), max(apart, *(part.gap for part in parts)))


def spoken(names: Sequence[str]) -> str:
    """Name several tyres in a row: "a, b and c"."""
    return " and ".join((", ".join(names[:-1]), names[-1])) if len(names) > 1 else names[0]


def gap(patch: Patch, other: Patch) -> float:
    """Return the clear way between two patches, measured along and across the first [m]."""
    x, y = turned((other.at[0] - patch.at[0], other.at[1] - patch.at[1]), -patch.heading)
    along = max(abs(x) - 0.5 * (patch.length + other.length), 0.0)
    return hypot(along, max(abs(y) - 0.5 * (patch.width + other.width), 0.0))


def clusters(parts: Sequence[Patch], most: float) -> Iterator[tuple[float, tuple[int, ...]]]:
    """Yield the places in the list of patches that stand together, with the greatest gap from one to the next [m].

    Neighbours first, while gaps are ``most`` or less: each set of two or more that single gaps join, once.
    """
    of = list(range(len(parts)))
    gaps = sorted((round(gap(parts[a], parts[b]), 6), a, b) for a, b in combinations(range(len(parts)), 2))
    for apart, level in groupby(gaps, key=lambda pair: pair[0]):
        if apart > most:
            return
        before = list(of)
        for _, a, b in level:
            joined, into = of[b], of[a]
            of = [into if group == joined else group for group in of]
        for group in dict.fromkeys(of):
            places = tuple(place for place, own in enumerate(of) if own == group)
            if len({before[place] for place in places}) > 1:
                yield apart, places


def chained(parts: Sequence[Patch]) -> float:
    """Return the greatest gap from one patch to the next, where each is joined to its nearest ones [m]."""
    return max((apart for apart, _ in clusters(parts, inf)), default=0.0)
