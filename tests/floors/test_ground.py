"""Granular ground: what is expected of it beside plate tests, and water that comes nearer."""

from __future__ import annotations

from itertools import pairwise
from math import pi, radians, sqrt
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from tipline.floors.answers.alone import floor_alone
from tipline.floors.known.of_zone import ZoneBands, zone_bands
from tipline.floors.known.ratio import likely
from tipline.floors.laws.soil_line import tyre_curve
from tipline.floors.modes.ground import GroundLayer, bearing_mode
from tipline.floors.modes.mode import Mode
from tipline.floors.modes.of_zone import ground_of
from tipline.floors.modes.situation import Situation
from tipline.floors.places.patch import Patch
from tipline.floors.places.zones import Near
from tipline.mechanics.bearing import weight_over_water
from tipline.mechanics.soils import soil_class
from tipline.mechanics.subgrade import rigid_circle_settlement
from tipline.model import read_floor
from tipline.model.ground import Ground

PLATE = 0.3 * sqrt(pi) / 2.0
"""Side of the square of the area of a plate of 300 mm [m]."""


def ground(word: str, water: str = '"3 m"', more: str = "") -> tuple[Ground, ZoneBands]:
    table = f"water_table = {water}\n" if water else ""
    text = f'title = "f"\n[elsewhere]\nkind = "ground"\n{table}[[elsewhere.layer]]\nsoil = "{word}"\n{more}'
    with TemporaryDirectory() as folder:
        (Path(folder) / "f.toml").write_text(text, encoding="utf-8")
        floor = read_floor(Path(folder) / "f.toml")
    assert isinstance(floor.elsewhere, Ground)
    return floor.elsewhere, zone_bands(floor.elsewhere, floor)


def expected(word: str, side: float, water: str = '"3 m"', **changed: float) -> float:
    """Expected pressure at which a square patch sinks into one soil [Pa]."""
    zone, bands = ground(word, water)
    (layer,), _, known = ground_of(zone, bands)
    mode = bearing_mode(Patch("t", (0.0, 0.0), 0.0, side, side, 1e4), layer, 0.0)
    named = {name if name == "water_depth" else layer.start + name: value for name, value in changed.items()}
    return mode.ask({**likely(known), **named})[1]


@pytest.mark.parametrize("word", ["compacted gravel", "crushed rock"])
def test_a_rolled_base_carries_a_routine_plate_test_within_millimetres(word: str) -> None:
    """Road building asks for Ev2 of 100 to 120 MN/m2 of a base, on a plate of 300 mm up to 500 kPa [PlateTestPressure].

    The two strain moduli come from 1.5 r times pressure over settlement between 0.3 and 0.7 of the greatest pressure;
    Ev2 is at most 2.3 times Ev1, the first loading, at 100 % of Proctor's density [ZTVEPlateModuli]. At 500 kPa the
    plate must be far from sinking in, and lie 0.5 to 5 mm deep.
    """
    assert expected(word, PLATE) > 1.5 * 500e3
    ev2 = soil_class(word).modulus.likely
    assert 1.5 * 0.15 * 500e3 / 5e-3 < ev2 / 2.2 < 150e6
    settled = rigid_circle_settlement(500e3 * pi * 0.15**2, 0.15, ev2 / 2.2, 0.3)
    assert 0.5e-3 < settled < 5e-3


def test_crushed_rock_carries_the_tyres_of_a_proof_roller() -> None:
    """Aircraft bases are rolled with tyres of 133 kN at 1.03 MPa (150 psi), without ruts (from memory)."""
    assert expected("crushed rock", sqrt(133e3 / 1.03e6)) > 1.03e6


def test_loose_and_soaked_ground_is_not_taken_for_a_base() -> None:
    assert expected("loose sand", 0.3) < 150e3
    assert expected("loose gravel", 0.3) < 250e3
    assert expected("compacted gravel", 0.3, cohesion=0.0, water_depth=0.0) < 200e3


def test_bearing_of_gravel_is_that_of_a_second_library() -> None:
    """40 degrees, 10 kPa, 20 kN/m3, 0.25 m square, water deep: half way from the least to the greatest of four."""
    geofound = pytest.importorskip("geofound")
    soil = geofound.create_soil(phi=40.0, cohesion=10e3, unit_dry_weight=20e3)
    patch = geofound.create_foundation(length=0.25, width=0.25, depth=0.0)
    authors = [geofound.capacity_meyerhof_1963, geofound.capacity_brinch_hansen_1970, geofound.capacity_vesic_1975]
    found = [author(soil, patch) for author in authors]
    # EN 1997 by hand: Nq = 64.20, Nc = 75.31, Ng = 106.05; sq = 1.6428, sc = 1.6529, sg = 0.7
    found.append(10e3 * 75.313 * 1.65296 + 0.5 * 20e3 * 0.25 * 106.054 * 0.7)
    assert expected("compacted gravel", 0.25) == pytest.approx(0.5 * (min(found) + max(found)), rel=1e-3)


def test_water_counts_from_a_patch_width_below_it_and_fades_in_evenly() -> None:
    """20 kN/m3 over water: 10.19 kN/m3 at the base, all of it at one width below, 15.095 half way."""
    assert weight_over_water(20e3, 0.0, 0.25) == pytest.approx(10.19e3)
    assert weight_over_water(20e3, -1.0, 0.25) == pytest.approx(10.19e3)
    assert weight_over_water(20e3, 0.125, 0.25) == pytest.approx(15.095e3)
    assert weight_over_water(20e3, 0.25, 0.25) == 20e3
    with pytest.raises(ValueError, match="reach"):
        weight_over_water(20e3, 0.1, 0.0)


@pytest.mark.parametrize("word", ["dense sand", "compacted gravel"])
def test_water_at_a_metre_takes_nothing_from_a_patch_of_a_quarter(word: str) -> None:
    near, far, dry = (expected(word, 0.25, f'"{depth} m"') for depth in (0.99, 1.01, 9.0))
    assert near == far == dry
    wet, close, half = (expected(word, 0.25, water_depth=depth) for depth in (0.0, 0.001, 0.125))
    assert wet < close < 1.02 * wet
    assert half == pytest.approx(0.5 * (wet + dry), rel=1e-6)


def test_cohesion_that_was_told_stays_under_water() -> None:
    """38 degrees, 4 kPa: by number all of it counts below water, by word half of it is suction."""
    x = {"cohesion": 4e3, "friction_angle": radians(38.0), "unit_weight": 19e3, "author": 0.0, "water_depth": 0.0}
    patch = Patch("t", (0.0, 0.0), 0.0, 0.25, 0.25, 1e4)

    def at(apparent: bool, cohesion: float) -> float:
        mode: Mode = bearing_mode(patch, GroundLayer("sand", False, "", (), apparent), 0.0)
        return mode.ask({**x, "cohesion": cohesion})[1]

    assert at(True, 4e3) == pytest.approx(at(False, 2e3))
    assert at(False, 4e3) > 1.5 * at(False, 2e3)


def test_a_tyre_that_sinks_to_the_water_loses_weight_without_a_jump() -> None:
    """Water 0.2 m deep, patch 0.25 m: what holds it at depth changes by little over each millimetre."""
    zone, bands = ground("dense sand", '"0.2 m"')
    patch = Patch("t", (0.0, 0.0), 0.0, 0.25, 0.25, 5e4)
    one = Situation("s", 0.0, False, patch, (), zone, 1.0, Near())
    curve = tyre_curve(one, bands, {}, 0.4)
    held = [curve(0.001 * step) for step in range(400)]
    assert max(abs(b / a - 1.0) for a, b in pairwise(held)) < 0.05


def test_rolled_gravel_alone_says_a_load_that_one_can_act_on() -> None:
    """0.3 m square: 1396 kPa are expected, so likely 126 kN over the factor of 2 make 63 kN or more."""
    (found,) = floor_alone(read_floor("demo-yard-d")).inverses
    assert "0.3 m by 0.3 m" in found.what
    assert found.needed.low > 1e3
    assert 60e3 < found.needed.likely < 90e3
