"""Plots as these files say, whatever a file of settings in the home or in the current folder says."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from tipline.caches import cache_home
from tipline.view import palette

__all__ = ["look", "plotting"]

_DASHES: tuple[Any, ...] = ("-", (0, (5.0, 1.4)), (0, (1.2, 1.0)), (0, (6.0, 1.5, 1.2, 1.5)))


def look(k: int) -> dict[str, Any]:
    """Return colour and dash of the k-th of several lines, so that they are told apart without colour too."""
    return {"color": palette.hex_of(palette.CYCLE[k % len(palette.CYCLE)]), "linestyle": _DASHES[k % len(_DASHES)]}


@contextmanager
def plotting(settings: Any) -> Iterator[None]:
    """Have matplotlib draw by its own settings and these, and as before afterwards."""
    cache_home()  # told to matplotlib, where the account has none
    import matplotlib as mpl

    with mpl.rc_context():
        mpl.rcdefaults()
        mpl.rcParams.update(settings)
        yield
