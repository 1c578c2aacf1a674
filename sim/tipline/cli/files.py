"""`list`, `new`, `schema`: the files that commands read, shown, copied, begun and described."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from tipline.cli.options import JsonList
from tipline.cli.streams import show
from tipline.cli.work import errors_told, print_json

__all__ = ["Subject", "Template", "list_shipped", "new", "schema"]


class Subject(StrEnum):
    """What a JSON Schema can be asked for."""

    scenario = "scenario"
    machine = "machine"
    floor = "floor"
    stock = "stock"
    sweep = "sweep"
    incident = "incident"
    lesson = "lesson"


class Template(StrEnum):
    """What a template can be written of."""

    machine = "machine"
    floor = "floor"
    scenario = "scenario"
    stock = "stock"
    route = "route"
    sweep = "sweep"
    incident = "incident"
    lesson = "lesson"


def list_shipped(
    kind: Annotated[
        str | None,
        typer.Argument(
            metavar="[KIND]", help="Only these: machines, floors, stocks, scenarios, sweeps, incidents, lessons."
        ),
    ] = None,
    json: JsonList = False,
    copy: Annotated[
        str | None, typer.Option("--copy", metavar="NAME", help="Copy this shipped file, to change it.")
    ] = None,
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FILE", help="Where the copy goes; NAME.toml here without it.")
    ] = None,
) -> None:
    """List machines, floors, stocks, scenarios, sweeps, incidents, lessons that come with it, or copy one."""
    with errors_told():
        from tipline.commands.listing import copy_shipped, kind_of_copy, shipped
        from tipline.commands.next_steps import after_file

        if copy is not None:
            place = copy_shipped(copy, out)
            show(f"Written to {place}\n{after_file(kind_of_copy(copy), place)}")
            return
        listed = shipped(kind)
        if json:
            print_json(listed)
            return
        for own, entries in listed.items():
            show(f"{own}s")
            width = max((len(name) for name in entries), default=0)
            for name, title in entries.items():
                show(f"  {name.ljust(width)}  {title}")


def new(
    kind: Annotated[Template, typer.Argument(metavar="KIND", help="Which kind of file.")],
    name: Annotated[str, typer.Argument(metavar="NAME", help="A name for the new file, or a path ending in .toml.")],
) -> None:
    """Write a template, every key explained: of a machine, floor, scenario, stock, route, sweep, incident or lesson."""
    with errors_told():
        from tipline.commands.new import new as new_file
        from tipline.commands.next_steps import after_file

        place = new_file(kind.value, name)
        show(f"Written to {place}\n{after_file(kind.value, place)}")


def schema(
    subject: Annotated[Subject, typer.Argument(metavar="KIND", help="Which kind of file.")] = Subject.scenario,
) -> None:
    """Print the JSON Schema of a kind of file, for editors that complete and check TOML."""
    with errors_told():
        from tipline.scenario import schema as schema_of

        print_json(schema_of(subject.value))
