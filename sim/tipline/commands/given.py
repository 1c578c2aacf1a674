"""What every command is given: a scenario with changes, how unusual values are taken, and who is told of progress."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from tipline.errors import InputError, InputErrors
from tipline.scenario import Case, read

__all__ = ["Progress", "case_of", "hold_to", "silent"]

Progress = Callable[[str, float | None], None]
"""Called with the name of the stage and the part of it that is done, 0 to 1, or None where that is not known."""


def silent(stage: str, part: float | None) -> None:
    """Tell nobody."""


def case_of(scenario: Case | Path | str, overrides: Mapping[str, str] | None) -> Case:
    """Return the case of a scenario that is given as a file, the name of a shipped one, or a case already read.

    Raises
    ------
    InputError
        A file, a value or an override is wrong.
    """
    if isinstance(scenario, Case):
        if overrides:
            msg = "overrides belong to reading: give them to tipline.scenario.read together with the file"
            raise TypeError(msg)
        return scenario
    settings: Mapping[str, object] = overrides or {}
    for key, value in settings.items():
        if not isinstance(value, str):
            msg = "a setting is text, as it would stand in the file"
            raise InputError(msg, key=str(key), value=repr(value), remedy='Write it like "95 mm"')
    return read(scenario, overrides or {})


def hold_to(unusual: Sequence[InputError], *, strict: bool) -> None:
    """Refuse what is unusual where that is asked for."""
    if strict and unusual:
        raise InputErrors(unusual)
