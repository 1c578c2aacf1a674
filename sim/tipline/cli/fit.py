"""`fit`: a machine file fitted to its weighings."""

from __future__ import annotations

from typing import Annotated

import typer

from tipline.cli.options import Json, MachineSettings, Out, Quiet, Strict, Units, UnitsOption, overrides_of
from tipline.cli.work import own_stem, result_folder, say, working

__all__ = ["fit"]


def fit(
    machine: Annotated[
        str,
        typer.Argument(metavar="MACHINE", help="A machine file with weighings or sags, or the name of a shipped one."),
    ],
    settings: MachineSettings = None,
    out: Out = None,
    json: Json = False,
    units: UnitsOption = Units.si,
    quiet: Quiet = False,
    strict: Strict = False,
) -> None:
    """Fit a machine's file to its weighings; say what they determine, what not, what contradicts; write a new file."""
    with working(quiet) as progress:
        overrides = overrides_of(settings)
        from tipline.commands import fit as command
        from tipline.commands.delivered import Wishes
        from tipline.commands.next_steps import after_fit

        with result_folder(out, own_stem("fit", machine)) as (target, folder):
            result = command.fit(machine, overrides, progress, strict)
            delivered = command.write_fit(result, folder, Wishes(units.value))
        say(delivered, json, progress, after_fit(result.name, machine, target))
