"""A kernel and what it calls are made into machine code together, and to the same answers."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from tipline.kernels import vector
from tipline.kernels.compiled import BARE, register
from tipline.kernels.parts import compiles_its_parts_with_it

AT, FORCE = (0.5, -1.0, 2.0), (3.0, 4.0, -5.0)


def pushed(wrench: Any) -> float:
    vector.add_force(wrench, 0, 0.5, -1.0, 2.0, 3.0, 4.0, -5.0)
    total: float = wrench[0, 3]
    return total


def test_a_part_has_no_code_of_its_own_and_does_what_it_says() -> None:
    numba = register()
    kernel = numba.njit(**BARE)(pushed)
    codegen = kernel.targetctx.codegen()
    library = codegen.create_library
    compiles_its_parts_with_it(kernel)
    wrench = np.zeros((1, 6))
    before = numba.config.LOOP_VECTORIZE
    assert kernel(wrench) == np.cross(AT, FORCE)[0]
    np.testing.assert_array_equal(wrench[0], [*FORCE, *np.cross(AT, FORCE)])
    (whole,) = (result.library for result in kernel.overloads.values())
    made = [part for part in whole._linking_libraries if "add_force" in part.name]
    assert made
    assert all(type(part).__name__ == "Part" and part.get_pointer_to_function(part.name) == 0 for part in made)
    assert (codegen.create_library, numba.config.LOOP_VECTORIZE) == (library, before), "numba is as it was"


def test_what_numba_refuses_leaves_it_as_it_was() -> None:
    numba = register()

    def wrong(wrench: Any) -> Any:
        return wrench.no_such_thing

    kernel = numba.njit(wrong)
    codegen = kernel.targetctx.codegen()
    compiles_its_parts_with_it(kernel)
    with pytest.raises(numba.errors.TypingError):
        kernel(np.zeros(3))
    assert "create_library" not in vars(codegen)
    assert "set_env" not in vars(codegen)
