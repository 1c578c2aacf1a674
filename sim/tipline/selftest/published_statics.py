"""Published numbers: load moment, axle and wheel loads, centres of what stands on scales."""

from __future__ import annotations

from tipline.mechanics.scales import centre_between_scales
from tipline.mechanics.statics import allowable_load, load_moment, steer_axle_share
from tipline.oracles.statics import tipping_load
from tipline.selftest import invented
from tipline.selftest.check import Check
from tipline.units import FOOT as FT
from tipline.units import INCH as IN
from tipline.units import POUND as LB
from tipline.units import POUND_FORCE as LBF

__all__ = ["CHECKS"]


CHECKS = (
    Check(
        "osha-load-moment",
        "Load moment of a 3000 lb truck at 24 in",
        "72,000 in lbf",
        "OSHA1910.178A",
        "A-5",
        "seen in the source",
        lambda: load_moment(3000 * LBF, 24 * IN),
    ),
    Check(
        "osha-reduced-load",
        "Same load moment at 30 in",
        "2,400 lbf",
        "OSHA1910.178A",
        "A-5",
        "seen in the source",
        lambda: allowable_load(load_moment(3000 * LBF, 24 * IN), 30 * IN),
    ),
    Check(
        "wickert-tipping-load",
        "Load that tips the lift truck",
        "6125 lb",
        "WickertLewis2013",
        "p. 157",
        "seen in the source",
        lambda: tipping_load([3500 * LB], [-42 * IN], 24 * IN),
    ),
    Check(
        "scales-nosewheel",
        "2006 lb on main wheels and a nosewheel 78 in ahead, 340 lb on that: centre ahead of the main wheels",
        "13.2 in",
        "WeightBalanceHandbook",
        "use of an electronic calculator, example",
        "seen in the source",
        lambda: centre_between_scales((2006 - 340) * LB, 340 * LB, 78 * IN),
    ),
    Check(
        "scales-mass-balance",
        "285 kg on a nosewheel, 2860 kg on main wheels 7 ft 8 in behind: centre behind the nosewheel",
        "83.7 in",
        "MassBalanceProblem",
        "answer B",
        "seen in the source",
        lambda: centre_between_scales(285.0, 1465.0 + 1395.0, 7 * FT + 8 * IN),
    ),
    Check(
        "drive-axle-share",
        "Drive-axle share of an invented truck at its 18 % slope load",
        "87 to 94 %",
        "TM5-809-1",
        "3-2, usual range for loaded trucks",
        "seen in the source",
        lambda: 1.0 - float(steer_axle_share(*invented.laden(invented.slope_load(0.18, 0.3), 0.9), invented.WHEELBASE)),
    ),
)
