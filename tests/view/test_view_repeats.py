"""A scene in which nothing moves is drawn once; what moves by more than a millimetre, or creeps so far, is drawn."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from tipline.view import frames, scene
from tipline.view.repeats import drawn_at
from tipline.view.story import Story


def still(make_story: Callable[..., Story]) -> Story:
    """A truck that hangs a load and does not move, all samples as the first."""
    story = make_story(6.5, hung=True, samples=11)

    def held(values: np.ndarray) -> np.ndarray:
        return np.repeat(values[:1], len(values), axis=0)

    return replace(
        story,
        matrices=held(story.matrices),
        tyres=tuple(replace(tyre, load=held(tyre.load), contact=held(tyre.contact)) for tyre in story.tyres),
        lines=tuple(replace(line, ends=held(line.ends)) for line in story.lines),
        balance=held(story.balance),
        places=tuple(replace(place, depth=held(place.depth)) for place in story.places),
        hook=held(story.hook),
        load_top=held(story.load_top),
    )


def turned(story: Story, angle: float) -> Story:
    matrices = story.matrices.copy()
    matrices[5:, 5, :2, :2] = matrices[5:, 5, :2, :2] @ [[1.0, -angle], [angle, 1.0]]
    return replace(story, matrices=matrices)


def shifted(values: np.ndarray, by: float) -> np.ndarray:
    changed = values.copy()
    changed[5:] += by
    return changed


CHANGES: dict[str, Callable[[Story], Story]] = {
    "a body goes 2 mm": lambda story: replace(story, matrices=shifted(story.matrices, 0.002)),
    "a load turns by a two-thousandth": lambda story: turned(story, 5e-4),
    "a place sinks by 2 mm": lambda story: replace(
        story, places=tuple(replace(place, depth=shifted(place.depth, 0.002)) for place in story.places)
    ),
    "a tyre takes 300 N more": lambda story: replace(
        story, tyres=(replace(story.tyres[0], load=shifted(story.tyres[0].load, 300.0)), *story.tyres[1:])
    ),
    "the balance point is gone": lambda story: replace(story, balance=shifted(story.balance, np.nan)),
    "a tip line goes 2 mm": lambda story: replace(
        story, lines=(*story.lines[:-1], replace(story.lines[-1], ends=shifted(story.lines[-1].ends, 0.002)))
    ),
    "the hook goes 2 mm": lambda story: replace(story, hook=shifted(np.asarray(story.hook), 0.002)),
    "the floor leans": lambda story: replace(story, gravity=shifted(story.gravity, 0.01)),
}


@pytest.mark.parametrize("change", CHANGES)
def test_what_changes_to_the_eye_is_drawn_anew(make_story: Callable[..., Story], change: str) -> None:
    story, steps = still(make_story), np.zeros((11, 3))
    assert drawn_at(story, steps, range(11)) == [0] * 11
    assert drawn_at(CHANGES[change](story), steps, range(11)) == [0] * 5 + [5] * 6


def test_a_mast_that_rises_and_a_camera_that_goes_are_drawn_anew(make_story: Callable[..., Story]) -> None:
    story, steps = still(make_story), np.zeros((11, 3))
    assert drawn_at(story, shifted(steps, 0.002), range(11)) == [0] * 5 + [5] * 6
    mast = replace(story.solids[0], rise=np.full_like(story.solids[0].vertices, 2.0))
    lifts = replace(story, solids=(mast, *story.solids[1:]), rise=shifted(np.zeros(11), 0.001))
    assert drawn_at(lifts, steps, range(11)) == [0] * 5 + [5] * 6


def test_what_creeps_is_drawn_again_once_it_has_gone_a_millimetre(make_story: Callable[..., Story]) -> None:
    """By hand: 0.4 mm a sample passes 1 mm at every third."""
    steps = np.outer(np.arange(11), [4e-4, 0.0, 0.0])
    assert drawn_at(still(make_story), steps, range(11)) == [0, 0, 0, 3, 3, 3, 6, 6, 6, 9, 9]


def test_each_sample_gets_its_scene_and_alike_ones_the_same(
    make_story: Callable[..., Story], monkeypatch: pytest.MonkeyPatch
) -> None:
    drawn: list[int] = []

    class Listed:
        def __init__(self, *_: object, **__: object) -> None: ...

        def __enter__(self) -> Listed:
            return self

        def __exit__(self, *_: object) -> None: ...

        def draw(self, index: int, *_: object) -> SimpleNamespace:
            drawn.append(index)
            return SimpleNamespace(index=index)

    monkeypatch.setattr(scene, "Scene", Listed)
    moved = list(frames.Frames(CHANGES["a body goes 2 mm"](still(make_story)), (320, 200), "si", range(0, 11, 2)))
    assert drawn == [0, 6]
    assert [frame.index for frame in moved] == [0, 0, 0, 6, 6, 6]  # type: ignore[attr-defined]
