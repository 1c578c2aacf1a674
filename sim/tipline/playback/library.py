"""three.js, out of the installed NiceGUI, which is never imported: its wheel carries one module with all of it."""

from __future__ import annotations

from functools import cache
from importlib import metadata

from tipline.errors import MissingPart

__all__ = ["EXPORTS", "LICENCE", "three"]

_PLACE = "nicegui/elements/scene/dist/index.js"
EXPORTS = ("THREE", "GLTFLoader", "OrbitControls")
"""What the page takes from the module."""
LICENCE = "three.js, (c) 2010-2025 three.js authors, MIT licence; as distributed with NiceGUI, MIT licence."


@cache
def three() -> str:
    """Give the text of the module.

    Raises
    ------
    MissingPart
        NiceGUI is not installed, or its version has no such module.
    """
    install = 'pip install "nicegui>=3.18"'
    try:
        path = metadata.distribution("nicegui").locate_file(_PLACE)
    except metadata.PackageNotFoundError as error:
        msg = "NiceGUI, whose three.js draws replays, is not installed"
        raise MissingPart(msg, install=install) from error
    try:
        with open(str(path), encoding="utf-8") as stream:  # noqa: PTH123 - of a distribution, not always a Path
            text = stream.read()
    except OSError as error:
        msg = f"the installed NiceGUI does not hold {_PLACE}, whose three.js draws replays"
        raise MissingPart(msg, install=install) from error
    exported = text[text.rindex("export{") :]
    missing = [
        name for name in EXPORTS if not any(mark in exported for mark in (f"as {name}", f"{{{name}", f",{name}"))
    ]
    if missing:
        msg = f"the three.js of the installed NiceGUI does not give {', '.join(missing)}"
        raise MissingPart(msg, install=install)
    return text
