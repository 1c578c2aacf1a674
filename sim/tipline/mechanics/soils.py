"""Soil by the words people use: bands of what the formulas need, from likely to pessimistic.

Every number is from memory and common tables of the trade, wide on purpose: a likely and a pessimistic value, in each
case the one that carries less. Cohesion of sand and gravel is interlock and suction: of rolled bases a low best
estimate (crushed stone in triaxial tests: 20 to 60 kPa beside 45 to 55 degrees, from memory; of two crushed limestones
one had none [TinocoHandyHoover1966]), none where soaked. A test on site stands over all of it. Peat, loose fill and
anything wet and organic is listed so that it can be answered, not because it carries.
"""

from __future__ import annotations

import difflib
import math
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal, NamedTuple

__all__ = ["SOILS", "SoilClass", "SoilValues", "soil_class"]

STATUS = "from memory"
_KPA, _MPA, _KN, _MN = 1e3, 1e6, 1e3, 1e6


class SoilValues(NamedTuple):
    """A likely and a pessimistic value of one quantity, in its SI unit."""

    likely: float
    pessimistic: float


@dataclass(frozen=True)
class SoilClass:
    """What a word stands for, each as a span.

    undrained_strength [Pa], None where water leaves faster than loads come; friction [rad] and cohesion [Pa], drained;
    unit_weight [N/m3]; reaction k of the 0.762 m plate [N/m3]; modulus [Pa]; cbr as a share [1].
    """

    name: str
    kind: Literal["clay", "sand"]
    undrained_strength: SoilValues | None
    friction: SoilValues
    cohesion: SoilValues
    unit_weight: SoilValues
    reaction: SoilValues
    modulus: SoilValues
    cbr: SoilValues
    status: str = STATUS


def _row(
    name: str,
    kind: Literal["clay", "sand"],
    cu: tuple[float, float] | None,
    phi: tuple[float, float],
    gamma: tuple[float, float],
    k: tuple[float, float],
    modulus: tuple[float, float],
    cbr: tuple[float, float],
    cohesion: tuple[float, float] = (0.0, 0.0),
) -> SoilClass:
    """Make a class from kPa, degrees, kN/m3, MN/m3, MPa and per cent."""
    return SoilClass(
        name,
        kind,
        None if cu is None else SoilValues(cu[0] * _KPA, cu[1] * _KPA),
        SoilValues(math.radians(phi[0]), math.radians(phi[1])),
        SoilValues(cohesion[0] * _KPA, cohesion[1] * _KPA),
        SoilValues(gamma[0] * _KN, gamma[1] * _KN),
        SoilValues(k[0] * _MN, k[1] * _MN),
        SoilValues(modulus[0] * _MPA, modulus[1] * _MPA),
        SoilValues(0.01 * cbr[0], 0.01 * cbr[1]),
    )


_CLASSES = (
    _row("peat", "clay", (10, 3), (20, 10), (11, 10), (4, 1), (0.8, 0.2), (0.5, 0.2)),
    _row("soft clay", "clay", (30, 20), (22, 18), (17, 16), (15, 10), (8, 4), (1.5, 1)),
    _row("firm clay", "clay", (60, 40), (24, 20), (18, 17), (30, 20), (20, 10), (3, 2)),
    _row("stiff clay", "clay", (110, 75), (25, 21), (19, 18), (50, 35), (45, 25), (6, 4), (5, 0)),
    _row("hard clay", "clay", (200, 150), (27, 23), (20, 19), (80, 55), (90, 50), (10, 7), (10, 0)),
    _row("soft silt", "clay", (25, 12), (27, 24), (17, 16), (12, 7), (6, 3), (1.5, 0.7)),
    _row("firm silt", "clay", (50, 30), (29, 26), (18, 17), (28, 18), (15, 8), (3, 2)),
    _row("loose sand", "sand", None, (30, 27), (17, 16), (25, 12), (15, 7), (8, 4), (1, 0)),
    _row("medium sand", "sand", None, (34, 31), (18, 17), (50, 30), (35, 18), (12, 8), (1, 0)),
    _row("dense sand", "sand", None, (38, 35), (19, 18), (85, 55), (65, 40), (20, 12), (2, 0)),
    _row("silty sand", "sand", None, (31, 28), (18, 17), (45, 28), (30, 15), (8, 4), (3, 0)),
    _row("loose gravel", "sand", None, (34, 31), (18, 17), (50, 30), (40, 20), (15, 8), (1, 0)),
    _row("compacted gravel", "sand", None, (40, 36), (20, 19), (90, 60), (120, 70), (40, 15), (10, 0)),
    _row("crushed rock", "sand", None, (43, 38), (21, 20), (140, 90), (250, 130), (80, 40), (15, 0)),
    _row("compacted fill", "sand", None, (35, 30), (19, 17), (75, 40), (80, 30), (20, 8), (5, 0)),
    _row("loose fill", "sand", None, (28, 22), (16, 15), (15, 5), (8, 2), (3, 1), (2, 0)),
)
SOILS = MappingProxyType({row.name: row for row in _CLASSES})
_ALSO = {
    "soft to firm clay": "soft clay",
    "firm to stiff clay": "firm clay",
    "very stiff clay": "hard clay",
    "clay": "soft clay",
    "silt": "soft silt",
    "sand": "loose sand",
    "gravel": "loose gravel",
    "fill": "loose fill",
    "made ground": "loose fill",
    "crushed stone": "crushed rock",
    "crushed rock base": "crushed rock",
    "type 1": "crushed rock",
    "hardcore": "compacted fill",
    "topsoil": "peat",
}


def soil_class(word: str) -> SoilClass:
    """Bands of a soil by the word people use for it.

    Parameters
    ----------
    word : str
        The word, such as "firm clay" [1]; a bare "clay", "sand" or "fill" is taken as the weakest of its kind.

    Returns
    -------
    SoilClass
        Likely and pessimistic values [Pa, rad, N/m3, 1], all from memory.

    Raises
    ------
    ValueError
        If the word is not known; the nearest one is named.

    Notes
    -----
    From memory, wide; calibrate on site. Source: [SoilPractice]
    """
    plain = " ".join(word.lower().replace("-", " ").split())
    plain = _ALSO.get(plain, plain)
    if plain in SOILS:
        return SOILS[plain]
    near = difflib.get_close_matches(plain, [*SOILS, *_ALSO], 1)
    hint = f"; did you mean {near[0]!r}?" if near else ""
    msg = f"soil = {word!r}: must be one of {', '.join(SOILS)}{hint}"
    raise ValueError(msg)
