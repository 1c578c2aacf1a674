"""Parts of the pages as HTML: every text is escaped; nothing is computed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from importlib import resources
from typing import TYPE_CHECKING, Any

from tipline.report import wording
from tipline.report.html import templates
from tipline.report.page import Section, Table, filled

if TYPE_CHECKING:
    from tipline.asking.questions import LiftQuestion
    from tipline.units import System
    from tipline.workbench.bench import Bench
    from tipline.workbench.fields import FormPart
    from tipline.workbench.grips import Grip
    from tipline.workbench.history import Entry
    from tipline.workbench.jobs import BenchJob
    from tipline.workbench.work import BenchAtRest, FirstLift, Work

__all__ = [
    "asked",
    "choices",
    "figures",
    "form",
    "hint",
    "history",
    "job",
    "questions",
    "script",
    "style",
    "taken",
    "top",
    "values",
]

_LATER = ("Truck, floor and events", "Set-up, lifted load and events", "In the same folder")
"""Sections of a page that the form beside it shows already."""
_IN_RANGES = ("What the truck puts on the floor", "This holds only while")
"""Sections that say too little before what comes in ranges is there."""
_STATES = {
    "running": "Being made",
    "done": "Done",
    "cancelled": "Cancelled; nothing of it was kept",
    "refused": "Not made",
    "numerical": "No outcome: the calculation broke down",
    "crashed": "Not made",
}


def top(work: Work) -> str:
    """Give the head of the pages: what is asked, its mark, the notice."""
    page = work.standing.page
    return _render("top.html.jinja", page=page, work=work, estimate=wording.ESTIMATE, governing=wording.GOVERNING)


def choices(bench: Bench, standing: BenchAtRest) -> str:
    """Give what can be chosen and handed in: scenario, machine, floor."""
    return _render("choices.html.jinja", bench=bench, names=dict(standing.names))


def form(parts: Sequence[FormPart], kinds: Mapping[str, str]) -> str:
    """Give the form of a set-up; ``kinds``: of events that can be added, each with what it is."""
    return _render("form.html.jinja", parts=parts, kinds=kinds)


def values(standing: BenchAtRest) -> dict[str, Any]:
    """Give what stands in each field of the form, so that it is brought up to date without being made anew."""
    problems: dict[str, str] = {}
    for key, said in standing.problems:
        problems[key] = f"{problems[key]} {said}" if key in problems else said
    shown: dict[str, Any] = {}
    for part in standing.parts:
        for field in part.fields:
            wrong = next((said for key, said in problems.items() if _is_of(key, field.key)), "")
            now = None if field.slide is None else field.slide.now
            origin = "changed here" if field.changed else field.origin
            shown[field.key] = {"value": field.value, "now": now, "origin": origin, "problem": wrong}
    return shown


def taken(grips: Sequence[Grip], system: System) -> list[dict[str, Any]]:
    """Give what can be dragged in the side view; ``shown``: the unit that a value is told in."""
    return [{**vars(grip), "shown": "ft" if grip.unit == "m" and system == "us" else grip.unit} for grip in grips]


def hint(grips: Sequence[Grip]) -> str:
    """Say what can be dragged, and how it is done by keys."""
    return _render("hint.html.jinja", grips=grips)


def _is_of(problem: str, key: str) -> bool:
    return problem == key or problem.startswith(f"{key}.")


def figures(standing: BenchAtRest) -> str:
    """Give what the set-up comes to at rest, or why nothing can be said."""
    page = standing.page
    sections = () if page is None else tuple(section for section in page.sections if _counts(section))
    if standing.waits:
        sections = tuple(section for section in sections if section.title not in _IN_RANGES)
    return _render("figures.html.jinja", standing=standing, page=page, sections=sections)


def _counts(section: Section) -> bool:
    return filled(section) and section.title not in _LATER and not hasattr(section, "media")


def job(made: BenchJob | None, entry: Entry | None, at: str) -> str:
    """Give how far a job is, how it ended, and what can be opened of it; ``at``: where results are."""
    return _render("job.html.jinja", job=made, states=_STATES, entry=entry, at=at)


def asked(bench: Bench, sweeps: Sequence[str]) -> str:
    """Give what other commands can be asked of the set-up."""
    return _render("asked.html.jinja", bench=bench, sweeps=sweeps)


def history(found: Sequence[Entry], at: str) -> str:
    """Give the results there are; ``at``: where they can be had."""
    return _render("history.html.jinja", entries=found, at=at)


def questions(asked_of: Sequence[LiftQuestion], answers: Mapping[str, str], first: FirstLift) -> str:
    """Give the questions of a lift, with what was answered, and its first page."""
    page = first.page
    sections = () if page is None else tuple(section for section in page.sections if _counts(section))
    given = {"page": page, "sections": sections, "problems": first.problems}
    return _render("questions.html.jinja", questions=asked_of, answers=answers, **given)


def style() -> str:
    """Give the style sheet of the pages."""
    return _text("page.css")


def script() -> str:
    """Give the scripts of the pages."""
    return _text("page.js") + _text("drag.js")


def _text(name: str) -> str:
    return (resources.files("tipline.workbench") / "page" / name).read_text(encoding="utf-8")


def _render(name: str, **given: Any) -> str:
    text: str = _environment().get_template(name).render(**given)
    return text


@cache
def _environment() -> Any:
    from markupsafe import Markup

    environment = templates("tipline.workbench", "page")
    environment.filters["drawn"] = Markup
    environment.tests["table"] = lambda section: isinstance(section, Table)
    return environment
