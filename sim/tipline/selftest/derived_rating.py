"""Derived numbers: loads of the invented truck by slope, steer-axle share, least load."""

from __future__ import annotations

from functools import partial

from tipline.mechanics.rating import (
    least_load,
    load_by_axle_moment,
    load_by_drive_axle,
    load_by_slope_test,
    load_by_steer_axle,
    side_slope,
)
from tipline.mechanics.statics import steer_axle_share
from tipline.oracles.rating import residual_load
from tipline.oracles.statics import tipping_load
from tipline.selftest import invented
from tipline.selftest.check import derived

__all__ = ["CHECKS"]


def _empty_share(extension: float, slabs: int) -> float:
    return float(steer_axle_share(*invented.truck(extension, slabs), invented.WHEELBASE))


def _xs(extension: float, slabs: int) -> tuple[list[float], list[float]]:
    mass, centre = invented.truck(extension, slabs)
    return mass, [x for x, _, _ in centre]


def _at_load_centre(centre: float) -> float:
    return float(load_by_slope_test(*invented.truck(), invented.FORK_FACE + centre, 3.0 + centre, 0.035))


def _level_over_slope() -> float:
    return tipping_load(*_xs(0.0, 0), invented.LOAD_X) / invented.slope_load(0.18, 0.3)


def _share_at_slope_load() -> float:
    return float(steer_axle_share(*invented.laden(invented.slope_load(0.18, 0.3), 0.9), invented.WHEELBASE))


def _with_attachment() -> float:
    return residual_load(*invented.truck(), 500.0, 0.70, 3.2, invented.LOAD_X + 0.2, 3.6, 0.035)


def _aside(rear_half: float, pivot_height: float) -> float:
    half = 0.5 * invented.FRONT_TRACK
    return float(side_slope(*invented.laden(14e3, 3.6), half, rear_half, invented.WHEELBASE, pivot_height))


_BY_SET_UP = (
    (0.0, ("16.31 t", "17.93 t", "19.54 t", "21.16 t")),
    (0.4, ("18.19 t", "20.12 t", "22.05 t", "23.98 t")),
    (0.8, ("20.07 t", "22.32 t", "24.56 t", "26.80 t")),
    (1.2, ("21.96 t", "24.51 t", "27.07 t", "29.62 t")),
)
"""Load at 3.5 %, forks at 3 m, by counterweight extension [m] and by 0, 2, 4 and 6 slabs."""


CHECKS = (
    derived(
        "slope-load-home",
        "Load at 3.5 %, forks at 3 m, counterweight home",
        "16.3130 t",
        lambda: invented.slope_load(0.035, 3.0),
    ),
    derived(
        "slope-load-out",
        "Same, counterweight 1.2 m out, six slabs",
        "29.6237 t",
        lambda: invented.slope_load(0.035, 3.0, 1.2, 6),
    ),
    *(
        derived(
            f"slope-load-{centre:g}",
            f"Same, home, load centre {centre:g} m",
            printed,
            partial(_at_load_centre, centre),
        )
        for centre, printed in ((0.9, "13.12 t"), (1.2, "10.97 t"), (1.5, "9.43 t"))
    ),
    derived(
        "slope-load-travelling", "Load at 18 %, forks at 0.3 m", "14.4297 t", lambda: invented.slope_load(0.18, 0.3)
    ),
    derived("tipping-over-slope", "Load that tips it on the level, over that", "1.28177", _level_over_slope),
    derived("share-at-slope-load", "Steer-axle share on the level at that load", "0.0788017", _share_at_slope_load),
    derived(
        "share-empty-home", "Steer-axle share, empty, counterweight home", "0.666353", lambda: _empty_share(0.0, 0)
    ),
    derived(
        "share-empty-out",
        "Steer-axle share, empty, 1.2 m out, six slabs: above 1 it falls back",
        "1.01994",
        lambda: _empty_share(1.2, 6),
    ),
    derived(
        "least-load",
        "Least load for 15 % on the front axle at that setting",
        "2.31212 t",
        lambda: float(least_load(*invented.truck(1.2, 6), invented.WHEELBASE, invented.LOAD_X, 0.15)),
    ),
    derived(
        "steer-axle-load",
        "Load that leaves 10 % on the steer axle, home",
        "13.4910 t",
        lambda: float(load_by_steer_axle(*invented.truck(), invented.WHEELBASE, invented.LOAD_X, 0.10)),
    ),
    *(
        derived(
            f"slope-load-{extension:g}-out-{slabs}-slabs",
            f"Load at 3.5 %, forks at 3 m, counterweight {extension:g} m out, {slabs} slabs",
            printed,
            partial(invented.slope_load, 0.035, 3.0, extension, slabs),
        )
        for extension, row in _BY_SET_UP
        for slabs, printed in zip((0, 2, 4, 6), row, strict=True)
    ),
    *(
        derived(
            f"slope-load-forks-at-{height:g}",
            f"Same, home, no slabs, forks at {height:g} m",
            printed,
            partial(invented.slope_load, 0.035, height),
        )
        for height, printed in ((0.3, "17.62 t"), (1.5, "17.01 t"), (4.5, "15.67 t"), (6.0, "15.07 t"))
    ),
    derived(
        "least-load-in-reverse",
        "Least load at that setting in a stop of 0.16 g in reverse, forks at 0.3 m",
        "1.15499 t",
        lambda: float(least_load(*invented.truck(1.2, 6), invented.WHEELBASE, invented.LOAD_X, 0.0, 0.16, 0.3 + 0.6)),
    ),
    derived(
        "drive-axle-load",
        "Load that puts 30 t on the drive axle, home",
        "15.1967 t",
        lambda: float(load_by_drive_axle(*invented.truck(), invented.WHEELBASE, invented.LOAD_X, 30e3)),
    ),
    derived(
        "axle-moment-load",
        "Load of equal moment about the drive axle at a load centre of 0.9 m, of 14.4297 t at 0.6 m",
        "11.4442 t",
        lambda: float(load_by_axle_moment(14429.7, invented.FORK_FACE, invented.LOAD_CENTRE, 0.9)),
    ),
    derived(
        "side-slope-swings",
        "Side slope at which it swings with 14 t on the forks, 3.6 m up",
        "0.383928",
        lambda: _aside(0.0, invented.PIVOT_HEIGHT),
    ),
    derived(
        "side-slope-fixed",
        "Same with a fixed steer axle, rear half track 0.75 m",
        "0.408706",
        lambda: _aside(0.75, 0.0),
    ),
    derived("residual-load", "Load left at 3.5 % with a 500 kg attachment 0.2 m thick", "13.8275 t", _with_attachment),
)
