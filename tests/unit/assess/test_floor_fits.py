"""Our own fits of the slab modes against the plate elements they were made from, on other slabs as well."""

from __future__ import annotations

from math import inf

import pytest

from tipline.assess.floor.modes import SlabPlace, slab_modes
from tipline.assess.floor.place import Patch
from tipline.mechanics import plate_fe as fe
from tipline.mechanics.slab import Slab, relative_stiffness_radius

LOAD, SIDE, FAR = 7e4, 0.28, 5.0
SLABS = [Slab(0.15, 30e9, 0.2, 40e6), Slab(0.22, 30e9, 0.2, 60e6)]


def closed(slab: Slab, name: str, where: SlabPlace, cavity: float = 0.0) -> float:
    inputs = {
        "thickness": slab.thickness, "modulus": slab.modulus, "subgrade_reaction": slab.subgrade,
        "flexural_strength": 4e6, "edge_distance": 0.0, "joint_transfer": 0.0, "cavity_radius": cavity,
    }  # fmt: skip
    mode = next(mode for mode in slab_modes(where) if mode.name.startswith(name))
    return mode.asked(inputs)[0]


def place(edge: float = inf, other: float = inf, cavity: float = inf) -> SlabPlace:
    patch = Patch("t", (0.0, 0.0), 0.0, SIDE, SIDE, LOAD)
    return SlabPlace(patch, (), edge, other, edge, other, cavity, False)


def elements(slab: Slab, low: tuple[float, float], cavities: tuple[fe.Cavity, ...] = ()) -> fe.PlateAnswer:
    panel = fe.Panel(low, (FAR, FAR), slab)
    rule = fe.MeshRule(0.35, 0.16, 0.5)
    return fe.solve_plate(
        panel, [fe.Patch(0.0, 0.0, LOAD, SIDE, SIDE)], cavities, thick=True, lift_off=False, rule=rule
    )


@pytest.mark.parametrize("slab", SLABS, ids=["150 mm", "220 mm"])
@pytest.mark.parametrize("away", [0.0, 0.2, 0.5, 1.0])
def test_the_fade_from_an_edge_is_on_the_high_side(slab: Slab, away: float) -> None:
    edge = 0.5 * SIDE + away * relative_stiffness_radius(slab)
    found = elements(slab, (-FAR, -edge)).field.bottom.max()
    fit = closed(slab, "bending at a free edge", place(edge))
    assert 0.95 * found < fit < 1.35 * found


@pytest.mark.parametrize("away", [(0.0, 0.0), (0.3, 0.0), (0.3, 0.3)])
def test_the_fade_from_a_corner_is_within_a_fifth(away: tuple[float, float]) -> None:
    slab = SLABS[0]
    ell = relative_stiffness_radius(slab)
    first, second = (0.5 * SIDE + part * ell for part in away)
    found = elements(slab, (-first, -second)).field.top.max()
    fit = closed(slab, "bending at a corner", place(min(first, second), max(first, second)))
    assert 0.9 * found < fit < 1.35 * found


@pytest.mark.parametrize("slab", SLABS, ids=["150 mm", "220 mm"])
@pytest.mark.parametrize("radius", [0.4, 0.8])
def test_the_rise_over_a_cavity_inside_and_at_an_edge_is_about_that_of_the_elements(slab: Slab, radius: float) -> None:
    hollow = (fe.Cavity(0.0, 0.0, 2 * radius, 2 * radius),)
    for name, low, where in (
        ("bending inside", (-FAR, -FAR), place(cavity=0.0)),
        ("bending at a free edge", (-FAR, -0.5 * SIDE), place(0.5 * SIDE, cavity=0.0)),
    ):
        rise = elements(slab, low, hollow).field.bottom.max() / elements(slab, low).field.bottom.max()
        fit = closed(slab, name, where, radius) / closed(slab, name, where)
        assert fit == pytest.approx(rise, abs=0.09), name
        assert fit > 1.0
