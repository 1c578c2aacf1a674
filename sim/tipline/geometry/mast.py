"""The mast by stages at a fork height, and the carriage that rides in it. Built upright; tilt comes later."""

from __future__ import annotations

from tipline.geometry.pieces import BARE_STEEL, CAST, DARK, SHELL, WARM, Group, Piece, mirrored
from tipline.geometry.solids import Solid, bar, box, disc, join, prism
from tipline.model.machine import Machine, Mast

__all__ = [
    "backrest_top",
    "carriage",
    "carriage_front",
    "cylinder_height",
    "fork_shank",
    "mast",
    "mast_rear",
    "mast_top",
    "stage_rise",
    "stage_widths",
]

_TIE = 0.02
_TINTS = (CAST, (0.42, 0.46, 0.50), (0.50, 0.54, 0.58), (0.56, 0.60, 0.64), (0.60, 0.64, 0.68))
"""How far a stage stands before the next [m], and the stages' colours from the outermost in (our choice)."""


def stage_rise(machine: Machine, fork_height: float) -> float:
    """How far each stage stands above the next outer one: every stage and the carriage take an equal share."""
    return fork_height / machine.mast.stages


def mast_top(machine: Machine, fork_height: float) -> float:
    """Height of the top of the innermost stage, mast upright."""
    return machine.mast.lowered_height + (machine.mast.stages - 1) * stage_rise(machine, fork_height)


def stage_widths(mast: Mast) -> list[float]:
    """Width of each stage over the backs of its channels, as they stand in each other [m]."""
    return [mast.width - 2.0 * k * _pitch(mast) for k in range(mast.stages)]


def _pitch(m: Mast) -> float:
    """Width across that one stage takes on each side."""
    return min(0.42 * m.channel_depth, 0.4 * m.width / m.stages)


def _lift_radius(m: Mast) -> float:
    return min(0.03, 0.4 * _pitch(m))


def mast_rear(m: Mast) -> float:
    """How far ahead of the drive axle the foot of the mast begins, its lift cylinders [m]."""
    return m.face - m.channel_depth - 2.0 * _lift_radius(m)


def mast(machine: Machine, fork_height: float) -> Group:
    """All stages with their cylinders and chains, body 2.

    A stated centre is that of the lowered mast; it rises as far as the centre of the solids does.
    """
    stated = machine.mast.centre
    pieces = _pieces(machine, fork_height)
    if stated is None:
        return Group(2, machine.mast.mass, tuple(pieces))
    steel = 1.0 / machine.mast.stages
    moved = sum(steel * k * stage_rise(machine, fork_height) for k in range(machine.mast.stages))
    return Group(2, machine.mast.mass, tuple(pieces), (stated[0], stated[1], stated[2] + moved))


def _pieces(machine: Machine, fork_height: float) -> list[Piece]:
    rise = stage_rise(machine, fork_height)
    pieces = [
        Piece(f"mast stage {k + 1}", _stage(machine, k, k * rise), _TINTS[k], "mast")
        for k in range(machine.mast.stages)
    ]
    return [*pieces, *_cylinders(machine, rise), *_chains(machine, fork_height)]


def _stage(machine: Machine, k: int, rise: float) -> Solid:
    """Two channels open to the middle, with ties in a plane of their own, so that stages pass each other."""
    m, pitch = machine.mast, _pitch(machine.mast)
    deep, outer = m.channel_depth, m.width / 2 - k * pitch
    inner, skin = outer - pitch + 0.004, 0.2 * pitch
    back, low, high = m.face - deep, m.foot_height + rise, m.lowered_height + rise
    channel = prism(
        [
            (back, inner), (back + skin, inner), (back + skin, outer - skin), (m.face - skin, outer - skin),
            (m.face - skin, inner), (m.face, inner), (m.face, outer), (back, outer),
        ],
        "z", low, high,
    )  # fmt: skip
    tie = 0.09 * (high - low) / 2.4 + 0.03
    step = (m.stages - 1 - k) * (tie + 0.02)
    heights = [high - 0.02 - tie - step, low + 0.02 + k * (tie + 0.02)]
    if k == 0:
        heights.append(0.5 * (low + high))
    plane = back - _TIE * (m.stages - 2 - k)
    ties = [box((plane - 0.9 * _TIE, -outer + 0.01, z), (plane, outer - 0.01, z + tie)) for z in heights]
    if plane < back:
        ties += [
            box((plane, s * (outer - 0.5 * pitch) - 0.02, z), (back, s * (outer - 0.5 * pitch) + 0.02, z + tie))
            for z in heights
            for s in (-1.0, 1.0)
        ]
    return join([channel, mirrored(channel), *ties])


def _cylinders(machine: Machine, rise: float) -> list[Piece]:
    """Lift cylinders at the backs of the outer channels, whose ties hold them, tilt cylinders from frame to stage."""
    m, pitch = machine.mast, _pitch(machine.mast)
    y, radius = m.width / 2 - 0.5 * pitch, _lift_radius(m)
    x = m.face - m.channel_depth - radius
    tube_top = m.lowered_height - 0.3
    tubes = join(bar((x, s * y, m.foot_height), (x, s * y, tube_top), radius) for s in (-1.0, 1.0))
    rods = join(bar((x, s * y, tube_top), (x, s * y, tube_top + 0.1 + rise), 0.6 * radius) for s in (-1.0, 1.0))
    high = cylinder_height(machine)
    height = high - 0.1
    grip = (m.face - 0.7 * m.channel_depth, high)
    ends = (m.face - m.channel_depth - 0.5, height - 0.04)
    tilt = join(
        solid
        for s in (-1.0, 1.0)
        for solid in (
            bar(
                (ends[0], s * (m.width / 2 + 0.03), ends[1]),
                (ends[0] + 0.4, s * (m.width / 2 + 0.03), ends[1] + 0.09),
                0.035,
            ),
            bar(
                (ends[0] + 0.4, s * (m.width / 2 + 0.03), ends[1] + 0.09),
                (grip[0], s * (m.width / 2 + 0.03), grip[1]),
                0.02,
            ),
            disc((grip[0], s * (m.width / 2 + 0.02), grip[1]), 0.04, 0.05, sides=12),
        )
    )
    return [
        Piece("lift cylinders", tubes, SHELL, "mast"),
        Piece("lift rods", rods, BARE_STEEL, "mast"),
        Piece("tilt cylinders", tilt, DARK, "mast"),
    ]


def cylinder_height(machine: Machine) -> float:
    """Height at which the tilt cylinders hold the outermost stage: as told, else as drawn (our choice)."""
    height = machine.mast.tilt_cylinder_height
    return machine.mast.tilt_axis[1] + 0.62 * (machine.chassis.deck_height + 0.25) + 0.1 if height is None else height


def _chains(machine: Machine, fork_height: float) -> list[Piece]:
    """Two chains from sheaves on the innermost stage down to the carriage."""
    m = machine.mast
    x, y = m.face - 0.35 * m.channel_depth, 0.3 * (m.width / 2 - m.stages * _pitch(machine.mast))
    top, low = mast_top(machine, fork_height) - 0.12, fork_height + 0.55 * machine.carriage.height
    strips = join(box((x + 0.055, s * y - 0.018, low), (x + 0.067, s * y + 0.018, top)) for s in (-1.0, 1.0))
    sheaves = join(disc((x, s * y, top), 0.065, 0.05, sides=16) for s in (-1.0, 1.0))
    axle = bar(
        (x, -1.0 * (m.width / 2 - m.stages * _pitch(machine.mast)), top),
        (x, m.width / 2 - m.stages * _pitch(machine.mast), top),
        0.02,
    )
    return [
        Piece("lift chains", strips, DARK, "mast"),
        Piece("chain sheaves", join([sheaves, axle]), BARE_STEEL, "mast"),
    ]


def fork_shank(machine: Machine) -> float:
    """Room kept between the carriage bars and the fork face."""
    return machine.forks.thickness if machine.forks is not None else 0.06


_BACKREST = 0.55
"""Height of the backrest above the carriage [m] (our choice)."""


def carriage_front(machine: Machine) -> float:
    """Front of the carriage's plate, behind the forks' shanks."""
    return machine.carriage.face - fork_shank(machine)


def backrest_top(machine: Machine, fork_height: float, *, backrest: bool) -> float:
    """Top of the carriage, or of the load backrest on it."""
    return fork_height + machine.carriage.height + (_BACKREST if backrest else 0.0)


def carriage(machine: Machine, fork_height: float, backrest: bool) -> Group:
    """Carriage plate with rollers, body 3; with forks it carries a load backrest."""
    c, m = machine.carriage, machine.mast
    front = carriage_front(machine)
    back = max(front - 0.08, min(m.face + 0.005, front - 0.02))
    low, high, half = fork_height + 0.02, fork_height + c.height, c.width / 2
    tall = 0.24 * (high - low)
    bars = [box((back, -half, z), (front, half, z + tall)) for z in (low, high - tall)]
    inner = m.width / 2 - m.stages * _pitch(machine.mast)
    ribs = [
        box((back, y - 0.03, low + tall), (front, y + 0.03, high - tall))
        for y in (-0.86 * half, -0.3 * half, 0.3 * half, 0.86 * half)
    ]
    arms = [
        box((m.face - 0.8 * m.channel_depth, s * (inner - 0.02) - 0.015, low), (back, s * (inner - 0.02) + 0.015, high))
        for s in (-1.0, 1.0)
    ]
    rollers = [
        disc((m.face - 0.5 * m.channel_depth, s * (inner + 0.01), z), 0.36 * m.channel_depth, 0.03, sides=14)
        for s in (-1.0, 1.0)
        for z in (low + 0.12, high - 0.12)
    ]
    pieces = [
        Piece("carriage", join([*bars, *ribs, *arms]), DARK, "carriage"),
        Piece("carriage rollers", join(rollers), BARE_STEEL, "carriage"),
    ]
    if backrest:
        pieces.append(Piece("load backrest", _backrest(back, front, half, high), WARM, "carriage"))
    return Group(3, c.mass, tuple(pieces))


def _backrest(back: float, front: float, half: float, low: float) -> Solid:
    x0, x1, tall = 0.5 * (back + front), front, _BACKREST
    count = max(4, round(2 * half / 0.2))
    posts = [-half + 0.02 + (2 * half - 0.04) * n / count for n in range(count + 1)]
    uprights = [box((x0, y - 0.012, low), (x1, y + 0.012, low + tall - 0.04)) for y in posts]
    return join([*uprights, box((x0, -half, low + tall - 0.04), (x1, half, low + tall))])
