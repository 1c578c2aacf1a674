"""The tilting-platform tests that a counterbalanced truck has passed, and how high its centre can lie at most."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["PLATFORM", "PlatformSlopes", "height_by_tilt_ahead", "height_by_tilt_aside"]


@dataclass(frozen=True)
class PlatformSlopes:
    """Slopes [1] of the tests of ISO 22915-2 and ASME B56.1 for counterbalanced trucks, all from memory.

    ``stacking``: laden, raised to full height, tilted ahead, up to 5 t rated and above. ``driving``: laden, lowered,
    tilted ahead. ``aside``: unladen, lowered, tilted sideways: a part, and as much again for each m/s of top speed,
    up to ``aside_most``.
    """

    light: float = 5000.0
    stacking_light: float = 0.04
    stacking: float = 0.035
    driving: float = 0.18
    aside_base: float = 0.15
    aside_by_speed: float = 0.0504
    aside_most: float = 0.40

    def stacks(self, rated: float) -> float:
        """Slope of the test with the load raised, for a rated load [kg]."""
        return self.stacking_light if rated < self.light else self.stacking

    def tilts_aside(self, speed: float) -> float:
        """Slope of the test sideways for a top speed [m/s]."""
        return min(self.aside_base + self.aside_by_speed * speed, self.aside_most)


PLATFORM = PlatformSlopes()


def height_by_tilt_ahead(spare: float, slope: float, weight: float, above: float) -> float:
    """Greatest height of a truck's own centre with which it stands on a slope that falls ahead.

    Parameters
    ----------
    spare : float
        Moment of truck and load about the front tyres on the level, holding it back [kg m].
    slope : float
        Tangent of the slope [1], above 0.
    weight : float
        The truck's own mass [kg].
    above : float
        Mass times height of all that is known of its own: the load, and by how much mast and carriage are raised
        [kg m].

    Returns
    -------
    float
        [m]; 0 or less where it cannot stand there at any height.

    Raises
    ------
    ValueError
        If slope or weight is not above 0.

    Notes
    -----
    spare >= s (W h + above), so h <= (spare / s - above) / W. Rigid: with tyres and mast that give the bound is lower,
    so this one errs to the high side. Source: [Own]
    """
    if slope <= 0.0 or weight <= 0.0:
        msg = "slope and weight must be above 0"
        raise ValueError(msg)
    return (spare / slope - above) / weight


def height_by_tilt_aside(half: float, slope: float, stop: float, pivot: float) -> float:
    """Greatest height of a truck's own centre with which it stands on a slope that falls to its side.

    Parameters
    ----------
    half : float
        Distance from the truck's middle to the line of its outer tyres where its centre lies [m].
    slope : float
        Tangent of the slope [1], above 0.
    stop : float
        Angle by which a pivoting steer axle lets the frame swing [rad]; 0 for a fixed one.
    pivot : float
        Height of the line that the frame swings about, where the centre lies [m].

    Returns
    -------
    float
        [m]

    Raises
    ------
    ValueError
        If half or slope is not above 0.

    Notes
    -----
    The frame has swung onto its stop: half - (h - p) phi >= s h, so h <= (half + p phi) / (s + phi). Small angles,
    rigid, tyres that do not give: it errs to the high side. Source: [Own]
    """
    if half <= 0.0 or slope <= 0.0:
        msg = "half and slope must be above 0"
        raise ValueError(msg)
    return (half + pivot * stop) / (slope + stop)
