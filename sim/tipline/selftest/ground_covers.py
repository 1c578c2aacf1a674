"""Plates over pits against a published table; classes and strips of covers."""

from __future__ import annotations

from collections.abc import Callable

from tipline.mechanics.covers import (
    four_sided_patch,
    grating_moment,
    one_way_moment,
)
from tipline.selftest.check import Check, Status

__all__ = ["CHECKS"]

_SEEN: Status = "seen in the source"
_NU = 0.3
_UNIT = 1.0 / (12.0 * (1.0 - _NU**2))
_ROUGH = "the table's last digit is out by up to 4"
# Length over width, stress and deflection factors of even pressure.
_EVEN = (
    (10, "0.2874", "0.0444"),
    (12, "0.3762", "0.0616"),
    (14, "0.4530", "0.0770"),
    (16, "0.5172", "0.0906"),
    (18, "0.5688", "0.1017"),
    (20, "0.6102", "0.1110"),
    (30, "0.7134", "0.1335"),
)
_MIDDLE = ((10, "0.1267"), (12, "0.1478"), (14, "0.1621"), (16, "0.1715"), (18, "0.1770"), (20, "0.1805"))
_PATCH = ((20, 20, "1.28"), (40, 40, "0.84"), (20, 100, "0.63"), (80, 80, "0.42"))


def _even(ratio: float) -> tuple[float, float]:
    moments = four_sided_patch(ratio, 1.0, ratio, _UNIT, _NU, (1.0, ratio))
    return 6.0 * max(moments.along_x, moments.along_y), moments.deflection


def _patch(along: float, across: float, ratio: float = 1.0) -> tuple[float, float]:
    moments = four_sided_patch(1.0, 1.0, ratio, _UNIT, _NU, (along, across))
    return 6.0 * max(moments.along_x, moments.along_y), moments.deflection


def _roark(name: str, what: str, printed: str, call: Callable[[], float], tolerance: float, why: str) -> Check:
    return Check(name, what, printed, "RoarkPlates", "table 11.4, case 1", _SEEN, call, tolerance, why)


CHECKS = (
    *(
        _roark(
            f"plate-even-stress-{ratio}",
            f"Stress factor of a plate on four sides, sides 1 to {ratio / 10:g}, even pressure",
            stress,
            lambda ratio=ratio: _even(ratio / 10)[0],  # type: ignore[misc]
            4e-4,
            _ROUGH,
        )
        for ratio, stress, _ in _EVEN
    ),
    *(
        _roark(
            f"plate-even-sag-{ratio}",
            f"Deflection factor of the same plate, sides 1 to {ratio / 10:g}",
            sag,
            lambda ratio=ratio: _even(ratio / 10)[1],  # type: ignore[misc]
            4e-4,
            _ROUGH,
        )
        for ratio, _, sag in _EVEN
    ),
    *(
        _roark(
            f"plate-middle-sag-{ratio}",
            f"Deflection factor, load in the middle, sides 1 to {ratio / 10:g}",
            sag,
            lambda ratio=ratio: _patch(0.05, 0.05, ratio / 10)[1],  # type: ignore[misc]
            1e-3,
            "ours is a patch of a twentieth of the side, the table's a point",
        )
        for ratio, sag in _MIDDLE
    ),
    *(
        _roark(
            f"plate-patch-{along}-{across}",
            f"Stress factor of a square plate, patch {along / 100:g} x {across / 100:g} of its side",
            stress,
            lambda along=along, across=across: _patch(along / 100, across / 100)[0],  # type: ignore[misc]
            0.01,
            "the table is read to a unit of its last digit",
        )
        for along, across, stress in _PATCH
    ),
    Check(
        "strip-moment",
        "Greatest moment of 100 kN on 0.4 m, middle of 2 m",
        "45.000 kN m",
        "TextbookMechanics",
        "formula from memory",
        "derived here",
        lambda: one_way_moment(100e3, 2.0, 0.4),
    ),
    Check(
        "strip-moment-aside",
        "Same at 0.5 m from a support",
        "33.750 kN m",
        "TextbookMechanics",
        "formula from memory",
        "derived here",
        lambda: one_way_moment(100e3, 2.0, 0.4, 0.5),
    ),
    Check(
        "grating-bar",
        "Moment in a bar of a grating, 10 bars under 100 kN",
        "4.500 kN m",
        "TextbookMechanics",
        "formula from memory",
        "derived here",
        lambda: grating_moment(100e3, 2.0, 0.4, 0.3, 0.03),
    ),
)
