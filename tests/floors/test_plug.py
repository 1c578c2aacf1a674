"""How far a broken slab lets a tyre down: by thickness, soil and cone, worked out by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tipline.floors.laws.of_floor import floor_laws, places_met
from tipline.floors.laws.plug import LEAST, let_down, plug_base
from tipline.floors.laws.soil_line import BOTTOM
from tipline.floors.modes.situation import Situation
from tipline.floors.places.patch import Patch
from tipline.floors.places.zones import Near
from tipline.mechanics.subgrade import rigid_circle_settlement, settlement_near_failure
from tipline.model.floor import Rigid
from tipline.runs.breaks import drawn_floors
from tipline.scenario import read

TYRE = Patch("t", (0.0, 0.0), 0.0, 0.24, 0.30, 70e3)
ZONE = Rigid(kind="rigid")
INSIDE = Situation("s", 0.0, False, TYRE, (), ZONE, 1.0, Near())
FIRM = {
    "thickness": 0.15, "punching_cone": 1.3, "soil_undrained_strength": 60e3, "soil_unit_weight": 18e3,
    "soil_stiffness": 5e6,
}  # fmt: skip
STOP = "stop-with-the-load-up-breaks-a-slab"


def test_the_base_of_the_cone_is_cut_off_at_edges() -> None:
    """0.15 m x 1.3 = 0.195 m out on each side: 0.63 m by 0.69 m inside; one side less at an edge, two at a corner."""
    base = plug_base(INSIDE, FIRM)
    assert (base.length, base.width) == pytest.approx((0.63, 0.69))
    edge = plug_base(replace(INSIDE, near=Near(edge=0.2, joint=0.2)), FIRM)
    assert (edge.length, edge.width) == pytest.approx((0.63, 0.495))
    corner = plug_base(replace(INSIDE, near=Near(edge=0.2, joint=0.2, other_edge=0.3, other_joint=0.3)), FIRM)
    assert (corner.length, corner.width) == pytest.approx((0.435, 0.495))


def test_on_clay_that_bears_it_the_plug_settles() -> None:
    """0.4347 m2: 161.0 kPa of 5.1416 x 60 kPa (1 + 0.63 / 0.69 / 5.1416) = 363.3 kPa; a = 0.3720 m.

    70 kN x 0.75 / (2 x 0.3720 m x 5 MPa) = 14.113 mm; over 1 - 0.8 x 0.4433 that is 21.87 mm. At four times the modulus
    it would be a quarter, below the least that is taken, 10 mm.
    """
    assert let_down(INSIDE, FIRM) == pytest.approx(21.87e-3, rel=2e-3)
    assert let_down(INSIDE, {**FIRM, "soil_stiffness": 20e6}) == LEAST


def test_on_soft_clay_it_goes_down_to_where_the_clay_bears_it() -> None:
    """24 kPa: 145.3 kPa at the surface, 110.3 kPa more a metre (0.4 z / B of it, and 18 kN/m3 beside): 0.1426 m.

    There it is at its bearing capacity: five times the elastic 8.819 mm of 8 MPa come on top.
    """
    soft = {**FIRM, "soil_undrained_strength": 24e3, "soil_stiffness": 8e6}
    assert let_down(INSIDE, soft) == pytest.approx(0.1426 + 5 * 8.819e-3, rel=3e-3)


def test_thicker_slabs_wider_cones_and_better_soils_let_down_less() -> None:
    depths = [let_down(INSIDE, {**FIRM, **change}) for change in ({}, {"thickness": 0.2}, {"punching_cone": 2.0})]
    assert depths[0] > 1.2 * depths[1]
    assert depths[0] > 1.2 * depths[2]
    rock = {
        "thickness": 0.15, "punching_cone": 1.3, "soil_friction_angle": 0.75, "soil_cohesion": 15e3,
        "soil_unit_weight": 21e3, "soil_stiffness": 250e6,
    }  # fmt: skip
    assert let_down(INSIDE, rock) == LEAST
    peat = {**FIRM, "soil_undrained_strength": 5e3, "soil_stiffness": 0.8e6}
    assert let_down(INSIDE, peat) == BOTTOM


def test_settlement_grows_fivefold_towards_the_capacity() -> None:
    elastic = rigid_circle_settlement(50e3, 0.3, 20e6, 0.5)
    assert settlement_near_failure(50e3, 1e9, 0.3, 20e6, 0.5) == pytest.approx(elastic, rel=1e-4)
    assert settlement_near_failure(50e3, 100e3, 0.3, 20e6, 0.5) == pytest.approx(elastic / 0.6)
    assert settlement_near_failure(50e3, 50e3, 0.3, 20e6, 0.5) == pytest.approx(5.0 * elastic)
    with pytest.raises(ValueError, match="force over capacity"):
        settlement_near_failure(60e3, 50e3, 0.3, 20e6, 0.5)


def test_the_laws_take_the_depth_from_the_soil_and_say_its_range() -> None:
    """The same slab over soft clay and over crushed rock; draws of a floor move the depth too."""
    found = {}
    for soil in ("soft clay", "crushed rock"):
        laws = floor_laws(read(STOP, {"floor.zone.0.soil": soil}))
        found[soil] = next(zone.depth for zone in laws.zones if zone.name == "old slab")
        assert any("mm by the soil alone" in note for note in laws.notes)
    assert found["crushed rock"] == LEAST
    assert found["soft clay"] > 0.05
    case = read(STOP, {"floor.zone.0.soil": "firm clay"})
    drawn = drawn_floors(case, 12, list(places_met(case)))
    depths = [next(zone.depth for zone in one.zones if zone.name == "old slab") for one in drawn]
    assert max(depths) > 2.0 * min(depths)
