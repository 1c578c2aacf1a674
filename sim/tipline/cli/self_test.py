"""`self-test`: our own checks beside published values."""

from __future__ import annotations

import shutil

import typer

from tipline.cli.exits import NUMERICAL_FAILURE
from tipline.cli.options import JsonList
from tipline.cli.streams import show
from tipline.cli.work import errors_told, print_json

__all__ = ["self_test"]


def self_test(json: JsonList = False) -> None:
    """Compute our own checks and set them beside published values."""
    with errors_told():
        from dataclasses import asdict

        from tipline import selftest
        from tipline.selftest import measured

        checks = selftest.run_checks()
        if json:
            print_json(
                {
                    "checks": selftest.as_records(checks),
                    "recorded": [asdict(row) for row in selftest.RECORDED],
                    "measured_by_others": measured.as_records(),
                }
            )
        else:
            width = shutil.get_terminal_size((100, 0)).columns
            show(selftest.table(checks, width))
            show("\n" + selftest.recorded_table(selftest.RECORDED, width))
            show("\n" + measured.measured_table(measured.KINDS, width))
        if not all(check.passed for check in checks):
            raise typer.Exit(NUMERICAL_FAILURE)
