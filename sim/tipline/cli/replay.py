"""`replay`: a stored run as one page that plays it."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from tipline.cli.options import Quiet, Units, UnitsOption
from tipline.cli.streams import show
from tipline.cli.typed import whole_number
from tipline.cli.work import working
from tipline.commands.limits import MOST_GHOSTS

__all__ = ["replay"]


def replay(
    run: Annotated[Path, typer.Argument(metavar="RUN", help="The folder that tipline run left, as runs/NAME.")],
    beside: Annotated[
        Path | None, typer.Argument(metavar="RUN", help="Another one, played beside it in step.", show_default=False)
    ] = None,
    out: Annotated[
        Path | None,
        typer.Option(
            "--out",
            metavar="FILE",
            help="The page to write; without it replay.html in RUN, or replay-beside-NAME.html.",
        ),
    ] = None,
    spread: Annotated[
        int,
        typer.Option(
            "--spread",
            metavar="N",
            callback=whole_number(MOST_GHOSTS),
            help="Draw so many runs of its spread as faint outlines too; they are made again.",
        ),
    ] = 0,
    units: UnitsOption = Units.si,
    quiet: Quiet = False,
) -> None:
    """Write one page that plays a stored run, or two in step, in any browser, with no network."""
    with working(quiet) as progress:
        from tipline.commands import replay as command
        from tipline.commands.next_steps import after_replay

        result = command.replay(run, beside, units.value, progress, spread)
        place = command.write_replay(result, out)
        progress.close()
        show(after_replay(place, run, spread))
