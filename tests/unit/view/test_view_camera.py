"""The camera holds truck and load at every time, and stands on the side of the cause."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from tipline.view.camera import VIEW_ANGLE, Camera, fit, reach
from tipline.view.story import Array, Story

ASPECT = 1.5


def in_picture(points: Array, camera: Camera) -> Array:
    """Coordinates (k, 2) from -1 to 1 in the picture, worked out without the camera's own formulas."""
    back = camera.position - camera.focus
    back = back / np.linalg.norm(back)
    right = np.cross([0.0, 0.0, 1.0], back)
    right = right / np.linalg.norm(right)
    up = np.cross(back, right)
    local = points - camera.position
    depth = -(local @ back)
    assert (depth > 0).all()
    half = np.tan(VIEW_ANGLE / 2)
    return np.column_stack([local @ right / depth / half / ASPECT, local @ up / depth / half])


@pytest.mark.parametrize("height", [0.2, 3.0, 7.0])
@pytest.mark.parametrize("look", [(0.0, 1.0), (0.0, -1.0), (-2.4, 1.0), (-2.4, -1.0), (0.0, 0.0)])
def test_truck_and_load_stay_in_the_picture(
    make_story: Callable[..., Story], height: float, look: tuple[float, float]
) -> None:
    story = replace(make_story(height), look=np.array([*look, 0.0]))
    seen = in_picture(reach(story), fit(story, ASPECT))
    assert np.abs(seen).max() < 0.95
    assert np.abs(seen).max() > 0.8  # and is not lost in it


@pytest.mark.parametrize("look", [(0.0, 1.0), (0.0, -1.0), (-2.4, 1.0), (-2.4, -1.0)])
def test_camera_stands_on_the_side_of_the_cause(make_story: Callable[..., Story], look: tuple[float, float]) -> None:
    story = replace(make_story(3.0, over=False), look=np.array([*look, 0.0]))
    camera = fit(story, ASPECT)
    frame = story.matrices[0, 0]
    side = (camera.position - camera.focus) @ frame[:3, :3]
    assert np.sign(side[1]) == np.sign(look[1])
    assert (side[0] > 0) == (look[0] >= 0)


def test_a_turned_floor_is_still_in_the_picture(make_story: Callable[..., Story]) -> None:
    story = make_story(6.0, over=False)
    slope = np.linspace(0, np.radians(20), len(story.time))
    gravity = 9.81 * np.column_stack([np.zeros_like(slope), np.sin(slope), -np.cos(slope)])
    story = replace(story, gravity=gravity)
    assert np.abs(in_picture(reach(story), fit(story, ASPECT))).max() < 0.95
