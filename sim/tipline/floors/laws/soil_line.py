"""How ground answers a tyre or a spreader that goes down into it: yield pressure, and its growth with the sinking.

The same bearing capacities that `demand` asks, at depth: the footing is as deep as its base (overburden, and depth
factors where the author has them), a tread's arc comes to bear as it sinks (`sunk_patch`), a load spreads to the layers
below through what is left of those above, and a granular platform is lost as it is punched through. All of it is given
as a pressure on the tyre's flat patch, or on the area that works under a spreader.

The simulation steps one line of two straight pieces for a part of the floor, that of the tyre that sinks deepest: it
starts at the expected bearing pressure, meets the computed resistance where that tyre is held, so its depth at rest is
that of the formulas, and again at the bottom, 0.5 m down. For a tyre that is held at the surface, of several the one
nearest to sinking, and for one that is held nowhere the knee is where the line follows best. The line lies nowhere more
than 6 % above the computed curve, for which it may end below it at the bottom; between its three points it may lie
below it, by two fifths at most for one soil and by half over layers (tested). Status: own, put together from those
formulas; not compared with tyres sinking in real ground.

Source: [Own]
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from typing import NamedTuple

from tipline.floors.known.bands import ZoneBands
from tipline.floors.known.ratio import drawn
from tipline.floors.modes.ground import GroundLayer, Sunk, ground_modes
from tipline.floors.modes.mode import Inputs
from tipline.floors.modes.of_zone import ground_of
from tipline.floors.modes.situation import Situation
from tipline.floors.modes.spreader import on_ground
from tipline.floors.places.patch import Patch
from tipline.mechanics.sinkage import sunk_patch
from tipline.model.ground import Ground

__all__ = ["BOTTOM", "FIRST", "SoilLine", "line_through", "sheet_line", "tyre_curve", "tyre_line"]

FIRST = 0.01
"""Least depth of the knee [m] (numerical: a step of the curve)."""
BOTTOM = 0.5
"""Where ground is taken as hard again (assumed) [m]."""
LEAST = 1e3
"""Ground carries this much, so that a run can go on [Pa] (numerical)."""
_STEP = 0.005
"""Step in which the curve is followed to its pressure [m] (numerical)."""
_COARSE = 0.01
"""Step in which the two pieces are laid through it [m] (numerical)."""
_ABOVE = 1.05
"""How far above the computed curve the second piece may lie (our choice)."""
Curve = Callable[[float], float]


class SoilLine(NamedTuple):
    """Yield pressure at the surface [Pa], its growth down to the knee [Pa/m], the knee [m], growth past it [Pa/m]."""

    start: float
    growth: float
    knee: float
    after: float

    def at(self, depth: float) -> float:
        """Return the yield pressure at a depth [Pa]."""
        first = min(depth, self.knee) if self.knee > 0.0 else depth
        return self.start + self.growth * first + self.after * (depth - first)


def tyre_line(
    met: Iterable[Situation],
    bands: ZoneBands,
    draw: Inputs,
    radii: Mapping[str, float],
    areas: Mapping[str, float] | None = None,
) -> SoilLine:
    """Return the line of bare ground under the tyres that meet it, alone and together; radii by tyre [m].

    areas: of the patch that the simulation steps under each tyre's load [m2], for its pressure is what the line is
    about; left out, that of the patch that is asked.
    """
    situations = list(met)
    last = {situation.patch.tyre: situation for situation in situations}
    together = [situation for situation in last.values() if situation.patch.members]
    alone = {situation.patch.tyre: situation for situation in situations if not situation.patch.members}
    curves = []
    for tyre, situation in alone.items():
        curve, part = tyre_curve(situation, bands, draw, radii[tyre]), 1.0
        beside = [each for each in together if tyre in each.patch.tyres]
        if beside:
            curve = _with(curve, situation, beside, bands, draw, radii[tyre])
        if areas is not None:
            part = situation.patch.area / areas[tyre]
        curves.append((_times(curve, part), situation.patch.pressure * part))
    return line_through(curves)


def _with(
    alone: Curve, situation: Situation, together: Sequence[Situation], bands: ZoneBands, draw: Inputs, radius: float
) -> Curve:
    """Return the pressure under a tyre at which ground yields, with what others near it put on the same ground.

    All of them go down alike, with the loads they stand with.
    """
    shares = [(tyre_curve(each, bands, draw, radius), each.patch.pressure) for each in together]

    def curve(depth: float) -> float:
        return min(alone(depth), *(situation.patch.pressure * at(depth) / pressure for at, pressure in shares))

    return curve


def _times(curve: Curve, part: float) -> Curve:
    return lambda depth: part * curve(depth)


def sheet_line(met: Sequence[Situation], bands: ZoneBands, draw: Inputs) -> tuple[SoilLine, float]:
    """Return the line of ground under a spreader, and the area that works [m2], by the heaviest of the tyres on it."""
    heaviest = max(met, key=lambda each: each.patch.load)
    assert heaviest.laid is not None
    assert isinstance(heaviest.zone, Ground)
    layers, platform, known = ground_of(heaviest.zone, bands)
    x = drawn({**known, **heaviest.laid.bands}, bands, draw)
    below = on_ground(heaviest.patch, heaviest.laid, x)

    def curve(depth: float) -> float:
        return _least(below, below, layers, platform, x, Sunk(depth, depth))

    return line_through([(curve, below.pressure)]), below.area


def tyre_curve(situation: Situation, bands: ZoneBands, draw: Inputs, radius: float) -> Curve:
    """Return the pressure on a tyre's flat patch at which ground is expected to yield, by depth of the patch [m]."""
    assert isinstance(situation.zone, Ground)
    layers, platform, known = ground_of(situation.zone, bands)
    x, patch = drawn(known, bands, draw), situation.patch
    long = min(max(each.length for each in patch.singles), 2.0 * radius)
    more = patch.length - long if patch.members else 0.0
    ends = 1 if situation.moving else 2

    def curve(depth: float) -> float:
        reach = sunk_patch(long, radius, depth, ends)
        return _least(patch, replace(patch, length=reach.length + more), layers, platform, x, Sunk(depth, reach.depth))

    return curve


def line_through(curves: Sequence[tuple[Curve, float]]) -> SoilLine:
    """Return the line of the curve, resistance by depth, that lets its pressure [Pa] sink deepest."""
    deepest, _, curve = max(
        ((_held(resistance, pressure), -resistance(0.0) / pressure, resistance) for resistance, pressure in curves),
        key=lambda it: it[:2],
    )
    depths = [_COARSE * step for step in range(round(BOTTOM / _COARSE) + 1)]
    there = [(depth, max(curve(depth), LEAST)) for depth in depths]
    if 0.0 < deepest < BOTTOM:
        knee = min(max(deepest, FIRST), BOTTOM - _STEP)
        return _bent(knee, max(curve(knee), LEAST), there)
    lines = [_bent(knee, here, there) for knee, here in there[2:-4:2]]
    return max(lines, key=lambda line: min(line.at(depth) / here for depth, here in there))


def _bent(knee: float, here: float, there: Sequence[tuple[float, float]]) -> SoilLine:
    """Return the line through a knee and both ends of a curve given by points; past the knee it is held down to it."""
    start, end = there[0][1], there[-1][1]
    past = [(_ABOVE * other - here) / (depth - knee) for depth, other in there if depth > knee]
    return SoilLine(start, (here - start) / knee, knee, min((end - here) / (BOTTOM - knee), *past))


def _held(curve: Curve, pressure: float) -> float:
    """Return the depth where a pressure is held first [m], 0 at the surface, the bottom where nowhere."""
    before = curve(0.0)
    if before >= pressure:
        return 0.0
    for step in range(1, round(BOTTOM / _STEP) + 1):
        here = curve(step * _STEP)
        if here >= pressure:
            return (step - 1 + (pressure - before) / (here - before)) * _STEP
        before = here
    return BOTTOM


def _least(
    patch: Patch, wide: Patch, layers: tuple[GroundLayer, ...], platform: str | None, x: Inputs, sunk: Sunk
) -> float:
    """Return the least pressure on a patch [Pa] at which one of the layers it has not left behind yields."""
    left = tuple(layer for layer in layers if not _passed(layer, x, sunk.lowest))
    over = platform if platform in {layer.start for layer in left} else None
    answers = (mode.ask(x) for mode in ground_modes(wide, left, over, 0.0, sunk))
    return min(patch.load * strength / demand for demand, strength in answers) / patch.area


def _passed(layer: GroundLayer, x: Inputs, depth: float) -> bool:
    """Whether a depth lies below a layer; one without a thickness goes on down."""
    thickness = x.get(layer.start + "thickness")
    return thickness is not None and sum(x[name] for name in layer.above) + thickness <= depth
