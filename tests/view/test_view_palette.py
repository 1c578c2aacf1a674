"""The palette for the colour-blind and in black and white: curves told apart, letters that can be read.

What a dichromat sees: matrices of Machado, Oliveira and Fernandes 2009 at severity 1 on linear sRGB (seen in a copy of
their table). Difference: CIE 1976 L*a*b*, from memory. Contrast: (Y1 + 0.05) / (Y2 + 0.05), at least 4.5 for text
(WCAG 2.1, 1.4.3, from memory).
"""

from __future__ import annotations

import re
from importlib.resources import files
from itertools import combinations

import numpy as np
import pytest
from numpy.typing import NDArray

from tipline.view import palette, plots

Matrix = NDArray[np.float64]
SIGHT: dict[str, Matrix] = {
    "normal": np.eye(3),
    "no red cones": np.array(
        [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]]
    ),
    "no green cones": np.array(
        [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]]
    ),
    "no blue cones": np.array(
        [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]]
    ),
}
XYZ = np.array(
    [[0.4124564, 0.3575761, 0.1804375], [0.2126729, 0.7151522, 0.0721750], [0.0193339, 0.1191920, 0.9503041]]
)
"""From linear sRGB, white at D65."""
APART = 10.0
"""Least difference of two curves' colours; 1 is just seen side by side, 10 at a glance (common practice, no source)."""


def linear(colour: palette.Colour) -> Matrix:
    part = np.array(colour) / 255.0
    return np.where(part <= 0.04045, part / 12.92, ((part + 0.055) / 1.055) ** 2.4)


def lab(light: Matrix) -> Matrix:
    part = (XYZ @ np.clip(light, 0.0, 1.0)) / XYZ.sum(axis=1)
    f = np.where(part > (6 / 29) ** 3, np.cbrt(part), part / (3 * (6 / 29) ** 2) + 4 / 29)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


def contrast(colour: palette.Colour, ground: palette.Colour) -> float:
    low, high = sorted(float((XYZ @ linear(one))[1]) for one in (colour, ground))
    return (high + 0.05) / (low + 0.05)


def test_the_measures_themselves() -> None:
    assert contrast((0, 0, 0), (255, 255, 255)) == pytest.approx(21.0, rel=1e-3)
    assert lab(linear((255, 255, 255))) == pytest.approx([100.0, 0.0, 0.0], abs=0.01)
    for matrix in SIGHT.values():
        assert matrix.sum(axis=1) == pytest.approx(1.0, abs=2e-6)  # grey stays grey
    red, green = (
        lab(SIGHT["no green cones"] @ linear((150, 112, 0))),
        lab(SIGHT["no green cones"] @ linear((196, 82, 0))),
    )
    assert np.linalg.norm(red - green) < APART  # a pair that cannot be told apart is found


@pytest.mark.parametrize("sight", SIGHT)
def test_curves_are_told_apart_whatever_cones_are_missing(sight: str) -> None:
    for a, b in combinations(palette.CYCLE, 2):
        seen = [lab(SIGHT[sight] @ linear(colour)) for colour in (a, b)]
        assert np.linalg.norm(seen[0] - seen[1]) >= APART, (sight, a, b)


def test_letters_can_be_read_on_paper_and_panel() -> None:
    for colour in (palette.INK, palette.MUTED, palette.WARN, palette.HOLE, *palette.CYCLE):
        assert contrast(colour, palette.PANEL) >= 4.5, colour
    assert contrast(palette.HOLE, palette.FLOOR) >= 4.5


def test_in_black_and_white_every_curve_has_a_line_of_its_own() -> None:
    """Their tones are alike on purpose, so that none shouts; dashes and names tell them apart."""
    assert len(set(plots._STYLES)) == len(plots._STYLES) >= len(palette.CYCLE)


SIZES = {"0.875rem", "1rem", "1.25rem", "1.5625rem", "2rem"}


def colours() -> set[str]:
    """Every colour of the palette."""
    named = [*vars(palette).values(), *palette.PARTS.values(), *palette.CYCLE]
    return {
        palette.hex_of(one) for one in named if isinstance(one, tuple) and len(one) == 3 and isinstance(one[0], int)
    }


@pytest.mark.parametrize("place", ["tipline.report/page.html.jinja", "tipline.playback/page/page.css"])
def test_reports_and_replays_have_one_palette_and_one_scale_of_type(place: str) -> None:
    """What is read from the back of a room is larger by itself."""
    package, _, name = place.partition("/")
    style = files(package).joinpath(name).read_text(encoding="utf-8").partition("</style>")[0]
    found = re.findall(r"#([0-9a-f]{6}|[0-9a-f]{3})(?=[ ;,)])", style)
    named = {f"#{one if len(one) == 6 else ''.join(2 * letter for letter in one)}" for one in found}
    mixed = {tuple(map(int, found.split())) for found in re.findall(r"rgb\(([0-9 ]+) /", style)}
    assert len(named) > 5
    assert {*named, *("#{:02x}{:02x}{:02x}".format(*one) for one in mixed)} - colours() == set()
    rules = [rule for rule in style.split("}") if not rule.strip().startswith(".room")]
    sizes = {size for rule in rules for size in re.findall(r"font(?:-size)?:[^;}]*?([0-9]*\.?[0-9]+rem)", rule)}
    assert len(sizes) > 3
    assert {f"0{size}" if size.startswith(".") else size for size in sizes} - SIZES == set()


def test_the_paper_has_the_same_palette_and_scale_of_type() -> None:
    """Running text and tables have a type each; all else is a step of the scale on one of them."""
    template = files("tipline.report").joinpath("paper.typ").read_text(encoding="utf-8")
    named = set(re.findall(r'rgb\("(#[0-9a-f]{6})"\)', template))
    assert len(named) == 3
    assert named - colours() == set()
    steps = set(re.findall(r"([0-9.]+) \* (?:text|table)-type", template))
    assert len(steps) > 3
    assert {f"{step}rem" for step in steps} - SIZES == set()
    types = re.findall(r"^#let ([a-z-]+)-type = [0-9.]+pt$", template, re.M)
    assert types == ["text", "table"]
    assert re.findall(r"(?:text\(|size: )[^,)\n]*[0-9.]+(?:pt|em)", template) == []
