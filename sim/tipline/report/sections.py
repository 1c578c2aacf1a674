"""The pages as typed sections: which facts, in which order, under which words. Texts only; nothing is computed."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from operator import itemgetter
from typing import TYPE_CHECKING, Any

from tipline import units
from tipline.endings import ENDED, SHORT, FloorEnd, LoadEnd, TruckEnd, also, load_ended
from tipline.floors.known.span import digits, range_words
from tipline.printable import spoken_of
from tipline.report import wording
from tipline.report.at_end import end_tables
from tipline.report.first_screen import said_of_pose, said_of_run
from tipline.report.not_known import not_known
from tipline.report.page import ASSUMED, Page, Picture, Pictures, PointList, Section, Table
from tipline.report.spread import spread_sections, varied
from tipline.report.weighings import disagreement, weighings
from tipline.report.wording import LINES, gap, moment, quantity, share
from tipline.results import ENGINES
from tipline.units import System

if TYPE_CHECKING:
    from tipline.pose.assessment import PoseReport
    from tipline.results import Timed
    from tipline.runs.assessment import RunReport
    from tipline.runs.outcome import Outcome
    from tipline.runs.outcome_table import EndingTable, Varied

_SWING = (
    "Tip: over the outer contacts, with the axle on its stop; where the truck would go over as it swings, tip and "
    "swing are one."
)
_ASSUMED = "Not stated in the files, or stated without where it comes from; each may change the answer."
_ERRORS = {
    "energy_error": "energy not accounted for, of all that was exchanged",
    "force_balance_error": "force out of balance at the start, of the weight",
}
OF_SCENARIO, SET = ("setup.", "load.", "event."), "Set-up, lifted load and events"
"""How keys of what a scenario sets begin, and the title of the table of them."""
NAMED = "Truck, floor and events"
"""The title of the table that names them."""


@dataclass(frozen=True)
class Beside:
    """What a page shows beside the report: pictures, what was left out, the inputs, the files beside it.

    `picture` is what must be seen at a glance; `links` are words and file of what lies beside the page.

    `remarks` tells how the simulation was done where that is not as usual; `assumed` counts values, where one line of
    the report's list may name several; `names` says in words which truck, floor and events these are; `inputs` holds
    each setting by its dotted key as `Case.quantified` has it.
    """

    pictures: tuple[Pictures, ...] = ()
    picture: Picture | None = None
    links: tuple[tuple[str, str], ...] = ()
    omissions: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()
    assumed: int | None = None
    names: tuple[tuple[str, str], ...] = ()
    inputs: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    files: tuple[str, ...] = ()


NOTHING = Beside()


def run_page(report: RunReport, system: System = "si", beside: Beside = NOTHING) -> Page:
    """Give the page of one run."""
    sections: list[Section] = [*_weighed_first(report.pose, system)]
    if report.outcome_table is not None:
        sections.append(outcomes(report.outcome_table, system))
    sections += [
        _outcome(report, system),
        *spread_sections(report, system),
        *_exceeded(report),
        *beside.pictures[:1],
        _events(report),
        *end_tables(report.at_end, system),
        _distances(report, system),
        _run_tyre_loads(report, system),
        _run_limits(report, system),
        *on_the_floor(report.pose, broke=report.outcome.floor != FloorEnd.HELD),
        _floor_peaks(report, system),
        *not_known(report.pose.not_known, system),
        *hole_depths(report.pose, system),
        *beside.pictures[1:],
        PointList("What the scenario's file expects", report.expected, brief=False),
        PointList("Left out", beside.omissions),
        PointList("About this run", beside.remarks),
        *varied(report.spread, system),
        *_weighed_last(report.pose, system),
        *_grounds(report, report.pose.mast),
        *_inputs(beside, system),
        _numerics(report, system),
        _files(beside),
    ]
    return Page(
        title=report.title,
        mark=wording.mark(report.demo, f"computed, not recorded · run {report.run_id}", _count(report, beside)),
        lead=wording.spell(_warned(report.pose, report.heading), system),
        demo=report.demo,
        sections=spelled(sections, system),
        said=said_of_run(report, system),
        picture=captioned(beside.picture, system),
        links=beside.links,
    )


def pose_page(report: PoseReport, system: System = "si", beside: Beside = NOTHING) -> Page:
    """Give the page of a pose at rest."""
    sections: list[Section] = [
        *_weighed_first(report, system),
        *(_at_rest(report, system) if math.isfinite(report.axle_share["steer"]) else ()),
    ]
    sections += [*not_known(report.not_known, system), *on_the_floor(report), *hole_depths(report, system)]
    against = tuple((label, quantity(value, kind, system)) for label, value, kind in report.holds_against)
    if against:
        note = "Each alone, everything else as stated, up to the point of tipping, sliding or rolling."
        sections.append(Table("What it holds against, one thing at a time", ("what", "up to"), against, note))
    sections += [
        limits_box(report, system),
        *_weighed_last(report, system),
        *_grounds(report, report.mast),
        *_inputs(beside, system),
        _files(beside),
    ]
    return Page(
        title=report.title,
        mark=wording.mark(report.demo, "computed, at rest", _count(report, beside)),
        lead=wording.spell(_warned(report, report.heading), system),
        demo=report.demo,
        sections=spelled(sections, system),
        said=said_of_pose(report, system),
        picture=captioned(beside.picture, system),
        links=beside.links,
    )


def _warned(report: PoseReport, lead: str) -> str:
    """Put before a lead that the truck of the file is not the one that was weighed, where that is so."""
    wrong = disagreement(report.weighings)
    return f"{wrong}; by the file: {lead[:1].lower()}{lead[1:]}" if wrong else lead


def _weighed_first(report: PoseReport, system: System) -> tuple[Section, ...]:
    return weighings(report.weighings, system) if disagreement(report.weighings) else ()


def _weighed_last(report: PoseReport, system: System) -> tuple[Section, ...]:
    return () if disagreement(report.weighings) else weighings(report.weighings, system)


def _count(report: RunReport | PoseReport, beside: Beside) -> int:
    return len(report.assumed) if beside.assumed is None else beside.assumed


def _inputs(beside: Beside, system: System) -> tuple[Table, Table]:
    rows = [
        (spoken_setting(key), setting(entry, system), str(entry["origin"]))
        for key, entry in beside.inputs.items()
        if key.startswith(OF_SCENARIO)
    ]
    note = (
        "Origin: where the value comes from; a default is a setting that nobody gave and that is no property of "
        "truck, load or floor. Values of truck and floor and numerical settings: inputs/resolved.toml."
    )
    return (
        Table(NAMED, ("what", "which"), beside.names, brief=False),
        Table(SET, ("what", "value", "origin"), tuple(rows), note, brief=False),
    )


def spoken_setting(key: str) -> str:
    """Give a setting's dotted key in words; events are counted from one."""
    whole, *rest = key.replace("_", " ").split(".")
    if whole == "event":
        return f"event {int(rest[0]) + 1}: {' '.join(rest[1:])}"
    owners = {"setup": "set-up", "load": "lifted load"}
    return f"{owners.get(whole, whole)}: {' '.join(rest)}"


def _files(beside: Beside) -> PointList:
    return PointList("In the same folder", beside.files, brief=False)


def setting(entry: Mapping[str, Any], system: System) -> str:
    """Give an input in the units of a system, to as many digits as were given; words as they are."""
    value, kind = entry["si"], entry["quantity"]
    if not kind or not isinstance(value, float | list):
        return str(entry["value"])
    return _measured(value, kind, system, units.full)


def range_of(low: Any, high: Any, kind: str, system: System) -> str:
    """Give from where to where a value may lie, in the units of a system; ``kind``: of quantity, "" for a number."""
    if not kind:
        return f"{low:.3g} to {high:.3g}"
    if not isinstance(low, list):
        return units.show_span(low, high, kind, system)
    return " to ".join(_measured(end, kind, system, units.show) for end in (low, high))


def _measured(value: Any, kind: str, system: System, say: Callable[[float, str, System], str]) -> str:
    """Give a quantity, or a list of quantities or of points, in the units of a system."""
    if not isinstance(value, list):
        return say(value, kind, system)
    nested = bool(value) and isinstance(value[0], list)
    return ("; " if nested else ", ").join(_measured(item, kind, system, say) for item in value)


def _at_rest(report: PoseReport, system: System) -> tuple[Section, ...]:
    """Give what is exceeded, the distances and the tyre loads of a pose that stands."""
    return *_exceeded(report), _pose_distances(report, system), _pose_tyre_loads(report, system)


def ended(outcome: Outcome) -> tuple[tuple[str, str], ...]:
    """Say of truck, lifted load and floor how each ended, in that order."""
    truck = ENDED[outcome.truck]
    if outcome.truck == TruckEnd.RESTING and outcome.lifted_load == LoadEnd.NONE:
        truck = truck.replace("body, mast or lifted load", "body or mast")
    if outcome.direction:
        truck += (
            f" to the {outcome.direction}" if outcome.truck == TruckEnd.OVER else f", past the {outcome.direction} line"
        )
    said = [("truck", also(truck, outcome.gone.went if outcome.gone else ""))]
    if outcome.lifted_load != LoadEnd.NONE:
        down = outcome.truck == TruckEnd.OVER
        said.append(("lifted load", load_ended(outcome.lifted_load, held=outcome.load_held, down=down)))
    return (*said, ("floor", ENDED[outcome.floor]))


def _outcome(report: RunReport, system: System) -> Table:
    name, load, time = report.lightest_tyre
    light = (
        ("lightest tyre", f"{name}: {wording.load(load, system)} at {moment(time)}"),
        ("least on the steer axle", f"{share(report.steer_axle_share)} of the weight"),
    )
    return Table("How it ended", ("part", "what it did"), (*ended(report.outcome), *light))


def _distances(report: RunReport, system: System) -> Table:
    def row(name: str, worst: Timed, energy: Timed | None) -> tuple[str, ...]:
        past = " (past it)" if worst[0] < 0 else ""
        left = "" if energy is None else quantity(energy[0], "energy", system)
        if energy is not None and left != wording.NOT_GIVEN:
            left += f" at {moment(energy[1])}"
        return name, gap(worst[0], system) + past, moment(worst[1]), left

    rows = [
        row(f"tip {line}", report.distances[line], report.energy_left.get(line)) for line in _known(report.distances)
    ]
    rows += [row(f"swing {side}", report.swing[side], None) for side in _known(report.swing)]
    note = (
        "From the balance point to the line; negative is past the line. Energy left: what it takes to tip over the "
        "line less the energy of all movement; below zero, the movement alone could have been enough."
    )
    if report.no_return is not None:
        note += f" Only up to the point of no return, {moment(report.no_return)}."
    if report.swing:
        note += f" {_SWING}"
    return Table("Least distance to each tip line", ("line", "least", "at", "least energy left"), tuple(rows), note)


def _run_tyre_loads(report: RunReport, system: System) -> Table:
    rows = []
    for name, rest in report.rest_tyre_loads.items():
        peak, time = report.peak_tyre_loads[name]
        rows.append((name, wording.load(rest, system), wording.load(peak, system), moment(time)))
    return Table(
        "Tyre loads", ("tyre", "at rest", "peak", "at"), tuple(rows), _axles(report.rest_axle_share, report, system)
    )


def _pose_distances(report: PoseReport, system: System) -> Table:
    rows = [(f"tip {line}", gap(report.distances[line], system)) for line in _known(report.distances)]
    rows += [(f"swing {side}", gap(report.swing[side], system)) for side in _known(report.swing)]
    note = "From the balance point to the line; negative is past the line."
    if report.lean:
        note += " The play of the mast is taken to the worse side for each line."
    if report.swing:
        note += f" {_SWING}"
    return Table("Distance to each tip line", ("line", "distance"), tuple(rows), note)


def _pose_tyre_loads(report: PoseReport, system: System) -> Table:
    rows = tuple((name, wording.load(load, system)) for name, load in report.tyre_loads.items())
    note = _axles(report.axle_share, report, system)
    if report.lean:
        note += f" The play of the mast is taken to the {report.lean}."
    return Table("Tyre loads", ("tyre", "at rest"), rows, note)


def _axles(shares: Mapping[str, float], report: RunReport | PoseReport, system: System) -> str:
    parts = ", ".join(f"{name} axle {share(value)}" for name, value in shares.items())
    return f"Weight with load {quantity(report.weight, 'force', system)}; at rest on the {parts}."


def _run_limits(report: RunReport, system: System) -> Table | PointList:
    """Give the limits of the set-up, but not beside a run that went beyond them: there they would read as leave."""
    beyond = _beyond(report)
    if not beyond:
        return limits_box(report, system)
    left_out = (
        "So the limits of the set-up are left out here. tipline check gives them for the truck before anything "
        "happened."
    )
    return PointList("This run went beyond the limits of the set-up", (*beyond, left_out))


def _beyond(report: RunReport) -> tuple[str, ...]:
    """Say which conditions of the set-up's limits a run broke; none where it kept to all of them."""
    truck, floor = report.outcome.truck, report.outcome.floor
    sentences = []
    if report.fell:
        sentences.append("It ended in a fall.")
    elif truck not in (TruckEnd.DOWN, TruckEnd.TOO_LIGHT):
        sentences.append(f"The truck {ENDED[truck]}: all of its tyres have to stay on the floor.")
    elif truck == TruckEnd.TOO_LIGHT:
        sentences.append(f"The truck {ENDED[truck]}.")
    if report.outcome.gone is not None and not report.fell:
        sentences.append(f"The truck {report.outcome.gone.went}.")
    if floor != FloorEnd.HELD:
        sentences.append(f"The floor {ENDED[floor]}: a hole or a sinking floor is in none of the limits.")
    return tuple(sentences) if sentences or not report.exceeded else ("A planning limit is exceeded, as said above.",)


def limits_box(report: RunReport | PoseReport, system: System) -> Table:
    """Give the limits that hold only together, in a box."""
    rows = tuple((label.rstrip(","), quantity(value, kind, system)) for label, value, kind in report.holds_only_while)
    return Table("This holds only while", ("what", "limit"), rows, _AT_ONCE, boxed=True)


_AT_ONCE = (
    "All of these at once. The way to tipping over a line is its distance from the truck at rest on a level floor; "
    "slope and stop use it up, and with 100 % used up the truck goes over or its frame swings. Of its friction on the "
    "forks and of its base a load may use the same part. For the truck as set up, before any event: a hole or "
    "sinking floor is not in them."
)


def hole_depths(report: PoseReport, system: System) -> tuple[Table, ...]:
    """Give the hole-depth limit of each side; of one of which it is not known, why."""
    if not report.hole_depth_limits:
        return ()
    rows = tuple(
        (side, gap(value, system) if math.isfinite(value) else f"not known: {report.reasons[_hole_key(side)]}")
        for side, value in report.hole_depth_limits.items()
    )
    note = "At rest, load fixed on the forks: the least sudden drop of one side that could tip the truck."
    return (Table("Hole-depth limit", ("side that drops", "depth"), rows, note),)


def _hole_key(side: str) -> str:
    return f"hole_depth_limit_mm.{side}"


def on_the_floor(report: PoseReport, *, broke: bool = False) -> tuple[PointList, ...]:
    """Say what the set-up at rest puts on the floor; of a rigid floor that an event breaks, why nothing is said."""
    title = "What the truck puts on the floor"
    if report.floor is None:
        given = (
            "The floor gives way where an event says so; elsewhere it is taken as rigid, so its strength is not looked "
            "at."
        )
        rigid = "The floor is taken as rigid: its strength is not looked at."
        return (PointList(title, (given if broke else rigid,)),)
    note = "The set-up as it stands, with the stops the scenario plans. More: tipline floor, with the same scenario."
    return (PointList(title, tuple(report.floor.lines) or (report.floor.lead,), note),)


def _floor_peaks(report: RunReport, system: System) -> Table:
    """Show what each tyre did to the floor at its greatest load in the run."""
    rows = []
    for peak in report.floor_peaks:
        answer = peak.answer
        load, part = quantity(answer.tyre_load, "force", system), spoken_of(answer.zone)
        whose = "" if answer.strength_known else " times what was allowed"
        limit = f"{digits(answer.of_limit.likely)}{whose} ({range_words(answer.of_limit)})"
        strength = digits(answer.of_strength.likely) if answer.strength_known else "not known here"
        rows.append((f"{answer.tyre}, on {part}", f"{load} at {moment(peak.time)}", answer.mode, limit, strength))
    columns = (
        "tyre",
        "greatest load",
        "failure",
        "times the planning limit, likely (nine in ten)",
        "times the expected strength, likely",
    )
    note = (
        "Each tyre at its greatest load on each part of the floor, up to the point of no return; not while it was in a "
        "hole or at its rim."
    )
    return Table("What each tyre put on the floor in the run", columns, tuple(rows), note)


def outcomes(table: EndingTable, system: System) -> Table:
    """Show how the truck ended over two settings."""
    heads = (table.row.label, *(f"{table.column.label} {text}" for text in _values(table.column, system)))
    rows = []
    for index, (value, words) in enumerate(zip(_values(table.row, system), table.outcomes, strict=True)):
        said = (SHORT[word] for word in words)
        cells = (f"{word} (this run)" if table.this == (index, place) else word for place, word in enumerate(said))
        rows.append((value, *cells))
    title = f"How the truck ends, by {table.row.label} and {table.column.label}"
    return Table(title, heads, tuple(rows), "Each cell is a run of its own; all else is as in this run.")


def _values(varied: Varied, system: System) -> list[str]:
    return [
        quantity(value, varied.dimension, system) if varied.dimension and not isinstance(value, str) else str(value)
        for value in varied.values
    ]


def _events(report: RunReport) -> Table:
    ordered = sorted(report.events, key=itemgetter(0))
    rows = tuple((str(number), moment(time), text) for number, (time, text) in enumerate(ordered, start=1))
    return Table(
        "Events", ("no.", "at", "what"), rows, "What was made to happen, and what followed.", brief=False, printed=True
    )


def _exceeded(report: RunReport | PoseReport) -> tuple[PointList, ...]:
    return (PointList("Planning limit exceeded", tuple(report.exceeded)),) if report.exceeded else ()


def _grounds(report: RunReport | PoseReport, mast: str) -> tuple[PointList, ...]:
    return (
        *((PointList("The mast", (mast,)),) if mast else ()),
        PointList(ASSUMED, tuple(text.removesuffix(", assumed") for text in report.assumed), _ASSUMED),
        PointList("What governs", tuple(report.governs)),
    )


def _numerics(report: RunReport, system: System) -> Table:
    def row(name: str, value: float) -> tuple[str, str]:
        if name.endswith("_s"):
            return name.removesuffix("_s").replace("_", " "), quantity(value, "time", system)
        return _ERRORS.get(name, name.replace("_", " ")), wording.error(value)

    note = "This says nothing of how true it is."
    rows = [("worked out by", ENGINES[report.engine])] if report.engine in ENGINES else []
    rows += [row(name, value) for name, value in report.numerics.items()]
    return Table("How exactly it was computed", ("what", "value"), tuple(rows), note, brief=False)


def _known(values: Mapping[str, object]) -> list[str]:
    return [line for line in LINES if line in values]


def captioned(picture: Picture | None, system: System) -> Picture | None:
    """Give a picture with its caption in the words and units of the chosen system."""
    return None if picture is None else replace(picture, caption=wording.spell(picture.caption, system))


def spelled(sections: Sequence[Section], system: System) -> tuple[Section, ...]:
    """Give sections in the words and units of the chosen system."""
    if system == "si":
        return tuple(sections)

    def say(texts: Sequence[str]) -> tuple[str, ...]:
        # A command to be typed stays as it is: restated it would be another run, or none ("4,700 lb").
        return tuple(text if text.startswith("tipline run ") else wording.spell(text, system) for text in texts)

    result: list[Section] = []
    for section in sections:
        title = wording.spell(section.title, system)
        if isinstance(section, Table):
            rows = tuple(say(row) for row in section.rows)
            note = wording.spell(section.note, system)
            columns = say(section.columns)
            result.append(replace(section, title=title, columns=columns, rows=rows, note=note))
        elif isinstance(section, PointList):
            note = wording.spell(section.note, system)
            result.append(replace(section, title=title, items=say(section.items), note=note))
        else:
            items = tuple(replace(picture, caption=wording.spell(picture.caption, system)) for picture in section.items)
            result.append(replace(section, title=title, items=items, note=wording.spell(section.note, system)))
    return tuple(result)
