"""Tyres with their wheels, the drive axle's beam, the steer axle."""

from __future__ import annotations

from tipline.geometry.mast import mast_rear
from tipline.geometry.pieces import BARE_STEEL, CAST, DARK, RUBBER, TRIM, Group, Piece
from tipline.geometry.solids import Flat, Solid, bar, box, chamfered, disc, join, ring
from tipline.model.machine import Machine, Tyre

__all__ = ["drive_wheels", "steer_axle", "wheel"]

SIDES = 40
_CLEAR = 0.05
"""How far behind the mast the drive axle's beam is drawn [m] (our choice: its foot swings back as the mast bends)."""


def wheel(tyre: Tyre, x: float, sides: int = SIDES) -> list[Piece]:
    """Draw a tyre with a flat tread and its wheel, standing on the floor with the hub at ``x``."""
    hub = (x, tyre.across, tyre.diameter / 2)
    return [
        Piece(tyre.name, _rubber(tyre, hub, sides), RUBBER, "tyre"),
        Piece(f"{tyre.name} wheel", _metal(tyre, hub, sides), TRIM, "wheel"),
    ]


def _rubber(tyre: Tyre, hub: tuple[float, float, float], sides: int) -> Solid:
    outer, half = tyre.diameter / 2 - tyre.lost, tyre.width / 2
    inner = max(tyre.diameter / 2 - tyre.rubber_thickness, 0.2 * outer)
    shoulder = min(0.15 * (outer - inner), 0.1 * half)
    section: list[Flat] = [
        (inner, -half + shoulder), (outer - 2 * shoulder, -half), (outer, -half + shoulder), (outer, half - shoulder),
        (outer - 2 * shoulder, half), (inner, half - shoulder),
    ]  # fmt: skip
    return ring(hub, section, sides)


def _metal(tyre: Tyre, hub: tuple[float, float, float], sides: int) -> Solid:
    outer, half = tyre.diameter / 2, tyre.width / 2
    rim = max(outer - tyre.rubber_thickness, 0.2 * outer)
    x, y, z = hub
    side = 1.0 if y >= 0 else -1.0
    band = ring(
        hub, [(0.82 * rim, -0.9 * half), (rim, -0.9 * half), (rim, 0.9 * half), (0.82 * rim, 0.9 * half)], sides
    )
    plate = disc((x, y + side * 0.25 * half, z), 0.82 * rim, 0.3 * half, sides=sides)
    cap = disc((x, y + side * 0.58 * half, z), 0.34 * rim, 0.36 * half, sides=12)
    nuts = [
        disc((x + 0.56 * rim * u, y + side * 0.46 * half, z + 0.56 * rim * v), 0.075 * rim, 0.12 * half, sides=6)
        for u, v in ((0.0, 1.0), (0.87, 0.5), (0.87, -0.5), (0.0, -1.0), (-0.87, -0.5), (-0.87, 0.5))
    ]
    return join([band, plate, cap, *nuts])


def drive_wheels(machine: Machine) -> list[Piece]:
    """Drive tyres and the beam between them, behind the mast; their mass is part of the chassis."""
    tyres = machine.drive_axle.tyre
    pieces = [piece for tyre in tyres for piece in wheel(tyre, 0.0)]
    reach = min(abs(tyre.across) - tyre.width / 2 for tyre in tyres)
    height = tyres[0].diameter / 2
    radius = 0.3 * height
    x = min(0.0, mast_rear(machine.mast) - _CLEAR - radius)
    beam = bar((x, -reach, height), (x, reach, height), radius, sides=16)
    return [*pieces, Piece("drive axle beam", beam, CAST, "frame")]


def steer_axle(machine: Machine) -> Group:
    """Draw the steer axle with its tyres: a beam on a longitudinal pin."""
    axle, x = machine.steer_axle, -machine.wheelbase
    pieces = [piece for tyre in axle.tyre for piece in wheel(tyre, x)]
    radius = min(tyre.diameter for tyre in axle.tyre) / 2
    inner = min(abs(tyre.across) - tyre.width / 2 for tyre in axle.tyre)
    deep, wide, pin = 0.36 * radius, 0.42 * radius, axle.pivot_height
    low = min(pin, radius)
    middle = chamfered(
        (x - wide / 2, -0.8 * inner, low - deep / 2), (x + wide / 2, 0.8 * inner, low + deep / 2), 0.02, "y"
    )
    post = box((x - 0.3 * wide, -0.12 * inner, low), (x + 0.3 * wide, 0.12 * inner, pin + 0.2 * deep))
    ends = [
        bar(
            (x, side * 0.8 * inner, radius - 0.5 * radius),
            (x, side * 0.8 * inner, radius + 0.5 * radius),
            0.13 * radius,
        )
        for side in (-1.0, 1.0)
    ]
    stubs = [bar((x, side * 0.8 * inner, radius), (x, side * inner, radius), 0.16 * radius) for side in (-1.0, 1.0)]
    pieces += [
        Piece("steer axle beam", join([middle, post]), CAST, "frame"),
        Piece("steer axle kingpins", join([*ends, *stubs]), DARK, "frame"),
        Piece(
            "steer axle pin",
            bar((x - 0.8 * wide, 0.0, pin), (x + 0.8 * wide, 0.0, pin), 0.15 * radius),
            BARE_STEEL,
            "frame",
        ),
    ]
    return Group(1, axle.mass, tuple(pieces))
