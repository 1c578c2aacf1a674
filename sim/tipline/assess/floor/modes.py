"""The ways in which a floor can give under a tyre: each mode's demand and strength from one set of inputs.

A mode is asked with inputs by name (thickness, strengths, subgrade ...), so that the same function answers for the
likely floor and for every corner of what is not known. Formulas are those of `mechanics`; what stands here is which of
them a tyre at a place asks for, and the factor between expected strength and planning limit.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from math import exp, inf, isfinite

from tipline.assess.floor.place import Patch, Point
from tipline.mechanics import slab as plain

__all__ = ["BENDING", "CAVITY_RISE", "Mode", "SlabPlace", "bending_modes", "slab_of"]

Inputs = Mapping[str, float]


@dataclass(frozen=True)
class Factor:
    """Expected strength over planning limit, and where the number comes from."""

    value: float
    source: str


@dataclass(frozen=True)
class Mode:
    """One way to give: ``asked`` gives (demand, strength) in ``dimension`` for a set of the named inputs."""

    name: str
    dimension: str
    event: str
    factor: Factor
    source: str
    inputs: tuple[str, ...]
    asked: Callable[[Inputs], tuple[float, float]]
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class SlabPlace:
    """A tyre on a slab: its patch, the other tyres near, and what is near it; distances [m] from its middle, inf = none.

    ``to_edge``, ``to_other_edge``: the nearest free edge and the nearest across it; ``to_joint`` and
    ``to_other_joint``: the same with joints counted as edges. ``cavity``: distance from the middle of the patch to the
    middle of the nearest cavity, and whether that cavity is said to be there (else only not ruled out).
    """

    patch: Patch
    others: tuple[tuple[Point, float, float], ...] = ()
    to_edge: float = inf
    to_other_edge: float = inf
    to_joint: float = inf
    to_other_joint: float = inf
    cavity: float = inf
    over_cavity: bool = False
    plain: bool = True


BENDING = Factor(1.7, "1.7 to 2.0 on the modulus of rupture of plain slabs on the ground; from memory, no text seen")
CRACKS = "cracks; a crack is a loss of stiffness, not yet a breakthrough"
EDGE_FADE = 3.0
"""How fast an edge's part of the stress fades, per l away from it: own plate elements, on their high side."""
CORNER_FADE = 0.8
"""How fast a corner's tension at the top fades, per l away from both edges: own plate elements, within a tenth."""
CAVITY_RISE = {"interior": 0.14, "edge": 0.25, "corner": 0.48}
"""Rise of the stress over a cavity per radius of it over l: own plate elements, one slab, cavities up to 1.2 l."""
TRANSFER_MOST = 0.25
"""Most that a joint may take off the stress: less than it takes off the deflection (from memory)."""
SLAB_INPUTS = ("thickness", "flexural_strength", "modulus", "subgrade_reaction")


def slab_of(inputs: Inputs) -> plain.Slab:
    """Return the slab of a set of inputs."""
    return plain.Slab(inputs["thickness"], inputs["modulus"], inputs.get("poisson", 0.2), inputs["subgrade_reaction"])


def bending_modes(place: SlabPlace) -> Iterator[Mode]:
    """Yield the bending modes that a tyre at a place of a slab asks for."""
    cavity = ("cavity_radius",) if isfinite(place.cavity) else ()
    position = ("edge_distance",) if isfinite(place.to_joint) else ()
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
        )

    yield mode(f"bending inside{over}", cavity, lambda x: _inside(place, x), "Westergaard 1926, special theory")
    if isfinite(place.to_edge):
        edge = ("edge_distance", *cavity)
        yield mode(f"bending at a free edge{over}", edge, lambda x: _edge(place, x), "Westergaard 1948")
    if isfinite(place.to_joint) and place.to_joint < place.to_edge:
        joint = (*position, "joint_transfer", *cavity)
        yield mode(f"bending at a joint{over}", joint, lambda x: _joint(place, x), "Westergaard 1948, less transfer")
    if isfinite(place.to_other_joint):
        corner = (*position, "joint_transfer", *cavity)
        yield mode(f"bending at a corner{over}", corner, lambda x: _corner(place, x), "Ioannides 1985")


def _notes(place: SlabPlace) -> tuple[str, ...]:
    notes = []
    if isfinite(place.to_joint) and place.others:
        notes.append("other tyres added as far from edges: approximate near one")
    if isfinite(place.cavity):
        notes.append("rise over a cavity: fitted to own plate elements of one slab")
    return tuple(notes)


def _inside(place: SlabPlace, inputs: Inputs) -> float:
    slab = slab_of(inputs)
    stress = plain.interior(slab, place.patch.load, place.patch.radius).stress + _from_others(place, slab)
    return stress * _cavity(place, inputs, slab, "interior")


def _edge(place: SlabPlace, inputs: Inputs, away: float | None = None, kind: str = "edge") -> float:
    """Stress at a tyre near a free edge: that at the edge, faded with the distance to that of a tyre inside."""
    slab, load, radius = slab_of(inputs), place.patch.load, place.patch.radius
    ell = plain.relative_stiffness_radius(slab)
    inside = plain.interior(slab, load, radius).stress
    most = max(plain.edge(slab, load, radius).stress, inside)
    far = max((place.to_edge if away is None else away) - inputs.get("edge_distance", 0.0) - radius, 0.0)
    here = inside + (most - inside) * exp(-EDGE_FADE * far / ell)
    return (here + _from_others(place, slab) * here / inside) * _cavity(place, inputs, slab, kind)


def _joint(place: SlabPlace, inputs: Inputs) -> float:
    free = _edge(place, inputs, place.to_joint)
    return max(free * (1.0 - _transfer(inputs)), _inside(place, inputs))


def _corner(place: SlabPlace, inputs: Inputs) -> float:
    slab, load, radius = slab_of(inputs), place.patch.load, place.patch.radius
    ell = plain.relative_stiffness_radius(slab)
    off = inputs.get("edge_distance", 0.0)
    far = sum(max(apart - off - radius, 0.0) for apart in (place.to_joint, place.to_other_joint))
    top = plain.corner(slab, load, radius).stress * exp(-CORNER_FADE * far / ell)
    part = 1.0 - _transfer(inputs) if place.to_edge > place.to_joint else 1.0
    return top * part * _cavity(place, inputs, slab, "corner")


def _transfer(inputs: Inputs) -> float:
    """Part of the stress that a joint takes off: what it takes off the deflection is more."""
    return min(0.5 * inputs.get("joint_transfer", 0.0), TRANSFER_MOST)


def _from_others(place: SlabPlace, slab: plain.Slab) -> float:
    """Stress that the other tyres add at the bottom under this one; never taken off."""
    if not place.others:
        return 0.0
    return _others(slab, place.patch.at, place.others)


def _others(slab: plain.Slab, at: Point, others: tuple[tuple[Point, float, float], ...]) -> float:
    from tipline.mechanics.slab_field import several_tyres

    loads, radii, places = [one[1] for one in others], [one[2] for one in others], [one[0] for one in others]
    return float(several_tyres(slab, loads, radii, places, [at]).bottom[0])


def _cavity(place: SlabPlace, inputs: Inputs, slab: plain.Slab, kind: str) -> float:
    """Return the factor on the stress for a cavity near."""
    radius = inputs.get("cavity_radius", 0.0)
    if radius <= 0.0 or not isfinite(place.cavity):
        return 1.0
    ell = plain.relative_stiffness_radius(slab)
    gap = max(place.cavity - radius - place.patch.radius, 0.0)
    return 1.0 + CAVITY_RISE[kind] * min(radius / ell, 1.5) * exp(-EDGE_FADE * gap / ell)
