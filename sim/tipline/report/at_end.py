"""What a run leaves of its end, as tables and for other programs."""

from __future__ import annotations

from math import degrees, isnan, radians
from typing import TYPE_CHECKING, Any

from tipline.report import wording
from tipline.report.page import Table
from tipline.report.wording import moment, quantity
from tipline.units import System, show, show_alike

if TYPE_CHECKING:
    from collections.abc import Sequence

    from tipline.runs.at_end import AtEnd, FloorMark, Lie, TyreMark

__all__ = ["end_summary", "end_tables"]

_FINE, _FINE_ANGLE = 2, 1
"""Decimals of a metre and of a degree that are told: what a tape and a level tell on a site (our choice)."""
_PLACE = (
    "Place and height: of the truck the middle of its drive axle, of a lifted load its own middle; x and y as the "
    "floor has them. Angles are against the floor."
)


def end_tables(end: AtEnd, system: System) -> tuple[Table, Table]:
    """Say where truck and lifted load are and how they lie, and what marked the floor."""
    lies = {"truck": end.truck, **({} if end.lifted_load is None else {"lifted load": end.lifted_load})}
    columns = [
        _words(lie, system, stands="tyres or belly" if name == "truck" else "underside") for name, lie in lies.items()
    ]
    rows = tuple((what, *(column[what] for column in columns)) for what in columns[0])
    note = f"At {moment(end.time)}, the end of the run. {_PLACE}"
    return Table("Where it is at the end", ("what", *lies), rows, note), _marks(end, system)


def _words(lie: Lie, system: System, stands: str) -> dict[str, str]:
    """Say where a body is and how it lies; ``stands``: what it is on where it did not fall."""
    ahead, left = lie.moved
    return {
        "place on the floor": _spot(lie.place, system),
        "height": _length(lie.place[2], system),
        "gone since the start": ", ".join(
            _way(far, words, system)
            for far, words in ((ahead, ("ahead", "back")), (left, ("to the left", "to the right")))
            if round(far, _FINE)
        )
        or "not moved",
        "heading": f"{_angle(lie.heading, ('left of x', 'right of x'), 'along x')}; "
        f"{_angle(lie.turned, ('to the left', 'to the right'), 'not turned', 'turned by ')}",
        "roll": _angle(lie.roll, ("right side down", "left side down"), "level"),
        "pitch": _angle(lie.pitch, ("front down", "front up"), "level"),
        "lies or stands on": f"its {stands if lie.upright else lie.down}",
        "still moves": "no" if lie.at_rest else f"yes, at {show(lie.speed, 'speed', system, 2)}",
    }


def _spot(place: Sequence[float], system: System) -> str:
    x, y = show_alike([round(value, _FINE) for value in place[:2]], "length", system)
    return f"x {x}, y {y}"


def _length(value: float, system: System) -> str:
    return quantity(round(value, _FINE), "length", system)


def _way(far: float, words: tuple[str, str], system: System) -> str:
    return f"{_length(abs(far), system)} {words[far < 0.0]}"


def _angle(angle: float, words: tuple[str, str], none: str, before: str = "") -> str:
    shown = round(degrees(abs(angle)), _FINE_ANGLE)
    return f"{before}{quantity(radians(shown), 'angle', 'si')} {words[angle < 0.0]}" if shown else none


def _marks(end: AtEnd, system: System) -> Table:
    heads = ("what", "first touched", "last touched, how far", "at the end")
    rows: list[tuple[str, ...]] = [
        (
            f"{mark.body}, {mark.corner}",
            f"{moment(mark.since)} ({_spot(mark.first, system)})",
            f"{_spot(mark.last, system)}; {_length(mark.scraped, system)}",
            "on the floor" if mark.at_end else "off it",
        )
        for mark in end.marks
    ]
    rows += [_tyre(tyre, system) for tyre in end.tyres]
    note = (
        "Corners in the order in which they touched; how far: scraped while it touched. Tyres where they stand, or "
        "bore last; how far: skidded, with all of its friction used up."
    )
    return Table("What touched and marked the floor", heads, tuple(rows), note, brief=False)


def _tyre(tyre: TyreMark, system: System) -> tuple[str, ...]:
    down = f", {quantity(tyre.depth, 'length', system)} deep" if tyre.depth > 0.0 else ""
    return (
        f"tyre, {tyre.tyre}",
        "",
        f"{_spot(tyre.place, system)}{down}; "
        f"{wording.NOT_GIVEN if isnan(tyre.skidded) else _length(tyre.skidded, system)}",
        "on the floor" if tyre.on_floor else f"off it since {moment(tyre.until)}",
    )


def end_summary(end: AtEnd) -> dict[str, Any]:
    """Give the same under fixed names."""
    return {
        "time_s": end.time,
        "truck": _lie(end.truck),
        "lifted_load": None if end.lifted_load is None else _lie(end.lifted_load),
        "marks": [_mark(mark) for mark in end.marks],
        "tyres": {tyre.tyre: _tyre_mark(tyre) for tyre in end.tyres},
    }


def _lie(lie: Lie) -> dict[str, Any]:
    return {
        "place_m": list(lie.place),
        "moved_ahead_m": lie.moved[0],
        "moved_left_m": lie.moved[1],
        "heading_rad": lie.heading,
        "turned_rad": lie.turned,
        "roll_rad": lie.roll,
        "pitch_rad": lie.pitch,
        "side_down": lie.down,
        "speed_m_s": lie.speed,
        "turning_rad_s": lie.turning,
    }


def _mark(mark: FloorMark) -> dict[str, Any]:
    return {
        "of": mark.body,
        "corner": mark.corner,
        "first_time_s": mark.since,
        "first_m": list(mark.first),
        "last_m": list(mark.last),
        "scraped_m": mark.scraped,
        "on_floor": mark.at_end,
    }


def _tyre_mark(tyre: TyreMark) -> dict[str, Any]:
    return {
        "place_m": list(tyre.place),
        "depth_m": tyre.depth,
        "on_floor": tyre.on_floor,
        "until_s": tyre.until,
        "skidded_m": tyre.skidded,
    }
