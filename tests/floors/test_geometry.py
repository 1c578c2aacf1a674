"""Plan geometry of a floor and of a route: what lies under a patch, how far things are, where tyres go."""

from __future__ import annotations

from itertools import pairwise
from math import atan2, hypot, inf, pi, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tipline.floors.answers.plan import lines_of
from tipline.floors.places.patch import Patch
from tipline.floors.places.route import Standing, path, tracks
from tipline.floors.places.zones import cavity_outline, near, under
from tipline.model.floor import Floor
from tipline.model.plane import inside, nearest_sides, rectangle, rectangle_about, shared_area, to_line, to_outline
from tipline.model.slab import Cavity

angles = st.floats(-pi, pi)
small = st.floats(-3.0, 3.0)
SQUARE = ((0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0))


@given(small, small, angles)
def test_distance_and_inside_agree_on_a_turned_rectangle(x: float, y: float, heading: float) -> None:
    outline = rectangle_about((x, y), (2.0, 1.0), heading)
    assert inside((x, y), outline)
    assert to_outline((x, y), outline) == pytest.approx(0.5)
    far = (x + 10.0, y)
    assert not inside(far, outline)


@given(st.floats(0.05, 1.95), st.floats(0.05, 1.95), angles, st.floats(0.1, 0.8), st.floats(0.1, 0.8))
def test_overlap_is_never_more_than_the_patch_nor_less_than_nothing(
    x: float, y: float, heading: float, long: float, wide: float
) -> None:
    patch = rectangle_about((x, y), (long, wide), heading)
    shared = shared_area(patch, SQUARE)
    assert 0.0 <= shared <= long * wide * (1 + 1e-9)


def test_a_patch_half_over_a_side_shares_half() -> None:
    assert shared_area(rectangle_about((2.0, 1.0), (0.4, 0.3), 0.0), SQUARE) == pytest.approx(0.06)
    assert shared_area(rectangle_about((3.0, 1.0), (0.4, 0.3), 0.0), SQUARE) == 0.0


def test_distance_to_a_piece_counts_its_ends() -> None:
    assert to_line((0.0, 1.0), [(-1.0, 0.0), (1.0, 0.0)]) == pytest.approx(1.0)
    assert to_line((2.0, 1.0), [(-1.0, 0.0), (1.0, 0.0)]) == pytest.approx(sqrt(2.0))


def test_the_other_side_is_one_that_runs_across() -> None:
    sides = [((0.0, 0.0), (9.0, 0.0)), ((0.0, 0.5), (9.0, 0.5)), ((0.0, 0.0), (0.0, 9.0))]
    assert nearest_sides((3.0, 0.1), sides) == (pytest.approx(0.1), pytest.approx(3.0))
    assert nearest_sides((3.0, 0.1), []) == (inf, inf)


def test_a_rectangle_turns_about_its_corner() -> None:
    corners = rectangle((1.0, 1.0), (2.0, 1.0), pi / 2)
    assert corners[1] == pytest.approx((1.0, 3.0))
    assert corners[3] == pytest.approx((0.0, 1.0))


def test_a_straight_route_keeps_the_tyres_apart_and_pointing_along() -> None:
    places = path([(0.0, 0.0), (3.0, 4.0)], 2.0)
    assert places[0].at == (0.0, 0.0)
    assert places[-1].at == pytest.approx((3.0, 4.0))
    assert {round(place.heading, 9) for place in places} == {round(atan2(4.0, 3.0), 9)}
    for front, rear in zip(*tracks(places, {"front": (0.0, 0.6), "rear": (-2.0, 0.6)}).values(), strict=True):
        assert hypot(front[0] - rear[0], front[1] - rear[1]) == pytest.approx(2.0)


def test_a_reversed_route_points_the_other_way() -> None:
    forward, back = (path([(0.0, 0.0), (5.0, 0.0)], 2.0, reverse) for reverse in (False, True))
    assert abs(abs(back[0].heading - forward[0].heading) - pi) < 1e-12


@pytest.mark.parametrize("radius", [0.0, 1.0, 2.5])
def test_a_corner_is_an_arc_of_the_radius_and_steps_stay_small(radius: float) -> None:
    places = path([(0.0, 0.0), (10.0, 0.0), (10.0, 10.0)], radius)
    steps = [hypot(b.at[0] - a.at[0], b.at[1] - a.at[1]) for a, b in pairwise(places)]
    assert max(steps) <= 0.1 + 1e-9
    assert places[-1].heading == pytest.approx(pi / 2)
    middle = (10.0 - radius, radius)
    turning = [place for place in places if 0.02 < place.heading < pi / 2 - 0.02]
    assert turning
    for place in turning:
        assert hypot(place.at[0] - middle[0], place.at[1] - middle[1]) == pytest.approx(radius, abs=1e-9)


def test_a_turning_truck_swings_its_steer_tyres_wider_than_its_line() -> None:
    places = path([(0.0, 0.0), (10.0, 0.0), (10.0, 10.0)], 2.0)
    rear = tracks(places, {"rear-right": (-2.0, -0.6)})["rear-right"]
    assert min(y for _, y in rear) < -0.8


@pytest.mark.parametrize("points", [[(0.0, 0.0)], [(0.0, 0.0), (0.0, 0.0)], [(0.0, 0.0), (5.0, 0.0), (0.0, 0.0)]])
def test_a_route_that_is_none_is_refused(points: list[tuple[float, float]]) -> None:
    with pytest.raises(ValueError, match="route"):
        path(points, 1.0)


FLOOR = Floor.model_validate(
    {
        "name": "f",
        "title": "f",
        "zone": [
            {
                "name": "slab",
                "kind": "slab",
                "below": "soil",
                "corner": [0.0, 0.0],
                "size": [10.0, 8.0],
                "outer_edge": "free",
                "joint": [{"kind": "contraction", "line": [(0.0, 4.0), (10.0, 4.0)], "load_transfer": 0.5}],
                "cavity": [{"at": (5.0, 4.0), "radius": 0.5}],
            },
            {"name": "pit", "kind": "hole", "corner": [2.0, 1.0], "size": [1.0, 1.0], "depth": 0.4},
        ],
    }
)


def patch(x: float, y: float) -> Patch:
    return Patch("t", (x, y), 0.0, 0.3, 0.3, 5e4)


@pytest.mark.parametrize(("outer", "kind"), [("free", "free edge"), ("joined", "joint")])
def test_the_plan_draws_the_outer_edge_of_a_slab_as_what_it_is(outer: str, kind: str) -> None:
    slab = FLOOR.zone[0].model_copy(update={"outer_edge": outer})
    lines = lines_of(FLOOR.model_copy(update={"zone": (slab,)}))
    assert lines[0] == ("joint", ((0.0, 4.0), (10.0, 4.0)))
    corners = ((0.0, 0.0), (10.0, 0.0), (10.0, 8.0), (0.0, 8.0))
    sides = {frozenset(side) for side in zip(corners, (*corners[1:], corners[0]), strict=True)}
    assert [name for name, _ in lines[1:]] == [kind] * 4
    assert {frozenset(side) for _, side in lines[1:]} == sides


@pytest.mark.parametrize("order", [(0, 1), (1, 0)])
def test_an_opening_counts_before_what_it_lies_in_wherever_it_stands_in_the_file(order: tuple[int, int]) -> None:
    floor = FLOOR.model_copy(update={"zone": tuple(FLOOR.zone[index] for index in order)})
    assert [zone.kind for zone, _ in under(floor, patch(2.5, 1.5))] == ["hole"]
    assert floor.zone_at((2.5, 1.5)) is floor.zone[order.index(1)]
    for x in (0.5, 2.2, 2.9, 5.0):
        here = [zone for zone, _ in under(floor, Patch("t", (x, 1.5), 0.0, 0.01, 0.01, 1e3))]
        assert here == [floor.part_at((x, 1.5))]


def test_shares_of_a_patch_add_up() -> None:
    found = under(FLOOR, patch(2.0, 1.5))
    assert {zone.name for zone, _ in found} == {"slab", "pit"}  # type: ignore[union-attr]
    assert sum(share for _, share in found) == pytest.approx(1.0)
    assert [zone.kind for zone, _ in under(FLOOR, patch(20.0, 20.0))] == ["rigid"]


def test_edges_joints_corners_and_cavities_are_found() -> None:
    around = near(FLOOR, FLOOR.zone[0], (9.0, 3.8), 0.17)
    assert around.edge == pytest.approx(1.0)
    assert around.joint == pytest.approx(0.2)
    assert around.other_joint == pytest.approx(1.0)
    assert around.joint_index == 0
    assert near(FLOOR, FLOOR.zone[0], (5.2, 4.0), 0.17).over
    assert not near(FLOOR, FLOOR.zone[0], (6.0, 4.0), 0.17).over


def test_the_rim_of_an_opening_is_a_free_edge() -> None:
    assert near(FLOOR, FLOOR.zone[0], (2.5, 2.3), 0.17).edge == pytest.approx(0.3)


def test_a_round_cavity_is_drawn_round() -> None:
    outline = cavity_outline(Cavity(at=(1.0, 2.0), radius=0.5))
    assert {round(hypot(x - 1.0, y - 2.0), 9) for x, y in outline} == {0.5}


def test_a_standing_truck_puts_points_where_its_heading_says() -> None:
    assert Standing((1.0, 2.0), pi / 2).point(-2.0, 0.5) == pytest.approx((0.5, 0.0))
