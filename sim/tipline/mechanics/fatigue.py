"""How often a load may pass before plain concrete cracks by it: fatigue in bending, by stress over strength."""

from __future__ import annotations

import math

from tipline.mechanics._ranges import not_negative

__all__ = ["passes_to_crack"]


def passes_to_crack(ratio: float) -> float:
    """Return the passes of one load until plain concrete cracks in bending.

    Parameters
    ----------
    ratio : float
        Tension of one pass over the flexural strength [1].

    Returns
    -------
    float
        Passes [1]; infinite where the ratio is below 0.45, 0 where the first pass is expected to crack it.

    Raises
    ------
    ValueError
        If the ratio is below 0.

    Notes
    -----
    log10 N = (0.9719 - s) / 0.0828 from s = 0.55 up, N = (4.2577 / (s - 0.4325))^3.268 from 0.45 to there, without end
    below. Made for highway slabs; beams in tests scatter by a factor of ten either way. Source: [PCAFatigue] (from
    memory)
    """
    s = not_negative("ratio", ratio, "")
    if s < 0.45:
        return math.inf
    if s < 0.55:
        return math.pow(4.2577 / (s - 0.4325), 3.268)
    passes = math.pow(10.0, (0.9719 - s) / 0.0828)
    return passes if passes >= 1.0 else 0.0
