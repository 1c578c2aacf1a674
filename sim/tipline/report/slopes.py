"""The page of slope limits, its summary and table; texts only, nothing is computed."""

from __future__ import annotations

from math import degrees, isfinite, nan, pi, tan
from typing import TYPE_CHECKING, Any

from tipline.report import wording
from tipline.report.page import Page, Pictures, PointList, Section, Table, first_of, further
from tipline.report.sections import captioned, spelled
from tipline.report.summary import explained
from tipline.report.wording import System, quantity
from tipline.scenario.driving import WALKING
from tipline.scenario.labels import height_of
from tipline.slope_limits.assessment import WHAT, across
from tipline.statics.together import towards
from tipline.units import FOOT, KM_PER_HOUR, MILE_PER_HOUR

if TYPE_CHECKING:
    from tipline.slope_limits.assessment import BrakingMap, Compared, Needed, RampRun, SlopeMap, SlopeReport

__all__ = ["SLOPES_SCHEMA", "slopes_page", "slopes_summary"]

SLOPES_SCHEMA = "tipline.slopes/1"
_MAIN = (("ahead", 0.0), ("left", pi / 2), ("behind", pi), ("right", -pi / 2))
_ASSUMED = "Not stated in the files, or stated without where it comes from; each may change the answer."
_NOT_REACHED = "not reached"
_FEW = 2
"""Set-ups up to which each has its sentence, and the short page has its directions."""


def slopes_page(report: SlopeReport, system: System = "si", pictures: tuple[Pictures, ...] = ()) -> Page:
    """Give the page of slope limits."""
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
        PointList("What is in these limits", report.notes),
        PointList("Assumed", tuple(text.removesuffix(", assumed") for text in report.assumed), _ASSUMED),
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
    )


def _said(report: SlopeReport, system: System) -> tuple[tuple[str, str], ...]:
    """Say what goes first at the least slope, and what the truck's own stop leaves of it."""
    one, index = report.worst
    found = []
    if one.stands and isfinite(one.first[index]):
        found.append(("What goes first", f"{_clause(one, index)}."))
    found += [("Its own stop", sentence) for sentence in _stop_sentence(report, system)]
    if report.exceeded:
        found.append(("Planning limit", f"Exceeded: {report.exceeded[0]}."))
    return tuple((word, wording.spell(f"{said[:1].upper()}{said[1:]}", system)) for word, said in found)


def slope(value: float, system: System) -> str:
    """Give a slope in the units people use: percent and degrees, in US units inches a foot as well."""
    if not isfinite(value):
        return _NOT_REACHED
    more = f", {12 * tan(value):.2g} in/ft" if system == "us" else ""
    return f"{_percent(value)} ({degrees(value):.1f} deg{more})"


def _percent(value: float) -> str:
    """Give a slope [rad] to a tenth of a percent; finer than that no statics of a truck on tyres is."""
    return f"{100 * tan(value) + 0.0:.1f} %" if isfinite(value) else _NOT_REACHED


def _where(one: SlopeMap, system: System) -> str:
    label = f"; {one.label}" if one.label else ""
    return f"{height_of(one.hook)} {quantity(one.height, 'length', system)}{label}"


def _lead(report: SlopeReport, system: System) -> str:
    one, index = report.worst
    if not one.stands:
        return f"does not stand on a level floor at {_where(one, system)}"
    if not isfinite(one.first[index]):
        return "nothing goes up to the steepest slope looked at"
    least = _percent(float(one.first[index]))
    return f"least slope limit at rest {least}, falling {towards(float(one.azimuth[index]))}, at {_where(one, system)}"


def _sentences(report: SlopeReport, system: System) -> tuple[str, ...]:
    out = []
    for one in report.maps if len(report.maps) <= _FEW else (report.worst[0],):
        if not one.stands:
            out.append(f"At {_where(one, system)} it does not stand on a level floor.")
            continue
        index = one.worst
        value = float(one.first[index])
        if not isfinite(value):
            out.append(f"At {_where(one, system)} nothing goes up to the steepest slope looked at.")
            continue
        wide, long = across(value, float(one.azimuth[index]), report.track, report.wheelbase)
        apart = [f"{wording.gap(wide, system)} across the drive tyres"] if wide > 5e-3 else []
        apart += [f"{wording.gap(long, system)} from axle to axle"] if long > 5e-3 else []
        out.append(
            f"At {_where(one, system)}: where the floor falls {towards(float(one.azimuth[index]))} by "
            f"{slope(value, system)}, {_clause(one, index)}; that is {' and '.join(apart)}. In every other direction "
            "it takes as much or more."
        )
    turned = sorted((one for one in report.simulated if isfinite(one.first[1])), key=lambda one: one.first[1])
    told = (_turned_sentence(one, system) for one in turned[:1])
    driven = (_ramp_sentence(run, system) for run in report.driven if not run.label)
    return (*out, *_stop_sentence(report, system), *told, *driven)


def _stop_sentence(report: SlopeReport, system: System) -> tuple[str, ...]:
    """Say what is left of the limit in the truck's own stops: of those too much on a level floor the lowest one."""
    braked = [one for one in report.braking if isfinite(one.first[one.worst])]
    if not braked:
        return ()
    # what tips, swings or drops the load before what only slips, the lower fork before the higher one
    most = min(braked, key=lambda one: (one.first[one.worst], one.what[one.worst] == "rolls", one.height))
    value, what = float(most.first[most.worst]), _what_of(most.what[most.worst])
    height = f"{height_of(most.hook)} {quantity(most.height, 'length', system)}"
    label = f"; {most.label}" if most.label else ""
    said = what if what.startswith(("a ", "the ")) else f"it {what}"
    stop = f"In its own {most.stop} {_sense(most.sense)}, at {height}{label}, {said}"
    word = f"taken as a {report.stops[0].word}"
    if value <= 0.0:
        return (f"{stop} even on a level floor; the stop is {word}.",)
    return (f"{stop} where the floor falls {towards(float(most.azimuth[most.worst]))} by {_percent(value)}; {word}.",)


def _turned_sentence(one: Compared, system: System) -> str:
    height = f"{height_of(one.hook)} {quantity(one.height, 'length', system)}"
    over = f", over to the {one.over} {_from(one.tips)}" if one.over else ""
    return f"At {height}, falling {towards(one.azimuth)}, simulated, the least: {one.what} {_from(one.first)}{over}."


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


def _clause(one: SlopeMap, index: int) -> str:
    words = one.words(index)
    return words if words.startswith(("the ", one.tyre[index] or " ")) else f"it {words}"


def _by_height(report: SlopeReport, system: System) -> Table:
    rows = []
    for one in report.maps:
        index = one.worst
        rows.append(
            (
                _where(one, system),
                slope(float(one.first[index]), system),
                towards(float(one.azimuth[index])) if one.stands else "",
                one.words(index),
            )
        )
    return Table("Least slope limit by height", ("set-up", "limit", "floor falling", "what goes first"), tuple(rows))


def _main(report: SlopeReport, system: System) -> Table:
    rows = []
    for one in report.maps:
        for name, azimuth in _MAIN:
            index = one.at(azimuth)
            value = float(one.first[index])
            wide, long = across(value, azimuth, report.track, report.wheelbase)
            apart = wording.gap(wide if name in ("left", "right") else long, system) if isfinite(value) else ""
            rows.append((_where(one, system), name, slope(value, system), apart, one.words(index)))
    note = (
        f"Tyres apart in height: left and right across the drive tyres, {quantity(report.track, 'length', system)}; "
        f"ahead and behind from axle to axle, {quantity(report.wheelbase, 'length', system)}."
    )
    columns = ("set-up", "floor falling", "limit", "tyres apart in height", "what goes first")
    return Table("Ahead, left, behind, right", columns, tuple(rows), note, brief=len(report.maps) <= _FEW)


def _every_limit(report: SlopeReport, system: System) -> tuple[Table, ...]:
    rows = []
    for one in report.maps:
        for name, azimuth in _MAIN:
            index = one.at(azimuth)
            cells = (_percent(float(one.found[what][index])) for what in WHAT)
            rows.append((_where(one, system), name, *cells))
    note = (
        "Each as if what goes before it were held off. Not reached: not before it tips, or not up to 50 %. "
        "slopes.csv holds every direction."
    )
    columns = ("set-up", "floor falling", "a tyre lifts", "the frame swings", *WHAT[2:])
    return (Table("Every limit", columns, tuple(rows), note, brief=False),)


def _simulated(report: SlopeReport, system: System) -> Table:
    rows = []
    for one in report.simulated:
        rows.append(
            (
                f"{height_of(one.hook)} {quantity(one.height, 'length', system)}",
                towards(one.azimuth),
                f"{_percent(one.static_first)}: {one.static_what}",
                _between(one.first) + (f": {one.what}" if one.what else ""),
                _percent(one.static_tips),
                _between(one.tips) + (f" to the {one.over}" if one.over else ""),
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
    for one in report.braking:
        aside = min((one.at(pi / 2), one.at(-pi / 2)), key=lambda k: one.first[k] if isfinite(one.first[k]) else pi)
        cells = (_braked(one, k) for k in (one.at(0.0), aside, one.at(pi), one.worst))
        label = f"; {one.label}" if one.label else ""
        rows.append(
            (
                f"{height_of(one.hook)} {quantity(one.height, 'length', system)}{label}",
                f"{one.stop}, {quantity(one.deceleration, 'acceleration', system)}, {_sense(one.sense)}",
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


def _braked(one: BrakingMap, index: int) -> str:
    value, what = float(one.first[index]), _what_of(one.what[index])
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
            _where(one, system),
            *(_speed(turn.at(radius), system) for radius in radii),
            _what_of(turn.what),
        )
        for turn, one in zip(report.turns, report.maps, strict=True)
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
    def limit(one: Needed) -> str:
        text = quantity(one.limit, one.dimension, system).replace("not given", _NOT_REACHED)
        return "none" if one.limit == 0.0 else text

    rows = tuple((one.name, quantity(one.asked, one.dimension, system), limit(one)) for one in report.needed)
    return Table("What the scenario itself needs", ("what", "needed", "limit"), rows, "At its own height.")


def slopes_summary(report: SlopeReport, facts: dict[str, Any] | None = None) -> dict[str, Any]:
    """Give the summary of slope limits; slopes in percent, None where not reached."""
    one, index = report.worst
    summary: dict[str, Any] = {
        "schema": SLOPES_SCHEMA,
        "title": report.title,
        "demo": bool(report.demo),
        "demo_of": report.demo or None,
        "least": {
            "set_up": one.label or "as in the scenario",
            "height_m": one.height,
            "azimuth_deg": degrees(float(one.azimuth[index])),
            "percent": 100.0 * tan(float(one.first[index])),
            "degrees": degrees(float(one.first[index])),
            "what": one.words(index),
        },
        "limits": report.rows(),
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
                "set_up": one.label or "as in the scenario",
                "height_m": one.height,
                "stop": one.stop,
                "deceleration_m_s2": one.deceleration,
                "driving": _sense(one.sense),
                "azimuth_deg": [round(degrees(value), 6) for value in one.azimuth],
                "percent": [_of(float(value)) for value in one.first],
                "what": list(one.what),
            }
            for one in report.braking
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
