"""`report`: the report of a folder set again, two of them side by side, or the method statement of this version."""

from __future__ import annotations

import shutil
from contextlib import nullcontext
from pathlib import Path
from typing import Annotated

import typer

from tipline.cli.options import Json, Out, Paper, PaperOption, Units, UnitsOption
from tipline.cli.streams import show
from tipline.cli.work import errors_told, print_json, show_page
from tipline.errors import InputError

__all__ = ["report"]


def report(
    folders: Annotated[
        list[Path] | None, typer.Argument(metavar="FOLDER [OTHER]", help="What a command left; a second to compare.")
    ] = None,
    method: Annotated[
        bool, typer.Option("--method", help="Print every law with equation, source and range, and the self-test.")
    ] = False,
    out: Out = None,
    json: Json = False,
    units: UnitsOption = Units.si,
    paper: PaperOption = Paper.a4,
) -> None:
    """Set the report of a folder again as HTML and PDF, or compare two; nothing is simulated."""
    with errors_told():
        given = folders or []
        if method == bool(given) or len(given) > 2:
            msg = "needs one folder, two to compare, or --method alone"
            raise InputError(msg, key="FOLDER", value=" ".join(map(str, given)) or None, remedy=_NAME)
        if method:
            _method(json, out, paper)
            return
        from tipline.commands.folder import new_folder
        from tipline.commands.report import report_of, summary_of, write_report

        result = report_of(given[0], given[1] if len(given) > 1 else None, units.value, paper.value)
        target = out if out is not None else given[0] if len(given) == 1 else None
        left_out: tuple[str, ...] = ()
        if target is not None:
            with new_folder(target) if out is not None else nullcontext(target) as folder:
                left_out = write_report(result, folder)
        if json:
            print_json(
                {str(folder): summary_of(folder) for folder in given} if len(given) > 1 else summary_of(given[0])
            )
            return
        where = f"Written to {target}/" if target is not None else "Give --out DIR to have it as HTML and PDF"
        show_page(result.page, "\n".join((*(f"Left out: {text}." for text in left_out), where)))


_NAME = "Name the folder that a command left, as tipline report runs/NAME"


def _method(json: bool, out: Path | None, paper: Paper) -> None:
    from tipline.selftest import method

    laws = method.laws()
    if out is not None:
        from tipline import __version__
        from tipline.commands.folder import new_folder
        from tipline.selftest.filed import write_statement

        with new_folder(out) as folder:
            left_out = write_statement(laws, __version__, folder, paper.value)
        if not json:
            show("\n".join((*(f"Left out: {text}." for text in left_out), f"Written to {out}/")))
            return
    if json:
        print_json(method.as_records(laws))
        return
    show(method.statement(laws, min(shutil.get_terminal_size((100, 0)).columns, 120)))
