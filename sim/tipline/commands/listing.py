"""`list`: the files that come with the program, and a copy of one to change."""

from __future__ import annotations

import tomllib
from pathlib import Path

from tipline.commands.given import named
from tipline.errors import InputError, argument
from tipline.model.shipped import Kind, find, list_shipped
from tipline.model.written import place_of, write_new

__all__ = ["copy_shipped", "kind_of_copy", "shipped"]

_COPIED = """\
# A copy of {name}, to change. What was invented in it stays marked "demo" until you change a value and its origin:
# write "plate", "drawing", "measured" or "told" for what you know, and set demo = false where nothing invented is left.

"""


def shipped(kind: str | None = None) -> dict[str, dict[str, str]]:
    """Give the title of every file that comes with the program, by kind and name.

    Parameters
    ----------
    kind : only of this kind, as "scenario" or "scenarios"; left out, of all

    Raises
    ------
    InputError
        There is no such kind.

    Examples
    --------
    >>> import tipline
    >>> sorted(tipline.shipped()["machine"])
    ['demo-truck-a', 'demo-truck-b', 'demo-truck-c']
    """
    titles: dict[str, dict[str, str]] = {}
    for own, names in _wanted(kind).items():
        texts = {name: find(own, name)[0].read_text(encoding="utf-8") for name in names}
        titles[own] = {name: str(tomllib.loads(text).get("title", "")) for name, text in texts.items()}
    return titles


def _wanted(kind: str | None) -> dict[Kind, tuple[str, ...]]:
    kinds = list_shipped()
    if kind is None:
        return kinds
    own = named(kind, "kind", "a kind of shipped file").removesuffix("s")
    if own not in kinds:
        msg = f"{kind!r} is no kind of shipped file"
        raise InputError(msg, remedy=f"Give one of {', '.join(f'{each}s' for each in kinds)}")
    return {each: names for each, names in kinds.items() if each == own}


def copy_shipped(name: str, to: Path | str | None = None) -> Path:
    """Copy a file that comes with the program to where one may change it; return its place.

    Parameters
    ----------
    name : of the shipped file
    to : the new file, or the folder to put it in; left out, one of the same name where one stands

    Raises
    ------
    InputError
        There is no such shipped file, or there is a file at that place already.

    Examples
    --------
    >>> import tempfile, tipline
    >>> with tempfile.TemporaryDirectory() as place:
    ...     copy = tipline.copy_shipped("demo-truck-a", f"{place}/my-truck.toml")
    ...     tipline.check("service-stop-load-low", {"machine": str(copy)}).demo
    'machine, floor and lifted load'
    """
    given = named(name, "name", "the name of a shipped file")
    source, shown = find(kind_of_copy(given), given)
    text = source.read_text(encoding="utf-8")
    return write_new(place_of(to, given), _COPIED.format(name=shown) + text)


def kind_of_copy(name: str) -> Kind:
    """Return of which kind a shipped name is; for an unknown one any kind, whose finder then says what there is."""
    kinds = list_shipped()
    shipped_kind = next((kind for kind, names in kinds.items() if name in names), None)
    if shipped_kind is None:
        every = sorted(name for names in kinds.values() for name in names)
        msg = "no shipped file of that name"
        remedy = f"Give one of those that tipline list shows, such as {every[0]}"
        raise InputError(msg, key=argument("copy"), value=repr(name), remedy=remedy)
    return shipped_kind
