"""One page in one file: the scripts and styles of `page`, the library, and what is played, packed into it."""

from __future__ import annotations

import base64
import gzip
import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from importlib import resources
from typing import Any

import numpy as np

from tipline.playback.library import LICENCE, three
from tipline.playback.numbers import RULES
from tipline.playback.track import Track, Words
from tipline.runs.moments import REACTION
from tipline.units import System
from tipline.view import palette

__all__ = ["Still", "page_html"]

SCRIPTS = (
    "unpack",
    "numbers",
    "track",
    "paint",
    "ghosts",
    "marks",
    "stage",
    "cameras",
    "charts",
    "labels",
    "panel",
    "stills",
    "pictures",
    "replay",
    "lesson",
    "main",
)
"""In this order: what is used stands before what uses it."""


@dataclass(frozen=True)
class Still:
    """A picture for browsers that draw none: its caption, its time [s], a JPEG, and of which run of the page it is."""

    caption: str
    time: float
    data: bytes
    run: int = 0

    @property
    def address(self) -> str:
        """The picture as an address of its own."""
        return f"data:image/jpeg;base64,{base64.b64encode(self.data).decode()}"


def page_html(
    tracks: Sequence[Track],
    lead: Words,
    said: Words,
    system: System = "si",
    stills: Sequence[Still] = (),
    more: Mapping[str, Any] | None = None,
    handout: Mapping[System, Mapping[str, Any]] | None = None,
) -> str:
    """Give the whole page; `more` is added to what its scripts read, `handout` is what it prints in either system.

    Raises
    ------
    MissingPart
        NiceGUI, whose three.js draws the bodies, is not installed.
    """
    first = tracks[0].facts
    data = {
        "title": first["title"],
        "runs": len(tracks),
        "shown": list(range(min(len(tracks), 2))),
        "reaction": REACTION,
        "system": system,
        "rules": RULES,
        "colours": _colours(),
        **(more or {}),
    }
    packs = [("page", _packed(_json(data))), ("three", _packed(three().encode()))]
    for number, track in enumerate(tracks):
        series = [[name, values.shape[1]] for name, values in track.series.items()]
        facts = {**track.facts, "series": series, "count": len(track.series["time"])}
        numbers = np.concatenate([values.ravel() for values in track.series.values()]).astype("<f4")
        parts = {"facts": _json(facts), "series": numbers.tobytes(), "bodies": track.bodies}
        if track.ghosts is not None:
            facts["ghosts"] = track.ghosts.facts
            parts["facts"], parts["ghosts"] = _json(facts), track.ghosts.places.tobytes()
        packs += [(f"{name}.{number}", _packed(part)) for name, part in parts.items()]
    script = "\n".join(_text(f"{name}.js") for name in SCRIPTS)
    style = _text("page.css")
    marks = [mark for mark in first["marking"] if mark != "DEMO"]
    text: str = _template().render(
        title=first["title"],
        policy=_policy(script, style),
        style=_unescaped(style),
        script=_unescaped(script),
        lead=lead[system],
        said=said[system],
        demo=any(track.facts["demo"] for track in tracks),
        marking=" \u00b7 ".join(marks),
        stills=stills,
        handouts=handout or {},
        system=system,
        licence=LICENCE,
        packs=packs,
    )
    return text


def _policy(script: str, style: str) -> str:
    """Allow this page's own script and style, by what they hold, the library out of the page, and nothing else."""
    own = {
        kind: base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
        for kind, text in (("script", script), ("style", style))
    }
    return (
        f"default-src 'none'; script-src 'sha256-{own['script']}' blob:; style-src 'sha256-{own['style']}'; "
        "img-src data:; base-uri 'none'; form-action 'none'"
    )


def _packed(data: bytes) -> str:
    return base64.b64encode(gzip.compress(data, 6, mtime=0)).decode()


def _json(value: Any) -> bytes:
    return json.dumps(value, separators=(",", ":"), allow_nan=False).encode()


def _colours() -> dict[str, Any]:
    shown = (
        "ink",
        "muted",
        "paper",
        "panel",
        "edge",
        "sky",
        "floor",
        "grid",
        "hole",
        "soft",
        "arrow",
        "ramp",
        "raised",
        "warn",
    )
    names: dict[str, palette.Colour] = {name: getattr(palette, name.upper()) for name in shown}
    colours: dict[str, Any] = {name: palette.hex_of(colour) for name, colour in names.items()}
    return {**colours, "cycle": [palette.hex_of(colour) for colour in palette.CYCLE]}


def _text(name: str) -> str:
    return (resources.files("tipline.playback") / "page" / name).read_text(encoding="utf-8")


def _template() -> Any:
    from jinja2 import Environment, StrictUndefined

    return Environment(autoescape=True, undefined=StrictUndefined, trim_blocks=True).from_string(
        _text("replay.html.jinja")
    )


def _unescaped(text: str) -> Any:
    """Give a text of our own as it is: scripts and styles have no markup in them."""
    from markupsafe import Markup

    return Markup(text)
