"""The sliding counterweight with its beams, and the ballast slabs stacked on it."""

from __future__ import annotations

from tipline.geometry.pieces import BARE_STEEL, CAST, DARK, SLAB, TRIM, Group, Piece
from tipline.geometry.solids import Solid, box, chamfered, join, prism
from tipline.model.machine import Machine

__all__ = ["counterweight", "slab_centre"]


def slab_centre(machine: Machine, index: int, extension: float) -> tuple[float, float, float]:
    """Centre of the ballast slab with this index, 0 for the lowest, at a counterweight extension."""
    slab = machine.ballast_slab
    if slab is None:
        msg = "the machine has no ballast slabs"
        raise ValueError(msg)
    x, y, z = slab.first_centre
    return x - extension, y, z + index * slab.size[2]


def counterweight(machine: Machine, extension: float, slabs: int) -> list[Group]:
    """Slider and slabs, both body 4, set back by ``extension``."""
    cw = machine.counterweight
    centre = (cw.centre[0] - extension, cw.centre[1], cw.centre[2])
    groups = [Group(4, cw.mass, tuple(_slider(machine, centre)), centre)]
    if machine.ballast_slab is not None:
        groups += [_slab(machine, n, extension) for n in range(slabs)]
    return groups


def _slider(machine: Machine, centre: tuple[float, float, float]) -> list[Piece]:
    cw = machine.counterweight
    (x, y, z), (a, b, c) = centre, (size / 2 for size in cw.size)
    cut = 0.18 * c
    outline = [
        (x - a + cut, z - c), (x + a, z - c), (x + a, z + c), (x - a + cut, z + c), (x - a, z + c - cut),
        (x - a, z - c + 2 * cut),
    ]  # fmt: skip
    block = prism(outline, "y", y - b, y + b)
    reach = min(cw.stroke + 0.15, 0.42 * machine.wheelbase)
    beams = [
        box((x + a, y + s * 0.45 * b - 0.06, z - 0.8 * c), (x + a + reach, y + s * 0.45 * b + 0.06, z - 0.35 * c))
        for s in (-1.0, 1.0)
    ]
    pins = [
        prism(
            [(x - a + 0.3 * cut, z + c - 0.01), (x - a + cut + 0.05, z + c - 0.01), (x - a + cut + 0.05, z + c + 0.05)],
            "y",
            v - 0.03,
            v + 0.03,
        )
        for v in (y - 0.7 * b, y + 0.7 * b)
    ]
    stripe = chamfered((x - a - 0.006, y - 0.8 * b, z - 0.2 * c), (x - a, y + 0.8 * b, z + 0.1 * c), 0.004, "y")
    return [
        Piece("counterweight", block, CAST, "counterweight"),
        Piece("counterweight beams", join(beams), BARE_STEEL, "counterweight"),
        Piece("counterweight lugs", join(pins), DARK, "counterweight"),
        Piece("counterweight stripe", stripe, TRIM, "counterweight"),
    ]


def _slab(machine: Machine, index: int, extension: float) -> Group:
    slab = machine.ballast_slab
    assert slab is not None
    centre = slab_centre(machine, index, extension)
    plate = _plate(centre, slab.size)
    return Group(4, slab.mass, (Piece(f"ballast slab {index + 1}", plate, SLAB, "ballast"),), centre)


def _plate(centre: tuple[float, float, float], size: tuple[float, float, float]) -> Solid:
    """Draw a slab with cut corners and a shallow joint below it, so that the stack can be counted."""
    (x, y, z), (a, b, c) = centre, (value / 2 for value in size)
    foot = 0.16 * c
    return join(
        [
            chamfered((x - a, y - b, z - c + foot), (x + a, y + b, z + c), 0.25 * a, "z"),
            box((x - 0.9 * a, y - 0.92 * b, z - c), (x + 0.9 * a, y + 0.92 * b, z - c + foot)),
        ]
    )
