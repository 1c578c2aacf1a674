"""A kernel and what it calls are made into machine code together, and to the same answers."""

from __future__ import annotations

import sys
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from tipline.kernels import vector
from tipline.kernels.compiled import BARE, register
from tipline.kernels.parts import compiles_its_parts_with_it, with_room_for_calls

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
    left = [part.name for part in whole._final_module.functions if not part.is_declaration]
    assert left
    assert all("pushed" in name for name in left), "nobody else can call a part, so none is kept beside its caller"
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


def faults_at_most(begin: Callable[[Callable[[], None]], None]) -> int:
    """Pages of memory newly mapped in 500 calls of a function, at the depth of calls, up to 400, at which most are."""
    resource = pytest.importorskip("resource")
    most = 0

    def leaf() -> None:
        pass

    leaf.__code__ = leaf.__code__.replace(co_stacksize=64)  # more than `deep` needs, so that it meets each border

    def deep(more: int) -> None:
        nonlocal most
        if more:
            deep(more - 1)
        before = resource.getrusage(resource.RUSAGE_SELF).ru_minflt
        for _ in range(500):
            leaf()
        most = max(most, resource.getrusage(resource.RUSAGE_SELF).ru_minflt - before)

    begin(lambda: deep(400))
    return most


@pytest.mark.skipif(sys.implementation.name != "cpython", reason="it is how this Python keeps its stack")
def test_no_call_within_lies_at_a_border_of_python_s_stack() -> None:
    assert faults_at_most(lambda action: action()) >= 500, "a loop at a border maps memory at every call"
    assert faults_at_most(with_room_for_calls(lambda action: action())) < 250


def test_what_is_given_room_is_called_as_ever() -> None:
    def told(*arguments: object, **named: object) -> tuple[object, object]:
        return arguments, named

    assert with_room_for_calls(told)(1, a=2) == ((1,), {"a": 2})
    with pytest.raises(ZeroDivisionError):
        with_room_for_calls(lambda: 1 / 0)()


def test_settings_are_compared_as_numba_compares_them() -> None:
    numba = register()
    from numba.core.targetconfig import TargetConfig

    seen: list[bool] = []
    values = TargetConfig.values

    def watched(kernel: Any) -> None:
        real = kernel.compile

        def compile_it(types: Any) -> Any:
            flags = numba.core.compiler.Flags()
            flags.nrt = True
            seen.append(
                TargetConfig.values is not values
                and flags.values() == values(flags)
                and list(flags.values()) == list(values(flags))
            )
            return real(types)

        kernel.compile = compile_it

    kernel = numba.njit(**BARE)(pushed)
    watched(kernel)
    compiles_its_parts_with_it(kernel)
    kernel(np.zeros((1, 6)))
    assert seen == [True]
    assert TargetConfig.values is values, "numba is as it was"
