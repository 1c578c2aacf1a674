"""The folder for what need not be made twice: the user's own where it can be written, else a private temporary one."""

from __future__ import annotations

import atexit
import os
import shutil
import stat
import tempfile
import warnings
from functools import cache
from pathlib import Path

from tipline.errors import CacheNote

__all__ = ["cache_home", "can_be_written"]

_OTHERS = ("XDG_CACHE_HOME", "MPLCONFIGDIR")
"""Where the libraries that draw look for theirs."""


@cache
def cache_home() -> Path | None:
    """Return a folder that can be written, ``XDG_CACHE_HOME`` or ``~/.cache``; None where there is none at all.

    A service's account may have no home: then it is a private temporary one, which is told by a `CacheNote` and to the
    libraries that have caches of their own, in this process and in those that it starts.
    """
    own = _own()
    if own is not None and can_be_written(own):
        return own
    folder = _temporary()
    where = "no home folder can be written (XDG_CACHE_HOME names another)"
    if folder is None:
        warnings.warn(CacheNote(f"{where}, and no temporary one: compiled code is not kept"), stacklevel=2)
        return None
    warnings.warn(CacheNote(f"{where}: what is kept for later runs, as compiled code, is in {folder}"), stacklevel=2)
    for name in _OTHERS:
        os.environ[name] = str(folder)
    return folder


def can_be_written(folder: Path) -> bool:
    """Whether a file can be made in a folder; the folder is made if it is not there."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        tempfile.TemporaryFile(dir=folder).close()
    except (OSError, ValueError):
        return False
    return True


def _own() -> Path | None:
    named = os.environ.get("XDG_CACHE_HOME", "")
    if Path(named).is_absolute():  # one that hangs on where one stands could be anybody's
        return Path(named)
    try:
        home = Path.home()
    except RuntimeError:  # no HOME, and an account that the system has no entry for
        return None
    return home / ".cache" if home.is_absolute() else None


def _temporary() -> Path | None:
    """Return the account's folder among the temporary ones, or where another's lies in its place a new one."""
    try:
        folder = Path(tempfile.gettempdir()) / f"tipline-{os.getuid()}"
        folder.mkdir(mode=0o700, exist_ok=True)
        status = folder.lstat()
        # code is run from it: nobody else may have written there
        mine = stat.S_ISDIR(status.st_mode) and status.st_uid == os.getuid() and not status.st_mode & 0o077
        if mine and can_be_written(folder):
            return folder
    except (OSError, AttributeError):  # no such place; no such numbers of accounts
        pass
    try:
        private = Path(tempfile.mkdtemp(prefix="tipline-"))
    except OSError:
        return None
    atexit.register(shutil.rmtree, private, ignore_errors=True)
    return private
