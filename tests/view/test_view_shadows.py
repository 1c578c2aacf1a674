"""Shadows lie straight below what casts them, and are no more than an outline."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from tipline.model.plane import hull
from tipline.view.convex import convex
from tipline.view.shadows import outline, shadows
from tipline.view.story import Story


def test_the_outline_of_points_is_their_convex_hull() -> None:
    """By hand: the corners of a square, whatever lies within or along its sides."""
    rng = np.random.default_rng(3)
    square = np.array([[0.0, 0.0], [2.0, 0.0], [2.0, 2.0], [0.0, 2.0]])
    points = np.concatenate([rng.uniform(0.1, 1.9, (50, 2)), square, [[1.0, 0.0], [2.0, 1.0]]])
    assert outline(points).tolist() == square.tolist()


def test_points_put_aside_are_none_of_the_outline() -> None:
    """Beside the monotone chain over all of them: few and many, on a line, on a grid and so often in one spot."""
    rng = np.random.default_rng(4)
    for count in (1, 3, 25, 400):
        scattered = rng.normal(size=(count, 2))
        on_a_line = scattered * [1.0, 0.0]
        turned = scattered[:, :1] * [0.6, 0.8]
        for points in (scattered, scattered.round(1), on_a_line, turned, np.repeat(scattered, 30, axis=0)):
            assert convex(points) == hull((float(x), float(y)) for x, y in points)


@pytest.mark.usefixtures("opengl")
def test_a_shadow_lies_below_the_load_as_wide_as_it_is(make_story: Callable[..., Story]) -> None:
    """The made-up load is 1.4 m wide and 1.8 m long, hung 5 m high, turned by 0.3 rad: its area stays 2.52 m2."""
    import pyvista as pv

    story = make_story(6.5, hung=True)
    made = shadows(pv, story)
    assert len(made) == 3
    load = made[-1]
    load.pose(0)
    ring = np.array(load.mesh.points)
    assert np.ptp(ring[:, 2]) == 0.0
    assert 0.0 < ring[0, 2] < 0.006
    area = 0.5 * abs(np.sum(ring[:, 0] * np.roll(ring[:, 1], -1) - ring[:, 1] * np.roll(ring[:, 0], -1)))
    assert area == pytest.approx(1.4 * 1.8, rel=1e-3)
    matrix = story.matrices[0, 5]
    middle = matrix[:3, :3] @ np.array([2.5, 0.0, 5.0]) + matrix[:3, 3]
    assert np.unique(ring[:, :2].round(3), axis=0).mean(axis=0) == pytest.approx(middle[:2], abs=2e-3)
