"""What of a machine may be fitted: its values by key, how far each may be off, and the machine with other values."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tipline.geometry.assembly import BODIES, assemble
from tipline.model.machine import Machine
from tipline.model.own_truck import TABLE, TruckBand, as_measured, bands_of
from tipline.scenario.spec import Setup

__all__ = ["Unknown", "unknowns_of", "with_values"]

Array = NDArray[np.float64]
_LEAST, _MOST = 0.2, 5.0
"""A mass or a stiffness is fitted within these parts of what the file has (our choice)."""
_MASS = {"measured": 0.01, "drawing": 0.05, "plate": 0.05, "told": 0.15}
_CENTRE = {"measured": 0.01, "drawing": 0.03, "plate": 0.03, "told": 0.08}
_STIFFNESS = {"measured": 0.05, "drawing": 0.15, "told": 0.30}
_UNSURE = (0.30, 0.15, 0.50)
"""How far the file may be off before anything was weighed, one standard deviation: of a mass as a part of it, of a
centre as a part of the wheelbase, of a stiffness as a part of it; by origin, the last for what was assumed. All our
choice: no more than what keeps the fit from running off where no reading tells."""


WEIGHED = (
    "own_weight", "drive_axle_load", "own_height_of_centre", "counterweight_mass", "slab_mass", "mast_mass", "mast_sag",
)  # fmt: skip
"""What of a truck by plate and tape scales and a plumb line tell; its lengths a tape does."""
_BAND = 4.0
"""So many standard deviations a band is wide, before any reading; these may lead half its width beyond (our choice)."""


@dataclass(frozen=True)
class Unknown:
    """A value that may be fitted: ``key`` in the file, what it is in words, its dimension, and as the file has it [SI].

    ``axis`` of a centre (0 or 2), None of a single value. ``spread`` is the standard deviation before any reading.
    """

    key: str
    what: str
    dimension: str
    value: float
    spread: float
    low: float
    high: float
    axis: int | None = None
    origin: str = "assumed"

    @property
    def name(self) -> str:
        """The key with its axis: ``chassis.centre.0``."""
        return self.key if self.axis is None else f"{self.key}.{self.axis}"


def unknowns_of(machine: Machine) -> tuple[Unknown, ...]:
    """Return what may be fitted of a machine, in the order of its file; of one by plate and tape its bands."""
    if machine.plate_and_tape is not None:
        return tuple(_band(band) for band in bands_of(machine) if band.key in WEIGHED)
    unknowns = [_mass(machine, "chassis.mass", "mass of the chassis", machine.chassis.mass)]
    centre = machine.chassis.centre or _drawn(machine, "chassis")
    unknowns += _centre(machine, "chassis.centre", "chassis", centre)
    weight = machine.counterweight
    unknowns.append(_mass(machine, "counterweight.mass", "mass of the counterweight", weight.mass))
    unknowns += _centre(machine, "counterweight.centre", "counterweight", weight.centre)
    if machine.ballast_slab is not None:
        unknowns.append(_mass(machine, "ballast_slab.mass", "mass of a ballast slab", machine.ballast_slab.mass))
    unknowns.append(_mass(machine, "mast.mass", "mass of the mast", machine.mast.mass))
    for name in ("forks", "jib"):
        part = getattr(machine, name)
        if part is not None:
            unknowns.append(_mass(machine, f"{name}.mass", f"mass of the {name}", part.mass))
    key, stiffness = "mast.stiffness_fore_aft", machine.mast.stiffness_fore_aft
    if stiffness is not None:
        origin = _origin(machine, key)
        spread, ends = _STIFFNESS.get(origin, _UNSURE[2]) * stiffness, (_LEAST * stiffness, _MOST * stiffness)
        what = "stiffness of the mast fore and aft"
        unknowns.append(Unknown(key, what, "torsion_stiffness", stiffness, spread, *ends, origin=origin))
    return tuple(unknowns)


def _band(band: TruckBand) -> Unknown:
    key, spread = f"{TABLE}.{band.key}", (band.high - band.low) / _BAND
    beyond = 0.5 * (band.high - band.low)
    low, high = max(band.low - beyond, _LEAST * band.likely), band.high + beyond
    return Unknown(key, band.what, band.dimension, band.likely, spread, low, high)


def _mass(machine: Machine, key: str, what: str, value: float) -> Unknown:
    origin = _origin(machine, key)
    spread = _MASS.get(origin, _UNSURE[0]) * value
    return Unknown(key, what, "mass", value, spread, _LEAST * value, _MOST * value, origin=origin)


def _centre(machine: Machine, key: str, of: str, value: Sequence[float]) -> list[Unknown]:
    out = []
    for axis, words in ((0, "behind"), (2, "height")):
        name = f"{key}.{axis}" if f"{key}.{axis}" in machine.origins else key
        origin = _origin(machine, name)
        spread = _CENTRE.get(origin, _UNSURE[1]) * machine.wheelbase
        what = f"height of the centre of the {of}" if words == "height" else f"centre of the {of} along the truck"
        low = 0.05 if axis == 2 else value[axis] - machine.wheelbase
        out.append(
            Unknown(key, what, "length", float(value[axis]), spread, low, value[axis] + machine.wheelbase, axis, origin)
        )
    return out


def _origin(machine: Machine, key: str) -> str:
    return machine.origins.get(key, machine.origin)


def _drawn(machine: Machine, body: str) -> tuple[float, float, float]:
    x, y, z = assemble(machine, Setup(attachment="none")).centre[BODIES.index(body)].tolist()
    return x, y, z


def with_values(machine: Machine, unknowns: Sequence[Unknown], values: Sequence[float]) -> Machine:
    """Return a machine with other values of some unknowns."""
    if machine.plate_and_tape is not None:
        pairs = zip(unknowns, values, strict=True)
        return as_measured(machine, {unknown.key.rpartition(".")[2]: float(value) for unknown, value in pairs})
    parts: dict[str, dict[str, float | tuple[float, ...]]] = {}
    for unknown, value in zip(unknowns, values, strict=True):
        part, _, field = unknown.key.partition(".")
        own = parts.setdefault(part, {})
        if unknown.axis is None:
            own[field] = float(value)
            continue
        before = own.get(field) or getattr(getattr(machine, part), field) or _drawn(machine, part)
        point = list(before) if isinstance(before, tuple) else [0.0, 0.0, 0.0]
        point[unknown.axis] = float(value)
        own[field] = tuple(point)
    update = {part: getattr(machine, part).model_copy(update=fields) for part, fields in parts.items()}
    return machine.model_copy(update=update)
