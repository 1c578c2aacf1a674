"""Plots as these files say, whatever a file of settings in the home or in the current folder says."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from tipline.caches import cache_home

__all__ = ["plotting"]


@contextmanager
def plotting(settings: Any) -> Iterator[None]:
    """Have matplotlib draw by its own settings and these, and as before afterwards."""
    cache_home()  # told to matplotlib, where the account has none
    import matplotlib as mpl

    with mpl.rc_context():
        mpl.rcdefaults()
        mpl.rcParams.update(settings)
        yield
