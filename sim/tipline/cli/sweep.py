"""`sweep`: a scenario many times, ended and taken up again."""

from __future__ import annotations

from typing import Annotated

import typer

from tipline.cli.exits import NUMERICAL_FAILURE
from tipline.cli.options import (
    FileSettings,
    Json,
    KeptOut,
    Paper,
    PaperOption,
    Pdf,
    Quiet,
    Resume,
    Scheduler,
    Strict,
    Units,
    UnitsOption,
    overrides_of,
)
from tipline.cli.typed import whole_number
from tipline.cli.work import all_kept, kept_folder, own_stem, say, working
from tipline.commands.limits import MOST_WORKERS

__all__ = ["sweep"]


def sweep(
    file: Annotated[str, typer.Argument(metavar="FILE", help="A sweep file, or the name of a shipped one.")],
    workers: Annotated[
        int,
        typer.Option(
            "--workers",
            metavar="N",
            callback=whole_number(MOST_WORKERS, 1),
            help="Processes on this computer that make the runs.",
        ),
    ] = 1,
    scheduler: Scheduler = None,
    resume: Resume = False,
    give_up_after: Annotated[
        str,
        typer.Option(
            "--give-up-after",
            metavar="TIME",
            help="End a run that takes longer; it is tried once more alone, then marked as without a result.",
        ),
    ] = "1 h",
    settings: FileSettings = None,
    out: KeptOut = None,
    json: Json = False,
    units: UnitsOption = Units.si,
    no_pictures: Annotated[bool, typer.Option("--no-pictures", help="Leave out the plots.")] = False,
    quiet: Quiet = False,
    strict: Strict = False,
    pdf: Pdf = False,
    paper: PaperOption = Paper.a4,
) -> None:
    """Run a scenario many times over what may vary; leave a table of one row a run, and what it says."""
    with working(quiet) as progress:
        overrides = overrides_of(settings)
        from tipline.commands import sweep as command
        from tipline.commands.delivered import Wishes
        from tipline.commands.next_steps import after_sweep

        with kept_folder(out, own_stem("sweep", file), progress, resume=resume, of="rows") as target:
            wishes = Wishes(units.value, not no_pictures, pdf=pdf, paper=paper.value)
            result = command.sweep(file, overrides, target, workers, scheduler, resume, progress, give_up_after, strict)
            with all_kept(result.report.rows):
                delivered = command.write_sweep(result, target, wishes, progress)
        say(delivered, json, progress, after_sweep(result, file, target, overrides))
        if result.report.lost == result.report.rows:
            raise typer.Exit(NUMERICAL_FAILURE)
