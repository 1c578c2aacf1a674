"""Covers and lids over pits and trenches: the class stamped into them, or the span as a plate, a slab or a grating.

A cover nobody knows carries nothing: its limit is 0. Plates and lids here are simply supported, elastic, thin; corners
of a plate on four sides are held down, as in the theory. The seat and the frame are not checked.
"""

from __future__ import annotations

from types import MappingProxyType
from typing import NamedTuple

import numpy as np

from tipline.elementwise import lesser
from tipline.mechanics._ranges import not_negative, positive, within

__all__ = [
    "CLASS_LOADS",
    "SpanMoment",
    "four_sided_patch",
    "grating_moment",
    "one_way_moment",
]

CLASS_LOADS = MappingProxyType({"A15": 15e3, "B125": 125e3, "C250": 250e3, "D400": 400e3, "E600": 600e3, "F900": 900e3})
TEST_BLOCK = 0.25
CLASS_FACTOR = 1.5
_TERMS = 240


class SpanMoment(NamedTuple):
    """Moments along x and along y [N m / m], deflection [m], at the place asked for."""

    along_x: float
    along_y: float
    deflection: float


def one_way_moment(load: float, span: float, patch: float, place: float | None = None) -> float:
    """Greatest moment of a simple span under a patch load.

    Parameters
    ----------
    load : float
        Load [N].
    span : float
        Span [m].
    patch : float
        Length of the patch along the span [m].
    place : float or None
        Middle of the patch from a support [m]; None = mid-span.

    Returns
    -------
    float
        Moment over the whole width [N m].

    Raises
    ------
    ValueError
        If the patch does not lie within the span or a number is out of range.

    Notes
    -----
    R x + R^2 c / (2 P), where the shear is 0 within the patch; P (2 L - c) / 8 at mid-span. Source: [TextbookMechanics]
    """
    p, length, c = not_negative("load", load, "N"), positive("span", span, "m"), positive("patch", patch, "m")
    middle = 0.5 * length if place is None else place
    within("place", middle, 0.5 * c, length - 0.5 * c, "m", "the whole patch between the supports")
    share = (length - middle) / length
    return p * share * (middle - 0.5 * c + 0.5 * share * c)


def grating_moment(load: float, span: float, patch: float, patch_width: float, pitch: float) -> float:
    """Moment in one bar of a grating under a patch: only the bars below it carry.

    Parameters
    ----------
    load : float
        Load [N].
    span : float
        Span of the bars [m].
    patch : float
        Length of the patch along the bars [m].
    patch_width : float
        Width of the patch across the bars [m].
    pitch : float
        Spacing of the bars [m].

    Returns
    -------
    float
        Moment in each bar below the patch, at mid-span [N m].

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    As many bars as spacings fit into the width of the patch, one at least; cross bars spread nothing. Common practice,
    no source. Source: [TextbookMechanics]
    """
    bars = max(1, int(positive("patch width", patch_width, "m") / positive("pitch", pitch, "m") + 1e-9))
    return one_way_moment(load, span, lesser(positive("patch", patch, "m"), span)) / bars


def four_sided_patch(
    load: float,
    width: float,
    length: float,
    stiffness: float,
    poisson: float,
    patch: tuple[float, float],
    centre: tuple[float, float] = (0.0, 0.0),
    place: tuple[float, float] | None = None,
) -> SpanMoment:
    """Moments and deflection of a plate simply supported on four sides under a patch anywhere on it.

    Parameters
    ----------
    load : float
        Load [N].
    width : float
        Span along x [m].
    length : float
        Span along y [m].
    stiffness : float
        Bending stiffness E t^3 / (12 (1 - nu^2)) [N m].
    poisson : float
        Poisson's ratio [1], 0 to 0.5.
    patch : tuple of float
        Sides of the patch along x and y [m].
    centre : tuple of float
        Middle of the patch from the plate's middle [m].
    place : tuple of float or None
        Where to look, from the plate's middle [m]; None = middle of the patch.

    Returns
    -------
    SpanMoment
        Moments [N m / m] and deflection [m].

    Raises
    ------
    ValueError
        If the patch is not wholly on the plate, below a twentieth of the span, or a number out of range.

    Notes
    -----
    Navier's series with 240 terms each way; a thin plate, no shear. A patch below a twentieth of the span would need
    more terms and a thick-plate correction. Source: [TimoshenkoPlates]
    """
    a, b = positive("width", width, "m"), positive("length", length, "m")
    D, nu = positive("stiffness", stiffness, "N m"), within("Poisson's ratio", poisson, 0.0, 0.5)
    P, least = not_negative("load", load, "N"), 0.05 * min(a, b)
    u = within("patch", patch[0], least, a, "m", "a twentieth of the span or more, and on the plate")
    v = within("patch", patch[1], least, b, "m", "a twentieth of the span or more, and on the plate")
    xi, eta = (within("centre", c, 0.5 * (s - w), 0.5 * (w - s), "m", "the whole patch on the plate") + 0.5 * w
               for c, s, w in ((centre[0], u, a), (centre[1], v, b)))  # fmt: skip
    at = centre if place is None else place
    x = within("place", at[0], -0.5 * a, 0.5 * a, "m", "on the plate") + 0.5 * a
    y = within("place", at[1], -0.5 * b, 0.5 * b, "m", "on the plate") + 0.5 * b
    m, n = np.arange(1, _TERMS + 1), np.arange(1, _TERMS + 1)
    along = np.sin(m * np.pi * xi / a) * np.sin(m * np.pi * u / (2.0 * a)) * np.sin(m * np.pi * x / a) / m
    across = np.sin(n * np.pi * eta / b) * np.sin(n * np.pi * v / (2.0 * b)) * np.sin(n * np.pi * y / b) / n
    load_terms = 16.0 * P / (np.pi**2 * u * v) * np.outer(along, across)
    k, j = (m / a)[:, None] ** 2, (n / b)[None, :] ** 2
    shape = load_terms / (np.pi**2 * (k + j) ** 2)
    moment_x, moment_y = float((shape * (k + nu * j)).sum()), float((shape * (j + nu * k)).sum())
    return SpanMoment(moment_x, moment_y, float(shape.sum()) / (np.pi**2 * D))
