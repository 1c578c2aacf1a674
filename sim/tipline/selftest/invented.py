"""The invented truck of the derived checks; it resembles no real machine."""

from __future__ import annotations

from tipline.mechanics.rating import load_by_slope_test

__all__ = ["FRONT_TRACK", "LOAD_X", "PIVOT_HEIGHT", "WHEELBASE", "laden", "slope_load", "truck"]

WHEELBASE, FRONT_TRACK, PIVOT_HEIGHT = 1.90, 1.70, 0.45
FORK_FACE, LOAD_CENTRE = 0.55, 0.60
LOAD_X = FORK_FACE + LOAD_CENTRE
Parts = tuple[list[float], list[tuple[float, float, float]]]


def truck(extension: float = 0.0, slabs: int = 0) -> Parts:
    """Mass [kg] and centre [m] of chassis, counterweight, mast and ballast slabs, forks empty."""
    mass = [9000.0, 6000.0, 1800.0, 500.0 * slabs]
    return mass, [
        (-1.1, 0.0, 0.65),
        (-2.0 - extension, 0.0, 0.80),
        (0.35, 0.0, 1.30),
        (-2.1 - extension, 0.0, 1.10),
    ]


def laden(load: float, load_z: float) -> Parts:
    """Parts of the truck at home without slabs, and a load [kg] on the forks with its centre load_z [m] up."""
    mass, centre = truck()
    return [*mass, load], [*centre, (LOAD_X, 0.0, load_z)]


def slope_load(slope: float, fork_height: float, extension: float = 0.0, slabs: int = 0) -> float:
    """Load [kg] at the point of tipping forward on a slope [1], mast vertical, centre 0.6 m above the forks."""
    return float(load_by_slope_test(*truck(extension, slabs), LOAD_X, fork_height + LOAD_CENTRE, slope))
