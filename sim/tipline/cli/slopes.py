"""`slopes`: the greatest slope in every direction."""

from __future__ import annotations

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
from tipline.cli.typed import whole_number
from tipline.cli.work import own_stem, result_folder, say, working
from tipline.commands.limits import MOST_RAMPS, MOST_SIMULATED

__all__ = ["slopes"]


def slopes(
    scenario: ScenarioName,
    heights: Annotated[
        str | None,
        typer.Option("--heights", metavar="LIST|COUNT", help='Heights, as "0.3 m, 2 m", or how many; default four.'),
    ] = None,
    beside: Annotated[
        list[str] | None,
        typer.Option("--beside", metavar="CHANGES", help='Another set-up, as "tilt=2 deg; load.mass=4 t". Repeatable.'),
    ] = None,
    directions: Annotated[int, typer.Option("--directions", help="How many, all around; 8 to 720.")] = 72,
    simulate: Annotated[
        int,
        typer.Option(
            "--simulate", metavar="N", callback=whole_number(MOST_SIMULATED), help="Simulate N directions as well."
        ),
    ] = 0,
    ramps: Annotated[
        int,
        typer.Option(
            "--ramps",
            metavar="N",
            callback=whole_number(MOST_RAMPS),
            help="Simulate N ways onto a ramp, and stops on it.",
        ),
    ] = 0,
    settings: Settings = None,
    out: Out = None,
    json: Json = False,
    units: UnitsOption = Units.si,
    no_pictures: Annotated[bool, typer.Option("--no-pictures", help="Leave out maps and curves.")] = False,
    quiet: Quiet = False,
    strict: Strict = False,
    pdf: Pdf = False,
    paper: PaperOption = Paper.a4,
) -> None:
    """Give the greatest floor slope in every direction, by height; leave a folder as run does."""
    with working(quiet) as progress:
        overrides = overrides_of(settings)
        from tipline.commands import slopes as command
        from tipline.commands.delivered import Wishes
        from tipline.commands.next_steps import after_slopes

        wishes = Wishes(units.value, not no_pictures, pdf=pdf, paper=paper.value)
        with result_folder(out, own_stem("slopes", scenario)) as (target, folder):
            result = command.slopes(
                scenario, overrides, heights, beside or (), directions, simulate, ramps, progress, strict
            )
            delivered = command.write_slopes(result, folder, wishes, progress)
        say(delivered, json, progress, after_slopes(result.case, scenario, target, overrides, units.value))
        end_beyond_limit(result.report.exceeded)
