"""Places that events make, put under their tyres when they begin.

Source: [Own]

Arrays:

waiting (n, N_WAIT) [SI]: places that have not begun, columns W_*
"""

from math import atan2, cos, sin

from tipline.kernels import layout as at
from tipline.kernels.layout import Floats, Memory, Plant
from tipline.kernels.vector import quaternion_product, rotation, turned
from tipline.kernels.watching import W_ASIDE, W_HX, W_HY, W_LAW, W_PLACE, W_SOIL, W_STEP, W_TYRE


def open_places(k: int, waiting: Floats, raw: Floats, plant: Plant, mem: Memory) -> None:
    """Put the places that begin at step k under their tyres, square to the wheel; raw (n, 13): states of the bodies."""
    for i in range(waiting.shape[0]):
        w = waiting[i]
        if int(w[W_STEP]) != k:
            continue
        tyre = plant.tyre[int(w[W_TYRE])]
        b, axes = int(tyre[at.T_BODY]), mem.axes
        quaternion_product(raw[b, 3:7], plant.frame[b], mem.tyre)
        rotation(mem.tyre, axes)
        x, y, _ = turned(axes, tyre[at.T_X], tyre[at.T_Y], tyre[at.T_Z])
        heading = atan2(-axes[0, 1], axes[1, 1])
        row = plant.place[int(w[W_PLACE])]
        row[at.P_X] = raw[b, 0] + x - w[W_ASIDE] * sin(heading)
        row[at.P_Y] = raw[b, 1] + y + w[W_ASIDE] * cos(heading)
        row[at.P_COS], row[at.P_SIN] = cos(heading), sin(heading)
        row[at.P_HX], row[at.P_HY], row[at.P_LAW] = w[W_HX], w[W_HY], w[W_LAW]
        for j in range(4):
            row[at.P_YIELD + j] = w[W_SOIL + j]
