"""What takes long is made once a session, by whichever of its processes asks first, and read by the others."""

from __future__ import annotations

import fcntl
import os
import pickle
from collections.abc import Callable
from typing import TypeVar

import pytest

Made = TypeVar("Made")


def once(factory: pytest.TempPathFactory, name: str, make: Callable[[], Made]) -> Made:
    """Return what is made, the same for all who ask by this name.

    factory: the session's, below whose folder each worker has one of its own
    """
    own = factory.getbasetemp()
    place = own.parent if "PYTEST_XDIST_WORKER" in os.environ else own
    kept = place / f"{name}.pickle"
    with (place / f"{name}.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not kept.exists():
            kept.write_bytes(pickle.dumps(make()))
        made: Made = pickle.loads(kept.read_bytes())
    return made
