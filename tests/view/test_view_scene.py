"""The scene itself: one small render in the fast set, the rest slow."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from tipline.view import frame, labels, palette
from tipline.view.camera import Camera
from tipline.view.frame import Composer
from tipline.view.meshes import chipped
from tipline.view.movie import schedule
from tipline.view.scene import Scene
from tipline.view.story import Story

pytestmark = pytest.mark.usefixtures("opengl")


@pytest.mark.slow
def test_a_small_render_shows_truck_floor_and_sky(make_story: Callable[..., Story]) -> None:
    with Scene(make_story(2.0, over=False), (160, 120)) as scene:
        drawn = scene.draw(0)
    assert drawn.image.shape == (120, 160, 3)
    assert np.ptp(drawn.image) > 150
    assert tuple(drawn.image[2, 2]) == palette.SKY
    assert np.isfinite(drawn.tyres).all()
    assert (drawn.tyres >= 0).all()
    assert (drawn.tyres <= [160, 120]).all()


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
    middle = np.array([*place.outline.mean(axis=0), 0.0])
    above = Camera(middle + np.array([0.5, -0.5, 4.0]), middle)
    with Scene(story, (640, 400)) as scene:
        flat, deep = scene.draw(0), scene.draw(400)
        before, after = scene.draw(0, above).image, scene.draw(400, above).image
    x, y = flat.places[0].round().astype(int)
    assert abs(int(flat.image[y, x].sum()) - int(deep.image[y, x].sum())) > 20
    pale = [np.count_nonzero((image.min(axis=2) > 230) & (np.ptp(image, axis=2) < 5)) for image in (before, after)]
    assert pale[1] > pale[0] + 4000, "the rim shows where the hole ends"


@pytest.mark.slow
def test_the_rim_of_a_hole_lies_round_it() -> None:
    """By hand: round a hole of 0.5 m by 2 m, 40 to 120 mm from its sides, of which at its corners 45 degrees aside."""
    import pyvista as pv

    outline = np.array([[1.0, 1.0], [1.5, 1.0], [1.5, 3.0], [1.0, 3.0]])
    rim = chipped(pv, outline)
    points = np.asarray(rim.points)[:, :2]
    beyond = np.maximum(outline.min(axis=0) - points, points - outline.max(axis=0)).max(axis=1)
    assert beyond.min() == pytest.approx(0.0, abs=1e-6)  # the hole's own corners
    assert 0.08 < beyond.max() <= 0.12
    assert 5.0 * 0.01 < rim.area < 5.0 * 0.12 + 0.06


@pytest.mark.slow
def test_gravity_that_leans_turns_the_picture(make_story: Callable[..., Story]) -> None:
    story = make_story(3.0, over=False)
    lean = np.radians(15.0)
    gravity = np.tile([0.0, 9.8 * np.sin(lean), -9.8 * np.cos(lean)], (len(story.time), 1))
    with Scene(replace(story, gravity=gravity), (320, 200)) as scene:
        drawn = scene.draw(0)
    with Scene(story, (320, 200)) as scene:
        plain = scene.draw(0)
    assert np.abs(drawn.tyres - plain.tyres).max() > 3


@pytest.mark.slow
@pytest.mark.parametrize("height", [0.3, 7.0])
@pytest.mark.parametrize("draft", [False, True])
def test_every_label_of_a_film_is_placed_and_none_overlaps(
    make_story: Callable[..., Story], monkeypatch: pytest.MonkeyPatch, height: float, draft: bool
) -> None:
    story = make_story(height, hung=height > 5)
    composer = Composer(story, draft, name_lines=not draft)
    found: list[tuple[list[Any], list[Any]]] = []

    def keep(wanted: list[Any], *rest: Any) -> list[Any]:
        found.append((wanted, labels.place(wanted, *rest)))
        return found[-1][1]

    monkeypatch.setattr(frame, "labels", SimpleNamespace(**{**vars(labels), "place": keep}))
    with Scene(story, composer.layout.view) as scene:
        for shot in schedule(story)[::8]:
            composer.picture(scene.draw(shot.index), shot.index, shot.speed)
    assert len(found) > 20
    for wanted, placed in found:
        assert len(placed) >= len(wanted) - 1  # one may be left out for a moment, where too much falls on one spot
        assert not any(labels.overlap(a.box, b.box) for a, b in itertools.combinations(placed, 2))
