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
    packed = pack(*numbered)
    views = packed.plant, packed.memory, packed.watch
    for want, unpacked, view in zip(numbered, (plant_in, memory_in, watch_in), views, strict=True):
        got = unpacked(packed.buffer, packed.index)
        for name, array in want._asdict().items():
            for there in (getattr(got, name), getattr(view, name)):
                assert there.shape == array.shape, name
                assert np.array_equal(there, array), name


def test_a_copy_is_a_buffer_of_its_own() -> None:
    prepared = with_memory(start(FREE + hole("front-left", "60 mm")))
    packed = pack(prepared.build.plant, prepared.memory, watch_of(prepared, 1e-3, np.zeros(4)))
    copied, before = packed.copy(), packed.buffer.copy()
    copied.places[:], copied.depth[:] = 1.0, 2.0
    assert np.array_equal(packed.buffer, before)
    assert (copied.plant.place == 1.0).all()
    assert (copied.memory.depth == 2.0).all()
    assert np.array_equal(copied.plant.tyre, packed.plant.tyre)
