"""The page of a sweep and its summary; texts only, nothing is computed."""

from __future__ import annotations

import re
from dataclasses import replace
from math import isfinite
from typing import TYPE_CHECKING, Any

from tipline import units
from tipline.endings import SHORT
from tipline.report import wording
from tipline.report.not_known import find_out_first, not_known_summary, worth_knowing
from tipline.report.page import ASSUMED, Links, Page, Pictures, PointList, Section, Table, first_of, further
from tipline.report.sections import captioned, spelled
from tipline.report.summary import explained
from tipline.results import COMPILED, ENGINES
from tipline.sweeps.words import ended, in_words, percent, threshold
from tipline.units import System

if TYPE_CHECKING:
    from tipline.sweeps.report import Effect, Index, InputGroup, Share, SweepReport

__all__ = ["SWEEP_SCHEMA", "sweep_page", "sweep_summary"]

SWEEP_SCHEMA = "tipline.sweep/1"
_METHODS = {
    "grid": "every combination of the values",
    "sobol": "points of a scrambled Sobol sequence",
    "latin-hypercube": "a Latin hypercube",
    "monte-carlo": "drawn at random",
    "sensitivity": "drawn for Sobol indices",
    "threshold": "a threshold sought for every combination of the values",
}
_AT_REST = (
    "Of the scenario's set-up at rest, without the changes, by the nearest tip line. In the runs all of it is as "
    "likely but for what they vary."
)
_FEW_ROWS = 60
_FIRST = 2
"""So many sentences stand on the first screen, and are not told again below it."""
_MOST_KEYS = 2


def sweep_page(
    report: SweepReport, system: System = "si", pictures: tuple[Pictures, ...] = (), links: Links = ()
) -> Page:
    """Give the page of a sweep; links: words and file of what lies beside the page."""
    lead, sentences = in_words(report, system)
    sections: list[Section] = [
        PointList("Found besides", sentences[_FIRST:]),
        *further(pictures),
        _lines(report),
        _shares(report),
        *(_effect(report, effect, system) for effect in report.effects),
        _indices(report.indices, f"Sobol indices: whether runs {ended(report.outcome)}"),
        _indices(report.measure_indices, f"Sobol indices: {report.measure}"),
        _thresholds(report, system),
        PointList("Beware also", report.cautions[1:]),
        worth_knowing(report.not_known, system, _AT_REST),
        _inputs(report),
        Table("Changed in all runs", ("key", "value"), tuple((key, _given(value)) for key, value in report.fixed)),
        _about(report),
        PointList(ASSUMED, tuple(text.removesuffix(", assumed") for text in report.assumed), _ASSUMED, brief=False),
        PointList("What governs", report.governs, brief=False),
    ]
    return Page(
        title=f"Sweep: {report.title}",
        mark=wording.mark(report.demo, f"computed; {report.rows} rows", report.assumed_count),
        lead=wording.spell(lead, system),
        demo=report.demo,
        sections=_with_keys(sections, spelled(sections, system)),
        said=_said(report, sentences, system),
        picture=captioned(first_of(pictures), system),
        links=links,
    )


def _said(report: SweepReport, sentences: tuple[str, ...], system: System) -> tuple[tuple[str, str], ...]:
    """Say what was asked, what decides, and what not to read into it."""
    points = [("Asked", report.question)] if report.question else []
    points += list(zip(("Found", "What decides"), sentences[:_FIRST], strict=False))
    points += [("Beware", caution) for caution in report.cautions[:1]]
    points += find_out_first(report.not_known, system)
    return tuple((word, wording.spell(sentence, system)) for word, sentence in points)


def _with_keys(ours: list[Section], spelled_sections: tuple[Section, ...]) -> tuple[Section, ...]:
    """Give sections in the words of the chosen system, but keys as they are written in files."""
    return tuple(_key_kept(section, said) for section, said in zip(ours, spelled_sections, strict=True))


def _key_kept(ours: Section, spelled_section: Section) -> Section:
    if not isinstance(ours, Table) or not isinstance(spelled_section, Table) or "key" not in ours.columns:
        return spelled_section
    at = ours.columns.index("key")
    rows = (
        (*words[:at], row[at], *words[at + 1 :]) for row, words in zip(ours.rows, spelled_section.rows, strict=True)
    )
    return replace(spelled_section, rows=tuple(rows))


_ASSUMED = "Not stated in the files, or stated without where it comes from; what was varied may be among them."


def _span(share: Share) -> str:
    if not isfinite(share.low):
        return ""
    return f"{percent(share.low)} to {percent(share.high)}"


def _shares(report: SweepReport) -> Table:
    spans = report.kind == "drawn"
    rows = tuple(
        (
            share.part,
            SHORT.get(share.word, share.word),
            f"{share.count} of {share.runs}",
            percent(share.share),
            *((_span(share),) * spans),
        )
        for share in report.shares
    )
    return Table("How the runs ended", ("part", "ending", "runs", "share", *(("95 % interval",) * spans)), rows)


def _lines(report: SweepReport) -> Table:
    """Say for each value of the map's input across with which values of the other one the runs ended so."""
    title, outcome_map = "Where the ending changes", report.map
    if outcome_map is None:
        return Table(title, (), ())
    lines = outcome_map.lines()
    lost = any(line.lost for line in lines)
    rows = tuple(
        (*line.others, line.across, line.ended or "none", line.stayed or "none", *((line.lost,) * lost))
        for line in lines
    )
    up = outcome_map.up.label
    heads = (
        *outcome_map.others,
        outcome_map.across.label,
        f"{up} with which they {ended(report.outcome)}",
        f"{up} with which they did not",
        *((f"{up} without a result",) * lost),
    )
    more = f" The first {_FEW_ROWS} of {len(rows)} lines; sweep.parquet has all." if len(rows) > _FEW_ROWS else ""
    note = "From, to: with each value of the grid between them too." + more
    return Table(title, heads, rows[:_FEW_ROWS], note, brief=len(rows) <= _FEW_ROWS // 2)


def _effect(report: SweepReport, effect: Effect, system: System) -> Table:
    if report.kind == "thresholds":
        means = tuple(
            (group.words, threshold(group.mean, report, system, group.bound == group.share.runs), _rows(group))
            for group in effect.groups
        )
        columns = (effect.label, f"mean {report.measure}", "rows")
        return Table(f"By {effect.label}", columns, means, _grouped(effect), brief=False)
    rows = tuple(
        (
            group.words,
            f"{group.share.count} of {group.share.runs}",
            percent(group.share.share),
            *((_span(group.share),) * (report.kind == "drawn")),
            wording.gap(group.mean, "si"),
        )
        for group in effect.groups
    )
    span = ("95 % interval",) * (report.kind == "drawn")
    heads = (effect.label, f"runs that {ended(report.outcome)}", "share", *span, f"mean {report.measure}")
    note = "Mean: a run that went over counts with its distance where there was no way back, so shares tell more."
    went = any(share.word == "over" for share in report.shares)
    notes = (note, _grouped(effect)) if went else (_grouped(effect),)
    return Table(f"By {effect.label}", heads, rows, " ".join(notes), brief=False)


def _grouped(effect: Effect) -> str:
    """Say what the lines of a table by one input are."""
    which = (
        "a third of the runs, from the least values to the greatest" if effect.thirds else "all runs with that value"
    )
    return f"Each line is {which}; all else varies in each of them alike."


def _rows(group: InputGroup) -> str:
    more = f", {group.bound} with the end of the range" if group.bound else ""
    return f"{group.share.runs}{more}"


def _indices(indices: tuple[Index, ...], title: str) -> Table:
    rows = tuple(
        (index.label, _part(index.first, index.first_half), _part(index.total, index.total_half))
        for index in sorted(indices, key=lambda index: -index.total)
    )
    note = (
        "The part of how runs differ that this input makes, 1 being all of it. Alone: by itself; with others: also by "
        "what it does together with them. ±: half of the 95 % interval; a value below 0 or above 1 is for want of runs."
    )
    return Table(title, ("input", "alone", "with others"), rows, note)


def _part(value: float, half: float) -> str:
    return "none seen" if value == half == 0.0 else f"{round(value, 2) + 0.0:.2f} ± {max(half, 0.01):.2f}"


def _thresholds(report: SweepReport, system: System) -> Table:
    heads = (*(label for label, _, _, _ in report.inputs), f"least {report.sought}", "greatest without", "ending there")
    rows = []
    for threshold_row in report.thresholds:
        there = f"{threshold_row.truck}{f' to the {threshold_row.direction}' if threshold_row.direction else ''}"
        at, held = (
            threshold(value, report, system, bool(threshold_row.reason)) if isfinite(value) else "none"
            for value in (threshold_row.at, threshold_row.held)
        )
        if held == at != "none":
            held = "just below it"
        rows.append((*threshold_row.values, at, held, threshold_row.reason or there))
    note = "Rounded down to how narrowly they were sought; summary.json and sweep.parquet have what was found."
    return Table("Thresholds", heads, tuple(rows), note if rows else "", brief=len(rows) <= _FEW_ROWS // 2)


def _inputs(report: SweepReport) -> Table:
    rows = report.inputs
    if report.searched:
        rows = (*rows, (*report.searched[:3], "varied to find the threshold"))
    shown = tuple((label, _keys(key), how, origin) for label, key, how, origin in rows)
    note = "Every figure on this page holds for this list and these ranges."
    return Table("What was varied", ("input", "key", "how", "range known by"), shown, note)


def _given(text: str) -> str:
    """Give a value that was changed in all runs; of a list its entries, without the brackets of a file."""
    return ", ".join(re.findall(r'"([^"]*)"', text)) if text.startswith('["') else text


def _keys(text: str) -> str:
    """Give the keys an input sets; of many the first, as sweep.toml beside the page has them all."""
    first, *more = text.split(", ")
    return text if len(more) < _MOST_KEYS else f"{first} and {len(more)} more"


def _about(report: SweepReport) -> Table:
    rows = (
        ("scenario", report.scenario),
        ("how the runs were chosen", f"{_METHODS[report.method]}, seed {report.seed}"),
        ("rows", f"{report.rows}, {report.lost} without a result"),
        ("worked out by", ENGINES[COMPILED]),
        ("mark of the inputs", report.fingerprint),
    )
    return Table("About this sweep", ("what", "which"), rows, brief=False)


def sweep_summary(report: SweepReport, facts: dict[str, Any] | None = None) -> dict[str, Any]:
    """Give the summary of a sweep, SI values."""
    unit = units.SI_UNIT[report.dimension] if report.dimension else ""
    summary: dict[str, Any] = {
        "schema": SWEEP_SCHEMA,
        "title": report.title,
        "question": report.question,
        "scenario": report.scenario,
        "demo": bool(report.demo),
        "demo_of": report.demo or None,
        "method": report.method,
        "seed": report.seed,
        "fingerprint": report.fingerprint,
        "rows": report.rows,
        "without_result": report.lost,
        "engine": COMPILED,
        "lead": report.lead,
        "outcome": report.outcome,
        "not_known": not_known_summary(report.not_known),
        "with_outcome": None if report.asked is None else _share(report.asked),
        "shares": [_share(share) for share in report.shares],
        "measure": {"what": report.measure, "unit": unit},
        "effects": [
            {
                "input": effect.label,
                "groups": [
                    {"group": group.words, **_share(group.share), "mean": group.mean} for group in effect.groups
                ],
            }
            for effect in report.effects
        ],
        "sobol_indices": {"ending": _index(report.indices), "measure": _index(report.measure_indices)},
        "thresholds": [
            {
                "values": list(threshold_row.values),
                "at": threshold_row.at,
                "held": threshold_row.held,
                "truck": threshold_row.truck,
                "direction": threshold_row.direction or None,
                "changes_back": threshold_row.changes_back,
                "reason": threshold_row.reason,
            }
            for threshold_row in report.thresholds
        ],
        "inputs": [
            {"input": label, "key": key, "how": how, "origin": origin} for label, key, how, origin in report.inputs
        ],
        "changed_in_all_runs": {key: str(value) for key, value in report.fixed},
        "sentences": list(report.sentences),
        "cautions": list(report.cautions),
        "assumed": list(report.assumed),
        "assumed_count": report.assumed_count,
        "governs": list(report.governs),
        **(facts or {}),
    }
    return explained(summary, {})


def _share(share: Share) -> dict[str, Any]:
    return {
        "part": share.part,
        "ending": share.word,
        "count": share.count,
        "runs": share.runs,
        "share": share.share,
        "low": share.low,
        "high": share.high,
    }


def _index(indices: tuple[Index, ...]) -> list[dict[str, Any]]:
    return [
        {
            "input": index.label,
            "first": index.first,
            "first_half_width": index.first_half,
            "total": index.total,
            "total_half_width": index.total_half,
        }
        for index in indices
    ]
