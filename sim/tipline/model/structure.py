"""What the maker says that forks, carriage and mast carry, as the greatest gross load of a set-up."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tipline.model.machine import Attachment, Machine
from tipline.units import STANDARD_GRAVITY as G

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Lengths = float | NDArray[np.float64]
    Loads = NDArray[np.float64]

__all__ = ["STRUCTURE", "structural_loads"]

STRUCTURE = {
    "forks": "the stamp of the forks",
    "carriage": "the largest moment of the carriage",
    "mast": "the largest moment of the mast",
}
"""Words for what limits a load by strength, by the part whose maker states it."""
JIB_MIDDLE = 0.5
"""Where a jib's own centre lies, as a part of its reach: our choice."""


def structural_loads(machine: Machine, attachment: Attachment, centre: Lengths, aside: float = 0.0) -> dict[str, Loads]:
    """Return the greatest gross load by each part whose strength the machine file states, in the shape of ``centre``.

    centre : load centre from the fork face, or reach of the jib [m], above 0; aside : how far the load's centre lies
    beside the middle of the forks [m]. Loads [kg]; a part of which nothing is stated is left out.
    """
    from tipline.mechanics.rating import load_by_fork_stamp, load_by_moment  # loads numpy

    forks, jib = machine.forks, machine.jib
    loads: dict[str, Loads] = {}
    if attachment == "forks" and forks is not None and forks.rated_load and forks.rated_load_centre:
        share = 0.5 + abs(aside) / forks.spread
        loads["forks"] = load_by_fork_stamp(forks.rated_load, forks.rated_load_centre, centre, share)
    behind = {"carriage": 0.0, "mast": max(machine.carriage.face - machine.mast.face, 0.0)}
    for name, moment in (("carriage", machine.carriage.largest_moment), ("mast", machine.mast.largest_moment)):
        if moment is not None and attachment != "none":
            arm = behind[name] + centre
            hangs = jib.mass if attachment == "jib" and jib is not None else 0.0
            own = G * hangs * (behind[name] + JIB_MIDDLE * centre)
            loads[name] = load_by_moment(moment, arm, own)
    return loads
