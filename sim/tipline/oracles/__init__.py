"""Closed forms that no command calls: a second route to what `check`, `run`, `slopes` and `floor` answer.

Each is exact for a truck or a floor simpler than ours. The self-test computes their published numbers, and `MET` names
for each the test that holds an answer of the product against it, on a truck or a floor on which both must agree.
"""

from __future__ import annotations

from types import MappingProxyType

__all__ = ["MET"]

_CHECK = "tests/oracles/test_met_by_check.py::test_"
_RUN = "tests/oracles/test_met_by_run.py::test_"
_SLOPES = "tests/oracles/test_met_by_slopes.py::test_"
_FLOOR = "tests/oracles/test_met_by_floor.py::test_"
_TIP_DEPTH = (
    "tests/engines/test_tip_depth.py::test_tip_depth_lies_between_the_energy_bound_and_a_landing_without_rebound"
)
_SWING = f"{_RUN}a_stop_swings_it_twice_as_far_as_a_steady_pull_and_leaves_what_the_formula_says"
_BLOCK = f"{_RUN}a_block_rocks_lands_and_turns_over_as_the_inverted_pendulum"
_PERIOD = f"{_RUN}a_hung_load_swings_with_the_period_of_a_pendulum"
_BALANCE = f"{_CHECK}the_balance_point_on_a_slope_is_where_the_axle_loads_say"
_MOMENT = f"{_CHECK}a_load_tips_it_where_its_moment_is_that_of_the_truck"
_SLOPE_TEST = f"{_CHECK}a_slope_test_finds_the_load_that_tips_it_there_with_an_attachment_or_without"
_EVEN_GROUND = f"{_FLOOR}below_a_tyre_an_even_ground_is_stressed_as_the_half_space_below_a_circle_and_a_square"
_LIMITS = "tests/slope_limits/test_assessment.py::test_"
_POSE = "tests/pose/test_assessment.py::test_"
_FORMULAS = f"{_LIMITS}a_stiff_truck_meets_the_formulas_of_tipping"
_LAYERS = "tests/floors/test_numbers.py::test_what_reaches_the_soil_below_asphalt_is_that_of_the_exact_layers"
_HOLE = f"{_POSE}the_drop_that_could_tip_a_rigid_truck_is_that_of_its_disc_wheels_and_outer_strips"

MET: MappingProxyType[str, tuple[tuple[str, str], ...]] = MappingProxyType(
    {
        "asphalt.hottest_surface_temperature": (
            ("floor", f"{_FLOOR}the_hottest_surface_lies_in_the_band_of_a_sunny_day"),
        ),
        "asphalt.solar_irradiance": (("floor", f"{_FLOOR}the_hottest_surface_lies_in_the_band_of_a_sunny_day"),),
        "energy.hole_depth_limit": (("check", _HOLE), ("run", _TIP_DEPTH)),
        "energy.hole_depth_limit_disc": (("check", _HOLE),),
        "energy.hole_depth_limit_springs": (("run", _TIP_DEPTH),),
        "energy.landing_depth": (("run", _TIP_DEPTH),),
        "energy.rise_to_tip": (("check", _HOLE), ("run", _TIP_DEPTH)),
        "energy.slow_depth": (("run", _TIP_DEPTH),),
        "halfspace.circle_functions": (("floor", _EVEN_GROUND),),
        "halfspace.circle_response": (
            ("floor", _EVEN_GROUND),
            ("floor", f"{_FLOOR}beside_a_tyre_it_falls_off_as_below_a_circle"),
        ),
        "halfspace.rectangle_corner_influence": (("floor", _EVEN_GROUND),),
        "layered.layered_response": (
            (
                "floor",
                _LAYERS,
            ),
        ),
        "mast.overhanging_beam": (("check", f"{_CHECK}a_mast_of_one_stage_gives_as_the_overhanging_beam"),),
        "pendulum.pendulum_period": (("run", _PERIOD), ("run", _SWING)),
        "pendulum.pendulum_period_series": (("run", _PERIOD),),
        "pendulum.residual_swing": (("run", _SWING),),
        "pendulum.static_swing": (("run", _SWING),),
        "pendulum.sudden_swing": (("run", _SWING),),
        "rating.residual_load": (("check", _SLOPE_TEST),),
        "rocking.block_of": (("run", _BLOCK),),
        "rocking.impact_ratio": (("run", _BLOCK),),
        "rocking.push_duration": (("run", _BLOCK),),
        "rocking.rocking_period": (("run", _BLOCK),),
        "slab.corner": (("floor", f"{_FLOOR}a_tyre_at_a_free_corner_bends_it_as_the_closed_formula"),),
        "slab_field.disc_field": (("floor", f"{_FLOOR}a_patch_far_from_edges_bends_the_slab_as_the_exact_plate"),),
        "statics.axle_loads": (("check", _BALANCE),),
        "statics.balance_point": (("check", _BALANCE),),
        "statics.slope_gravity": (("check", _BALANCE), ("check", _SLOPE_TEST)),
        "statics.tipping_load": (("check", _MOMENT),),
        "statics.tyre_loads": (
            ("check", "tests/engines/test_rest.py::test_loads_are_those_of_the_potential_least_found_by_check"),
        ),
        "tipping.backward_threshold": (("check", f"{_CHECK}it_falls_back_down_a_slope_behind_at_the_threshold"),),
        "tipping.braking_threshold": (
            ("check", f"{_CHECK}braking_lifts_the_rear_axle_at_the_threshold"),
            ("slopes", _FORMULAS),
        ),
        "tipping.fixed_axle_threshold": (
            (
                "slopes",
                f"{_LIMITS}a_stiff_fixed_axle_tips_by_the_formula_of_its_tracks",
            ),
        ),
        "tipping.parts_threshold": (("slopes", _FORMULAS),),
        "tipping.pivoting_axle_threshold": (
            (
                "check",
                f"{_POSE}the_slope_limit_of_a_stiff_truck_is_the_threshold_of_its_pivoting_axle",
            ),
        ),
        "tipping.sliding_deceleration": (
            ("slopes", f"{_SLOPES}a_load_on_the_forks_slides_before_it_tips_where_the_formula_says"),
        ),
        "tipping.static_stability_factor": (
            ("slopes", f"{_SLOPES}a_fixed_axle_tips_sideways_by_half_its_track_over_its_height"),
        ),
        "tipping.tip_or_slide": (
            ("slopes", f"{_SLOPES}a_load_on_the_forks_slides_before_it_tips_where_the_formula_says"),
        ),
    }
)
"""By module and name: the commands whose answers an oracle is held against, and the test that does it."""
