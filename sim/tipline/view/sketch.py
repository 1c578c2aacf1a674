"""Small drawings as SVG written line by line: of lengths or of ranges, and loaded in no time.

They stand on the first screen of pages whose commands take well under a second; a plotting library would take longer
to load than the answer. Letters are the reader's own, as on the page, and large enough for a telephone.
"""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from tipline.model.plane import Point
from tipline.view.palette import INK, MUTED, PANEL, Colour, hex_of

__all__ = ["TEXT", "WIDE", "Sketch", "text_width"]

WIDE = 560
"""Width of a drawing: on a telephone a letter is then still a ninth of an inch high (our choice)."""
TEXT = 17
_FONT = "system-ui, 'Libertinus Serif', sans-serif"
"""The reader's own letters; the second is what a report on paper is set in."""
_LETTER = {False: 0.56, True: 0.6}
"""Mean width of a letter as a part of its size, plain and bold (our choice: a little above that of common families)."""


def text_width(text: str, size: float = TEXT, *, bold: bool = False) -> float:
    """Return about how wide a text is drawn, rather more than less."""
    return len(text) * _LETTER[bold] * size


class Sketch:
    """A drawing of fixed width, in its own units, y down; `texts`: what is written, with its box (x0, y0, x1, y1)."""

    def __init__(self, tall: float, said: str) -> None:
        self.tall, self.said = tall, said
        self.texts: list[tuple[str, float, float, float, float]] = []
        self._drawn: list[str] = []

    def area(
        self, ring: Iterable[Point], fill: Colour | None, edge: Colour | None = None, wide: float = 1.0, dash: str = ""
    ) -> None:
        """Draw an outline filled, or its edge alone."""
        points = " ".join(f"{x:.1f},{y:.1f}" for x, y in ring)
        self._add("polygon", f'points="{points}"', fill, edge, wide, dash)

    def line(self, points: Iterable[Point], colour: Colour, wide: float = 1.5, dash: str = "") -> None:
        """Draw a line through points."""
        path = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
        self._add("polyline", f'points="{path}"', None, colour, wide, dash)

    def disc(self, middle: Point, radius: float, fill: Colour | None, edge: Colour | None = None) -> None:
        """Draw a disc, or a ring."""
        x, y = middle
        self._add("circle", f'cx="{x:.1f}" cy="{y:.1f}" r="{radius:.1f}"', fill, edge, 1.5, "")

    def _add(self, tag: str, where: str, fill: Colour | None, edge: Colour | None, wide: float, dash: str) -> None:
        style = f'fill="{hex_of(fill) if fill else "none"}"'
        if edge:
            style += f' stroke="{hex_of(edge)}" stroke-width="{wide:g}"' + (
                f' stroke-dasharray="{dash}"' if dash else ""
            )
        self._drawn.append(f"<{tag} {where} {style}/>")

    def text(
        self,
        at: Point,
        text: str,
        colour: Colour = INK,
        anchor: str = "start",
        *,
        bold: bool = False,
        size: float = TEXT,
    ) -> None:
        """Write a text whose base line is at a place, with a light edge that sets it off from what it lies on."""
        x, y = at
        wide = text_width(text, size, bold=bold)
        left = x - {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor] * wide
        self.texts.append((text, left, y - 0.8 * size, left + wide, y + 0.2 * size))
        style = f'font-size="{size:g}" font-weight="{700 if bold else 400}" fill="{hex_of(colour)}"'
        edge = f'stroke="{hex_of(PANEL)}" stroke-width="4" stroke-linejoin="round" paint-order="stroke"'
        place = f'x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}"'
        self._drawn.append(f"<text {place} {style} {edge}>{escape(text)}</text>")

    def mark(self, text: str) -> None:
        """Write what marks the drawing into its upper left corner."""
        self.text((4.0, TEXT), text, MUTED, size=TEXT - 2)

    def svg(self) -> str:
        """Give the drawing."""
        size = f'viewBox="0 0 {WIDE} {self.tall:.0f}" width="{WIDE}" height="{self.tall:.0f}"'
        start = f'<svg xmlns="http://www.w3.org/2000/svg" {size} font-family="{_FONT}" role="img">'
        return "\n".join((start, f"<title>{escape(self.said)}</title>", *self._drawn, "</svg>"))
