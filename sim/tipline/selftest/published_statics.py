"""Published numbers: load moment, axle and wheel loads."""

from __future__ import annotations

from tipline.mechanics.statics import steer_axle_share
from tipline.oracles.statics import allowable_load, load_moment, tipping_load
from tipline.selftest import invented
from tipline.selftest.check import Check
from tipline.selftest.textbook_trucks import wheel_load

__all__ = ["CHECKS"]

IN, FT, LB, LBF, G = 0.0254, 0.3048, 0.45359237, 4.4482216152605, 9.80665


FORK_TRUCK = ((3500 * LB, -42 * IN), (800 * LB, 24 * IN))
TRACTOR = ((2100 * LB, -40 * IN), (900 * LB, 50 * IN))
SCHOOL_CAR = ((1800.0, -1.05),)
SKIDDING_CAR = ((11e3 / G, -1.8),)
VAN = ((1000.0, -7 * FT),)
_FIGURE = "p. 157; wheelbase 72 in worked back from the answer, the figure was not seen"

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
        "wickert-front-wheel",
        "Lift truck with 800 lb, one front wheel",
        "1262 lbf",
        "WickertLewis2013",
        _FIGURE,
        "seen in the source",
        lambda: wheel_load(0, FORK_TRUCK, 72 * IN),
        0.51,
        "1262.5 is cut in the source, and nothing is quite rigid",
    ),
    Check(
        "wickert-rear-wheel",
        "Lift truck with 800 lb, one rear wheel",
        "888 lbf",
        "WickertLewis2013",
        _FIGURE,
        "seen in the source",
        lambda: wheel_load(1, FORK_TRUCK, 72 * IN),
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
        "tractor-rear-wheel",
        "Tractor with 900 lb in the bucket, one rear wheel",
        "325 lbf",
        "BeerJohnstonStatics",
        "problem 4.1",
        "from memory",
        lambda: wheel_load(1, TRACTOR, 60 * IN),
    ),
    Check(
        "tractor-front-wheel",
        "Tractor with 900 lb in the bucket, one front wheel",
        "1175 lbf",
        "BeerJohnstonStatics",
        "problem 4.1",
        "from memory",
        lambda: wheel_load(0, TRACTOR, 60 * IN),
    ),
    Check(
        "school-car-front-wheel",
        "Car of 1800 kg, one front wheel",
        "3675 N",
        "CarAxleProblem",
        "",
        "seen in the source",
        lambda: wheel_load(0, SCHOOL_CAR, 1.8, gravity=9.8),
    ),
    Check(
        "school-car-rear-wheel",
        "Car of 1800 kg, one rear wheel",
        "5145 N",
        "CarAxleProblem",
        "",
        "seen in the source",
        lambda: wheel_load(1, SCHOOL_CAR, 1.8, gravity=9.8),
    ),
    Check(
        "van-front-axle",
        "Van that skids to a stop, share of one front wheel",
        "0.325",
        "BeerJohnstonDynamics",
        "sample problem 16.1",
        "from memory",
        lambda: wheel_load(0, VAN, 12 * FT, 4 * FT, 22.5 / 32.2) / (1000.0 * G),
    ),
    Check(
        "van-rear-axle",
        "Van that skids to a stop, share of one rear wheel",
        "0.175",
        "BeerJohnstonDynamics",
        "sample problem 16.1",
        "from memory",
        lambda: wheel_load(1, VAN, 12 * FT, 4 * FT, 22.5 / 32.2) / (1000.0 * G),
    ),
    Check(
        "skidding-car-front-wheel",
        "Car of 11 kN with locked wheels, one front wheel",
        "3.5 kN",
        "HallidayResnickWalker2008",
        "car on a horizontal road",
        "from memory",
        lambda: wheel_load(0, SKIDDING_CAR, 4.2, 0.75, 0.4),
    ),
    Check(
        "skidding-car-rear-wheel",
        "Car of 11 kN with locked wheels, one rear wheel",
        "2.0 kN",
        "HallidayResnickWalker2008",
        "car on a horizontal road",
        "from memory",
        lambda: wheel_load(1, SKIDDING_CAR, 4.2, 0.75, 0.4),
    ),
    Check(
        "insurer-front-wheel",
        "6 t truck with 3 t and 90 % on the front axle, one wheel",
        "4,000 kg",
        "DGUV208-004",
        "section 2.1",
        "seen in the source",
        lambda: wheel_load(0, ((9000.0, -0.2),), 2.0) / G,
        100.0,
        "printed as a round figure beside 'about 90 %'",
    ),
    Check(
        "drive-axle-share",
        "Drive-axle share of an invented truck at its 18 % slope load",
        "87 to 94 %",
        "TM5-809-1",
        "3-2, usual range for loaded trucks",
        "seen in the source",
        lambda: 1.0 - steer_axle_share(*invented.laden(invented.slope_load(0.18, 0.3), 0.9), invented.WHEELBASE),
    ),
)
