"""The chassis: hull and side pods with cut-aways for the wheels, driver's place, overhead guard."""

from __future__ import annotations

import math
from dataclasses import dataclass

from tipline.geometry.pieces import BARE_STEEL, COVER, DARK, GLASS, LAMP, SHELL, TRIM, WARM, Group, Piece, mirrored
from tipline.geometry.solids import Flat, Solid, arc, bar, beam, box, chamfered, disc, join, outline_between, prism
from tipline.geometry.wheels import drive_wheels
from tipline.model.machine import Machine, Tyre

__all__ = ["Lines", "chassis", "lines_of", "pod_corners"]

_ARCH_GAP = 0.05
_LEAST = 0.03
_BENDS = 0.05
"""How far behind the edge of the wheel arch the sill's thin end carries [m] (our choice)."""
_STIRRUP = (0.15, 0.05)
"""Half the length of the step's stirrup and how far it stands out [m] (our choice)."""


@dataclass(frozen=True)
class Lines:
    """Main lines of the chassis in the truck frame [m], all found from the machine's parameters."""

    nose: float
    rear: float
    front: float
    hull: float
    half: float
    belly: float
    floor: float
    deck: float
    cowl: float
    fender: float
    toe: float
    step_front: float
    step_rear: float
    deck_rear: float
    saddle: float


def lines_of(machine: Machine) -> Lines:
    """Find the lines that the hull, the pods and the contact points share."""
    c, cw = machine.chassis, machine.counterweight
    tyres = (*machine.drive_axle.tyre, *machine.steer_axle.tyre)
    hull = min(abs(tyre.across) - tyre.width / 2 for tyre in tyres) - 0.03
    nose = max(min(c.front, machine.mast.face - machine.mast.channel_depth - 0.11), c.rear + 0.2)
    step_front = min(c.guard_front, nose) - 0.16
    arch = machine.drive_axle.tyre[0].diameter / 2 + _ARCH_GAP
    step_rear = min(step_front - 0.42, -arch - 0.34)
    return Lines(
        nose=nose,
        rear=c.rear,
        front=c.front,
        hull=min(max(hull, 0.1 * c.width), 0.45 * c.width),
        half=c.width / 2,
        belly=c.belly_clearance,
        floor=0.55 * c.deck_height,
        deck=c.deck_height,
        cowl=1.12 * c.deck_height,
        fender=min(2 * arch, 1.08 * c.deck_height),
        toe=min(-arch - 0.04, step_front - 0.02),
        step_front=step_front,
        step_rear=step_rear,
        deck_rear=min(cw.centre[0] + cw.size[0] / 2 + 0.06, step_rear - 0.2),
        saddle=min(cw.centre[2] - cw.size[2] / 2 - 0.02, c.deck_height),
    )


def chassis(machine: Machine) -> Group:
    """Everything that is fixed to the frame, the drive wheels included."""
    at = lines_of(machine)
    pieces = [
        Piece("hull", _hull(machine, at), SHELL, "shell"),
        *_pods(machine, at),
        *_covers(machine, at),
        *_driver(at),
        *_guard(machine, at),
        *drive_wheels(machine),
    ]
    return Group(0, machine.chassis.mass, tuple(pieces), machine.chassis.centre)


def _hull(machine: Machine, at: Lines) -> Solid:
    axle, wheel = -machine.wheelbase, machine.steer_axle.tyre[0].diameter / 2
    gap, low = 0.55 * wheel, at.belly + 0.12
    roof = max(machine.steer_axle.pivot_height + 0.22 * wheel, low + 0.05)
    lower = (
        (at.rear, low), (axle - gap, low), (axle - gap, roof), (axle + gap, roof), (axle + gap, at.belly),
        (at.nose - 0.1, at.belly), (at.nose, at.belly + 0.1),
    )  # fmt: skip
    upper = (
        (at.rear, at.saddle), (at.deck_rear, at.saddle), (at.deck_rear, at.deck), (at.step_rear - 0.05, at.deck),
        (at.step_rear, at.floor), (at.toe, at.floor), (at.step_front, at.fender), (at.step_front, at.cowl),
        (at.nose - 0.06, at.cowl), (at.nose, at.cowl - 0.06),
    )  # fmt: skip
    return prism(outline_between(lower, upper, _LEAST), "y", -at.hull, at.hull)


def _arch(tyre: Tyre, x: float, low: float, high: float) -> list[Flat]:
    """Outline of the cut-away over a wheel from behind it to before it, kept between ``low`` and ``high`` x."""
    radius, height = tyre.diameter / 2 + _ARCH_GAP, tyre.diameter / 2
    start = math.acos(min(max((low - x) / radius, -1.0), 1.0))
    end = math.acos(min(max((high - x) / radius, -1.0), 1.0))
    return arc((x, height), radius, start, end, 10)


@dataclass(frozen=True)
class _Pod:
    """Outline of a side pod from behind, by its lower and its upper side; the sill and the stirrup's middle."""

    lower: tuple[Flat, ...]
    upper: tuple[Flat, ...]
    sill: float
    sill_ends: tuple[float, float]
    step: float
    stirrup: float


def _pod(machine: Machine, at: Lines) -> _Pod:
    front = max(machine.drive_axle.tyre, key=lambda tyre: tyre.diameter)
    back = max(machine.steer_axle.tyre, key=lambda tyre: tyre.diameter)
    sill, half = at.belly + 0.05, -0.5 * machine.wheelbase
    over = _arch(back, -machine.wheelbase, at.rear, half)
    under = _arch(front, 0.0, half, at.front)
    tail = ((at.rear, sill + 0.1), (over[0][0], sill + 0.1)) if over[0][0] > at.rear + 0.02 else ()
    step, well = min(at.floor, at.fender), under[0][0] - 0.02
    top = max(at.saddle, back.diameter + _ARCH_GAP + 0.03)
    lower = (*tail, *over, (over[-1][0], sill), (under[0][0], sill), *under)
    upper = (
        (at.rear, top), (at.deck_rear, top), (at.deck_rear, at.deck - 0.05), (at.step_rear - 0.05, at.deck - 0.05),
        (at.step_rear, step), (well, step), (well, at.fender), (at.front - 0.06, at.fender),
        (at.front, at.fender - 0.04),
    )  # fmt: skip
    middle = 0.5 * (under[0][0] + at.step_rear)
    return _Pod(tuple(lower), upper, sill, (over[-1][0], under[0][0]), step, middle)


def pod_corners(machine: Machine, at: Lines) -> list[tuple[str, float, float, float]]:
    """Name the outer corners of the left pod with its step, x, y, z: those that can meet the floor."""
    pod = _pod(machine, at)
    low, (rear, front) = pod.sill + 0.08, pod.sill_ends
    return [
        ("sill-rear", rear, at.half, pod.sill),
        ("sill-front", front - _BENDS, at.half, pod.sill),
        ("step-rear", pod.stirrup - _STIRRUP[0], at.half + _STIRRUP[1], low),
        ("step-front", pod.stirrup + _STIRRUP[0], at.half + _STIRRUP[1], low),
        ("pod-tail", pod.lower[0][0], at.half, pod.lower[0][1]),
        ("pod-tail-top", pod.upper[0][0], at.half, pod.upper[0][1]),
        ("fender", pod.lower[-1][0], at.half, pod.lower[-1][1]),
        ("fender-top", pod.upper[-1][0], at.half, pod.upper[-1][1]),
    ]


def _pods(machine: Machine, at: Lines) -> list[Piece]:
    outline = _pod(machine, at)
    sill, middle, (_, front) = outline.sill, outline.stirrup, outline.sill_ends
    pod = prism(outline_between(outline.lower, outline.upper, _LEAST), "y", at.hull, at.half)
    plate = box((at.step_rear, at.hull, outline.step), (front - 0.02, at.half + 0.01, outline.step + 0.015))
    long, wide = _STIRRUP
    stirrup = chamfered((middle - long, at.half, sill + 0.08), (middle + long, at.half + wide, sill + 0.13), 0.02, "x")
    grille = join(
        box((at.deck_rear + 0.12, at.half, z), (at.step_rear - 0.18, at.half + 0.006, z + 0.022))
        for z in (at.deck - 0.30 + 0.045 * n for n in range(5))
    )
    both = [
        ("pod", pod, SHELL, "shell"),
        ("step", join([plate, stirrup]), DARK, "trim"),
        ("grille", grille, DARK, "trim"),
    ]
    return [
        Piece(f"{name} {side}", solid if side == "left" else mirrored(solid), colour, kind)
        for name, solid, colour, kind in both
        for side in ("left", "right")
    ]


def _covers(machine: Machine, at: Lines) -> list[Piece]:
    """Engine cover behind the seat, front panel, tail lamps and bumper."""
    hood = chamfered(
        (at.deck_rear + 0.02, -0.92 * at.half, at.deck - 0.05),
        (at.step_rear - 0.44, 0.92 * at.half, at.deck + 0.16),
        0.05,
        "x",
    )
    slots = join(
        box((at.deck_rear + 0.1, y - 0.012, at.deck + 0.16), (at.step_rear - 0.5, y + 0.012, at.deck + 0.166))
        for y in (-0.3, -0.2, -0.1, 0.0, 0.1, 0.2, 0.3)
        if abs(y) < 0.8 * at.half
    )
    pipe_y = -(0.92 * at.half - 0.09)
    pipe = bar(
        (at.deck_rear + 0.09, pipe_y, at.deck + 0.1),
        (at.deck_rear + 0.09, pipe_y, machine.chassis.guard_height - 0.12),
        0.035,
    )
    bumper = chamfered(
        (at.rear - 0.03, -0.75 * at.half, at.belly + 0.14), (at.rear, 0.75 * at.half, at.belly + 0.24), 0.015, "y"
    )
    lamps = [
        chamfered((at.rear - 0.02, y - 0.05, at.saddle - 0.12), (at.rear, y + 0.05, at.saddle - 0.06), 0.01, "y")
        for y in (-0.8 * at.half, 0.8 * at.half)
    ]
    pieces = [
        Piece("rear bumper", bumper, DARK, "trim"),
        Piece("tail lamps", join(lamps), WARM, "trim"),
        Piece("exhaust", pipe, BARE_STEEL, "trim"),
    ]
    if at.step_rear - 0.44 > at.deck_rear + 0.14:
        pieces += [Piece("engine cover", hood, COVER, "shell"), Piece("engine cover slots", slots, DARK, "trim")]
    return pieces


def _driver(at: Lines) -> list[Piece]:
    """Seat, steering column with its wheel, levers, instrument panel."""
    x = at.step_rear - 0.06
    cushion = chamfered((x - 0.42, -0.24, at.deck), (x, 0.24, at.deck + 0.12), 0.03, "y")
    back = prism(
        [
            (x - 0.36, at.deck + 0.12),
            (x - 0.26, at.deck + 0.12),
            (x - 0.34, at.deck + 0.62),
            (x - 0.42, at.deck + 0.62),
        ],
        "y",
        -0.22,
        0.22,
    )
    column = bar((at.step_front + 0.06, 0.0, at.cowl), (at.step_front - 0.12, 0.0, at.cowl + 0.17), 0.028)
    hand = _hand_wheel((at.step_front - 0.13, 0.0, at.cowl + 0.18), 0.17, 0.013)
    levers = join(
        bar(
            (at.step_front + 0.06, -0.26 - 0.06 * n, at.cowl),
            (at.step_front + 0.02, -0.26 - 0.06 * n, at.cowl + 0.16),
            0.009,
            6,
        )
        for n in range(3)
    )
    knobs = join(disc((at.step_front + 0.02, -0.26 - 0.06 * n, at.cowl + 0.17), 0.018, 0.03, "y", 8) for n in range(3))
    panel = prism(
        [(at.step_front + 0.02, at.cowl), (at.step_front + 0.14, at.cowl), (at.step_front + 0.10, at.cowl + 0.1)],
        "y",
        0.12,
        0.36,
    )
    return [
        Piece("seat cushion", cushion, DARK, "seat"),
        Piece("seat back", back, DARK, "seat"),
        Piece("steering column", join([column, hand]), DARK, "trim"),
        Piece("levers", levers, BARE_STEEL, "trim"),
        Piece("lever knobs", knobs, WARM, "trim"),
        Piece("instrument panel", panel, GLASS, "trim"),
    ]


def _hand_wheel(centre: tuple[float, float, float], radius: float, thick: float, sides: int = 12) -> Solid:
    """Hand wheel: a ring of short bars, leaning towards the seat."""
    lean, points = 0.65, []
    for n in range(sides):
        a = 2.0 * math.pi * n / sides
        u, v = radius * math.cos(a), radius * math.sin(a)
        points.append((centre[0] + u * math.cos(lean), centre[1] + v, centre[2] + u * math.sin(lean)))
    rim = [bar(points[n - 1], points[n], thick, 6) for n in range(sides)]
    return join([*rim, bar(points[0], points[sides // 2], 0.8 * thick, 6)])


def _guard(machine: Machine, at: Lines) -> list[Piece]:
    """Overhead guard: four posts, a frame and bars across it, lamps on the front posts."""
    c = machine.chassis
    y, top, tube = 0.9 * at.half, c.guard_height, 0.07
    front, rear = c.guard_front - 0.1, c.guard_rear
    foot = at.fender
    legs = [
        post
        for s in (-1.0, 1.0)
        for post in (
            beam((min(c.guard_front, at.front - 0.1), s * y, foot), (front, s * y, top - tube), 0.05, tube),
            beam((max(rear - 0.03, at.deck_rear + 0.05), s * y, at.deck - 0.05), (rear, s * y, top - tube), 0.05, tube),
        )
    ]
    rails = [box((rear - 0.05, s * y - 0.035, top - tube), (front + 0.05, s * y + 0.035, top)) for s in (-1.0, 1.0)]
    ends = [box((x - 0.05, -y + 0.035, top - tube), (x + 0.05, y - 0.035, top)) for x in (rear, front)]
    count = max(2, round((front - rear) / 0.17))
    bars = [
        box((x - 0.014, -y + 0.035, top - 0.05), (x + 0.014, y - 0.035, top - 0.012))
        for x in (rear + (front - rear) * n / count for n in range(1, count))
    ]
    lamps = [
        bar((front + 0.05, s * 0.75 * y, top - 0.13), (front + 0.12, s * 0.75 * y, top - 0.14), 0.05, 12)
        for s in (-1.0, 1.0)
    ]
    stays = [
        box((front + 0.03, s * 0.75 * y - 0.015, top - 0.14), (front + 0.05, s * 0.75 * y + 0.015, top - tube))
        for s in (-1.0, 1.0)
    ]
    return [
        Piece("overhead guard posts", join(legs), DARK, "guard"),
        Piece("overhead guard", join([*rails, *ends, *bars]), TRIM, "guard"),
        Piece("front lamps", join(lamps), LAMP, "trim"),
        Piece("front lamp stays", join(stays), DARK, "trim"),
    ]
