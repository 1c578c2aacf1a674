"""Boxes about the drawn solids of the bodies, by which bodies meet one another: none reaches out of its box.

Left out: what lies inside others or beside them in the truck (wheels under the frame, exhaust, lamps), and the slings
that lie against the load.

Source: [Own] (what is assumed of their contacts)
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import lru_cache
from math import atan2, cos, hypot, sin
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

from tipline.geometry.chassis import lines_of
from tipline.geometry.pieces import Group, Piece
from tipline.geometry.solids import Spot
from tipline.kernels import layout as at
from tipline.kernels.meeting import gap
from tipline.model.machine import Machine

if TYPE_CHECKING:
    pass

__all__ = [
    "Box",
    "about",
    "box_rows",
    "carried_boxes",
    "frame_boxes",
    "load_boxes",
    "pair_rows",
    "rigging_ends",
    "stack_boxes",
    "turned_back",
]

Array = NDArray[np.float64]

MEETING_STIFFNESS = 4e7
"""Stiffness of a corner or an edge of a body on another body [N/m] (assumed: steel plates on steel, dented by mm)."""
MEETING_STIFFEST = 4e4
"""The same over the reduced mass of the two bodies at most (our choice, as that of a corner on the floor) [1/s2]."""
MEETING_DAMPING = 0.8
"""Damping over stiffness and speed [s/m] (assumed, as that of a corner on the floor)."""
CONTACT_DAMPING = 0.1
"""Damping ratio of one contact beside that, which calms what lies at rest (assumed: plates that ring, dirt, paint)."""
MEETING_FRICTION = 0.3
"""Friction of steel on painted steel (common practice, no source)."""
MOST_DAMPED = 0.3
"""Share of the reduced mass that the damping of a pair's contacts together may stop in a step (our choice: explicit
damping survives 2, a corner far out has a quarter of the mass, and a load meets several boxes at once)."""
SLIP = 5e2
"""Damping of friction over the spring's stiffness times 1e6 (our choice, as that of a corner on the floor) [s]."""
APART = 0.005
"""Boxes nearer than that at set-up belong together [m] (our choice), as a load that stands against the mast."""
FORK_STIFFNESS = 2.5e7
"""Stiffness of a corner or an edge of a load that lies free on the forks [N/m] (assumed: timber or steel between)."""
FORK_STIFFEST = 3e4
"""The same over the reduced mass of load and carriage at most (our choice: eight of them stand a step of 2 ms)."""


class Box(NamedTuple):
    """A box of a body: its middle in the truck frame and half its sizes [m], tops turned back by ``back`` [rad]."""

    name: str
    body: int
    middle: Spot
    half: Spot
    back: float = 0.0


def about(name: str, body: int, pieces: Iterable[Piece]) -> Box:
    """Put a box about pieces, along the axes of the truck."""
    corners = np.concatenate([piece.solid.vertices for piece in pieces])
    return _between(name, body, corners.min(axis=0).tolist(), corners.max(axis=0).tolist())


def _between(name: str, body: int, low: Iterable[float], high: Iterable[float]) -> Box:
    sides = list(zip(low, high, strict=True))
    (x, a), (y, b), (z, c) = ((float(u + v) / 2, float(v - u) / 2) for u, v in sides)
    return Box(name, body, (x, y, z), (a, b, c))


def frame_boxes(machine: Machine, pieces: Iterable[Piece]) -> list[Box]:
    """Frame with its pods by length: rear, deck, well, cowl; seat; overhead guard and its four posts."""
    c, at_, piece_of = machine.chassis, lines_of(machine), {piece.name: piece for piece in pieces}
    tops = (
        ("rear", at_.rear, at_.deck_rear, max(at_.saddle, piece_of["pod left"].solid.vertices[:, 2].max())),
        ("deck", at_.deck_rear, at_.step_rear, at_.deck + 0.16),
        ("well", at_.step_rear, at_.step_front, at_.floor + 0.02),
        ("cowl", at_.step_front, max(at_.nose, at_.front), max(at_.cowl, at_.fender)),
    )
    boxes = [
        _between(name, at.CHASSIS, (start, -at_.half, at_.belly), (end, at_.half, top))
        for name, start, end, top in tops
        if end > start and top > at_.belly
    ]
    boxes.append(about("seat", at.CHASSIS, (piece_of["seat cushion"], piece_of["seat back"])))
    boxes.append(about("guard", at.CHASSIS, (piece_of["overhead guard"],)))
    posts = piece_of["overhead guard posts"].solid.vertices
    middle = 0.5 * (c.guard_front + c.guard_rear)
    for side in (-1.0, 1.0):
        for end in (-1.0, 1.0):
            own = posts[(side * posts[:, 1] > 0.0) & (end * (posts[:, 0] - middle) > 0.0)]
            if len(own):
                boxes.append(_between("guard post", at.CHASSIS, own.min(axis=0).tolist(), own.max(axis=0).tolist()))
    return boxes


def stack_boxes(groups: Iterable[Group]) -> list[Box]:
    """Counterweight, and the slabs on it."""
    pieces = [piece for group in groups for piece in group.pieces]
    blocks = [piece for piece in pieces if piece.name == "counterweight"]
    slabs = [piece for piece in pieces if piece.kind == "ballast"]
    boxes = [about("counterweight", at.COUNTERWEIGHT, blocks)]
    return [*boxes, about("ballast", at.COUNTERWEIGHT, slabs)] if slabs else boxes


def carried_boxes(machine: Machine, fork_height: float, groups: Iterable[Group]) -> list[Box]:
    """Mast, carriage, backrest, forks, jib with its hook block, posts and stays; all upright."""
    piece_of = {piece.name: piece for group in groups for piece in group.pieces}
    stages = [piece for name, piece in piece_of.items() if piece.kind == "mast" and name != "tilt cylinders"]
    boxes = [about("mast", at.MAST, stages), about("carriage", at.CARRIAGE, (piece_of["carriage"],))]
    if "load backrest" in piece_of:
        boxes.append(about("backrest", at.CARRIAGE, (piece_of["load backrest"],)))
    for side in ("left", "right"):
        fork, f = piece_of.get(f"fork {side}"), machine.forks
        if fork is not None and f is not None:
            (_, right, low), (ahead, left, high) = fork.solid.vertices.min(axis=0), fork.solid.vertices.max(axis=0)
            face = machine.carriage.face
            boxes.append(_between("fork", at.CARRIAGE, (face - f.thickness, right, low), (ahead, left, fork_height)))
            boxes.append(_between("fork shank", at.CARRIAGE, (face - f.thickness, right, low), (face, left, high)))
    if "jib box" in piece_of:
        boxes.append(about("jib", at.CARRIAGE, (piece_of["jib box"], piece_of["jib inner box"])))
        hook = [piece_of[name] for name in ("hook block", "hook block sheave", "hook")]
        boxes.append(about("hook block", at.CARRIAGE, hook))
        boxes.append(about("jib hangers", at.CARRIAGE, (piece_of["jib hangers"],)))
        boxes.append(_along("jib stays", at.CARRIAGE, piece_of["jib stays"]))
    return boxes


def _along(name: str, body: int, piece: Piece) -> Box:
    """Put a box about a piece that leans ahead or back, along it."""
    corners = piece.solid.vertices
    high = corners[:, 2] > corners[:, 2].mean()
    ahead, _, up = corners[high].mean(axis=0) - corners[~high].mean(axis=0)
    back = -atan2(ahead, up)
    axes = turned_back(back)
    own = corners @ axes
    low, top = own.min(axis=0), own.max(axis=0)
    (x, y, z), (a, b, c) = (axes @ (0.5 * (low + top))).tolist(), (0.5 * (top - low)).tolist()
    return Box(name, body, (x, y, z), (a, b, c), back)


def rigging_ends(size: Spot, rigging: Group) -> tuple[Spot, Spot]:
    """Return the least and the greatest corner of the beam across the top of a load with its foot at the origin."""
    corners = np.concatenate([piece.solid.vertices for piece in rigging.pieces])
    beam = corners[corners[:, 2] > size[2] + 0.5 * (corners[:, 2].max() - size[2])]
    (x, y, z), (a, b, c) = beam.min(axis=0).tolist(), beam.max(axis=0).tolist()
    return (x, y, z), (a, b, c)


def load_boxes(foot: Spot, size: Spot, rigging: tuple[Spot, Spot] | None) -> list[Box]:
    """Lifted load of the stated size with its underside's middle at ``foot``, upright, and the beam across its top.

    rigging : the ends of that beam, as `rigging_ends` has them
    """
    x, y, z = foot
    a, b = size[0] / 2, size[1] / 2
    boxes = [_between("load", at.LOAD, (x - a, y - b, z), (x + a, y + b, z + size[2]))]
    if rigging is not None:
        low, (ahead, left, top) = rigging
        boxes.append(
            _between("rigging", at.LOAD, (x + low[0], y + low[1], z + size[2]), (x + ahead, y + left, z + top))
        )
    return boxes


def box_rows(boxes: Iterable[Box], centre: Array, root: Mapping[int, int]) -> Array:
    """Return the boxes as the kernels read them (n, N_BOX), lengths in [m]."""
    rows, centres = [], centre.tolist()
    for box in boxes:
        body, (x, y, z) = root[box.body], box.middle
        own_x, own_y, own_z = centres[body]
        place, ball = (x - own_x, y - own_y, z - own_z), hypot(*box.half)
        rows.append((body, *place, *box.half, cos(box.back), -sin(box.back), ball, hypot(*place) + ball))
    return np.array(rows, dtype=np.float64).reshape(-1, at.N_BOX)


def pair_rows(boxes: tuple[Box, ...], root: Mapping[int, int], mass: Array, on_forks: float | None) -> Array:
    """Return which boxes may meet, and how (n, N_PAIR) [N/m, 1]; on_forks: friction of a load free on the forks."""
    roots = tuple([root[body] for body in range(at.N_BODY)])
    pairs = _pairs(boxes, roots, rests=on_forks is not None)
    rows, body = np.zeros((len(pairs), at.N_PAIR)), np.array([box.body for box in boxes], dtype=np.intp)[pairs.T]
    own, other = mass[np.array(roots)[body]]
    reduced = own * other / (own + other)
    rests = (body[0] == at.CARRIAGE) & (on_forks is not None)
    on_carriage, on_truck = FORK_STIFFEST * reduced, MEETING_STIFFEST * reduced
    k = np.where(rests, np.minimum(FORK_STIFFNESS, on_carriage), np.minimum(MEETING_STIFFNESS, on_truck))
    rows[:, : at.Q_B + 1], rows[:, at.Q_K], rows[:, at.Q_CHI] = pairs, k, MEETING_DAMPING
    rows[:, at.Q_MOST], rows[:, at.Q_MU] = MOST_DAMPED * reduced, np.where(rests, on_forks or 0.0, MEETING_FRICTION)
    rows[:, at.Q_KT], rows[:, at.Q_CT], rows[:, at.Q_RESTS] = 0.5 * k, SLIP * 1e-6 * k, rests
    rows[:, at.Q_C] = 2.0 * CONTACT_DAMPING * np.sqrt(k * reduced)
    return rows


@lru_cache(maxsize=32)
def _pairs(boxes: tuple[Box, ...], roots: tuple[int, ...], *, rests: bool) -> NDArray[np.intp]:
    """Return the pairs of boxes that can come together (n, 2); rests: the load touches the carriage at set-up."""
    frames = [_framed(box) for box in boxes]
    rows = box_rows(boxes, np.zeros((at.N_BODY, 3)), dict(enumerate(range(at.N_BODY))))
    pairs = []
    for a, box in enumerate(boxes):
        for b in range(a + 1, len(boxes)):
            # the parts of the truck hang on one another: only a load that moves on its own meets them
            if at.LOAD not in (roots[box.body], roots[boxes[b].body]) or roots[box.body] == roots[boxes[b].body]:
                continue
            middles, axes = (np.array([frames[i][part] for i in (a, b)]) for part in (0, 1))
            least = -APART if rests and box.body == at.CARRIAGE else APART
            if gap(rows[a], rows[b], middles, axes) > least:
                pairs.append((a, b))
    return np.array(pairs, dtype=np.intp).reshape(-1, 2)


def _framed(box: Box) -> tuple[Array, Array]:
    return np.array(box.middle), turned_back(box.back)


def turned_back(back: float) -> Array:
    """Return the rotation (3, 3) by which tops are turned back [rad]: the axes of a box, a column each."""
    c, s = cos(back), sin(back)
    return np.array([[c, 0.0, -s], [0.0, 1.0, 0.0], [s, 0.0, c]])
