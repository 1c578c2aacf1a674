"""A route over a floor as data: a polyline that the middle of the drive axle follows."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from math import atan2, hypot, pi
from pathlib import Path
from typing import Annotated

from pydantic import Field

from tipline.errors import InputError
from tipline.model.document import Document, Overrides, checked, read_text
from tipline.model.plausible import SLIP, Rule, Usual, found, outside, unusual
from tipline.model.problems import Finding, build, refuse
from tipline.model.quantities import Count, Flag, Meant, NonNegativeLength, PlanPoint, PositiveSpeed, Setting, Spec
from tipline.units import show

__all__ = ["ROUTE_RULES", "Route", "read_route", "unusual_in_route"]

SHARPEST = 0.95 * pi
LONGEST_LEG = 400.0
"""Longest straight way [m] that such a truck drives through a hall or yard (our choice)."""


LEAST_TURN = 0.4
"""Least turning radius [m] but for turning on the spot (our choice)."""
MOST_PASSES = 400_000
_ROUTE = (
    Usual("turning_radius", 0.0, 25.0, "the usual turning radius"),
    Usual("speed", 0.05, 5.0, "the usual speed in turns"),
)


class Route(Spec):
    """A way over a floor: ``path`` is followed by the middle of the drive axle, corners rounded by the turning radius.

    Without a turning radius the wheelbase stands in its place. ``reverse``: the truck drives it backwards. ``speed``:
    in the turns, where it moves load to the outer tyres; left out, a walk. ``passes``: how often it is driven.
    """

    title: str = Field(default="route", min_length=1, max_length=200)
    path: Annotated[tuple[PlanPoint, ...], Setting()] = Field(min_length=2, max_length=200)
    turning_radius: Annotated[NonNegativeLength | None, Setting()] = None
    speed: Annotated[PositiveSpeed | None, Setting()] = None
    passes: Count | None = Field(default=None, ge=1)
    reverse: Flag = False
    meant: Meant = ()


def read_route(path: Path, overrides: Overrides | None = None) -> Route:
    """Return the route of a file, with single values changed by dotted key.

    Raises InputError or InputErrors.
    """
    document = Document.from_text(_text(path), str(path))
    for key, value in checked(overrides).items():
        document.change(key, value)
    route = build(Route, document)
    refuse(_check(route), document)
    return route


def unusual_in_route(path: Path) -> tuple[InputError, ...]:
    """Return what is unusual in a route's file and not said to be meant; raises what `read_route` does."""
    document = Document.from_text(_text(path), str(path))
    route = build(Route, document)
    return unusual(found(route, ROUTE_RULES), document, [(key,) for key in route.meant])


def _usual(route: Route) -> Iterator[Finding]:
    yield from outside(route, _ROUTE)
    if route.turning_radius is not None and 0.0 < route.turning_radius < LEAST_TURN:
        reason = "is next to turning on the spot"
        yield Finding(("turning_radius",), reason, 'Write it like "1.8 m", or "0 m" for turning on the spot')
    if route.passes is not None and route.passes > MOST_PASSES:
        yield Finding(
            ("passes",), f"is more than {MOST_PASSES}, fifty a day for twenty years", "Give how often it is driven"
        )


def _legs(route: Route) -> Iterator[Finding]:
    for index, (a, b) in enumerate(pairwise(route.path)):
        if hypot(b[0] - a[0], b[1] - a[1]) > LONGEST_LEG:
            reason = f"lies {show(hypot(b[0] - a[0], b[1] - a[1]), 'length')} from the point before it"
            yield Finding(("path", index + 1), reason, SLIP)


ROUTE_RULES: tuple[Rule[Route], ...] = (
    Rule("usual ranges", "unusual", "our choice: a compact truck turns within 25 m", _usual),
    Rule("long ways", "unusual", "our choice, see LONGEST_LEG", _legs),
)


def _text(path: Path) -> str:
    if not path.is_file():
        msg = "no such file"
        raise InputError(msg, file=str(path), remedy='Give a TOML file with path = [["0 m", "0 m"], ["12 m", "0 m"]]')
    return read_text(path, str(path))


def _check(route: Route) -> Iterator[Finding]:
    """Yield points that coincide and a way back along the same line."""
    for index, (a, b) in enumerate(pairwise(route.path)):
        if hypot(b[0] - a[0], b[1] - a[1]) < 0.01:
            yield Finding(("path", index + 1), "lies on the point before it", "Remove one of them")
    headings = [atan2(b[1] - a[1], b[0] - a[0]) for a, b in pairwise(route.path)]
    for index, (before, after) in enumerate(pairwise(headings)):
        if abs((after - before + pi) % (2 * pi) - pi) > SHARPEST:
            reason = "the route turns back along its own line here"
            yield Finding(("path", index + 1), reason, "Write it as two routes, the second with reverse = true")
