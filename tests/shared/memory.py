"""Memory that this process has in use, by its own allocators' books."""

from __future__ import annotations

import ctypes
import gc
import sys
from typing import NamedTuple

__all__ = ["InUse", "in_use"]


class InUse(NamedTuple):
    """What is handed out and not given back: megabytes of the C library (arrays, engine), Python's small blocks."""

    megabytes: float
    blocks: int

    def since(self, before: InUse) -> InUse:
        """Return what has been added."""
        return InUse(self.megabytes - before.megabytes, self.blocks - before.blocks)


class _Books(ctypes.Structure):
    """``struct mallinfo2`` of the GNU C library."""

    _fields_ = [
        (name, ctypes.c_size_t)
        for name in ("arena", "ordblks", "smblks", "hblks", "hblkhd", "usmblks", "fsmblks", "uordblks")
    ] + [("fordblks", ctypes.c_size_t), ("keepcost", ctypes.c_size_t)]


def in_use() -> InUse:
    """Read the books after a collection.

    The resident size is no measure: the block of some 38 MB that a pybullet client gives back stays with the process
    at one time and goes back to the system at another, and other processes move what is held of files.
    """
    gc.collect()
    read = ctypes.CDLL(None).mallinfo2
    read.restype = _Books
    books = read()
    return InUse((books.uordblks + books.hblkhd) / 1e6, sys.getallocatedblocks())
