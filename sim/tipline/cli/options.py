"""What several commands can be told, each kind of option once."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from tipline.errors import InputError

__all__ = [
    "FileSettings",
    "Json",
    "JsonList",
    "KeptOut",
    "MachineSettings",
    "Out",
    "Paper",
    "PaperOption",
    "Pdf",
    "Quiet",
    "Resume",
    "ScenarioName",
    "Scheduler",
    "Settings",
    "Strict",
    "Units",
    "UnitsOption",
    "overrides_of",
]


class Units(StrEnum):
    """The system of units that pages are written in."""

    si = "si"
    us = "us"


class Paper(StrEnum):
    """The sheets that a report can be set on."""

    a4 = "a4"
    letter = "letter"


ScenarioName = Annotated[str, typer.Argument(metavar="SCENARIO", help="A scenario file, or the name of a shipped one.")]
Settings = Annotated[
    list[str] | None,
    typer.Option("--set", metavar="KEY=VALUE", help='Replace a setting, as "event.0.depth=95 mm". Repeatable.'),
]
MachineSettings = Annotated[
    list[str] | None,
    typer.Option("--set", metavar="KEY=VALUE", help='Replace a value of the machine, as "wheelbase=2 m". Repeatable.'),
]
FileSettings = Annotated[
    list[str] | None,
    typer.Option("--set", metavar="KEY=VALUE", help="Replace a value of the file, as runs=100. Repeatable."),
]
Scheduler = Annotated[
    str | None, typer.Option("--scheduler", metavar="ADDRESS", help="Run on this dask cluster instead.")
]
Resume = Annotated[
    bool, typer.Option("--resume", help="Go on with what is in --out, or the last one begun under runs/.")
]
KeptOut = Annotated[Path | None, typer.Option("--out", metavar="DIR", help="The folder to write.")]
Out = Annotated[Path | None, typer.Option("--out", metavar="DIR", help="The folder to write; it must not exist yet.")]
Json = Annotated[
    bool, typer.Option("--json", help="Print the summary as JSON instead of the page; in SI, whatever --units.")
]
JsonList = Annotated[bool, typer.Option("--json", help="Print as JSON.")]
UnitsOption = Annotated[Units, typer.Option("--units", help="Units of the page; JSON stays in SI.")]
Pdf = Annotated[bool, typer.Option("--pdf", help="Write report.pdf as well, to be filed.")]
PaperOption = Annotated[Paper, typer.Option("--paper", help="The sheet of report.pdf.")]
Strict = Annotated[bool, typer.Option("--strict", help="Stop at an unusual value that no file calls meant.")]
Quiet = Annotated[bool, typer.Option("--quiet", help="No progress lines.")]


def overrides_of(settings: list[str] | None) -> dict[str, str]:
    """Read what was typed after each --set: a key and the value that takes the place of its own."""
    pairs = {}
    for setting in settings or []:
        key, sign, value = setting.partition("=")
        if not sign or not key.strip():
            msg = "a setting needs a key and a value"
            raise InputError(msg, key="--set", value=setting, remedy='Write it as --set "event.0.depth=95 mm"')
        pairs[key.strip()] = value.strip()
    return pairs
