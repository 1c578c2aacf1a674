"""Text and lines on a picture: fonts, wrapping, and the measures of one picture size."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path

from PIL import ImageDraw, ImageFont

from tipline.view import palette

__all__ = ["Layout", "font", "text_size", "wrap", "write"]


@dataclass(frozen=True)
class Layout:
    """Where the parts of a picture lie [pixels]: a title band, the scene, a panel at its right, a marking band.

    `text`, `small` and `large` are letter sizes, none below a fortieth of the height, so that they are read from the
    back of a room; `told` the lines that events or outcome may take.
    """

    width: int
    height: int
    top: int
    bottom: int
    panel: int
    text: int
    small: int
    large: int
    told: int

    @property
    def view(self) -> tuple[int, int]:
        """Give the size of the scene."""
        return self.width - self.panel, self.height - self.top - self.bottom

    @classmethod
    def of(cls, draft: bool) -> Layout:
        """Give one of the two sizes there are."""
        return cls(640, 360, 26, 32, 192, 10, 9, 15, 6) if draft else cls(1280, 720, 50, 62, 384, 19, 18, 32, 6)


@cache
def font(size: int, bold: bool = False) -> ImageFont.FreeTypeFont:
    """Give DejaVu Sans, which comes with matplotlib, so that every computer writes the same letters."""
    import matplotlib as mpl

    name = "DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf"
    return ImageFont.truetype(str(Path(mpl.get_data_path()) / "fonts" / "ttf" / name), size)


def text_size(text: str, size: int, bold: bool = False) -> tuple[float, float]:
    """Give width and line height [pixels] of one line of text."""
    face = font(size, bold)
    ascent, descent = face.getmetrics()
    return face.getlength(text), float(ascent + descent)


def wrap(text: str, size: int, width: float, bold: bool = False) -> list[str]:
    """Break a text into lines no wider than `width`; a single word that is wider ends in dots."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_size(longer, size, bold)[0] <= width:
            lines[-1] = longer
        else:
            lines.append(_cut(word, size, width, bold))
    return lines


def write(
    draw: ImageDraw.ImageDraw,
    at: tuple[float, float],
    text: str,
    size: int,
    colour: palette.Colour = palette.INK,
    bold: bool = False,
    right: bool = False,
) -> None:
    """Write one line with its top left corner (or top right) at a point."""
    x = at[0] - (text_size(text, size, bold)[0] if right else 0.0)
    draw.text((round(x), round(at[1])), text, font=font(size, bold), fill=colour)


def one_line(text: str, size: int, width: float, bold: bool = False) -> str:
    """Give the text, or its beginning and dots where it is too long for one line."""
    return _cut(text, size, width, bold)


def _cut(text: str, size: int, width: float, bold: bool) -> str:
    if text_size(text, size, bold)[0] <= width:
        return text
    while text and text_size(text + "...", size, bold)[0] > width:
        text = text[:-1]
    return text.rstrip() + "..."
