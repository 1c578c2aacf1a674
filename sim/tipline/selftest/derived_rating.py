"""Derived numbers: loads of the invented truck by slope, steer-axle share, least load."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from tipline.mechanics.statics import steer_axle_share
from tipline.oracles.rating import (
    least_load,
    load_by_slope_test,
    load_by_steer_axle,
    residual_load,
)
from tipline.oracles.statics import tipping_load
from tipline.selftest import invented
from tipline.selftest.check import Check

__all__ = ["CHECKS"]


def _derived(
    name: str, what: str, printed: str, call: Callable[[], float], source: str = "Own", place: str = ""
) -> Check:
    return Check(name, what, printed, source, place, "derived here", call)


def _empty_share(extension: float, slabs: int) -> float:
    return steer_axle_share(*invented.truck(extension, slabs), invented.WHEELBASE)


def _xs(extension: float, slabs: int) -> tuple[list[float], list[float]]:
    mass, centre = invented.truck(extension, slabs)
    return mass, [x for x, _, _ in centre]


def _at_load_centre(centre: float) -> float:
    return load_by_slope_test(*invented.truck(), invented.FORK_FACE + centre, 3.0 + centre, 0.035)


def _level_over_slope() -> float:
    return tipping_load(*_xs(0.0, 0), invented.LOAD_X) / invented.slope_load(0.18, 0.3)


def _share_at_slope_load() -> float:
    return steer_axle_share(*invented.laden(invented.slope_load(0.18, 0.3), 0.9), invented.WHEELBASE)


def _with_attachment() -> float:
    return residual_load(*invented.truck(), 500.0, 0.70, 3.2, invented.LOAD_X + 0.2, 3.6, 0.035)


CHECKS = (
    _derived(
        "slope-load-home",
        "Load at 3.5 %, forks at 3 m, counterweight home",
        "16.3130 t",
        lambda: invented.slope_load(0.035, 3.0),
    ),
    _derived(
        "slope-load-out",
        "Same, counterweight 1.2 m out, six slabs",
        "29.6237 t",
        lambda: invented.slope_load(0.035, 3.0, 1.2, 6),
    ),
    *(
        _derived(
            f"slope-load-{centre:g}",
            f"Same, home, load centre {centre:g} m",
            printed,
            partial(_at_load_centre, centre),
        )
        for centre, printed in ((0.9, "13.12 t"), (1.2, "10.97 t"), (1.5, "9.43 t"))
    ),
    _derived(
        "slope-load-travelling", "Load at 18 %, forks at 0.3 m", "14.4297 t", lambda: invented.slope_load(0.18, 0.3)
    ),
    _derived("tipping-over-slope", "Load that tips it on the level, over that", "1.28177", _level_over_slope),
    _derived("share-at-slope-load", "Steer-axle share on the level at that load", "0.0788017", _share_at_slope_load),
    _derived(
        "share-empty-home", "Steer-axle share, empty, counterweight home", "0.666353", lambda: _empty_share(0.0, 0)
    ),
    _derived(
        "share-empty-out",
        "Steer-axle share, empty, 1.2 m out, six slabs: above 1 it falls back",
        "1.01994",
        lambda: _empty_share(1.2, 6),
    ),
    _derived(
        "least-load",
        "Least load for 15 % on the front axle at that setting",
        "2.31212 t",
        lambda: least_load(*_xs(1.2, 6), invented.WHEELBASE, invented.LOAD_X, 0.15),
    ),
    _derived(
        "steer-axle-load",
        "Load that leaves 10 % on the steer axle, home",
        "13.4910 t",
        lambda: load_by_steer_axle(*_xs(0.0, 0), invented.WHEELBASE, invented.LOAD_X, 0.10),
    ),
    _derived("residual-load", "Load left at 3.5 % with a 500 kg attachment 0.2 m thick", "13.8275 t", _with_attachment),
)
