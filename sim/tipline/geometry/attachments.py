"""What the carriage carries: forks, or a jib box with its hook block. Built upright; tilt comes later."""

from __future__ import annotations

import math

from tipline.geometry.mast import fork_shank
from tipline.geometry.pieces import BARE_STEEL, CAST, COVER, DARK, TRIM, WARM, Group, Piece
from tipline.geometry.solids import Flat, Solid, bar, beam, box, chamfered, disc, join, prism
from tipline.model.machine import Jib, Machine

__all__ = ["block_drop", "forks", "jib"]

_FOOT = 0.02
"""How far above the forks' tops the posts of a jib begin [m] (our choice)."""


def forks(machine: Machine, fork_height: float) -> Group | None:
    """Both forks, their tops at ``fork_height``, body 3."""
    f = machine.forks
    if f is None:
        return None
    face, t, top = machine.carriage.face, f.thickness, fork_height
    outline: list[Flat] = [
        (face - t, top - 0.55 * t), (face - 0.45 * t, top - t), (face + 0.5 * f.length, top - t),
        (face + f.length, top - 0.28 * t), (face + f.length, top), (face, top),
        (face, top + machine.carriage.height - 0.03), (face - t, top + machine.carriage.height - 0.03),
    ]  # fmt: skip
    pieces = [
        Piece(f"fork {side}", prism(outline, "y", y - f.width / 2, y + f.width / 2), CAST, "forks")
        for side, y in (("left", f.spread / 2), ("right", -f.spread / 2))
    ]
    return Group(3, f.mass, tuple(pieces))


def block_drop(jib: Jib) -> float:
    """From the boom's middle line down to the hook datum."""
    return 1.7 * jib.section + 0.12


def jib(machine: Machine, fork_height: float, reach: float, rise: float) -> Group | None:
    """Jib box on two hangers with its hook block; the hook datum ``rise`` above the fork height, body 3."""
    j = machine.jib
    if j is None:
        return None
    face, hook = machine.carriage.face, fork_height + rise
    boom = hook + block_drop(j)
    outer = max(0.85 * min(j.reach_pins), 0.3)
    pieces = [
        Piece("jib hangers", _hangers(machine, j, fork_height, boom), DARK, "jib"),
        Piece("jib stays", _stays(machine, j, fork_height, boom, outer), DARK, "jib"),
        Piece("jib box", _boom(face - 0.04, face + outer, boom, j.section), COVER, "jib"),
        Piece(
            "jib inner box",
            _boom(face + 0.3 * outer, face + reach + 0.55 * j.section, boom, 0.76 * j.section),
            TRIM,
            "jib",
        ),
        Piece("jib pins", _pins(j, face, outer, boom), BARE_STEEL, "jib"),
        *_block(face + reach, hook, boom, j.section),
    ]
    return Group(3, j.mass, tuple(pieces))


def _boom(start: float, end: float, height: float, section: float) -> Solid:
    half = section / 2
    return chamfered((start, -0.8 * half, height - half), (end, 0.8 * half, height + half), 0.12 * section, "x")


def _beside(j: Jib) -> float:
    """How far the posts and stays of a jib stand beside its middle [m]."""
    return 0.4 * j.section + 0.03


def _hangers(machine: Machine, j: Jib, fork_height: float, boom: float) -> Solid:
    """Two posts on the carriage up to the boom."""
    face, shank, y = machine.carriage.face, fork_shank(machine), _beside(j)
    low, high = fork_height + _FOOT, max(boom + 0.5 * j.section, fork_height + machine.carriage.height)
    posts = [box((face - shank, s * y - 0.03, low), (face, s * y + 0.03, high)) for s in (-1.0, 1.0)]
    plate = [
        box((face - shank, -2.2 * y, z), (face - 0.3 * shank, 2.2 * y, z + 0.14))
        for z in (low + 0.04, low + machine.carriage.height - 0.2)
    ]
    return join([*posts, *plate])


def _stays(machine: Machine, j: Jib, fork_height: float, boom: float, outer: float) -> Solid:
    """Two stays from the feet of the posts to under the boom."""
    face, y = machine.carriage.face, _beside(j)
    foot, end = (face - 0.02, fork_height + _FOOT + 0.12), (face + 0.7 * outer, boom - 0.3 * j.section)
    return join(beam((foot[0], s * y, foot[1]), (end[0], s * y, end[1]), 0.035, 0.09) for s in (-1.0, 1.0))


def _pins(j: Jib, face: float, outer: float, boom: float) -> Solid:
    """One pin through the outer box, and a mark on the inner box for every reach."""
    half = 0.4 * j.section
    pins = [
        bar((face + 0.82 * outer, -half - 0.05, boom), (face + 0.82 * outer, half + 0.05, boom), 0.09 * j.section, 12)
    ]
    pins += [
        bar(
            (face + s * 0.12 * outer + 0.06, -half - 0.03, boom + 0.2 * j.section),
            (face + s * 0.12 * outer + 0.06, half + 0.03, boom + 0.2 * j.section),
            0.05 * j.section,
            10,
        )
        for s in (0.0, 1.0)
    ]
    return join(pins)


def _block(x: float, hook: float, boom: float, section: float) -> list[Piece]:
    """Sheave block hung from the boom's tip and a hook whose bowl is at the hook datum."""
    top, r = boom - 0.38 * section, 0.3 * section
    sheave_z = hook + 0.85 * section + 0.06
    cheeks = [
        chamfered(
            (x - 0.8 * r, y - 0.012, sheave_z - 1.1 * r), (x + 0.8 * r, y + 0.012, sheave_z + 1.1 * r), 0.35 * r, "y"
        )
        for y in (-0.22 * section, 0.22 * section)
    ]
    rope = [bar((x + s * 0.55 * r, 0.0, sheave_z), (x + s * 0.55 * r, 0.0, top), 0.012, 6) for s in (-1.0, 1.0)]
    sheave = disc((x, 0.0, sheave_z), 0.8 * r, 0.3 * section, sides=16)
    shank = bar((x, 0.0, hook + 0.48 * section), (x, 0.0, sheave_z - 0.9 * r), 0.07 * section + 0.008, 10)
    return [
        Piece("hook block", join(cheeks), WARM, "hook"),
        Piece("hook block sheave", sheave, CAST, "hook"),
        Piece("hoist rope", join(rope), DARK, "hook"),
        Piece("hook", join([shank, _hook(x, hook, section)]), BARE_STEEL, "hook"),
    ]


def _hook(x: float, datum: float, section: float) -> Solid:
    """Draw a flat hook: a band around the bowl, open in front, thickest below; the bowl's inside is at the datum."""
    inside, thick = 0.2 * section, 0.13 * section
    middle, steps = datum + inside, 15
    start, end = math.radians(90), math.radians(390)
    turn = [start + (end - start) * n / steps for n in range(steps + 1)]
    grow = [0.75 + 0.5 * max(0.0, -math.sin(a)) for a in turn]
    grow[-1] = 0.35
    inner = [(x + inside * math.cos(a), middle + inside * math.sin(a)) for a in turn]
    outer = [
        (x + (inside + thick * g) * math.cos(a), middle + (inside + thick * g) * math.sin(a))
        for a, g in zip(turn, grow, strict=True)
    ]
    band = prism([*inner, *outer[::-1]], "y", -0.09 * section, 0.09 * section)
    neck = bar((x, 0.0, middle + inside), (x, 0.0, datum + 0.5 * section), 0.08 * section, 10)
    return join([band, neck])
