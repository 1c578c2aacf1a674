"""A new file for people to change: where it goes, and that nothing there is written over."""

from __future__ import annotations

from pathlib import Path

from tipline.errors import InputError
from tipline.printable import printable

__all__ = ["place_of", "write_new"]

TAKEN = "there is a file already, and nothing is written over it"


def place_of(to: Path | str | None, name: str) -> Path:
    """Return the place of a new file: as given, in a folder that is given, or of the name where one stands."""
    own = f"{name}.toml"
    if to is None:
        return Path(own)
    return Path(to) / own if Path(to).is_dir() else Path(to)


def write_new(path: Path, text: str) -> Path:
    """Write a text to a file that is not there yet; raises InputError where it is, or where none can be."""
    shown = printable(str(path))
    try:
        with path.open("x", encoding="utf-8", newline="\n") as file:
            file.write(text)
    except FileExistsError as error:
        raise InputError(TAKEN, file=shown, remedy="Give another name, or move the old file away") from error
    except (OSError, ValueError) as error:
        reason = f"cannot be written ({getattr(error, 'strerror', None) or error})"
        raise InputError(reason, file=shown, remedy="Check the folder and its rights") from error
    return path
