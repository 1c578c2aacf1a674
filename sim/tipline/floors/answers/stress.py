"""The stress map of a slab under the tyre that asks most of it, by plate elements, from the likely values."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2, cos, hypot, pi, sin

from tipline.errors import NumericalError
from tipline.floors.answers.mode_answer import ModeAnswer
from tipline.floors.answers.report import StressMap
from tipline.floors.known.ratio import likely
from tipline.floors.modes.situation import Situation
from tipline.floors.modes.slab import slab_of
from tipline.floors.places.patch import Patch
from tipline.floors.places.zones import cavity_outline, cavity_radius, sides_of
from tipline.model.floor import Floor
from tipline.model.plane import Outline, Point, rectangle_about
from tipline.model.slab import Slab

__all__ = ["Model", "model_of", "stress_map"]

REACH = 3.0
"""Edges and joints farther from the tyre than this are left out [m] (our choice: four stiffness radii or so)."""
ROOM = 4.0
"""Least half size of the panel [m] (our choice: five stiffness radii or so)."""
MOST_TRANSFER = 0.95
"""Part of the deflection that a joint hands on at most (numerical: the plate elements need some of it to part)."""


@dataclass(frozen=True)
class PlateFrame:
    """The panel's axes: origin at the tyre, x towards the nearest edge or joint."""

    at: Point
    angle: float

    def inside(self, point: Point) -> Point:
        """Return a point of the floor in the panel's axes."""
        x, y = point[0] - self.at[0], point[1] - self.at[1]
        return cos(self.angle) * x + sin(self.angle) * y, -sin(self.angle) * x + cos(self.angle) * y

    def outline(self, outline: Outline) -> Outline:
        """Return an outline in the panel's axes."""
        return tuple(self.inside(point) for point in outline)


@dataclass(frozen=True)
class Model:
    """A panel for the plate elements: its axes, low and high corner, what the high x side is, the patches on it."""

    frame: PlateFrame
    low: Point
    high: Point
    joint: bool
    patches: tuple[Patch, ...]


def stress_map(mode_answers: Sequence[ModeAnswer], floor: Floor) -> StressMap | None:
    """Return the map of the slab zone that is asked most; None where no slab is asked.

    Raises
    ------
    NumericalError
        The slab would tip into a cavity, or its contact with the ground does not settle.
    """
    worst = next(
        (each for each in mode_answers if isinstance(each.situation.zone, Slab) and "modulus" in each.bands), None
    )
    bending = next((each for each in mode_answers if worst is not None and _bends(each, worst)), None)
    if worst is None or bending is None:
        return None
    inputs = likely(bending.bands)
    model = model_of(bending.situation, floor)
    try:
        return _solved(bending, model, inputs)
    except NumericalError as error:
        situation = bending.situation
        msg = (
            f"the stress map of {situation.label} about {situation.patch.tyre}, with the likely values: {error.reason}"
        )
        raise NumericalError(msg, remedy=error.remedy) from error


def _bends(each: ModeAnswer, worst: ModeAnswer) -> bool:
    same = each.situation.label == worst.situation.label and each.situation.laid is None
    return same and each.mode.dimension == "pressure" and "modulus" in each.bands


def model_of(situation: Situation, floor: Floor) -> Model:
    """Return the rectangle of floor about a tyre: cut at the nearest edge or joint and at the nearest one across it."""
    at = situation.patch.at
    sides = [(kind, a, b, *_foot(at, a, b)) for kind, (a, b) in sides_of(floor, situation.zone)]
    close = sorted((side for side in sides if side[4] < REACH), key=lambda side: side[4])
    low, high, joint, angle = [-ROOM, -ROOM], [ROOM, ROOM], False, situation.patch.heading
    if close:
        kind, a, b, foot, apart = close[0]
        along = atan2(b[1] - a[1], b[0] - a[0])
        angle = along - pi / 2 if _left(at, a, b) else along + pi / 2
        joint, high[0] = kind == "joint", max(apart, 0.5 * min(situation.patch.length, situation.patch.width))
    frame = PlateFrame(at, angle)
    for _, a, b, foot, _ in close[1:]:
        y = frame.inside(foot)[1]
        across = abs(cos(atan2(b[1] - a[1], b[0] - a[0]) - angle)) > 0.87
        if across and abs(y) > 0.05:
            high[1], low[1] = (y, low[1]) if y > 0.0 else (high[1], y)
            break
    shown = [
        moved for patch in (situation.patch, *situation.others) if (moved := _moved(patch, frame, low, high, joint))
    ]
    return Model(frame, (low[0], low[1]), (high[0], high[1]), joint, tuple(shown))


def _moved(patch: Patch, frame: PlateFrame, low: Sequence[float], high: Sequence[float], joint: bool) -> Patch | None:
    """Return a patch square to the panel, pushed wholly onto it where it stands over its edge; None where it is off."""
    x, y = frame.inside(patch.at)
    turn = abs(cos(patch.heading - frame.angle))
    long, wide = (patch.length, patch.width) if turn > 0.7 else (patch.width, patch.length)
    if not (low[0] < x and low[1] < y < high[1]) or (x > high[0] + 0.5 * long and not joint) or x > high[0] + 2.0:
        return None
    edge = high[0] - 0.5 * long
    x = x if x <= edge or x >= high[0] + 0.5 * long else edge
    y = min(max(y, low[1] + 0.5 * wide), high[1] - 0.5 * wide)
    x = max(x, low[0] + 0.5 * long)
    return Patch(patch.tyre, (x, y), 0.0, long, wide, patch.load, patch.peak_pressure)


def _solved(mode_answer: ModeAnswer, model: Model, inputs: dict[str, float]) -> StressMap:
    from tipline.mechanics import plate_fe as fe
    from tipline.mechanics.joints import line_stiffness

    slab, zone = slab_of(inputs), mode_answer.situation.zone
    hollows = zone.cavity if isinstance(zone, Slab) else ()
    wheels = [fe.PlatePatch(*patch.at, patch.load, patch.length, patch.width) for patch in model.patches]
    cavities = []
    for hollow in hollows:
        x, y = model.frame.inside(hollow.at)
        if max(abs(x), abs(y)) < ROOM:
            cavities.append(fe.PlateCavity(x, y, 2 * cavity_radius(hollow), 2 * cavity_radius(hollow)))
    transfer = min(inputs.get("joint_transfer", 0.0), MOST_TRANSFER)
    joint = fe.PlateJoint(line_stiffness(transfer, slab), ROOM) if model.joint else None
    solution = fe.solve_plate(fe.PlatePanel(model.low, model.high, slab), wheels, cavities, joint, thick=True)
    worst = int(
        max(range(len(solution.field.bottom)), key=lambda i: max(solution.field.bottom[i], solution.field.top[i]))
    )
    demand, strength = mode_answer.mode.ask(inputs)
    corners = [model.low, (model.high[0], model.low[1]), model.high, (model.low[0], model.high[1])]
    return StressMap(
        zone=mode_answer.situation.label,
        tyre=mode_answer.situation.patch.tyre,
        points=solution.field.point,
        bottom=solution.field.bottom,
        top=solution.field.top,
        greatest=float(max(solution.field.bottom[worst], solution.field.top[worst])),
        at=(float(solution.field.point[worst][0]), float(solution.field.point[worst][1])),
        closed=demand,
        strength=strength,
        limit=strength / mode_answer.mode.factor.value,
        deflection=float(solution.field.deflection.max()),
        lifted_share=solution.lifted_share,
        patches=tuple(rectangle_about(patch.at, (patch.length, patch.width), 0.0) for patch in model.patches),
        cavities=tuple(model.frame.outline(cavity_outline(hollow)) for hollow in hollows),
        panel=tuple(corners),
        joint=model.joint,
        beyond=None
        if solution.beyond is None
        else (solution.beyond.point, solution.beyond.bottom, solution.beyond.top),
        note="; ".join(solution.warnings),
        equations=solution.equations,
        seconds=solution.seconds,
    )


def _foot(point: Point, a: Point, b: Point) -> tuple[Point, float]:
    """Return the nearest point of a straight piece, and how far it is."""
    along = b[0] - a[0], b[1] - a[1]
    square = along[0] ** 2 + along[1] ** 2 or 1.0
    part = min(max(((point[0] - a[0]) * along[0] + (point[1] - a[1]) * along[1]) / square, 0.0), 1.0)
    foot = a[0] + part * along[0], a[1] + part * along[1]
    return foot, hypot(point[0] - foot[0], point[1] - foot[1])


def _left(point: Point, a: Point, b: Point) -> bool:
    """Whether a point lies left of a straight piece, seen along it."""
    return (b[0] - a[0]) * (point[1] - a[1]) - (b[1] - a[1]) * (point[0] - a[0]) > 0.0
