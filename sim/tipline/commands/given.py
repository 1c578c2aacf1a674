"""What every command is given: a scenario with changes, how unusual values are taken, and who is told of progress."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from operator import index
from pathlib import Path
from typing import Any, Literal

from tipline.errors import InputError, InputErrors, argument
from tipline.model.document import Overrides, read_text
from tipline.model.shipped import Kind, find
from tipline.scenario import Case, read
from tipline.scenario.reader import read_again

__all__ = [
    "Overrides", "Progress", "case_of", "hold_to", "input_name", "named", "one_of", "silent", "texts_of", "whole",
]  # fmt: skip

Progress = Callable[[str, float | None], None]
"""Called with the name of the stage and the part of it that is done, 0 to 1, or None where that is not known."""


def silent(stage: str, part: float | None) -> None:
    """Tell nobody."""


def case_of(scenario: Case | Path | str, overrides: Overrides | None) -> Case:
    """Return the case of a scenario that is given as a file, the name of a shipped one, or a case already read.

    Raises
    ------
    InputError
        A file, a value or an override is wrong.
    """
    if isinstance(scenario, Case):
        return read_again(scenario, overrides) if overrides else scenario
    return read(named(scenario, "scenario", "a scenario file, a shipped name, or a case already read"), overrides)


def named(given: object, name: str, what: str) -> str:
    """Return a file or a shipped name as text; raises InputError where the argument is neither."""
    if isinstance(given, str):
        return given
    if isinstance(given, os.PathLike):
        return str(Path(given))
    msg = "is not a file or a name"
    raise InputError(msg, key=argument(name), value=repr(given), remedy=f"Give {what}")


def texts_of(*files: tuple[Kind | Literal["route"], Path | str | None]) -> dict[str, str]:
    """Return the texts of files, each by kind and by path or shipped name, under the names they have in a result."""
    texts = {}
    for kind, name in files:
        if name is not None:
            path, shown = (Path(name), str(name)) if kind == "route" else find(kind, str(name))
            texts[path.name] = read_text(path, shown)
    return texts


def input_name(kind: Kind | Literal["route"], name: Path | str | None) -> str | None:
    """Return where a file given by path or shipped name lies in the folder of a result; None for none."""
    if name is None:
        return None
    return f"inputs/{Path(name).name if kind == 'route' else find(kind, str(name))[0].name}"


def whole(given: Any, name: str, least: int, most: int) -> int:
    """Return a whole number; raises InputError where the argument is none, or is not from ``least`` to ``most``."""
    try:
        number = least - 1 if isinstance(given, bool) else index(given)
    except TypeError:
        number = least - 1
    if not least <= number <= most:
        reason, shown = f"must be a whole number from {least} to {most}", repr(given)
        raise InputError(reason, key=argument(name), value=shown, remedy="Correct it")
    return number


def one_of(given: object, name: str, choices: Sequence[str]) -> None:
    """Raise InputError where an argument is none of the choices."""
    if given not in choices:
        remedy = f"Give one of {', '.join(choices)}"
        msg = "is not known"
        raise InputError(msg, key=argument(name), value=repr(given), remedy=remedy)


def hold_to(unusual: Sequence[InputError], *, strict: bool) -> None:
    """Refuse what is unusual where that is asked for."""
    if strict and unusual:
        raise InputErrors(unusual)
