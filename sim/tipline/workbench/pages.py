"""The pages themselves: their skeleton, what each button asks, and what is brought up to date while one looks."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Mapping
from typing import Any
from urllib.parse import quote

from nicegui import ui
from nicegui.events import GenericEventArguments

from tipline.asking.questions import QUESTIONS
from tipline.errors import InputError
from tipline.workbench import history, shown
from tipline.workbench.begun import BEGUN
from tipline.workbench.bench import words_of
from tipline.workbench.events import change_events, event_kinds
from tipline.workbench.fields import FORMS, FormPart, as_typed
from tipline.workbench.jobs import BenchJob, Jobs
from tipline.workbench.tables import change_tables
from tipline.workbench.tasks import task_of
from tipline.workbench.wishes import wish
from tipline.workbench.work import Work
from tipline.workbench.worker import EARLY

__all__ = ["Pages", "build"]

_EVERY = 0.25
"""How often a page looks whether there is news [s] (our choice)."""
_VIEWS = {"questions": "Questions", "set-up": "Set-up", "run": "Run", "ask": "Other answers", "results": "Results"}
"""The views in their order; the first is shown to who comes anew."""


def build(work: Work, jobs: Jobs) -> None:
    """Build the pages of one tab."""
    ui.add_head_html(f"<style>{shown.style()}</style><script>{shown.script()}</script>")
    pages = Pages(work, jobs)
    ui.timer(_EVERY, pages.refresh)
    ui.run_javascript(
        f"bench.view(location.hash.slice(1) in {json.dumps(_VIEWS)} ? location.hash.slice(1) : 'questions')"
    )


class Pages:
    """What one browser tab shows of a work."""

    def __init__(self, work: Work, jobs: Jobs) -> None:
        self._work, self._jobs = work, jobs
        self._results_at = f"/runs/{jobs.key}"
        self._version, self._job_words, self._listing = -1, "", 0
        self._form: tuple[Any, ...] = ()
        root = ui.element("div").classes("pages")
        root.on("set", self._set, js_handler="(event) => emit(event.detail)")
        root.on("ask", self._ask, js_handler="(event) => emit(event.detail)")
        root.on("handed", self._handed, js_handler="(event) => emit(event.detail)")
        with root:
            with ui.element("header").classes("head"):
                self._top = _region().style("display: contents")
                _navigation(work)
            with ui.element("main").classes("view"):
                self._build_views()

    def _build_views(self) -> None:
        with ui.element("div").classes("set-up").props('data-view="set-up" hidden').style("height: 100%"):
            with ui.element("div").classes("in"):
                self._choices, self._fields = _region(), _region()
            with ui.element("div").classes("pictures"):
                with ui.element("div").classes("side"):
                    self._side = _region()
                    ui.element("div").classes("grips").props("id=grips")
                self._hint = ui.html("", sanitize=False, tag="p").classes("hint").props("id=drag-hint")
                with ui.element("div").classes("above"):
                    self._plan, self._which = _region(), _region().classes("which")
                    ui.element("div").classes("grips").props("id=grips-above")
            self._figures = _region().classes("out").props('tabindex="0" role="region" aria-label="Figures at rest"')
        with ui.element("div").classes("run").props('data-view="run" hidden'):
            self._job = _region()
            with ui.element("div").classes("frame"):
                ui.element("iframe").props('id="play" title="Replay" hidden sandbox="allow-scripts allow-popups"')
        with ui.element("div").props('data-view="ask" hidden'):
            self._answers = _region()
        with ui.element("div").props('data-view="results" hidden'):
            self._results = _region()
        with ui.element("div").props('data-view="questions"').style("height: 100%"):
            self._questions = _region().style("height: 100%")

    async def refresh(self) -> None:
        """Bring up to date what has changed since this was asked last."""
        work = self._work
        if self._version != work.version:
            self._version = work.version
            self._show_standing()
        job = work.job
        words = shown.job(job, await _entry_of(job), self._results_at)
        if job is work.job and words != self._job_words:
            self._job_words = words
            self._job.content = words
            self._show_replay(job)
            if job is None or not job.running:
                await self._list_results()

    def _show_standing(self) -> None:
        work = self._work
        standing = work.standing
        _put(self._top, shown.top(work))
        _put(self._choices, shown.choices(work.bench, standing))
        _put(self._side, standing.side)
        _put(self._hint, shown.hint(standing.grips))
        above, above_grips = work.seen_from_above
        _put(self._plan, above)
        _put(self._which, shown.which(work.above))
        _put(self._figures, shown.figures(standing))
        _put(self._answers, shown.answers(work))
        _put(self._questions, shown.questions(QUESTIONS, work.answers, work.first))
        parts = standing.forms.get(work.form, ())
        form = _shape(f"{work.form} {work.bench.name}", parts)
        if form != self._form:
            self._form = form
            self._fields.content = shown.form(parts, work, event_kinds())
        news = (shown.values(standing, work.form), shown.taken(standing.grips, above_grips), standing.change)
        ui.run_javascript(f"setTimeout(() => bench.show({', '.join(map(_script, news))}))")

    def _show_replay(self, job: BenchJob | None) -> None:
        """Play what a job has left, as soon as there is something."""
        if job is not None and job.state == "done":
            place = _page_of(job)
            if place:
                self._play(f"{self._results_at}/{place}")
        elif job is not None and job.replay:
            self._play(f"/early/{job.key}/{EARLY}")

    async def _list_results(self) -> None:
        """List the results, read in a thread; of lists that are asked for together the last counts."""
        self._listing += 1
        number = self._listing
        entries = await asyncio.to_thread(history.entries, self._jobs.runs)
        if number == self._listing:
            whole = [entry for entry in entries if not (entry.begun and entry.name in self._jobs.at_work)]
            _put(self._results, shown.history(whole, self._results_at))

    def _play(self, address: str) -> None:
        ui.run_javascript(f"bench.play({json.dumps(address)}, 'Result')")

    async def _set(self, event: GenericEventArguments) -> None:
        """Take a value that was typed, chosen or dragged."""
        detail = _detail(event)
        key, text, number = detail.get("key", ""), detail.get("text", ""), detail.get("number", "")
        bench = self._work.bench
        if number.isdecimal():
            self._work.change = int(number)
        if key.startswith("ask:"):
            wish(self._work, key.removeprefix("ask:"), text)
            await self.refresh()
            return
        try:
            if key == "choose:scenario":
                bench.choose(text)
            elif key in ("choose:machine", "choose:floor"):
                bench.change(key.partition(":")[2], text)
            elif key == "system":
                self._work.system = "us" if text == "us" else "si"
            elif key == "stills":
                self._work.stills = text == "true"
            elif key == "form" and text in FORMS:
                self._work.form = next(form for form in FORMS if form == text)
            elif (field := self._work.standing.field(key)) is not None:
                bench.change(key, as_typed(text, listed=field.listed))
            else:
                return
        except InputError as error:
            self._work.say(words_of(error))
            return
        await self._work.work_out(self.refresh)
        self._jobs.warm()  # a set-up that is changed is soon run

    async def _handed(self, event: GenericEventArguments) -> None:
        words = _detail(event).get("words", "")
        if words:
            self._work.say(words)
        await self._work.work_out()
        await self.refresh()

    async def _ask(self, event: GenericEventArguments) -> None:
        """Do what a button asks."""
        detail = _detail(event)
        what, of = detail.get("what", ""), detail.get("of", "")
        try:
            await self._do(what, of)
        except InputError as error:
            self._work.say(words_of(error))
        await self.refresh()

    async def _do(self, what: str, of: str) -> None:
        work = self._work
        if what == "heard":
            work.say("")
        elif what == "above":
            work.above = "floor" if of == "floor" else "truck"
            work.version += 1
        elif what in ("add-event", "drop-event"):
            await asyncio.to_thread(change_events, work.bench, what, of)
            await work.work_out()
        elif what in ("add-table", "drop-table"):
            await asyncio.to_thread(change_tables, work.bench, what, of)
            await work.work_out()
        elif what == "cancel" and work.job is not None:
            self._jobs.cancel(work.job)
        elif what == "answer":
            await work.answer(_texts(of))
        elif what == "lay":
            await work.lay()
            ui.run_javascript("bench.view('set-up')")
        elif what == "show":
            name, _, page = of.partition("/")
            self._play(f"{self._results_at}/{quote(name)}/{quote(page)}")
        else:
            await self._begin(what, of)

    async def _begin(self, what: str, of: str) -> None:
        """Start a job, unless this tab has one that is being made, or is about to."""
        work = self._work
        if work.beginning or (work.job is not None and work.job.running):
            return
        work.beginning = True
        try:
            task, stem = await asyncio.to_thread(task_of, work, self._jobs.runs, what, of)
            if task is None:
                return
            work.job = self._jobs.start(task, stem)
        finally:
            work.beginning = False
        work.say("")
        ui.run_javascript("bench.view('run')")


def _page_of(job: BenchJob) -> str:
    """Give where under the results that lies which a job left to be looked at: of a run the replay."""
    if job.task.command == "pair":
        return f"{quote(job.folder.parent.name)}/{quote(job.folder.name)}"
    if job.task.command in ("film", "pdf"):
        return ""
    names = ("replay.html", *history.PAGES)
    place = next((name for name in names if (job.folder / name).is_file()), "")
    return f"{quote(job.folder.name)}/{place}" if place else ""


async def _entry_of(job: BenchJob | None) -> history.Entry | None:
    """Give what is listed of a job's result, whole or to go on with; two in step are no result of their own."""
    if job is None or job.running or job.task.command == "pair":
        return None
    if job.state != "done" and job.task.command not in BEGUN:
        return None
    return await asyncio.to_thread(history.entry_of, job.folder)


def _region() -> ui.html:
    return ui.html("", sanitize=False)


def _put(region: ui.html, content: str) -> None:
    if region.content != content:
        region.content = content


def _navigation(work: Work) -> None:
    with ui.element("nav").props('aria-label="Views"'):
        for name, words in _VIEWS.items():
            ui.html(words, sanitize=False, tag="button").props(f'type="button" data-to="{name}"')
        ui.element("span").classes("gap")
        units = "".join(
            f'<option value="{system}"{" selected" if system == work.system else ""}>{words}</option>'
            for system, words in (("si", "kN, m"), ("us", "pounds, feet"))
        )
        ui.html(units, sanitize=False, tag="select").props('name="system" aria-label="Units"')
        save = ui.html("Save as a file", sanitize=False, tag="a").classes("button")
        save.props(f'href="/work/{work.key}/scenario.toml" download title="Set-up, machine and floor in one file"')
        box = f'<input type="checkbox" name="stills"{" checked" if work.stills else ""}> stills'
        ui.html(box, sanitize=False, tag="label").props('title="Pictures for the report, some seconds more"')
        ui.html("Run this set-up", sanitize=False, tag="button").props('type="button" data-do="run"').classes("first")


def _shape(name: str, parts: tuple[FormPart, ...]) -> tuple[Any, ...]:
    """Give what of a form needs it made anew: its fields, choices and the ends of its sliders."""
    fields = [field for part in parts for field in part.fields]
    slides = [(f.key, f.choices, f.slide and (f.slide.unit, f.slide.stops)) for f in fields]
    return name, tuple(slides)


def _detail(event: GenericEventArguments) -> dict[str, str]:
    detail = event.args
    return {str(key): str(value) for key, value in detail.items()} if isinstance(detail, Mapping) else {}


def _texts(of: str) -> dict[str, str]:
    try:
        given = json.loads(of)
    except ValueError:
        return {}
    known = {question.key for question in QUESTIONS}
    return {key: str(value) for key, value in given.items() if key in known} if isinstance(given, dict) else {}


def _script(value: Any) -> str:
    """Give a value as JSON that can stand in a script."""
    return json.dumps(value).replace("<", "\\u003c")
