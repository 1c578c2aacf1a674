"""Rocking of a rigid block on a rigid floor, and how far a push or a step overshoots.

The rocking equation is the linearised one, for slender blocks: theta'' = p^2 (theta - alpha) while it leans.
A push is a level acceleration of the floor or of the block; its strength A = a / (g alpha) is 1 where rocking starts.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from tipline.mechanics._ranges import below, positive
from tipline.mechanics.constants import STANDARD_GRAVITY

__all__ = [
    "RockingBlock",
    "block_of",
    "impact_ratio",
    "push_duration",
    "rocking_period",
]


class RockingBlock(NamedTuple):
    """A uniform rectangular block: half diagonal [m], slenderness angle [rad], frequency parameter [rad/s]."""

    half_diagonal: float
    slenderness: float
    frequency: float


def block_of(half_width: float, half_height: float, gravity: float = STANDARD_GRAVITY) -> RockingBlock:
    """Rocking parameters of a uniform rectangular block.

    Parameters
    ----------
    half_width : float
        Half its width [m].
    half_height : float
        Half its height [m].
    gravity : float
        Acceleration of free fall [m/s2].

    Returns
    -------
    RockingBlock
        R = sqrt(b^2 + h^2) [m], alpha = atan(b / h) [rad], p = sqrt(3 g / (4 R)) [rad/s].

    Raises
    ------
    ValueError
        If a number is not greater than 0.

    Notes
    -----
    Source: [Housner1963]
    """
    b, h = positive("half width", half_width, "m"), positive("half height", half_height, "m")
    r = math.hypot(b, h)
    return RockingBlock(r, math.atan2(b, h), math.sqrt(3.0 * positive("gravity", gravity, "m/s2") / (4.0 * r)))


def rocking_period(block: RockingBlock, amplitude: float) -> float:
    """Period of free rocking between two impacts on each edge, without loss.

    Parameters
    ----------
    block : RockingBlock
        The block [m, rad, rad/s].
    amplitude : float
        Angle it is let go from [rad], above 0 and below the slenderness angle.

    Returns
    -------
    float
        Period [s].

    Raises
    ------
    ValueError
        If the amplitude is outside its range (at the slenderness angle it stands on its edge).

    Notes
    -----
    T = (4 / p) acosh(1 / (1 - theta_0 / alpha)). Slender blocks. Source: [Housner1963]
    """
    theta = positive("amplitude", amplitude, "rad")
    below("amplitude", theta, block.slenderness, "rad", "there it goes over")
    return 4.0 / positive("frequency", block.frequency, "rad/s") * math.acosh(1.0 / (1.0 - theta / block.slenderness))


def impact_ratio(block: RockingBlock) -> float:
    """Share of the kinetic energy that a uniform block keeps when it rocks from one edge to the other.

    Parameters
    ----------
    block : RockingBlock
        The block [m, rad, rad/s].

    Returns
    -------
    float
        Energy after over energy before [1].

    Raises
    ------
    ValueError
        If the block is so low that the rule would throw it back (slenderness angle of 54.7 degrees or more).

    Notes
    -----
    r = (1 - (3/2) sin^2 alpha)^2: moment of momentum about the new edge is kept. On concrete
    measured blocks keep a little less, of stone a little more (from memory). Source: [Housner1963], [ElGawadyEtAl]
    """
    left = 1.0 - 1.5 * math.sin(positive("slenderness", block.slenderness, "rad")) ** 2
    return positive("1 - 1.5 sin2(slenderness)", left) ** 2


def push_duration(block: RockingBlock, strength: float) -> float:
    """Shortest constant push that turns a block over from rest.

    Parameters
    ----------
    block : RockingBlock
        The block [m, rad, rad/s].
    strength : float
        A = a / (g alpha) [1], above 1.

    Returns
    -------
    float
        How long the push must last [s].

    Raises
    ------
    ValueError
        If the strength is 1 or less: the block then never leaves the floor.

    Notes
    -----
    cosh(p t) = 1 + 1 / (2 A (A - 1)). Slender blocks. Source: [Housner1963]
    """
    a = positive("strength", strength)
    if a <= 1.0:
        msg = f"strength = {a:.6g}: must be above 1; a weaker push does not lift the block at all"
        raise ValueError(msg)
    return math.acosh(1.0 + 1.0 / (2.0 * a * (a - 1.0))) / positive("frequency", block.frequency, "rad/s")
