"""Which set-ups slope limits are asked of: each case that is set beside the scenario's, at each height.

A height is that of the forks, on a jib of the hook.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from math import isfinite

import numpy as np

from tipline import units
from tipline.errors import InputError, InputErrors, argument
from tipline.scenario import Case
from tipline.scenario.checks import check_scenario
from tipline.slope_limits.solving import SetUp

__all__ = ["CARRYING", "MOST_HEIGHTS", "SAME", "asked_heights", "at_height", "set_ups"]

CARRYING = 0.3
"""Fork height from which an even spread of heights starts [m] (our choice: a load carried clear of the floor)."""
MOST_HEIGHTS = 60
SAME = 1e-6
"""Heights [m] no farther apart are one (numerical)."""


def asked_heights(case: Case, request: object) -> tuple[float, ...]:
    """Read heights [m]: numbers, texts such as "0.3 m" or "0.3 m, 2 m"; or a count, spread evenly; for None four more.

    Raises
    ------
    InputError
        A height cannot be read, or there are too many.
    """
    setup = case.scenario.setup
    if setup.attachment == "none" and setup.fork_height is None:
        return (case.fork_height,)
    own = case.height
    if request is None:
        return tuple(sorted({*_evenly(case, own, 4), own}))
    count = _count(request)
    if count is not None:
        if not 1 <= count <= MOST_HEIGHTS:
            raise _unread(request, f"between 1 and {MOST_HEIGHTS} heights can be asked")
        return _evenly(case, own, count)
    heights = tuple(_height(part, request) for part in _parts(request))
    if not 1 <= len(heights) <= MOST_HEIGHTS:
        raise _unread(request, f"at most {MOST_HEIGHTS} heights can be asked" if heights else "names no height")
    return tuple(dict.fromkeys(heights))


def _count(request: object) -> int | None:
    """Return how many heights are asked, None where they are named."""
    if isinstance(request, str):
        return int(request) if request.strip().isdigit() else None
    return int(request) if isinstance(request, int | np.integer) and not isinstance(request, bool) else None


def _parts(request: object) -> Iterable[object]:
    """Return the heights that are listed, one by one."""
    if isinstance(request, str):
        return request.split(",")
    return request if isinstance(request, Iterable) else (request,)


def _height(part: object, request: object) -> float:
    """Return a height [m] of those asked."""
    if isinstance(part, int | float | np.number) and not isinstance(part, bool) and isfinite(part):
        return float(part)
    if not isinstance(part, str):
        raise _unread(request, "a height is a number of metres, or text with its unit")
    try:
        return units.parse(part, "length")
    except ValueError as error:
        raise _unread(request, str(error)) from None


def _unread(request: object, reason: str) -> InputError:
    text = request if isinstance(request, str) else repr(request)
    return InputError(
        reason, key=argument("heights"), value=text, remedy='Write it like "0.3 m, 2 m, 5 m", or a count like 20'
    )


def _evenly(case: Case, own: float, count: int) -> tuple[float, ...]:
    """Return heights from the lowest that the load leaves room for to the top."""
    mast, jib, load = case.machine.mast, case.machine.jib, case.load
    low, top = min(CARRYING, own), mast.top_fork_height
    if case.hook_height is not None and jib is not None:
        rises = jib.rise_pins if case.scenario.setup.jib_rise is None else (case.scenario.setup.jib_rise,)
        low, top = min(rises) + CARRYING, top + max(rises)
        if load is not None and load.hung_by is not None:
            low = max(low, load.hung_by + load.size[2] + 0.1)
        low = min(low, own)
    return tuple(float(value) for value in (np.linspace(low, top, count) if count > 1 else (own,)))


def at_height(case: Case, height: float) -> Case:
    """Return a case at another fork height (hook height on a jib), with nothing happening.

    Raises
    ------
    InputError
        The machine cannot do this.
    """
    scenario = case.scenario
    key = "fork_height" if case.hook_height is None else "hook_height"
    setup = scenario.setup if scenario.setup.attachment == "none" else scenario.setup.model_copy(update={key: height})
    still = scenario.model_copy(update={"setup": setup, "event": (), "table": None, "expect": None})
    problems = [
        InputError(
            finding.reason,
            key=".".join(str(part) for part in finding.path),
            value=f"{height:g} m",
            remedy=finding.remedy,
        )
        for finding in check_scenario(still, case.machine)
    ]
    if problems:
        raise InputErrors(problems)
    return replace(case, scenario=still, cells=())


def set_ups(cases: Sequence[tuple[str, Case]], heights: object, with_own: bool = False) -> list[SetUp]:
    """Return every set-up to ask: each case, with the words for what is changed in it, at each height.

    The scenario's own height keeps what happens in it, so that its stops can be set beside the limits; it is among the
    heights of the unchanged case `with_own`, whatever was asked.
    """
    out = []
    for label, case in cases:
        own = case.height
        every_height = asked_heights(case, heights)
        if with_own and not label and all(abs(height - own) > SAME for height in every_height):
            every_height = tuple(sorted((*every_height, own)))
        for height in every_height:
            out.append(SetUp(case if height == own and not label else at_height(case, height), label))
    return out
