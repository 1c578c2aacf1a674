"""`open`: the pages in a browser on this computer."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from tipline.cli.streams import show
from tipline.cli.work import errors_told

__all__ = ["open_pages"]


def open_pages(
    port: Annotated[
        int | None,
        typer.Option("--port", min=1, max=65535, help="The port to listen on; any free one without it."),
    ] = None,
    no_browser: Annotated[bool, typer.Option("--no-browser", help="Print the address; open no browser.")] = False,
    out: Annotated[
        Path, typer.Option("--out", metavar="DIR", help="The folder whose results are listed and added to.")
    ] = Path("runs"),
) -> None:
    """Open the pages: change a set-up and see it at rest, run it, play and compare runs, ask the other commands.

    Only this computer reaches them, at an address that is printed; Ctrl-C ends them. A run goes on in a process of its
    own and leaves the folder that `tipline run` leaves, under runs/ or in --out.
    """
    with errors_told():
        from tipline.workbench.serve import free_port, serve

        own = free_port(port)
        serve(
            out, own, browser=not no_browser, announce=lambda address: show(f"Pages on {address}   Ctrl-C ends them.")
        )
