"""`new`: a commented template of a file, to fill in."""

from __future__ import annotations

from pathlib import Path

from tipline.commands.given import named
from tipline.model.written import place_of, write_new
from tipline.scenario.templates import TemplateKind, template

__all__ = ["new"]


def new(kind: TemplateKind, name: Path | str) -> Path:
    """Write a commented template with every key of a kind of file explained; return its place.

    Parameters
    ----------
    kind : "machine", "floor", "scenario", "stock", "route", "sweep", "incident" or "lesson"
    name : of the new file, NAME.toml where one stands, or a path that ends in .toml

    Raises
    ------
    InputError
        There is no such kind, or there is a file at that place already.

    Examples
    --------
    >>> import tempfile, tipline
    >>> with tempfile.TemporaryDirectory() as place:
    ...     truck = tipline.new("machine", f"{place}/my-truck.toml")
    ...     tipline.check("service-stop-load-low", {"machine": str(truck), "setup.counterweight_extension": "0 m",
    ...                   "setup.ballast_slabs": 0, "load.mass": "4 t"}).stands
    'stands'
    """
    given = named(name, "name", "a name for the new file, or a path that ends in .toml")
    text = template(kind)
    place = Path(given) if given.lower().endswith(".toml") else place_of(None, given)
    return write_new(place, text)
