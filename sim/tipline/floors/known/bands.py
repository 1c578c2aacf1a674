"""How far a value may lie from what was told, by how it is known.

Ratios (end over what was told: first the pessimistic end, then the optimistic one) in four steps of knowledge:
measured or cored here, from a drawing or a plate, told (demo files count as told), assumed. All of them are our own
choice, "common practice, no source", but for these, which rest on what was read second hand:

- slab thickness from a drawing, 20 % too little: a contractors' survey found standard deviations of 12 to 23 mm;
- concrete: best estimate of the mean = specified cylinder strength + 8 MPa (EN 1992-1-1, table 3.1; from memory);
- subgrade reaction, half to double: scatter of the relations with soil and bearing ratio;
- timber: likely strength = 1.4 x the 5 % value of its grade, the ends about the 5 % value and the mean of the grades
  above (mean over 5 % value 1.5 at a coefficient of variation of a quarter; from memory); modulus down to the 5 % value
  of softwood, 0.67 of the mean (EN 338; from memory), lower where wet or not known;
- a joint passes on anything from nothing to nearly all: measured at roads, about a tenth of the sites under one half.

A core or a measurement is one spot of a floor, so even that keeps a spread.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from tipline import units
from tipline.units import System

__all__ = ["OFFSETS", "SHARES", "Band", "Known", "LayerBands", "ZoneBands", "step_of", "widened"]

_STEP = {"measured": 0, "cored": 0, "drawing": 1, "plate": 1, "told": 2, "demo": 2, "assumed": 3}
_TOLD = 2
Ends = tuple[tuple[float, float], tuple[float, float], tuple[float, float], tuple[float, float]]

SHARES: dict[str, Ends] = {
    "thickness": ((0.92, 1.08), (0.80, 1.10), (0.70, 1.20), (0.60, 1.30)),
    "layer_thickness": ((0.90, 1.05), (0.80, 1.10), (0.70, 1.20), (0.60, 1.30)),
    "compressive_strength": ((0.85, 1.15), (0.90, 1.20), (0.75, 1.30), (0.60, 1.40)),
    "steel_area": ((0.90, 1.00), (0.80, 1.00), (0.50, 1.20), (0.30, 1.30)),
    "steel_depth": ((0.90, 1.10), (0.70, 1.15), (0.60, 1.20), (0.50, 1.25)),
    "steel_yield": ((0.95, 1.10), (0.95, 1.10), (0.85, 1.10), (0.70, 1.15)),
    "fibre_residual": ((0.80, 1.20), (0.70, 1.30), (0.50, 1.40), (0.40, 1.50)),
    "subgrade_reaction": ((0.70, 1.40), (0.62, 1.60), (0.50, 2.00), (0.40, 2.50)),
    "bearing_ratio": ((0.60, 1.70), (0.50, 2.00), (0.40, 2.50), (0.33, 3.00)),
    "soil_strength": ((0.80, 1.20), (0.70, 1.30), (0.60, 1.50), (0.50, 1.70)),
    "friction_angle": ((0.94, 1.06), (0.90, 1.10), (0.86, 1.12), (0.82, 1.15)),
    "unit_weight": ((0.95, 1.05), (0.92, 1.08), (0.90, 1.10), (0.88, 1.12)),
    "stiffness": ((0.70, 1.40), (0.50, 2.00), (0.40, 2.50), (0.30, 3.00)),
    "cavity": ((1.15, 0.90), (1.30, 0.80), (1.50, 0.70), (1.80, 0.60)),
    "plate_thickness": ((0.95, 1.00), (0.90, 1.00), (0.80, 1.05), (0.70, 1.10)),
    "span": ((1.02, 0.98), (1.05, 0.95), (1.15, 0.90), (1.30, 0.85)),
    "bearing": ((0.80, 1.10), (0.70, 1.10), (0.50, 1.20), (0.40, 1.30)),
    "timber_modulus": ((0.80, 1.15), (0.70, 1.20), (0.60, 1.25), (0.50, 1.30)),
    "timber_strength": ((0.80, 1.20), (0.71, 1.30), (0.65, 1.35), (0.55, 1.40)),
}
"""Ends over what was told, by step: our choice but for those that the head of this file says more of."""

OFFSETS: dict[str, Ends] = {
    "edge_distance": ((0.05, -0.05), (0.30, -0.30), (1.00, -1.00), (1.50, -1.50)),
    "joint_transfer": ((-0.10, 0.10), (-0.20, 0.15), (-0.30, 0.20), (-0.40, 0.25)),
    "temperature": ((3.0, -3.0), (5.0, -5.0), (8.0, -8.0), (12.0, -12.0)),
    "water_table": ((-0.3, 0.3), (-0.7, 0.5), (-1.0, 0.7), (-1.5, 1.0)),
}
"""Ends that lie a fixed amount from what was told, our choice: [m] nearer than drawn, [1], [K], [m] over the year."""

_WIDER = (0.6, 1.0, 1.4, 1.8)
"""Power on the ends of a band that stands for a word, by how the word is known (our choice, as the steps above)."""


@dataclass(frozen=True)
class Band:
    """One input between an optimistic and a pessimistic end, in SI; ``how`` it is known, "not known" when filled in.

    Raises ValueError when the likely value does not lie between the ends.
    """

    likely: float
    pessimistic: float
    optimistic: float
    how: str
    note: str = ""
    dimension: str = "length"

    def __post_init__(self) -> None:
        low, high = self.low, self.high
        if not low <= self.likely <= high:
            msg = f"likely {self.likely:.6g} lies outside {low:.6g} to {high:.6g}"
            raise ValueError(msg)

    @property
    def low(self) -> float:
        """The lower end."""
        return min(self.pessimistic, self.optimistic)

    @property
    def high(self) -> float:
        """The upper end."""
        return max(self.pessimistic, self.optimistic)

    def text(self, system: System = "si") -> str:
        """Return the band in words."""
        show = [units.show(value, self.dimension, system) for value in (self.likely, self.pessimistic, self.optimistic)]
        if self.low == self.high:
            return show[0]
        return f"{show[0]} likely, {show[1]} pessimistic, {show[2]} optimistic"


@dataclass(frozen=True)
class LayerBands:
    """One layer of ground; ``undrained`` says by which strength it is asked. ``bands``: by name, see `soil_bands`."""

    name: str
    undrained: bool
    bands: Mapping[str, Band]

    def named(self, start: str) -> dict[str, Band]:
        """Return the bands with something in front of each name."""
        return {f"{start}{name}": band for name, band in self.bands.items()}


@dataclass(frozen=True)
class ZoneBands:
    """What is known of one part of a floor, as bands.

    Attributes
    ----------
    name, kind : of the part.
    refused : why this part gets no strength from us, "" where it does.
    bands : by input name, SI.
    joints, cavities, cavity_depths : for each joint and cavity told, in the order of the file: part of the deflection
        passed on [1], radius of the circle of the same area [m], depth [m].
    layers, platform : of ground.
    joint_anywhere : the list of joints is not known to be complete, so a joint may lie right at a tyre.
    assumed : in plain words, each value that was filled in.
    kept : (draws,) flags, whether a draw counts, None where all do.
    evidence : in words, what it has carried (see `evidence`).
    """

    name: str
    kind: str
    refused: str = ""
    bands: Mapping[str, Band] = field(default_factory=dict)
    joints: tuple[Band, ...] = ()
    cavities: tuple[Band, ...] = ()
    cavity_depths: tuple[Band, ...] = ()
    layers: tuple[LayerBands, ...] = ()
    platform: LayerBands | None = None
    joint_anywhere: bool = False
    assumed: tuple[str, ...] = ()
    kept: NDArray[np.bool_] | None = None
    evidence: tuple[str, ...] = ()

    def __getitem__(self, name: str) -> Band:
        """Return the band of an input."""
        return self.bands[name]


def step_of(origin: str) -> int:
    """Return how far from known an origin is: 0 measured here, 1 drawn, 2 told, 3 assumed."""
    return _STEP.get(origin, _TOLD)


def widened(likely: float, pessimistic: float, optimistic: float, origin: str) -> tuple[float, float, float]:
    """Return a band that stands for a word, its ends further off the less sure the word is; values above 0."""
    power = _WIDER[step_of(origin)]
    return likely, likely * (pessimistic / likely) ** power, likely * (optimistic / likely) ** power


@dataclass
class Known:
    """The values of one part of a floor with their origins; collects what had to be filled in."""

    name: str
    key: str
    origins: Mapping[str, str]
    default: str
    assumed: list[str] = field(default_factory=list)

    def origin(self, field_name: str) -> str:
        """Return how a field of this part is known."""
        return self.origins.get(f"{self.key}.{field_name}", self.default)

    def told(self, value: float, kind: str, field_name: str, dimension: str) -> Band:
        """Return the band about a value that was told."""
        origin = self.origin(field_name)
        worse, better = SHARES[kind][step_of(origin)]
        return Band(value, value * worse, value * better, origin, "", dimension)

    def filled(
        self, what: str, ends: tuple[float, float, float], note: str, dimension: str, how: str = "not known"
    ) -> Band:
        """Return a band (likely, pessimistic, optimistic) that stands for a value nobody gave, and note it."""
        band = Band(*ends, how, note, dimension)
        self.assumed.append(f"{what} of {self.name}: {note}: {band.text()}, assumed")
        return band
