"""Arrays in another shape: the same memory, compiled or not."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from tipline.kernels.compiled import BARE, register
from tipline.kernels.shaped import shaped


def marked(array: Any, n: int) -> float:
    seen = shaped(array, (n, 3, 2))
    seen[1, 2, 0] = 7.0
    flat = shaped(seen, (6 * n,))
    total: float = flat[10] + 10.0 * seen.shape[1] + 100.0 * seen[0, 1, 1]
    return total


@pytest.mark.parametrize("compiled", [False, True])
def test_it_is_the_same_memory_in_another_shape(compiled: bool) -> None:
    array = np.arange(14.0)
    action = register().njit(**BARE)(marked) if compiled else marked
    assert action(array[2:], 2) == 7.0 + 30.0 + 500.0
    assert array[12] == 7.0
    assert array.sum() == np.arange(14.0).sum() - 12.0 + 7.0


def test_compiled_code_refuses_an_array_that_has_gaps() -> None:
    numba = register()
    with pytest.raises(numba.errors.TypingError):
        numba.njit(**BARE)(marked)(np.zeros((12, 2))[:, 0], 2)
