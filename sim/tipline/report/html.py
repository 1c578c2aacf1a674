"""A page as one HTML file that needs nothing beside it: styles, drawings and pictures are inside."""

from __future__ import annotations

import base64
from functools import cache
from typing import TYPE_CHECKING

from tipline.report import wording
from tipline.report.page import ASSUMED, HALVED, OWN, Page, Picture, Pictures, PointList, Section, Table, filled

if TYPE_CHECKING:
    from jinja2 import Environment, Template

_KINDS: dict[type, str] = {Table: "table", PointList: "points", Pictures: "pictures"}
"""What the template calls a section."""


def page_html(page: Page) -> str:
    """Give the page as HTML; every text is escaped, and every picture is inside."""
    return _template().render(
        page=page,
        sections=tuple(section for section in page.sections if not (page.halves and section.title in HALVED)),
        estimate=wording.ESTIMATE,
        governing=wording.GOVERNING,
        demo_note=wording.demo_note(page.demo),
        own=OWN,
        assumed=next((ASSUMED for section in page.sections if section.title == ASSUMED and filled(section)), ""),
        unprinted=tuple(section.title for section in page.sections if _on_screen_only(section)),
    )


def _on_screen_only(section: Section) -> bool:
    if isinstance(section, Pictures) or section.brief:
        return False
    return filled(section) and not (isinstance(section, Table) and section.printed)


def templates(package: str, folder: str) -> Environment:
    """Give the templates that lie in a package's folder: every text is escaped, nothing may be missing."""
    from jinja2 import Environment, PackageLoader, StrictUndefined

    environment = Environment(
        loader=PackageLoader(package, folder),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["tie"] = wording.tied
    return environment


@cache
def _template() -> Template:
    from markupsafe import Markup

    def inline(picture: Picture) -> Markup:
        # A drawing goes in as an image too: its names then cannot meet those of another one.
        data, media = (picture.svg.encode(), "image/svg+xml") if picture.svg else (picture.data, picture.media)
        code = base64.b64encode(data).decode("ascii")
        return Markup('<img src="data:{};base64,{}" alt="{}">').format(media, code, picture.caption)

    environment = templates("tipline.report", ".")
    environment.filters["inline"] = inline
    environment.filters["kind"] = lambda section: _KINDS[type(section)]
    return environment.get_template("page.html.jinja")
