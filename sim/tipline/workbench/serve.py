"""The server of the pages: on this computer only, until it is asked to end."""

from __future__ import annotations

import os
import socket
import tempfile
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from tipline.errors import InputError, argument
from tipline.workbench.guard import HOST

__all__ = ["free_port", "serve"]


def serve(runs: Path, port: int, *, browser: bool, announce: Callable[[str], None]) -> None:
    """Serve the pages until a request to end; results go into folders under ``runs``; ``announce`` gets the address."""
    with tempfile.TemporaryDirectory(prefix="tipline-pages-") as kept:
        # NiceGUI would keep its notes in the current folder
        os.environ["NICEGUI_STORAGE_PATH"] = kept
        from nicegui import app, ui

        from tipline.workbench.guard import Guard
        from tipline.workbench.jobs import Jobs
        from tipline.workbench.routes import add_routes
        from tipline.workbench.work import Works

        jobs, works = Jobs(runs), Works()
        add_routes(jobs, works)
        app.add_middleware(Guard, port=port)
        begin = f"/open/{jobs.key}"
        app.on_startup(lambda: announce(f"http://{HOST}:{port}{begin}"))
        try:
            with suppress(KeyboardInterrupt):
                ui.run(
                    host=HOST,
                    port=port,
                    title="Tipline",
                    favicon=_MARK,
                    language="en-US",
                    show=begin if browser else False,
                    reload=False,
                    tailwind=False,
                    show_welcome_message=False,
                    uvicorn_logging_level="error",
                )
        finally:
            works.end()
            jobs.end()


_MARK = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 16 16"><path d="M1 14h14L8 2z" fill="#f7be00" '
    'stroke="#1c2024" stroke-width="1.5"/><path d="M8 6v5" stroke="#1c2024" stroke-width="1.5"/></svg>'
)


def free_port(wanted: int | None) -> int:
    """Give a port that is free on this computer: the one that is wanted, else any.

    Raises
    ------
    InputError
        It is taken, or may not be listened on.
    """
    with socket.socket() as probe:
        try:
            probe.bind((HOST, wanted or 0))
        except OSError as error:
            reason = f"cannot be listened on ({error.strerror})"
            raise InputError(
                reason, key=argument("port"), value=str(wanted), remedy="Give another one, or none for any that is free"
            ) from error
        return int(probe.getsockname()[1])
