"""Results in a notebook: the short form of a page as a piece of HTML that sets no style outside itself."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from tipline.assess import PoseReport, RunReport
from tipline.assess.floor import FloorReport
from tipline.assess.slopes import SlopeReport
from tipline.assess.sweeps import SweepReport
from tipline.report import sections, wording
from tipline.report.floor import floor_page
from tipline.report.page import Page, Pictures, Points, Section, Table
from tipline.report.sections import Beside
from tipline.report.slopes import slopes_page
from tipline.report.sweeps import sweep_page

if TYPE_CHECKING:
    from markupsafe import Markup

__all__ = ["fragment", "fragment_of"]


def fragment_of(result: Any) -> str:
    """Give a result as HTML.

    Raises
    ------
    TypeError
        There is no page for results of this kind.
    """
    if isinstance(result, RunReport):
        return fragment(sections.run_page(result, beside=Beside(assumed=result.assumed_count)))
    if isinstance(result, PoseReport):
        return fragment(sections.pose_page(result, beside=Beside(assumed=result.assumed_count)))
    if isinstance(result, FloorReport):
        return fragment(floor_page(result))
    if isinstance(result, SlopeReport):
        return fragment(slopes_page(result))
    if isinstance(result, SweepReport):
        return fragment(sweep_page(result))
    msg = f"no page for {type(result).__name__}"
    raise TypeError(msg)


def fragment(page: Page) -> str:
    """Give the short form of a page as one element; every text is escaped."""
    from markupsafe import Markup

    text = Markup(
        "<div><h3>{}</h3><p><small>{}</small></p><p><strong>{}</strong></p>{}<p><small>{} {} {}</small></p></div>"
    )
    shown = [_section(section) for section in page.sections if section.brief]
    demo = wording.DEMO if page.demo else ""
    return str(
        text.format(page.title, page.mark, page.lead, Markup("").join(shown), demo, wording.ESTIMATE, wording.GOVERNING)
    )


def _section(section: Section) -> Markup:
    from markupsafe import Markup

    if isinstance(section, Pictures):
        return Markup("")
    if isinstance(section, Points):
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
