"""Moments of an incident's nearest run, drawn: a box is where its body is, seen from the side or from behind."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest

from tipline.geometry.assembly import Part
from tipline.geometry.solids import box
from tipline.incidents.report import Course, PosedMoment, Step
from tipline.view.course import draw_course

SOLID = box((0.0, 0.0, 0.0), (2.0, 1.0, 0.5))
PARTS = (Part("x", 0, SOLID.vertices, SOLID.faces, 0.0, (0.5, 0.5, 0.5), "x"),)


def moved(ahead: float, left: float, up: float, roll: float = 0.0) -> np.ndarray:
    """A body rolled about its x axis, left side up positive, then moved."""
    c, s = np.cos(roll), np.sin(roll)
    return np.array([[[1, 0, 0, ahead], [0, c, -s, left], [0, s, c, up], [0, 0, 0, 1.0]]])


def moment(at: float, matrices: np.ndarray, what: str = "it moves") -> PosedMoment:
    return PosedMoment("event", Step(at, at - 0.1, at + 0.2, 5, 5, what), matrices)


def corners(svg: str) -> tuple[float, float, float, float]:
    """Left, right, low, high of what is drawn [m]."""
    points = np.array([[float(n) for n in pair.split()] for pair in re.findall(r"[ML](-?[\d.]+ -?[\d.]+)", svg)])
    return points[:, 0].min(), points[:, 0].max(), -points[:, 1].max(), -points[:, 1].min()


def test_from_its_right_side_ahead_is_to_the_right_and_up_is_up() -> None:
    course = Course((), (moment(1.0, moved(0, 0, 0)), moment(1.5, moved(3.0, 0.7, 0.25))), PARTS)
    (first, one), (second, other) = draw_course(course, "")
    assert corners(one) == pytest.approx((0.0, 2.0, 0.0, 0.5))
    assert corners(other) == pytest.approx((3.0, 5.0, 0.25, 0.75))
    assert first == "1.00 s (0.90 s to 1.20 s): it moves. Seen from its right side."
    assert second.startswith("1.50 s (1.40 s to 1.70 s)")
    frames = {re.search(r'viewBox="([^"]+)"', svg).group(1) for svg in (one, other)}  # type: ignore[union-attr]
    assert len(frames) == 1  # what moves is seen to move


def test_over_to_a_side_is_seen_from_behind_the_left_on_the_left() -> None:
    """A box 1 m wide and 0.5 m high, rolled by a quarter onto its right side: 0.5 m wide, 1 m high."""
    course = Course((), (moment(1.0, moved(0, 2.0, 0)), moment(2.0, moved(0, 0, 0, np.pi / 2))), PARTS, "left")
    (words, one), (_, other) = draw_course(course, "demo")
    assert corners(one) == pytest.approx((-3.0, -2.0, 0.0, 0.5))
    assert corners(other) == pytest.approx((0.0, 0.5, 0.0, 1.0))
    assert words.endswith("Seen from behind.")
    assert "DEMO" in one
    assert "DEMO" not in draw_course(replace(course, over=""), "")[0][1]


def test_moments_at_one_time_are_one_drawing_and_nothing_is_drawn_of_none() -> None:
    at_once = (moment(1.0, moved(0, 0, 0), "a hole opens"), moment(1.01, moved(0, 0, 0), "a tyre leaves the floor"))
    drawn = draw_course(Course((), at_once, PARTS), "", "us")
    assert [words.split(": ")[1] for words, _ in drawn] == [
        "a hole opens; a tire leaves the floor. Seen from its right side."
    ]
    assert draw_course(Course(), "") == []
