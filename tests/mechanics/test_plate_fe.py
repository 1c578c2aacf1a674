"""Plate finite elements: theory, rate of convergence, two independent solvers, contact, joint, refusals."""

import contextlib
import math
from functools import cache

import numpy as np
import pytest

from few import slow_but
from tipline.errors import NumericalError
from tipline.mechanics import _plate_system
from tipline.mechanics.joints import planning_stress_transfer
from tipline.mechanics.plate_fe import (
    MeshRule,
    PlateAnswer,
    PlateCavity,
    PlateJoint,
    PlatePanel,
    PlatePatch,
    PlateSheet,
    solve_plate,
)
from tipline.mechanics.slab import GroundSlab, edge, flexural_stiffness, relative_stiffness_radius, resisting_radius
from tipline.mechanics.slab_field import several_tyres
from tipline.mechanics.spreaders import plate_over_gap_one_way, slab_patch, steel_on_soil
from tipline.oracles.slab import corner
from tipline.oracles.slab_field import disc_field
from tipline.selftest import recorded

SLAB = GroundSlab(0.20, 31e9, 0.2, 50e6)
ELL = relative_stiffness_radius(SLAB)
LOAD = 100e3
A = 0.15
DISC = PlatePatch(0.0, 0.0, LOAD, 2 * A, 2 * A, "disc")
WIDE = PlatePanel((-6 * ELL, -6 * ELL), (6 * ELL, 6 * ELL), SLAB)
FINE = MeshRule(finest=1.0 / 6.0)
EXACT = disc_field(SLAB, LOAD, A, [0.0])
STRESS = 6.0 * EXACT.radial[0] / SLAB.thickness**2


@cache
def _inside(finest: float = 0.25) -> PlateAnswer:
    return solve_plate(WIDE, [DISC], lift_off=False, rule=MeshRule(finest=finest))


def test_inside_within_one_percent_of_the_exact_plate():
    under = _inside().wheels[0]
    assert under.deflection == pytest.approx(EXACT.deflection[0], rel=0.01)
    assert under.bottom == pytest.approx(STRESS, rel=0.01)
    print(f"{_inside().seconds:.3f} s, {_inside().equations} equations")


@pytest.mark.slow
def test_deflection_converges_with_the_square_of_the_size_and_stress_no_slower():
    """Morley triangles: halving every element divides the error by about four."""
    small = PlatePanel((-2.0, -2.0), (2.0, 2.0), SLAB)
    sizes = (1.0, 0.5, 0.25, 0.125)
    rules = [MeshRule(finest=f, growth=0.5 * f, coarsest=f) for f in sizes]
    found = [solve_plate(small, [PlatePatch(0, 0, LOAD, 0.6, 0.6)], lift_off=False, rule=rule) for rule in rules]
    w, stress = (np.array([getattr(answer.wheels[0], name) for answer in found]) for name in ("deflection", "bottom"))
    rates = np.log2(np.abs(np.diff(w))[:-1] / np.abs(np.diff(w))[1:])
    print("rates", rates, "stress", stress)
    assert (rates > 1.6).all()
    assert (rates < 2.4).all()
    steps = np.abs(np.diff(stress))
    assert (steps[1:] < steps[:-1] / 4.0).all()


@pytest.mark.slow
def test_the_ground_carries_the_load_and_the_field_is_that_of_the_plate_without_end():
    answer = _inside()
    assert answer.reaction == pytest.approx(LOAD, rel=1e-8)
    r = np.hypot(*answer.field.point.T)
    near = (r > 0.01) & (r < 2.0 * ELL)
    exact = disc_field(SLAB, LOAD, A, r[near])
    np.testing.assert_allclose(answer.field.deflection[near], exact.deflection, atol=0.01 * EXACT.deflection[0])
    e = answer.field.point[near] / r[near, None]
    xx, yy, xy = answer.field.moment[near].T
    radial = xx * e[:, 0] ** 2 + yy * e[:, 1] ** 2 + 2.0 * xy * e[:, 0] * e[:, 1]
    np.testing.assert_allclose(radial, exact.radial, atol=0.02 * EXACT.radial[0])


@pytest.mark.slow
def test_several_tyres_as_by_superposition():
    places = [[0.0, 0.0], [1.1, 0.3]]
    sum_of = several_tyres(SLAB, [LOAD, 0.6 * LOAD], [A, 0.1], places, places)
    answer = solve_plate(WIDE, [DISC, PlatePatch(1.1, 0.3, 0.6 * LOAD, 0.2, 0.2, "disc")], lift_off=False, probe=places)
    np.testing.assert_allclose(answer.probe.bottom, sum_of.bottom, rtol=0.01)
    np.testing.assert_allclose(answer.probe.deflection, sum_of.deflection, rtol=0.01)


@pytest.mark.slow
def test_mirror_and_turn_leave_the_answer():
    cavity = PlateCavity(0.4, 0.2, 0.8, 0.5, "rectangle")
    one = solve_plate(PlatePanel((-2, -1), (3, 2), SLAB), [PlatePatch(0.5, 0.4, LOAD, 0.3, 0.2)], [cavity])
    mirrored = solve_plate(
        PlatePanel((-3, -1), (2, 2), SLAB),
        [PlatePatch(-0.5, 0.4, LOAD, 0.3, 0.2)],
        [PlateCavity(-0.4, 0.2, 0.8, 0.5, "rectangle")],
    )
    turned = solve_plate(
        PlatePanel((-1, -2), (2, 3), SLAB),
        [PlatePatch(0.4, 0.5, LOAD, 0.2, 0.3)],
        [PlateCavity(0.2, 0.4, 0.5, 0.8, "rectangle")],
    )
    for other in (mirrored, turned):
        np.testing.assert_allclose(other.wheels[0], one.wheels[0], rtol=5e-3)
        assert other.lifted_share == pytest.approx(one.lifted_share, abs=0.01)


@pytest.mark.slow
def test_full_contact_goes_with_the_load_and_lift_off_does_not():
    light, heavy = (solve_plate(WIDE, [PlatePatch(0, 0, p, 0.3, 0.3)], lift_off=False).wheels[0] for p in (1e5, 2e5))
    assert heavy.bottom == pytest.approx(2.0 * light.bottom)
    steel = PlatePanel((-1.5, -1.5), (1.5, 1.5), GroundSlab(0.02, 210e9, 0.3, 40e6), 7850.0)
    light, heavy = (solve_plate(steel, [PlatePatch(0, 0, p, 0.3, 0.3)]) for p in (2e4, 2e5))
    assert light.lifted_share < heavy.lifted_share
    assert heavy.wheels[0].deflection > 10.0 * light.wheels[0].deflection
    assert heavy.reaction == pytest.approx(2e5, rel=1e-6)


def test_without_load_the_slab_lies_flat():
    rest = solve_plate(WIDE, [PlatePatch(0.0, 0.0, 0.0, 0.3, 0.3)])
    assert np.abs(rest.field.deflection).max() < 1e-9
    assert rest.field.bottom.max() < 1.0


class _Ring:
    """Plate on springs around an axis, two-node Hermite elements: an independent solver for round cavities."""

    def __init__(self, slab: GroundSlab, outer: float, elements: int = 900) -> None:
        self.slab, self.r = slab, np.linspace(0.0, outer, elements + 1)

    def solve(self, load: float, patch: float, cavity: float) -> tuple[float, float]:
        """Deflection and tension at the middle."""
        D, nu, k, r = flexural_stiffness(self.slab), self.slab.poisson, self.slab.subgrade, self.r
        n = len(r)
        K, f = np.zeros((2 * n, 2 * n)), np.zeros(2 * n)
        node, weight = np.polynomial.legendre.leggauss(4)
        for e in range(n - 1):
            h = r[e + 1] - r[e]
            where = slice(2 * e, 2 * e + 4)
            for t, g in zip(0.5 * (node + 1.0), 0.5 * h * weight, strict=True):
                x = r[e] + t * h
                N = np.array(
                    [1 - 3 * t**2 + 2 * t**3, h * (t - 2 * t**2 + t**3), 3 * t**2 - 2 * t**3, h * (t**3 - t**2)]
                )
                d1 = np.array([-6 * t + 6 * t**2, h * (1 - 4 * t + 3 * t**2), 6 * t - 6 * t**2, h * (3 * t**2 - 2 * t)])
                d2 = np.array([-6 + 12 * t, h * (-4 + 6 * t), 6 - 12 * t, h * (6 * t - 2)])
                rr, tt = d2 / h**2, d1 / h / x
                bend = np.outer(rr, rr) + np.outer(tt, tt) + nu * (np.outer(rr, tt) + np.outer(tt, rr))
                K[where, where] += 2 * math.pi * x * g * (D * bend + (k if x > cavity else 0.0) * np.outer(N, N))
                f[where] += 2 * math.pi * x * g * N * (load / (math.pi * patch**2) if x < patch else 0.0)
        free = np.delete(np.arange(2 * n), 1)
        u = np.zeros(2 * n)
        u[free] = np.linalg.solve(K[np.ix_(free, free)], f[free])
        h = r[1] - r[0]
        curve = (-6 * u[0] - 4 * h * u[1] + 6 * u[2] - 2 * h * u[3]) / h**2
        return u[0], -6.0 * D * (1 + nu) * curve / self.slab.thickness**2


@pytest.mark.slow
def test_round_cavities_as_by_an_independent_solver_around_the_axis():
    ring = _Ring(SLAB, 6.0 * ELL)
    w0, s0 = ring.solve(LOAD, A, 0.0)
    assert w0 == pytest.approx(EXACT.deflection[0], rel=0.005)
    assert s0 == pytest.approx(STRESS, rel=0.005)
    base = _inside().wheels[0]
    for radius in (0.5, 1.0):
        w, s = ring.solve(LOAD, A, radius)
        cut = solve_plate(WIDE, [DISC], [PlateCavity(0, 0, 2 * radius, 2 * radius)], lift_off=False).wheels[0]
        assert cut.deflection == pytest.approx(w, rel=0.015)
        assert cut.bottom == pytest.approx(s, rel=0.01)
        assert cut.bottom > base.bottom


@pytest.mark.slow
def test_cavities_matter_more_at_a_corner_than_inside():
    inside = solve_plate(WIDE, [DISC], [PlateCavity(0, 0, 1.8, 1.8)]).wheels[0].bottom / _inside().wheels[0].bottom
    panel, tyre = PlatePanel((0.0, 0.0), (8 * ELL, 8 * ELL), SLAB), [PlatePatch(A, A, LOAD, 2 * A, 2 * A, "disc")]
    cut, whole = (
        solve_plate(panel, tyre, cavities).field.top.max() for cavities in ([PlateCavity(0, 0, 1.8, 1.8)], [])
    )
    assert cut / whole > 1.3 > inside > 1.1


def _second_library(half: float, side: float, count: int = 20) -> float:
    """Deflection of the middle: quarter of a slab of rectangular thin plates on nodal springs, by PyNiteFEA."""
    from Pynite import FEModel3D

    lines = np.concatenate(([0.0], half * (np.arange(1, count + 1) / count) ** 1.5))
    lines[np.argmin(np.abs(lines - side))] = side
    part = np.gradient(lines)
    part[[0, -1]] *= 0.5
    model = FEModel3D()
    model.add_material("concrete", SLAB.modulus, SLAB.modulus / 2.4, SLAB.poisson, 2400.0)
    for i, x in enumerate(lines):
        for j, y in enumerate(lines):
            model.add_node(f"N{i}-{j}", x, y, 0.0)
            model.def_support(f"N{i}-{j}", True, True, False, j == 0, i == 0, True)
            model.def_support_spring(f"N{i}-{j}", "DZ", SLAB.subgrade * part[i] * part[j])
    for i in range(count):
        for j in range(count):
            corners = [f"N{a}-{b}" for a, b in ((i, j), (i + 1, j), (i + 1, j + 1), (i, j + 1))]
            model.add_plate(f"P{i}-{j}", *corners, SLAB.thickness, "concrete")
            if max(lines[i + 1], lines[j + 1]) <= side:
                model.add_plate_surface_pressure(f"P{i}-{j}", LOAD / (4.0 * side**2), case="tyre")
    model.add_load_combo("all", {"tyre": 1.0})
    model.analyze_linear(check_stability=False)
    return abs(model.nodes["N0-0"].DZ["all"])


@pytest.mark.slow
def test_against_a_second_finite_element_library():
    half, side = 3.0 * ELL, 0.15
    second = _second_library(half, side)
    panel = PlatePanel((-half, -half), (half, half), SLAB)
    ours = solve_plate(panel, [PlatePatch(0, 0, LOAD, 2 * side, 2 * side)], lift_off=False).wheels[0].deflection
    print("second library", second, "ours", ours)
    assert second == pytest.approx(ours, rel=0.01)
    assert recorded("plate-deflection").pair == pytest.approx((1e3 * ours, 1e3 * second), rel=1e-4)


@pytest.mark.slow
def test_a_joint_shares_the_free_edge_and_hands_over_less_stress_than_deflection():
    panel, tyre = PlatePanel((-4.0, -4.0), (0.0, 4.0), SLAB), [PlatePatch(-A, 0.0, LOAD, 2 * A, 2 * A, "disc")]
    found = []
    for stiffness in (0.0, 1e7, 2e8, 1e12):
        answer = solve_plate(panel, tyre, joint=PlateJoint(stiffness, 4.0), lift_off=False, probe=[[0.0, 0.0]])
        other = np.argmin(np.hypot(*answer.beyond.point.T))
        loaded = answer.probe.deflection[0], answer.probe.bottom[0]
        found.append((*loaded, answer.beyond.deflection[other], answer.beyond.bottom[other]))
        assert answer.reaction == pytest.approx(LOAD, rel=1e-8)
    free = found[0]
    assert free[2] == pytest.approx(0.0, abs=1e-9)
    for w, s, w_other, s_other in found[1:]:
        assert w + w_other == pytest.approx(free[0], rel=2e-3)
        assert s + s_other == pytest.approx(free[1], rel=0.03)
        assert s_other / s <= w_other / w + 1e-9
        assert planning_stress_transfer(min(w_other / w, 1.0)) <= s_other / s
    assert found[-1][2] == pytest.approx(found[-1][0], rel=1e-3)


def test_a_tyre_across_a_joint_loads_both_panels():
    panel = PlatePanel((-3.0, -2.0), (0.0, 2.0), SLAB)
    answer = solve_plate(panel, [PlatePatch(0.0, 0.0, LOAD, 0.3, 0.3)], joint=PlateJoint(0.0, 3.0), lift_off=False)
    mirrored = answer.beyond.deflection.max()
    assert answer.field.deflection.max() == pytest.approx(mirrored, rel=0.01)
    assert answer.reaction == pytest.approx(LOAD, rel=1e-8)


@pytest.mark.slow
def test_a_steel_plate_on_a_slab_takes_its_share_of_stiffness_and_no_more():
    slab = GroundSlab(0.15, 30e9, 0.2, 50e6)
    panel, tyre = PlatePanel((-3, -3), (3, 3), slab), [PlatePatch(0, 0, 2e5, 0.32, 0.32)]
    bare = solve_plate(panel, tyre).wheels[0].bottom
    ratios = []
    for thickness in (0.012, 0.025, 0.05):
        answer = solve_plate(panel, tyre, plate=PlateSheet(0, 0, 2, 2, thickness))
        ratios.append(answer.wheels[0].bottom / bare)
        assert answer.reaction == pytest.approx(2e5, rel=1e-6)
        assert answer.steel.bottom.max() > 0.0
    assert 1.0 > ratios[0] > ratios[1] > ratios[2]
    share = slab.modulus * slab.thickness**3 / 0.96
    assert ratios[2] == pytest.approx(share / (share + 210e9 * 0.05**3 / 0.91), abs=0.05)
    assert slab_patch(0.32, 0.32, 0.05).pressure_per_load < 1.0 / 0.32**2


@pytest.mark.slow
def test_the_effective_area_stays_on_the_high_side_of_the_elements():
    for k in (20e6, 60e6):
        for t in (0.025, 0.05, 0.1):
            plate = GroundSlab(t, 210e9, 0.3, k)
            found = solve_plate(PlatePanel((-1, -1), (1, 1), plate, 7850.0), [PlatePatch(0, 0, 2e5, 0.3, 0.3)])
            by_area = steel_on_soil(2e5, plate, 2.0, 2.0, math.sqrt(0.09 / math.pi), 1.0)
            assert 1.0 < by_area.pressure / (k * found.field.deflection.max()) < 1.07
            assert 0.94 < by_area.stress / found.wheels[0].bottom < 1.25


@pytest.mark.slow
def test_a_plate_over_a_trench_stays_below_the_beam_of_its_effective_width():
    """The trench as a cavity of a plate on very stiff ground."""
    plate = GroundSlab(0.03, 210e9, 0.3, 2e11)
    panel = PlatePanel((-0.6, -0.75), (0.6, 0.75), plate, 7850.0)
    found = solve_plate(panel, [PlatePatch(0, 0, 1e5, 0.3, 0.3)], [PlateCavity(0, 0, 0.6, 2.0, "rectangle")])
    beam = plate_over_gap_one_way(1e5, 0.6, 1.5, 0.03, 0.3, 0.3)
    print("trench", found.wheels[0].bottom / 1e6, beam.stress / 1e6, found.lifted_share)
    assert 0.5 < found.wheels[0].bottom / beam.stress < 1.0


@pytest.mark.slow
def test_a_small_patch_is_spread_as_the_special_theory_does():
    small = PlatePatch(0, 0, LOAD, 0.06, 0.06, "disc")
    thick = solve_plate(WIDE, [small], lift_off=False, thick=True)
    b = resisting_radius(0.03, SLAB.thickness)
    assert thick.wheels[0].bottom == pytest.approx(6 * disc_field(SLAB, LOAD, b, [0.0]).radial[0] / 0.04, rel=0.01)
    thin = solve_plate(WIDE, [small], lift_off=False)
    assert thin.wheels[0].bottom > thick.wheels[0].bottom
    assert "overstates" in thin.warnings[0]
    assert thick.warnings == ()


def test_shear_in_a_thick_slab_is_told():
    stiff = GroundSlab(0.4, 30e9, 0.2, 900e6)
    answer = solve_plate(PlatePanel((-2, -2), (2, 2), stiff), [PlatePatch(0, 0, LOAD, 0.4, 0.4)], lift_off=False)
    assert "shear" in answer.warnings[-1]


@pytest.mark.parametrize(
    ("call", "match"),
    [
        (lambda: solve_plate(WIDE, []), "one patch or more"),
        (lambda: solve_plate(WIDE, [PlatePatch(6 * ELL, 0, LOAD, 0.3, 0.3)]), "wholly on the panel"),
        (lambda: solve_plate(WIDE, [DISC], [PlateCavity(0, 0, 40.0, 40.0)]), "nothing carries it"),
        (lambda: solve_plate(WIDE, [DISC], plate=PlateSheet(5.0, 0, 2.0, 2.0, 0.02)), "wholly on the panel"),
        (lambda: solve_plate(WIDE, [DISC], plate=PlateSheet(0.5, 0, 1.0, 1.0, 0.02)), "half on the steel plate"),
        (lambda: solve_plate(WIDE, [DISC], probe=[[99.0, 0.0]]), "points"),
        (lambda: PlatePanel((0, 0), (0, 1), SLAB), "panel length"),
        (lambda: PlatePanel((0, 0), (1, 1), SLAB, 0.0), "density"),
        (lambda: PlatePatch(0, 0, -1.0, 0.3, 0.3), "load"),
        (lambda: PlatePatch(0, 0, LOAD, 0.3, 0.2, "disc"), "shape"),
        (lambda: PlatePatch(0, 0, LOAD, 0.0, 0.2), "length"),
        (lambda: PlateCavity(0, 0, 0.3, -0.2), "width"),
        (lambda: PlateCavity(math.nan, 0, 0.3, 0.2, "rectangle"), "x"),
        (lambda: PlateJoint(-1.0, 3.0), "joint stiffness"),
        (lambda: PlateJoint(1e7, 0.0), "beyond"),
        (lambda: PlateSheet(0, 0, 2, 2, 0.001), "thinner sheet"),
        (lambda: PlateSheet(0, 0, 2, 2, 0.02, contact=0.0), "contact"),
        (lambda: MeshRule(finest=0.0), "finest"),
    ],
)
def test_what_is_refused(call, match):
    with pytest.raises(ValueError, match=match):
        call()


LONG, HIGH = 3.0, 0.2
WEIGHT = 2400.0 * 9.80665 * LONG * HIGH


def _over_a_cavity(load: float, lip: float, rule: MeshRule | None = None, modulus: float = 30e9) -> PlateAnswer:
    """Solve a slab 3 m by 1 m without ground up to the lip, loaded at 0.3 m."""
    panel = PlatePanel((0.0, 0.0), (LONG, 1.0), GroundSlab(HIGH, modulus, 0.2, 50e6))
    hollow = PlateCavity(0.5 * lip - 0.25, 0.5, lip + 0.5, 3.0, "rectangle")
    return solve_plate(panel, [PlatePatch(0.3, 0.5, load, 0.3, 0.3)], [hollow], rule=rule)


def _resultant(load: float) -> float:
    return (0.3 * load + 0.5 * LONG * WEIGHT) / (load + WEIGHT)


def test_a_slab_that_would_tip_into_a_cavity_is_an_error_not_a_number():
    panel = PlatePanel((0.0, 0.0), (3.0, 1.0), GroundSlab(0.05, 30e9, 0.2, 50e6))
    with pytest.raises(NumericalError, match="no support balances"):
        solve_plate(panel, [PlatePatch(0.3, 0.5, 5e5, 0.3, 0.3)], [PlateCavity(1.0, 0.5, 2.6, 3.0, "rectangle")])


@pytest.mark.parametrize("rule", slow_but([MeshRule(0.5, 0.2, 0.5), MeshRule(), FINE], MeshRule(0.5, 0.2, 0.5)))
@pytest.mark.parametrize("load", [2e4, 5e5])
def test_a_slab_tips_where_the_resultant_leaves_the_ground(load, rule):
    """Overturning about the lip against its own weight; just inside a number, or an error within a mesh's spacing."""
    limit, greatest = _resultant(load), []
    for short in (0.3, 0.15, 0.05):
        answer = _over_a_cavity(load, limit - short, rule)
        assert answer.reaction == pytest.approx(load, rel=1e-5)
        greatest.append(answer.field.deflection.max())
    assert greatest == sorted(greatest)
    for short in (0.02, 0.01, 0.005, 0.002):
        with contextlib.suppress(NumericalError):
            assert _over_a_cavity(load, limit - short, rule).field.deflection.max() > greatest[-1]
    for over in (0.001, 0.01, 0.1, 0.3, 1.0):
        with pytest.raises(NumericalError, match="no support balances"):
            _over_a_cavity(load, limit + over, rule)


@pytest.mark.parametrize(("short", "rel"), [(0.3, 0.04), (0.1, 0.1)])
def test_a_slab_that_just_holds_leans_as_a_rigid_one(short, rel):
    """A wedge of pressure over three times the resultant's distance from the lip (rigid footing, no tension)."""
    load = 2e4
    lip = _resultant(load) - short
    at_lip = 2.0 * (load + WEIGHT) / (3.0 * short) / 50e6
    by_hand = at_lip * (1.0 + lip / (3.0 * short)) - WEIGHT / LONG / 50e6
    stiff = _over_a_cavity(load, lip, modulus=300e9).field.deflection.max()
    print(stiff, by_hand)
    assert stiff == pytest.approx(by_hand, rel=rel)


@pytest.mark.slow
@pytest.mark.parametrize("over", [0.001, 0.01, 0.1, 1.0])
def test_what_the_solver_makes_of_a_slab_that_tips_is_refused_too(over, monkeypatch):
    """Without the check before it: whatever a singular matrix is rounded to, it ends in an error."""
    monkeypatch.setattr(_plate_system, "_check_held", lambda *_: None)
    for load in (1e3, 2e4, 5e5):
        with pytest.raises(NumericalError, match="contact"):
            _over_a_cavity(load, _resultant(load) + over)


def test_a_slab_that_holds_by_leaning_far_is_told():
    limit = _resultant(5e5)
    assert _over_a_cavity(5e5, limit - 0.3).warnings == ()
    assert "leans" in _over_a_cavity(5e5, limit - 0.02).warnings[-1]


def test_a_joint_may_be_the_support_that_is_missing():
    panel, tyre = (
        PlatePanel((-3.0, 0.0), (0.0, 1.0), GroundSlab(HIGH, 30e9, 0.2, 50e6)),
        [PlatePatch(-0.6, 0.5, 1e5, 0.3, 0.3)],
    )
    hollow = [PlateCavity(-1.25, 0.5, 2.5, 3.0, "rectangle")]
    assert solve_plate(panel, tyre, hollow, PlateJoint(1e8, 3.0)).reaction == pytest.approx(1e5, rel=1e-5)
    for joint in (None, PlateJoint(0.0, 3.0)):
        with pytest.raises(NumericalError, match="no support balances"):
            solve_plate(panel, tyre, hollow, joint)


def test_edge_within_two_percent_and_corner_stress_within_half_of_theory():
    at_edge = solve_plate(
        PlatePanel((-6 * ELL, 0.0), (6 * ELL, 12 * ELL), SLAB),
        [PlatePatch(0.0, A, LOAD, 2 * A, 2 * A, "disc")],
        lift_off=False,
        rule=FINE,
        probe=[[0.0, 0.0]],
    )
    assert at_edge.probe.bottom[0] == pytest.approx(edge(SLAB, LOAD, A).stress, rel=0.02)
    assert at_edge.probe.deflection[0] == pytest.approx(edge(SLAB, LOAD, A).deflection, rel=0.02)
    s = np.linspace(0.3, 1.8, 60) * math.sqrt(0.5)
    at_corner = solve_plate(
        PlatePanel((0.0, 0.0), (12 * ELL, 12 * ELL), SLAB),
        [PlatePatch(A, A, LOAD, 2 * A, 2 * A, "disc")],
        lift_off=False,
        rule=FINE,
        probe=np.column_stack((s, s)),
    )
    assert at_corner.probe.top.max() == pytest.approx(corner(SLAB, LOAD, A, "1926").stress, rel=0.005)
    peak = s[at_corner.probe.top.argmax()] * math.sqrt(2.0)
    assert peak == pytest.approx(2.0 * math.sqrt(math.sqrt(2.0) * A * ELL), rel=0.1)
    low, high = corner(SLAB, LOAD, A, "1926").deflection, corner(SLAB, LOAD, A, "1985").deflection
    assert low < at_corner.field.deflection.max() < high
