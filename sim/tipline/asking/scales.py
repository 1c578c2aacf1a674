"""The load's centre from scale readings, as an answer: "scales 3.1 t, 2.1 t, 1.6 m, lifted 3.3 t, 0.3 m"."""

from __future__ import annotations

import re

from tipline import units
from tipline.mechanics.scales import centre_between_scales, height_by_lifting

__all__ = ["SCALES", "centre_of_answer"]

SCALES = "scales"
_FORM = re.compile(r"scales\s+([^,]+),([^,]+),([^,]+?)(?:,\s*lifted\s+([^,]+),([^,]+))?$", re.IGNORECASE)
_HOW = "scales: reading at the back, reading at the front, how far apart; lifted: reading at the back, rise in front"


def centre_of_answer(text: str) -> tuple[float, float | None]:
    """Return how far out the centre is from the scale at the back, and how high, None without a lifting.

    Raises ValueError where the answer does not say so, or the readings cannot be.
    """
    match = _FORM.match(text.strip())
    if match is None:
        msg = f"is not written as readings are ({_HOW})"
        raise ValueError(msg)
    back, front = (units.parse(match[index].strip(), "mass") for index in (1, 2))
    apart = units.parse(match[3].strip(), "length")
    out = centre_between_scales(back, front, apart)
    if match[4] is None:
        return out, None
    lifted, rise = units.parse(match[4].strip(), "mass"), units.parse(match[5].strip(), "length")
    return out, height_by_lifting(back, lifted, back + front, apart, rise, 0.0)
