"""Elastic half-space and elastic layers against published tables and the European benchmark; asphalt."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from math import radians

from tipline.mechanics.asphalt import surface_temperature, temperature_factor
from tipline.mechanics.halfspace import circle_axis_stress, point_stress
from tipline.mechanics.layered import odemark_thickness
from tipline.oracles.asphalt import hottest_surface_temperature, solar_irradiance
from tipline.oracles.halfspace import (
    circle_functions,
    rectangle_corner_influence,
)
from tipline.oracles.layered import CircleLoad, LayerSet, layered_response
from tipline.selftest.check import Check, Status, derived

__all__ = ["CHECKS"]

KELVIN = 273.15
_SEEN: Status = "seen in the source"
_POINT = {0: "0.4775", 20: "0.4329", 50: "0.2733", 100: "0.0844", 200: "0.0085"}
_AXIS = {50: "0.911", 100: "0.646", 150: "0.424", 250: "0.200", 400: "0.087"}
_A = {
    (0, 50): ("0.55279", 2e-5),
    (0, 100): ("0.29289", 2e-5),
    (20, 50): ("0.54403", 3e-4),
    (20, 100): ("0.28763", 3e-4),
    (60, 50): ("0.46448", 3e-4),
    (80, 50): ("0.38390", 3e-4),
    (100, 50): ("0.28156", 3e-4),
    (100, 100): ("0.17868", 3e-4),
    (100, 200): ("0.08269", 3e-4),
    (120, 50): ("0.18556", 3e-4),
    (150, 50): ("0.09499", 3e-4),
}
_OFF_AXIS = "off the axis the table's own last digits are out by 1 to 6"
_CORNER = {
    (1, 12): "0.02926",
    (2, 14): "0.05894",
    (3, 16): "0.08709",
    (4, 12): "0.10631",
    (5, 14): "0.13003",
    (6, 16): "0.15027",
    (7, 16): "0.16515",
    (8, 14): "0.17389",
}
_ROAD = LayerSet((5e9, 2e8, 5e7), (0.35, 0.40, 0.45), (0.26, 0.5))
_ONE_WHEEL = (CircleLoad(0.0, 0.0, 0.1508, 0.7e6),)
_TWO_WHEELS = (CircleLoad(-0.17, 0.0, 0.1066, 0.7e6), CircleLoad(0.17, 0.0, 0.1066, 0.7e6))
_INPUTS = "260 and 500 mm of 5000 and 200 MPa on 50 MPa"


def _strain(loads: tuple[CircleLoad, ...], x: float, z: float, axis: int, below: bool) -> float:
    response = layered_response(_ROAD, loads, [(x, 0.0, z)], "below" if below else "above")
    return float(response.strain[0, axis, axis]) * 1e6


def _surface(loads: tuple[CircleLoad, ...], x: float) -> float:
    return float(layered_response(_ROAD, loads, [(x, 0.0, 0.0)]).stress[0, 2, 2])


def _two_layers(ratio: float, thick: float) -> tuple[float, float]:
    """Interface stress over pressure, and surface deflection over 1.5 q a / E2."""
    layers = LayerSet((ratio * 1e8, 1e8), (0.5, 0.5), (thick,))
    response = layered_response(layers, [CircleLoad(0.0, 0.0, 1.0, 1e6)], [(0.0, 0.0, thick), (0.0, 0.0, 0.0)])
    return float(response.stress[0, 2, 2]) / 1e6, float(response.deflection[1]) / (1.5e6 / 1e8)


def _road(
    name: str, what: str, printed: str, call: Callable[[], float], tolerance: float | None = None, why: str = ""
) -> Check:
    text = f"{what}; {_INPUTS}"
    return Check(f"road-{name}", text, printed, "EuropeanPavement2000", "table", _SEEN, call, tolerance, why)


CHECKS = (
    *(
        Check(
            f"point-{r}",
            f"Stress under a point force, r / z = {r / 100:g}, over P / z2",
            printed,
            "DasTables2014",
            "table 10.1",
            _SEEN,
            partial(point_stress, 1.0, 1.0, r / 100),
        )
        for r, printed in _POINT.items()
    ),
    *(
        Check(
            f"circle-axis-{z}",
            f"Stress below the middle of a circle, z / a = {z / 100:g}",
            printed,
            "Spangler1951",
            "table 10.5, column r / a = 0",
            _SEEN,
            partial(circle_axis_stress, 1.0, 1.0, z / 100),
        )
        for z, printed in _AXIS.items()
    ),
    *(
        Check(
            f"circle-a-{r}-{z}",
            f"Function A of a loaded circle, r / R = {r / 100:g}, z / R = {z / 100:g}",
            printed,
            "AhlvinUlery1962",
            "table of A; three of its numbers are misprints and left out",
            _SEEN,
            lambda r=r, z=z: circle_functions(1.0, z / 100, r / 100).a,  # type: ignore[misc]
            tolerance,
            _OFF_AXIS,
        )
        for (r, z), (printed, tolerance) in _A.items()
    ),
    *(
        Check(
            f"corner-{m}-{n}",
            f"Stress below the corner of a rectangle, m = {m / 10:g}, n = {n / 10:g}",
            printed,
            "CornerTableProblem",
            "table P20.27",
            _SEEN,
            partial(rectangle_corner_influence, m / 10, n / 10, 1.0),
        )
        for (m, n), printed in _CORNER.items()
    ),
    _road("1-surface", "Stress under the middle of one wheel", "0.700 MPa", lambda: _surface(_ONE_WHEEL, 0.0)),
    _road("1-edge", "Stress under its edge", "0.350 MPa", lambda: _surface(_ONE_WHEEL, 0.1508)),
    _road("1-bottom", "Level strain below it, micro", "-100.5", lambda: _strain(_ONE_WHEEL, 0, 0.26, 0, False)),
    _road(
        "1-base", "Vertical strain on layer 2, micro", "251.6 to 251.7", lambda: _strain(_ONE_WHEEL, 0, 0.26, 2, True)
    ),
    _road(
        "1-soil", "Vertical strain on layer 3, micro", "185.0 to 185.3", lambda: _strain(_ONE_WHEEL, 0, 0.76, 2, True)
    ),
    _road(
        "1-edge-bottom",
        "Level strain below the edge",
        "-62.0 to -61.9",
        lambda: _strain(_ONE_WHEEL, 0.1508, 0.26, 0, False),
    ),
    _road(
        "1-edge-base", "Vertical strain on layer 2, edge", "192.2", lambda: _strain(_ONE_WHEEL, 0.1508, 0.26, 2, True)
    ),
    _road(
        "1-edge-soil", "Vertical strain on layer 3, edge", "177.5", lambda: _strain(_ONE_WHEEL, 0.1508, 0.76, 2, True)
    ),
    _road(
        "2-bottom", "Level strain below one of two wheels", "-85", lambda: _strain(_TWO_WHEELS, 0.17, 0.26, 1, False)
    ),
    _road("2-base", "Vertical strain on layer 2 there", "186", lambda: _strain(_TWO_WHEELS, 0.17, 0.26, 2, True)),
    _road("2-soil", "Vertical strain on layer 3 there", "170", lambda: _strain(_TWO_WHEELS, 0.17, 0.76, 2, True)),
    _road("2-between", "Level strain between the wheels", "-89", lambda: _strain(_TWO_WHEELS, 0.0, 0.26, 1, False)),
    _road(
        "2-between-base",
        "Vertical strain on layer 2 between",
        "182 to 183",
        lambda: _strain(_TWO_WHEELS, 0.0, 0.26, 2, True),
    ),
    _road(
        "2-between-soil", "Vertical strain on layer 3 between", "177", lambda: _strain(_TWO_WHEELS, 0.0, 0.76, 2, True)
    ),
    *(
        Check(
            f"two-layers-{ratio}",
            f"Stress between two layers, E1 / E2 = {ratio}, h = a, nu = 0.5",
            printed,
            "Burmister1945",
            "table by Fox 1948",
            "from memory",
            lambda ratio=ratio: _two_layers(float(ratio), 1.0)[0],  # type: ignore[misc]
            tolerance,
            "the table's last digit, from memory" if tolerance else "",
        )
        for ratio, printed, tolerance in ((1, "0.646", None), (10, "0.292", 1e-3), (100, "0.081", None))
    ),
    derived("two-layers-thin-10", "Same, E1 / E2 = 10, h = a / 2", "0.6437", lambda: _two_layers(10.0, 0.5)[0]),
    derived("two-layers-thin-100", "Same, E1 / E2 = 100, h = a / 2", "0.2449", lambda: _two_layers(100.0, 0.5)[0]),
    *(
        derived(
            f"two-layers-sag-{thick}",
            f"Surface deflection over 1.5 q a / E2, E1 / E2 = 10, h = {thick / 10:g} a",
            printed,
            lambda thick=thick: _two_layers(10.0, thick / 10)[1],  # type: ignore[misc]
        )
        for thick, printed in ((5, "0.7379"), (10, "0.4865"), (20, "0.3063"), (40, "0.2050"))
    ),
    derived(
        "circle-off-1-1", "Stress at r = a, z = a over pressure", "0.33224", lambda: sum(circle_functions(1, 1, 1)[:2])
    ),
    derived(
        "circle-off-2-1",
        "Stress at r = 2 a, z = a over pressure",
        "0.04181",
        lambda: sum(circle_functions(1, 1, 2)[:2]),
    ),
    derived(
        "odemark",
        "Odemark's thickness of 0.2 m, E1 / E2 = 27, equal nu",
        "0.5400 m",
        lambda: odemark_thickness(0.2, 27e6, 1e6, 0.35, 0.35),
        "Odemark1949",
        "formula from memory",
    ),
    Check(
        "asphalt-10-21",
        "Factor on the modulus of asphalt from 10 to 21 degC",
        "0.587",
        "LTPP1998",
        "worked example",
        _SEEN,
        lambda: temperature_factor(KELVIN + 10.0, KELVIN + 21.0),
    ),
    Check(
        "asphalt-steepest",
        "Same at the lowest slope of the range, 1 K",
        "0.933",
        "LTPP1998",
        "range of slopes -0.015 to -0.030, value derived",
        "derived here",
        lambda: temperature_factor(KELVIN + 20.0, KELVIN + 21.0, -0.030),
    ),
    Check(
        "asphalt-surface-30",
        "Hottest asphalt surface at 30 degrees of latitude, above the air",
        "25.7",
        "SolaimanianKennedy1993",
        "simple equation",
        "from memory",
        lambda: hottest_surface_temperature(KELVIN + 40.0, radians(30.0)) - KELVIN - 40.0,
    ),
    derived(
        "asphalt-surface-balance",
        "Same by the balance of heat, sun 6.55 degrees from overhead, wind 4.5 m/s",
        "25.9",
        lambda: surface_temperature(KELVIN + 40.0, solar_irradiance(radians(6.55)), 4.5) - KELVIN - 40.0,
        "SolaimanianKennedy1993",
        "constants from memory",
    ),
)
