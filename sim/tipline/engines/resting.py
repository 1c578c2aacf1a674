"""Where truck and lifted load lie at the end of a run, from where the truck stood: what one finds and measures.

Source: [Own]
"""

from __future__ import annotations

from math import atan2, ceil, cos, inf, nan, pi, sin
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

from tipline.geometry.ground import floor_rise
from tipline.geometry.posed import leaning, rotation
from tipline.kernels import layout as at

if TYPE_CHECKING:
    from tipline.engines.prepare import Prepared

__all__ = ["Lies", "lies"]

Array = NDArray[np.float64]
LAIN = pi / 4.0
"""A truck that leans by more is taken to go over by whoever sees it (our choice)."""
LOOKED = 0.008
"""Time [s] between two looks at what strikes the floor (our choice: between two a corner goes straight on; falling
freely it is 0.1 mm off that)."""


class Lies(NamedTuple):
    """Where all lies, along and across where the truck stood [m], and how it is turned and leans [rad].

    truck_ahead, truck_left : middle of the drive axle; truck_heading : counter-clockwise from above
    truck_roll, truck_pitch : right side and front down positive
    load_ahead, load_left : centre of the lifted load, from where the middle of the drive axle stood; nan without one
    load_height : the same above the floor's plane
    truck_mark_ahead, truck_mark_left : where its body first struck the floor, tyres apart; nan where not
    load_mark_ahead, load_mark_left : the same of the lifted load
    over_after : from the first command, or the first place that opens, until it leaned by LAIN [s]; nan where it never
        did
    """

    truck_ahead: float
    truck_left: float
    truck_heading: float
    truck_roll: float
    truck_pitch: float
    load_ahead: float
    load_left: float
    load_height: float
    truck_mark_ahead: float
    truck_mark_left: float
    load_mark_ahead: float
    load_mark_left: float
    over_after: float


def lies(prepared: Prepared, states: Array, dt: float, first: float) -> Lies:
    """Return where truck and load lie at the last of the states (n, 6, 13) of the bodies in their own axes.

    dt : time between two of them [s]; first : when something first happened, in steps
    """
    build, state = prepared.build, states[-1]
    turn = rotation(state[at.CHASSIS, 3:7])
    side, fore = states[:, at.CHASSIS, 3], states[:, at.CHASSIS, 4]
    leant = np.flatnonzero(1.0 - 2.0 * (side**2 + fore**2) < cos(LAIN))
    over_after = float(leant[0] - first) * dt if len(leant) and first < inf else nan
    stood_x, stood_y, heading = (float(value) for value in build.home[:3])
    axle = state[at.CHASSIS, :3] + turn @ build.home[3:6]
    ahead, left = _along(float(axle[0]) - stood_x, float(axle[1]) - stood_y, heading)
    turned = (atan2(turn[1, 0], turn[0, 0]) - heading + pi) % (2.0 * pi) - pi
    roll, pitch = leaning(turn)
    load_ahead = load_left = load_height = nan
    if prepared.case.load is not None:
        host = build.hosts.get(at.LOAD, at.LOAD)
        place = state[host, :3] + rotation(state[host, 3:7]) @ (build.own_centre[at.LOAD] - build.centre[host])
        load_ahead, load_left = _along(float(place[0]) - stood_x, float(place[1]) - stood_y, heading)
        load_height = float(place[2])
    looked = states[:: max(1, round(LOOKED / dt))]
    (truck_x, truck_y), (load_x, load_y) = (_first_struck(prepared, looked, of_load=own) for own in (False, True))
    return Lies(
        ahead,
        left,
        turned,
        roll,
        pitch,
        load_ahead,
        load_left,
        load_height,
        *_along(truck_x - stood_x, truck_y - stood_y, heading),
        *_along(load_x - stood_x, load_y - stood_y, heading),
        over_after,
    )


def _first_struck(prepared: Prepared, states: Array, *, of_load: bool) -> tuple[float, float]:
    """Return the place x, y [m] at which a corner of the load, or else of the truck's body, first struck the floor.

    Places under tyres are left out: a corner over a hole may be below the floor and touch nothing. nan where none did.
    states (n, 6, 13) of the bodies in their own axes.
    """
    plant, turns = prepared.build.plant, {}
    when, struck = float(len(states)), (nan, nan)
    for point, contact in zip(plant.point, prepared.assembly.contacts, strict=True):
        if (contact.body == at.LOAD) is not of_load:
            continue
        host = int(point[at.C_BODY])
        body = states[: ceil(when) + 1, host]
        if body[:, 2].min(initial=inf) > point[at.C_ARM] + plant.ramp[:, at.G_LONG].max(initial=0.0):
            continue
        if host not in turns:
            turns[host] = rotation(states[:, host, 3:7])
        x, y, z = (body[:, :3] + turns[host][: len(body)] @ point[at.C_X : at.C_Z + 1]).T
        above = z - floor_rise(plant.ramp, x, y)
        below = np.flatnonzero((above < 0.0) & ~_over_places(plant.place, x, y))
        if len(below) and (struck_at := _reached(above, int(below[0]))) < when:
            when, looks = struck_at, np.arange(len(x))
            struck = float(np.interp(when, looks, x)), float(np.interp(when, looks, y))
    return struck


def _reached(above: Array, below: int) -> float:
    """Return when, in looks, a corner reached the floor that is so high above it (n,) [m] and below it at a look.

    One that was below it before, over a hole, comes to it from the side: then it is that look.
    """
    before = float(above[below - 1]) if below else 0.0
    return below - 1 + before / (before - float(above[below])) if before > 0.0 else float(below)


def _over_places(places: Array, x: Array, y: Array) -> NDArray[np.bool_]:
    """Whether points x, y (n,) [m] lie over a place under a tyre, whether it has opened or not."""
    over = np.zeros(len(x), dtype=bool)
    for place in places:
        ahead, aside = x - place[at.P_X], y - place[at.P_Y]
        c, s = place[at.P_COS], place[at.P_SIN]
        long = np.abs(c * ahead + s * aside) < place[at.P_HX]
        over |= long & (np.abs(c * aside - s * ahead) < place[at.P_HY])
    return over


def _along(x: float, y: float, heading: float) -> tuple[float, float]:
    """Return how far ahead and to the left a world offset goes of a truck with a heading."""
    return cos(heading) * x + sin(heading) * y, cos(heading) * y - sin(heading) * x
