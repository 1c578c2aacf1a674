"""A made-up truck of boxes and a made-up motion, for the tests of the pictures; no mechanics in it."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from tipline.geometry.posed import posed
from tipline.view import gl
from tipline.view.story import Array, DrawnLine, DrawnSolid, DrawnTyre, Mark, Place, Story

WHEELBASE, HALF = 2.4, 0.95
_QUADS = ((0, 2, 3, 1), (4, 5, 7, 6), (0, 1, 5, 4), (2, 6, 7, 3), (0, 4, 6, 2), (1, 3, 7, 5))
_GREY, _DARK, _LIGHT, _RUBBER, _LOAD = (
    (0.55, 0.54, 0.51),
    (0.36, 0.36, 0.36),
    (0.70, 0.69, 0.66),
    (0.14, 0.14, 0.15),
    (0.44, 0.52, 0.58),
)


@pytest.fixture(scope="session")
def opengl() -> None:
    """Leave out, with the reason, a test that draws scenes where this computer cannot."""
    missing = gl.probe()
    if missing:
        pytest.skip(missing)


@pytest.fixture(scope="session")
def make_story() -> Callable[..., Story]:
    """The maker of stories."""
    return story


def box(
    name: str, body: int, low: tuple[float, ...], high: tuple[float, ...], colour: tuple[float, float, float], kind: str
) -> DrawnSolid:
    """A box as a solid."""
    corners = np.array([[x, y, z] for x in (low[0], high[0]) for y in (low[1], high[1]) for z in (low[2], high[2])])
    faces = np.array([tri for a, b, c, d in _QUADS for tri in ((a, b, c), (a, c, d))])
    return DrawnSolid(name, body, corners, faces, colour, kind)


def wheel(name: str, body: int, x: float, y: float, radius: float, width: float) -> DrawnSolid:
    """A cylinder across the truck."""
    n = 36
    angle = np.linspace(0, 2 * np.pi, n, endpoint=False)
    rim = np.column_stack([x + radius * np.cos(angle), np.zeros(n), radius + radius * np.sin(angle)])
    left, right = rim + np.array([0, y + width / 2, 0]), rim - np.array([0, width / 2 - y, 0])
    points = np.concatenate([left, right, [[x, y + width / 2, radius], [x, y - width / 2, radius]]])
    k, m = np.arange(n), np.roll(np.arange(n), -1)
    faces = np.concatenate(
        [
            np.column_stack([k, m, m + n]),
            np.column_stack([k, m + n, k + n]),
            np.column_stack([m, k, np.full(n, 2 * n)]),
            np.column_stack([k + n, m + n, np.full(n, 2 * n + 1)]),
        ]
    )
    return DrawnSolid(name, body, points, faces, _RUBBER, "tyre")


def solids(height: float, hung: bool) -> tuple[DrawnSolid, ...]:
    """About twenty parts, the load's underside at `height` [m]."""
    parts = [
        box("frame", 0, (-2.7, -0.8, 0.3), (0.3, 0.8, 1.1), _GREY, "chassis"),
        box("deck", 0, (-2.7, -0.75, 1.1), (-1.2, 0.75, 1.5), _LIGHT, "chassis"),
        box("counterweight", 4, (-3.5, -0.85, 0.45), (-2.7, 0.85, 1.3), _DARK, "counterweight"),
        box("slab", 4, (-3.4, -0.8, 1.3), (-2.8, 0.8, 1.5), _DARK, "ballast"),
        box("guard roof", 0, (-1.6, -0.6, 2.35), (-0.1, 0.6, 2.42), _DARK, "guard"),
        *(
            box("post", 0, (x, y, 1.1), (x + 0.07, y + 0.07, 2.35), _DARK, "guard")
            for x in (-1.55, -0.2)
            for y in (-0.58, 0.5)
        ),
        *(
            box("channel", 2, (0.45, y, 0.2), (0.65, y + 0.12, max(3.4, height + 0.6)), _DARK, "mast")
            for y in (-0.55, 0.43)
        ),
        box("crosspiece", 2, (0.47, -0.43, 2.6), (0.6, 0.43, 2.75), _DARK, "mast"),
        box("carriage", 3, (0.65, -0.6, height + 0.3), (0.75, 0.6, height + 0.9), _GREY, "carriage"),
    ]
    if hung:
        parts.append(box("jib", 3, (0.75, -0.15, height + 0.5), (2.6, 0.15, height + 0.8), _LIGHT, "jib"))
        parts.append(box("load", 5, (1.6, -0.7, height - 1.9), (3.4, 0.7, height - 0.4), _LOAD, "load"))
    else:
        parts += [
            box("fork", 3, (0.75, y, height), (2.2, y + 0.15, height + 0.06), _DARK, "fork") for y in (-0.5, 0.35)
        ]
        parts.append(box("load", 5, (0.8, -0.7, height + 0.06), (2.4, 0.7, height + 1.5), _LOAD, "load"))
    for name, body, x, side, radius, width in (
        ("front-left", 0, 0.0, 1, 0.48, 0.36),
        ("front-right", 0, 0.0, -1, 0.48, 0.36),
        ("rear-left", 1, -WHEELBASE, 1, 0.36, 0.3),
        ("rear-right", 1, -WHEELBASE, -1, 0.36, 0.3),
    ):
        parts.append(wheel(name, body, x, side * HALF, radius, width))
    return tuple(parts)


def story(height: float = 6.5, hung: bool = False, over: bool = True, samples: int = 401, demo: bool = True) -> Story:
    """A truck whose front-left tyre drops 115 mm at 1 s and that goes over to the left, or rests on one tyre less."""
    time = np.linspace(0.0, 4.0, samples)
    fall = np.clip((time - 1.0) / 2.2, 0.0, 1.0)
    roll = -(np.radians(88.0) * fall**2.2 if over else np.radians(3.2) * np.clip((time - 1.0) / 0.5, 0, 1))
    place, heading = np.array([6.0, 4.0, 0.0]), 0.3
    turn = np.array([[np.cos(heading), -np.sin(heading), 0], [np.sin(heading), np.cos(heading), 0], [0, 0, 1.0]])
    edge = np.array([0.0, HALF, 0.0])
    poses = np.zeros((samples, 6, 7))
    centres = np.zeros((6, 3))
    for k, angle in enumerate(roll):
        c, s = np.cos(angle), np.sin(angle)
        tilt = np.array([[1, 0, 0], [0, c, -s], [0, s, c]])
        for body in range(6):
            poses[k, body, :3] = place + turn @ (edge - tilt @ edge)
            q_tilt, q_turn = (
                np.array([np.sin(angle / 2), 0, 0, np.cos(angle / 2)]),
                np.array([0, 0, np.sin(heading / 2), np.cos(heading / 2)]),
            )
            poses[k, body, 3:] = _times(q_turn, q_tilt)
    matrices = posed(poses, centres)
    drop = np.clip((time - 1.0) / 0.05, 0.0, 1.0)
    base = {"front-left": 82e3, "front-right": 78e3, "rear-left": 12e3, "rear-right": 11e3}
    change = {"front-left": -0.4, "front-right": 0.5, "rear-left": 0.9, "rear-right": -1.0}
    tyres, corner = [], {}
    for name, load in base.items():
        x, y = (0.0 if name.startswith("front") else -WHEELBASE), (HALF if name.endswith("left") else -HALF)
        spot = place + turn @ np.array([x, y, 0.0])
        corner[name] = spot
        values = np.maximum(load * (1 + change[name] * drop), 0.0)
        tyres.append(
            DrawnTyre(
                name, values, np.tile(spot, (samples, 1)), 1.0 if y > 0 else -1.0, x == 0.0, 0.36 if x == 0 else 0.3
            )
        )
    ends = {
        "front": ("front-left", "front-right"),
        "back": ("rear-left", "rear-right"),
        "left": ("front-left", "rear-left"),
        "right": ("front-right", "rear-right"),
    }
    shift = 1.1 * np.clip((time - 1.0) / 0.8, 0, 1) if over else 0.5 * drop
    balance = place + np.stack([turn @ np.array([-0.25, y, 0.0]) for y in shift])
    start = {"front": 0.25, "back": WHEELBASE - 0.25, "left": HALF, "right": HALF}
    step = {"front": 0.0, "back": 0.0, "left": -1.0, "right": 1.0}
    lines = []
    for name, (a, b) in ends.items():
        distance = start[name] + step[name] * shift
        worst = int(np.argmin(distance))
        lines.append(
            DrawnLine(
                name,
                False,
                np.tile(np.stack([corner[a], corner[b]]), (samples, 1, 1)),
                distance,
                float(distance[worst]),
                float(time[worst]),
            )
        )
    pivot = place + turn @ np.array([-WHEELBASE, 0.0, 0.0])
    for name in ("left", "right"):
        both = np.stack([corner[f"front-{name}"], pivot])
        distance = 0.85 * HALF + step[name] * shift
        lines.append(
            DrawnLine(
                f"swing.{name}",
                True,
                np.tile(both, (samples, 1, 1)),
                distance,
                float(distance.min()),
                float(time[int(np.argmin(distance))]),
            )
        )
    hole = corner["front-left"][:2] + (np.array([[-0.3, -0.3], [0.3, -0.3], [0.3, 0.3], [-0.3, 0.3]]) @ turn[:2, :2].T)
    rope: tuple[Array | None, Array | None, Array | None] = (None, None, None)
    if hung:
        top = np.array([[2.5, 0.0, height + 0.5], [2.5, 0.0, height - 0.4]])
        world = np.einsum("nij,kj->nki", matrices[:, 3, :3, :3], top) + matrices[:, 3, None, :3, 3]
        rope = (world[:, 0], world[:, 1], np.where(time < 2.0, 52e3, 0.0))
    return Story(
        title="Front-left tyre breaks through with the load at height",
        run_id="a1b2c3d4",
        assumed=7,
        demo=demo,
        estimate="An estimate. The maker's capacity plate and manual, local codes and a qualified engineer govern.",
        time=time,
        matrices=matrices,
        solids=solids(height, hung),
        tyres=tuple(tyres),
        lines=tuple(lines),
        balance=balance,
        gravity=np.tile([0.0, 0.0, -9.80665], (samples, 1)),
        roll=roll,
        pitch=np.zeros(samples),
        places=(Place("hole under front-left", "hole", hole, 0.115 * drop),),
        hook=rope[0],
        load_top=rope[1],
        rope_force=rope[2],
        marks=(
            Mark(1.0, "floor breaks through under front-left", True),
            Mark(1.05, "rear-right tyre off the floor"),
            Mark(1.7, "past the left tip line"),
        )
        if over
        else (Mark(1.0, "floor breaks through under front-left", True), Mark(1.05, "rear-right tyre off the floor")),
        outcome=("truck: over, left", "lifted load: dropped", "floor: broke")
        if over
        else ("The truck ends with a tyre off the floor; the floor breaks",),
        worst_time=1.7 if over else 1.5,
        worst_words="least distance, left",
        look=np.array([0.0, HALF, 0.0]),
        cause_points=np.tile(corner["front-left"], (samples, 1)),
        cause_words="the floor gives way under the front-left tyre",
    )


def _times(a: Array, b: Array) -> Array:
    x, y, z, w = a
    return np.array(
        [
            w * b[0] + x * b[3] + y * b[2] - z * b[1],
            w * b[1] - x * b[2] + y * b[3] + z * b[0],
            w * b[2] + x * b[1] - y * b[0] + z * b[3],
            w * b[3] - x * b[0] - y * b[1] - z * b[2],
        ]
    )
