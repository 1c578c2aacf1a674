"""The ways in which a floor can give under a tyre: each mode's demand and strength from one set of inputs.

A mode is asked with inputs by name (thickness, strengths, subgrade ...), so that the same function answers for the
likely floor and for every corner of what is not known. Formulas are those of `mechanics`; what stands here is which of
them a tyre at a place asks for, and the factor between expected strength and planning limit.

Source: [Westergaard1926], [Westergaard1948], [Ioannides1985], [Meyerhof1962], [EN1992], [ACI318], [Own] (near edges,
cavities)
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from math import atan2, cos, inf, isfinite, pi, sin, sqrt
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from tipline.elementwise import exp, greater, is_array, lesser, log, where
from tipline.floors.modes.mode import Factor, Inputs, Mode
from tipline.floors.places.patch import Patch
from tipline.mechanics import punching
from tipline.mechanics import slab as plain
from tipline.mechanics.collapse import collapse_load, meshed_moment, meyerhof_load, plain_moment
from tipline.mechanics.joints import planning_stress_transfer
from tipline.mechanics.slab_near import (
    ACROSS_AN_EDGE,
    ALONG_AN_EDGE,
    cavity_rise,
    corner_top,
    edge_part,
    other_edge_part,
)
from tipline.model.plane import Point

__all__ = ["BENDING", "NEAR", "SlabPlace", "slab_modes", "slab_of"]

Where = Literal["interior", "edge", "corner"]


@dataclass(frozen=True)
class SlabPlace:
    """A tyre on a slab: its patch, the other tyres near, and what is near; distances [m] from its middle, inf = none.

    ``to_edge``, ``to_other_edge``: the nearest free edge and the nearest across it; ``to_joint`` and
    ``to_other_joint``: the same with joints counted as edges. ``cavity``: distance from the middle of the patch to the
    middle of the nearest cavity, and whether that cavity is said to be there (else only not ruled out).
    ``edge_along``, ``joint_along``: direction in plan of the nearest edge, and of the nearest with joints counted as
    edges [rad]; None where it is not known.
    """

    patch: Patch
    others: tuple[tuple[Point, float, float], ...] = ()
    to_edge: float = inf
    to_other_edge: float = inf
    to_joint: float = inf
    to_other_joint: float = inf
    cavity: float = inf
    over_cavity: bool = False
    joint_anywhere: bool = False
    reinforcement: str = "none"
    edge_along: float | None = None
    joint_along: float | None = None


BENDING = Factor(
    1.7,
    "1.7 to 2.0 on the modulus of rupture of plain slabs on the ground; from memory, no text seen",
    ("PCAThickness",),
)
CRACKS = "cracks"
CRACK_NOTE = "a crack is a loss of stiffness, not yet a breakthrough"
CAVITY_FADE = 3.0
"""How fast what a cavity adds fades, per l that the patch stands beside it: own plate elements, on their high side."""
HALF_SIDE = 0.5 * sqrt(pi)
"""Half the side of a square over the radius of the circle of its area, by definition."""
WIDEST = 0.5
"""Part of l up to which a patch is counted: smaller with the same load asks for more (our choice)."""
NEAR = 2.5
"""Edges and joints farther off than this change the stress by less than anyone knows it: own plate elements [m]."""
PLAIN_PUNCHING = Factor(2.7, "1.6 on the load over 0.6 on plain concrete in shear; from memory", ("ACI318",))
PUNCHING = Factor(
    2.4,
    "1.6 on the load by 1.5 on the concrete, above 1.6 over 0.75 of the other code; from memory",
    ("EN1992", "ACI318"),
)
MOST_STEEL = 0.02
"""Ratio of steel up to which it counts in punching (EN 1992-1-1, from memory)."""
COLLAPSE = Factor(2.4, "1.6 on the load by 1.5 on the concrete; from memory", ("EN1992", "TR34"))
PAST_CRACK = Factor(
    BENDING.value,
    "as on the first crack, which governs planning: plain concrete has no ductility to count on",
    BENDING.keys,
)
STEEL_INPUTS = ("steel_area", "steel_depth", "steel_yield", "compressive_strength")
SLAB_INPUTS = ("thickness", "flexural_strength", "modulus", "subgrade_reaction")


def slab_of(inputs: Inputs) -> plain.GroundSlab:
    """Return the slab of a set of inputs."""
    given = inputs["thickness"], inputs["modulus"], inputs.get("poisson", 0.2), inputs["subgrade_reaction"]
    return _slab_of_draws(_Same(given)) if is_array(given[0]) else _slab(*given)


class _Same:
    """Draws as the key of a cache: the same arrays, not equal ones."""

    def __init__(self, given: tuple[float, ...]) -> None:
        self.given = given

    def __hash__(self) -> int:
        return hash(tuple(map(id, self.given)))

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and all(a is b for a, b in zip(self.given, other.given, strict=True))


@lru_cache(maxsize=16)
def _slab_of_draws(same: _Same) -> plain.GroundSlab:
    return plain.GroundSlab(*same.given)


@lru_cache(maxsize=1024)
def _slab(thickness: float, modulus: float, poisson: float, subgrade: float) -> plain.GroundSlab:
    """Return a slab, checked once for the several ways to give that ask for it."""
    return plain.GroundSlab(thickness, modulus, poisson, subgrade)


def slab_modes(place: SlabPlace) -> Iterator[Mode]:
    """Yield the ways in which a slab on the ground can give under a tyre at a place."""
    yield from _bending_modes(place)
    if place.joint_anywhere:
        yield _at_hidden_joint(place)
    yield _breaking(place)
    yield _punching(place)


def _bending_modes(place: SlabPlace) -> Iterator[Mode]:
    cavity = ("cavity_radius",) if isfinite(place.cavity) else ()
    over = " over a cavity" if place.over_cavity else ""

    def mode(name: str, inputs: tuple[str, ...], stress: Callable[[Inputs], float], source: str) -> Mode:
        return Mode(
            name,
            "pressure",
            CRACKS,
            BENDING,
            source,
            SLAB_INPUTS + inputs,
            lambda x: (stress(x), x["flexural_strength"]),
            _notes(place),
            arrays=True,
        )

    yield mode(f"bending in mid-slab{over}", cavity, lambda x: _inside(place, x), "Westergaard 1926, special theory")
    if place.to_edge < NEAR:
        edge = ("edge_distance", *cavity)
        yield mode(f"bending at a free edge{over}", edge, lambda x: _edge(place, x), "Westergaard 1948")
    if place.to_joint < min(place.to_edge, NEAR):
        joint = ("edge_distance", "joint_transfer", *cavity)
        yield mode(f"bending at a joint{over}", joint, lambda x: _joint(place, x), "Westergaard 1948, less transfer")
    if place.to_other_joint < NEAR:
        corner = ("edge_distance", "joint_transfer", *cavity)
        source = "form of Ioannides 1985, fitted to own plate elements"
        yield mode(f"bending at a corner{over}", corner, lambda x: _corner(place, x), source)


def _at_hidden_joint(place: SlabPlace) -> Mode:
    """Return bending at a joint that nobody told of, ``hidden_joint`` away from the patch."""
    there = replace(place, to_joint=HALF_SIDE * place.patch.radius, to_other_joint=inf, joint_along=None)

    def ask(x: Inputs) -> tuple[float, float]:
        near = {**x, "edge_distance": -x["hidden_joint"], "joint_transfer": x["hidden_transfer"]}
        return _joint(there, near), x["flexural_strength"]

    inputs: tuple[str, ...] = (
        *SLAB_INPUTS,
        "hidden_joint",
        "hidden_transfer",
        *(("cavity_radius",) if isfinite(place.cavity) else ()),
    )
    name = "bending at a hidden joint"
    source = "Westergaard 1948, less transfer"
    return Mode(name, "pressure", CRACKS, BENDING, source, inputs, ask, _notes(place), arrays=True)


def _notes(place: SlabPlace) -> tuple[str, ...]:
    notes = [CRACK_NOTE]
    if isfinite(place.to_joint):
        notes.append("between edge, corner and inside, and for other tyres there: fitted to own plate elements")
    if isfinite(place.cavity):
        notes.append("rise over a cavity: fitted to own plate elements")
    return tuple(notes)


def _stress_inside(slab: plain.GroundSlab, load: float, radius: float) -> float:
    """Return the stress under a tyre far from edges, which several ways to give ask for with the same inputs."""
    if is_array(slab.thickness):
        return plain.interior(slab, load, radius).stress
    return _stress_kept(slab, load, radius)


@lru_cache(maxsize=1024)
def _stress_kept(slab: plain.GroundSlab, load: float, radius: float) -> float:
    return plain.interior(slab, load, radius).stress


def _reach(place: SlabPlace, slab: plain.GroundSlab) -> float:
    """Return the patch's radius as the formulas take it: of a wider patch on a thin slab no more counts."""
    return lesser(place.patch.radius, WIDEST * plain.relative_stiffness_radius(slab))


def _inside(place: SlabPlace, inputs: Inputs) -> float:
    slab = slab_of(inputs)
    own = _stress_inside(slab, place.patch.load, _reach(place, slab))
    return (own + _from_others(place, slab)) * (1.0 + _cavity(place, inputs, slab, "interior") / own)


def _edge(place: SlabPlace, inputs: Inputs, joint: bool = False) -> float:
    """Stress along an edge, or a joint taken as one: faded with the distance to that of a tyre inside.

    Other tyres add, or take off, moment along the edge. Another free edge across takes off in the end.
    """
    away, along = (place.to_joint, place.joint_along) if joint else (place.to_edge, place.edge_along)
    slab, load = slab_of(inputs), place.patch.load
    radius = _reach(place, slab)
    inside = _stress_inside(slab, load, radius)
    most = greater(plain.edge(slab, load, radius).stress, inside)
    half = HALF_SIDE * place.patch.radius
    part = edge_part(slab, greater(away - inputs.get("edge_distance", 0.0) - half, 0.0))
    own = inside + (most - inside) * part
    others = _along_edge(place, slab, along, part)
    cavity = (1.0 - part) * _cavity(place, inputs, slab, "interior") + part * _cavity(place, inputs, slab, "edge")
    both = greater(own + others, 0.0) * (1.0 + cavity / own)
    if not isfinite(place.to_other_edge):
        return both
    return both * other_edge_part(slab, max(place.to_other_edge - half, 0.0))


def _joint(place: SlabPlace, inputs: Inputs) -> float:
    free = _edge(place, inputs, joint=True)
    return greater(free * (1.0 - _transfer(inputs)), _inside(place, inputs))


def _corner(place: SlabPlace, inputs: Inputs) -> float:
    slab, load = slab_of(inputs), place.patch.load
    off, half = inputs.get("edge_distance", 0.0), HALF_SIDE * place.patch.radius
    near, other = (greater(apart - off - half, 0.0) for apart in (place.to_joint, place.to_other_joint))
    top = corner_top(slab, load, _reach(place, slab), near + other)
    part = 1.0 - _transfer(inputs) if place.to_edge > place.to_joint else 1.0
    return (top + _cavity(place, inputs, slab, "corner")) * part


def _transfer(inputs: Inputs) -> float:
    """Part of the stress that a joint takes off: less than what it takes off the deflection."""
    return planning_stress_transfer(inputs.get("joint_transfer", 0.0))


def _from_others(place: SlabPlace, slab: plain.GroundSlab) -> float:
    """Stress that the other tyres add at the bottom under this one; never taken off."""
    if not place.others:
        return 0.0
    return _others(slab, place.patch.at, place.others)


def _along_edge(place: SlabPlace, slab: plain.GroundSlab, along: float | None, part: float) -> float:
    """Stress along an edge that the other tyres add there, or take off: what they do inside, more the nearer the edge.

    Where nobody knows how the edge runs it runs across the way to each of them, which adds most.
    """
    if not place.others:
        return 0.0
    if along is None:
        return (1.0 + (ACROSS_AN_EDGE - 1.0) * part) * _from_others(place, slab)
    on, off = (_others(slab, place.patch.at, place.others, along, across=across) for across in (False, True))
    return (1.0 + (ALONG_AN_EDGE - 1.0) * part) * on + (1.0 + (ACROSS_AN_EDGE - 1.0) * part) * off


Tyres = tuple[tuple[Point, float, float], ...]
STEPS = tuple(log(0.2) + k * (log(4.0) - log(0.2)) / 15 for k in range(16))
"""Logarithms of l [m] at which what other tyres give is computed (numerical)."""


@lru_cache(maxsize=256)
def _tensors(nu: float, at: Point, others: Tyres) -> NDArray[np.float64]:
    """Moments [N] that other tyres give at a point, over the steps of l, by tyre: they depend on l and nu alone."""
    from tipline.mechanics.slab_field import several_tyres

    stiffness = plain.flexural_stiffness(plain.GroundSlab(0.2, 30e9, nu, 1.0))
    reactions: float = np.array([stiffness / exp(step) ** 4 for step in STEPS])  # type: ignore[assignment]
    slabs = plain.GroundSlab(0.2, 30e9, nu, reactions)
    here = [at] * len(STEPS)
    return np.stack([several_tyres(slabs, [load], [a], [middle], here).moment for middle, load, a in others], axis=1)


@lru_cache(maxsize=256)
def _table(nu: float, at: Point, others: Tyres, along: float | None, across: bool) -> NDArray[np.float64]:
    """Moments [N] that other tyres give at a point, over the steps of l.

    The greatest in any direction, or those ``along`` a direction, only of what they give along, or across, the way to
    each of them.
    """
    tensors = _tensors(nu, at, others)
    if along is None:
        return np.maximum(np.linalg.eigvalsh(tensors.sum(axis=1))[:, 1], 0.0)
    moments = np.zeros(len(STEPS))
    for index, (other, _, _) in enumerate(others):
        way = atan2(other[1] - at[1], other[0] - at[0]) + (0.5 * pi if across else 0.0)
        axis = np.array([cos(way), sin(way)])
        moments += tensors[:, index] @ axis @ axis * cos(way - along) ** 2
    return moments


def _others(
    slab: plain.GroundSlab, at: Point, others: Tyres, along: float | None = None, *, across: bool = False
) -> float:
    moments = _table(slab.poisson, at, others, along, across)
    ell = plain.relative_stiffness_radius(slab)
    here = np.interp(log(ell), STEPS, moments)
    return 6.0 * (here if is_array(ell) else float(here)) / slab.thickness**2


def _cavity(place: SlabPlace, inputs: Inputs, slab: plain.GroundSlab, kind: Where) -> float:
    """Return what a cavity near adds to the stress under a tyre alone."""
    radius = inputs.get("cavity_radius", 0.0)
    if not isfinite(place.cavity):
        return 0.0
    gap = greater(place.cavity - radius - place.patch.radius, 0.0)
    fade = exp(-CAVITY_FADE * gap / plain.relative_stiffness_radius(slab))
    return cavity_rise(kind, slab, place.patch.load, radius) * fade


def _breaking(place: SlabPlace) -> Mode:
    """Return breaking in bending: by yield lines where reinforced, past the first crack where plain."""
    inputs: tuple[str, ...] = (*SLAB_INPUTS, *(("edge_distance", "joint_transfer") if place.to_joint < NEAR else ()))
    inputs += ("cavity_radius",) if isfinite(place.cavity) else ()
    event = "breaks through in bending"
    if place.reinforcement in ("mesh", "bars", "fibre"):
        inputs += ("fibre_residual",) if place.reinforcement == "fibre" else STEEL_INPUTS
        name, source = "collapse by yield lines", "yield lines in the form in use for concrete floors; from memory"
        return Mode(name, "force", event, COLLAPSE, source, inputs, lambda x: _yielding(place, x), arrays=True)
    note = "from first crack to Meyerhof's load of 1962, the likely value between them; two studies measured twice that"
    source = "first crack; Meyerhof 1962, from memory"
    inputs += ("past_first_crack",)
    name = "breaking after the first crack"
    return Mode(name, "force", event, PAST_CRACK, source, inputs, lambda x: _past(place, x), (note,), arrays=True)


def _stresses(place: SlabPlace, inputs: Inputs) -> dict[Where, float]:
    """Return the stress by the place that a formula takes the tyre to be at."""
    stresses: dict[Where, float] = {"interior": _inside(place, inputs)}
    if place.to_edge < NEAR:
        stresses["edge"] = _edge(place, inputs)
    elif place.to_joint < NEAR:
        stresses["edge"] = _joint(place, inputs)
    if place.to_other_joint < NEAR:
        stresses["corner"] = _corner(place, inputs)
    return stresses


def _where_worst(stresses: Mapping[Where, float], loads: Callable[[Where], float]) -> tuple[float, float]:
    """Return the greatest stress, and the load of the place that has it."""
    worst, load = stresses["interior"], loads("interior")
    for name, stress in stresses.items():
        more = stress > worst
        worst, load = where(more, stress, worst), where(more, loads(name), load)
    return worst, load


def _past(place: SlabPlace, inputs: Inputs) -> tuple[float, float]:
    """Load, and the load that breaks through: ``past_first_crack`` 0 is the crack, 1 Meyerhof's load, in ratio."""
    load, strength, slab = place.patch.load, inputs["flexural_strength"], slab_of(inputs)
    moment, radius = plain_moment(slab.thickness, strength), _reach(place, slab)
    stresses = _stresses(place, inputs)
    stress, late = _where_worst(stresses, lambda name: meyerhof_load(name, moment, slab, radius).load)
    crack = load * strength / stress
    late = greater(late * _alone(place, stresses["interior"], slab), crack)
    return load, crack * (late / crack) ** inputs["past_first_crack"]


def _alone(place: SlabPlace, inside: float, slab: plain.GroundSlab) -> float:
    """Part of a single tyre's collapse load that is left with other tyres and a cavity near: by the stress inside."""
    own = _stress_inside(slab, place.patch.load, _reach(place, slab))
    return lesser(1.0, own / inside)


def _yielding(place: SlabPlace, inputs: Inputs) -> tuple[float, float]:
    slab = slab_of(inputs)
    radius = _reach(place, slab)
    top = plain_moment(slab.thickness, inputs["flexural_strength"])
    if place.reinforcement == "fibre":
        bottom = inputs["fibre_residual"] * plain_moment(slab.thickness, 1.0)
    else:
        bottom = _steel_moment(inputs, slab.thickness)
    stresses = _stresses(place, inputs)
    kind: Literal["mesh", "fibre"] = "fibre" if place.reinforcement == "fibre" else "mesh"
    _, collapse = _where_worst(stresses, lambda name: collapse_load(name, bottom, top, slab, radius, kind).load)
    return place.patch.load, collapse * _alone(place, stresses["interior"], slab)


def _steel_moment(inputs: Inputs, thickness: float) -> float:
    """Return the moment of the lower steel; more of it than a section can use counts no further."""
    strength, steel = inputs["compressive_strength"], inputs["steel_yield"]
    depth = lesser(inputs["steel_depth"], thickness - 0.02)
    most = 0.99 * 0.36 * depth * 0.85 * strength / steel
    return meshed_moment(lesser(inputs["steel_area"], most), steel, depth, strength)


def _punching(place: SlabPlace) -> Mode:
    inputs: tuple[str, ...] = ("thickness", "compressive_strength")
    inputs += ("edge_distance",) if min(place.to_edge, place.to_joint) < NEAR else ()
    source, factor = "the lesser of ACI 318-19 14.5.5, plain concrete, and EN 1992-1-1 6.4; from memory", PLAIN_PUNCHING
    if place.reinforcement in ("mesh", "bars"):
        source, factor = "the lesser of ACI 318-19 22.6.5.2 and EN 1992-1-1 6.4, from memory", PUNCHING
        inputs += ("steel_depth", "steel_area")
    notes = (
        "a code's nominal strength stands for the expected one; tests mostly lie above it",
        "nothing counted for the ground under the plug",
    )
    event = "lets a plug through"
    return Mode("punching", "force", event, factor, source, inputs, lambda x: _punched(place, x), notes, arrays=True)


def _punched(place: SlabPlace, inputs: Inputs) -> tuple[float, float]:
    """Load, and the lesser of the loads that two codes let punch, without factors; plain slabs by their thickness."""
    patch, off = place.patch, inputs.get("edge_distance", 0.0)
    half = 0.5 * lesser(patch.length, patch.width)
    first, second = (greater(apart - off - half, 0.0) for apart in (place.to_joint, place.to_other_joint))
    strength, thickness = inputs["compressive_strength"], inputs["thickness"]
    if place.reinforcement in ("mesh", "bars"):
        depth = greater(lesser(inputs["steel_depth"], thickness - 0.02), 0.5 * thickness)
        steel = lesser(greater(inputs["steel_area"], 0.0) / depth, MOST_STEEL)
        by_aci = punching.two_way_aci(strength, patch.length, patch.width, depth, (first, second)).load
    else:
        depth, steel = thickness, 0.0
        by_aci = punching.plain_punching_aci(strength, patch.length, patch.width, depth, (first, second)).load
    other = punching.punching_en(strength, patch.length, patch.width, depth, steel, (first, second), partial=1.0).load
    return patch.load, lesser(by_aci, other)
