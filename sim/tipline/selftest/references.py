"""The list of sources, read from the file beside the package."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib import resources

__all__ = ["Reference", "references"]


@dataclass(frozen=True)
class Reference:
    """One source: what it is, who wrote it, where it was found and how far it was read."""

    key: str
    title: str
    where: str
    seen: str
    by: str = ""


@cache
def references() -> dict[str, Reference]:
    """Give every source by its key."""
    text = resources.files("tipline").joinpath("references.toml").read_text(encoding="utf-8")
    return {key: Reference(key=key, **entry) for key, entry in tomllib.loads(text).items()}
