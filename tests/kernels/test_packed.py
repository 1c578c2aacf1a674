"""Plant, memory and watch come out of the buffer as they went in."""

from __future__ import annotations

import numpy as np

from tipline.engines.watching import watch_of
from tipline.kernels.packed import pack
from tipline.kernels.unpacked import memory_in, plant_in, watch_in
from trucks import FREE, hole, start, with_memory


def test_every_array_has_its_shape_and_its_values() -> None:
    prepared = with_memory(start(FREE + hole("front-left", "60 mm")))
    given = prepared.build.plant, prepared.memory, watch_of(prepared, 1e-3, np.zeros(4))
    numbered = [
        type(part)(*(np.arange(1.0, 1.0 + array.size).reshape(array.shape) for array in part)) for part in given
    ]
    buffer, index, *_ = pack(*numbered)
    for want, unpacked in zip(numbered, (plant_in, memory_in, watch_in), strict=True):
        got = unpacked(buffer, index)
        for name, array in want._asdict().items():
            assert getattr(got, name).shape == array.shape, name
            assert np.array_equal(getattr(got, name), array), name
