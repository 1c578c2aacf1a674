"""How far a truck reaches in all that its set-up can be dragged to, so that a drawing stays in its frame meanwhile."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from tipline.errors import InputError
from tipline.geometry.assembly import Assembly, assemble
from tipline.workbench.fields import Slide, slides_of

if TYPE_CHECKING:
    from tipline.model.load import LiftedLoad
    from tipline.model.machine import Machine
    from tipline.scenario import Case
    from tipline.scenario.spec import Setup

__all__ = ["Extents", "extents_of"]


@dataclass(frozen=True)
class Extents:
    """The lowest and the highest x, y, z [m] of anything drawn, whatever the set-up's sliders stand at."""

    least: tuple[float, float, float]
    most: tuple[float, float, float]


@dataclass(frozen=True)
class _Framed:
    machine: Machine
    load: LiftedLoad | None
    rest: Setup
    extents: Extents


_KEPT: list[_Framed] = []
"""The last ones: they stay as they are while one drags."""


def extents_of(case: Case, assembly: Assembly) -> Extents:
    """Give how far the truck reaches, each slider at its far end in turn, and as it stands."""
    slides = slides_of(case)
    names = {key.removeprefix("setup."): slide for key, slide in slides.items()}
    setup = case.scenario.setup
    rest = setup.model_copy(update=dict.fromkeys(names))
    kept = _KEPT[0] if _KEPT else None
    if kept is None or (kept.machine, kept.load, kept.rest) != (case.machine, case.load, rest):
        far = [_with(case, {name: _far(slide)}) for name, slide in names.items()]
        kept = _Framed(
            case.machine, case.load, rest, _about([assembly, *(there for there in far if there is not None)])
        )
        _KEPT[:] = [kept]
    return kept.extents


def _far(slide: Slide) -> float | int:
    most = slide.stops[-1]
    return int(most) if not slide.unit else most


def _with(case: Case, values: dict[str, Any]) -> Assembly | None:
    try:
        return assemble(case.machine, case.scenario.setup.model_copy(update=values), case.load)
    except InputError:  # it cannot stand there, so it is not dragged there
        return None


def _about(assemblies: list[Assembly]) -> Extents:
    points = np.vstack([part.vertices for assembly in assemblies for part in assembly.parts])
    least, most = points.min(axis=0).tolist(), points.max(axis=0).tolist()
    return Extents(tuple(least), tuple(most))
