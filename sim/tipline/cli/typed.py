"""What was typed: read by typer, told in one message with what to do where it is wrong."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from typing import Any

import typer
from typer.core import TyperGroup

from tipline.cli.exits import BAD_INPUT
from tipline.cli.signals import interrupted_by
from tipline.cli.streams import tell
from tipline.errors import PART, clipped

__all__ = ["Commands", "whole_number"]

_Mistyped: type[Any] = typer.BadParameter.__mro__[1]
"""What is raised for any command line that cannot be read."""
_SAID_PLAINLY = (
    ("Value error, ", ""),
    ("Input should be a valid integer, unable to parse string as an integer", "not a whole number"),
)
_FOR_EXAMPLE = {
    "run": "front-tyre-breaks-through-load-high",
    "check": "front-tyre-breaks-through-load-high",
    "floor": "demo-hall-c",
    "slopes": "floor-falls-sideways",
    "loads": "demo-truck-a",
    "fit": "demo-truck-a --set \"weighings=[{total = '10.6 t', slabs = 2}]\"",
    "sweep": "one-front-tyre-breaks-through",
    "reconstruct": "truck-on-its-side-by-the-press",
    "lesson": "tyre-breaks-through",
    "export": "front-tyre-breaks-through-load-high --format glb",
}
"""A shipped name for each command that needs one."""
_REMEDY_IN_IT = ("is not one of", "Choose from", "Did you mean", "Possible options", "Give a")


class Commands(TyperGroup):
    """The commands; what was typed wrong is told in one message with what to do, as any other bad input."""

    def make_context(self, *args: Any, **more: Any) -> Any:
        """Read what stands before the command."""
        with _typed_wrong_told():
            return super().make_context(*args, **more)

    def invoke(self, ctx: Any) -> Any:
        """Read the command and what goes with it, and do what is asked."""
        with _typed_wrong_told(ctx):
            return super().invoke(ctx)


@contextmanager
def _typed_wrong_told(ctx: Any = None) -> Iterator[None]:
    try:
        yield
    except _Mistyped as error:
        if type(error).__name__ == "NoArgsIsHelpError":  # the help itself
            raise
        name = (ctx.invoked_subcommand if ctx is not None else None) or ""
        params = ctx.command.commands[name].params if name else ()
        tell(f"tipline: {_typed_wrong(error, name, params)}")
        raise typer.Exit(BAD_INPUT) from None
    except KeyboardInterrupt:  # before a command has begun
        tell("tipline: interrupted; nothing was left behind")
        raise typer.Exit(interrupted_by()) from None


def _typed_wrong(error: Any, name: str, params: Sequence[Any]) -> str:
    """Say what was typed wrong; where that names no remedy what the item is, or how the command is written."""
    text = clipped(" ".join(error.format_message().split()).rstrip("."), 2 * PART)
    for said, plainly in _SAID_PLAINLY:
        text = text.replace(said, plainly)
    option = getattr(error, "option_name", "")
    item = getattr(error, "param", None) or next((param for param in params if option and option in param.opts), None)
    command = f"tipline {name}".rstrip()
    parts = [f"{text[:1].lower()}{text[1:]}{'' if text.endswith('?') else '.'}"]
    if not any(words in text for words in _REMEDY_IN_IT):
        if item is not None and item.help:
            parts.append(item.help)
            if name in _FOR_EXAMPLE and item.param_type_name == "argument":
                parts.append(f"For example {command} {_FOR_EXAMPLE[name]}; tipline list shows them all.")
        elif not option:
            arguments = [param.metavar for param in params if param.param_type_name == "argument"]
            parts.append(f"Write it as {' '.join((command, *arguments))}, with options after it.")
    return " ".join((*parts, f"See {command} --help"))


def whole_number(most: int, least: int = 0) -> Callable[[int | None], int | None]:
    """Return what refuses a number that is not from `least` to `most`, naming it and what may be given."""

    def checked(value: int | None) -> int | None:
        if value is not None and not least <= value <= most:
            msg = f"{value} is too {'small' if value < least else 'large'}. Give a whole number from {least} to {most}"
            raise typer.BadParameter(msg)
        return value

    return checked
