"""Compiled forms of the kernels. Importing this module loads numba; the kernels themselves do not need it."""

import functools
import hashlib
import os
import re
import sys
import warnings
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from inspect import signature, unwrap
from pathlib import Path
from types import CodeType, FunctionType, ModuleType
from typing import Any

from tipline.caches import cache_home, can_be_written
from tipline.errors import CacheNote
from tipline.kernels import (
    crests,
    decide,
    dynamics,
    equilibrium,
    ground,
    joints,
    layout,
    ledger,
    links,
    meeting,
    on_forks,
    pace,
    parts,
    places,
    ramp,
    reading,
    reduce,
    rollout,
    shaped,
    slopes,
    step,
    strips,
    tiplines,
    touch,
    tyre,
    unpacked,
    vector,
    watch,
    watching,
    wheels,
)

STEPPED = (
    vector, joints, tyre, strips, ramp, ground, wheels, links, touch, meeting, step, reduce, dynamics, reading, pace,
    tiplines, crests, on_forks, decide, watch, ledger, places, unpacked,
    rollout,
)  # fmt: skip
"""Kernels of a time step: they allocate nothing and assign no array to an array, so they need no reference counts."""
_KEPT_BY = (*STEPPED, equilibrium, slopes, layout, watching, parts, shaped)
"""All that compiled code is made from."""
_ROUNDED = ("arcp", "contract", "nsz")
BARE = {"_nrt": False, "error_model": "numpy", "fastmath": set(_ROUNDED)}
"""Without the first numba counts references of some thirty arrays at every call: 5 of the 7 us of a step; without the
second it looks for a division by nothing before each: what comes of one is not a number, and ends the run. Products and
sums are rounded once, not reordered: equal inputs give equal bits."""
_WIDE = {"plant", "mem", "watch", "buffer"}
"""A function that takes one of these is put in place of its call: handing over its arrays, some 250 words, costs more
than most of them do, a third of a step in all."""
_PART = {"no_cfunc_wrapper": True}
"""Called by nothing but a kernel."""
_SELDOM = {"held_energy"}
"""But for these, which most steps pass over: a call costs less there than another copy to compile."""

_OURS = re.compile(r"[/\\]tipline[/\\][0-9a-f]{16}$")


@functools.cache
def code_folder() -> Path | None:
    """Return the folder of compiled code and tell it to numba, here and in processes started later; None: none can be.

    One per version of all kernels: an edit in one file must not meet stale code of another, nor a process that was
    started after it the code of the one that started it.
    """
    place = os.environ.get("NUMBA_CACHE_DIR", "")
    if place and not _OURS.search(place) and can_be_written(Path(place)):
        return Path(place)
    base = cache_home()
    folder = base and base / "tipline" / version(*_KEPT_BY)
    if folder is None or not can_be_written(folder):
        return None
    os.environ["NUMBA_CACHE_DIR"] = str(folder)
    return folder


def version(*modules: ModuleType) -> str:
    """Name what is loaded, not what lies on disk: an edit under a running program must not pass its old code for new.

    Functions by their bytecode, constants and names, not by what is said of them; what they take from their module by
    its value.
    """
    digest = hashlib.sha256(repr((_ROUNDED, BARE.get("error_model"))).encode())
    for module in modules:
        for name, value in sorted(vars(module).items()):
            if isinstance(value, FunctionType) and value.__module__ == module.__name__:
                digest.update(repr((name, _told(unwrap(value).__code__, value.__doc__))).encode())
            elif isinstance(value, int | float | str | tuple) and not name.startswith("__"):
                digest.update(repr((name, value)).encode())
            elif isinstance(value, type) and hasattr(value, "_fields"):
                digest.update(repr((name, value._fields)).encode())
    return digest.hexdigest()[:16]


def _told(code: CodeType, said: str | None = None) -> tuple[Any, ...]:
    consts = [part for part in code.co_consts if said is None or part != said]
    inner = tuple(_told(part) if isinstance(part, CodeType) else part for part in consts)
    return code.co_code, inner, code.co_names, code.co_varnames


@contextmanager
def _no_settings_of_the_current_folder() -> Iterator[None]:
    """Keep numba from the settings that it would read in the current folder, where anybody's files may lie.

    It reads them by a library that it can do without.
    """
    reader = sys.modules.pop("yaml", None)
    sys.modules["yaml"] = None  # type: ignore[assignment]
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # it says that it cannot read them
            yield
    finally:
        del sys.modules["yaml"]
        if reader is not None:
            sys.modules["yaml"] = reader


@functools.cache
def register() -> Any:
    """Return numba with all kernels told to it."""
    code_folder()  # numba reads it as it is loaded
    with _no_settings_of_the_current_folder():
        import numba
    from numba.extending import register_jitable

    shaped.known_to_numba()
    for module in (*STEPPED, equilibrium, slopes):
        for value in vars(module).values():
            if callable(value) and getattr(value, "__module__", "") == module.__name__ and not isinstance(value, type):
                if module in STEPPED:
                    wide = value.__name__ not in _SELDOM and not _WIDE.isdisjoint(signature(value).parameters)
                    register_jitable(**BARE, **_PART, forceinline=wide)(value)
                else:
                    register_jitable(**_PART)(value)
    return numba


_elsewhere: dict[str, Callable[[], object]] = {}
"""Kernels that another process compiles, and what waits for it."""


def kept(name: str) -> bool:
    """Whether compiled code of a kernel lies where it is kept, made by this Python."""
    folder, python = code_folder(), f"py{sys.version_info.major}{sys.version_info.minor}"
    return folder is not None and any(folder.rglob(f"*.{name}-*.{python}*.nbi"))


def make(name: str, arguments: Sequence[Any]) -> None:
    """Compile a kernel for the types of such arguments; it is not called."""
    compiled(name).compile(tuple(register().typeof(one) for one in arguments))  # type: ignore[attr-defined]


def left_to(name: str, wait: Callable[[], object]) -> None:
    """Note that another process compiles a kernel, to where it is kept: who first asks for it here waits for that."""
    _elsewhere[name] = wait


@functools.cache
def compiled(name: str) -> Callable[..., Any]:
    """Return the compiled form of a kernel, by its name in the table below."""
    _elsewhere.pop(name, lambda: None)()
    numba = register()
    kernels: dict[str, Callable[..., Any]] = {
        "solve": equilibrium.solve,
        "slope_limits": slopes.slope_limits,
        "roll_out": rollout.roll_out,
    }
    bare = BARE if name == "roll_out" else {}
    free = name in ("solve", "slope_limits", "roll_out")
    kernel = numba.njit(nogil=free, **bare)(kernels[name])
    parts.compiles_its_parts_with_it(kernel)
    if code_folder() is not None:
        kernel._cache = _Kept(_files_of(kernels[name]))
    return kernel  # type: ignore[no-any-return]


def _files_of(kernel: Callable[..., Any]) -> Any:
    """Return numba's files of a kernel's compiled code, kept by version."""
    from numba.core.caching import CompileResultCacheImpl, FunctionCache

    class Overloads(CompileResultCacheImpl):
        _locator_classes = (_ByVersion,)

    class Files(FunctionCache):
        _impl_class = Overloads

    return Files(kernel)


class _ByVersion:
    """Where numba keeps compiled code: by what is loaded, wherever its sources lie.

    numba asks for the sources' folder, date and line: another installation of the same would compile it all again.
    """

    def __init__(self) -> None:
        self._folder = str(code_folder())
        ours = _OURS.search(self._folder) is not None
        self._version = self._folder[-16:] if ours else version(*_KEPT_BY)  # one that the user named may hold others'

    @classmethod
    def from_function(cls, _function: Any, _file: str) -> "_ByVersion":
        """Return one for a function."""
        return cls()

    def ensure_cache_path(self) -> None:
        """Make the folder; an OSError says that it cannot be."""
        Path(self.get_cache_path()).mkdir(parents=True, exist_ok=True)

    def get_cache_path(self) -> str:
        """Return the folder."""
        return self._folder

    def get_source_stamp(self) -> str:
        """Return what code must have been made from to be taken."""
        return self._version

    def get_disambiguator(self) -> str:
        """Return what tells files of one kernel apart: numba's version, which reads no other's."""
        import numba

        return str(numba.__version__)


class _Kept:
    """numba's files of compiled code: what cannot be read is built anew, what cannot be written is not kept."""

    def __init__(self, files: Any) -> None:
        self.files = files

    def __getattr__(self, name: str) -> Any:
        return getattr(self.files, name)

    def load_overload(self, types: Any, target: Any) -> Any:
        """Return compiled code from disk, None if there is none that can be read."""
        try:
            return self.files.load_overload(types, target)
        except Exception:  # noqa: BLE001 - a file that was cut, or is another's, raises anything as it is read
            with suppress(OSError):
                self.files.flush()
            return None

    def save_overload(self, types: Any, kernel: Any) -> None:
        """Write compiled code to disk if that can be done."""
        try:
            self.files.save_overload(types, kernel)
        except Exception as error:  # noqa: BLE001 - as it reads there before it writes
            warnings.warn(CacheNote(f"compiled code is not kept: {error}"), stacklevel=2)
