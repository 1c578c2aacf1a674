"""Solids are closed, turn outward and have the volume of their formula."""

import math

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from tipline.geometry import solids
from tipline.geometry.pieces import mirrored


def mesh(solid: solids.Solid) -> trimesh.Trimesh:
    return trimesh.Trimesh(solid.vertices, solid.faces, process=False)


def polygon_area(sides: int, radius: float) -> float:
    return 0.5 * sides * radius**2 * math.sin(2 * math.pi / sides)


EXAMPLES = {
    "box": (solids.box((0, 0, 0), (1, 2, 3)), 6.0),
    "box, corners the other way": (solids.box((1, 0, 3), (0, 2, 0)), 6.0),
    "chamfered x": (solids.chamfered((0, 0, 0), (1, 2, 3), 0.1, "x"), 6.0 - 0.02),
    "chamfered y": (solids.chamfered((0, 0, 0), (1, 2, 3), 0.1, "y"), 6.0 - 0.04),
    "chamfered z": (solids.chamfered((0, 0, 0), (1, 2, 3), 0.1, "z"), 6.0 - 0.06),
    "concave prism": (solids.prism([(0, 0), (2, 0), (2, 1), (1, 1), (1, 2), (0, 2)], "y", 0, 2), 6.0),
    "clockwise prism": (solids.prism([(0, 0), (0, 2), (1, 2), (1, 0)], "x", 0, 2), 4.0),
    "disc": (solids.disc((0, 0, 1), 1.0, 0.2, sides=16), 0.2 * polygon_area(16, 1.0)),
    "bar": (solids.bar((0, 0, 0), (1, 1, 1), 0.1, 12), math.sqrt(3) * polygon_area(12, 0.1)),
    "bar across": (solids.bar((0, -1, 0), (0, 1, 0), 0.1, 12), 2 * polygon_area(12, 0.1)),
    "beam": (solids.beam((0, 0, 0), (3, 0, 4), 0.1, 0.2), 5 * 0.02),
    "ring": (
        solids.ring((0, 0, 1), [(0.5, -0.1), (1.0, -0.1), (1.0, 0.1), (0.5, 0.1)], 32),
        0.2 * (polygon_area(32, 1.0) - polygon_area(32, 0.5)),
    ),
}


@pytest.mark.parametrize("name", EXAMPLES)
def test_solids_are_closed_and_have_their_volume(name: str) -> None:
    solid, volume = EXAMPLES[name]
    made = mesh(solid)
    assert made.is_watertight
    assert made.is_winding_consistent
    assert made.volume == pytest.approx(volume)
    assert mesh(mirrored(solid)).volume == pytest.approx(volume)


def test_a_ring_touches_the_floor_with_its_tread() -> None:
    ring = solids.ring((0, 0, 0.4), [(0.2, -0.1), (0.4, -0.1), (0.4, 0.1), (0.2, 0.1)], 40)
    assert ring.vertices[:, 2].min() == pytest.approx(0.0, abs=1e-12)


def test_an_outline_elsewhere_has_the_same_faces_and_another_one_its_own() -> None:
    """An L of area 3 and, with as many corners, one whose notch is on the other side; 0.3 m and a third of one away."""
    l_shape, other = [(0, 0), (2, 0), (2, 1), (1, 1), (1, 2), (0, 2)], [(0, 0), (2, 0), (2, 2), (1, 2), (1, 1), (0, 1)]
    for outline in (l_shape, other):
        for ahead, up in ((0.0, 0.0), (0.3, 1.0 / 3.0), (-7.1, 4.7)):
            solid = solids.prism([(x + ahead, z + up) for x, z in outline], "y", 0, 2)
            assert mesh(solid).volume == pytest.approx(6.0)
            assert mesh(solid).is_watertight
            assert solid.vertices[:, 0].min() == pytest.approx(ahead)
    before = solids.prism_faces.cache_info().misses
    solids.prism([(x + 0.123, z - 0.456) for x, z in l_shape], "y", 0, 3)
    assert solids.prism_faces.cache_info().misses == before


def test_an_outline_that_crosses_itself_is_refused() -> None:
    with pytest.raises(ValueError, match="crosses itself"):
        solids.prism([(0, 0), (2, 2), (2, 0), (0, 2)], "y", 0, 1)


def test_tilting_back_moves_the_top_back_and_the_front_up() -> None:
    axis = (0.1, 0.4)
    top, tip = solids.tilted(np.array([(0.1, 0.0, 2.4), (1.1, 0.3, 0.4)]), math.radians(5), axis)
    assert top == pytest.approx([0.1 - 2.0 * math.sin(math.radians(5)), 0.0, 0.4 + 2.0 * math.cos(math.radians(5))])
    assert tip == pytest.approx([0.1 + math.cos(math.radians(5)), 0.3, 0.4 + math.sin(math.radians(5))])


CHAIN = st.lists(st.tuples(st.floats(-3, 1).map(lambda v: round(v, 3)), st.floats(0, 2)), min_size=2, max_size=9)


@given(lower=CHAIN, upper=CHAIN)
@settings(max_examples=60, deadline=None)
def test_any_two_chains_bound_a_closed_solid(
    lower: list[tuple[float, float]], upper: list[tuple[float, float]]
) -> None:
    ends = (-3.0, 0.5), (1.0, 0.5)
    outline = solids.outline_between((ends[0], *lower, ends[1]), (ends[0], *upper, ends[1]), 0.03)
    made = mesh(solids.prism(outline, "y", -0.5, 0.5))
    assert made.is_watertight
    assert made.volume >= 4.0 * 0.03 - 1e-9


def test_an_outline_between_apart_chains_is_left_as_it_is() -> None:
    lower, upper = ((0.0, 0.0), (1.0, 0.0), (1.0, 0.4), (2.0, 0.4)), ((0.0, 1.0), (2.0, 1.5))
    assert set(solids.outline_between(lower, upper, 0.03)) == {*lower, *upper}
