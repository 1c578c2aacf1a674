"""Poses found by compiled code, also where commands find them by the same kernel as plain Python.

That takes a hundredth of the time, of which poses are a third in the tests. `tests/statics` keeps to what is asked for,
holds the two to each other, and what is started as a process of its own is not reached.
"""

from __future__ import annotations

import functools
from typing import Any


@functools.cache
def _ways() -> tuple[Any, Any]:
    """How a truck's pose is found: as asked for, and compiled."""
    from tipline.statics.truck import Truck

    as_asked = Truck.solve

    @functools.wraps(as_asked)
    def compiled(*words: Any, **named: Any) -> Any:
        return as_asked(*words, **(named | {"compiled": True}))

    return as_asked, compiled


def find_poses(*, compiled: bool) -> None:
    """Let poses be found by compiled code from now on, or as is asked for."""
    from tipline.statics.truck import Truck

    Truck.solve = _ways()[compiled]  # type: ignore[method-assign]
