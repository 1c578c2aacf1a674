"""The camera stands for the first sample on the side of the cause, and later holds truck and load at every time."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from few import slow_but, slow_cases
from tipline.view.camera import VIEW_ANGLE, Camera, clear_azimuth, covered, fit, reach, travel
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


@pytest.mark.parametrize("height", slow_but([0.2, 3.0, 7.0], 7.0))
@pytest.mark.parametrize("look", [(-2.4, 1.0), *slow_cases((0.0, 1.0), (0.0, -1.0), (-2.4, -1.0), (0.0, 0.0))])
def test_truck_and_load_stay_in_the_picture(
    make_story: Callable[..., Story], height: float, look: tuple[float, float]
) -> None:
    story = replace(make_story(height), look=np.array([*look, 0.0]))
    camera = fit(story, ASPECT)
    seen = in_picture(reach(story, [0]), camera)
    assert 0.8 < np.abs(seen).max() < 0.95  # not lost in it
    assert held(story, camera) < 1.0


def shifted(story: Story, way: Array) -> Story:
    """The story of a truck that stands elsewhere by a way (3,) [m]."""
    matrices = story.matrices.copy()
    matrices[:, :, :3, 3] += way
    return replace(story, matrices=matrices, tyres=[replace(t, contact=t.contact + way) for t in story.tyres])


@pytest.mark.parametrize("way", [(-40.0, 30.0, 0.0), (40.0, -30.0, 0.0)])
def test_a_truck_that_stands_elsewhere_is_looked_at_alike(
    make_story: Callable[..., Story], way: tuple[float, float, float]
) -> None:
    """Seen from some sides, one far from the floor's own zero was looked away from: its last still was empty."""
    story = make_story(3.0)
    camera, there = fit(story, ASPECT), fit(shifted(story, np.array(way)), ASPECT)
    assert there.position - np.array(way) == pytest.approx(camera.position, abs=1e-9)
    assert there.focus - np.array(way) == pytest.approx(camera.focus, abs=1e-9)


def test_the_floor_is_laid_as_far_as_a_truck_goes_on_it_where_it_is_turned(make_story: Callable[..., Story]) -> None:
    """On a floor turned by 32 degrees a way of 30 m is 25 m on the level: the floor ended there, in front of it."""
    story, turn = make_story(3.0, over=False), np.radians(32.0)
    gone = story.matrices.copy()
    gone[:, :, 0, 3] -= np.linspace(0.0, 30.0, len(gone))[:, None]
    down = 9.81 * np.tile([-np.sin(turn), 0.0, -np.cos(turn)], (len(gone), 1))
    away = replace(story, matrices=gone, gravity=down, tyres=[])
    assert covered(away)[:, 0].min() == pytest.approx(covered(replace(story, tyres=[]))[:, 0].min() - 30.0, abs=0.1)


def held(story: Story, camera: Camera) -> float:
    """How far out in the picture anything comes over the run, 1 being its edge."""
    moved = travel(story, ASPECT, camera)
    farthest = 0.0
    for index in range(len(story.time)):
        here = Camera(camera.position + moved[index], camera.focus + moved[index])
        farthest = max(farthest, float(np.abs(in_picture(reach(story, [index]), here)).max()))
    return farthest


def test_the_first_picture_does_not_tell_the_ending(make_story: Callable[..., Story]) -> None:
    over, stays = fit(make_story(6.5), ASPECT), fit(make_story(6.5, over=False), ASPECT)
    assert np.array_equal(over.position, stays.position)
    moved = travel(make_story(6.5), ASPECT, over)
    assert np.abs(moved[:30]).max() < 1e-9  # nothing has begun by then
    assert np.linalg.norm(moved[-1]) > 1.0


def test_a_truck_that_rocks_is_seen_to_rock(make_story: Callable[..., Story]) -> None:
    story = make_story(3.0, over=False)
    assert np.abs(travel(story, ASPECT, fit(story, ASPECT))).max() < 0.05


@pytest.mark.slow
def test_it_moves_in_on_a_truck_that_lies(make_story: Callable[..., Story]) -> None:
    """With the load at 6.5 m what lies is smaller than what stood: it stayed 18 m away before, now as near as fits."""
    story = make_story(6.5)
    lies = replace(
        story, time=np.concatenate([story.time, story.time[-1] + 0.01 * np.arange(1, 401)]), **lasting(story)
    )
    camera = fit(lies, ASPECT)
    moved = travel(lies, ASPECT, camera)
    last = Camera(camera.position + moved[-1], camera.focus + moved[-1])
    seen = in_picture(reach(lies, [len(lies.time) - 1]), last)
    assert 0.75 < np.abs(seen).max() < 1.0
    assert held(lies, camera) < 1.0


def lasting(story: Story) -> dict[str, object]:
    """What of a story has samples, its last one repeated 400 times."""

    def longer(values: Array) -> Array:
        return np.concatenate([values, np.repeat(values[-1:], 400, axis=0)])

    return {
        **{name: longer(getattr(story, name)) for name in ("matrices", "balance", "gravity", "roll", "pitch")},
        "cause_points": longer(story.cause_points),
        "tyres": tuple(replace(t, load=longer(t.load), contact=longer(t.contact)) for t in story.tyres),
        "places": tuple(replace(p, depth=longer(p.depth)) for p in story.places),
    }


def test_the_end_is_seen_from_where_load_and_truck_do_not_hide_each_other(make_story: Callable[..., Story]) -> None:
    story = make_story(2.0, over=False)
    ahead = story.matrices[0, 0, :3, 0]
    heading = np.arctan2(ahead[1], ahead[0])
    from_ahead = abs((clear_azimuth(story, 0) - heading + np.pi) % (2 * np.pi) - np.pi)
    assert np.radians(60) < from_ahead < np.radians(120)  # abeam: the load stands before the truck


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
    assert held(story, fit(story, ASPECT)) < 1.0


def test_the_camera_goes_with_a_truck_that_drives_away(make_story: Callable[..., Story]) -> None:
    story = make_story(2.0, over=False)
    still = fit(story, ASPECT)
    matrices = story.matrices.copy()
    matrices[:, :, 0, 3] += np.linspace(0, 60, len(story.time))[:, None]
    tyres = tuple(
        replace(t, contact=t.contact + np.linspace(0, 60, len(story.time))[:, None] * [1, 0, 0]) for t in story.tyres
    )
    driven = replace(story, matrices=matrices, tyres=tyres, places=())
    camera = fit(driven, ASPECT)
    assert np.linalg.norm(camera.position - camera.focus) < 1.3 * np.linalg.norm(still.position - still.focus)
    assert travel(driven, ASPECT, camera)[-1][0] == pytest.approx(60, abs=3)
    assert held(driven, camera) < 1.0
