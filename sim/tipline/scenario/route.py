"""A route over a floor as data: a polyline that the middle of the drive axle follows."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import pairwise
from math import atan2, hypot, pi
from pathlib import Path
from typing import Annotated

from pydantic import Field

from tipline.errors import InputError
from tipline.model.document import Document, read_text
from tipline.model.problems import Finding, build, refuse
from tipline.model.quantities import Flag, NonNegativeLength, PlanPoint, Setting, Spec

__all__ = ["Route", "read_route"]

SHARPEST = 0.95 * pi


class Route(Spec):
    """A way over a floor: ``path`` is followed by the middle of the drive axle, corners rounded by the turning radius.

    Without a turning radius the wheelbase stands in its place. ``reverse``: the truck drives it backwards.
    """

    title: str = Field(default="route", min_length=1, max_length=200)
    path: Annotated[tuple[PlanPoint, ...], Setting()] = Field(min_length=2, max_length=200)
    turning_radius: Annotated[NonNegativeLength | None, Setting()] = None
    reverse: Flag = False


def read_route(path: Path, overrides: Mapping[str, str] | None = None) -> Route:
    """Return the route of a file, with single values changed by dotted key.

    Raises InputError or InputErrors.
    """
    document = Document.from_text(_text(path), str(path))
    for key, text in (overrides or {}).items():
        document.change(key, text)
    found = build(Route, document)
    refuse(_check(found), document)
    return found


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
