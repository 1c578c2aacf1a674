"""`list`: the files that come with the program."""

from __future__ import annotations

import tomllib

from tipline.model.shipped import find, list_shipped

__all__ = ["shipped"]


def shipped() -> dict[str, dict[str, str]]:
    """Give the title of every file that comes with the program, by kind and name.

    Examples
    --------
    >>> import tipline
    >>> sorted(tipline.shipped()["machine"])
    ['demo-truck-a', 'demo-truck-b', 'demo-truck-c']
    """
    titles: dict[str, dict[str, str]] = {}
    for kind, names in list_shipped().items():
        texts = {name: find(kind, name)[0].read_text(encoding="utf-8") for name in names}
        titles[kind] = {name: str(tomllib.loads(text).get("title", "")) for name, text in texts.items()}
    return titles
