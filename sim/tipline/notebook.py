"""Results in a notebook: tables as pandas, and results that show themselves with the sections of their page.

A result knows no page: it asks for the page's room by name when a notebook wants to show it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from importlib import import_module
from typing import Any

from tipline.errors import MissingPart

__all__ = ["Reported", "Shown", "to_dataset", "to_frame"]


class Shown:
    """A result that a notebook shows as the short form of its page."""

    def _repr_html_(self) -> str:
        fragment: str = import_module("tipline.report.notebook").fragment_of(self)
        return fragment


class Reported:
    """A result with a ``report`` that has a title: it says which one it is, and a notebook shows the report."""

    report: Any

    def __repr__(self) -> str:
        """Say which result it is."""
        return f"<{type(self).__name__} {self.report.title!r}>"

    def _repr_html_(self) -> str:
        shown: str = self.report._repr_html_()
        return shown


def to_frame(rows: Sequence[Mapping[str, Any]]) -> Any:
    """Return records as a pandas table, one row each.

    Raises
    ------
    MissingPart
        pandas is not installed.
    """
    try:
        import pandas as pd
    except ImportError as error:
        msg = "a table for pandas needs pandas"
        raise MissingPart(msg, install="pip install 'tipline[data]'") from error
    return pd.DataFrame.from_records([dict(row) for row in rows])


def to_dataset(arrays: Mapping[str, tuple[tuple[str, ...], Any]], facts: Mapping[str, Any]) -> Any:
    """Return arrays, each with the names of its axes, as an xarray dataset; an array named as its axis is its scale.

    Raises
    ------
    MissingPart
        xarray is not installed.
    """
    try:
        import xarray as xr
    except ImportError as error:
        msg = "a dataset for xarray needs xarray"
        raise MissingPart(msg, install="pip install 'tipline[data]'") from error
    return xr.Dataset({name: (axes, values) for name, (axes, values) in arrays.items()}, attrs=dict(facts))
