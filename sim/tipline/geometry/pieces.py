"""What the builders of parts hand over: painted solids, gathered by the stated mass they share."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from tipline.geometry.solids import Solid, Spot

__all__ = [
    "BARE_STEEL", "CAST", "COVER", "DARK", "GLASS", "LAMP", "PALE", "ROPE", "RUBBER", "SHELL", "SLAB", "TRIM", "WARM",
    "Group", "Piece", "mirrored",
]  # fmt: skip

Colour = tuple[float, float, float]

SHELL: Colour = (0.43, 0.39, 0.54)
COVER: Colour = (0.55, 0.51, 0.66)
TRIM: Colour = (0.82, 0.78, 0.69)
DARK: Colour = (0.17, 0.19, 0.21)
CAST: Colour = (0.33, 0.36, 0.40)
SLAB: Colour = (0.60, 0.57, 0.53)
BARE_STEEL: Colour = (0.63, 0.66, 0.69)
RUBBER: Colour = (0.11, 0.11, 0.12)
WARM: Colour = (0.70, 0.44, 0.36)
PALE: Colour = (0.80, 0.83, 0.81)
GLASS: Colour = (0.45, 0.58, 0.64)
LAMP: Colour = (0.95, 0.93, 0.85)
ROPE: Colour = (0.27, 0.25, 0.22)
"""Colours of parts as red, green and blue from 0 to 1 (our choice)."""


class Piece(NamedTuple):
    """One painted solid in the truck frame; ``kind`` says what sort of thing it is."""

    name: str
    solid: Solid
    colour: Colour
    kind: str


@dataclass(frozen=True)
class Group:
    """Pieces of one body that share a stated mass [kg] by volume; ``centre`` overrides that of the solids."""

    body: int
    mass: float
    pieces: tuple[Piece, ...]
    centre: Spot | None = None


def mirrored(solid: Solid) -> Solid:
    """Copy the solid to the other side of the plane y = 0."""
    return Solid(solid.vertices * (1.0, -1.0, 1.0), solid.faces[:, ::-1])
