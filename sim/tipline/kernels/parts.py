"""Functions that are only ever part of a kernel, which numba would optimise and make machine code of one by one too."""

import gc
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

__all__ = ["compiles_its_parts_with_it", "with_room_for_calls"]

ROOM = 1 << 18
"""Words of Python's stack that a call is given beyond what it needs (our choice: 2 MB, more than numba nests)."""


def compiles_its_parts_with_it(kernel: Any) -> None:
    """Have a kernel (a dispatcher of numba) compile what it calls together with itself.

    Its loops are three to twenty rounds long: they are not looked at for several rounds at once, which takes time and
    gains none.
    """
    compile_it: Callable[[Any], Any] = with_room_for_calls(kernel.compile)

    def compile_whole(types: Any) -> Any:
        from numba.core.compiler_lock import global_compiler_lock

        with global_compiler_lock, _parts_only_linked(kernel), _nothing_collected(), _flags_compared_by_what_is_set():
            return compile_it(types)

    kernel.compile = compile_whole


def with_room_for_calls(action: Callable[..., Any]) -> Callable[..., Any]:
    """Return an action whose calls all lie in one piece of Python's stack, whatever calls it.

    Python has its stack in pieces of 16 kB, and maps and unmaps the next at every call across a border: where a loop
    that calls much happens to lie at one, a fifth of the time that compiling takes. A call that needs more than a piece
    gets one as large as it needs, and what it calls shares that.
    """

    def call(*arguments: Any, **named: Any) -> Any:
        return action(*arguments, **named)

    call.__code__ = call.__code__.replace(co_stacksize=ROOM)
    return call


@contextmanager
def _flags_compared_by_what_is_set() -> Iterator[None]:
    """Have numba compare settings by those that are set: it asks all fifty one by one, some ten million times."""
    from numba.core.targetconfig import TargetConfig

    defaults: dict[Any, dict[str, Any]] = {}

    def values(self: Any) -> dict[str, Any]:
        kind = type(self)
        if kind not in defaults:
            defaults[kind] = {name: option.default for name, option in kind.options.items()}
        return {**defaults[kind], **self._values}

    before = TargetConfig.values
    TargetConfig.values = values
    try:
        yield
    finally:
        TargetConfig.values = before


@contextmanager
def _nothing_collected() -> Iterator[None]:
    """Look for no circles to collect: compiling makes millions of objects and keeps them, a twelfth of its time."""
    collects = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if collects:
            gc.enable()


@contextmanager
def _parts_only_linked(kernel: Any) -> Iterator[None]:
    """Make libraries of code that are neither optimised nor loaded until the kernel's own, which has them all, is."""
    from numba import config
    from numba.core.codegen import JITCodeLibrary

    class Part(JITCodeLibrary):
        def _optimize_final_module(self) -> None:
            """Leave it to the kernel's library."""

        def _finalize_final_module(self) -> None:
            self._finalize_dynamic_globals()
            self._finalized = True

        def get_pointer_to_function(self, _name: str) -> int:
            """Return what says that there is none."""
            return 0

    class Whole(JITCodeLibrary):
        def _optimize_final_module(self) -> None:
            """Let nobody else call its parts: they are then shaped to their one caller, and gone where put in place."""
            for function in self._final_module.functions:
                if not function.is_declaration and function.linkage.name == "linkonce_odr":
                    function.linkage = "internal"
            super()._optimize_final_module()

    codegen, name = kernel.targetctx.codegen(), kernel.__qualname__
    set_env = codegen.set_env

    def create_library(of: str, **options: Any) -> Any:
        return (Whole if of == name else Part)(codegen, of, **options)

    def set_env_of_what_is_loaded(variable: str, surroundings: Any) -> None:
        if codegen._engine.get_global_value_address(variable):
            set_env(variable, surroundings)

    before = config.LOOP_VECTORIZE, config.SLP_VECTORIZE, codegen._loopvect
    config.LOOP_VECTORIZE = config.SLP_VECTORIZE = codegen._loopvect = 0
    codegen.create_library, codegen.set_env = create_library, set_env_of_what_is_loaded
    try:
        yield
    finally:
        del codegen.create_library, codegen.set_env
        config.LOOP_VECTORIZE, config.SLP_VECTORIZE, codegen._loopvect = before
