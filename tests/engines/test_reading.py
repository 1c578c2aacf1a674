"""Joints read and bodies reckoned from them, against bodies as pybullet tells them; and forces on links that moved."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from tipline.engines.stepped import Stepped
from tipline.engines.world import World
from tipline.kernels import layout as at
from tipline.kernels import reading
from trucks import FREE, HUNG, hole, start, with_memory

Array = NDArray[np.float64]
FALLS = hole("front-left", "120 mm", "0.1 s")
SLIDES = '[[event]]\nkind = "counterweight"\nat = "0.05 s"\nto = "0.6 m"\n'
CASES = pytest.mark.parametrize(
    "text", [HUNG + FALLS, FREE + FALLS, HUNG + SLIDES + FALLS], ids=["hung", "free on forks", "counterweight moves"]
)


@CASES
def test_bodies_from_joints_are_those_that_pybullet_tells(text: str) -> None:
    """Within rounding, in the middle of a fall: places [m], turning, speeds [m/s], turning speeds [rad/s]."""
    prepared = with_memory(start(text))
    told, moving = np.zeros((at.N_BODY, 13)), 0.0
    with World(prepared, 1e-3) as world:
        loop = Stepped(prepared, world)
        for end in np.arange(0.05, 1.6, 0.05):
            loop.advance_to(float(end), None)
            state = loop.state.copy()
            world.read_joints(state)
            reading.bodies_from_joints(state, prepared.build.plant, prepared.memory)
            world.read(told)
            assert np.abs(state[: at.N_BODY] - told).max() < 1e-12
            moving = max(moving, float(np.abs(told[:, 7:]).max()))
    assert moving > 0.3


def poses(text: str, **instead: Any) -> Array:
    """Bodies over time, read as joints or with other means of the world."""
    prepared = with_memory(start(text))
    with World(prepared, 1e-3) as world:
        for name, means in instead.items():
            setattr(world, name, means(world))
        loop = Stepped(prepared, world)
        loop.advance_to(0.9, None)
        found: Array = loop.record[: loop.k, 1 : 1 + 13 * at.N_BODY].copy()
    return found


def linked(world: World) -> Any:
    """Read links too, which brings pybullet's own notes of where they are up to date."""
    joints, raw = world.read_joints, np.zeros((at.N_BODY, 13))

    def read(state: Array) -> None:
        joints(state)
        world.read(raw)

    return read


def at_centres_of_now(world: World) -> Any:
    """Give forces on links at the centres that they have now, as one would."""
    apply = world.apply

    def now(calls: Array) -> None:
        world.at_carriage, world.at_slide = calls[reading.C_AT_CARRIAGE].tolist(), calls[reading.C_AT_SLIDE].tolist()
        apply(calls)

    return now


@CASES
def test_a_force_on_a_link_acts_at_its_centre_whether_or_not_links_are_read(text: str) -> None:
    """pybullet measures its arm from where the link was before the last step, unless links were read since."""
    as_run = poses(text)
    assert np.abs(poses(text, read_joints=linked) - as_run).max() < 1e-9
    off = np.abs(poses(text, apply=at_centres_of_now) - as_run).max()
    assert off > 1e-6
