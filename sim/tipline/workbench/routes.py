"""What the server answers beside the pages: files of results, a set-up as a file, and files that are handed in."""

from __future__ import annotations

from hmac import compare_digest as same
from pathlib import Path

from fastapi import Request, Response
from fastapi.responses import FileResponse, PlainTextResponse, RedirectResponse
from nicegui import app, background_tasks, ui
from starlette.requests import ClientDisconnect

from tipline.errors import InputError
from tipline.model.shipped import Kind
from tipline.workbench import history
from tipline.workbench.bench import MOST_BYTES, plain_name, words_of
from tipline.workbench.jobs import Jobs
from tipline.workbench.pages import build
from tipline.workbench.work import Work, Works

__all__ = ["add_routes"]

_RESULT = {
    "content-security-policy": (
        "default-src 'none'; script-src 'unsafe-inline' blob:; style-src 'unsafe-inline'; img-src 'self' data: blob:; "
        "media-src 'self'; connect-src data: blob:; base-uri 'none'; form-action 'none'; frame-ancestors 'self'; "
        "sandbox allow-scripts allow-popups"
    ),
    "cache-control": "no-store",
}
"""A result may run its own scripts, and neither fetch anything nor ask anything of these pages."""


_SAVED: dict[Kind, str] = {"scenario": "set-up", "machine": "machine", "floor": "floor"}
"""What is saved as a file, with the end of its name."""


def add_routes(jobs: Jobs, works: Works) -> None:
    """Tell the server what it answers."""
    _add_pages(jobs, works)
    _add_works(works)
    _add_results(jobs)


def _add_pages(jobs: Jobs, works: Works) -> None:
    @ui.page("/open/{key}")
    def begin(key: str) -> Response:
        return RedirectResponse(f"/work/{works.new().key}") if same(key.encode(), jobs.key.encode()) else _elsewhere()

    @ui.page("/work/{key}")
    async def work_page(key: str) -> Response | None:
        work = works.get(key)
        if work is None:
            return _elsewhere()
        build(work, jobs)
        if not work.begun:
            background_tasks.create(_first_figures(work, jobs))
        return None


async def _first_figures(work: Work, jobs: Jobs) -> None:
    """Work out what is shown at first; a run is prepared for when that is there."""
    await work.work_out()
    jobs.warm()


def _add_works(works: Works) -> None:
    @app.get("/work/{key}/{kind}.toml")
    def saved(key: str, kind: str) -> Response:
        work = works.get(key)
        wanted = next((each for each in _SAVED if each == kind), None)
        if work is None or wanted is None:
            return _absent()
        try:
            text = work.bench.text(wanted)
        except InputError as error:
            return PlainTextResponse(words_of(error), 409)
        name = plain_name(f"{work.bench.name.removesuffix('.toml')}-{_SAVED[wanted]}")
        return Response(text, 200, {"content-disposition": f'attachment; filename="{name}"'}, "application/toml")

    @app.post("/work/{key}/hand-in")
    async def handed_in(key: str, name: str, request: Request) -> Response:
        work = works.get(key)
        if work is None:
            return _absent()
        data = b""
        try:
            async for piece in request.stream():
                data += piece
                if len(data) > MOST_BYTES:
                    break
            await work.hand_in(name, data)
        except InputError as error:
            return PlainTextResponse(words_of(error), 422)
        except ClientDisconnect:
            return PlainTextResponse("more than was said", 413)
        return PlainTextResponse("")


def _add_results(jobs: Jobs) -> None:
    @app.get("/early/{key}/replay.html")
    def early(key: str) -> Response:
        job = jobs.get(key)
        return _file(None if job is None else jobs.early(job.key) / "replay.html")

    @app.get("/runs/{key}/{name}/{path:path}")
    def result(key: str, name: str, path: str) -> Response:
        folder = history.folder_of(jobs.runs, name) if same(key.encode(), jobs.key.encode()) else None
        return _file(None if folder is None else history.file_in(folder, path))


def _file(place: Path | None) -> Response:
    return FileResponse(place, headers=_RESULT) if place is not None and place.is_file() else _absent()


def _elsewhere() -> Response:
    return PlainTextResponse("These pages begin at the address that tipline open has printed.", 404)


def _absent() -> Response:
    return PlainTextResponse("There is no such thing here.", 404)
