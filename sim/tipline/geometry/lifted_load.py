"""The lifted load drawn as a machine tool that fills the stated size, with its rigging."""

from __future__ import annotations

from tipline.geometry.pieces import BARE_STEEL, DARK, GLASS, PALE, ROPE, SHELL, TRIM, WARM, Group, Piece
from tipline.geometry.solids import Flat, Solid, Spot, bar, box, chamfered, disc, join, prism

__all__ = ["RIGGING_HEIGHT", "lifted_load", "rope"]

RIGGING_HEIGHT = 0.08
"""Height of the spreader bar that is drawn for the rigging [m] (our choice)."""


def lifted_load(size: tuple[float, float, float]) -> tuple[Group, Group]:
    """Draw a load with its underside's middle at the origin, and the rigging on its top; both body 5, of unit mass."""
    return Group(5, 1.0, tuple(_machine_tool(*size))), _rigging(size)


def rope(hook: Spot, load_top: Spot) -> Group:
    """Draw the rope from the hook to the load's top; it has no mass."""
    return Group(5, 0.0, (Piece("rope", bar(hook, load_top, 0.018, 8), ROPE, "rope"),))


def _rigging(size: tuple[float, float, float]) -> Group:
    """Draw a lifting beam across the load's top with two slings from each end down to the bed."""
    length, width, z = size
    half = 0.5 * width + 0.05
    spar = chamfered((-0.05, -half, z), (0.05, half, z + RIGGING_HEIGHT), 0.015, "y")
    slings = [
        bar((0.0, s * (half - 0.03), z), (t * 0.2 * length, s * (half - 0.03), 0.2 * z), 0.012, 6)
        for s in (-1.0, 1.0)
        for t in (-1.0, 1.0)
    ]
    return Group(5, 1.0, (Piece("rigging", join([spar, *slings]), DARK, "rigging"),))


def _machine_tool(length: float, width: float, height: float) -> list[Piece]:
    """Bed, column, head, table and cabinet inside length x width x height, from the middle of the underside.

    The column stands at the end nearest the truck.
    """

    def at(u: float, v: float, w: float) -> Spot:
        return (u * length, v * width, w * height)

    cut = 0.03 * min(length, width, height)
    bed: list[Flat] = [
        (-0.5 * length, 0.05 * height), (0.5 * length, 0.05 * height), (0.5 * length, 0.2 * height),
        (0.42 * length, 0.27 * height), (-0.5 * length, 0.27 * height),
    ]  # fmt: skip
    column: list[Flat] = [
        (-0.5 * length, 0.27 * height), (-0.1 * length, 0.27 * height), (-0.18 * length, 0.5 * height),
        (-0.18 * length, height), (-0.44 * length, height), (-0.5 * length, 0.93 * height),
    ]  # fmt: skip
    skids = join(box(at(-0.5, v - 0.09, 0.0), at(0.5, v + 0.09, 0.05)) for v in (-0.41, 0.41))
    return [
        Piece("load skids", skids, DARK, "load"),
        Piece("load bed", prism(bed, "y", -0.5 * width, 0.5 * width), PALE, "load"),
        Piece("load column", prism(column, "y", -0.27 * width, 0.27 * width), PALE, "load"),
        Piece("load head", chamfered(at(-0.18, -0.21, 0.62), at(0.28, 0.21, 0.92), 2 * cut, "y"), SHELL, "load"),
        Piece("load spindle", _spindle(length, width, height), BARE_STEEL, "load"),
        Piece("load table", _table(length, width, height), BARE_STEEL, "load"),
        Piece("load cabinet", chamfered(at(-0.46, 0.29, 0.27), at(-0.06, 0.49, 0.86), cut, "z"), TRIM, "load"),
        Piece("load cabinet door", box(at(-0.40, 0.49, 0.36), at(-0.12, 0.5, 0.80)), GLASS, "load"),
        Piece("load tank", chamfered(at(-0.42, -0.5, 0.27), at(-0.12, -0.3, 0.52), cut, "z"), WARM, "load"),
    ]


def _spindle(length: float, width: float, height: float) -> Solid:
    x, radius = 0.13 * length, 0.07 * min(length, width)
    return join(
        [
            disc((x, 0.0, 0.57 * height), radius, 0.1 * height, "z", 16),
            disc((x, 0.0, 0.5 * height), 0.45 * radius, 0.04 * height, "z", 12),
        ]
    )


def _table(length: float, width: float, height: float) -> Solid:
    low, top = 0.27 * height, 0.38 * height
    saddle = box((-0.02 * length, -0.3 * width, low), (0.3 * length, 0.3 * width, 0.5 * (low + top)))
    plate = box((-0.06 * length, -0.46 * width, 0.5 * (low + top)), (0.34 * length, 0.46 * width, top - 0.02 * height))
    strips = [
        box((-0.06 * length, v * width, top - 0.02 * height), (0.34 * length, (v + 0.1) * width, top))
        for v in (-0.46, -0.32, -0.18, -0.04, 0.1, 0.24, 0.36)
    ]
    return join([saddle, plate, *strips])
