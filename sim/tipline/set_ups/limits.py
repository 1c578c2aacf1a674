"""Greatest and least lifted loads of many set-ups by each rule, with the truck as it stands under that very load.

More load bends tyres and mast. The load that a formula gives for a truck bent by Q changes with Q: mostly it falls,
with the forks low, below the mast's joint, it grows; the limit is where it gives Q back. A side slope is asked at the
load that the other rules leave.

Source: [Own]
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tipline.mechanics.constants import STANDARD_GRAVITY as G
from tipline.mechanics.rating import (
    least_load,
    load_by_drive_axle,
    load_by_slope_test,
    load_by_steer_axle,
    side_slope,
)
from tipline.mechanics.statics import steer_axle_share
from tipline.set_ups.settled import SettledParts, SetUpParts

__all__ = [
    "drive_tyres", "leans_aside", "least_behind", "least_on_drive", "on_side_slope", "on_slope", "on_steer_axle",
    "share_behind",
]  # fmt: skip

Array = NDArray[np.float64]
CLOSE = 1e-6
"""Part of a load at which the search for it ends."""
_ROUNDS, _STRAIGHT = 40, 8
"""Times that a load is asked at most, and those of them by the line through the last two."""
_HEAVIEST = 1e7
"""Load [kg] beyond which none is looked for."""
_STEPS = 24
"""Loads at which a side slope is asked, from none up; between them lines."""


def on_slope(truck: SetUpParts, slope: Array | float, swing: float = 1.0) -> Array:
    """Return the load (n,) [kg] that tips each set-up ahead on a slope [1]; `swing` times as far as at rest.

    Negative where the truck tips without a load.
    """

    def by_formula(truck: SetUpParts, load: Array) -> Array:
        at = truck.settled(load, slope, 0.0)
        return load_by_slope_test(truck.mass, at.centre, at.load_x, swing * at.load_z, slope)

    return _meeting(by_formula, truck)


def on_steer_axle(truck: SetUpParts, share: float) -> Array:
    """Return the load (n,) [kg] that leaves a share of the weight on the steer axle, negative where none does."""

    def by_formula(truck: SetUpParts, load: Array) -> Array:
        at = truck.settled(load, 0.0, share)
        return load_by_steer_axle(truck.mass, at.centre, at.wheelbase, at.load_x, share)

    return _meeting(by_formula, truck)


def drive_tyres(truck: SetUpParts) -> Array:
    """Return the load (n,) [kg] under which the drive tyres carry what they are rated for together, on the level."""
    rated = sum(tyre.rated_load for tyre in truck.springs.machine.drive_axle.tyre) / G

    def by_formula(truck: SetUpParts, load: Array) -> Array:
        behind = np.clip(1.0 - rated / (truck.weight + load), 0.0, 1.0)
        at = truck.settled(load, 0.0, behind)
        return load_by_drive_axle(truck.mass, at.centre, at.wheelbase, at.load_x, rated)

    return _meeting(by_formula, truck)


def least_on_drive(truck: SetUpParts, share: float) -> Array:
    """Return the load (n,) [kg] that keeps a share of the weight on the drive axle, 0 where no load is needed."""

    def by_formula(truck: SetUpParts, load: Array) -> Array:
        at = truck.settled(load, 0.0, 1.0 - share)
        return least_load(truck.mass, at.centre, at.wheelbase, at.load_x, share)

    return _repeated(by_formula, truck)


def least_behind(truck: SetUpParts, slope: float) -> Array:
    """Return the load (n,) [kg] that keeps each set-up from tipping back where the floor falls behind; nan: none."""

    def by_formula(truck: SetUpParts, load: Array) -> Array:
        at = truck.settled(load, -slope, 1.0)
        return least_load(truck.mass, at.centre, at.wheelbase, at.load_x, 0.0, slope, at.load_z)

    return _repeated(by_formula, truck)


def on_side_slope(truck: SetUpParts, slope: float, most: Array) -> Array:
    """Return the greatest load (n,) [kg], `most` at most, with which each set-up holds on a side slope, or 0."""
    top = np.maximum(most, 0.0)
    most_load, spare = top.copy(), leans_aside(truck, top, slope) - slope
    which = np.flatnonzero(spare < 0.0)
    if not len(which):
        return most_load
    truck, top, above = truck.picked(which), top[which], spare[which]
    most_load[which] = 0.0
    for step in range(_STEPS - 1, -1, -1):
        load = top * step / _STEPS
        below = leans_aside(truck, load, slope) - slope
        held = below >= 0.0
        rise = np.subtract(below, above, out=np.ones_like(below), where=below > above)
        part = np.clip(below / rise, 0.0, 1.0)
        most_load[which[held]] = (load + part * top / _STEPS)[held]
        if held.all():
            break
        truck, which, top, above = truck.kept(~held), which[~held], top[~held], below[~held]
    return most_load


@dataclass(frozen=True)
class _Base:
    """Half widths out to the line a truck goes over, front and rear, the pivot's height, and between the tyres."""

    front: float
    rear: float
    pivot: float
    track: float


def _base(truck: SetUpParts) -> _Base:
    """Return what a truck goes over to a side; of twins the middle between them, which is less than they hold.

    On a pivoting axle it is the line about which the frame starts to swing, not yet the fall.
    """
    machine = truck.springs.machine
    front = float(np.mean([tyre.across for tyre in machine.drive_axle.tyre if tyre.across > 0.0]))
    rear = float(np.mean([tyre.across for tyre in machine.steer_axle.tyre if tyre.across > 0.0]))
    pivots = machine.steer_axle.kind == "pivoting"
    return _Base(front, 0.0 if pivots else rear, machine.steer_axle.pivot_height if pivots else 0.0, 2.0 * front)


def leans_aside(truck: SetUpParts, load: Array, slope: float) -> Array:
    """Return the side slope (tangent) that each set-up holds under loads (n,) [kg], leaning as on that `slope`.

    It leans with all the drive axle's weight on its lower side, and with the mast's play to that side. A truck that
    tips ahead or back anyhow holds none.
    """
    machine, base = truck.springs.machine, _base(truck)
    share = share_behind(truck, load)
    at = truck.settled(load, 0.0, np.clip(share, 0.0, 1.0))
    pivots = base.pivot > 0.0
    on_front = G * (truck.weight + load) * np.clip(1.0 - share, 0.0, 1.0)
    roll = np.arctan(truck.springs.drive(2.0 * on_front) / base.track)
    mass, centre = _laden(truck, at, load)
    if pivots:
        mass[:, 1] = 0.0  # the axle stands on its own tyres
    upper = centre[:, 2:, 2] - (truck.joint[:, 1] - at.pressed)[:, None]
    lean, pull = roll + np.arctan(slope), G * (mass[:, 2:] * upper).sum(axis=1)
    turn = np.zeros(len(load))
    for _ in range(8):
        turn = 0.5 * machine.mast.roller_play + pull * np.sin(lean + turn) / truck.stiff[:, 1]
    centre[..., 1] = centre[..., 2] * np.tan(roll)[:, None]
    centre[:, 2:, 1] += upper * np.tan(turn)[:, None]
    held = side_slope(mass, centre, base.front, base.rear, at.wheelbase, base.pivot)
    return np.where((share < 0.0) | (share > 1.0), -np.inf, held)


def share_behind(truck: SetUpParts, load: Array) -> Array:
    """Return the share [1] of the weight (n,) on the steer axle on the level."""
    share = np.full(len(truck), 0.5)
    for _ in range(3):
        at = truck.settled(load, 0.0, np.clip(share, 0.0, 1.0))
        share = steer_axle_share(*_laden(truck, at, load), at.wheelbase)
    return share


def _laden(truck: SetUpParts, at: SettledParts, load: Array) -> tuple[Array, Array]:
    """Return mass (n, 5) and centre (n, 5, 3) of the parts with the load behind them."""
    point = np.stack((at.load_x, np.zeros_like(load), at.load_z), axis=-1)
    return np.column_stack((truck.mass, load)), np.concatenate((at.centre, point[:, None, :]), axis=1)


def _meeting(by_formula: Callable[[SetUpParts, Array], Array], truck: SetUpParts) -> Array:
    """Return where a function of the load (n,), in which it grows by less than it, gives the load back.

    Each set-up is asked until it is found: by the line through its last two loads, which for what bends little takes
    three or four, and by halves where that leads out of what is known or does not end.
    """
    roots = by_formula(truck, np.zeros(len(truck)))
    holds = roots > 0.0
    places, truck, load = np.flatnonzero(holds), truck.kept(holds), roots[holds]
    before, was = np.zeros(len(places)), -load
    low, high = before, np.full(len(places), np.inf)
    for step in range(_ROUNDS if len(places) else 0):
        over = load - by_formula(truck, load)
        roots[places] = load
        low, high = np.where(over < 0.0, load, low), np.where(over < 0.0, high, load)
        close = CLOSE * np.maximum(load, 1.0)
        left = (np.abs(over) > close) & (high - low > close) & (load < _HEAVIEST)
        if not left.any():
            break
        truck, places = truck.kept(left), places[left]
        load, over, before, was, low, high = (values[left] for values in (load, over, before, was, low, high))
        rises = (over - was) / (load - before)
        aim = load - over / np.where(rises > 0.0, rises, 1.0)
        halfway = np.where(np.isfinite(high), 0.5 * (low + high), 1.3 * load)
        straight = (aim > low) & (aim < high) & (step < _STRAIGHT)
        before, was, load = load, over, np.where(straight, aim, halfway)
    return roots


def _repeated(by_formula: Callable[[SetUpParts, Array], Array], truck: SetUpParts) -> Array:
    """Return where a function that hardly changes with the load (n,) gives the load back; 0 where it is below."""
    loads, places = np.zeros(len(truck)), np.arange(len(truck))
    for _ in range(12):
        before = loads[places]
        load = np.maximum(by_formula(truck, before), 0.0)
        loads[places] = load
        left = np.abs(load - before) > CLOSE * np.maximum(load, 1.0)  # where none is enough it is not looked for
        if not left.any():
            break
        truck, places = truck.kept(left), places[left]
    return loads
