"""`loads`: greatest and least loads by set-up."""

from __future__ import annotations

from typing import Annotated

import typer

from tipline.cli.options import (
    Json,
    MachineSettings,
    Out,
    Paper,
    PaperOption,
    Pdf,
    Quiet,
    Strict,
    Units,
    UnitsOption,
    overrides_of,
)
from tipline.cli.work import own_stem, result_folder, say, working

__all__ = ["loads"]


def loads(
    machine: Annotated[str, typer.Argument(metavar="MACHINE", help="A machine file, or the name of a shipped one.")],
    load: Annotated[
        str | None, typer.Option("--load", metavar="MASS", help='Which set-up takes this load? As "8 t", gross.')
    ] = None,
    load_centre: Annotated[
        str | None, typer.Option("--load-centre", metavar="LENGTH", help='Its load centre on the forks, as "0.7 m".')
    ] = None,
    reach: Annotated[
        str | None, typer.Option("--reach", metavar="LENGTH", help='Instead of it the reach of the jib, as "1.6 m".')
    ] = None,
    heights: Annotated[
        str | None,
        typer.Option("--heights", metavar="LIST", help='Fork heights to ask, as "0.3 m, 2 m"; default four.'),
    ] = None,
    centres: Annotated[
        str | None, typer.Option("--centres", metavar="LIST", help="Load centres on the forks; default the plate's.")
    ] = None,
    reaches: Annotated[
        str | None, typer.Option("--reaches", metavar="LIST", help="Reaches of the jib; default all its pins.")
    ] = None,
    extensions: Annotated[
        str | None, typer.Option("--extensions", metavar="LIST", help="Counterweight extensions; default the plate's.")
    ] = None,
    slabs: Annotated[
        str | None, typer.Option("--slabs", metavar="LIST", help='Numbers of ballast slabs, as "0, 2, 4".')
    ] = None,
    rules: Annotated[
        list[str] | None,
        typer.Option(
            "--rule", metavar="NAME=NUMBER", help="Replace a number of the rules, steer_share=0.2. Repeatable."
        ),
    ] = None,
    settings: MachineSettings = None,
    floor: Annotated[
        str | None, typer.Option("--floor", metavar="NAME", help="Set that load on this floor as well, by set-up.")
    ] = None,
    stock: Annotated[str | None, typer.Option("--stock", metavar="NAME", help="Spreaders to lay under it.")] = None,
    position: Annotated[
        str, typer.Option("--position", metavar="X,Y", help="Where on the floor its drive axle stands.")
    ] = "0 m, 0 m",
    out: Out = None,
    json: Json = False,
    units: UnitsOption = Units.si,
    no_pictures: Annotated[bool, typer.Option("--no-pictures", help="Leave out the chart.")] = False,
    quiet: Quiet = False,
    strict: Strict = False,
    pdf: Pdf = False,
    paper: PaperOption = Paper.a4,
) -> None:
    """Give greatest and least lifted load by set-up, and what governs each; leave a folder as run does."""
    with working(quiet) as progress:
        overrides = overrides_of(settings)
        from tipline.commands import loads as command
        from tipline.commands.delivered import Wishes
        from tipline.commands.next_steps import after_loads

        wishes = Wishes(units.value, not no_pictures, pdf=pdf, paper=paper.value)
        grid = {"heights": heights, "centres": centres, "reaches": reaches, "extensions": extensions, "slabs": slabs}
        with result_folder(out, own_stem("loads", machine)) as (target, folder):
            result = command.loads(
                machine,
                overrides,
                grid,
                rules or (),
                load,
                load_centre,
                reach,
                progress,
                strict,
                floor,
                stock,
                position,
            )
            delivered = command.write_loads(result, folder, wishes, progress)
        say(delivered, json, progress, after_loads(result, machine, target, overrides, units.value))
