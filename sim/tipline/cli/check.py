"""`check`: the pose a scenario starts from."""

from __future__ import annotations

from contextlib import nullcontext
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
    ScenarioName,
    Settings,
    Strict,
    Units,
    UnitsOption,
    overrides_of,
)
from tipline.cli.work import say, working
from tipline.errors import InputError

__all__ = ["check"]


def check(
    scenario: ScenarioName,
    settings: Settings = None,
    out: Out = None,
    json: Json = False,
    units: UnitsOption = Units.si,
    no_pictures: Annotated[bool, typer.Option("--no-pictures", help="Leave the plan of the set-up out.")] = False,
    quiet: Quiet = False,
    strict: Strict = False,
    pdf: Pdf = False,
    paper: PaperOption = Paper.a4,
) -> None:
    """Give tyre loads, distances and limits of the pose a scenario starts from; nothing is simulated."""
    with working(quiet) as progress:
        overrides = overrides_of(settings)
        if pdf and out is None:
            msg = "needs a folder to be written in"
            raise InputError(msg, key="--pdf", remedy="Give --out DIR as well")
        from tipline.commands import check as command
        from tipline.commands.delivered import Wishes
        from tipline.commands.folder import new_folder
        from tipline.commands.next_steps import after_check

        wishes = Wishes(units.value, not no_pictures, pdf=pdf, paper=paper.value)
        with new_folder(out) if out is not None else nullcontext() as folder:
            result = command.check(scenario, overrides, progress, strict)
            delivered = (
                command.page_of(result, wishes) if folder is None else command.write_check(result, folder, wishes)
            )
        say(delivered, json, progress, after_check(result.case, scenario, out, overrides, units.value))
        end_beyond_limit(result.exceeded)
