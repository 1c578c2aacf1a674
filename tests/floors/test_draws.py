"""How what is not known is drawn: fractiles by hand, the same again, one column for one input, no draw past an end."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np
import pytest

from tipline.floors.known.draws import COUNT, columns, fractile
from tipline.floors.known.ratio import ask_over, over_draws, ratios
from tipline.floors.modes.asphalt import asphalt_modes
from tipline.floors.modes.ground import GroundLayer, Sunk, bearing_mode, ground_modes
from tipline.floors.modes.mode import Mode
from tipline.floors.places.patch import Patch


@dataclass(frozen=True)
class Ends:
    likely: float
    pessimistic: float
    optimistic: float


def test_ends_are_the_5_and_95_percent_fractiles_and_the_middle_is_likely() -> None:
    drawn = columns({"thickness": Ends(0.15, 0.12, 0.18)}, 2000)["thickness"]
    assert np.count_nonzero(drawn < 0.12) == 100
    assert np.count_nonzero(drawn > 0.18) == 100
    # cut at 1 %, where the normal is 2.3263 / 1.6449 = 1.4143 times as far from its middle
    assert drawn.min() == pytest.approx(0.15 * 0.8**1.4143, rel=1e-4)
    assert drawn.max() == pytest.approx(0.15 * 1.2**1.4143, rel=1e-4)
    assert np.count_nonzero(drawn == drawn.min()) == 20
    assert fractile(drawn, 0.5) == pytest.approx(0.15, rel=1e-3)
    # one standard deviation of the normal (15.87 %) lies 1 / 1.6449 of the way to the end, on the logarithm
    assert fractile(drawn, 0.1587) == pytest.approx(0.15 * (0.12 / 0.15) ** (1 / 1.6449), rel=2e-3)


def test_nothing_is_drawn_out_of_the_range_of_the_formulas() -> None:
    drawn = columns({"compressive_strength": Ends(24e6, 11e6, 48e6)}, 2000)["compressive_strength"]
    assert drawn.min() == 8e6


def test_what_may_be_nothing_is_drawn_straight_and_half_of_it_is_none() -> None:
    drawn = columns({"cavity_radius": Ends(0.0, 0.45, 0.0)}, 2000)["cavity_radius"]
    assert np.count_nonzero(drawn == 0.0) == 1000
    assert fractile(drawn, 0.8413) == pytest.approx(0.45 / 1.6449, rel=5e-3)
    assert drawn.max() == 0.45


def test_what_nobody_knows_is_even_and_a_hidden_joint_is_as_far_as_on_a_square_panel() -> None:
    bands = {"past_first_crack": Ends(0.5, 0.0, 1.0), "hidden_joint": Ends(0.73, 0.0, 2.5)}
    drawn = columns(bands, 2000)
    for share in (0.1, 0.5, 0.9):
        assert fractile(drawn["past_first_crack"], share) == pytest.approx(share, abs=1e-3)
        # of a panel 5 m square all but the square 5 m - 2 d lies nearer than d to a side
        away = 0.5 * (5.0 - 5.0 * sqrt(1.0 - share))
        assert fractile(drawn["hidden_joint"], share) == pytest.approx(away, abs=2e-3)


def test_an_input_has_the_same_column_whatever_else_is_drawn_and_no_two_go_together() -> None:
    one, two = Ends(0.15, 0.12, 0.18), Ends(4e7, 2e7, 8e7)
    alone, both = columns({"thickness": one}), columns({"subgrade_reaction": two, "thickness": one})
    assert np.array_equal(alone["thickness"], both["thickness"])
    assert abs(np.corrcoef(both["thickness"], np.log(both["subgrade_reaction"]))[0, 1]) < 3.0 / sqrt(COUNT)
    other = columns({"thickness": one}, where="another part")["thickness"]
    assert not np.array_equal(alone["thickness"], other)
    assert np.array_equal(np.sort(alone["thickness"]), np.sort(other))


def test_a_fractile_is_counted_by_hand() -> None:
    values = np.array([3.0, 1.0, 2.0, 4.0])
    assert [fractile(values, share) for share in (0.05, 0.25, 0.26, 0.75, 0.95)] == [1.0, 1.0, 2.0, 3.0, 4.0]


def test_a_product_of_two_inputs_has_the_fractiles_of_the_sum_of_their_logarithms() -> None:
    bands = {"a": Ends(1.0, 2.0, 0.5), "b": Ends(3.0, 6.0, 1.5)}
    found = over_draws(lambda x: (x["a"] * x["b"], 1.0), bands, arrays=True).ratio
    # two normals whose 95 % fractile is ln 2: together ln 2 x sqrt 2
    factor = 2.0 ** sqrt(2.0)
    assert found.likely == 3.0
    assert found.high == pytest.approx(3.0 * factor, rel=0.03)
    assert found.low == pytest.approx(3.0 / factor, rel=0.03)
    # a draw may lie past the corner of both ends, but not past both cuts
    assert 12.0 <= found.worst < 3.0 * 4.0**1.4143


PATCH = Patch("t", (0.0, 0.0), 0.0, 0.24, 0.30, 7e4)
LAYERS = (
    GroundLayer("platform", False, "platform ", (), apparent=True),
    GroundLayer("clay", True, "clay ", ("platform thickness",)),
    GroundLayer("sand", False, "sand ", ("platform thickness", "clay thickness")),
)
GROUND = {
    "platform thickness": Ends(0.5, 0.3, 0.6),
    "platform friction_angle": Ends(0.70, 0.58, 0.78),
    "platform unit_weight": Ends(19e3, 17e3, 21e3),
    "platform cohesion": Ends(5e3, 0.0, 15e3),
    "water_depth": Ends(2.0, 0.0, 5.0),
    "author": Ends(0.5, 0.0, 1.0),
    "clay undrained_strength": Ends(40e3, 12e3, 90e3),
    "clay thickness": Ends(1.0, 0.7, 1.2),
    "sand friction_angle": Ends(0.59, 0.14, 0.78),
    "sand cohesion": Ends(1e3, 0.0, 5e3),
    "sand unit_weight": Ends(18e3, 15e3, 20e3),
    "thickness": Ends(0.09, 0.04, 0.18),
    "asphalt_stiffness": Ends(3.5e9, 1.8e9, 6e9),
    "surface_temperature": Ends(293.0, 333.0, 278.0),
    "base_thickness": Ends(0.2, 0.08, 0.4),
    "base_stiffness": Ends(1e8, 2e7, 3e8),
    "soil_stiffness": Ends(3e7, 1e7, 1.2e8),
    "undrained_strength": Ends(40e3, 12e3, 90e3),
    "friction_angle": Ends(0.59, 0.14, 0.78),
    "cohesion": Ends(1e3, 0.0, 5e3),
}


def ground_ways(braking: float, sunk: Sunk) -> list[Mode]:
    alone = [GroundLayer("sand", False, "sand ", apparent=True), GroundLayer("clay", True, "clay ")]
    ways = [*ground_modes(PATCH, LAYERS, "platform ", braking, sunk), *asphalt_ways()]
    return ways + [bearing_mode(PATCH, layer, braking, sunk) for layer in alone]


def asphalt_ways() -> list[Mode]:
    clay = {"undrained_strength": GROUND["undrained_strength"]}
    return [mode for known in (clay, {}) for mode in asphalt_modes([PATCH], PATCH, known, moving=False)]


@pytest.mark.parametrize("braking", [0.0, 0.15, 0.6])
@pytest.mark.parametrize("sunk", [Sunk(), Sunk(0.1, 0.08)], ids=["on", "in"])
def test_ground_and_asphalt_asked_together_are_those_asked_one_by_one(braking: float, sunk: Sunk) -> None:
    """Water in the patch's reach, patches that slide, clay too weak for the platform's method and all else in it."""
    for mode in ground_ways(braking, sunk):
        drawn = columns({name: GROUND[name] for name in mode.inputs}, 200)
        assert mode.arrays
        together = np.array([np.broadcast_to(side, 200) for side in mode.ask(drawn)])  # type: ignore[arg-type]
        singly = [mode.ask({name: float(column[i]) for name, column in drawn.items()}) for i in range(200)]
        assert pytest.approx(np.array(singly), rel=1e-12) == together.T, mode.name


def test_the_many_draws_are_within_5_percent_of_more_and_the_few_within_12() -> None:
    """Soils known by word. The upper figure that planning goes by, against as many draws of eight other orders."""
    by_word = {"sand friction_angle": Ends(0.59, 0.52, 0.67), "friction_angle": Ends(0.59, 0.52, 0.67)}
    by_word |= {name: Ends(40e3, 24e3, 67e3) for name in ("clay undrained_strength", "undrained_strength")}
    few, many = [], []
    for mode in ground_ways(0.0, Sunk()):
        bands = {name: {**GROUND, **by_word}[name] for name in mode.inputs}
        asked = [ask_over(mode.ask, columns(bands, where=f"{k}"), COUNT, arrays=True) for k in range(8)]
        more = fractile(np.concatenate([ratios(*pair) for pair in asked]), 0.95)
        few.append(abs(over_draws(mode.ask, bands).ratio.high / more - 1.0))
        many.append(abs(over_draws(mode.ask, bands, arrays=True).ratio.high / more - 1.0))
    assert max(many) < 0.05
    assert max(few) < 0.12
