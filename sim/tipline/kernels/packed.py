"""The step's plant and memory in one buffer: a compiled call with twenty arrays is slower than the step itself."""

import numpy as np
from numpy.typing import NDArray

from tipline.kernels.layout import Floats, Memory, Plant
from tipline.kernels.step import step

Index = NDArray[np.int64]


def pack(plant: Plant, memory: Memory) -> tuple[Floats, Index, Plant, Memory]:
    """Return a buffer with all arrays, where each lies (offset and shape), and plant and memory as views into it."""
    arrays = [*plant, *memory]
    sizes = [array.size for array in arrays]
    offsets = np.concatenate(([0], np.cumsum(sizes)))
    buffer = np.zeros(int(offsets[-1]))
    index = np.ones((len(arrays), 4), dtype=np.int64)
    views = []
    for row, (array, offset) in enumerate(zip(arrays, offsets[:-1], strict=True)):
        index[row, 0] = offset
        index[row, 1 : 1 + array.ndim] = array.shape
        view = buffer[offset : offset + array.size].reshape(array.shape)
        view[...] = array
        views.append(view)
    return buffer, index, Plant(*views[: len(plant)]), Memory(*views[len(plant) :])


def line(buffer: Floats, index: Index, i: int) -> Floats:
    """Return array i, of one dimension."""
    start = index[i, 0]
    return buffer[start : start + index[i, 1]]


def table(buffer: Floats, index: Index, i: int) -> Floats:
    """Return array i, of two dimensions."""
    start = index[i, 0]
    return buffer[start : start + index[i, 1] * index[i, 2]].reshape((index[i, 1], index[i, 2]))


def block(buffer: Floats, index: Index, i: int) -> Floats:
    """Return array i, of three dimensions."""
    start, n = index[i, 0], index[i, 1] * index[i, 2] * index[i, 3]
    return buffer[start : start + n].reshape((index[i, 1], index[i, 2], index[i, 3]))


def packed_step(
    k: int, dt: float, raw: Floats, cmd: Floats, wrench: Floats, rec: Floats, buffer: Floats, index: Index
) -> None:
    """Do `step` on packed arrays; the order is that of the fields of Plant, then of Memory."""
    plant = Plant(
        table(buffer, index, 0),
        line(buffer, index, 1),
        block(buffer, index, 2),
        table(buffer, index, 3),
        line(buffer, index, 4),
        line(buffer, index, 5),
        line(buffer, index, 6),
        table(buffer, index, 7),
        table(buffer, index, 8),
        table(buffer, index, 9),
        table(buffer, index, 10),
        table(buffer, index, 11),
        line(buffer, index, 12),
    )
    memory = Memory(
        table(buffer, index, 13),
        line(buffer, index, 14),
        line(buffer, index, 15),
        table(buffer, index, 16),
        table(buffer, index, 17),
        table(buffer, index, 18),
        line(buffer, index, 19),
        line(buffer, index, 20),
        line(buffer, index, 21),
        line(buffer, index, 22),
        table(buffer, index, 23),
        table(buffer, index, 24),
        table(buffer, index, 25),
        table(buffer, index, 26),
        block(buffer, index, 27),
        table(buffer, index, 28),
        line(buffer, index, 29),
    )
    step(k, dt, raw, plant, cmd, memory, wrench, rec)
