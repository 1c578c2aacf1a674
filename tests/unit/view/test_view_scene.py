"""The scene itself: one small render in the fast set, the rest slow."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from tipline.view import gl, palette
from tipline.view.scene import Scene
from tipline.view.story import Story

pytestmark = pytest.mark.skipif(gl.probe() is not None, reason="no OpenGL on this computer")


def test_a_small_render_shows_truck_floor_and_sky(make_story: Callable[..., Story]) -> None:
    with Scene(make_story(2.0, over=False), (160, 120)) as scene:
        frame = scene.draw(0)
    assert frame.image.shape == (120, 160, 3)
    assert np.ptp(frame.image) > 150
    assert tuple(frame.image[2, 2]) == palette.SKY
    assert np.isfinite(frame.tyres).all()
    assert (frame.tyres >= 0).all()
    assert (frame.tyres <= [160, 120]).all()


@pytest.mark.slow
def test_same_story_same_pixels_also_after_other_samples(make_story: Callable[..., Story]) -> None:
    story = make_story(3.0)
    with Scene(story, (320, 200)) as scene:
        first = scene.draw(0).image
        scene.draw(300)
        again = scene.draw(0).image
    with Scene(story, (320, 200)) as scene:
        other = scene.draw(0).image
    assert (first == again).all()
    assert (first == other).all()


@pytest.mark.slow
def test_a_hole_is_cut_and_deepens(make_story: Callable[..., Story]) -> None:
    story = make_story(3.0, over=False)
    place = replace(
        story.places[0], outline=np.add(story.places[0].outline, (1.5, -2.5)), depth=np.linspace(0, 0.4, 401)
    )
    story = replace(story, places=(place,))
    with Scene(story, (640, 400)) as scene:
        flat, deep = scene.draw(0), scene.draw(400)
    x, y = flat.places[0].round().astype(int)
    assert deep.places[0][1] > flat.places[0][1] + 3  # its middle lies lower in the picture
    assert abs(int(flat.image[y, x].sum()) - int(deep.image[y, x].sum())) > 20


@pytest.mark.slow
def test_gravity_that_leans_turns_the_picture(make_story: Callable[..., Story]) -> None:
    story = make_story(3.0, over=False)
    lean = np.radians(15.0)
    gravity = np.tile([0.0, 9.8 * np.sin(lean), -9.8 * np.cos(lean)], (len(story.time), 1))
    with Scene(replace(story, gravity=gravity), (320, 200)) as scene:
        frame = scene.draw(0)
    with Scene(story, (320, 200)) as scene:
        plain = scene.draw(0)
    assert np.abs(frame.tyres - plain.tyres).max() > 3
