"""How far a broken slab lets a tyre down where soil lies under it: to where the soil carries what was punched out.

What breaks out is taken as a punching cone: the tyre's patch on top, wider below by the thickness times the cone's
slope, cut off at edges and joints. Its base is a footing. It settles as a rigid disc on the soil, more the nearer the
load comes to the bearing capacity (hyperbola); where the load is above the capacity it goes down to the depth at which
the same formulas as for bare ground hold it, the soil beside it and the depth factors helping, at most to the bottom
that bare ground has. The load is the tyre's, or what broke the slab where that is more, but no more than can stay on
it: its own and that of the heaviest other tyre, which it takes over when that one has gone down.

Own derivation from those formulas, not compared with broken floors. What it leaves out: friction and steel along the
cone, a base course between slab and soil that is not told of, water (the soil under a slab is taken as drained), and
that a slab which breaks in bending tilts down in pieces that spread the load wider: all of these make it less deep.

Source: [Own], [Kondner1963] (hyperbola)
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from tipline.closing_in import closed_in
from tipline.floors.laws.soil_line import BOTTOM
from tipline.floors.modes.ground import WATER, GroundLayer, Sunk, bearing_mode
from tipline.floors.modes.mode import Inputs
from tipline.floors.modes.situation import Situation
from tipline.floors.places.patch import Patch
from tipline.mechanics.subgrade import settlement_near_failure

__all__ = ["NEAR_JOINT", "SOIL", "let_down", "plug_base"]

CLOSE = 1e-4
"""How near to its depth a plug is found [m] (numerical)."""
LEAST = 0.01
"""What has broken out goes down at least so far (our choice: its edges spall; shallower places are not stepped) [m]."""

NEAR_JOINT = 0.6
"""A tyre nearer to a joint or an edge than this is asked at it (our choice: so far a flat cone reaches) [m]."""
SOIL = "soil_"
"""Front of the names of a slab's inputs that are of the soil under it."""
DRY = 5.0
"""Depth of the water under a slab (our choice: drained) [m]."""
POISSON = {True: 0.5, False: 0.3}
"""Poisson's ratio of soil that does not drain under the load, and of soil that does (common practice, no source)."""


def plug_base(situation: Situation, inputs: Inputs) -> Patch:
    """Return the base of the cone that a tyre punches out of a slab, as a patch."""
    patch, out = situation.patch, inputs["thickness"] * inputs["punching_cone"]
    near = [1.0 if apart < NEAR_JOINT else 2.0 for apart in (situation.near.joint, situation.near.other_joint)]
    return replace(patch, length=patch.length + near[1] * out, width=patch.width + near[0] * out)


def let_down(situation: Situation, inputs: Mapping[str, float], strength: float = 0.0) -> float:
    """Return how far down a tyre goes once it has broken a slab that held up to a ``strength`` [N], in m."""
    most = situation.patch.load + max((other.load for other in situation.others), default=0.0)
    base = replace(plug_base(situation, inputs), load=min(max(situation.patch.load, strength), most))
    undrained = f"{SOIL}undrained_strength" in inputs
    layer = GroundLayer("soil", undrained, SOIL, (), apparent=True)
    x = {**inputs, WATER: DRY, "author": 0.5}

    def bears(depth: float) -> float:
        return bearing_mode(base, layer, 0.0, Sunk(depth, depth)).ask(x)[1]

    down = _held(bears, base.pressure)
    borne = max(bears(down) * base.area, base.load)
    settled = settlement_near_failure(base.load, borne, base.radius, x[f"{SOIL}stiffness"], POISSON[undrained])
    return min(max(down + settled, LEAST), BOTTOM)


def _held(bears: Callable[[float], float], pressure: float) -> float:
    """Return the least depth at which a pressure is borne [m], of what bears more the deeper; at most the bottom."""
    if bears(0.0) >= pressure:
        return 0.0
    return closed_in(lambda depth: bears(depth) >= pressure, 0.0, BOTTOM, close=CLOSE)[1]
