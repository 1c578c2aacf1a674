"""Where a thing's centre of gravity lies, from scale readings: at both ends, and with one end lifted."""

from __future__ import annotations

from math import sqrt

from tipline.mechanics._ranges import not_negative, positive

__all__ = ["centre_between_scales", "height_by_lifting"]


def centre_between_scales(first: float, second: float, apart: float) -> float:
    """Level distance of the centre from the first of two supports.

    Parameters
    ----------
    first, second : float
        Readings under the two supports [kg or N], 0 or more, not both 0.
    apart : float
        Level distance between the supports [m].

    Returns
    -------
    float
        [m]

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    x = R2 a / (R1 + R2). Source: [TextbookMechanics]
    """
    whole = positive("sum of both readings", not_negative("first", first) + not_negative("second", second))
    return second * positive("apart", apart, "m") / whole


def height_by_lifting(level: float, lifted: float, total: float, apart: float, rise: float, support: float) -> float:
    """Height of the centre over the floor, from the reading under one end while the other end is lifted.

    Parameters
    ----------
    level : float
        Reading under the end that stays down, standing level [kg or N].
    lifted : float
        The same with the other end lifted [kg or N].
    total : float
        Whole weight [kg or N].
    apart : float
        Distance between the supports, along the thing [m].
    rise : float
        By how much the other end is lifted [m], below ``apart``.
    support : float
        Height of the points it turns about over the floor [m]: the axles of wheels, 0 for a thing on blocks.

    Returns
    -------
    float
        [m]

    Raises
    ------
    ValueError
        If a number is out of range, or the reading falls as the other end goes up by more than a centre at the floor
        would explain.

    Notes
    -----
    z = r + (R' - R) / W * a sqrt(a^2 - h^2) / h: tilted by asin(h / a), a centre z - r above the turning points moves
    back by (z - r) tan. Source: [TextbookMechanics]
    """
    base, up = positive("apart", apart, "m"), positive("rise", rise, "m")
    if up >= base:
        msg = f"rise {up:g} m: must be less than the {base:g} m between the supports"
        raise ValueError(msg)
    weight = positive("total", total)
    more = not_negative("lifted", lifted) - not_negative("level", level)
    height = not_negative("support", support, "m") + more / weight * base * sqrt(base**2 - up**2) / up
    return not_negative("height of the centre that follows", height, "m")
