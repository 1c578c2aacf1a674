"""Plant, memory and watch in the buffer of `packed.pack`: in the order of their fields."""

from tipline.kernels.layout import Floats, Memory, Plant
from tipline.kernels.packed import Index
from tipline.kernels.watching import Watch


def plant_in(buffer: Floats, index: Index) -> Plant:
    """Return the truck in a buffer."""
    i, a, b = index, index[:, 0], index[:, 4]
    return Plant(
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
        buffer[a[11] : b[11]],
        buffer[a[12] : b[12]].reshape((i[12, 1], i[12, 2])),
        buffer[a[13] : b[13]].reshape((i[13, 1], i[13, 2])),
        buffer[a[14] : b[14]].reshape((i[14, 1], i[14, 2])),
    )


def memory_in(buffer: Floats, index: Index) -> Memory:
    """Return the memory in a buffer."""
    i, a, b = index, index[:, 0], index[:, 4]
    return Memory(
        buffer[a[15] : b[15]].reshape((i[15, 1], i[15, 2])),
        buffer[a[16] : b[16]],
        buffer[a[17] : b[17]],
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
        buffer[a[34] : b[34]],
        buffer[a[35] : b[35]].reshape((i[35, 1], i[35, 2])),
        buffer[a[36] : b[36]].reshape((i[36, 1], i[36, 2], i[36, 3])),
        buffer[a[37] : b[37]].reshape((i[37, 1], i[37, 2], i[37, 3])),
        buffer[a[38] : b[38]].reshape((i[38, 1], i[38, 2])),
        buffer[a[39] : b[39]].reshape((i[39, 1], i[39, 2], i[39, 3])),
        buffer[a[40] : b[40]].reshape((i[40, 1], i[40, 2], i[40, 3])),
    )


def watch_in(buffer: Floats, index: Index) -> Watch:
    """Return the watch in a buffer."""
    i, a, b = index, index[:, 0], index[:, 4]
    return Watch(
        buffer[a[41] : b[41]],
        buffer[a[42] : b[42]],
        buffer[a[43] : b[43]],
        buffer[a[44] : b[44]].reshape((i[44, 1], i[44, 2])),
        buffer[a[45] : b[45]].reshape((i[45, 1], i[45, 2])),
        buffer[a[46] : b[46]],
        buffer[a[47] : b[47]].reshape((i[47, 1], i[47, 2])),
        buffer[a[48] : b[48]].reshape((i[48, 1], i[48, 2])),
        buffer[a[49] : b[49]].reshape((i[49, 1], i[49, 2])),
        buffer[a[50] : b[50]].reshape((i[50, 1], i[50, 2])),
        buffer[a[51] : b[51]].reshape((i[51, 1], i[51, 2], i[51, 3])),
        buffer[a[52] : b[52]].reshape((i[52, 1], i[52, 2])),
        buffer[a[53] : b[53]].reshape((i[53, 1], i[53, 2])),
        buffer[a[54] : b[54]].reshape((i[54, 1], i[54, 2])),
        buffer[a[55] : b[55]],
        buffer[a[56] : b[56]],
    )
