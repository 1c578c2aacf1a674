"""Plant, memory and watch of a run in one buffer: a compiled call with fifty arrays is slower than the step."""

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from tipline.kernels.layout import Floats, Memory, Plant
from tipline.kernels.watching import Watch

Index = NDArray[np.int64]


def pack(plant: Plant, memory: Memory, watch: Watch) -> tuple[Floats, Index, Plant, Memory, Watch]:
    """Return a buffer with all arrays, where each lies (offset, shape, end), and the three as views into it."""
    arrays = [*plant, *memory, *watch]
    buffer = np.concatenate([array.ravel() for array in arrays])
    shapes = tuple(array.shape for array in arrays)
    index = _index(shapes)
    views = [buffer[a:b].reshape(shape) for (a, *_, b), shape in zip(index.tolist(), shapes, strict=True)]
    last = len(plant) + len(memory)
    return buffer, index, Plant(*views[: len(plant)]), Memory(*views[len(plant) : last]), Watch(*views[last:])


@lru_cache(maxsize=8)
def _index(shapes: tuple[tuple[int, ...], ...]) -> Index:
    """Return where arrays of such shapes lie one after the other: rows of offset, shape filled up with 1, end."""
    index, begin = np.ones((len(shapes), 5), dtype=np.int64), 0
    for row, shape in zip(index, shapes, strict=True):
        row[0], row[1 : 1 + len(shape)], row[4] = begin, shape, begin + int(np.prod(shape))
        begin = row[4]
    return index
