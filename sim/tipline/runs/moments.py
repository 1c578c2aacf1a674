"""The moments of a run that a class is shown, and how long it took from the first sign until nothing could stop it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from tipline.endings import LINES
from tipline.runs.outcome import seen_of
from tipline.scenario.spec import Breakthrough, SoftPlace

if TYPE_CHECKING:
    from tipline.results import Run
    from tipline.runs.assessment import RunReport
    from tipline.scenario.spec import Scenario

__all__ = ["REACTION", "Moment", "Moments", "landing_of", "moments_of"]

Kind = Literal["event", "tyre off", "line crossed", "no return", "landing", "outcome"]

REACTION = (
    "Beside it: of drivers who had to brake without expecting it half did within 0.9 s, a quarter took over 1.2 s "
    "(Johansson and Rumar, 1965)."
)
"""Source: [JohanssonRumar1965]."""
ASK_AFTER = 0.3
"""From the first sign until a class is asked what happens next [s] (our choice: it has begun, nothing is settled)."""


@dataclass(frozen=True)
class Moment:
    """A moment: its kind, when [s], and what is said of it."""

    kind: Kind
    time: float
    words: str


@dataclass(frozen=True)
class Moments:
    """The moments of a run in order; first sign, and since when there was no way back [s], None where there is none.

    ``ask`` is when a class is asked what happens next [s].
    """

    all: tuple[Moment, ...]
    first_sign: float | None
    no_return: float | None
    ask: float

    @property
    def left(self) -> float | None:
        """How long there was from the first sign until nothing could stop it [s]."""
        if self.first_sign is None or self.no_return is None:
            return None
        return self.no_return - self.first_sign


def moments_of(report: RunReport, scenario: Scenario) -> Moments:
    """Give the moments of a run.

    The first sign is what who drives can feel: the floor giving way or a tyre leaving it, whichever comes first; what
    the driver does is none.
    """
    run, seen = report.run, seen_of(report.run)
    moments: list[Moment] = []
    acts = [(getattr(event, "at", 0.0), event) for event in scenario.event]
    if report.events and acts:
        at, words = next(((when, text) for when, text in report.events if when >= min(acts, key=_when)[0]), (0.0, ""))
        moments.append(Moment("event", at, words))
    off = sorted((left, name) for name, (left, _) in seen.off.items())
    if off:
        moments.append(Moment("tyre off", off[0][0], f"the first tyre leaves the floor: {off[0][1]}"))
    crossed = _crossed(report)
    if crossed is not None:
        moments.append(Moment("line crossed", crossed[0], f"the balance point crosses the {crossed[1]} tip line"))
    if seen.no_return is not None:
        moments.append(Moment("no return", seen.no_return, "from here on nothing could have stopped it"))
    landed = landing_of(run, seen.no_return)
    if landed is not None:
        moments.append(Moment("landing", landed, "it meets the floor"))
    moments.append(Moment("outcome", float(run.time[-1]), report.ended[:1].lower() + report.ended[1:]))
    signs = [at for at, event in acts if isinstance(event, Breakthrough | SoftPlace)]
    signs += [float(place["at"]) for place in run.meta.get("places", ()) if place["law"] == "plug"]
    signs += [left for left, _ in off[:1]]
    first = min(signs, default=None)
    return Moments(
        tuple(sorted(moments, key=lambda moment: moment.time)), first, seen.no_return, _ask(first, report, acts)
    )


def _when(act: tuple[float, object]) -> float:
    return act[0]


def _ask(first: float | None, report: RunReport, acts: Sequence[tuple[float, object]]) -> float:
    start = first if first is not None else min((at for at, _ in acts), default=0.0)
    latest = report.no_return if report.no_return is not None else float(report.run.time[-1])
    return min(start + ASK_AFTER, (start + latest) / 2)


def _crossed(report: RunReport) -> tuple[float, str] | None:
    """Give when the balance point first was past a tip line before there was no way back, and which."""
    run = report.run
    until = np.inf if report.no_return is None else report.no_return
    first = [
        (float(run.time[past[0]]), line)
        for line in LINES
        if len(past := np.flatnonzero((run.series(f"distance.{line}") < 0.0) & (run.time <= until)))
    ]
    return min(first, default=None)


def landing_of(run: Run, no_return: float | None) -> float | None:
    """Give when the truck's body or its load met the floor after it had been clear of it [s], None if never."""
    touches = (run.series("body_force") > 0.0) | (run.series("load_floor_force") > 0.0)
    clear = np.maximum.accumulate(~touches)
    landed = np.flatnonzero(touches & clear & (run.time >= (no_return or 0.0)))
    return float(run.time[landed[0]]) if len(landed) else None
