"""Where the set-up puts the forks, the hook and the lifted load."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tipline.errors import InputError
from tipline.geometry.attachments import block_drop
from tipline.model.load import LiftedLoad
from tipline.model.machine import Attachment, Jib, Machine
from tipline.scenario.checks import fork_height
from tipline.scenario.spec import Setup

__all__ = ["Heights", "heights", "load_base", "load_place"]

_SLACK = 1e-6
"""Lengths [m] no farther apart are one (numerical)."""


@dataclass(frozen=True)
class Heights:
    """Heights with the mast upright [m]; ``reach`` and ``rise`` of the hook, ``tip`` (x, z) of the jib."""

    attachment: Attachment
    fork_height: float
    reach: float
    rise: float
    tip: tuple[float, float]


def heights(machine: Machine, setup: Setup) -> Heights:
    """Find the fork height and the hook's place from the set-up.

    Heights are those of an upright mast; the set-up's tilt turns mast and attachment afterwards.
    Of several rise pins the lowest that reaches the hook height is taken, unless the set-up names one.
    """
    kind = setup.attachment
    _refuse_missing(machine, kind)
    if kind == "jib" and machine.jib is not None:
        reach = _reach(machine.jib, setup)
        height, rise = _hung_heights(machine, machine.jib, setup)
        tip = (machine.carriage.face + reach, height + rise + block_drop(machine.jib) - machine.jib.section / 2)
    else:
        if setup.fork_height is None and kind == "forks":
            msg = "the set-up has no fork height"
            raise InputError(msg, key="setup.fork_height", remedy="Give fork_height, floor to the top of the forks.")
        height, reach, rise = setup.fork_height or 0.0, 0.0, 0.0
        tip = (machine.carriage.face, height)
    _refuse_height(machine, height)
    return Heights(kind, height, reach, rise, tip)


def load_place(
    machine: Machine, at: Heights, load: LiftedLoad, hook: NDArray[np.float64] | None
) -> tuple[float, float, float]:
    """Middle of the load's underside (3,) [m]: on the forks, mast upright, or hung, its centre under the hook (3,)."""
    dx, dy = load.centre_offset
    if hook is not None:
        if load.hung_by is None:
            msg = "a load on the jib needs the length of rope it hangs by"
            raise InputError(msg, key="load.hung_by", remedy="Give hung_by, hook to the top of the load.")
        underside = float(hook[2]) - load.hung_by - load.size[2]
        if underside < -_SLACK:
            msg = f"the load's underside would be {-underside:.3f} m below the floor"
            raise InputError(msg, key="setup.hook_height", remedy="Raise the hook, shorten the rope or lower the load.")
        return (float(hook[0]) - dx, float(hook[1]) - dy, underside)
    if at.attachment == "none":
        msg = "a load is given, but nothing carries it"
        raise InputError(
            msg, key="setup.attachment", value='"none"', remedy='Use "forks" or "jib", or leave the load out.'
        )
    half = load.size[0] / 2
    out = load.load_centre if load.load_centre is not None else half + dx
    gap = out - dx - half
    if gap < -_SLACK:
        msg = f"the load would reach {-gap:.3f} m behind the fork face"
        raise InputError(msg, key="load.load_centre", remedy=f"Give a load centre of {half + dx:.3f} m or more.")
    return (machine.carriage.face + out - dx, 0.0, at.fork_height)


def load_base(load: LiftedLoad, machine: Machine) -> tuple[float, float]:
    """Return how far a load's base reaches ahead of and beside its centre [m]; it ends at the fork tips."""
    forks = machine.forks
    ahead = load.size[0] / 2 - load.centre_offset[0]
    half = load.size[1] / 2 - abs(load.centre_offset[1])
    if forks is not None:
        out = load.load_centre if load.load_centre is not None else load.size[0] / 2 + load.centre_offset[0]
        ahead = min(ahead, forks.length - out)
        half = min(half, forks.spread / 2 + forks.width / 2 - abs(load.centre_offset[1]))
    return ahead, half


def _refuse_missing(machine: Machine, kind: Attachment) -> None:
    if (kind == "jib" and machine.jib is None) or (kind == "forks" and machine.forks is None):
        msg = f"the machine {machine.name} has no {kind}"
        raise InputError(msg, key="setup.attachment", value=f'"{kind}"', remedy="Use what the machine file describes.")


def _reach(jib: Jib, setup: Setup) -> float:
    if setup.jib_reach is not None:
        return setup.jib_reach
    if len(jib.reach_pins) == 1:
        return jib.reach_pins[0]
    pins = ", ".join(f"{pin:g} m" for pin in jib.reach_pins)
    msg = "the set-up does not say which reach pin is used"
    raise InputError(msg, key="setup.jib_reach", remedy=f"Give one of {pins}.")


def _hung_heights(machine: Machine, jib: Jib, setup: Setup) -> tuple[float, float]:
    """Fork height and rise that put the hook where the set-up wants it."""
    if setup.hook_height is not None:
        height = fork_height(setup, machine)
        return height, setup.hook_height - height
    if setup.fork_height is None:
        msg = "the set-up has neither hook height nor fork height"
        raise InputError(msg, key="setup.hook_height", remedy="Give hook_height, floor to the hook.")
    return setup.fork_height, min(jib.rise_pins) if setup.jib_rise is None else setup.jib_rise


def _refuse_height(machine: Machine, height: float) -> None:
    top = machine.mast.top_fork_height
    if -_SLACK <= height <= top + _SLACK:
        return
    msg = f"the forks would be at {height:.3f} m; the mast reaches from 0 m to {top:.3f} m"
    raise InputError(msg, key="setup", remedy="Change the fork height, the hook height or the rise pin.")
