"""Results in a notebook: the short form of a page as a piece of HTML that sets no style outside itself."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from tipline.endings import ENDED
from tipline.floors.answers.report import FloorReport
from tipline.incidents.report import IncidentReport
from tipline.pose.assessment import PoseReport
from tipline.report import sections, spread, wording
from tipline.report.first import first_on
from tipline.report.fit import fit_page
from tipline.report.floor import floor_page
from tipline.report.incident import incident_page
from tipline.report.loads import loads_page
from tipline.report.page import Page, Pictures, PointList, Section, Table
from tipline.report.sections import Beside
from tipline.report.slopes import slopes_page
from tipline.report.sweeps import sweep_page
from tipline.results import Run
from tipline.runs.assessment import RunReport
from tipline.runs.breaks import Breaks
from tipline.runs.endings import Spread, counted
from tipline.runs.outcome_table import EndingTable
from tipline.runs.told import EITHER_WAY
from tipline.set_ups.assessment import LoadsReport
from tipline.slope_limits.maps import SlopeReport
from tipline.sweeps.report import SweepReport
from tipline.sweeps.table import SweepTable
from tipline.truck_fit.assessment import FitReport

if TYPE_CHECKING:
    from collections.abc import Callable

    from markupsafe import Markup

__all__ = ["fragment", "fragment_of", "sweep_with_rows"]


def fragment_of(result: Any) -> str:
    """Give a result as HTML.

    Raises
    ------
    TypeError
        There is no page for results of this kind.
    """
    for kind, page_of in _PAGES.items():
        if isinstance(result, kind):
            return fragment(page_of(result))
    msg = f"no page for {type(result).__name__}"
    raise TypeError(msg)


def _page(title: str, what: str, lead: str, demo: str, *parts: Section) -> Page:
    """Give the page of a part of a result, which does not know how many values are assumed in the whole."""
    return Page(title, f"{'DEMO · ' if demo else ''}computed; {what}", lead, demo, parts)


def _run(run: Run) -> Page:
    meta = run.meta
    span = f"{run.time[0]:g} to {run.time[-1]:g} s, {len(run.time)} samples" if len(run.time) else "no samples"
    names = dict.fromkeys(name.partition(".")[0] for name in run.channels)
    rows = (
        ("time", span),
        ("bodies", ", ".join(run.bodies)),
        ("tyres", ", ".join(run.tyres)),
        ("channels", f"{len(run.channels)}: {', '.join(names)}"),
    )
    note = "series(name, units) gives one; to_pandas() and to_xarray() give all of them."
    title, lead = str(meta.get("title", "")), "every quantity over time; how it ended stands in the report"
    return _page(title, "one run, simulated", lead, str(meta.get("demo") or ""), Table("Held", ("", ""), rows, note))


def _spread(runs_spread: Spread) -> Page:
    here = f"the truck {ENDED[runs_spread.here.truck]}"
    lead = f"{runs_spread.like_this} of {runs_spread.runs} runs ended as the run itself: {here}"
    if runs_spread.doubt:
        lead = f"{EITHER_WAY}: {runs_spread.doubt}; as given, {here}"
    parts = spread.within_range(runs_spread, here, "si")
    varied = (replace(table, brief=True) for table in spread.varied(runs_spread, "si"))
    return _page(spread.TITLE, f"{runs_spread.runs} further runs", lead, runs_spread.demo, *parts, *varied)


def _breaks(breaks: Breaks) -> Page:
    lead = f"the floor breaks in {breaks.broke} of {breaks.runs} runs"
    parts = spread.within_floor(breaks, "si")
    return _page(spread.FLOOR_TITLE, f"{breaks.runs} further runs", lead, breaks.demo, *parts)


def _outcomes(table: EndingTable) -> Page:
    shown = sections.outcomes(table, "si")
    ended = counted(word for line in table.outcomes for word in line)
    lead = f"the truck {'; '.join(f'{ENDED[word]} in {count}' for word, count in ended)}"
    return _page(shown.title, "each cell a run of its own", lead, table.demo, shown)


def _rows(table: SweepTable) -> Page:
    heads, rows, beside = table.first(_FIRST)
    note = f"Also held: {', '.join(beside)}." if beside else ""
    lead = f"the first {len(rows)} of {len(table)} rows"
    return _page(table.title, "one row a run", lead, table.demo, Table("Rows", heads, rows, note))


def sweep_with_rows(report: SweepReport, table: SweepTable) -> Page:
    """Give the page of a sweep with the first rows of its table."""
    page = first_on(sweep_page(report), report, "si")
    rows = _rows(table)
    return replace(page, sections=(*page.sections, *(replace(part, title=rows.lead) for part in rows.sections)))


_FIRST = 8
_PAGES: dict[type, Callable[[Any], Page]] = {
    RunReport: lambda report: first_on(
        sections.run_page(report, beside=Beside(assumed=report.assumed_count)), report, "si"
    ),
    PoseReport: lambda report: first_on(
        sections.pose_page(report, beside=Beside(assumed=report.assumed_count)), report, "si"
    ),
    FloorReport: lambda report: first_on(floor_page(report), report, "si"),
    SlopeReport: lambda report: first_on(slopes_page(report), report, "si"),
    FitReport: lambda report: first_on(fit_page(report), report, "si"),
    LoadsReport: lambda report: first_on(loads_page(report), report, "si"),
    SweepReport: lambda report: first_on(sweep_page(report), report, "si"),
    IncidentReport: lambda report: first_on(incident_page(report), report, "si"),
    SweepTable: _rows,
    Run: _run,
    Spread: _spread,
    Breaks: _breaks,
    EndingTable: _outcomes,
}


def fragment(page: Page) -> str:
    """Give the short form of a page as one element; every text is escaped."""
    from markupsafe import Markup

    text = Markup(
        "<div><h3>{}</h3><p><small>{}</small></p><p><strong>{}</strong></p>{}{}<p><small>{} {} {}</small></p></div>"
    )
    said = Markup("").join(Markup("<p>{}: {}</p>").format(word, sentence) for word, sentence in page.said)
    shown = [_section(section) for section in page.sections if section.brief]
    demo = wording.demo_note(page.demo)
    return str(
        text.format(
            page.title, page.mark, page.lead, said, Markup("").join(shown), demo, wording.ESTIMATE, wording.GOVERNING
        )
    )


def _section(section: Section) -> Markup:
    from markupsafe import Markup

    if isinstance(section, Pictures):
        return Markup("")
    if isinstance(section, PointList):
        if not section.items:
            return Markup("")
        items = Markup("").join(Markup("<li>{}</li>").format(item) for item in section.items)
        body = Markup("<ul>{}</ul>").format(items)
    else:
        if not section.rows:
            return Markup("")
        body = _table(section)
    note = Markup("<p><small>{}</small></p>").format(section.note) if section.note else Markup("")
    return Markup("<h4>{}</h4>{}{}").format(section.title, body, note)


def _table(table: Table) -> Markup:
    from markupsafe import Markup

    head = Markup("").join(Markup("<th>{}</th>").format(cell) for cell in table.columns)
    lines = (Markup("").join(Markup("<td>{}</td>").format(cell) for cell in row) for row in table.rows)
    body = Markup("").join(Markup("<tr>{}</tr>").format(line) for line in lines)
    return Markup("<table><thead><tr>{}</tr></thead><tbody>{}</tbody></table>").format(head, body)
