"""Every public formula of the ground refuses what is not a number, without end, or of the wrong sign."""

from __future__ import annotations

import dataclasses
import inspect
import math
from collections.abc import Callable, Iterator
from typing import Any

import pytest

from tipline.mechanics import (
    asphalt,
    asphalt_creep,
    bearing,
    collapse,
    covers,
    granular_platform,
    halfspace,
    joints,
    layered,
    patch,
    plate_fe,
    punching,
    sinkage,
    slab,
    slab_field,
    slab_near,
    soils,
    spreaders,
    subgrade,
)
from tipline.oracles import asphalt as oracle_asphalt
from tipline.oracles import halfspace as oracle_halfspace
from tipline.oracles import layered as oracle_layered
from tipline.oracles import slab as oracle_slab
from tipline.oracles import slab_field as oracle_slab_field

MODULES = (
    oracle_asphalt,
    oracle_halfspace,
    oracle_layered,
    oracle_slab,
    oracle_slab_field,
    patch,
    slab,
    slab_field,
    slab_near,
    collapse,
    punching,
    joints,
    plate_fe,
    spreaders,
    halfspace,
    layered,
    asphalt,
    asphalt_creep,
    bearing,
    granular_platform,
    sinkage,
    soils,
    subgrade,
    covers,
)
SLAB = slab.GroundSlab(0.2, 31e9, 0.2, 50e6)
STEEL = slab.GroundSlab(0.03, 210e9, 0.3, 20e6)
SIZE = patch.TyreSize(0.9, 0.35, 0.66, 0.12, ())
SOIL, CLAY = bearing.FootingSoil(0.6, 2e3, 18e3), bearing.FootingSoil(0.0, 6e4, 18e3)
FOOTING = bearing.Footing(0.3, 0.4, 0.1, 0.01, 0.01)
LOAD = bearing.FootingLoad(5e4, 1e3, 2e3)
LAW = asphalt_creep.calibrate_creep([60.0, 120.0, 300.0, 600.0], [1e-3, 1.4e-3, 2e-3, 2.5e-3], 1e6, 0.0126, 313.15)
LAYERS = oracle_layered.LayerSet((5e9, 2e8, 5e7), (0.35, 0.4, 0.45), (0.26, 0.5))
CIRCLE = oracle_layered.CircleLoad(0.0, 0.0, 0.15, 7e5)
PANEL = plate_fe.PlatePanel((-3.0, -3.0), (3.0, 3.0), SLAB)
WHEEL = plate_fe.PlatePatch(0.0, 0.0, 5e4, 0.3, 0.3)
COARSE = plate_fe.MeshRule(1.0, 0.5, 1.0)
TIMBER = spreaders.TIMBER_GRADES["D30"]

CALLS: list[tuple[Callable[..., Any], dict[str, Any]]] = [
    (patch.patch_from_pressure, {"load": 5e4, "pressure": 1e6, "width": 0.3}),
    (patch.pneumatic_patch, {"load": 3e4, "inflation": 8e5, "tread": 0.3, "carcass": 0.1}),
    (patch.solid_patch, {"load": 5e4, "size": SIZE, "modulus": 5e6}),
    (patch.twin_radius, {"load": 5e4, "pressure": 8e5, "spacing": 0.35}),
    (patch.worn, {"size": SIZE, "wear": 0.02}),
    (oracle_slab.corner, {"slab": SLAB, "load": 1e5, "radius": 0.15}),
    (slab.edge, {"slab": SLAB, "load": 1e5, "radius": 0.15}),
    (slab.flexural_stiffness, {"slab": SLAB}),
    (slab.interior, {"slab": SLAB, "load": 1e5, "radius": 0.15}),
    (slab.relative_stiffness_radius, {"slab": SLAB}),
    (slab.resisting_radius, {"radius": 0.15, "thickness": 0.2}),
    (oracle_slab_field.disc_field, {"slab": SLAB, "load": 1e5, "radius": 0.15, "distance": 0.5}),
    (slab_field.far_field, {"slab": SLAB, "load": 1e5, "radius": 0.15, "distance": 0.5}),
    (slab_field.near_field, {"slab": SLAB, "load": 1e5, "radius": 0.15, "distance": 0.1}),
    (
        slab_field.several_tyres,
        {"slab": SLAB, "load": [1e5], "radius": [0.15], "place": [(0.0, 0.0)], "at": [(0.2, 0.0)]},
    ),
    (collapse.collapse_load, {"place": "edge", "sagging": 1e4, "hogging": 1.2e4, "slab": SLAB, "radius": 0.15}),
    (collapse.elastic_modulus_en, {"strength": 30e6}),
    (collapse.flexural_strength_aci, {"strength": 30e6, "lightweight": 1.0}),
    (collapse.flexural_strength_en, {"strength": 30e6, "thickness": 0.2}),
    (collapse.meshed_moment, {"area": 4e-4, "steel": 4.6e8, "depth": 0.15, "strength": 30e6, "block": 0.85}),
    (collapse.meyerhof_load, {"place": "interior", "moment": 1e4, "slab": SLAB, "radius": 0.15}),
    (collapse.plain_moment, {"thickness": 0.2, "strength": 4e6}),
    (collapse.tensile_strength_en, {"strength": 30e6}),
    (punching.control_perimeter, {"along": 0.3, "across": 0.3, "reach": 0.1, "to_edge": (1.0, 2.0)}),
    (
        punching.plain_punching_aci,
        {
            "strength": 25e6,
            "along": 0.3,
            "across": 0.3,
            "thickness": 0.18,
            "to_edge": (1.0, 2.0),
            "lightweight": 1.0,
            "reduction": 0.6,
        },
    ),
    (
        punching.punching_en,
        {
            "strength": 30e6,
            "along": 0.3,
            "across": 0.3,
            "depth": 0.16,
            "reinforcement": 0.005,
            "to_edge": (1.0, 2.0),
            "partial": 1.5,
            "face_share": 0.4,
        },
    ),
    (
        punching.two_way_aci,
        {
            "strength": 28e6,
            "along": 0.3,
            "across": 0.3,
            "depth": 0.16,
            "to_edge": (1.0, 2.0),
            "lightweight": 1.0,
            "reduction": 0.75,
        },
    ),
    (joints.interlock_transfer, {"opening": 0.001}),
    (joints.line_stiffness, {"transfer": 0.5, "slab": SLAB}),
    (joints.planning_stress_transfer, {"transfer": 0.5}),
    (plate_fe.solve_plate, {"panel": PANEL, "wheels": [WHEEL], "rule": COARSE}),
    (spreaders.braking_grip, {"load": 5e4, "plate_mass": 300.0, "tyre_friction": 0.3, "plate_friction": 0.3}),
    (spreaders.effective_area, {"area": 4.0, "stiffness_radius": 0.4}),
    (spreaders.placement_distance, {"stiffness_radius": 0.4, "length": 2.0, "width": 1.5}),
    (
        spreaders.plate_over_gap_one_way,
        {
            "load": 5e4,
            "span": 0.6,
            "plate_width": 1.5,
            "thickness": 0.03,
            "length": 0.2,
            "width": 0.3,
            "modulus": 2.1e11,
        },
    ),
    (
        spreaders.slab_patch,
        {"length": 0.2, "width": 0.3, "thickness": 0.03, "plate_length": 2.0, "plate_width": 1.0},
    ),
    (
        spreaders.steel_on_soil,
        {"load": 5e4, "plate": STEEL, "length": 2.0, "width": 1.5, "radius": 0.15, "to_edge": 0.75},
    ),
    (
        spreaders.timber_mat,
        {
            "load": 5e4,
            "length": 5.0,
            "patch_length": 0.2,
            "patch_width": 0.3,
            "mat_width": 1.0,
            "depth": 0.15,
            "subgrade": 2e7,
            "grade": TIMBER,
            "modification": 0.9,
            "partial": 1.3,
        },
    ),
    (halfspace.circle_axis_stress, {"pressure": 1e6, "radius": 0.15, "depth": 0.2}),
    (oracle_halfspace.circle_functions, {"radius": 0.15, "depth": 0.2, "distance": 0.1}),
    (
        oracle_halfspace.circle_response,
        {"pressure": 1e6, "radius": 0.15, "modulus": 5e7, "poisson": 0.3, "depth": 0.2, "distance": 0.1},
    ),
    (halfspace.point_stress, {"force": 1e5, "depth": 0.2, "distance": 0.1}),
    (oracle_halfspace.rectangle_corner_influence, {"width": 0.3, "length": 0.4, "depth": 0.2}),
    (oracle_layered.layered_response, {"layers": LAYERS, "loads": [CIRCLE], "points": [(0.0, 0.0, 0.1)]}),
    (
        layered.odemark_thickness,
        {
            "thickness": 0.2,
            "modulus": 3e9,
            "modulus_below": 1e8,
            "poisson": 0.35,
            "poisson_below": 0.35,
            "factor": 0.9,
        },
    ),
    (oracle_asphalt.hottest_surface_temperature, {"air": 303.15, "latitude": 0.8}),
    (asphalt.loading_time_factor, {"time": 60.0, "exponent": 0.4}),
    (oracle_asphalt.solar_irradiance, {"zenith": 0.5, "transmission": 0.81}),
    (
        asphalt.surface_temperature,
        {"air": 303.15, "irradiance": 800.0, "wind_speed": 3.0, "absorptivity": 0.9},
    ),
    (asphalt.surface_temperature_band, {"air": 303.15, "sun": "sun"}),
    (asphalt.temperature_factor, {"measured": 293.15, "wanted": 303.15, "slope": -0.021}),
    (
        asphalt_creep.calibrate_creep,
        {
            "times": [60.0, 120.0, 300.0, 600.0],
            "depths": [1e-3, 1.4e-3, 2e-3, 2.5e-3],
            "pressure": 1e6,
            "radius": 0.0126,
            "temperature": 313.15,
        },
    ),
    (asphalt_creep.creep_rate, {"law": LAW, "pressure": 1e6, "radius": 0.0126, "temperature": 313.15}),
    (
        bearing.bearing_capacity,
        {"soil": SOIL, "footing": FOOTING, "method": "vesic", "load": LOAD, "surcharge": 1e3},
    ),
    (bearing.bearing_factors, {"friction": 0.6, "method": "vesic"}),
    (bearing.effective_footing, {"footing": FOOTING}),
    (bearing.weight_over_water, {"unit_weight": 2e4, "to_water": 0.1, "reach": 0.3}),
    (
        subgrade.settlement_near_failure,
        {"force": 5e4, "capacity": 9e4, "radius": 0.3, "modulus": 2e7, "poisson": 0.5},
    ),
    (slab_near.edge_part, {"slab": SLAB, "away": 0.1}),
    (slab_near.other_edge_part, {"slab": SLAB, "away": 0.1}),
    (slab_near.corner_top, {"slab": SLAB, "load": 5e4, "radius": 0.15, "away": 0.1}),
    (slab_near.cavity_rise, {"place": "edge", "slab": SLAB, "load": 5e4, "radius": 0.4}),
    (
        granular_platform.platform_capacity,
        {
            "clay_strength": 4e4,
            "thickness": 0.4,
            "unit_weight": 20e3,
            "friction": 0.7,
            "width": 0.3,
            "length": 0.4,
            "sunk": 0.1,
        },
    ),
    (granular_platform.punching_coefficient, {"friction": 0.7}),
    (sinkage.sunk_patch, {"length": 0.2, "radius": 0.4, "sinking": 0.1}),
    (subgrade.cohesion_from_cbr, {"cbr": 0.03}),
    (subgrade.reaction_for_size, {"reaction": 4e7, "width": 0.6, "soil": "sand", "plate": 0.3}),
    (subgrade.reaction_from_modulus, {"modulus": 5e7, "radius": 0.381}),
    (subgrade.reaction_from_plate, {"pressure": 1e5, "sinking": 1.25e-3}),
    (subgrade.rigid_circle_settlement, {"force": 1e5, "radius": 0.15, "modulus": 5e7, "poisson": 0.3}),
    (
        covers.four_sided_patch,
        {
            "load": 5e4,
            "width": 1.0,
            "length": 1.2,
            "stiffness": 2e6,
            "poisson": 0.3,
            "patch": (0.3, 0.3),
            "centre": (0.0, 0.0),
            "place": (0.0, 0.0),
        },
    ),
    (covers.grating_moment, {"load": 5e4, "span": 1.0, "patch": 0.3, "patch_width": 0.25, "pitch": 0.03}),
    (covers.one_way_moment, {"load": 5e4, "span": 1.0, "patch": 0.3, "place": 0.5}),
]
WORDS = {soils.soil_class: "moon dust"}
"""Public functions that take a word alone, with one they have to refuse."""


def spoiled(value: Any, wrong: float) -> Iterator[tuple[str, Any]]:
    """Yield a value with each of the numbers in it replaced, and which one that was."""
    if isinstance(value, bool | str) or value is None:
        return
    if isinstance(value, int | float):
        yield "", wrong
    elif isinstance(value, dict):
        for key, own in value.items():
            yield from ((f"[{key}]{where}", {**value, key: new}) for where, new in spoiled(own, wrong))
    elif dataclasses.is_dataclass(value) or hasattr(value, "_asdict"):
        names = value._fields if hasattr(value, "_asdict") else [one.name for one in dataclasses.fields(value)]
        for name in names:
            for where, new in spoiled(getattr(value, name), wrong):
                yield f".{name}{where}", Made(value, {name: new})
    elif isinstance(value, list | tuple):
        for index, own in enumerate(value):
            for where, new in spoiled(own, wrong):
                row = [*value[:index], new, *value[index + 1 :]]
                yield f"[{index}]{where}", row if isinstance(value, list) else tuple(row)


class Made:
    """A changed record that is made when the call is, for making it may be what refuses."""

    def __init__(self, of: Any, changes: dict[str, Any]) -> None:
        self.of, self.changes = of, changes

    def make(self) -> Any:
        changes = {name: made(value) for name, value in self.changes.items()}
        if hasattr(self.of, "_replace"):
            return self.of._replace(**changes)
        return dataclasses.replace(self.of, **changes)


def made(value: Any) -> Any:
    if isinstance(value, Made):
        return value.make()
    if type(value) in (list, tuple):
        return type(value)(made(one) for one in value)
    return value


WITHOUT_END = {
    "punching.control_perimeter": {"to_edge[0]", "to_edge[1]"},
    "punching.plain_punching_aci": {"to_edge[0]", "to_edge[1]"},
    "punching.punching_en": {"to_edge[0]", "to_edge[1]"},
    "punching.two_way_aci": {"to_edge[0]", "to_edge[1]"},
    "spreaders.slab_patch": {"plate_length", "plate_width"},
    "spreaders.steel_on_soil": {"to_edge"},
}
"""Inputs that may be without end: an edge far away, a plate larger than asked, growth that does not stop."""
SIGNED = {
    "slab_field.several_tyres": {"place[0][0]", "place[0][1]", "at[0][0]", "at[0][1]"},
    "plate_fe.solve_plate": {"panel.low[0]", "panel.low[1]", "wheels[0].x", "wheels[0].y"},
    "halfspace.circle_axis_deflection": {"pressure"},
    "halfspace.circle_axis_stress": {"pressure"},
    "halfspace.circle_response": {"pressure"},
    "halfspace.point_deflection": {"force"},
    "halfspace.point_stress": {"force"},
    "halfspace.rectangle_deflection": {"pressure", "x", "y"},
    "halfspace.rectangle_stress": {"pressure", "x", "y"},
    "layered.layered_response": {"loads[0].x", "loads[0].y", "loads[0].pressure", "points[0][0]", "points[0][1]"},
    "asphalt.hottest_surface_temperature": {"latitude"},
    "bearing.bearing_capacity": {"load.along_width", "load.along_length"},
    "bearing.weight_over_water": {"to_water"},
}
"""Inputs that may be -1: places, loads taken off an elastic body, southern latitudes, level forces, water above."""


def takes(function: Callable[..., Any], inputs: dict[str, Any], wrong: float) -> list[str]:
    """Name the inputs that a formula takes with a wrong number in them."""
    taken = []
    for name, value in inputs.items():
        for where, new in spoiled(value, wrong):
            try:
                function(**{**inputs, name: made(new)})
            except ValueError:
                continue
            taken.append(f"{name}{where}")
    return taken


def of(function: Callable[..., Any]) -> str:
    return f"{function.__module__.rsplit('.', 1)[-1]}.{function.__name__}"


@pytest.mark.parametrize(("function", "inputs"), CALLS, ids=[of(function) for function, _ in CALLS])
def test_what_is_no_number_is_refused(function: Callable[..., Any], inputs: dict[str, Any]) -> None:
    function(**inputs)
    assert takes(function, inputs, math.nan) == []


@pytest.mark.parametrize(("function", "inputs"), CALLS, ids=[of(function) for function, _ in CALLS])
def test_what_has_no_end_and_what_has_the_wrong_sign_is_refused(
    function: Callable[..., Any], inputs: dict[str, Any]
) -> None:
    for wrong in (math.inf, -math.inf):
        assert set(takes(function, inputs, wrong)) <= (WITHOUT_END.get(of(function), set()) if wrong > 0.0 else set())
    assert set(takes(function, inputs, -1.0)) == SIGNED.get(of(function), set())


@pytest.mark.parametrize("function", WORDS, ids=of)
def test_a_word_nobody_knows_is_refused(function: Callable[[str], Any]) -> None:
    with pytest.raises(ValueError, match=r".+"):
        function(WORDS[function])


def test_every_public_formula_of_the_ground_is_looked_at() -> None:
    there = {function for function, _ in CALLS} | set(WORDS)
    for module in MODULES:
        for public in module.__all__:
            found = getattr(module, public)
            if inspect.isfunction(found):
                assert found in there, of(found)
