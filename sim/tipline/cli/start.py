"""`start`: the questions asked, or read from a file, and the first page."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer

from tipline.cli.exits import BAD_INPUT, end_beyond_limit
from tipline.cli.options import Json, Out, Quiet, Units, UnitsOption
from tipline.cli.signals import interrupted_by
from tipline.cli.streams import show, tell
from tipline.cli.work import result_folder, say, working

__all__ = ["start"]


def start(
    answers: Annotated[
        Path | None, typer.Option("--answers", metavar="FILE", help="Take the answers from a file; nothing is asked.")
    ] = None,
    questions: Annotated[
        bool, typer.Option("--questions", help="Print the questions as such a file to fill in, and stop.")
    ] = False,
    resume: Annotated[
        bool, typer.Option("--resume", help="Go on where the questions were left, with what was answered.")
    ] = False,
    out: Out = None,
    json: Json = False,
    units: UnitsOption = Units.si,
    quiet: Quiet = False,
) -> None:
    """Ask thirteen questions, any of which may stay open; give a first page and the lift's three files."""
    with working(quiet) as progress:
        from tipline.commands import start as command
        from tipline.commands.delivered import Wishes
        from tipline.commands.next_steps import after_start

        if questions:
            show(command.answers_text({}).rstrip())
            return
        given: Any = answers if answers is not None else _asked(resume)
        with result_folder(out, "start") as (target, folder):
            result = command.start(given, progress)
            command.write_start(result, folder, Wishes(units.value))
        if answers is None:
            from tipline.cli.dialogue import KEPT

            KEPT.unlink(missing_ok=True)
        page = command.page_of(result, Wishes(units.value))
        say(page, json, progress, after_start(target, result.pose.case, units.value))
        end_beyond_limit(result.pose.exceeded)


def _asked(resume: bool) -> dict[str, Any]:
    """Ask the questions; whatever ends them early, what was answered is kept and it is said how to go on."""
    from tipline.cli.dialogue import KEPT, Left, ask

    go_on = f"what was answered is kept in {KEPT}; go on with tipline start --resume"
    try:
        answers, meant = ask(resume)
    except Left:
        tell(f"tipline: {go_on}")
        raise typer.Exit from None
    except EOFError:
        tell(f"tipline: no more answers came; {go_on}, or give them in a file with --answers")
        raise typer.Exit(BAD_INPUT) from None
    except KeyboardInterrupt:
        tell(f"\ntipline: interrupted; {go_on}")
        raise typer.Exit(interrupted_by()) from None
    return {**answers, "meant": list(meant)}
