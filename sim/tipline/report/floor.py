"""The floor's page, its summary and table; texts only, nothing is computed."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable
from math import isfinite
from typing import TYPE_CHECKING, Any

from tipline.floors.answers.report import judged
from tipline.floors.known.draws import COUNT, FEW, PLANNED, spoken_input
from tipline.floors.known.span import Span, digits, range_words, ratio_words, times_words
from tipline.notebook import marks
from tipline.printable import cell
from tipline.report import wording
from tipline.report.page import ASSUMED, Links, Page, Pictures, PointList, Section, Table, first_of, further
from tipline.report.sections import captioned, spelled
from tipline.report.summary import explained
from tipline.report.wording import quantity
from tipline.units import System, show

if TYPE_CHECKING:
    from tipline.floors.answers.report import Answer, FloorReport

__all__ = ["FLOOR_SCHEMA", "floor_page", "floor_summary", "rows_csv"]

FLOOR_SCHEMA = "tipline.floor/2"
_MOST_ROWS = 12
_TWO = (
    "Planning limit: expected strength over the factor. Expected strength: where it is expected to give. Two numbers."
)
_DRAWN = (
    f"Likely: with all that is not known as it is likely to be. Nine in ten: {COUNT} floors were drawn from what may "
    f"be there ({FEW} for covers on four sides); nine in ten of them lie between the two figures."
)
_ALL = (
    f"{_DRAWN} Planning goes by the upper one, the {100 * PLANNED:.0f} % draw, for the factors in a planning limit are "
    "made for characteristic values, which standards take as 5 % fractiles. All at its worst at once is far rarer and "
    "decides nothing."
)


def floor_page(
    report: FloorReport, system: System = "si", pictures: tuple[Pictures, ...] = (), links: Links = ()
) -> Page:
    """Give the page of a floor; links: words and file of what lies beside the page."""
    sections: list[Section] = [
        PointList("What to find out first", tuple(question.text for question in report.questions), _FIRST),
        _answers(report),
        _exceeded(report),
        PointList("What it has carried", report.evidence),
        *_governing(report, system),
        _unanswered(report, system),
        PointList("Left out", report.left_out, _BY_FORMULAS),
        _inverses(report, system),
        PointList("What would bring it down", (*(spreader.text for spreader in report.spreaders), *report.remedies)),
        _tyres(report, system),
        *further(pictures),
        *_every_answer(report, system),
        PointList("Not looked at here", report.not_asked),
        PointList(ASSUMED, tuple(text.removesuffix(", assumed") for text in report.assumed), _NOT_STATED),
        PointList("What governs", report.governs),
    ]
    return Page(
        title=report.title,
        mark=wording.mark(report.demo, "computed; floor", report.assumed_count),
        lead=_heading(report, system),
        demo=report.demo,
        sections=spelled(sections, system),
        said=_said(report, system),
        picture=captioned(first_of(pictures), system),
        links=links,
    )


def _said(report: FloorReport, system: System) -> tuple[tuple[str, str], ...]:
    """Say how far the likely figure may be off, how sure that is, what to find out first, and what to do."""
    sentences = []
    worst = report.worst
    if worst is not None and worst.strength.high > 0.0:
        whose = "the planning limit" if worst.strength_known else "the allowed wheel load"
        sentences.append(("How sure", f"{_times(worst.of_limit, whose)}{judged(worst)}, {worst.mode}."))
        if worst.strength_known:
            strength = _times(worst.of_strength, "the expected strength")
            sentences.append(("Strength", f"{strength}. At 1 it {worst.event}."))
    elif report.inverses:
        sentences += _said_alone(report, system)
    if report.questions:
        sentences.append(("Find out first", report.questions[0].text))
    remedies = [spreader.text for spreader in report.spreaders if spreader.found] or list(report.remedies)
    if remedies:
        sentences.append(("What to do", remedies[0]))
    elif report.unanswered:
        sentences.append(("What to do", f"Ask {report.unanswered[0].who}: {report.unanswered[0].why}."))
    return tuple((word, wording.spell(sentence, system)) for word, sentence in sentences)


def _heading(report: FloorReport, system: System) -> str:
    """Give the heading; of a floor alone its loads with two digits in the units shown, as nothing is known finer."""
    text = report.heading
    if report.worst is None and report.inverses:
        least = min(report.inverses, key=lambda inverse: inverse.needed.low).needed
        for before, value in (("likely ", least.likely), ("goes by ", least.low)):
            text = text.replace(before + show(value, "force", "si", 2), before + _two(value, "force", system))
    return wording.spell(text, system)


def _times(span: Span, whose: str) -> str:
    """Say how many times something, the likely value first."""
    sentence = f"Likely {times_words(span.likely, whose)}"
    return (
        sentence if range_words(span) == digits(span.likely) else f"{sentence}, nine in ten draws {range_words(span)}"
    )


def _said_alone(report: FloorReport, system: System) -> list[tuple[str, str]]:
    """Say of a floor without a truck how sure the least tyre load is, and how a truck on it is worked out."""
    least = min(report.inverses, key=lambda inverse: inverse.needed.low).needed
    low, likely, high = (_two(value, "force", system) for value in (least.low, least.likely, least.high))
    sentences = []
    if least.likely > 0.0:
        more = f"; 19 of 20 draws carry more than {low}" if least.low > 0.0 else ""
        sentences.append(("How sure", f"Likely {likely}, nine in ten draws {low} to {high}{more}."))
    else:
        sentences.append(("Why", "It carries less than the pressure that is taken for a tyre."))
    return [*sentences, ("What to do", "Work out a truck on it: tipline floor SCENARIO, with this floor named in it.")]


_BY_FORMULAS = (
    "The tyres are answered by closed formulas for a slab that lies on ground; that the truck would tip is in none of "
    "them."
)
_NOT_STATED = "Not stated in the files, or stated without where it comes from; each may change the answer."


_FIRST = "What would narrow the answer that governs most; a question that would change little is left out."


def _span(span: Span, dimension: str, system: System) -> str:
    """Give the likely value, then nine in ten draws."""
    span_text, likely = _range(span, dimension, system), _two(span.likely, dimension, system)
    return likely if span_text == likely else f"{likely}; nine in ten {span_text}"


def _range(span: Span, dimension: str, system: System) -> str:
    low, high = (_two(value, dimension, system) for value in (span.low, span.high))
    return low if low == high else f"{low} to {high}"


def _two(value: float, dimension: str, system: System) -> str:
    """Give two digits in the unit shown: what is drawn is not known better."""
    if dimension == "force" and value == 0.0:
        return "none"
    if dimension == "ratio" or not isfinite(value):
        return quantity(float(f"{value:.1e}"), dimension, system)
    return show(value, dimension, system, 2)


def _answers(report: FloorReport) -> Table:
    """Show the worst mode of each tyre, zone and set-up."""
    rows, seen = [], set()
    for answer in report.answers:
        key = answer.setup, answer.tyre, answer.zone
        if key not in seen:
            seen.add(key)
            rows.append((f"{answer.tyre}, {answer.setup}", answer.zone, answer.mode, *_ratios(answer)))
    note = f"{_ALL} {_TWO}"
    if len(rows) > _MOST_ROWS:
        note += f" The {_MOST_ROWS} worst of {len(rows)}; floor.csv holds all."
    title = "Each tyre at its worst place"
    columns = (
        "tyre", "zone", "failure", "times the planning limit, likely", "nine in ten", "all at its worst",
        "times the expected strength",
    )  # fmt: skip
    return Table(title, columns, tuple(rows[:_MOST_ROWS]), note)


def _exceeded(report: FloorReport) -> Table:
    """Show each failure whose planning limit is exceeded, by its worst tyre."""
    worst: dict[tuple[str, str], Answer] = {}
    for answer in report.answers:
        if answer.exceeds:
            worst.setdefault((answer.zone, answer.mode), answer)
    rows = tuple(
        (answer.mode, answer.zone, answer.who, *_ratios(answer)[:2], answer.decides or "no one value")
        for answer in worst.values()
    )
    note = "Each by the tyre that loads it most. What decides: the value that is not known and changes the figure most."
    columns = ("failure", "zone", "tyre", "times the planning limit, likely", "nine in ten", "what decides")
    return Table("Planning limits exceeded", columns, rows, note)


def _ratios(answer: Answer) -> tuple[str, str, str, str]:
    """Give the ratios: to the planning limit likely, nine in ten and at the worst, and to the expected strength."""
    span = answer.of_limit
    strength = f"{ratio_words(answer.of_strength)}: {answer.event}" if answer.strength_known else "not known here"
    allowed = "" if answer.strength_known else " times what was allowed"
    return f"{digits(span.likely)}{allowed}", range_words(span), digits(span.worst), strength


def _governing(report: FloorReport, system: System) -> tuple[Table, ...]:
    worst = report.worst
    if worst is None:
        return ()
    at = ", ".join(quantity(value, "length", system) for value in worst.at)
    rows = [
        ("failure", worst.mode),
        ("tyre, set-up, zone", f"{worst.tyre}, {worst.setup}, {worst.zone}"),
        ("place", f"x, y = {at}"),
        ("tyre load", quantity(worst.tyre_load, "force", system)),
        ("load on it", _span(worst.demand, worst.dimension, system)),
        ("planning limit", _span(worst.limit, worst.dimension, system)),
        ("expected strength", _strength(worst, system)),
        ("factor between the two", f"{worst.factor:.3g}: {worst.factor_source}"),
        ("formula", worst.source),
    ]
    if worst.swings:
        order = sorted(worst.swings.items(), key=lambda swing: -swing[1])
        moves = ", ".join(f"{spoken_input(name)} {value:.2g} times" for name, value in order if value > 1.02)
        rows.append(("what changes it most, from end to end of its range", moves or "nothing much"))
    rows += [("note", note) for note in worst.notes]
    return (Table("What governs here", ("what", "which"), tuple(rows)),)


def _strength(worst: Answer, system: System) -> str:
    if not worst.strength_known:
        return "not known here"
    return f"{_span(worst.strength, worst.dimension, system)}; there it {worst.event}"


def _unanswered(report: FloorReport, system: System) -> Table:
    rows = []
    for part in report.unanswered:
        why = f"{part.why}."
        if part.posted is not None:
            why += (
                f" Posted {quantity(part.posted, 'areal_load', system)}: a load spread over the whole floor; it does "
                "not say what one tyre may put on a small patch."
            )
        rows.append((part.zone, why, part.who))
    return Table("Others must answer", ("zone", "why", "who must answer"), tuple(rows), boxed=True)


def _inverses(report: FloorReport, system: System) -> Table:
    rows = tuple(
        (
            inverse.zone,
            inverse.what,
            _two(inverse.needed.likely, inverse.dimension, system),
            _range(inverse.needed, inverse.dimension, system),
        )
        for inverse in report.inverses
    )
    columns = ("zone", "what", "likely", "nine in ten")
    if any(inverse.dimension == "force" for inverse in report.inverses):
        note = f"{_DRAWN} Planning goes by the lower figure: 19 of 20 draws carry more."
        return Table("Tyre loads at which a planning limit is reached", columns, rows, note)
    note = "With the rest of what is not known drawn: the upper figure is enough in 19 of 20 draws."
    return Table("What would be enough", columns, rows, note)


def _tyres(report: FloorReport, system: System) -> Table:
    rows = []
    for tyre in report.tyres:
        long, wide = (quantity(side, "length", system) for side in tyre.patch)
        rows.append(
            (
                f"{tyre.tyre}, {tyre.setup}",
                tyre.zone,
                quantity(tyre.static_load, "force", system),
                quantity(tyre.peak_load, "force", system),
                quantity(tyre.rolling_load, "force", system),
                f"{long} by {wide}",
                quantity(tyre.mean_pressure, "pressure", system),
                quantity(tyre.peak_pressure, "pressure", system),
            )
        )
    columns = ("tyre", "on", "at rest", "peak here", "peak rolling", "patch, along by across", "mean pressure",
               "peak pressure")  # fmt: skip
    notes = _merged(note for tyre in report.tyres for note in tyre.notes)
    return Table("Tyres on the floor", columns, tuple(rows), " ".join(notes), brief=False)


def _merged(notes: Iterable[str]) -> list[str]:
    """Tell notes that differ only in a figure once, with the greatest figure."""
    greatest: dict[str, str] = {}
    for note in notes:
        shape, figures = _FIGURE.sub("#", note), [float(figure) for figure in _FIGURE.findall(note)]
        if shape not in greatest or figures > [float(figure) for figure in _FIGURE.findall(greatest[shape])]:
            greatest[shape] = note
    return [f"{note[:1].upper()}{note[1:].rstrip('.')}." for note in greatest.values()]


_FIGURE = re.compile(r"[0-9]+(?:\.[0-9]+)?")


def _every_answer(report: FloorReport, system: System) -> tuple[Table, ...]:
    rows = tuple(
        (
            f"{answer.tyre}, {answer.setup}",
            answer.zone,
            answer.mode,
            _span(answer.demand, answer.dimension, system),
            _span(answer.limit, answer.dimension, system),
            _span(answer.strength, answer.dimension, system) if answer.strength_known else "not known here",
        )
        for answer in report.answers[: 2 * _MOST_ROWS]
    )
    columns = ("tyre", "zone", "failure", "load on it", "planning limit", "expected strength")
    return (
        Table(
            "Every failure looked at, worst first",
            columns,
            rows,
            f"The first {2 * _MOST_ROWS}; floor.csv holds all.",
            brief=False,
        ),
    )


def rows_csv(rows: list[dict[str, Any]], demo: str) -> str:
    """Give records as CSV text with a heading, each with the DEMO mark and the caution; none gives an empty text."""
    if not rows:
        return ""
    stream, facts = io.StringIO(), marks(demo)
    writer = csv.DictWriter(stream, [*rows[0], *facts], lineterminator="\n")
    writer.writeheader()
    writer.writerows({name: cell(value) for name, value in {**row, **facts}.items()} for row in rows)
    return stream.getvalue()


def _behind(worst: Answer) -> dict[str, Any]:
    """Give what stands behind the answer that governs: factor, formula, and what changes it by how many times."""
    return {
        "factor": worst.factor,
        "factor_source": worst.factor_source,
        "formula": worst.source,
        "changes": dict(worst.swings),
        "notes": list(worst.notes),
    }


def floor_summary(report: FloorReport) -> dict[str, Any]:
    """Give the summary of a floor."""
    worst = report.worst
    summary: dict[str, Any] = {
        "schema": FLOOR_SCHEMA,
        "title": report.title,
        "demo": bool(report.demo),
        "demo_of": report.demo or None,
        "floor": report.floor,
        "subject": report.subject,
        "lead": report.lead,
        "draws": COUNT,
        "planned_at_fractile": PLANNED,
        "governing": None if worst is None else {**report.rows()[0], **_behind(worst)},
        "planning_limits_exceeded": list(report.exceeded),
        "answers": report.rows(),
        "no_strength": [{"zone": part.zone, "why": part.why, "who": part.who} for part in report.unanswered],
        "tyres": [
            {
                "tyre": tyre.tyre,
                "set_up": tyre.setup,
                "zone": tyre.zone,
                "kind": tyre.kind,
                "x_m": tyre.at[0],
                "y_m": tyre.at[1],
                "load_at_rest_kN": tyre.static_load * 1e-3,
                "peak_load_kN": tyre.peak_load * 1e-3,
                "peak_rolling_load_kN": tyre.rolling_load * 1e-3 if isfinite(tyre.rolling_load) else None,
                "patch_m": list(tyre.patch),
                "mean_pressure_kPa": tyre.mean_pressure * 1e-3,
                "peak_pressure_kPa": tyre.peak_pressure * 1e-3,
            }
            for tyre in report.tyres
        ],
        "spacing_m": [{"from": a, "to": b, "apart": apart} for a, b, apart in report.spacing],
        "questions": [question.text for question in report.questions],
        "needed": [
            {"zone": inverse.zone, "what": inverse.what, "quantity": inverse.dimension, **inverse.needed.ends}
            for inverse in report.inverses
        ],
        "spreaders": [
            {
                "zone": spreader.zone,
                "tyre": spreader.tyre,
                "found": spreader.found,
                "name": spreader.name,
                "pieces": spreader.pieces,
            }
            for spreader in report.spreaders
        ],
        "not_asked": list(report.not_asked),
        "left_out": list(report.left_out),
        "has_carried": list(report.evidence),
        "assumed": list(report.assumed),
        "assumed_count": report.assumed_count,
        "governs": list(report.governs),
    }
    return explained(summary, report.reasons)
