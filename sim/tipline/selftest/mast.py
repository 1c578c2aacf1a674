"""The mast by its sections: a printed cantilever, and numbers by hand."""

from __future__ import annotations

from collections.abc import Callable

from tipline.mechanics.mast import channel, lumped_joint, stage_flexibility, tied_shear_stiffness
from tipline.oracles.mast import overhanging_beam
from tipline.selftest.check import Check

__all__ = ["CHECKS"]

_END = 1e-9
"""Two rollers so near to each other [m] press as one force."""
STAGES, HELD, GRIP = ((0.2, 2.7), (2.0, 4.5), (3.8, 6.3)), (0.4, 1.2), (5.0, 5.6)
"""Three stages that run 0.7 m in each other, each of E I = 1 MN m2."""


def _clamped(length: float, stiffness: float, force: float, moment: float) -> tuple[float, float]:
    give = stage_flexibility([(0.0, length)], [stiffness], (0.0, 0.0), (length - _END, length)) @ (force, moment)
    return float(give[0]), float(give[1])


def _joint(force: float, moment: float) -> tuple[float, float]:
    flexible = stage_flexibility([(0.0, 3.0)], [3e6], (0.0, 0.0), (3.0 - _END, 3.0))
    return lumped_joint(flexible, 3.0, force, moment)


def _derived(name: str, what: str, printed: str, call: Callable[[], float], source: str = "BeamTables") -> Check:
    return Check(name, what, printed, source, "", "derived here", call)


CHECKS = (
    Check(
        "steel-cantilever",
        "End of a 5 m steel cantilever under 3000 N",
        "7.6 mm",
        "ToolBoxCantilever",
        "example, single load at the end",
        "seen in the source",
        lambda: _clamped(5.0, 200e9 * 8196e-8, 3000.0, 0.0)[0],
    ),
    _derived(
        "cantilever-moment",
        "End of a 3 m cantilever, E I = 3 MN m2, under 20 kN m",
        "30.0 mm",
        lambda: _clamped(3.0, 3e6, 0.0, 20e3)[0],
    ),
    _derived("mast-joint-moment", "Joint of a 3 m mast under a moment", "1.500 m", lambda: _joint(0.0, 1.0)[0]),
    _derived("mast-joint-force", "Joint of a 3 m mast under a force", "1.000 m", lambda: _joint(1.0, 0.0)[0]),
    _derived("mast-spring-moment", "Its spring, E I = 3 MN m2", "1.000 MN m/rad", lambda: _joint(0.0, 1.0)[1]),
    _derived("mast-spring-force", "Its spring under a force", "1.333 MN m/rad", lambda: _joint(1.0, 0.0)[1]),
    _derived(
        "mast-of-stages-moment",
        "Three stages that overlap, a moment turns the carriage",
        "0.003800 rad",
        lambda: float(stage_flexibility(STAGES, [1e6] * 3, HELD, GRIP)[1, 1] * 1e3),
    ),
    _derived(
        "mast-of-stages-force",
        "The same, a force moves it",
        "20.39 mm",
        lambda: float(stage_flexibility(STAGES, [1e6] * 3, HELD, GRIP)[0, 0] * 1e3),
    ),
    _derived(
        "mast-shear",
        "2 m cantilever that bends and shears, E I = 1 MN m2, S = 2 MN, 10 kN at the end",
        "36.67 mm",
        lambda: float(stage_flexibility([(0.0, 2.0)], [1e6], (0.0, 0.0), (2.0 - _END, 2.0), [2e6])[0, 0] * 1e4),
    ),
    _derived(
        "overhanging-beam",
        "End of a beam over its support by 2 m, span 0.8 m, E I = 1 MN m2, under 1 kN",
        "3.733 mm",
        lambda: float(overhanging_beam(0.8, 2.0, 1e6)[0, 0] * 1e3),
    ),
    _derived(
        "overhanging-beam-moment",
        "Its slope under 1 kN m",
        "0.002267 rad",
        lambda: float(overhanging_beam(0.8, 2.0, 1e6)[1, 1] * 1e3),
    ),
    _derived(
        "overhanging-beam-both",
        "Its slope under 1 kN",
        "0.002533 rad",
        lambda: float(overhanging_beam(0.8, 2.0, 1e6)[1, 0] * 1e3),
    ),
    _derived(
        "channel-fore-aft",
        "Second moment of a channel 200 x 75 x 8.5 x 11.5 mm, in m4",
        "0.00001927",
        lambda: channel(0.2, 0.075, 0.0085, 0.0115).fore_aft,
        "Own",
    ),
    _derived(
        "channel-sideways",
        "The same across, in m4",
        "0.000001706",
        lambda: channel(0.2, 0.075, 0.0085, 0.0115).sideways,
        "Own",
    ),
    _derived("channel-area", "Its area, in m2", "0.0032295", lambda: channel(0.2, 0.075, 0.0085, 0.0115).area, "Own"),
    _derived(
        "channel-centroid",
        "Its centroid from the back",
        "22.01 mm",
        lambda: channel(0.2, 0.075, 0.0085, 0.0115).centroid,
        "Own",
    ),
    _derived(
        "tied-channels",
        "Shear stiffness of two channels of 170.6 cm4 tied every 1.1 m",
        "5844 kN",
        lambda: tied_shear_stiffness(1.706e-6, 1.1, 2.1e11),
        "EN1993",
    ),
)
