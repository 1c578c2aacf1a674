"""Loaded by the workers that dask starts on this computer: when one closes, the run it is at ends with it."""

from __future__ import annotations

from tipline.sweeps.isolated import stop_apart

__all__ = ["dask_teardown"]


def dask_teardown(_worker: object) -> None:
    """End what the worker's children are at, so that nobody waits for it."""
    stop_apart()
