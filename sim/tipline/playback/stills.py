"""Stills made small enough to travel in a page, for browsers that draw nothing themselves."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

from tipline.playback.html import Still
from tipline.units import System

if TYPE_CHECKING:
    from tipline.playback.of_run import Played

__all__ = ["small_stills"]

_WIDE, _QUALITY = 960, 72
"""Width [pixels] and quality of the JPEG (our choice: some 50 kB each)."""


def small_stills(played: Played, folder: Path, system: System = "si", number: int = 0) -> list[Still]:
    """Give those stills of a run that lie in its folder; it is the run of this ``number`` in the page."""
    from tipline.playback.of_run import story_of
    from tipline.view.moments import moments
    from tipline.view.palette import spelled

    story = story_of(played, system)
    stills = []
    for name, index, caption in moments(story):
        file = folder / f"still-{name}.png"
        if file.is_file():
            time = float(story.time[index])
            stills.append(Still(spelled(caption, system), time, _small(file.read_bytes()), number))
    return stills


def _small(image: bytes) -> bytes:
    """Give a picture as a small JPEG."""
    from PIL import Image

    with Image.open(BytesIO(image)) as whole:
        picture = whole.convert("RGB")
    if picture.width > _WIDE:
        picture = picture.resize((_WIDE, round(picture.height * _WIDE / picture.width)))
    stream = BytesIO()
    picture.save(stream, "JPEG", quality=_QUALITY, optimize=True)
    return stream.getvalue()
