"""`export`: the truck for other programs."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated

import typer

from tipline.cli.options import JsonList, Out, Quiet, ScenarioName, Settings, overrides_of
from tipline.cli.streams import show
from tipline.cli.work import own_stem, print_json, result_folder, working

__all__ = ["ExportFormat", "export"]


class ExportFormat(StrEnum):
    """The formats that a truck can be written in for other programs."""

    urdf = "urdf"
    mjcf = "mjcf"
    glb = "glb"


def export(
    scenario: ScenarioName,
    form: Annotated[ExportFormat, typer.Option("--format", help="urdf, mjcf or glb.")],
    settings: Settings = None,
    out: Out = None,
    json: JsonList = False,
    quiet: Quiet = False,
) -> None:
    """Write the truck of a scenario for other programs: bodies, joints, solids; say what the format cannot hold."""
    with working(quiet) as progress:
        overrides = overrides_of(settings)
        from tipline.commands import export as command

        with result_folder(out, own_stem(form.value, scenario)) as (target, folder):
            result = command.export(scenario, form.value, overrides, progress)
            command.write_export(result, folder)
        progress.close()
        if json:
            print_json({"folder": str(target), "files": sorted(result.exported.files), **result.words()})
            return
        for heading, lines in result.words().items():
            show("\n".join([heading.replace("_", " ").capitalize(), *(f"  - {line}" for line in lines)]))
        show(f"\nWritten to {target}/")
