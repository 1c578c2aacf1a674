"""What was read, and what a machine with other values would have given there: weighings, sags, plate rows.

A weighing is told by three sums over the parts: mass, mass times x, mass times z. In a mass they are lines, and of a
centre that may be fitted its mass times it; so each set-up is put together once, and asked for thousands of machines.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from tipline.model.machine import CapacityPlate, Machine, SagReading, Weighing
from tipline.pose.weighings import parts_as_weighed, readings_of, setup_words, share_read
from tipline.set_ups import limits
from tipline.set_ups.cells import Cells
from tipline.set_ups.rules import LoadRules
from tipline.set_ups.settled import MachineSprings, SetUpParts, standing
from tipline.truck_fit.unknowns import Unknown, with_values
from tipline.units import show

__all__ = ["Reading", "plate_readings", "sag_reading", "weighing_readings"]

Array = NDArray[np.float64]
ACCURACY, LEAST = 0.01, 25.0
"""How far a reading may be off where its weighing does not say, one standard deviation: a part of it or this mass [kg],
whichever is more (our choice: a weighbridge of 20 kg steps, a driver who got off or not)."""
SAG_ACCURACY = 0.005
"""The same of a sag read by plumb line and tape [m] (our choice)."""
PLATE_ACCURACY = 0.02
"""How far the truck may fall short of its plate's load on the slope of the test, as a part of it (our choice)."""
_WINCE = 1e-3
"""Step from which a line is known, as a part of a value (numerical)."""
_STIFF = 1e12
"""Stiffness of a mast that does not give [N m/rad] (numerical)."""


@dataclass(frozen=True)
class Reading:
    """One figure that was read, or that must not be fallen short of: its words, value, accuracy and unit.

    ``given`` (k,) is what a machine with these values of the unknowns would give; ``least`` : it counts only where that
    is below the value.
    """

    words: str
    where: str
    value: float
    accuracy: float
    dimension: str
    given: Callable[[Array], float]
    least: bool = False


def weighing_readings(
    machine: Machine, weighing: Weighing, unknowns: Sequence[Unknown], values: dict[str, float] | None = None
) -> list[Reading]:
    """Return the readings of a weighing; with `values` those in their place, as of one that might be made."""
    given = _as_weighed(machine, weighing, unknowns)
    read = readings_of(machine, weighing) if values is None else values
    if weighing.lifted_load is not None and weighing.load_centre is None:
        read = {name: value for name, value in read.items() if name == "total"}
    if {"drive axle", "steer axle", "total"} <= read.keys():
        del read["total"]  # the sum of the others, or another weighing of the same: it adds little
    where = setup_words(weighing)
    out = []
    for name, value in read.items():
        accuracy = weighing.accuracy or max(ACCURACY * value, LEAST)
        out.append(Reading(name, where, value, accuracy, "mass", _picked(given, name)))
    return out


def _picked(given: Callable[[Array], dict[str, float]], name: str) -> Callable[[Array], float]:
    return lambda values: given(values)[name]


def _as_weighed(
    machine: Machine, weighing: Weighing, unknowns: Sequence[Unknown]
) -> Callable[[Array], dict[str, float]]:
    """Return what scales would read of a machine with other values: by axle and in all [kg]."""
    if machine.plate_and_tape is not None:
        return _once(lambda values: _weighed(with_values(machine, unknowns, values.tolist()), weighing))
    mass, centre = parts_as_weighed(machine, weighing)
    base = np.array([mass.sum(), mass @ centre[:, 0], mass @ centre[:, 2]])
    start = np.array([unknown.value for unknown in unknowns])
    slope = np.zeros((len(unknowns), 3))
    for k, unknown in enumerate(unknowns):
        if unknown.dimension != "torsion_stiffness":
            step = _WINCE * abs(unknown.value) + 1e-6
            m, r = parts_as_weighed(with_values(machine, [unknown], [unknown.value + step]), weighing)
            slope[k] = (np.array([m.sum(), m @ r[:, 0], m @ r[:, 2]]) - base) / step
    pairs = _products(unknowns)

    def weighed(values: Array) -> dict[str, float]:
        apart = values - start
        sums = base + apart @ slope
        for own_mass, own_centre, axis in pairs:
            # a part's mass times its centre: both off by something is one term more, with as many parts as are on
            sums[axis] += apart[own_mass] * apart[own_centre]
        total = float(sums[0])
        point = np.array([[sums[1] / total, 0.0, sums[2] / total]])
        steer = total * share_read(machine, weighing, np.array([total]), point)
        return {"drive axle": total - steer, "steer axle": steer, "total": total}

    return _once(weighed)


T = TypeVar("T")


def _once(compute: Callable[[Array], T]) -> Callable[[Array], T]:
    """Keep what was found for the last values: all readings of one set-up ask for the same."""
    known: list[tuple[bytes, T]] = []

    def given(values: Array) -> T:
        key = np.asarray(values, dtype=np.float64).tobytes()
        if not known or known[0][0] != key:
            known[:] = [(key, compute(values))]
        return known[0][1]

    return given


def _weighed(machine: Machine, weighing: Weighing) -> dict[str, float]:
    """Return what scales would read of a machine, its parts put together anew: what is a band moves many of them."""
    mass, centre = parts_as_weighed(machine, weighing)
    total = float(mass.sum())
    steer = total * float(share_read(machine, weighing, mass, centre))
    return {"drive axle": total - steer, "steer axle": steer, "total": total}


def _products(unknowns: Sequence[Unknown]) -> list[tuple[int, int, int]]:
    """Return mass, centre and which sum, of parts of which both may be fitted."""
    places = {unknown.name: k for k, unknown in enumerate(unknowns)}
    products = []
    for unknown in unknowns:
        mass = unknown.key.replace(".centre", ".mass")
        if unknown.axis is not None and mass in places:
            products.append((places[mass], places[unknown.name], 1 if unknown.axis == 0 else 2))
    return products


def sag_reading(machine: Machine, sag: SagReading, unknowns: Sequence[Unknown]) -> Reading:
    """Return what a sag reading says of the mast: how far the load moves ahead from one height to the other."""
    cells = Cells(
        np.array([sag.attachment == "jib"] * 2),
        np.full(2, sag.load_centre),
        np.full(2, sag.extension or 0.0),
        np.full(2, sag.slabs or 0),
        np.array([sag.from_height, sag.to_height]),
    )
    truck, load = standing(MachineSprings(machine), cells, np.zeros(2)), np.full(2, sag.lifted_load)
    share = limits.share_behind(truck, load)

    own = [k for k, unknown in enumerate(unknowns) if unknown.dimension == "torsion_stiffness"]

    def given(values: Array) -> float:
        if machine.plate_and_tape is not None:
            other = MachineSprings(with_values(machine, unknowns, values.tolist()))
            bent = standing(other, cells, np.zeros(2)).settled(load, 0.0, share).load_x
            return float(bent[1] - bent[0])
        stiff = truck.stiff.copy()
        for k in own:
            stiff[:, 0] = values[k]
        out = replace(truck, stiff=stiff).settled(load, 0.0, share).load_x
        return float(out[1] - out[0])

    up = f"{show(sag.lifted_load, 'mass')} from {show(sag.from_height, 'length')} to {show(sag.to_height, 'length')}"
    up = f"{sag.note}: {up}" if sag.note else up
    words = "moved ahead"
    return Reading(
        words, f"{up} on the {sag.attachment}", sag.moved_ahead, sag.accuracy or SAG_ACCURACY, "length", given
    )


def plate_readings(machine: Machine, unknowns: Sequence[Unknown], rules: LoadRules) -> list[Reading]:
    """Return what the plate says: the maker's truck holds each row's load on the slope of the stacking test."""
    rows = [row for row in machine.capacity_plate if row.attachment != "none" and _stated(row)]
    if not rows:
        return []
    slope = rules.stacking_of(max(row.load for row in machine.capacity_plate))
    cells = Cells(
        np.array([row.attachment == "jib" for row in rows]),
        np.array([row.load_centre for row in rows]),
        np.array([row.extension or 0.0 for row in rows]),
        np.array([row.slabs or 0 for row in rows]),
        np.array([row.height or 0.0 for row in rows]),
    )
    keep = [k for k, row in enumerate(rows) if row.attachment != "jib" or _is_pin(machine, row)]
    cells = Cells(*(getattr(cells, name)[keep] for name in ("jib", "centre", "extension", "slabs", "height")))
    rows = [rows[k] for k in keep]
    plate = _Plate(machine, cells, unknowns, slope)
    out = []
    for k, row in enumerate(rows):
        where = f"plate: {row.attachment}, {show(row.load_centre, 'length')}, {show(row.height or 0.0, 'length')} up"
        accuracy = PLATE_ACCURACY * row.load
        out.append(Reading("holds at least", where, row.load, accuracy, "mass", plate.of_row(k), least=True))
    return out


def _stated(row: CapacityPlate) -> bool:
    return row.height is not None and row.extension is not None and row.slabs is not None


def _is_pin(machine: Machine, row: CapacityPlate) -> bool:
    pins = machine.jib.reach_pins if machine.jib is not None else ()
    return any(abs(row.load_centre - pin) < 1e-6 for pin in pins)


class _Plate:
    """What the truck holds at each row of its plate; asked once for all rows of one choice of values.

    The test takes the mast's sag out by tilting back, so the mast is taken stiff here.
    """

    def __init__(self, machine: Machine, cells: Cells, unknowns: Sequence[Unknown], slope: float) -> None:
        self._machine = machine.model_copy(update={"mast": machine.mast.model_copy(update={"roller_play": 0.0})})
        self._cells, self._unknowns, self._slope = cells, unknowns, slope
        self._truck = self._standing(self._machine)
        self._base = _moments(self._truck)
        self._start = np.array([unknown.value for unknown in unknowns])
        self._held = _once(self._held_anew if machine.plate_and_tape is not None else self._held_by_lines)
        self._leaning = np.array([self._leans(unknown) for unknown in unknowns])
        self._pairs = _products(unknowns)

    def of_row(self, k: int) -> Callable[[Array], float]:
        """Return what a row's set-up holds as a function of the values."""
        return lambda values: float(self._held(values)[k])

    def _standing(self, machine: Machine) -> SetUpParts:
        cells = self._cells
        truck = standing(MachineSprings(machine), cells, np.where(cells.jib, 0.0, cells.centre))
        return replace(truck, stiff=np.full_like(truck.stiff, _STIFF))

    def _leans(self, unknown: Unknown) -> Array:
        """Return how masses and moments of the parts (n, 4, 4) change with an unknown."""
        if unknown.dimension == "torsion_stiffness":
            return np.zeros_like(self._base)
        step = _WINCE * abs(unknown.value) + 1e-6
        other = with_values(self._machine, [unknown], [unknown.value + step])
        return (_moments(self._standing(other)) - self._base) / step

    def _held_anew(self, values: Array) -> Array:
        """Return what each row's set-up holds, the truck put together anew."""
        other = with_values(self._machine, self._unknowns, values.tolist())
        return limits.on_slope(self._standing(other), self._slope)

    def _held_by_lines(self, values: Array) -> Array:
        apart = values - self._start
        sums = self._base + np.tensordot(apart, self._leaning, axes=1)
        for own_mass, own_centre, axis in self._pairs:
            sums[:, 0, axis if axis == 1 else 3] += apart[own_mass] * apart[own_centre]
        mass = np.maximum(sums[..., 0], 1.0)
        moved = replace(self._truck, mass=mass, centre=sums[..., 1:] / mass[..., None])
        return limits.on_slope(moved, self._slope)


def _moments(truck: SetUpParts) -> Array:
    """Return mass and mass times place of the parts, (n, 4, 4): of the frame, the axle, the mast and the carriage."""
    return np.concatenate((truck.mass[..., None], truck.mass[..., None] * truck.centre), axis=-1)
