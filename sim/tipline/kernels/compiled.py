"""Compiled forms of the kernels. Importing this module loads numba; the kernels themselves do not need it."""

import functools
import hashlib
import os
from collections.abc import Callable
from inspect import signature
from pathlib import Path
from types import CodeType, FunctionType, ModuleType
from typing import Any

from tipline.kernels import (
    dynamics,
    equilibrium,
    ground,
    joints,
    layout,
    links,
    packed,
    ramp,
    reading,
    reduce,
    rollout,
    slopes,
    step,
    tiplines,
    touch,
    tyre,
    vector,
    wheels,
)

STEPPED = (vector, joints, tyre, ramp, ground, wheels, links, touch, step, reduce, dynamics, reading, tiplines, rollout)
"""Kernels of a time step: they allocate nothing and assign no array to an array, so they need no reference counts."""
_BARE = {"_nrt": False}
"""Without it numba counts references of some thirty arrays at every call: 5 of the 7 us of a step."""
_WIDE = {"plant", "mem"}
"""A function that takes one of these is put in place of its call: handing over its arrays, some 250 words, costs more
than most of them do, a third of a step in all."""


def _choose_cache() -> None:
    """Keep compiled code per version of all kernels: an edit in one file must not meet stale code of another."""
    if "NUMBA_CACHE_DIR" in os.environ:
        return
    base = os.environ.get("XDG_CACHE_HOME") or str(Path.home() / ".cache")
    os.environ["NUMBA_CACHE_DIR"] = str(Path(base) / "tipline" / version(*STEPPED, equilibrium, slopes, packed, layout))


def version(*modules: ModuleType) -> str:
    """Name what is loaded, not what lies on disk: an edit under a running program must not pass its old code for new.

    Functions by their bytecode, constants and names; what they take from their module by its value.
    """
    digest = hashlib.sha256()
    for module in modules:
        for name, value in sorted(vars(module).items()):
            if isinstance(value, FunctionType) and value.__module__ == module.__name__:
                digest.update(repr((name, _told(value.__code__))).encode())
            elif isinstance(value, int | float | str | tuple) and not name.startswith("__"):
                digest.update(repr((name, value)).encode())
            elif isinstance(value, type) and hasattr(value, "_fields"):
                digest.update(repr((name, value._fields)).encode())
    return digest.hexdigest()[:16]


def _told(code: CodeType) -> tuple[Any, ...]:
    inner = tuple(_told(part) if isinstance(part, CodeType) else part for part in code.co_consts)
    return code.co_code, inner, code.co_names, code.co_varnames


@functools.cache
def _register() -> Any:
    _choose_cache()
    import numba
    from numba.extending import register_jitable

    for module in (*STEPPED, equilibrium, slopes):
        for value in vars(module).values():
            if callable(value) and getattr(value, "__module__", "") == module.__name__ and not isinstance(value, type):
                if module in STEPPED:
                    wide = not _WIDE.isdisjoint(signature(value).parameters)
                    register_jitable(**_BARE, forceinline=wide)(value)
                else:
                    register_jitable(value)
    return numba


@functools.cache
def compiled(name: str) -> Callable[..., Any]:
    """Return the compiled form of a kernel, by its name in the table below."""
    numba = _register()
    kernels: dict[str, Callable[..., Any]] = {
        "step": step.step,
        "packed_step": packed.packed_step,
        "residual": equilibrium.residual,
        "solve": equilibrium.solve,
        "solve_many": equilibrium.solve_many,
        "slope_limits": slopes.slope_limits,
        "roll_out": rollout.roll_out,
    }
    bare = _BARE if name in ("step", "packed_step", "roll_out") else {}
    free = name in ("slope_limits", "roll_out")
    return numba.njit(cache=True, nogil=free, **bare)(kernels[name])  # type: ignore[no-any-return]
