"""Cars and trucks of textbooks through the statics of `check`: a demo truck with their weights and axles.

Whatever else it has weighs a gram. Its tyres, mast and chain are near rigid, as the books take them.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

import numpy as np

from tipline.selftest.used_by import kept

if TYPE_CHECKING:
    from tipline.model.machine import DriveAxle, SteerAxle
    from tipline.scenario import Case
    from tipline.statics.truck import Truck

__all__ = ["Parts", "textbook_truck", "wheel_load"]

Parts = tuple[tuple[float, float], ...]
"""Mass [kg] and how far ahead of the front axle [m] of each part."""
G = 9.80665
_NONE = "1 g"
_TEXT = """
title = "Textbook truck"
machine = "demo-truck-c"
floor = "demo-hall-a"
[setup]
attachment = "forks"
fork_height = "0.3 m"
"""


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
