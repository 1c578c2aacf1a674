"""What a floor's file gives that nothing uses, in sentences."""

from __future__ import annotations

from collections.abc import Iterator

from tipline.model.document import Document, dotted
from tipline.model.floor import Floor
from tipline.model.ground import Ground
from tipline.model.origins import idle
from tipline.model.quantities import Spec
from tipline.model.slab import Suspended

__all__ = ["not_used_in", "not_used_of_floor"]


def not_used_in(spec: Spec, document: Document, start: str) -> Iterator[str]:
    """Yield values that play no part because another is given; ``start`` stands before their keys."""
    for path, because in idle(spec):
        if document.find(path)[1]:
            yield f"{start}{dotted(path)} is not used: {because} is given too, and counts."


def not_used_of_floor(floor: Floor, document: Document, start: str = "") -> Iterator[str]:
    """Yield what of a floor is not used, whatever stands on it."""
    yield from not_used_in(floor, document, start)
    for index, zone in enumerate(floor.zone):
        if zone.outline is not None and zone.heading:
            yield f"{start}zone.{index}.heading is not used: the zone has an outline."
    if floor.slope == 0.0 and floor.slope_towards:
        yield f"{start}slope_towards is not used: the floor has no slope."
    for key, part in (("elsewhere", floor.elsewhere), *((f"zone.{i}", zone) for i, zone in enumerate(floor.zone))):
        at = f"{start}{key}"
        if isinstance(part, Suspended) and part.drop is not None:
            yield f"{at}.drop is not used: what breaks through a suspended floor is not followed down."
        elif isinstance(part, Ground):
            yield from _of_ground(part, at)


def _of_ground(part: Ground, at: str) -> Iterator[str]:
    """Yield stiffnesses of layers: ground is asked by its strength."""
    layers = [(f"layer.{index}", layer) for index, layer in enumerate(part.layer)]
    for name, soil in (*layers, ("platform", part.platform)):
        if soil is not None and soil.stiffness is not None:
            yield f"{at}.{name}.stiffness is not used: bare ground is asked by its strength."
