"""The program as typed with no command: what it is, its version, first steps."""

from __future__ import annotations

from typing import Annotated

import typer

from tipline.cli.exits import BAD_INPUT
from tipline.cli.streams import show
from tipline.cli.typed import Commands

__all__ = ["application"]

application = typer.Typer(
    name="tipline",
    cls=Commands,
    epilog="Exit: 0 done, 1 a part is not installed, 2 bad input, 3 numerical failure, "
    "4 done with a planning limit exceeded, 5 a repeat that differs, 130 interrupted (143 by SIGTERM).",
    invoke_without_command=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)

FIRST_STEPS = """tipline works out what it takes to tip a heavy-lift truck or to break the floor under it.

  tipline start                                         a first page on your own lift, from thirteen questions
  tipline list                                          the trucks, floors and scenarios that come with it
  tipline check front-tyre-breaks-through-load-high     tyre loads and limits at rest, in a second
  tipline run front-tyre-breaks-through-load-high       simulate it: a report, pictures and a film under runs/
  tipline run YOUR-FILE.toml                            your own; copy a shipped scenario and change it
  tipline --help                                        all commands
"""


def _tell_version(wanted: bool) -> None:
    if wanted:
        from tipline import __version__

        typer.echo(f"tipline {__version__}")
        raise typer.Exit


@application.callback()
def tipline(
    ctx: typer.Context,
    _version: Annotated[
        bool, typer.Option("--version", callback=_tell_version, is_eager=True, help="Print the version and stop.")
    ] = False,
) -> None:
    """Work out what it takes to tip a heavy-lift truck or to break the floor under it, and what happens then."""
    if ctx.invoked_subcommand is None:
        show(FIRST_STEPS.rstrip())
        raise typer.Exit(BAD_INPUT)
