"""The step's plant and memory in one buffer: a compiled call with twenty arrays is slower than the step itself."""

import numpy as np
from numpy.typing import NDArray

from tipline.kernels import layout as at
from tipline.kernels.layout import Floats, Memory, Plant
from tipline.kernels.reading import CALLS, bodies_from_joints, fastest, fill_calls
from tipline.kernels.reduce import reduce
from tipline.kernels.step import step

Index = NDArray[np.int64]


def pack(plant: Plant, memory: Memory) -> tuple[Floats, Index, Plant, Memory]:
    """Return a buffer with all arrays, where each lies (offset and shape), and plant and memory as views into it."""
    arrays = [*plant, *memory]
    sizes = [array.size for array in arrays]
    offsets = np.concatenate(([0], np.cumsum(sizes)))
    buffer = np.zeros(int(offsets[-1]))
    index = np.ones((len(arrays), 5), dtype=np.int64)
    views = []
    for row, (array, offset) in enumerate(zip(arrays, offsets[:-1], strict=True)):
        index[row, 0] = offset
        index[row, 1 : 1 + array.ndim] = array.shape
        index[row, 4] = offset + array.size
        view = buffer[offset : offset + array.size].reshape(array.shape)
        view[...] = array
        views.append(view)
    return buffer, index, Plant(*views[: len(plant)]), Memory(*views[len(plant) :])


def packed_step(
    k: int, dt: float, state: Floats, cmd: Floats, wrench: Floats, rec: Floats, buffer: Floats, index: Index
) -> float:
    """Do `step` on packed arrays, in the order of the fields of Plant, then of Memory, and `reduce` its wrenches.

    Return the greatest speed of a body [m/s or rad/s], nan where a state or a wrench is not a finite number.
    state (ROWS, 13) and the rows of wrench (11, 6) after the first six, which are calls: as in `kernels.reading`.
    """
    i, a, b = index, index[:, 0], index[:, 4]
    plant = Plant(
        buffer[a[0] : b[0]].reshape((i[0, 1], i[0, 2])),
        buffer[a[1] : b[1]],
        buffer[a[2] : b[2]].reshape((i[2, 1], i[2, 2], i[2, 3])),
        buffer[a[3] : b[3]].reshape((i[3, 1], i[3, 2])),
        buffer[a[4] : b[4]],
        buffer[a[5] : b[5]],
        buffer[a[6] : b[6]],
        buffer[a[7] : b[7]].reshape((i[7, 1], i[7, 2])),
        buffer[a[8] : b[8]].reshape((i[8, 1], i[8, 2])),
        buffer[a[9] : b[9]].reshape((i[9, 1], i[9, 2])),
        buffer[a[10] : b[10]].reshape((i[10, 1], i[10, 2])),
        buffer[a[11] : b[11]].reshape((i[11, 1], i[11, 2])),
        buffer[a[12] : b[12]],
        buffer[a[13] : b[13]].reshape((i[13, 1], i[13, 2])),
    )
    memory = Memory(
        buffer[a[14] : b[14]].reshape((i[14, 1], i[14, 2])),
        buffer[a[15] : b[15]],
        buffer[a[16] : b[16]],
        buffer[a[17] : b[17]].reshape((i[17, 1], i[17, 2])),
        buffer[a[18] : b[18]].reshape((i[18, 1], i[18, 2])),
        buffer[a[19] : b[19]].reshape((i[19, 1], i[19, 2])),
        buffer[a[20] : b[20]],
        buffer[a[21] : b[21]],
        buffer[a[22] : b[22]],
        buffer[a[23] : b[23]],
        buffer[a[24] : b[24]],
        buffer[a[25] : b[25]].reshape((i[25, 1], i[25, 2])),
        buffer[a[26] : b[26]].reshape((i[26, 1], i[26, 2])),
        buffer[a[27] : b[27]].reshape((i[27, 1], i[27, 2])),
        buffer[a[28] : b[28]].reshape((i[28, 1], i[28, 2])),
        buffer[a[29] : b[29]].reshape((i[29, 1], i[29, 2], i[29, 3])),
        buffer[a[30] : b[30]].reshape((i[30, 1], i[30, 2])),
        buffer[a[31] : b[31]].reshape((i[31, 1], i[31, 2])),
        buffer[a[32] : b[32]],
        buffer[a[33] : b[33]].reshape((i[33, 1], i[33, 2])),
    )
    bodies_from_joints(state, plant, memory)
    step(k, dt, state, plant, cmd, memory, wrench, rec)
    reduce(plant, memory, wrench)
    fill_calls(state, wrench, wrench[at.N_BODY :].reshape((CALLS, 3)))
    return fastest(state, wrench)
