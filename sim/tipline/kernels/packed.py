"""Plant, memory and watch of a run in one buffer: a compiled call with fifty arrays is slower than the step."""

from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from tipline.kernels.layout import Floats, Memory, Plant
from tipline.kernels.watching import Watch

Index = NDArray[np.int64]
_Spans = tuple[tuple[int, int, tuple[int, ...]], ...]

_PLACE = Plant._fields.index("place")
_MEMORY, _WATCH = len(Plant._fields), len(Plant._fields) + len(Memory._fields)
_DEPTH = _MEMORY + Memory._fields.index("depth")


class Pack:
    """All arrays in a buffer, where each lies (offset, shape, end), and views into it, made where asked for."""

    def __init__(self, buffer: Floats, index: Index, spans: _Spans) -> None:
        self.buffer, self.index, self._spans = buffer, index, spans

    def copy(self) -> "Pack":
        """Return the same in a buffer of its own."""
        return Pack(self.buffer.copy(), self.index, self._spans)

    @cached_property
    def plant(self) -> Plant:
        """The truck."""
        return Plant(*self._views(self._spans[:_MEMORY]))

    @cached_property
    def memory(self) -> Memory:
        """What is remembered from step to step."""
        return Memory(*self._views(self._spans[_MEMORY:_WATCH]))

    @cached_property
    def watch(self) -> Watch:
        """What the run is watched by."""
        return Watch(*self._views(self._spans[_WATCH:]))

    @property
    def places(self) -> Floats:
        """The places of the plant."""
        return self._views(self._spans[_PLACE : _PLACE + 1])[0]

    @property
    def depth(self) -> Floats:
        """Their depths, of the memory."""
        return self._views(self._spans[_DEPTH : _DEPTH + 1])[0]

    def _views(self, spans: _Spans) -> list[Floats]:
        buffer = self.buffer
        return [buffer[a:b].reshape(shape) for a, b, shape in spans]


def pack(plant: Plant, memory: Memory, watch: Watch) -> Pack:
    """Put copies of all arrays into a buffer."""
    arrays = (*plant, *memory, *watch)
    return Pack(np.concatenate(arrays, axis=None), *_laid(tuple([array.shape for array in arrays])))


@lru_cache(maxsize=8)
def _laid(shapes: tuple[tuple[int, ...], ...]) -> tuple[Index, _Spans]:
    """Return where arrays of such shapes lie one after the other: rows of offset, shape filled up with 1, end."""
    index, begin = np.ones((len(shapes), 5), dtype=np.int64), 0
    for row, shape in zip(index, shapes, strict=True):
        row[0], row[1 : 1 + len(shape)], row[4] = begin, shape, begin + int(np.prod(shape))
        begin = row[4]
    ends = zip(index[:, 0].tolist(), index[:, 4].tolist(), shapes, strict=True)
    return index, tuple((begin, end, shape) for begin, end, shape in ends)
