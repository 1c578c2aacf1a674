"""The moments of the nearest run of a cause as small drawings: the truck where its bodies are, by its own outlines.

Seen from its right side as it stood, or from behind where it goes over to a side. SVG written line by line, so that no
OpenGL is needed. Stages of the mast are drawn as they were set up.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from html import escape
from typing import TYPE_CHECKING

import numpy as np

from tipline.units import System
from tipline.view import palette
from tipline.view.outlines import SIDE, Array, painted, to_mm
from tipline.view.palette import spelled

if TYPE_CHECKING:
    from tipline.geometry.assembly import Part
    from tipline.incidents.report import Course, PosedMoment

__all__ = ["draw_course"]

_ROOM = 0.4
"""About all that is shown in any of the moments [m]."""
_BELOW = 0.35
"""How far down the floor is painted [m]."""
_LETTER = 0.06
"""Height of letters as a part of the width (our choice: a seventh of an inch where three stand side by side)."""
_WIDE = 1.2
"""Least width as a part of the height (our choice)."""
_BEHIND = np.array([[0.0, -1.0, 0.0], [1.0, 0.0, 0.0], [0.0, 0.0, 1.0]])
"""Turns the world so that the eye at the right side sees what it saw from behind."""
_APART = 0.02
"""Moments nearer together than this [s] are one drawing (our choice: nothing moves that is seen)."""


def draw_course(course: Course, demo: str, system: System = "si") -> list[tuple[str, str]]:
    """Draw the moments of a course; give the caption and SVG text of each, none where there is nothing to draw."""
    behind = course.over in ("left", "right")
    together = _together(course.moments)
    shown = [_moved(course.parts, moments[0].matrices, behind=behind) for moments in together]
    if not shown:
        return []
    points = np.vstack([part.vertices for parts in shown for part in parts])
    left, _, low = (points.min(axis=0) - _ROOM).tolist()
    right, _, high = (points.max(axis=0) + _ROOM).tolist()
    aside = 0.5 * max(_WIDE * (high - low) - (right - left), 0.0)
    frame = left - aside, right + aside, min(low, -_BELOW), high
    seen = "from behind" if behind else "from its right side"
    drawn = []
    mark = ("DEMO · " if demo else "") + "computed"
    for moments, parts in zip(together, shown, strict=True):
        words = f"{_when(moments[0])}: {'; '.join(moment.step.what for moment in moments)}. Seen {seen}."
        caption = spelled(words, system)
        drawn.append((caption, _svg(parts, frame, mark, caption)))
    return drawn


def _together(moments: Sequence[PosedMoment]) -> list[list[PosedMoment]]:
    """Put moments together that lie so near each other that one drawing shows them."""
    together: list[list[PosedMoment]] = []
    for moment in moments:
        if together and moment.step.at - together[-1][0].step.at < _APART:
            together[-1].append(moment)
        else:
            together.append([moment])
    return together


def _when(moment: PosedMoment) -> str:
    """Say when it was in the nearest run, and from when to when in the next ones."""
    step = moment.step
    at, early, late = (f"{time:.2f} s" for time in (step.at, step.earliest, step.latest))
    return at if early == late else f"{at} ({early} to {late})"


def _moved(parts: Sequence[Part], matrices: Array, *, behind: bool) -> list[Part]:
    """Return parts where their bodies are, the world turned so that they are seen as asked."""
    turned = _BEHIND if behind else np.eye(3)
    return [
        replace(
            part,
            vertices=(part.vertices @ matrices[part.body, :3, :3].T + matrices[part.body, :3, 3]) @ turned.T,
        )
        for part in parts
    ]


def _svg(parts: Sequence[Part], frame: tuple[float, float, float, float], mark: str, said: str) -> str:
    left, right, low, high = frame
    box = " ".join(to_mm(value) for value in (left, -high, right - left, high - low))
    size = f'width="560" height="{560 * (high - low) / (right - left):.0f}"'
    letter = _LETTER * (right - left)
    return "\n".join((
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box}" {size} role="img" '
        f'font-family="system-ui, \'Libertinus Serif\', sans-serif">',
        f"<title>{escape(said)}</title>",
        *_drawn(parts, frame),
        f'<text x="{to_mm(left + 0.3 * letter)}" y="{to_mm(-high + letter)}" font-size="{to_mm(letter)}" '
        f'fill="{palette.hex_of(palette.MUTED)}">{escape(mark)}</text>',
        "</svg>",
    ))  # fmt: skip


def _drawn(parts: Sequence[Part], frame: tuple[float, float, float, float]) -> Iterator[str]:
    left, right, low, _ = frame
    yield (
        f'<rect x="{to_mm(left)}" y="0" width="{to_mm(right - left)}" height="{to_mm(-low)}" '
        f'fill="{palette.hex_of(palette.FLOOR)}"/>'
    )
    yield from painted(parts, SIDE, (0, 2), 0.0)
