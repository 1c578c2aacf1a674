"""Which loads of a run are asked of the floor: not those of a tyre in a hole or at its rim, whichever way it lies."""

from __future__ import annotations

from math import cos, pi, sin

import numpy as np
import pytest

from tipline.kernels import layout as at
from tipline.results import Channel, Run
from tipline.runs.peaks import peaks
from tipline.scenario import read

TYRES = ("front-left", "front-right", "rear-left", "rear-right")
MIDDLE, LENGTH, HEADING = np.array([2.0, 2.0]), 0.4, pi / 4
"""Of a hole, clear of joints [m], and where it points."""


def crossing(case, beyond: float, across: float) -> Run:
    """A hole opens at once; at 1 s the front left tyre carries 60 kN from it by so much [m], before 20 kN 6 m off."""
    time = np.array([0.0, 0.5, 1.0, 1.5])
    along, left = np.array([cos(HEADING), sin(HEADING)]), np.array([-sin(HEADING), cos(HEADING)])
    where = {name: np.full((4, 2), 6.0 + 4.0 * i) for i, name in enumerate(TYRES)}
    where["front-left"][2] = MIDDLE + beyond * along + across * left
    loads = {name: np.full(4, 2e3) for name in TYRES} | {"front-left": np.array([0.0, 2e4, 6e4, 0.0])}
    channels = {name: Channel(np.zeros(4), "", name) for name in ("yaw", "speed")}
    for name in TYRES:
        channels[f"tyre_load.{name}"] = Channel(loads[name], "N", name)
        for c, axis in enumerate("xy"):
            channels[f"tyre_contact_{axis}.{name}"] = Channel(where[name][:, c], "m", name)
        channels[f"tyre_contact_z.{name}"] = Channel(np.zeros(4), "m", name)
    hole = {
        "law": "given",
        "source": "floor drops",
        "heading": HEADING,
        "x": MIDDLE[0],
        "y": MIDDLE[1],
        "size": (LENGTH, LENGTH),
    }
    meta = {"places": [{**hole, "at": 0.0}]}
    return Run(time, np.zeros((4, 6, 7)), np.zeros((4, 6, 6)), channels, at.BODIES, TYRES, meta)


@pytest.mark.parametrize("tyre", ["front-left"])
@pytest.mark.parametrize(
    ("way", "more", "counted"),
    [("along", -0.02, 2e4), ("along", 0.02, 6e4), ("across", -0.02, 2e4), ("across", 0.02, 6e4)],
)
def test_a_tyre_counts_from_where_its_disc_is_clear_of_the_hole(
    tyre: str, way: str, more: float, counted: float
) -> None:
    """Along the hole half of it and half the disc; across it half of it and half the tread."""
    case = read("stop-with-the-load-up-breaks-a-slab")
    size = case.machine.drive_axle.tyre[0]
    beyond = 0.5 * (LENGTH + size.diameter) + more if way == "along" else 0.0
    across = 0.5 * (LENGTH + size.width) + more if way == "across" else 0.0
    found = peaks(case.inputs, case.floor, crossing(case, beyond, across))
    (peak,) = (one for one in found if one.answer.tyre == tyre)
    assert peak.answer.tyre_load == pytest.approx(counted)
    assert peak.time == (1.0 if counted == 6e4 else 0.5)
