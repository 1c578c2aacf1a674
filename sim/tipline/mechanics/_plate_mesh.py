"""Graded mesh of a rectangular plate: lines fine at the loads, cells split in two triangles, points found by cell."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from tipline.mechanics._ranges import FloatArray

IntArray = npt.NDArray[np.intp]
Focus = tuple[float, float, float]
_SAMPLES = 40


def graded_lines(keep: Sequence[float], focus: Sequence[Focus], growth: float, coarsest: float) -> FloatArray:
    """Places of mesh lines between and on the kept ones.

    `focus` holds (low, high, size): at that size inside the stretch, growing by `growth` per length away from it.
    """
    kept = sorted(set(keep))
    lines = [kept[0]]
    for low, high in itertools.pairwise(kept):
        lines.extend(_between(low, high, focus, growth, coarsest))
    return np.asarray(lines)


def _between(low: float, high: float, focus: Sequence[Focus], growth: float, coarsest: float) -> FloatArray:
    """Lines after `low` up to and on `high`: equal shares of the integral of 1 / size."""
    finest = min([size for *_, size in focus], default=coarsest)
    x = np.linspace(low, high, max(_SAMPLES, math.ceil(4.0 * (high - low) / finest)) + 1)
    size = np.full_like(x, coarsest)
    for start, end, fine in focus:
        away = np.maximum(np.maximum(start - x, x - end), 0.0)
        size = np.minimum(size, fine + growth * away)
    per = 1.0 / size
    share = np.concatenate(([0.0], np.cumsum(0.5 * (per[1:] + per[:-1]) * np.diff(x))))
    count = max(1, math.ceil(share[-1] - 1e-9))
    inner = np.interp(np.arange(1, count) * share[-1] / count, share, x)
    return np.append(inner, high)


@dataclass(frozen=True)
class Grid:
    """Cells between the lines x (nx+1,) and y (ny+1,); `turn` (0, 1) is the diagonal of the first cell."""

    x: FloatArray
    y: FloatArray
    turn: int = 0

    @property
    def cells(self) -> tuple[int, int]:
        """Number of cells along x and y."""
        return len(self.x) - 1, len(self.y) - 1

    def triangles(self) -> tuple[FloatArray, IntArray]:
        """Points (2, n) and triangles (3, m); triangle 2 c + s is half s of cell c = j nx + i."""
        nx, ny = self.cells
        X, Y = np.meshgrid(self.x, self.y)
        i, j = np.meshgrid(np.arange(nx), np.arange(ny))
        a = (j * (nx + 1) + i).ravel()
        b, c, d = a + 1, a + nx + 1, a + nx + 2
        rising = ((i + j + self.turn) % 2 == 0).ravel()
        first = np.where(rising, np.array([a, b, d]), np.array([a, b, c]))
        second = np.where(rising, np.array([a, c, d]), np.array([b, c, d]))
        both = np.stack((first, second), axis=2).reshape(3, -1)
        return np.array([X.ravel(), Y.ravel()]), both

    def holds(self, point: FloatArray) -> npt.NDArray[np.bool_]:
        """Tell of each point (n, 2) whether it lies on the plate."""
        slack = 1e-9 * (self.x[-1] - self.x[0] + self.y[-1] - self.y[0])
        along = (point[:, 0] >= self.x[0] - slack) & (point[:, 0] <= self.x[-1] + slack)
        across = (point[:, 1] >= self.y[0] - slack) & (point[:, 1] <= self.y[-1] + slack)
        return np.asarray(along & across, dtype=np.bool_)

    def find(self, point: FloatArray) -> IntArray:
        """Triangle that holds each point (n, 2)."""
        nx, ny = self.cells
        i = np.clip(np.searchsorted(self.x, point[:, 0], side="right") - 1, 0, nx - 1)
        j = np.clip(np.searchsorted(self.y, point[:, 1], side="right") - 1, 0, ny - 1)
        u = (point[:, 0] - self.x[i]) / (self.x[i + 1] - self.x[i])
        v = (point[:, 1] - self.y[j]) / (self.y[j + 1] - self.y[j])
        rising = (i + j + self.turn) % 2 == 0
        second = np.where(rising, v > u, u + v > 1.0)
        return np.asarray(2 * (j * nx + i) + second, dtype=np.intp)

    def window(self, point: FloatArray, width: int) -> IntArray:
        """Triangles of the width x width cells around the mesh point nearest to each point: (n, 2 width^2)."""
        nx, ny = self.cells
        wx, wy = min(width, nx), min(width, ny)
        i = np.clip(_nearest(self.x, point[:, 0]) - wx // 2, 0, nx - wx)
        j = np.clip(_nearest(self.y, point[:, 1]) - wy // 2, 0, ny - wy)
        di, dj = np.meshgrid(np.arange(wx), np.arange(wy))
        cell = (j[:, None] + dj.ravel()) * nx + i[:, None] + di.ravel()
        return np.concatenate((2 * cell, 2 * cell + 1), axis=1)


def part_of(grid: Grid, x: tuple[float, float], y: tuple[float, float]) -> Grid:
    """Cut out the part between lines that the grid has, with the same triangles."""
    i0, i1 = (int(_nearest(grid.x, np.array([value]))[0]) for value in x)
    j0, j1 = (int(_nearest(grid.y, np.array([value]))[0]) for value in y)
    return Grid(grid.x[i0 : i1 + 1], grid.y[j0 : j1 + 1], (grid.turn + i0 + j0) % 2)


def _nearest(lines: FloatArray, value: FloatArray) -> IntArray:
    right = np.clip(np.searchsorted(lines, value), 1, len(lines) - 1)
    return np.asarray(right - (value - lines[right - 1] < lines[right] - value), dtype=np.intp)
