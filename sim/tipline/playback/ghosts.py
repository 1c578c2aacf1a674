"""Further runs of a spread as faint outlines beside the run shown: where truck and load are in each, and when."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from tipline.geometry import BODIES, assemble
from tipline.geometry.posed import posed
from tipline.playback.glb import Array, quaternions, steady

if TYPE_CHECKING:
    from tipline.results import Run
    from tipline.scenario import Case

__all__ = ["Ghosts", "SpreadRun", "ghosts"]

_APART = 0.08
"""Time between two places of an outline [s] (our choice: a fall takes a second or two, and a page stays about 1 MB)."""
_OUTLINES = (("chassis", ("chassis", "counterweight")), ("mast", ("mast",)), ("load", ("load",)))
"""What is outlined: the body that it moves with, and those that its box is about."""
_TURN = 32767.0


@dataclass(frozen=True)
class SpreadRun:
    """One run of a spread, recorded; whether its truck stayed up."""

    run: Run
    stayed_up: bool


@dataclass(frozen=True)
class Ghosts:
    """Outlines of further runs: facts (plain JSON values), and places (runs, times, bodies, 7) as whole numbers.

    A place is a position in the facts' ``unit`` [m] and a quaternion x, y, z, w in parts of 32767.
    """

    facts: dict[str, Any]
    places: NDArray[np.int16] = field(repr=False)


def ghosts(case: Case, further: Sequence[SpreadRun], wanted: int) -> Ghosts:
    """Gather what a page draws of the runs of a spread, of which so many were wanted."""
    assembly = assemble(case.machine, case.scenario.setup, case.load)
    boxes = []
    for carrier, names in _OUTLINES:
        bodies = [BODIES.index(name) for name in names]
        parts = [part.vertices for part in assembly.parts if part.body in bodies and part.kind != "rope"]
        if parts:
            points = np.concatenate(parts)
            boxes.append((BODIES.index(carrier), points.min(axis=0), points.max(axis=0)))
    carriers = [body for body, *_ in boxes]
    end = max((float(each.run.time[-1]) for each in further), default=0.0)
    times = np.arange(0.0, end + _APART, _APART)
    moved = [_moved(each.run, carriers, times) for each in further]
    shape = (len(further), len(times), len(carriers), 7)
    whole = np.stack(moved) if moved else np.zeros(shape)
    unit = max(float(np.abs(whole[..., :3]).max(initial=0.0)), 1.0) / _TURN
    places = np.rint(np.concatenate([whole[..., :3] / unit, whole[..., 3:] * _TURN], axis=-1)).astype("<i2")
    facts = {
        "apart": _APART,
        "times": len(times),
        "unit": unit,
        "boxes": [[low.round(3).tolist(), high.round(3).tolist()] for _, low, high in boxes],
        "up": [each.stayed_up for each in further],
        "said": _said(further, wanted),
    }
    return Ghosts(facts, places)


def _moved(run: Run, carriers: Sequence[int], times: Array) -> Array:
    """Give positions and quaternions (times, carriers, 7) of a run; after its end it stays where it was."""
    index = np.clip(np.searchsorted(run.time, times), 0, len(run.time) - 1)
    matrices = posed(run.poses[index], np.array(run.meta["centres"]))[:, carriers]
    turns = np.stack([steady(quaternions(matrices[:, body, :3, :3])) for body in range(len(carriers))], axis=1)
    return np.concatenate([matrices[..., :3, 3], turns], axis=-1)


def _said(further: Sequence[SpreadRun], wanted: int) -> str:
    """Say what the outlines are, and in how many runs the truck stayed up."""
    count, up = len(further), sum(each.stayed_up for each in further)
    lost = f" {wanted - count} more had no result." if wanted > count else ""
    ended = f"The truck stayed up in {up} of {count} (full lines; dashed where it did not)"
    return f"Outlines: further runs within what is not known. {ended}.{lost}"
