"""The command line: reads what was typed, calls the package, prints. Heavy parts are imported inside the commands."""

from __future__ import annotations

import os
import warnings
from collections.abc import Callable

from tipline.cli import (
    check,
    export,
    files,
    fit,
    floor,
    lesson,
    loads,
    reconstruct,
    repeat,
    replay,
    report,
    run,
    self_test,
    slopes,
    start,
    sweep,
)
from tipline.cli import (
    open as pages,
)
from tipline.cli.application import application as app
from tipline.cli.exits import LIMIT_EXCEEDED
from tipline.cli.signals import taken_as_interrupts
from tipline.cli.streams import hold_streams, told_note

__all__ = ["COMMANDS", "LIMIT_EXCEEDED", "app", "main"]

COMMANDS: dict[str, Callable[..., None]] = {
    "run": run.run,
    "check": check.check,
    "start": start.start,
    "floor": floor.floor,
    "slopes": slopes.slopes,
    "loads": loads.loads,
    "fit": fit.fit,
    "sweep": sweep.sweep,
    "open": pages.open_pages,
    "replay": replay.replay,
    "lesson": lesson.lesson,
    "reconstruct": reconstruct.reconstruct,
    "report": report.report,
    "repeat": repeat.repeat,
    "export": export.export,
    "list": files.list_shipped,
    "new": files.new,
    "schema": files.schema,
    "self-test": self_test.self_test,
}
"""Every command by its name, in the order of the help."""

for _name, _command in COMMANDS.items():
    app.command(_name)(_command)


def main() -> None:
    """Run the command line; a request to end is taken as Ctrl-C, so that nothing half-written stays."""
    hold_streams()
    warnings.showwarning = told_note
    # before numpy is loaded: our matrices are small, and a second thread for them would only wait, at full speed
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    with taken_as_interrupts():
        app()
