"""Results in a notebook: tables as pandas, and results that show themselves with the sections of their page.

A result knows no page: the package's door tells once by what function results are shown (`show_by`). Every table and
dataset carries what the pages say of it: that it is an estimate, what governs, and the DEMO mark where it is one.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from importlib import import_module
from typing import Any

from tipline.errors import MissingPart

__all__ = [
    "ESTIMATE", "GOVERNING", "Reported", "Shown", "demo_note", "figure", "marks", "show_by", "to_dataset", "to_frame",
]  # fmt: skip

ESTIMATE = (
    "An estimate, computed from the inputs listed with it. "
    "Nothing here was measured on your truck, your load or your floor."
)
GOVERNING = "The maker's capacity plate and manual, local codes and a qualified engineer govern."
_shown_by: list[Callable[[Any], str]] = []
"""The function from a result to HTML: the door tells it as the package is imported."""


def show_by(fragment_of: Callable[[Any], str]) -> None:
    """Show results in notebooks by this function from a result to HTML, in place of one told before."""
    _shown_by[:] = [fragment_of]


class Shown:
    """A result that a notebook shows as the short form of its page."""

    def _repr_html_(self) -> str:
        return _shown_by[0](self)


class Reported:
    """A result with a ``report`` that has a title: it says which one it is, and a notebook shows the report."""

    report: Any

    def __repr__(self) -> str:
        """Say which result it is."""
        return f"<{type(self).__name__} {self.report.title!r}>"

    def _repr_html_(self) -> str:
        shown: str = self.report._repr_html_()
        return shown


def demo_note(demo: str) -> str:
    """Say what is invented: ``demo`` names it, "machine and floor" or "floor"; "" gives ""."""
    if not demo:
        return ""
    return f"DEMO: {demo} {'are' if ' and ' in demo else 'is'} invented; no real one has these figures."


def marks(demo: str) -> dict[str, Any]:
    """Return what goes with figures wherever they go: ``demo`` (0 or 1) and the caution in words."""
    return {
        "demo": int(bool(demo)),
        "caution": " ".join(part for part in (demo_note(demo), ESTIMATE, GOVERNING) if part),
    }


def figure(what: str, of: str, value: float, unit: str) -> dict[str, Any]:
    """Return one figure of a report as a record, in an SI unit ("" for a pure number)."""
    return {"what": what, "of": of, "value": value, "unit": unit}


def to_frame(data: Sequence[Mapping[str, Any]] | Mapping[str, Any], facts: Mapping[str, Any]) -> Any:
    """Return records, one row each, or columns by name as a pandas table with facts in ``attrs``.

    Raises
    ------
    MissingPart
        pandas is not installed.
    """
    frame = _library("pandas", "a table for pandas").DataFrame(data)
    frame.attrs.update(facts)
    return frame


def to_dataset(
    arrays: Mapping[str, tuple[Any, ...]], facts: Mapping[str, Any], scales: Mapping[str, Any] | None = None
) -> Any:
    """Return arrays, each with the names of its axes, as an xarray dataset; an array named as its axis is its scale.

    Parameters
    ----------
    arrays : by name (axes, values), or (axes, values, facts about it)
    facts : about all of it
    scales : further scales, as arrays

    Raises
    ------
    MissingPart
        xarray is not installed.
    """
    xarray = _library("xarray", "a dataset for xarray")
    return xarray.Dataset(dict(arrays), coords=dict(scales or {}), attrs=dict(facts))


def _library(name: str, what: str) -> Any:
    try:
        return import_module(name)
    except ImportError as error:
        msg = f"{what} needs {name}"
        raise MissingPart(msg, install='pip install "tipline[data]"') from error
