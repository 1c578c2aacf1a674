"""Parts of the pages as HTML: every text is escaped; nothing is computed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from importlib import resources
from typing import TYPE_CHECKING, Any

from tipline.report import wording
from tipline.report.html import templates
from tipline.report.page import Section, Table, filled
from tipline.workbench.tasks import FILED
from tipline.workbench.wishes import VALUES, wished

if TYPE_CHECKING:
    from tipline.asking.questions import LiftQuestion
    from tipline.workbench.bench import Bench
    from tipline.workbench.fields import FormKind, FormPart
    from tipline.workbench.grips import Grip
    from tipline.workbench.history import Entry
    from tipline.workbench.jobs import BenchJob
    from tipline.workbench.work import Above, BenchAtRest, FirstLift, Work

__all__ = [
    "answers",
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
    "which",
]

_LATER = ("Truck, floor and events", "Set-up, lifted load and events", "In the same folder")
"""Sections of a page that the form beside it shows already."""
_FORMS = {"set-up": "Set-up and events", "machine": "Machine", "floor": "Floor"}
_TAKES = {
    "sweep": ("Sweep", "Run this sweep", "A scenario run many times over what may vary."),
    "reconstruct": (
        "Incident",
        "Reconstruct this incident",
        "What was found, against each cause; takes minutes.",
    ),
    "lesson": ("Lesson", "Make this lesson", "Pairs of runs with a question before each outcome, as one page."),
}
"""Of each command that takes a file of its own: what these are, its button, and what it gives."""
_IN_RANGES = ("What the truck puts on the floor", "This holds only while")
"""Sections that say too little before what comes in ranges is there."""
_NAMES = {"pair": "Two in step", "pdf": "PDF of the report"}
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


def form(parts: Sequence[FormPart], work: Work, kinds: Mapping[str, str]) -> str:
    """Give the form that a work shows; ``kinds``: of events that can be added, each with what it is."""
    return _render("form.html.jinja", parts=parts, work=work, forms=_FORMS, kinds=kinds)


def values(standing: BenchAtRest, form: FormKind) -> dict[str, Any]:
    """Give what stands in each field of a form, so that it is brought up to date without being made anew."""
    problems: dict[str, str] = {}
    for key, words in standing.problems:
        problems[key] = f"{problems[key]} {words}" if key in problems else words
    shown: dict[str, Any] = {}
    for part in standing.forms.get(form, ()):
        for field in part.fields:
            wrong = next((words for key, words in problems.items() if _is_of(key, field.key)), "")
            now = None if field.slide is None else field.slide.place
            origin = "changed here" if field.changed else field.origin
            shown[field.key] = {"value": field.value, "now": now, "origin": origin, "problem": wrong}
    return shown


def taken(side: Sequence[Grip], above: Sequence[Grip]) -> list[dict[str, Any]]:
    """Give what can be dragged, with the drawing that it is in."""
    return [{**vars(grip), "view": view} for view, grips in (("side", side), ("plan", above)) for grip in grips]


def which(above: Above) -> str:
    """Give the choice of what is shown from above."""
    return _render("which.html.jinja", above=above)


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


def job(job: BenchJob | None, entry: Entry | None, at: str) -> str:
    """Give how far a job is, how it ended, and what can be opened of it; ``at``: where results are."""
    return _render("job.html.jinja", job=job, states=_STATES, names=_NAMES, entry=entry, at=at)


def answers(work: Work) -> str:
    """Give what other commands can be asked of the set-up, and of the files that they take."""
    parts = work.standing.forms.values()
    vary = [(part.title, [field for field in part.fields if field.dimension]) for form in parts for part in form]
    numbers, rows = wished(work.wishes)
    free = next((number for number in VALUES if number not in numbers), "")
    shown = sorted({*numbers, "1", free} - {""})
    given = {
        "varying": [pair for pair in vary if pair[1]],
        "filed": FILED,
        "needs": _TAKES,
        "values": shown,
        "rows": rows,
    }
    return _render("answers.html.jinja", work=work, bench=work.bench, **given)


def history(entries: Sequence[Entry], at: str) -> str:
    """Give the results there are; ``at``: where they can be had."""
    return _render("history.html.jinja", entries=entries, at=at)


def questions(questions: Sequence[LiftQuestion], answers: Mapping[str, str], first: FirstLift) -> str:
    """Give the questions of a lift, with what was answered, and its first page."""
    page = first.page
    sections = () if page is None else tuple(section for section in page.sections if _counts(section))
    given = {"page": page, "sections": sections, "problems": first.problems}
    return _render("questions.html.jinja", questions=questions, answers=answers, **given)


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
