"""The sources of the laws that a command rests on: the keys that the files of its rooms name, as the list has them."""

from __future__ import annotations

import re
import tomllib
from functools import cache

from tipline.model.shipped import PACKAGE

__all__ = ["sources_of"]

_TRUCK = ("geometry/*.py", "kernels/*.py", "statics/*.py", "pose/*.py", "mechanics/[jm]*.py", "mechanics/tyre.py")
_FLOOR = ("floors/**/*.py", "mechanics/*.py")
_ROOMS = {
    "check": _TRUCK,
    "run": (*_TRUCK, "engines/*.py", "runs/*.py"),
    "slopes": (*_TRUCK, "slope_limits/*.py"),
    "floor": ("statics/*.py", *_FLOOR),
    "loads": (*_TRUCK, "set_ups/*.py", "mechanics/rating.py"),
    "sweep": (*_TRUCK, "engines/*.py", "sweeps/*.py"),
    "reconstruct": (*_TRUCK, "engines/*.py", "sweeps/*.py", "incidents/*.py"),
}
"""Where the laws of each command stand; those of the floor are told where the floor is asked."""
_LINE = re.compile(r"^\s*Source: (.*(?:\n[ \t]+\S.*|\n\[.*)*)", re.MULTILINE)
_KEY = re.compile(r"\[([A-Z][A-Za-z0-9.]*)\]")


@cache
def sources_of(command: str) -> tuple[tuple[str, str], ...]:
    """Return the title of each source and the mark of how far it was read, by title."""
    keys: set[str] = set()
    for pattern in _ROOMS[command]:
        for path in PACKAGE.glob(pattern):
            for line in _LINE.findall(path.read_text(encoding="utf-8")):
                keys |= set(_KEY.findall(line))
    known = tomllib.loads((PACKAGE / "references.toml").read_text(encoding="utf-8"))
    entries = ((known[key], key) for key in keys if key in known and key != "Own")
    return tuple(sorted((_called(entry), entry["seen"]) for entry, _ in entries))


def _called(entry: dict[str, str]) -> str:
    by = entry.get("by", "")
    return f"{by}: {entry['title']}" if by else entry["title"]
