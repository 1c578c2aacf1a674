"""`reconstruct`: the causes of an incident weighed by what was found, ended and taken up again."""

from __future__ import annotations

from typing import Annotated

import typer

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

__all__ = ["reconstruct"]


def reconstruct(
    case: Annotated[str, typer.Argument(metavar="CASE", help="An incident file, or the name of a shipped one.")],
    workers: Annotated[
        int,
        typer.Option(
            "--workers", metavar="N", callback=whole_number(MOST_WORKERS, 1), help="Processes on this computer."
        ),
    ] = 2,
    scheduler: Scheduler = None,
    resume: Resume = False,
    settings: FileSettings = None,
    out: KeptOut = None,
    json: Json = False,
    units: UnitsOption = Units.si,
    no_pictures: Annotated[bool, typer.Option("--no-pictures", help="Leave out the drawings.")] = False,
    quiet: Quiet = False,
    strict: Strict = False,
    pdf: Pdf = False,
    paper: PaperOption = Paper.a4,
) -> None:
    """Weigh the causes that are thought of after an incident by what was found; say what cannot be told apart."""
    with working(quiet) as progress:
        overrides = overrides_of(settings)
        from tipline.commands import reconstruct as command
        from tipline.commands.delivered import Wishes
        from tipline.commands.next_steps import after_reconstruct

        with kept_folder(out, own_stem("incident", case), progress, resume=resume, of="runs") as target:
            wishes = Wishes(units.value, not no_pictures, pdf=pdf, paper=paper.value)
            result = command.reconstruct(case, overrides, target, workers, resume, progress, strict, scheduler)
            with all_kept(sum(cause.runs for cause in result.report.causes)):
                delivered = command.write_reconstruct(result, target, wishes, progress)
        say(delivered, json, progress, after_reconstruct(result, case, target, overrides))
