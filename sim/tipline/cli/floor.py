"""`floor`: what the tyres put on a floor."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from tipline.cli.exits import end_beyond_limit
from tipline.cli.options import (
    Json,
    Out,
    Paper,
    PaperOption,
    Pdf,
    Quiet,
    Settings,
    Strict,
    Units,
    UnitsOption,
    overrides_of,
)
from tipline.cli.work import own_stem, result_folder, say, working

__all__ = ["floor"]


def floor(
    subject: Annotated[
        str, typer.Argument(metavar="FLOOR|SCENARIO", help="A floor, or a scenario on it: a file or a shipped name.")
    ],
    route: Annotated[
        Path | None, typer.Option("--route", metavar="FILE", help="A way over the floor; needs a scenario.")
    ] = None,
    stock: Annotated[
        str | None,
        typer.Option("--stock", metavar="NAME", help="Spreaders to choose from: a file, or the shipped demo-stock-a."),
    ] = None,
    settings: Settings = None,
    out: Out = None,
    json: Json = False,
    units: UnitsOption = Units.si,
    no_pictures: Annotated[bool, typer.Option("--no-pictures", help="Leave out plan and stress map.")] = False,
    quiet: Quiet = False,
    strict: Strict = False,
    pdf: Pdf = False,
    paper: PaperOption = Paper.a4,
) -> None:
    """Compare what the tyres put on a floor with planning limit and expected strength; leave a folder as run does."""
    with working(quiet) as progress:
        overrides = overrides_of(settings)
        from tipline.commands import floor as command
        from tipline.commands.delivered import Wishes
        from tipline.commands.next_steps import after_floor

        wishes = Wishes(units.value, not no_pictures, pdf=pdf, paper=paper.value)
        with result_folder(out, own_stem("floor", subject)) as (target, folder):
            result = command.floor(subject, overrides, route, stock, progress, strict)
            delivered = command.write_floor(result, folder, wishes, progress)
        read = {"--route": route, "--stock": stock}
        say(delivered, json, progress, after_floor(result, subject, target, overrides, units.value, read))
        end_beyond_limit(result.report.exceeded)
