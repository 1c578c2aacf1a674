"""`replay`: a stored run as one page that plays it."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from tipline.cli.options import Quiet, Units, UnitsOption
from tipline.cli.streams import show
from tipline.cli.work import working

__all__ = ["replay"]


def replay(
    run: Annotated[Path, typer.Argument(metavar="RUN", help="The folder that tipline run left.")],
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FILE", help="The page to write; replay.html in RUN without it.")
    ] = None,
    units: UnitsOption = Units.si,
    quiet: Quiet = False,
) -> None:
    """Write one page that plays a stored run in any browser, with no network: the truck in 3D, gauges, charts."""
    with working(quiet) as progress:
        from tipline.commands import replay as command

        result = command.replay(run, units.value, progress)
        place = command.write_replay(result, out)
        progress.close()
        show(f"Written to {place}")
