"""Stills made small enough to travel in a page, for browsers that draw nothing themselves."""

from __future__ import annotations

from io import BytesIO

from tipline.playback.html import Still

__all__ = ["small_still"]

_WIDE, _QUALITY = 960, 72
"""Width [pixels] and quality of the JPEG (our choice: some 50 kB each)."""


def small_still(caption: str, image: bytes) -> Still:
    """Give a picture as a small JPEG."""
    from PIL import Image

    with Image.open(BytesIO(image)) as whole:
        picture = whole.convert("RGB")
    if picture.width > _WIDE:
        picture = picture.resize((_WIDE, round(picture.height * _WIDE / picture.width)))
    stream = BytesIO()
    picture.save(stream, "JPEG", quality=_QUALITY, optimize=True)
    return Still(caption, stream.getvalue())
