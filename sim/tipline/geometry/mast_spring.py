"""The joint that stands for the bending of the mast: as its file tells it, else from the sections of its stages.

Source: [BeamTables], [EN1993] (by `mechanics.mast`), [Own] (how the stages hold each other)
"""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

from tipline.geometry.mast import cylinder_height, stage_rise, stage_widths
from tipline.mechanics.mast import channel, lumped_joint, stage_flexibility, tied_shear_stiffness
from tipline.model.machine import Machine, Mast
from tipline.units import show

__all__ = ["MastSpring", "mast_spring", "spring_words"]

STEEL_MODULUS = 2.1e11
"""Modulus of elasticity of steel [Pa]. Source: [EN1993] 3.2.6 (from memory)"""
LOWEST = 0.1
"""The carriage's lower rollers count as this far above the tilt axis at least [m] (our choice: there a mast gives next
to nothing, and below the axis nothing at all)."""


class MastSpring(NamedTuple):
    """Height of the joint [m], mast upright, and its stiffness ahead and sideways [N m/rad]."""

    height: float
    fore_aft: float
    sideways: float


def mast_spring(machine: Machine, fork_height: float, weight_height: float = 0.0) -> MastSpring:
    """Return the mast's spring at a fork height; weight_height: of what it carries, whose weight pulls it aside.

    From sections: ahead exact for the moment of what is carried, held at tilt axis and cylinders. Sideways, in the same
    joint, it lets the carriage go as far aside as the stages do under a side force at that height; there the bearings
    of the tilt axis clamp it. The carriage runs in the innermost stage with rollers at its foot and its head.
    """
    mast = machine.mast
    if mast.joint_height is not None and mast.stiffness_fore_aft is not None and mast.stiffness_sideways is not None:
        return MastSpring(mast.joint_height, mast.stiffness_fore_aft, mast.stiffness_sideways)
    cylinders, rise = cylinder_height(machine), stage_rise(machine, fork_height)
    return _from_sections(mast, cylinders, machine.carriage.height, rise, weight_height)


@lru_cache(maxsize=256)
def _from_sections(mast: Mast, cylinders: float, carriage: float, rise: float, high: float) -> MastSpring:
    whole = mast.lowered_height - mast.foot_height
    left = whole - mast.top_fork_height / mast.stages
    inset = 0.0 if mast.overlap is None else 0.5 * (left - mast.overlap)
    stages = [
        (mast.foot_height + k * rise + inset * (k > 0), mast.lowered_height + k * rise - inset)
        for k in range(mast.stages)
    ]
    sections = mast.section * mast.stages if len(mast.section) == 1 else mast.section
    channels = [channel(section.depth, section.flange, section.web, section.flange_thickness) for section in sections]
    axis = mast.tilt_axis[1]
    low = max(min(mast.foot_height + mast.stages * rise, stages[-1][1] - carriage), axis + LOWEST)
    grip = (low, low + carriage)
    bending = [2.0 * STEEL_MODULUS * own.fore_aft for own in channels]
    ahead = lumped_joint(stage_flexibility(stages, bending, (axis, cylinders), grip), low, 0.0, 1.0)
    ladders = [
        STEEL_MODULUS * (own.area * (width - 2.0 * own.centroid) ** 2 / 2.0 + 2.0 * own.sideways)
        for width, own in zip(stage_widths(mast), channels, strict=True)
    ]
    shears = [
        tied_shear_stiffness(own.sideways, section.tie_spacing, STEEL_MODULUS)
        for own, section in zip(channels, sections, strict=True)
    ]
    aside = stage_flexibility(stages, ladders, (axis, axis), grip, shears)
    arm, lever = low - ahead.height, max(high - low, 0.0)
    sideways = (arm + lever) * arm / float(aside[0, 0] + lever * aside[0, 1])
    return MastSpring(ahead.height, ahead.stiffness, sideways)


def spring_words(machine: Machine, spring: MastSpring) -> str:
    """Say what the mast's sections come to; nothing of a mast whose stiffness is told."""
    if not machine.mast.section:
        return ""
    ahead, aside = (show(value, "torsion_stiffness", digits=2) for value in (spring.fore_aft, spring.sideways))
    return (
        f"By the channels of its stages, at this fork height, it gives as a joint {show(spring.height, 'length')} up "
        f"of {ahead} ahead and {aside} sideways. Rollers and channels give more in themselves: that is not counted. "
        "In a run that raises or lowers it stays as it was at the start."
    )
