"""Plant, memory and watch in the buffer of `packed.pack`: in the order of their fields."""

from tipline.kernels import layout as at
from tipline.kernels.layout import Floats, Memory, Plant
from tipline.kernels.packed import Index
from tipline.kernels.shaped import shaped
from tipline.kernels.tiplines import N_FOOT
from tipline.kernels.watching import N_CREST, N_LINE, N_TYRE_SEEN, N_WAIT, SWING_LEFT, Watch


def plant_in(buffer: Floats, index: Index) -> Plant:
    """Return the truck in a buffer."""
    i, a, b = index, index[:, 0], index[:, 4]
    return Plant(
        shaped(buffer[a[0] : b[0]], (at.N_BODY, 4)),
        buffer[a[1] : b[1]],
        shaped(buffer[a[2] : b[2]], (at.N_BODY, 3, 3)),
        shaped(buffer[a[3] : b[3]], (i[3, 1], at.N_TYRE)),
        buffer[a[4] : b[4]],
        buffer[a[5] : b[5]],
        buffer[a[6] : b[6]],
        shaped(buffer[a[7] : b[7]], (i[7, 1], at.N_POINT)),
        shaped(buffer[a[8] : b[8]], (i[8, 1], at.N_PLACE)),
        shaped(buffer[a[9] : b[9]], (i[9, 1], 4)),
        shaped(buffer[a[10] : b[10]], (i[10, 1], at.N_ZONE)),
        buffer[a[11] : b[11]],
        shaped(buffer[a[12] : b[12]], (i[12, 1], at.N_RAMP)),
        shaped(buffer[a[13] : b[13]], (i[13, 1], at.N_BOX)),
        shaped(buffer[a[14] : b[14]], (i[14, 1], at.N_PAIR)),
    )


def memory_in(buffer: Floats, index: Index) -> Memory:
    """Return the memory in a buffer."""
    i, a, b = index, index[:, 0], index[:, 4]
    return Memory(
        shaped(buffer[a[15] : b[15]], (i[15, 1], 2)),
        buffer[a[16] : b[16]],
        buffer[a[17] : b[17]],
        shaped(buffer[a[18] : b[18]], (i[18, 1], 4)),
        shaped(buffer[a[19] : b[19]], (i[19, 1], at.STRIPS)),
        buffer[a[20] : b[20]],
        buffer[a[21] : b[21]],
        buffer[a[22] : b[22]],
        buffer[a[23] : b[23]],
        buffer[a[24] : b[24]],
        shaped(buffer[a[25] : b[25]], (at.N_BODY, 6)),
        shaped(buffer[a[26] : b[26]], (at.N_BODY, 6)),
        shaped(buffer[a[27] : b[27]], (4, i[27, 2])),
        shaped(buffer[a[28] : b[28]], (at.N_BODY, 3)),
        shaped(buffer[a[29] : b[29]], (at.N_BODY, 3, 3)),
        shaped(buffer[a[30] : b[30]], (at.N_BODY, 6)),
        shaped(buffer[a[31] : b[31]], (i[31, 1], 3)),
        buffer[a[32] : b[32]],
        shaped(buffer[a[33] : b[33]], (3, 3)),
        buffer[a[34] : b[34]],
        shaped(buffer[a[35] : b[35]], (i[35, 1], at.N_MEETS)),
        shaped(buffer[a[36] : b[36]], (i[36, 1], at.CORNERS, at.N_KEPT)),
        shaped(buffer[a[37] : b[37]], (i[37, 1], at.CROSSINGS, at.N_KEPT)),
        shaped(buffer[a[38] : b[38]], (2, 3)),
        shaped(buffer[a[39] : b[39]], (2, 3, 3)),
        shaped(buffer[a[40] : b[40]], (i[40, 1], 3, at.STRIPS)),
    )


def watch_in(buffer: Floats, index: Index) -> Watch:
    """Return the watch in a buffer."""
    i, a, b = index, index[:, 0], index[:, 4]
    return Watch(
        buffer[a[41] : b[41]],
        buffer[a[42] : b[42]],
        buffer[a[43] : b[43]],
        shaped(buffer[a[44] : b[44]], (SWING_LEFT, N_CREST)),
        shaped(buffer[a[45] : b[45]], (i[45, 1], N_WAIT)),
        buffer[a[46] : b[46]],
        shaped(buffer[a[47] : b[47]], (i[47, 1], N_TYRE_SEEN)),
        shaped(buffer[a[48] : b[48]], (i[48, 1], i[48, 2])),
        shaped(buffer[a[49] : b[49]], (SWING_LEFT, N_LINE)),
        shaped(buffer[a[50] : b[50]], (i[50, 1], 2)),
        shaped(buffer[a[51] : b[51]], (SWING_LEFT, i[51, 2], 2)),
        shaped(buffer[a[52] : b[52]], (N_FOOT, 4)),
        shaped(buffer[a[53] : b[53]], (2, 6)),
        shaped(buffer[a[54] : b[54]], (i[54, 1], 15)),
        buffer[a[55] : b[55]],
        buffer[a[56] : b[56]],
    )
