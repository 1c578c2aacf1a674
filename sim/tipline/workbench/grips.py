"""What can be dragged in the side view: grips, the parts that move with each, and ballast slabs to put on or take off.

A grip is a slider of the form at its place in the drawing; both go by the same stops. A part is taken hold of by a box
about it, which lies over the drawing unseen. Slabs are too flat in it to be hit, so they are a stack of keys over it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from tipline.geometry.counterweight import slab_centre
from tipline.kernels.layout import CARRIAGE, LOAD
from tipline.units import FOOT, System
from tipline.view.outlines import to_mm
from tipline.workbench.fields import Slide, slides_of

if TYPE_CHECKING:
    from tipline.geometry.assembly import Assembly, Part
    from tipline.scenario import Case

__all__ = ["Grip", "boxes_to_hold", "grips_of", "slabs_left_off"]

_SLABS, _WEIGHT, _REACH = "setup.ballast_slabs", "setup.counterweight_extension", "setup.jib_reach"
_HEIGHTS = ("setup.hook_height", "setup.fork_height")
_LABELS = {
    _SLABS: "Ballast slabs", _WEIGHT: "Counterweight extension", _REACH: "Jib reach",
    "setup.hook_height": "Hook height", "setup.fork_height": "Fork height",
}  # fmt: skip


_Way = Literal["x", "z", "stack", "places", "plane"]


@dataclass(frozen=True)
class Grip:
    """A value that is dragged: where its grip is in its drawing [m], and how far [m] one of its unit moves it there.

    ``along``: x, ahead, or z, up; a stack has a key for each of its stops but the first. ``stops``: where it can stand,
    in ``unit``, as the value ``now`` is. One that goes along "places" has one for each stop [m], with the text that is
    typed for it. In a plane ``now`` is ahead and ``aside`` to the left, by ``step``, between the ``ends``: least of
    both, then greatest. ``mark``: what stands on the grip.
    """

    key: str
    label: str
    x: float
    z: float
    along: _Way
    per: float
    now: float
    stops: tuple[float, ...]
    unit: str
    mark: str = ""
    texts: tuple[str, ...] = ()
    places: tuple[tuple[float, float], ...] = ()
    aside: float = 0.0
    step: float = 0.0
    ends: tuple[float, ...] = ()


def grips_of(case: Case, assembly: Assembly, right: float, system: System = "si") -> tuple[Grip, ...]:
    """Give the grips of a set-up; that of the height stands at the right, ``right`` ahead [m]."""
    slides = slides_of(case, system)
    places = {key: place for key in slides if (place := _place(key, case, assembly, right)) is not None}
    return tuple(_grip(key, slides[key], *place) for key, place in places.items())


def _grip(key: str, slide: Slide, x: float, z: float, along: _Way, per: float) -> Grip:
    unit = FOOT if slide.unit == "ft" else 1.0
    return Grip(key, _LABELS[key], x, z, along, per * unit, slide.now, slide.stops, slide.unit)


def _place(key: str, case: Case, assembly: Assembly, right: float) -> tuple[float, float, _Way, float] | None:
    machine, setup = case.machine, case.scenario.setup
    if key in _HEIGHTS:
        return right, case.height, "z", 1.0
    if key == _REACH and assembly.points.hook is not None:
        x, z = assembly.points.hook[[0, 2]].tolist()
        return x, z, "x", 1.0
    if key == _WEIGHT:
        low, high = _ends(part for part in assembly.parts if part.name == "counterweight")
        return low[0], 0.5 * (low[1] + high[1]), "x", -1.0
    if key == _SLABS and machine.ballast_slab is not None:
        x, _, z = slab_centre(machine, setup.ballast_slabs, setup.counterweight_extension)
        return x, z - 0.5 * machine.ballast_slab.size[2], "stack", 1.0
    return None


def boxes_to_hold(grips: Iterable[Grip], case: Case, assembly: Assembly) -> Iterator[str]:
    """Draw what is taken hold of, unseen: counterweight, carriage with what it holds, lifted load."""
    keys = {grip.key for grip in grips}
    up = " ".join(key for key in (*_HEIGHTS, _REACH) if key in keys)
    if up:
        for body in (CARRIAGE, LOAD):
            yield _hold(up, [part for part in assembly.parts if part.body == body])
    if _WEIGHT in keys:
        yield _hold(_WEIGHT, [part for part in assembly.parts if part.name == "counterweight"])


def slabs_left_off(grips: Iterable[Grip], case: Case) -> Iterator[str]:
    """Draw the places of the ballast slabs that are not on, dashed."""
    machine, setup = case.machine, case.scenario.setup
    grip = next((grip for grip in grips if grip.key == _SLABS), None)
    if grip is None or machine.ballast_slab is None:
        return
    long, _, high = machine.ballast_slab.size
    for number in range(setup.ballast_slabs, int(grip.stops[-1])):
        x, _, z = slab_centre(machine, number, setup.counterweight_extension)
        yield _rectangle((x - 0.5 * long, z - 0.5 * high), (x + 0.5 * long, z + 0.5 * high), 'class="off"')


def _hold(keys: str, parts: list[Part]) -> str:
    return _rectangle(*_ends(parts), f'class="hold" data-grip="{keys}"') if parts else ""


def _ends(parts: Iterable[Part]) -> tuple[tuple[float, float], tuple[float, float]]:
    """Return the lowest and the highest x, z [m] of parts."""
    points = np.vstack([part.vertices for part in parts])[:, [0, 2]]
    (x, z), (right, top) = points.min(axis=0).tolist(), points.max(axis=0).tolist()
    return (x, z), (right, top)


def _rectangle(low: tuple[float, float], high: tuple[float, float], said: str) -> str:
    size = f'width="{to_mm(high[0] - low[0])}" height="{to_mm(high[1] - low[1])}"'
    return f'<rect x="{to_mm(low[0])}" y="{to_mm(-high[1])}" {size} {said}/>'
