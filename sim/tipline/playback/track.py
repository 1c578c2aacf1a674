"""What a page shows of one run: words and facts, arrays over time, and the moving bodies; all of it from its story."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np

from tipline.model.plane import rectangle_about
from tipline.playback.bodies import body_names, moving_bodies
from tipline.playback.glb import Array
from tipline.units import System, show
from tipline.view import palette
from tipline.view.camera import cause_azimuth
from tipline.view.mark_sizes import arrow_offsets, arrow_scale, grid_step
from tipline.view.palette import spelled
from tipline.view.story import DrawnLine, DrawnTyre, Place, Story

if TYPE_CHECKING:
    from tipline.model.floor import Floor
    from tipline.playback.ghosts import Ghosts
    from tipline.runs.moments import Moments

__all__ = ["SYSTEMS", "Said", "Track", "Words", "in_both", "samples", "track"]

SYSTEMS: tuple[System, ...] = ("si", "us")
Words = dict[System, str]

_RATE = 50.0
"""Samples a second (our choice: the film has 25, and slow motion goes down to a tenth)."""
_LONGEST = 1.5
"""Length of the arrow of the greatest push [m] (our choice; beside a tyre load drawn to scale a push is not seen)."""
_EYE = 0.75
"""From the seat to the eyes of who sits on it [m] (our choice: a middling sitting adult)."""


@dataclass(frozen=True)
class Said:
    """What is said of a run beside its story: its heading and the sentences below it, in both systems."""

    heading: Words
    sentences: tuple[tuple[str, Words], ...] = ()


@dataclass(frozen=True)
class Track:
    """One run as a page plays it: facts (plain JSON values), series by name (n, width), glTF of its bodies.

    ``ghosts``: further runs of its spread, drawn faintly, where that is asked for.
    """

    facts: dict[str, Any]
    series: Mapping[str, Array] = field(repr=False)
    bodies: bytes = field(repr=False)
    ghosts: Ghosts | None = None


def in_both(say: Callable[[System], str]) -> Words:
    """Have a text made for both systems of units."""
    return {system: say(system) for system in SYSTEMS}


def track(stories: Mapping[System, Story], said: Said, floor: Floor, moments: Moments) -> Track:
    """Gather what a page shows of a run, told in both systems of units."""
    story = stories["si"]
    index = samples(story, [moment.time for moment in moments.all])
    facts = {
        "title": story.title,
        "marking": list(story.marking),
        "demo": bool(story.demo),
        "estimate": in_both(lambda system: spelled(story.estimate, system)),
        "heading": said.heading,
        "sentences": [[word, text] for word, text in said.sentences],
        "outcome": in_both(lambda system: ". ".join(_begun(spelled(line, system)) for line in stories[system].outcome)),
        "doubts": list(story.doubts),
        "end": float(story.time[-1]),
        "start_words": story.start_words,
        "tyres": [_tyre(tyre, aside) for tyre, aside in zip(story.tyres, arrow_offsets(story), strict=True)],
        "lines": [_line(line) for line in story.lines],
        "places": [_place(place) for place in story.places],
        "raised": [{"outline": outline.tolist(), "height": height} for outline, height in story.raised],
        "forces": [force.name for force in story.forces],
        "force_scale": max((float(_size(force.force).max()) for force in story.forces), default=1.0) / _LONGEST,
        "ramp": None if story.ramp is None else list(story.ramp),
        "ramp_words": in_both(lambda system: spelled(_ramp_words(story), system)),
        "areas": _areas(floor),
        "marks": [
            {
                "time": mark.time,
                "cause": mark.cause,
                "text": in_both(lambda system, k=number: spelled(stories[system].marks[k].text, system)),  # type: ignore[misc]
            }
            for number, mark in enumerate(story.marks)
        ],
        "moments": [
            {
                "kind": moment.kind,
                "time": moment.time,
                "text": in_both(lambda system, words=moment.words: spelled(words, system)),  # type: ignore[misc]
            }
            for moment in moments.all
        ],
        "ask": moments.ask,
        "left": moments.left,
        "worst": {
            "time": story.worst_time,
            "text": in_both(lambda system: spelled(stories[system].worst_words, system)),
        },
        "no_return": story.no_return,
        "cause": spelled(story.cause_words, "si"),
        "look": story.look.tolist(),
        "azimuth": cause_azimuth(story),
        "seat": _seat(story),
        "bodies": list(body_names(story)),
        "arrow": {system: arrow_scale(story, system) for system in SYSTEMS},
        "grid": {system: grid_step(system) for system in SYSTEMS},
    }
    return Track(facts, _series(story, index), moving_bodies(story, index))


def samples(story: Story, moments: Sequence[float] = ()) -> Array:
    """Give the samples (k,) that a page has: evenly by time, and those at which something happens or is worst."""
    time = story.time
    wanted = [np.arange(time[0], time[-1], 1.0 / _RATE), [time[-1], story.worst_time]]
    wanted += [[mark.time for mark in story.marks], [line.worst_time for line in story.lines if line.worst_time]]
    wanted.append(list(moments))
    near = np.concatenate([np.asarray(times, dtype=float) for times in wanted])
    near = near[np.isfinite(near)]
    after = np.clip(np.searchsorted(time, near), 1, len(time) - 1)
    return np.unique(np.where(near - time[after - 1] < time[after] - near, after - 1, after))


def _series(story: Story, index: Array) -> dict[str, Array]:
    index = index.astype(int)
    rows: dict[str, Array] = {
        "time": story.time,
        "balance": story.balance,
        "gravity": story.gravity,
        "slope": np.hypot(story.gravity[:, 0], story.gravity[:, 1]) / np.abs(story.gravity[:, 2]),
        "cause": story.cause_points,
        "roll": story.roll,
        "pitch": story.pitch,
    }
    for number, tyre in enumerate(story.tyres):
        rows |= {f"load.{number}": tyre.load, f"contact.{number}": tyre.contact}
    for number, line in enumerate(story.lines):
        rows |= {f"distance.{number}": line.distance, f"ends.{number}": line.ends.reshape(-1, 6)}
    for number, place in enumerate(story.places):
        rows[f"depth.{number}"] = place.depth
    for number, force in enumerate(story.forces):
        rows |= {f"force.{number}": force.force, f"point.{number}": force.point}
    for name, values in (("hook", story.hook), ("load_top", story.load_top), ("rope", story.rope_force)):
        if values is not None:
            rows[name] = values
    sampled = {name: values[index].reshape(len(index), -1) for name, values in rows.items()}
    return {**sampled, "fallen": story.lying[index][:, None].astype(float)}


def _tyre(tyre: DrawnTyre, aside: float) -> dict[str, Any]:
    name = in_both(lambda system: spelled(tyre.name, system))
    return {"name": name, "aside": aside, "front": tyre.front, "outboard": tyre.outboard}


def _line(line: DrawnLine) -> dict[str, Any]:
    side = line.name.split(".")[-1]
    what = "swing" if line.swing else "tip"
    return {
        "name": f"{what} {side}",
        "side": side,
        "swing": line.swing,
        "colour": palette.hex_of(palette.LINES[side]),
        "worst": _number(line.worst),
        "worst_time": _number(line.worst_time),
    }


def _place(place: Place) -> dict[str, Any]:
    return {
        "name": in_both(lambda system: spelled(place.name, system)),
        "kind": place.kind,
        "outline": place.outline.tolist(),
        "planned": place.planned,
    }


def _areas(floor: Floor) -> list[dict[str, Any]]:
    """Give the parts of the floor and what is laid on it, the latter last."""
    areas = [{"name": zone.name, "kind": zone.kind, "outline": zone.corners} for zone in floor.zone]
    areas += [
        {"name": laid.name, "kind": laid.kind, "outline": rectangle_about(laid.at, laid.size, laid.heading)}
        for laid in floor.spreader
    ]
    return [
        {**area, "colour": palette.hex_of(palette.PARTS.get(str(area["kind"]), palette.FLOOR))}
        for area in areas
        if area["outline"]
    ]


def _seat(story: Story) -> list[float] | None:
    """Give where the eyes of who drives are, in the truck frame: above the seat, below the guard."""
    cushions = [solid.vertices for solid in story.solids if solid.kind == "seat"]
    if not cushions:
        return None
    low = min(cushions, key=lambda points: float(points[:, 2].max()))
    middle = (low.min(axis=0) + low.max(axis=0)) / 2
    return [float(middle[0]), float(middle[1]), float(low[:, 2].max()) + _EYE]


def _size(force: Array) -> Array:
    return np.asarray(np.linalg.norm(force, axis=1))


def _begun(line: str) -> str:
    """Begin a line as a sentence."""
    return line[:1].upper() + line[1:]


def _ramp_words(story: Story) -> str:
    """Name the ramp: as seen from its edge on."""
    if story.ramp is None:
        return ""
    *_, steep, long = story.ramp
    slope = show(float(np.arctan(abs(steep))), "slope")
    return f"ramp {'up' if steep > 0.0 else 'down'}, {slope}, {show(long, 'length')} long"


def _number(value: float | None) -> float | None:
    return None if value is None or not np.isfinite(value) else float(value)
