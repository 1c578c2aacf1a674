"""`run`: a scenario simulated, told as soon as it is known, and its folder."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

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
    Units,
    UnitsOption,
    overrides_of,
)
from tipline.cli.signals import interrupted_by
from tipline.cli.streams import show, tell
from tipline.cli.typed import whole_number
from tipline.cli.work import result_folder, say, show_page, working
from tipline.commands.limits import MOST_SPREAD

if TYPE_CHECKING:
    from tipline.runs.outcome import Outcome

__all__ = ["Engine", "run"]


class Engine(StrEnum):
    """What can make a run."""

    pybullet = "pybullet"
    compiled = "compiled"


def run(
    scenario: ScenarioName,
    settings: Settings = None,
    out: Out = None,
    json: Json = False,
    units: UnitsOption = Units.si,
    no_pictures: Annotated[bool, typer.Option("--no-pictures", help="Leave out stills, film and plots.")] = False,
    no_film: Annotated[bool, typer.Option("--no-film", help="Leave out the film only.")] = False,
    quiet: Quiet = False,
    draft: Annotated[bool, typer.Option("--draft", help="A small film, drawn faster.")] = False,
    strict: Annotated[
        bool,
        typer.Option(
            "--strict",
            help="Stop at an unusual value that no file calls meant; exit 4 when a planning limit is exceeded.",
        ),
    ] = False,
    spread: Annotated[
        int | None,
        typer.Option(
            "--spread",
            metavar="N",
            callback=whole_number(MOST_SPREAD),
            help="Further runs within what is not known of load, tyres and events: 50, or the scenario's run.spread.",
        ),
    ] = None,
    floor_spread: Annotated[
        int,
        typer.Option(
            "--floor-spread",
            metavar="N",
            callback=whole_number(MOST_SPREAD),
            help="Further runs on floors drawn from what may be there.",
        ),
    ] = 20,
    engine: Annotated[
        Engine | None,
        typer.Option("--engine", help="What makes the run; pybullet where it is installed, else compiled."),
    ] = None,
    pdf: Pdf = False,
    paper: PaperOption = Paper.a4,
) -> None:
    """Simulate, assess and report a scenario; leave its folder under runs/ or in --out."""
    with working(quiet) as progress:
        overrides = overrides_of(settings)
        from tipline.commands import run as command
        from tipline.commands.delivered import Wishes
        from tipline.commands.next_steps import after_run
        from tipline.report.sections import ended
        from tipline.report.wording import spell

        wishes = Wishes(units.value, not no_pictures, draft, not no_film, pdf, paper.value)

        def known(outcome: Outcome) -> None:
            progress.close()
            if not json:
                show(spell("\n".join(f"{part}: {how}" for part, how in ended(outcome)) + "\n", units.value))

        with (
            command.Equipment(wishes) as equipment,
            result_folder(out, Path(scenario).stem or "run") as (target, folder),
        ):
            result = command.run(
                scenario,
                overrides,
                progress,
                spread,
                floor_spread,
                strict,
                known,
                engine,
                idle=equipment.start,
                meanwhile=equipment.load,
            )
            progress.close()
            if not json:
                show_page(command.page_of_run(result, wishes))
            delivered = command.write_run(result, folder, wishes, progress, equipment.drawers)
        if json:
            say(delivered, json, progress, "")
        else:
            progress.close()
            left_out = (f"Left out: {text}." for text in delivered.left_out)
            steps = after_run(result.report, result.case, scenario, target, overrides, units.value)
            show("\n".join(("", *left_out, steps)))
        if delivered.broken_off:
            tell(f"tipline: interrupted; the film was left out, all else is in {target}/")
            raise typer.Exit(interrupted_by())
        if strict:
            end_beyond_limit(result.report.exceeded)
