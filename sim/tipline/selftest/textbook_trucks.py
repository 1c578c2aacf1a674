"""Cars and trucks of textbooks through the statics of `check`: a demo truck with their weights and axles.

Whatever else it has weighs a gram. Its tyres, mast and chain are near rigid, as the books take them.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

import numpy as np

from tipline.selftest.check import Check
from tipline.selftest.used_by import kept
from tipline.units import FOOT as FT
from tipline.units import INCH as IN
from tipline.units import POUND as LB
from tipline.units import STANDARD_GRAVITY as G

if TYPE_CHECKING:
    from tipline.model.machine import DriveAxle, SteerAxle
    from tipline.scenario import Case
    from tipline.statics.truck import Truck

__all__ = ["CHECKS", "Parts", "textbook_truck", "wheel_load"]

Parts = tuple[tuple[float, float], ...]
"""Mass [kg] and how far ahead of the front axle [m] of each part."""
_NONE = "1 g"
_TEXT = """
title = "Textbook truck"
machine = "demo-truck-c"
floor = "demo-hall-a"
[setup]
attachment = "forks"
fork_height = "0.3 m"
"""


FORK_TRUCK = ((3500 * LB, -42 * IN), (800 * LB, 24 * IN))
TRACTOR = ((2100 * LB, -40 * IN), (900 * LB, 50 * IN))
SCHOOL_CAR = ((1800.0, -1.05),)
SKIDDING_CAR = ((11e3 / G, -1.8),)
VAN = ((1000.0, -7 * FT),)
_FIGURE = "p. 157; wheelbase 72 in worked back from the answer, the figure was not seen"


def wheel_load(
    axle: int, parts: Parts, wheelbase: float, height: float = 0.5, ratio: float = 0.0, gravity: float = G
) -> float:
    """Load [N] of one of two wheels on the front (0) or rear (1) axle; ratio is deceleration over gravity."""
    truck = textbook_truck(parts, wheelbase, height)
    pose = truck.solve(np.array([ratio * gravity, 0.0, -gravity]), truck.start(0.0), strict=True)
    return float(pose.loads[2 * axle : 2 * axle + 2].mean())


@kept
def textbook_truck(parts: Parts, wheelbase: float, height: float) -> Truck:
    """Build a truck of these parts, their centre of mass at a height."""
    from tipline import scenario
    from tipline.statics.truck import truck_of

    whole = sum(mass for mass, _ in parts)
    middle = sum(mass * x for mass, x in parts) / whole
    changes = {
        "machine.wheelbase": f"{wheelbase} m",
        "machine.chassis.rear": f"{-wheelbase - 0.3} m",
        "machine.chassis.mass": f"{whole} kg",
        "machine.chassis.centre": f"['{middle} m', '0 m', '{height} m']",
        **{f"machine.{part}.mass": _NONE for part in ("steer_axle", "mast", "carriage", "forks", "counterweight")},
    }
    with TemporaryDirectory() as folder:
        file = Path(folder) / "textbook.toml"
        file.write_text(_TEXT, encoding="utf-8")
        return truck_of(_rigid(scenario.read(file, changes)))


def _rigid(case: Case) -> Case:
    machine = case.machine

    def hard(axle: DriveAxle | SteerAxle) -> DriveAxle | SteerAxle:
        return axle.model_copy(update={"tyre": tuple(tyre.model_copy(update={"stiffness": 2e9}) for tyre in axle.tyre)})

    names = ("stiffness_fore_aft", "stiffness_sideways", "stiffness_twist", "chain_stiffness")
    mast = machine.mast.model_copy(update={**dict.fromkeys(names, 1e11), "roller_play": 0.0})
    update = {"drive_axle": hard(machine.drive_axle), "steer_axle": hard(machine.steer_axle), "mast": mast}
    return replace(case, machine=machine.model_copy(update=update))


CHECKS = (
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
)
