"""The tyre's laws: forces that follow from one stored energy, friction that only takes energy, a brake that holds."""

from __future__ import annotations

from itertools import permutations
from math import acos, cos, pi, sin, sqrt

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.integrate import quad

from tipline.kernels import layout as at
from tipline.kernels.strips import place_cut, share_inside, strip
from tipline.kernels.tyre import bristle, part_strip, spin, whole_strip

Array = NDArray[np.float64]
RADIUS, WIDTH, LINE, RUBBER = 0.36, 0.30, 3.0e7, 0.095
MOST = 0.08
STRIP_WIDTH = WIDTH / at.STRIPS


@pytest.fixture
def tyre() -> Array:
    row = np.zeros(at.N_TYRE)
    row[at.T_R], row[at.T_W], row[at.T_K], row[at.T_HARD] = RADIUS, WIDTH, LINE, 1.5 / RUBBER**2
    row[at.T_RIM], row[at.T_K_RIM] = 0.6 * RUBBER, 20.0 * LINE
    return row


@pytest.fixture
def places() -> Array:
    """Two holes near each other, one turned, so that a strip meets edges, walls, a corner and a bridge."""
    rows = np.zeros((2, at.N_PLACE))
    rows[0, : at.P_HY + 1] = 0.0, 0.0, cos(0.3), sin(0.3), 0.25, 0.25
    rows[1, : at.P_HY + 1] = 0.6, 0.0, 1.0, 0.0, 0.25, 0.30
    return rows


DEPTH = np.array([0.115, 0.05])


def on_holes(tyre: Array, places: Array, x: float, y: float, z: float, heading: float) -> tuple[float, ...]:
    return strip(tyre, x, y, z, cos(heading), sin(heading), 1.0, places, DEPTH, np.zeros(2), False)


@pytest.mark.parametrize("d", [0.001, 0.005, 0.02, 0.05, 0.0569, 0.0571, 0.075, MOST])
def test_whole_strip_is_the_integral_of_its_bed(tyre: Array, d: float) -> None:
    """Closed form against quadrature of the local law k (u + c u^3) plus the rim's, over the chord."""
    h, share, rim = RADIUS - d, 1.0 / at.STRIPS, tyre[at.T_RIM]

    def local(s: float) -> float:
        u = sqrt(RADIUS**2 - s * s) - h
        return share * (LINE * (u + tyre[at.T_HARD] * u**3) + tyre[at.T_K_RIM] * max(0.0, u - rim))

    half = sqrt(RADIUS**2 - h * h)
    kink = sqrt(max(0.0, RADIUS**2 - (h + rim) ** 2))
    force = 2.0 * quad(local, 0.0, half, points=[kink] if kink else None, epsabs=1e-6, epsrel=1e-11)[0]
    assert whole_strip(tyre, h)[0] == pytest.approx(force, rel=1e-9)


@pytest.mark.parametrize("d", [0.003, 0.02, 0.05, 0.07])
def test_whole_strip_force_is_the_slope_of_its_energy(tyre: Array, d: float) -> None:
    h, e = RADIUS - d, 1e-6
    slope = (whole_strip(tyre, h - e)[1] - whole_strip(tyre, h + e)[1]) / (2.0 * e)
    assert whole_strip(tyre, h)[0] == pytest.approx(slope, rel=1e-6)


def test_small_compression_force_grows_with_the_power_one_and_a_half(tyre: Array) -> None:
    """F = 4/3 k sqrt(2 R) d^1.5 for d << R (parabola in place of the circle), the whole width; error of order d / R."""
    for d in (1e-5, 1e-4, 1e-3):
        parabola = 4.0 / 3.0 * LINE * sqrt(2.0 * RADIUS) * d**1.5
        hardening = 1.0 + 24.0 / 35.0 * tyre[at.T_HARD] * d * d  # integral of (1 - t^2)^3 over that of 1 - t^2
        assert at.STRIPS * whole_strip(tyre, RADIUS - d)[0] == pytest.approx(parabola * hardening, rel=0.3 * d / RADIUS)
    ratio = whole_strip(tyre, RADIUS - 2e-5)[0] / whole_strip(tyre, RADIUS - 1e-5)[0]
    assert ratio == pytest.approx(2.0**1.5, rel=1e-4)


@pytest.mark.parametrize(("d", "near"), [(0.005, 0.003), (0.03, 0.003), (0.055, 0.003), (0.07, 0.04)])
def test_part_of_unbroken_floor_adds_up_to_the_whole(tyre: Array, d: float, near: float) -> None:
    """Two parts cut anywhere carry the whole force: the quadrature is within 0.3 % of it, 4 % far past the rim."""
    h = RADIUS - d
    for cut in (-0.1, 0.0, 0.04):
        low, high = part_strip(tyre, h, -1.0, cut, False), part_strip(tyre, h, cut, 1.0, False)
        assert low[0] + high[0] == pytest.approx(whole_strip(tyre, h)[0], rel=near)
        assert low[3] == pytest.approx(high[2], rel=1e-12)


@pytest.mark.parametrize("seed", range(40))
def test_strip_forces_are_the_gradient_of_the_stored_energy(tyre: Array, places: Array, seed: int) -> None:
    """Random places over two holes: lift, push of edges and walls, against central differences of the energy."""
    rng = np.random.default_rng(seed)
    x, y, z = rng.uniform(-0.6, 1.1), rng.uniform(-0.4, 0.4), 0.335 - rng.uniform(0.0, 0.02)
    heading, e = rng.uniform(-0.4, 0.4), 1e-6
    force = on_holes(tyre, places, x, y, z, heading)

    def energy(dx: float, dy: float, dz: float) -> float:
        return on_holes(tyre, places, x + dx, y + dy, z + dz, heading)[1]

    slope = [-(energy(*(e * axis)) - energy(*(-e * axis))) / (2.0 * e) for axis in np.eye(3)]
    # 1 % of the vertical: the six-point quadrature of a part that ends at a free edge
    assert (force[2], force[3], force[0]) == pytest.approx(slope, abs=0.012 * max(whole_strip(tyre, z)[0], 1.0))


def test_an_edge_and_a_wall_do_push() -> None:
    """The push of an edge and of a wall exceeds a tenth of the load, else the gradient test proves nothing."""
    row = np.zeros(at.N_TYRE)
    row[at.T_R], row[at.T_W], row[at.T_K], row[at.T_HARD] = RADIUS, WIDTH, LINE, 1.5 / RUBBER**2
    row[at.T_RIM], row[at.T_K_RIM] = 0.6 * RUBBER, 20.0 * LINE
    hole = np.zeros((1, at.N_PLACE))
    hole[0, : at.P_HY + 1] = 0.0, 0.0, 1.0, 0.0, 0.25, 0.25
    depth = np.array([0.1])
    edge = strip(row, 0.20, 0.0, 0.33, 1.0, 0.0, 1.0, hole, depth, np.zeros(1), False)
    wall = strip(row, 0.0, 0.25, 0.33, 1.0, 0.0, 1.0, hole, depth, np.zeros(1), False)
    assert edge[2] < -0.1 * edge[0]
    assert wall[3] < -0.1 * wall[0]


@pytest.mark.parametrize(("dx", "dy"), [(1.0, 0.0), (0.0, 1.0), (0.7, 0.7)], ids=["along", "aside", "askew"])
def test_crossing_an_edge_is_continuous(tyre: Array, places: Array, dx: float, dy: float) -> None:
    """Load and push change by little over 0.2 mm, all the way from over the hole to beside it."""
    ways = np.arange(0.0, 0.8, 2e-4)
    values = np.array([on_holes(tyre, places[:1], s * dx, s * dy, 0.325, 0.1)[0:4] for s in ways])
    most = whole_strip(tyre, 0.325)[0]
    assert values[:, 0].max() > 0.9 * most
    jumps = np.abs(np.diff(values[:, (0, 2, 3)], axis=0)).max(axis=0)
    assert (jumps < 0.02 * most).all(), jumps / most


def test_over_a_hole_deeper_than_its_compression_the_strip_carries_nothing(tyre: Array) -> None:
    hole = np.zeros((1, at.N_PLACE))
    hole[0, : at.P_HY + 1] = 0.0, 0.0, 1.0, 0.0, 0.5, 0.5
    assert strip(tyre, 0.0, 0.0, 0.34, 1.0, 0.0, 1.0, hole, np.array([0.115]), np.zeros(1), False)[0] == 0.0


def test_at_the_bottom_of_a_wide_hole_the_strip_stands_as_on_the_floor(tyre: Array) -> None:
    hole, on = np.zeros((1, at.N_PLACE)), np.zeros(1)
    hole[0, : at.P_HY + 1] = 0.0, 0.0, 1.0, 0.0, 0.6, 0.5
    force = strip(tyre, 0.0, 0.0, 0.34 - 0.115, 1.0, 0.0, 1.0, hole, np.array([0.115]), on, False)
    # the quadrature has a part of the bed's six points here
    assert force[0] == pytest.approx(whole_strip(tyre, 0.34)[0], rel=2e-3)
    assert on[0] == pytest.approx(force[0], rel=1e-12)
    assert force[5] == pytest.approx(-0.115)


def two_places(shift: float, half: float, turned: float) -> Array:
    """A place at the origin, and one shifted ahead and turned that laps over it."""
    rows = np.zeros((2, at.N_PLACE))
    rows[0, : at.P_HY + 1] = 0.0, 0.0, 1.0, 0.0, 0.3, 0.4
    rows[1, : at.P_HY + 1] = shift, 0.0, cos(turned), sin(turned), half, 0.4
    return rows


@pytest.mark.parametrize(("shift", "half"), [(0.25, 0.3), (-0.25, 0.3), (0.0, 0.15), (0.05, 0.6)])
def test_ground_that_gives_way_beside_a_hole_does_not_fill_it(tyre: Array, shift: float, half: float) -> None:
    rows = two_places(shift, half, 0.0)
    for x in np.linspace(-0.4, 0.4, 17):
        alone = strip(tyre, x, 0.0, 0.31, 1.0, 0.0, 1.0, rows, np.array([0.05, 0.0]), np.zeros(2), True)
        both = strip(tyre, x, 0.0, 0.31, 1.0, 0.0, 1.0, rows, np.array([0.05, 1e-7]), np.zeros(2), True)
        assert both[:2] == pytest.approx(alone[:2], rel=1e-2, abs=0.02 * 1e3)


@pytest.mark.parametrize("depths", [(0.02, 0.06), (0.06, 0.02), (0.04, 0.04)])
@pytest.mark.parametrize(("shift", "half"), [(0.25, 0.3), (-0.25, 0.3), (0.0, 0.15), (0.05, 0.6)])
def test_the_push_in_places_that_lap_over_is_the_gradient_of_the_energy(
    tyre: Array, shift: float, half: float, depths: tuple[float, float]
) -> None:
    rows, depth, e = two_places(shift, half, 0.2), np.array(depths), 1e-6

    def look(x: float, z: float) -> tuple[float, ...]:
        return strip(tyre, x, 0.01, z, 1.0, 0.0, 1.0, rows, depth, np.zeros(2), True)

    felt = 0
    for x in np.linspace(-0.4, 0.4, 23):
        force, _, ahead, *_ = look(x, 0.29)
        felt += abs(ahead) > 100.0
        assert ahead == pytest.approx(
            -(look(x + e, 0.29)[1] - look(x - e, 0.29)[1]) / (2 * e), rel=0.02, abs=0.01 * force
        )
        assert force == pytest.approx(-(look(x, 0.29 + e)[1] - look(x, 0.29 - e)[1]) / (2 * e), rel=0.02, abs=50.0)
    assert felt > 1


def integrated(
    tyre: Array, x: float, y: float, h: float, heading: float, places: Array, depth: Array
) -> tuple[float, float, float, Array]:
    """Force, energy, moment and force on each place of one strip, summed point by point on the deepest floor there.

    Second route: a grid of the tread, the springs of each point at its own compression k (d + c d^3), no cuts. Across
    the strip the bed is pressed by the parabola 3/2 (1 - (2 t / w)^2), whose sum up to a wall is `share_inside`.
    """
    ex, ey, fine = cos(heading), sin(heading), 5e-4  # every end and wall lies between two points
    s = np.arange(-RADIUS + fine / 2, RADIUS, fine)[:, None]
    t = np.arange(-STRIP_WIDTH / 2 + fine / 2, STRIP_WIDTH / 2, fine)[None, :]
    px, py = x + s * ex - t * ey, y + s * ey + t * ex
    level, owner = np.zeros(px.shape), np.full(px.shape, -1)
    for index, (place, deep) in enumerate(zip(places, depth, strict=True)):
        dx, dy, cs, sn = px - place[at.P_X], py - place[at.P_Y], place[at.P_COS], place[at.P_SIN]
        inside = (abs(cs * dx + sn * dy) < place[at.P_HX]) & (abs(-sn * dx + cs * dy) < place[at.P_HY])
        owner = np.where(inside & (deep > level), index, owner)
        level = np.where(inside, np.maximum(level, deep), level)
    d = np.maximum(0.0, np.sqrt(RADIUS**2 - s * s) - h - level)
    assert d.max() < tyre[at.T_RIM]
    bed = LINE / at.STRIPS * 1.5 * (1.0 - (2.0 * t / STRIP_WIDTH) ** 2) * fine * fine / STRIP_WIDTH
    force, energy = bed * (d + tyre[at.T_HARD] * d**3), bed * (0.5 * d**2 + 0.25 * tyre[at.T_HARD] * d**4)
    on = np.array([force[owner == index].sum() for index in range(len(places))])
    return float(force.sum()), float(energy.sum()), float((force * s).sum()), on


def square(low: float, high: float, right: float, left: float) -> tuple[float, ...]:
    """A place by its ends ahead of the hub and its walls left of it."""
    return (low + high) / 2, (right + left) / 2, 1.0, 0.0, (high - low) / 2, (left - right) / 2


# The strip's chord on the floor is 0.18 m to both sides of the hub, its width 0.10 m.
LAPPING = {
    "one after the other": [square(-0.10, 0.03, -0.4, 0.4), square(-0.02, 0.09, -0.4, 0.4)],
    "apart": [square(0.03, 0.09, -0.4, 0.4), square(-0.09, -0.02, -0.4, 0.4)],
    "one within the other": [square(-0.03, 0.06, -0.4, 0.4), square(-0.10, 0.11, -0.4, 0.4)],
    "side by side, lapping": [square(-0.07, 0.10, -0.4, 0.02), square(-0.12, 0.04, -0.03, 0.4)],
    "side by side, apart": [square(-0.07, 0.10, -0.4, -0.02), square(-0.12, 0.04, 0.01, 0.4)],
    "one of them": [square(-0.07, 0.10, -0.4, 0.02)],
    "three ruts": [square(-0.10, 0.03, -0.4, 0.4), square(-0.02, 0.09, -0.4, 0.4), square(-0.14, 0.12, -0.4, 0.4)],
    "two ruts beside a third": [
        square(-0.07, 0.01, -0.4, 0.03),
        square(0.02, 0.10, -0.4, 0.03),
        square(-0.12, 0.07, 0.01, 0.4),
    ],
    "four": [
        square(-0.10, 0.03, -0.4, 0.4),
        square(-0.02, 0.06, -0.4, 0.4),
        square(-0.12, 0.10, -0.4, -0.02),
        square(-0.15, 0.14, -0.4, 0.4),
    ],
}


@pytest.mark.parametrize(
    "depths", [(0.04, 0.015, 0.01, 0.005), (0.02, 0.04, 0.03, 0.01)], ids=["first deeper", "second deeper"]
)
@pytest.mark.parametrize("turned", [0.0, 0.5 * pi, 0.3])
@pytest.mark.parametrize("name", LAPPING)
def test_a_strip_over_places_carries_the_sum_of_its_points_on_the_deepest_floor(
    tyre: Array, name: str, turned: float, depths: tuple[float, ...]
) -> None:
    h, cs, sn = 0.31, cos(turned), sin(turned)
    places = np.zeros((len(LAPPING[name]), at.N_PLACE))
    for row, (x, y, _, _, hx, hy) in zip(places, LAPPING[name], strict=True):
        row[: at.P_HY + 1] = cs * x - sn * y, sn * x + cs * y, cs, sn, hx, hy
    depth, on = np.array(depths[: len(places)]), np.zeros(len(places))
    force, energy, moment, each = integrated(tyre, 0.0, 0.0, h, turned, places, depth)
    found = strip(tyre, 0.0, 0.0, h, cs, sn, 1.0, places, depth, on, False)
    assert each.max() > 0.05 * force
    assert found[:2] == pytest.approx((force, energy), rel=1e-3)
    assert found[4] == pytest.approx(moment / force, abs=1e-4)
    assert found[5] == pytest.approx(-(each @ depth) / force, abs=2e-5)
    assert on == pytest.approx(each, rel=2e-3, abs=1e-9)


@pytest.mark.parametrize("order", list(permutations(range(3))))
def test_the_deepest_of_three_places_hold_a_strip_in_whatever_order_they_came(
    tyre: Array, order: tuple[int, ...]
) -> None:
    """The shallowest lies within the others, so the deepest floor at each point has no part of it."""
    rows = np.zeros((3, at.N_PLACE))
    rows[:, : at.P_HY + 1] = [*LAPPING["one after the other"], square(-0.08, 0.07, -0.4, 0.4)]
    places, depth, on = rows[list(order)], np.array([0.04, 0.02, 0.005])[list(order)], np.zeros(3)
    force, energy, _, each = integrated(tyre, 0.0, 0.0, 0.31, 0.0, places, depth)
    found = strip(tyre, 0.0, 0.0, 0.31, 1.0, 0.0, 1.0, places, depth, on, False)
    assert found[:2] == pytest.approx((force, energy), rel=1e-3)
    assert on == pytest.approx(each, rel=2e-3, abs=1e-9)
    assert on[order.index(2)] == 0.0


@pytest.mark.parametrize("name", ["three ruts", "two ruts beside a third", "four"])
def test_the_push_in_many_places_is_the_gradient_of_the_energy(tyre: Array, name: str) -> None:
    """Two of them were seen before: a rut of its own that came third was entered all at once, which gave 2 kJ."""
    rows, depth, e, felt = np.zeros((len(LAPPING[name]), at.N_PLACE)), np.array([0.045, 0.038, 0.02, 0.01]), 1e-6, 0
    rows[:, : at.P_HY + 1] = LAPPING[name]

    def look(x: float, y: float) -> tuple[float, ...]:
        return strip(tyre, x, y, 0.31, 1.0, 0.0, 1.0, rows, depth, np.zeros(len(rows)), True)

    for x in np.linspace(-0.3, 0.3, 31):
        force, _, ahead, aside, *_ = look(x, 0.013)
        felt += abs(ahead) > 100.0
        for push, dx, dy in ((ahead, e, 0.0), (aside, 0.0, e)):
            slope = -(look(x + dx, 0.013 + dy)[1] - look(x - dx, 0.013 - dy)[1]) / (2 * e)
            assert push == pytest.approx(slope, rel=0.02, abs=0.012 * force)
    assert felt > 5


def beside(far: float, turned: float) -> Array:
    """Holes of 0.6 m under both tyres of a pair `far` apart: each laps over the other's tread."""
    rows = np.zeros((2, at.N_PLACE))
    rows[0, : at.P_HY + 1] = 0.0, 0.0, 1.0, 0.0, 0.3, 0.3
    rows[1, : at.P_HY + 1] = 0.02, far, cos(turned), sin(turned), 0.3, 0.3
    return rows


@pytest.mark.parametrize("far", [0.2, 0.33, 0.5])
@pytest.mark.parametrize("y", [-0.05, 0.1, 0.22, 0.3, 0.4])
def test_nothing_jumps_where_the_other_place_becomes_the_deeper(tyre: Array, far: float, y: float) -> None:
    """Twins break through one after the other, and each is the deeper in turn."""

    def look(first: float, second: float) -> Array:
        depth = np.array([first, second])
        return np.array(strip(tyre, 0.05, y, 0.31, 1.0, 0.0, 1.0, beside(far, 0.0), depth, np.zeros(2), True)[:4])

    assert look(0.03, 0.03 + 1e-9) == pytest.approx(look(0.03 + 1e-9, 0.03), rel=1e-6, abs=1e-3)


@pytest.mark.parametrize("apart", [0.0, 1e-8, 1e-12, -1e-9, 1e-3])
def test_ends_of_two_places_that_all_but_meet_push_by_the_gradient(tyre: Array, apart: float) -> None:
    """Twins that break through at once make holes whose ends lie in line but for rounding."""
    rows, depth, e = beside(0.33, 0.0), np.array([0.05, 0.05]), 1e-6
    rows[1, at.P_X] = apart

    def look(x: float) -> tuple[float, ...]:
        return strip(tyre, x, 0.25, 0.34, 1.0, 0.0, 1.0, rows, depth, np.zeros(2), True)

    for x in (0.2, 0.25, 0.3, 0.35):
        assert look(x)[2] == pytest.approx(-(look(x + e)[1] - look(x - e)[1]) / (2 * e), rel=0.01, abs=20.0)
    assert look(0.25)[2] < -1e3


@pytest.mark.parametrize("far", [0.2, 0.33, 0.5])
@pytest.mark.parametrize("turned", [0.0, 0.15])
@pytest.mark.parametrize("depths", [(0.02, 0.06), (0.06, 0.02), (0.04, 0.04)])
def test_walls_of_places_side_by_side_push_by_the_gradient_of_the_energy(
    tyre: Array, far: float, turned: float, depths: tuple[float, float]
) -> None:
    rows, depth, e, felt = beside(far, turned), np.array(depths), 1e-6, 0

    def look(y: float, turn: float = 0.0) -> tuple[float, ...]:
        return strip(tyre, 0.05, y, 0.29, cos(turn), sin(turn), 1.0, rows, depth, np.zeros(2), True)

    for y in np.linspace(-0.37, far + 0.37, 29):
        force, _, _, aside, _, _, twist, _ = look(y)
        felt += abs(aside) > 100.0
        assert aside == pytest.approx(-(look(y + e)[1] - look(y - e)[1]) / (2 * e), rel=0.02, abs=0.01 * force)
        turning = -(look(y, e)[1] - look(y, -e)[1]) / (2 * e)
        assert twist == pytest.approx(turning, rel=0.03, abs=2e-3 * force)
    assert felt > 3


def test_share_of_a_strip_over_a_side_edge_runs_from_whole_to_none(places: Array) -> None:
    square = places[1]
    inside = [share_inside(y, 0.30, STRIP_WIDTH)[0] for y in (0.0, 0.25 - 1e-9, 0.30, 0.35 + 1e-9)]
    assert inside == pytest.approx([1.0, 1.0, 0.5, 0.0])
    kinds = [place_cut(square, 0.6, y, 1.0, 0.0, 0.36, STRIP_WIDTH)[5] for y in (0.0, 0.30, 0.36)]
    assert kinds == [1.0, 0.5, 0.0]


@pytest.mark.parametrize("aside", [0.05, 0.10, 0.20, 0.25])
def test_turning_past_45_degrees_in_a_hole_moves_the_energy_by_little(tyre: Array, aside: float) -> None:
    """There end walls and side walls change their parts; before, this step was 66 kJ."""
    hole = np.zeros((1, at.N_PLACE))
    hole[0, : at.P_HY + 1] = 0.0, 0.0, 1.0, 0.0, 0.35, 0.25

    def energy(turn: float) -> float:
        return strip(tyre, 0.02, aside, 0.19, cos(turn), sin(turn), 1.0, hole, np.array([0.15]), np.zeros(1), True)[1]

    assert energy(pi / 4) > 0.0
    assert abs(energy(pi / 4 + 1e-6) - energy(pi / 4 - 1e-6)) < 1500.0


def test_bristle_holds_below_friction_and_slides_at_it() -> None:
    kt, mu, load = 2e6, 0.6, 1e4
    fx, fy, bx, by, _ = bristle(0.0, 0.0, 0.5, 0.0, 1e-3, load, mu, kt, 0.0)
    assert (fx, fy) == pytest.approx((-1e3, 0.0))
    assert (bx, by) == pytest.approx((5e-4, 0.0))
    for _ in range(100):
        fx, fy, bx, by, _ = bristle(bx, by, 0.3, 0.4, 1e-3, load, mu, kt, 0.0)
    assert np.hypot(fx, fy) == pytest.approx(mu * load)
    assert (fx, fy) == pytest.approx((-0.6 * mu * load, -0.8 * mu * load), rel=1e-2)


@pytest.mark.parametrize("seed", range(10))
@pytest.mark.parametrize("ct", [0.0, 4e4])
def test_bristle_never_gains_energy(seed: int, ct: float) -> None:
    """What a bristle gives back over any path is no more than was put in."""
    rng = np.random.default_rng(seed)
    bx = by = 0.0
    work, least, lost = 0.0, 0.0, 0.0
    kt, dt = 2e6, 1e-3
    v = rng.normal(size=2)
    for _ in range(2000):
        v = 0.98 * v + 0.1 * rng.normal(size=2)
        load = max(0.0, 2e4 + 3e4 * rng.normal())
        fx, fy, bx, by, rubbed = bristle(bx, by, v[0], v[1], dt, load, 0.6, kt, ct)
        work -= (fx * v[0] + fy * v[1]) * dt
        lost += rubbed
        least = min(least, work)
        stored = 0.5 * kt * (bx * bx + by * by)
        assert work == pytest.approx(stored + lost, rel=1e-9, abs=1e-9)
        # a step's force is that at its end, so a step may give back half of kt (v dt)^2 at most
        assert rubbed >= -0.5 * kt * (v @ v) * dt * dt - 1e-9
    assert lost > 0.0
    assert least > -0.02 * lost


def test_bristle_of_an_unloaded_tyre_is_let_go() -> None:
    fx, fy, bx, by, lost = bristle(1e-3, 2e-3, 0.1, 0.1, 1e-3, 0.0, 0.6, 2e6, 4e4)
    assert (fx, fy, bx, by) == (0.0, 0.0, 0.0, 0.0)
    assert lost == pytest.approx(0.5 * 2e6 * 5e-6)


def test_held_brake_stops_the_wheel_with_just_the_torque_it_needs() -> None:
    w, held = spin(0.5, 0.0, 6.0, 200.0, 0.0, 1e4, 1e-3)
    assert w == 0.0
    assert held == pytest.approx(-(0.5 * 6.0 / 1e-3 + 200.0))
    w, held = spin(0.0, 0.0, 6.0, 900.0, 0.0, 1e3, 1e-3)
    assert (w, held) == pytest.approx((0.0, -900.0))


@pytest.mark.parametrize("w", [2.0, -2.0])
def test_weak_brake_slows_at_its_own_torque_and_never_turns_the_wheel_back(w: float) -> None:
    sign = 1.0 if w > 0 else -1.0
    new, held = spin(w, 0.0, 6.0, 0.0, 0.0, 300.0, 1e-3)
    assert held == pytest.approx(-300.0 * sign)
    assert new == pytest.approx(w - sign * 300.0 / 6.0 * 1e-3)
    for _ in range(200):
        w, held = spin(w, 0.0, 6.0, 0.0, 0.0, 300.0, 1e-3)
        assert w * sign >= 0.0
    assert w == 0.0


def test_brake_acts_between_wheel_and_truck() -> None:
    """On a truck that pitches, a locked wheel turns with it."""
    w, held = spin(0.0, 0.2, 6.0, 0.0, 0.0, 1e4, 1e-3)
    assert w == pytest.approx(0.2)
    assert held == pytest.approx(0.2 * 6.0 / 1e-3)


def test_contact_angle_of_a_chord_is_that_of_the_circle(tyre: Array) -> None:
    """A cut just inside the chord's end has energy there, one just outside has none."""
    d = 0.02
    half = RADIUS * sin(acos((RADIUS - d) / RADIUS))
    assert part_strip(tyre, RADIUS - d, -1.0, half * (1.0 - 1e-3), False)[3] > 0.0
    assert part_strip(tyre, RADIUS - d, -1.0, half * (1.0 + 1e-3), False)[3] == 0.0
    assert half < pi * RADIUS / 2
