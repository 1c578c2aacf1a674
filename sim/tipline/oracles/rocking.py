"""Rocking of a rigid block on a rigid floor, and how far a push or a step overshoots.

The rocking equation is the linearised one, for slender blocks: theta'' = p^2 (theta - alpha) while it leans.
A push is a level acceleration of the floor or of the block; its strength A = a / (g alpha) is 1 where rocking starts.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from tipline.mechanics._ranges import below, not_negative, positive
from tipline.mechanics.constants import STANDARD_GRAVITY

__all__ = [
    "RockingBlock",
    "block_of",
    "half_sine_strength",
    "impact_ratio",
    "push_duration",
    "ramp_overshoot",
    "rocking_period",
    "step_overshoot",
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
    r = (1 - (3/2) sin^2 alpha)^2: moment of momentum about the new edge is kept. Measured blocks keep more.
    Source: [Housner1963]
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


def half_sine_strength(block: RockingBlock, pulse_frequency: float) -> float:
    """Strength of a half-sine push that just turns a block over from rest.

    Parameters
    ----------
    block : RockingBlock
        The block [m, rad, rad/s].
    pulse_frequency : float
        Frequency of the sine of which the push is one half wave [rad/s].

    Returns
    -------
    float
        A = a / (g alpha) at the peak [1].

    Raises
    ------
    ValueError
        If a number is not greater than 0.

    Notes
    -----
    Root of A p (w cos s + p sin s + w exp(-p (pi - s) / w)) = p^2 + w^2 with sin s = 1 / A. Slender blocks. The
    often quoted sqrt(1 + (w / p)^2) belongs to an unending sine and overstates what a half sine needs.
    Source: [Own]
    """
    from scipy.optimize import brentq

    p, w = positive("frequency", block.frequency, "rad/s"), positive("pulse frequency", pulse_frequency, "rad/s")

    def surplus(a: float) -> float:
        s = math.asin(1.0 / a)
        lean = w * math.cos(s) + p * math.sin(s) + w * math.exp(-p * (math.pi - s) / w)
        return a * p * lean / (p**2 + w**2) - 1.0

    return float(brentq(surplus, 1.0, 2.0 * math.hypot(1.0, w / p), xtol=1e-13))


def step_overshoot(damping_ratio: float) -> float:
    """Greatest response of a linear oscillator to a load put on suddenly, over its static response.

    Parameters
    ----------
    damping_ratio : float
        Share of critical damping [1], 0 to below 1.

    Returns
    -------
    float
        Greatest over static response [1]; 2 without damping.

    Raises
    ------
    ValueError
        If the damping ratio is outside its range.

    Notes
    -----
    1 + exp(-pi z / sqrt(1 - z^2)). Source: [StepResponseNotes]
    """
    z = below("damping ratio", not_negative("damping ratio", damping_ratio), 1.0)
    return 1.0 + math.exp(-math.pi * z / math.sqrt(1.0 - z * z))


def ramp_overshoot(rise_time: float, period: float) -> float:
    """Greatest response of an undamped oscillator to a load that rises evenly and stays, over its static response.

    Parameters
    ----------
    rise_time : float
        How long the load takes to rise [s].
    period : float
        Natural period [s].

    Returns
    -------
    float
        Greatest over static response [1]: 2 for a sudden load, 1 for a rise that lasts a whole period.

    Raises
    ------
    ValueError
        If the rise time is negative or the period not greater than 0.

    Notes
    -----
    1 + |sin(x)| / x, x = pi t_r / T. Source: [Biggs1964]
    """
    x = math.pi * not_negative("rise time", rise_time, "s") / positive("period", period, "s")
    return 2.0 if x == 0.0 else 1.0 + abs(math.sin(x)) / x
