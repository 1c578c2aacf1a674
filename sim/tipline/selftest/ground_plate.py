"""Plate finite elements against theory, and a steel plate on soil."""

from __future__ import annotations

from tipline.mechanics.plate_fe import (
    MeshRule,
    PlateAnswer,
    PlateJoint,
    PlatePanel,
    PlatePatch,
    PlateSheet,
    solve_plate,
)
from tipline.mechanics.slab import GroundSlab, relative_stiffness_radius
from tipline.mechanics.spreaders import steel_on_soil
from tipline.selftest.check import Check
from tipline.selftest.ground_slab import SI, US
from tipline.selftest.used_by import kept
from tipline.units import INCH as IN
from tipline.units import POUND_FORCE as LBF

__all__ = ["CHECKS"]

_A = 6 * IN
_L = relative_stiffness_radius(US)
_THIN = GroundSlab(0.15, 30e9, 0.2, 50e6)
_FINE = MeshRule(finest=1.0 / 6.0)
_SIDE = 2.0
_STEEL_LOAD = 200e3


def _tyre(x: float, y: float) -> list[PlatePatch]:
    return [PlatePatch(x, y, 10_000 * LBF, 2 * _A, 2 * _A, "disc")]


@kept
def _inside() -> PlateAnswer:
    panel = PlatePanel((-6 * _L, -6 * _L), (6 * _L, 6 * _L), US)
    return solve_plate(panel, _tyre(0.0, 0.0), lift_off=False, rule=_FINE)


@kept
def _edge() -> PlateAnswer:
    panel = PlatePanel((-6 * _L, 0.0), (6 * _L, 12 * _L), US)
    return solve_plate(panel, _tyre(0.0, _A), lift_off=False, rule=_FINE, probe=[[0.0, 0.0]])


@kept
def _corner() -> PlateAnswer:
    panel = PlatePanel((0.0, 0.0), (12 * _L, 12 * _L), US)
    bisector = [[s * IN, s * IN] for s in range(0, 48)]
    return solve_plate(panel, _tyre(_A, _A), lift_off=False, rule=_FINE, probe=bisector)


@kept
def _steel(subgrade: float) -> tuple[GroundSlab, PlateAnswer]:
    plate, half = GroundSlab(0.05, 210e9, 0.3, subgrade), 0.5 * _SIDE
    panel = PlatePanel((-half, -half), (half, half), plate, 7850.0)
    return plate, solve_plate(panel, [PlatePatch(0.0, 0.0, _STEEL_LOAD, 0.3, 0.3)])


@kept
def _joint_side(stiffness: float) -> tuple[float, float]:
    """Deflection of the loaded and the other side of a joint right under a tyre."""
    panel, tyre = PlatePanel((-4.0, -4.0), (0.0, 4.0), SI), [PlatePatch(-0.15, 0.0, 100e3, 0.3, 0.3, "disc")]
    answer = solve_plate(
        panel, tyre, joint=PlateJoint(stiffness, 4.0), lift_off=False, rule=MeshRule(finest=0.5), probe=[[0.0, 0.0]]
    )
    assert answer.beyond is not None
    x, y = answer.beyond.point.T
    return _probe(answer, "deflection"), float(answer.beyond.deflection[(x**2 + y**2).argmin()])


@kept
def _on_slab(thickness: float) -> float:
    """Tension in a 150 mm slab under a tyre on a steel plate; 0 for no plate."""
    panel, tyre = PlatePanel((-3.0, -3.0), (3.0, 3.0), _THIN), [PlatePatch(0.0, 0.0, _STEEL_LOAD, 0.32, 0.32)]
    plate = PlateSheet(0.0, 0.0, 2.0, 2.0, thickness) if thickness else None
    return solve_plate(panel, tyre, plate=plate, rule=MeshRule(finest=0.5)).wheels[0].bottom


def _pressure(subgrade: float) -> float:
    return subgrade * float(_steel(subgrade)[1].field.deflection.max())


def _by_area(subgrade: float) -> float:
    radius = (0.09 / 3.141592653589793) ** 0.5
    return steel_on_soil(_STEEL_LOAD, _steel(subgrade)[0], _SIDE, _SIDE, radius, 0.5 * _SIDE).pressure


def _probe(answer: PlateAnswer, quantity: str) -> float:
    assert answer.probe is not None
    return float(getattr(answer.probe, quantity).max())


_WITHIN = "finite elements within their stated share of theory"

CHECKS = (
    Check(
        "fe-interior-deflection",
        "Elements, tyre inside 12 l, deflection",
        "0.00669902 in",
        "Own",
        "against the exact plate without end",
        "derived here",
        lambda: _inside().wheels[0].deflection,
        0.00669902 * 0.01,
        _WITHIN + ": 1 %",
    ),
    Check(
        "fe-interior-stress",
        "Elements, tyre inside 12 l, stress",
        "142.03 psi",
        "Own",
        "against the exact plate without end",
        "derived here",
        lambda: _inside().wheels[0].bottom,
        142.03 * 0.005,
        _WITHIN + ": 0.5 %",
    ),
    Check(
        "fe-edge-stress",
        "Elements, tyre at the edge, stress",
        "279.3 psi",
        "Westergaard1948",
        "formula from memory",
        "derived here",
        lambda: _probe(_edge(), "bottom"),
        279.3 * 0.02,
        _WITHIN + ": 2 %",
    ),
    Check(
        "fe-corner-stress",
        "Elements, tyre at the corner, greatest stress on the bisector",
        "186.65 psi",
        "Westergaard1926",
        "formula from memory",
        "derived here",
        lambda: _probe(_corner(), "top"),
        186.65 * 0.005,
        _WITHIN + ": 0.5 %",
    ),
    Check(
        "fe-corner-deflection",
        "Elements, deflection of the corner: between the forms of 1926 and 1985",
        "0.0502 to 0.0561 in",
        "Ioannides1985",
        "formulas of 1926 and 1985",
        "derived here",
        lambda: _probe(_corner(), "deflection"),
    ),
    Check(
        "steel-soil-pressure",
        "50 mm steel, 2 x 2 m, 200 kN on 20 MN/m3: ground pressure",
        "85 kPa",
        "Own",
        "finite elements",
        "derived here",
        lambda: _pressure(20e6),
    ),
    Check(
        "steel-soil-stress",
        "Same, stress of the steel",
        "93 MPa",
        "Own",
        "finite elements",
        "derived here",
        lambda: _steel(20e6)[1].wheels[0].bottom,
    ),
    Check(
        "steel-firm-pressure",
        "Same plate on 60 MN/m3: ground pressure",
        "133 kPa",
        "Own",
        "finite elements",
        "derived here",
        lambda: _pressure(60e6),
    ),
    Check(
        "steel-firm-stress",
        "Same, stress of the steel",
        "82 MPa",
        "Own",
        "finite elements",
        "derived here",
        lambda: _steel(60e6)[1].wheels[0].bottom,
    ),
    Check(
        "steel-soil-area",
        "Pressure by the effective area, against the elements",
        "85 kPa",
        "Own",
        "fit to finite elements",
        "derived here",
        lambda: _by_area(20e6),
        85 * 0.04,
        "fit stays within 4 % above the elements",
    ),
    Check(
        "joint-sum",
        "Both sides of a joint of 200 MN/m2 together, over the free edge",
        "1.000",
        "FHWA-RD-02-088",
        "equilibrium of two like panels",
        "derived here",
        lambda: sum(_joint_side(200e6)) / _joint_side(0.0)[0],
    ),
    Check(
        "joint-share",
        "Deflection transfer of that joint, against the formula",
        "0.76",
        "Crovetti1994",
        "formula from memory",
        "derived here",
        lambda: _joint_side(200e6)[1] / _joint_side(200e6)[0],
        0.04,
        "the formula is a fit; elements give up to 0.03 less",
    ),
    Check(
        "steel-on-slab",
        "50 mm steel on a 150 mm slab: share of the stress that the slab keeps",
        "0.79",
        "Own",
        "share of the bending stiffness",
        "derived here",
        lambda: _on_slab(0.05) / _on_slab(0.0),
        0.04,
        "the plate also widens the patch",
    ),
)
