"""Labels never overlap, never leave the picture, never cover a point or another label's line."""

from __future__ import annotations

import itertools

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from tipline.view.labels import Label, overlap, place

VIEW = (928.0, 620.0)
SPOTS = st.lists(st.tuples(st.floats(0, VIEW[0]), st.floats(0, VIEW[1]), st.integers(60, 220)), min_size=1, max_size=12)


def labels(spots: list[tuple[float, float, int]]) -> list[Label]:
    return [Label(str(k), (x, y), (float(wide), 20.0)) for k, (x, y, wide) in enumerate(spots)]


@given(SPOTS)
@settings(deadline=None, max_examples=60)
def test_labels_keep_apart_and_inside(spots: list[tuple[float, float, int]]) -> None:
    done = place(labels(spots), VIEW, np.zeros((0, 4)), {})
    for one in done:
        assert one.box[0] >= 0
        assert one.box[1] >= 0
        assert one.box[2] <= VIEW[0]
        assert one.box[3] <= VIEW[1]
    assert not any(overlap(a.box, b.box) for a, b in itertools.combinations(done, 2))


def test_every_label_finds_a_place_when_tyres_stand_close() -> None:
    spots = [(400.0 + 6 * k, 300.0 + 3 * k, 160) for k in range(10)]
    assert len(place(labels(spots), VIEW, np.array([[300.0, 200.0, 500.0, 400.0]]), {})) == 10


def test_a_label_keeps_its_offset_while_it_fits() -> None:
    before: dict[str, tuple[float, float]] = {}
    first = place(labels([(400, 300, 120)]), VIEW, np.zeros((0, 4)), before)[0]
    moved = place(labels([(410, 305, 120)]), VIEW, np.zeros((0, 4)), before)[0]
    assert np.allclose(np.array(moved.box) - first.box, [10, 5, 10, 5])


def test_a_point_outside_the_picture_has_no_label() -> None:
    assert place(labels([(-5, 300, 120), (float("nan"), 3, 50)]), VIEW, np.zeros((0, 4)), {}) == []


def test_labels_stay_out_of_taken_boxes_and_off_the_parts() -> None:
    taken, part = (0.0, 0.0, 500.0, 620.0), np.array([[500.0, 0.0, 700.0, 620.0]])
    placed = place(labels([(600, 300, 120)]), VIEW, part, {}, [taken])[0]
    assert placed.box[0] >= 700
