"""A mast of sliding stages as beams: how far its carriage gives, and the one joint with a spring that stands for it.

Each stage is a beam held at two heights by the next outer one: at its own foot, and at the head of the outer one, where
the rollers are. So every force between stages follows from balance, and what the carriage gives is the work of the
moments and shears in the stages. What rollers and channels give in themselves comes on top (not counted).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from tipline.mechanics._ranges import below, finite, not_negative, positive

__all__ = ["ChannelSection", "LumpedJoint", "channel", "lumped_joint", "stage_flexibility", "tied_shear_stiffness"]

Pair = tuple[float, float]


class ChannelSection(NamedTuple):
    """Of one channel: area [m2], second moments of area [m4] fore and aft and sideways, centroid from its back [m]."""

    area: float
    fore_aft: float
    sideways: float
    centroid: float


class LumpedJoint(NamedTuple):
    """Height of a joint above the floor [m] and the stiffness of its spring [N m/rad]."""

    height: float
    stiffness: float


def channel(depth: float, flange: float, web: float, flange_thickness: float) -> ChannelSection:
    """Area, second moments of area and centroid of a channel, its flanges fore and aft of its web.

    Parameters
    ----------
    depth : float
        Height of the channel over both flanges, fore and aft on the truck [m].
    flange : float
        Width of a flange over the web, across the truck [m].
    web : float
        Thickness of the web [m].
    flange_thickness : float
        Thickness of a flange [m].

    Returns
    -------
    ChannelSection
        Area [m2], second moments of area about the centroid [m4], and how far that lies from the back of the web [m].

    Raises
    ------
    ValueError
        If a size is not above 0, or web and flanges leave no hollow.

    Notes
    -----
    A rectangle less the hollow, by the theorem of parallel axes; corners square. Source: [TextbookMechanics]
    """
    d, b = positive("depth", depth, "m"), positive("flange", flange, "m")
    s = below("web", positive("web", web, "m"), b, "m", "the flange")
    t = below("flange thickness", positive("flange thickness", flange_thickness, "m"), d / 2.0, "m", "half the depth")
    hollow, wide = d - 2.0 * t, b - s
    area = b * d - wide * hollow
    centroid = (b * d * b / 2.0 - wide * hollow * (b + s) / 2.0) / area
    sideways = (d * b**3 - hollow * wide**3) / 12.0 + b * d * (b / 2.0 - centroid) ** 2
    sideways -= wide * hollow * ((b + s) / 2.0 - centroid) ** 2
    return ChannelSection(area, (b * d**3 - wide * hollow**3) / 12.0, sideways, centroid)


def tied_shear_stiffness(second_moment: float, spacing: float, modulus: float) -> float:
    """Shear stiffness of two chords that stiff ties make into a ladder.

    Parameters
    ----------
    second_moment : float
        Of one chord in the plane of the ladder [m4].
    spacing : float
        From the middle of one tie to that of the next [m].
    modulus : float
        Modulus of elasticity of the chords [Pa].

    Returns
    -------
    float
        2 pi^2 E I / a^2 [N]: force across over the slope it makes.

    Raises
    ------
    ValueError
        If a number is not above 0.

    Notes
    -----
    The least of the two bounds for battened members; 24 E I / a^2 would need ties that do not bend at all.
    Source: [EN1993] 6.4.3.1 (from memory)
    """
    chord = positive("modulus", modulus, "Pa") * positive("second moment", second_moment, "m4")
    return 2.0 * math.pi**2 * chord / positive("spacing", spacing, "m") ** 2


def stage_flexibility(
    stages: Sequence[Pair],
    bending_stiffness: Sequence[float],
    held: Pair,
    grip: Pair,
    shear_stiffness: Sequence[float] = (),
) -> NDArray[np.float64]:
    """How far the carriage of a mast moves and turns under a force across and a moment on it.

    Parameters
    ----------
    stages : sequence of (float, float), shape (n, 2)
        Height of the foot and of the head of each stage, outermost first [m].
    bending_stiffness : sequence of float, shape (n,)
        E I of each stage [N m2].
    held : (float, float)
        Heights at which the outermost stage is held [m]; twice the same: clamped there.
    grip : (float, float)
        Heights of the carriage's rollers in the innermost stage, lower and upper [m].
    shear_stiffness : sequence of float, shape (n,)
        Force across over the slope that it makes, of each stage [N]; left out: stages that only bend.

    Returns
    -------
    ndarray, shape (2, 2)
        Deflection at the lower rollers [m] and rotation of the carriage [rad] (rows) for 1 N across at the lower
        rollers and for 1 N m the same way round (columns). Symmetric.

    Raises
    ------
    ValueError
        If a stage is not held at two heights, the lower one first, or a stiffness is not above 0.

    Notes
    -----
    Moments M and shears V in each stage by balance; the integral of M_i M_j / (E I) + V_i V_j / S over all of them,
    exact for the straight pieces between rollers (unit-load theorem). Source: [TextbookMechanics]
    """
    points = [grip, *_supports(stages, held)]
    shears = [1.0 / positive("shear stiffness", value, "N") for value in shear_stiffness] or [0.0] * len(stages)
    flexible = np.zeros((2, 2))
    forces = np.array([_couple(1.0, 0.0, grip), _couple(0.0, 1.0, grip)])
    beams = zip(pairwise(points), reversed(bending_stiffness), reversed(shears), strict=True)
    for ((low, high), (foot, head)), stiffness, shear in beams:
        ei = positive("bending stiffness", stiffness, "N m2")
        at, pushed = np.array([low, high, foot, head]), np.hstack((forces, np.zeros((2, 2))))
        if foot < head:
            forces = np.array([_couple(a + b, a * (low - foot) + b * (high - foot), (foot, head)) for a, b in forces])
            pushed[:, 2:] = -forces
        heights = np.unique(np.maximum(at, foot))
        moments = pushed @ np.clip(at - heights[:, None], 0.0, None).T
        for index, long in enumerate(np.diff(heights)):
            a, b = moments[:, index], moments[:, index + 1]
            flexible += long / (6.0 * ei) * (np.outer(a, 2.0 * a + b) + np.outer(b, a + 2.0 * b))
            flexible += shear / long * np.outer(b - a, b - a)
    return flexible


def lumped_joint(flexible: NDArray[np.float64], height: float, force: float, moment: float) -> LumpedJoint:
    """Joint with a spring about which a stiff mast moves and turns its carriage as the bending one does.

    Parameters
    ----------
    flexible : ndarray, shape (2, 2)
        As of `stage_flexibility` [m/N, m/(N m); rad/N, rad/(N m)].
    height : float
        Height of the carriage's lower rollers [m].
    force : float
        Force across at them [N], 0 or more.
    moment : float
        Moment on the carriage, the same way round as the force bends it [N m], 0 or more.

    Returns
    -------
    LumpedJoint
        Height [m] and stiffness [N m/rad]; exact for this ratio of force to moment.

    Raises
    ------
    ValueError
        If a number is out of range, or force and moment are both 0.

    Notes
    -----
    Height less deflection over rotation; moment at the joint over rotation. Of one clamped beam: a third of its length
    up and 4 E I / (3 L) by a force, half of it and E I / L by a moment. Source: [BeamTables]
    """
    f, m = not_negative("force", force, "N"), not_negative("moment", moment, "N m")
    at = finite("height", height, "m")
    deflection, rotation = (float(value) for value in flexible @ (f, m))
    positive("rotation of the carriage", rotation, "rad")
    lever = deflection / rotation
    return LumpedJoint(at - lever, (f * lever + m) / rotation)


def _supports(stages: Sequence[Pair], held: Pair) -> list[Pair]:
    """Return where each stage is held, innermost first."""
    pairs = [(inner[0], outer[1]) for outer, inner in pairwise(stages)]
    for low, high in pairs:
        below("foot of a stage", low, high, "m", "the head of the next outer one")
    return [*pairs[::-1], (held[0], max(held))]


def _couple(force: float, moment: float, at: Pair) -> Pair:
    """Return two forces at two heights that make up a force and a moment about the lower one."""
    upper = moment / (at[1] - at[0])
    return force - upper, upper
