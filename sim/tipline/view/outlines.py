"""Parts of a truck as outlines seen from a side, as SVG path data in metres: what small drawings are painted with."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from tipline.geometry.assembly import Part

__all__ = ["SIDE", "outline_of", "painted", "to_mm"]

Array = NDArray[np.float64]
SIDE = np.array([0.0, -1.0, 0.0])
"""From where the eye looks at the truck's right side."""


def outline_of(part: Part, towards: Array, axes: tuple[int, int]) -> str:
    """Give the outline of a part as SVG path data [m]: the edges of the faces that look towards (3,) the eye [1].

    axes : which two of x, y, z go to the right and up
    """
    return _outline(part.vertices.tobytes(), part.faces.tobytes(), tuple(towards.tolist()), axes)


@lru_cache(maxsize=1024)
def _outline(vertices: bytes, faces: bytes, towards: tuple[float, ...], axes: tuple[int, int]) -> str:
    """Give the outline; of most parts it is the same from change to change of a set-up."""
    points = np.frombuffer(vertices).reshape(-1, 3)
    triangles = np.frombuffer(faces, np.int64).reshape(-1, 3)
    corners = points[triangles]
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    size = np.linalg.norm(normal, axis=1)
    seen = triangles[normal @ np.array(towards) > 1e-3 * np.maximum(size, 1e-12)]
    edges = {(int(face[i]), int(face[(i + 1) % 3])) for face in seen for i in range(3)}
    following: dict[int, list[int]] = {}
    for start, end in sorted(edge for edge in edges if edge[::-1] not in edges):
        following.setdefault(start, []).append(end)
    flat = points[:, list(axes)]
    loops = []
    while following:
        first = point = next(iter(following))
        loop = [point]
        while point in following:
            ends = following[point]
            point, ends[:] = ends[0], ends[1:]
            if not ends:
                del following[loop[-1]]
            if point == first:
                break
            loop.append(point)
        loops.append("M" + "L".join(f"{to_mm(flat[p][0])} {to_mm(-flat[p][1])}" for p in loop) + "Z")
    return "".join(loops)


def painted(parts: Iterable[Part], towards: Array, axes: tuple[int, int], paler: float) -> Iterator[str]:
    """Draw parts [m] as seen by an eye towards (3,) [1], the farthest first; paler : how far towards white, 0 to 1."""
    for part in sorted(parts, key=lambda part: float((part.vertices @ towards).max())):
        path = outline_of(part, towards, axes)
        if path:
            red, green, blue = (round(255 * (shade + (1.0 - shade) * paler)) for shade in part.colour)
            yield f'<path d="{path}" fill="#{red:02x}{green:02x}{blue:02x}" class="part"/>'


def to_mm(value: float) -> str:
    """Give a length to the millimetre."""
    return f"{value:.3f}".rstrip("0").rstrip(".") or "0"
