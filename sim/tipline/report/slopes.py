"""The page of slope limits, its summary and table; texts only, nothing is computed."""

from __future__ import annotations

from math import degrees, isfinite, nan, pi, tan
from typing import TYPE_CHECKING, Any

from tipline.report import wording
from tipline.report.not_known import find_out_first, not_known_summary, worth_knowing
from tipline.report.page import ASSUMED, Links, Page, Pictures, PointList, Section, Table, first_of, further
from tipline.report.sections import captioned, spelled
from tipline.report.summary import explained
from tipline.report.wording import quantity
from tipline.scenario.driving import WALKING
from tipline.scenario.labels import height_of
from tipline.slope_limits.maps import WHAT, across
from tipline.statics.together import towards
from tipline.units import FOOT, KM_PER_HOUR, MILE_PER_HOUR, System

if TYPE_CHECKING:
    from tipline.slope_limits.maps import BrakingMap, Compared, Needed, RampRun, SlopeMap, SlopeReport

__all__ = ["SLOPES_SCHEMA", "slopes_page", "slopes_summary"]

SLOPES_SCHEMA = "tipline.slopes/1"
_MAIN = (("ahead", 0.0), ("left", pi / 2), ("behind", pi), ("right", -pi / 2))
_ASSUMED = "Not stated in the files, or stated without where it comes from; each may change the answer."
_OF_OWN_SET_UP = "Of the scenario's own set-up, by the nearest tip line."
_NOT_REACHED = "not reached"
_FEW = 2
"""Set-ups up to which each has its sentence, and the short page has its directions."""


def slopes_page(
    report: SlopeReport, system: System = "si", pictures: tuple[Pictures, ...] = (), links: Links = ()
) -> Page:
    """Give the page of slope limits; links: words and file of what lies beside the page."""
    sections: list[Section] = [
        PointList("Planning limit exceeded", report.exceeded),
        PointList("Least limits in words", _sentences(report, system)),
        *further(pictures),
        _by_height(report, system),
        _main(report, system),
        _braking(report, system),
        _simulated(report, system),
        _driven(report, system),
        _turns(report, system),
        _stops(report, system),
        _needed(report, system),
        *_every_limit(report, system),
        worth_knowing(report.not_known, system, _OF_OWN_SET_UP),
        PointList("What is in these limits", report.notes),
        PointList(ASSUMED, tuple(text.removesuffix(", assumed") for text in report.assumed), _ASSUMED),
        PointList("What governs", report.governs),
    ]
    return Page(
        title=f"Slope limits: {report.title}",
        mark=wording.mark(report.demo, "computed; slope limits", report.assumed_count),
        lead=wording.spell(_lead(report, system), system),
        demo=report.demo,
        sections=spelled(sections, system),
        said=_said(report, system),
        picture=captioned(first_of(pictures), system),
        links=links,
    )


def _said(report: SlopeReport, system: System) -> tuple[tuple[str, str], ...]:
    """Say what goes first at the least slope, and what the truck's own stop leaves of it."""
    worst, index = report.worst
    sentences = []
    if worst.stands and isfinite(worst.first[index]):
        sentences.append(("What goes first", f"{_clause(worst, index)}."))
    sentences += [("Its own stop", sentence) for sentence in _stop_sentence(report, system)]
    if report.exceeded:
        sentences.append(("Planning limit", f"Exceeded: {report.exceeded[0]}."))
    sentences += find_out_first(report.not_known, system)
    return tuple((word, wording.spell(f"{said[:1].upper()}{said[1:]}", system)) for word, said in sentences)


def slope(value: float, system: System) -> str:
    """Give a slope in the units people use: percent and degrees, in US units inches a foot as well."""
    if not isfinite(value):
        return _NOT_REACHED
    more = f", {12 * tan(value):.2g} in/ft" if system == "us" else ""
    return f"{_percent(value)} ({degrees(value):.1f} deg{more})"


def _percent(value: float) -> str:
    """Give a slope [rad] to a tenth of a percent; finer than that no statics of a truck on tyres is."""
    return f"{100 * tan(value) + 0.0:.1f} %" if isfinite(value) else _NOT_REACHED


def _where(slope_map: SlopeMap, system: System) -> str:
    label = f"; {slope_map.label}" if slope_map.label else ""
    return f"{height_of(slope_map.hook)} {quantity(slope_map.height, 'length', system)}{label}"


def _lead(report: SlopeReport, system: System) -> str:
    worst, index = report.worst
    if not worst.stands:
        return f"does not stand on a level floor at {_where(worst, system)}"
    if not isfinite(worst.first[index]):
        return "nothing goes up to the steepest slope looked at"
    least = _percent(float(worst.first[index]))
    return (
        f"least slope limit at rest {least}, falling {towards(float(worst.azimuth[index]))}, at {_where(worst, system)}"
    )


def _sentences(report: SlopeReport, system: System) -> tuple[str, ...]:
    out = []
    for slope_map in report.maps if len(report.maps) <= _FEW else (report.worst[0],):
        if not slope_map.stands:
            out.append(f"At {_where(slope_map, system)} it does not stand on a level floor.")
            continue
        index = slope_map.worst
        value = float(slope_map.first[index])
        if not isfinite(value):
            out.append(f"At {_where(slope_map, system)} nothing goes up to the steepest slope looked at.")
            continue
        wide, long = across(value, float(slope_map.azimuth[index]), report.track, report.wheelbase)
        apart = [f"{wording.gap(wide, system)} across the drive tyres"] if wide > 5e-3 else []
        apart += [f"{wording.gap(long, system)} from axle to axle"] if long > 5e-3 else []
        out.append(
            f"At {_where(slope_map, system)}: where the floor falls {towards(float(slope_map.azimuth[index]))} by "
            f"{slope(value, system)}, {_clause(slope_map, index)}; that is {' and '.join(apart)}. In every other "
            "direction it takes as much or more."
        )
    turned = sorted((run for run in report.simulated if isfinite(run.first[1])), key=lambda run: run.first[1])
    sentences = (_turned_sentence(run, system) for run in turned[:1])
    driven = (_ramp_sentence(run, system) for run in report.driven if not run.label)
    return (*out, *_stop_sentence(report, system), *sentences, *driven)


def _stop_sentence(report: SlopeReport, system: System) -> tuple[str, ...]:
    """Say what is left of the limit in the truck's own stops: of those too much on a level floor the lowest one."""
    braked = [braking for braking in report.braking if isfinite(braking.first[braking.worst])]
    if not braked:
        return ()
    # what tips, swings or drops the load before what only slips, the lower fork before the higher one
    most = min(
        braked,
        key=lambda braking: (braking.first[braking.worst], braking.what[braking.worst] == "rolls", braking.height),
    )
    value, what = float(most.first[most.worst]), _what_of(most.what[most.worst])
    height = f"{height_of(most.hook)} {quantity(most.height, 'length', system)}"
    label = f"; {most.label}" if most.label else ""
    said = what if what.startswith(("a ", "the ")) else f"it {what}"
    stop = f"In its own {most.stop} {_sense(most.sense)}, at {height}{label}, {said}"
    word = f"taken as a {report.stops[0].word}"
    if value <= 0.0:
        return (f"{stop} even on a level floor; the stop is {word}.",)
    return (f"{stop} where the floor falls {towards(float(most.azimuth[most.worst]))} by {_percent(value)}; {word}.",)


def _turned_sentence(run: Compared, system: System) -> str:
    height = f"{height_of(run.hook)} {quantity(run.height, 'length', system)}"
    over = f", over to the {run.over} {_from(run.tips)}" if run.over else ""
    return f"At {height}, falling {towards(run.azimuth)}, simulated, the least: {run.what} {_from(run.first)}{over}."


def _ramp_sentence(run: RampRun, system: System) -> str:
    stop = f" and stopping there ({run.stop})" if run.stop else ""
    height = f"{height_of(run.hook)} {quantity(run.height, 'length', system)}"
    speed = _speed(run.speed, system)
    start = f"At {height}, driving {_sense(run.sense)} {run.goes} a ramp at {speed}{stop}, simulated: "
    over = f"over to the {run.over} {_from(run.tips)}" if run.over else f"not over up to {_held(run)}"
    if not run.what:
        return f"{start}nothing goes up to {_held(run)}."
    return f"{start}{run.what} {_from(run.first)}, {over}."


def _held(run: RampRun) -> str:
    return _percent(run.tips[0])


def _from(pair: tuple[float, float]) -> str:
    low, high = pair
    text = _percent(high)
    return f"at {text}" if isfinite(low) else f"already at {text} and less"


def _sense(sense: int) -> str:
    return "forward" if sense > 0 else "in reverse"


def _clause(slope_map: SlopeMap, index: int) -> str:
    words = slope_map.words(index)
    return words if words.startswith(("the ", slope_map.tyre[index] or " ")) else f"it {words}"


def _by_height(report: SlopeReport, system: System) -> Table:
    rows = []
    for slope_map in report.maps:
        index = slope_map.worst
        rows.append(
            (
                _where(slope_map, system),
                slope(float(slope_map.first[index]), system),
                towards(float(slope_map.azimuth[index])) if slope_map.stands else "",
                slope_map.words(index),
            )
        )
    return Table("Least slope limit by height", ("set-up", "limit", "floor falling", "what goes first"), tuple(rows))


def _main(report: SlopeReport, system: System) -> Table:
    rows = []
    for slope_map in report.maps:
        for name, azimuth in _MAIN:
            index = slope_map.at(azimuth)
            value = float(slope_map.first[index])
            wide, long = across(value, azimuth, report.track, report.wheelbase)
            apart = wording.gap(wide if name in ("left", "right") else long, system) if isfinite(value) else ""
            rows.append((_where(slope_map, system), name, slope(value, system), apart, slope_map.words(index)))
    note = (
        f"Tyres apart in height: left and right across the drive tyres, {quantity(report.track, 'length', system)}; "
        f"ahead and behind from axle to axle, {quantity(report.wheelbase, 'length', system)}."
    )
    columns = ("set-up", "floor falling", "limit", "tyres apart in height", "what goes first")
    return Table("Ahead, left, behind, right", columns, tuple(rows), note, brief=len(report.maps) <= _FEW)


def _every_limit(report: SlopeReport, system: System) -> tuple[Table, ...]:
    rows = []
    for slope_map in report.maps:
        for name, azimuth in _MAIN:
            index = slope_map.at(azimuth)
            cells = (_percent(float(slope_map.limits[what][index])) for what in WHAT)
            rows.append((_where(slope_map, system), name, *cells))
    note = (
        "Each as if what goes before it were held off. Not reached: not before it tips, or not up to 50 %. "
        "slopes.csv holds every direction."
    )
    columns = ("set-up", "floor falling", "a tyre lifts", "the frame swings", *WHAT[2:])
    return (Table("Every limit", columns, tuple(rows), note, brief=False),)


def _simulated(report: SlopeReport, system: System) -> Table:
    rows = []
    for run in report.simulated:
        rows.append(
            (
                f"{height_of(run.hook)} {quantity(run.height, 'length', system)}",
                towards(run.azimuth),
                f"{_percent(run.static_first)}: {run.static_what}",
                _between(run.first) + (f": {run.what}" if run.what else ""),
                _percent(run.static_tips),
                _between(run.tips) + (f" to the {run.over}" if run.over else ""),
            )
        )
    note = (
        "Simulated on a firm floor turned by 3 degrees a second and held, by bisection: between the steepest that held "
        "and the least that did not. In statics a load slips and a truck slides at once; simulated it counts once it "
        "has moved by 30 mm, or a tyre is off for 10 ms. A frame that swings falls onto its stop, and may go over "
        "where it swings though it would stand on its stop at rest."
    )
    columns = ("set-up", "floor falling", "first, statics", "first, simulated", "over, statics", "over, simulated")
    return Table("Statics beside simulation", columns, tuple(rows), note)


def _braking(report: SlopeReport, system: System) -> Table:
    rows = []
    for braking in report.braking:
        aside = min(
            (braking.at(pi / 2), braking.at(-pi / 2)),
            key=lambda k: braking.first[k] if isfinite(braking.first[k]) else pi,
        )
        cells = (_braked(braking, k) for k in (braking.at(0.0), aside, braking.at(pi), braking.worst))
        label = f"; {braking.label}" if braking.label else ""
        rows.append(
            (
                f"{height_of(braking.hook)} {quantity(braking.height, 'length', system)}{label}",
                f"{braking.stop}, {quantity(braking.deceleration, 'acceleration', system)}, {_sense(braking.sense)}",
                *cells,
            )
        )
    note = (
        f"The truck's own stops, each as a {report.stops[0].word}, along its heading, on a floor that falls ahead, "
        "aside or behind. A stop from the truck's own speed may end before it tips, and let it come back: a run tells. "
        "Even on a level floor: that stop needs no slope. Where the drive tyres slip, a harder brake stops no harder."
    )
    columns = ("set-up", "stop", "falling ahead", "aside", "behind", "least")
    return Table("Slope limits while braking", columns, tuple(rows), note, brief=len(report.maps) <= _FEW)


def _braked(braking: BrakingMap, index: int) -> str:
    value, what = float(braking.first[index]), _what_of(braking.what[index])
    if not isfinite(value):
        return _NOT_REACHED
    return f"{_braked_limit(value)}: {what}"


def _braked_limit(value: float) -> str:
    return "even on a level floor" if value <= 0.0 else _percent(value)


def _driven(report: SlopeReport, system: System) -> Table:
    rows = []
    for run in report.driven:
        stop = f"{run.stop}, {quantity(run.deceleration, 'acceleration', system)}" if run.stop else "none"
        static = _braked_limit(run.static)
        rows.append(
            (
                f"{_sense(run.sense)}, {run.goes} the ramp, {_speed(run.speed, system)}",
                stop,
                towards(run.azimuth),
                static + (f": {_what_of(run.static_what)}" if run.static_what else ""),
                _between(run.first) + (f": {run.what}" if run.what else ""),
                _between(run.tips) + (f" to the {run.over}" if run.over else ""),
            )
        )
    height = report.driven[0] if report.driven else None
    where = f"At {height_of(height.hook)} {quantity(height.height, 'length', system)}. " if height is not None else ""
    note = (
        f"{where}Driven straight onto a firm ramp with a sharp edge at a steady speed; a stop begins with the last "
        f"axle {quantity(0.5, 'length', system)} on it and keeps its deceleration. Between the steepest that held and "
        "the least that did not, up to 30 %; a tyre lifts where it is off for 10 ms. Statics: the lower of driving on "
        "and of the steady stop; what the edge and the end of the stop add is in the simulation alone. Not in either: "
        "rounded edges, steering, a driver who slows down."
    )
    columns = ("driving", "stop", "floor falling", "first, statics", "first, simulated", "over, simulated")
    return Table("Onto a ramp", columns, tuple(rows), note)


def _between(pair: tuple[float, float]) -> str:
    low, high = pair
    if not isfinite(high):
        return f"not up to {_percent(low)}" if isfinite(low) else "not looked for"
    if not isfinite(low):
        return f"below {_percent(high)}"
    held, went = _percent(low), _percent(high)
    return went if held == went else f"{held} to {went}"


def _turns(report: SlopeReport, system: System) -> Table:
    radii = [FOOT * feet for feet in (6.0, 10.0, 15.0, 30.0)] if system == "us" else [2.0, 3.0, 5.0, 10.0]
    rows = [
        (
            _where(slope_map, system),
            *(_speed(turn.at(radius), system) for radius in radii),
            _what_of(turn.what),
        )
        for turn, slope_map in zip(report.turns, report.maps, strict=True)
    ]
    heads = (f"at {quantity(radius, 'length', system)}" for radius in radii)
    note = "Level floor, radius of the path of the truck's centre of gravity, no slope, no braking; the worse side."
    return Table(
        "Greatest steady speed in a turn", ("set-up", *heads, "what goes first"), tuple(rows), note, brief=False
    )


def _what_of(what: str) -> str:
    return {
        "lifts": "a tyre lifts", "swings": "the frame swings", "slides": "slides aside", "tips": "tips",
        "rolls": "the drive tyres slip", "load slips": "the load slips", "load topples": "the load topples",
        "": _NOT_REACHED,
    }[what]  # fmt: skip


def _speed(value: float, system: System) -> str:
    if not isfinite(value):
        return _NOT_REACHED
    return f"{value / MILE_PER_HOUR:.1f} mph" if system == "us" else f"{value / KM_PER_HOUR:.1f} km/h"


def _stops(report: SlopeReport, system: System) -> Table:
    rows = []
    for stop in report.stops:
        lengths = {sense: stop.length(sense) for sense in ("forward", "reverse")}
        for k, height in enumerate(stop.heights):
            label = f"; {stop.label}" if stop.label else ""
            rows.append(
                (
                    f"{height_of(stop.hook)} {quantity(height, 'length', system)}{label}",
                    quantity(stop.forward[k], "acceleration", system).replace("not given", _NOT_REACHED),
                    quantity(lengths["forward"][k], "length", system).replace("not given", ""),
                    _what_of(stop.forward_what[k]),
                    quantity(stop.reverse[k], "acceleration", system).replace("not given", _NOT_REACHED),
                    _what_of(stop.reverse_what[k]),
                )
            )
    note = (
        f"Level floor, {report.stops[0].word}; stop: its length from {_speed(WALKING, system)}. Where the drive tyres "
        "slip, a harder brake stops no harder."
    )
    columns = ("set-up", "driving forward", "stop", "what goes first", "in reverse", "what goes first in reverse")
    return Table("Greatest deceleration by height", columns, tuple(rows), note, brief=False)


def _needed(report: SlopeReport, system: System) -> Table:
    def limit(need: Needed) -> str:
        text = quantity(need.limit, need.dimension, system).replace("not given", _NOT_REACHED)
        return "none" if need.limit == 0.0 else text

    rows = tuple((need.name, quantity(need.asked, need.dimension, system), limit(need)) for need in report.needed)
    return Table("What the scenario itself needs", ("what", "needed", "limit"), rows, "At its own height.")


def slopes_summary(report: SlopeReport, facts: dict[str, Any] | None = None) -> dict[str, Any]:
    """Give the summary of slope limits; slopes in percent, None where not reached."""
    worst, index = report.worst
    summary: dict[str, Any] = {
        "schema": SLOPES_SCHEMA,
        "title": report.title,
        "demo": bool(report.demo),
        "demo_of": report.demo or None,
        "least": {
            "set_up": worst.label or "as in the scenario",
            "height_m": worst.height,
            "azimuth_deg": degrees(float(worst.azimuth[index])),
            "percent": 100.0 * tan(float(worst.first[index])),
            "degrees": degrees(float(worst.first[index])),
            "what": worst.words(index),
        },
        "limits": report.rows(),
        "not_known": not_known_summary(report.not_known),
        "turns": [
            {
                "set_up": turn.label or "as in the scenario",
                "height_m": turn.height,
                "sideways_acceleration_m_s2": turn.pull,
                "what": turn.what,
                "radius_m": list(turn.radius),
                "speed_m_s": list(turn.speed),
            }
            for turn in report.turns
        ],
        "stops": [
            {
                "set_up": stop.label or "as in the scenario",
                "height_m": list(stop.heights),
                "forward_m_s2": list(stop.forward),
                "forward_what": list(stop.forward_what),
                "reverse_m_s2": list(stop.reverse),
                "reverse_what": list(stop.reverse_what),
            }
            for stop in report.stops
        ],
        "braking": [
            {
                "set_up": braking.label or "as in the scenario",
                "height_m": braking.height,
                "stop": braking.stop,
                "deceleration_m_s2": braking.deceleration,
                "driving": _sense(braking.sense),
                "azimuth_deg": [round(degrees(value), 6) for value in braking.azimuth],
                "percent": [_of(float(value)) for value in braking.first],
                "what": list(braking.what),
            }
            for braking in report.braking
        ],
        "driven": [
            {
                "set_up": run.label or "as in the scenario",
                "height_m": run.height,
                "ramp": run.goes,
                "driving": _sense(run.sense),
                "speed_m_s": run.speed,
                "stop": run.stop or None,
                "deceleration_m_s2": run.deceleration,
                "azimuth_deg": degrees(run.azimuth),
                "static_percent": _of(run.static),
                "static_what": run.static_what,
                "simulated_first_percent": [_of(value) for value in run.first],
                "simulated_what": run.what,
                "simulated_over_percent": [_of(value) for value in run.tips],
                "over": run.over,
                "runs": run.runs,
            }
            for run in report.driven
        ],
        "simulated": [
            {
                "height_m": run.height,
                "azimuth_deg": degrees(run.azimuth),
                "static_first_percent": _of(run.static_first),
                "static_what": run.static_what,
                "static_tips_percent": _of(run.static_tips),
                "simulated_first_percent": [_of(value) for value in run.first],
                "simulated_what": run.what,
                "simulated_over_percent": [_of(value) for value in run.tips],
                "over": run.over,
                "runs": run.runs,
            }
            for run in report.simulated
        ],
        "planning_limits_exceeded": list(report.exceeded),
        "notes": list(report.notes),
        "assumed": list(report.assumed),
        "governs": list(report.governs),
        "timings_s": {"solving": report.solve_time, "braking": report.braking_time},
        **(facts or {}),
    }
    return explained(summary, report.reasons)


def _of(value: float) -> float:
    return 100.0 * tan(value) if isfinite(value) else nan
