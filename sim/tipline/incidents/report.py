"""What is said of an incident: a verdict on each cause, what each finding does, and how far that can be relied on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum
from math import nan
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tipline.errors import InputError
from tipline.notebook import Shown

if TYPE_CHECKING:
    from tipline.geometry.assembly import Part
    from tipline.sweeps.keeping_up import KeptUp

__all__ = [
    "NEAR_ENOUGH",
    "SAID_OF",
    "Bin",
    "Calibration",
    "CauseJudged",
    "Course",
    "FindingFactor",
    "FindingSaid",
    "Further",
    "IncidentReport",
    "PosedMoment",
    "Ranked",
    "Rest",
    "Robust",
    "SettingJudged",
    "Step",
    "Verdict",
    "percent",
    "with_told_shares",
]


class Verdict(StrEnum):
    """What can be said of a cause."""

    CONSISTENT = "consistent"
    NOT = "not consistent"
    APART = "cannot be told apart"
    FEW = "too few runs near it"


SAID_OF = (Verdict.CONSISTENT, Verdict.APART)
"""Verdicts of a cause that something can be told from."""
LEFT_OPEN = 0.1
"""Shares are told while causes with too few runs near them may take up to this together (our choice)."""
NEAR_ENOUGH = 60.0
"""Runs near what was found from which no round is added (our choice: a factor known within an eighth)."""


@dataclass(frozen=True)
class FindingSaid:
    """One finding in words: what it is, what was recorded and how well it is known, by whom, and whether it counts.

    of : its name in a file; figure, half_width : the same [SI], nan for a word
    """

    of: str
    what: str
    value: str
    within: str
    known: str
    used: bool
    figure: float = nan
    half_width: float = nan


@dataclass(frozen=True)
class SettingJudged:
    """What the findings say of one setting of a cause [SI]: where nine in ten of it lie, before and after them."""

    label: str
    dimension: str
    before: tuple[float, float]
    after: tuple[float, float]
    likely: float


@dataclass(frozen=True)
class Step:
    """One event of the nearest run: when [s], earliest and latest of all runs that have it, how many, and what."""

    at: float
    earliest: float
    latest: float
    runs: int
    of: int
    what: str


@dataclass(frozen=True)
class PosedMoment:
    """A moment of the nearest run as `Step` has it, by its kind, and where its bodies are.

    kind : as of `runs.moments`; matrices : (bodies, 4, 4), from the truck's frame as set up to that where it stood
    """

    kind: str
    step: Step
    matrices: NDArray[np.float64]


@dataclass(frozen=True)
class Course:
    """What happens in the nearest run of a cause: all of it in order, and the moments that can be drawn with its parts.

    over : the side that it goes over to, "" where it does not
    """

    steps: tuple[Step, ...] = ()
    moments: tuple[PosedMoment, ...] = ()
    parts: tuple[Part, ...] = ()
    over: str = ""


@dataclass(frozen=True)
class Rest:
    """Where a run leaves the truck's drive axle and the middle of the load, ahead and left of where it stood [m].

    heading : how far the truck is turned to the left [rad]; load : None without one
    """

    truck: tuple[float, float]
    heading: float
    load: tuple[float, float] | None


@dataclass(frozen=True)
class CauseJudged:
    """One cause, judged.

    Attributes
    ----------
    name, said, kind, scenario : from the file
    verdict : what can be said of it; apart_from : the causes it cannot be told apart from
    prior, probability, span : before and after the findings, the latter with where nine in ten redraws of the runs
        lie; nan where too few runs lie near it, or near another that the share hangs on
    fit : share of records made up from its runs near what was found that lie as far from all others of its runs
    runs, lost, near : how many were made, had no result, and count as near what was found; rounds : of more runs
        nearer to what was found, after those over all that is not known
    known : of its settings; changes : of the run of it that comes nearest to what was found
    course : what happens in that run, with when it does in the next ones; drawn : the same with what can be drawn of
        it; rests : where they end
    misses : the finding that its nearest run misses most, with what its runs leave of it; where it is not consistent
    """

    name: str
    said: str
    kind: str
    scenario: str
    verdict: Verdict
    apart_from: tuple[str, ...]
    prior: float
    probability: float
    span: tuple[float, float]
    fit: float
    runs: int
    lost: int
    near: float
    known: tuple[SettingJudged, ...]
    changes: Mapping[str, str]
    course: tuple[Step, ...] = ()
    rests: tuple[Rest, ...] = ()
    misses: str = ""
    rounds: int = 0
    drawn: Course = field(default=Course(), compare=False, repr=False)


@dataclass(frozen=True)
class FindingFactor:
    """By what factor one finding favours the likeliest cause over another, each with its nine in ten.

    alone : by itself; beside : given all other findings, which may tell the same already
    """

    what: str
    over: str
    alone: float
    alone_span: tuple[float, float]
    beside: float
    beside_span: tuple[float, float]


@dataclass(frozen=True)
class Robust:
    """Probabilities with something else assumed, in the order of the causes, nan for one that cannot be told.

    same : whether the likeliest stays so
    """

    assumed: str
    probabilities: tuple[float, ...]
    same: bool


@dataclass(frozen=True)
class Bin:
    """Made-up cases told a probability between two bounds: how many were told so, and in how many that cause it was."""

    low: float
    high: float
    told: float
    cases: int
    was: int
    span: tuple[float, float]


@dataclass(frozen=True)
class Ranked:
    """How made-up cases' own value of a setting ranks among the runs of its cause, as the case's records weigh them.

    Attributes
    ----------
    cause, label : whose setting, by place, and which
    cases : how many; tenths : how many rank in each tenth of the weight
    within : how many lie in the nine in ten told; span : 95 % interval of their share
    off : how far the ranks lie at most from an even spread; allowed : even ones stay below it 19 times in 20
    """

    cause: int
    label: str
    cases: int
    tenths: tuple[int, ...]
    within: int
    span: tuple[float, float]
    off: float
    allowed: float


@dataclass(frozen=True)
class Calibration:
    """What is told of cases made up from the runs themselves, whose cause and settings are therefore known.

    Attributes
    ----------
    cases : how many; named : in what share the likeliest cause was the right one
    bins : of the probabilities told; ranked : of the settings; few : cases near which too few runs lie for a range
    """

    cases: int
    named: float
    bins: tuple[Bin, ...]
    few: int = 0
    ranked: tuple[Ranked, ...] = ()


@dataclass(frozen=True)
class Further:
    """What one more finding would do: the probability that the right cause gets on average, now and with it."""

    what: str
    within: str
    now: float
    then: float


@dataclass(frozen=True, repr=False)
class IncidentReport(Shown):
    """What is said of an incident.

    Attributes
    ----------
    title, question, demo : from the files
    heading : the verdict in a sentence; points : what follows from it, a word and a sentence each
    recorded, causes, factors, robust, calibration, further : see their types
    keeps_up : what would have kept the load up, if it was the likeliest cause; None where that is not asked or told
    not_examined : kinds of cause that the case does not list
    setup : the set-up as recorded; fixed : what is set in all runs
    tyres : by name where each stood, ahead and to the left of the middle of the drive axle [m]
    runs, seed : of each cause
    """

    title: str
    question: str
    demo: str
    heading: str
    points: tuple[tuple[str, str], ...]
    recorded: tuple[FindingSaid, ...]
    causes: tuple[CauseJudged, ...]
    factors: tuple[FindingFactor, ...]
    robust: tuple[Robust, ...]
    calibration: Calibration
    further: tuple[Further, ...]
    not_examined: tuple[str, ...]
    names: tuple[tuple[str, str], ...]
    fixed: tuple[tuple[str, str], ...]
    cautions: tuple[str, ...]
    governs: tuple[str, ...]
    tyres: Mapping[str, tuple[float, float]]
    runs: int
    seed: int
    keeps_up: KeptUp | None = None
    keeps_up_of: str = ""
    assumed: tuple[str, ...] = ()
    assumed_count: int = 0
    unusual: tuple[InputError, ...] = ()
    not_met: tuple[str, ...] = ()

    def found_at(self, of: str) -> tuple[float, float] | None:
        """Return a figure that was found and counts, with its half-width [SI]; None where it was not."""
        record = next((record for record in self.recorded if record.of == of and record.used), None)
        return None if record is None else (record.figure, record.half_width)

    def __repr__(self) -> str:
        """Say what was found."""
        return f"<IncidentReport {self.title!r}: {self.heading}>"


def with_told_shares(causes: tuple[CauseJudged, ...]) -> tuple[CauseJudged, ...]:
    """Return causes with nan for shares that cannot be told: of one with too few runs near it, of all that hang on it.

    All hang on it where it may take more than a little of them, or where of no cause anything can be told.
    """
    few = [cause for cause in causes if cause.verdict == Verdict.FEW]
    if not few:
        return causes
    all_hang = sum(cause.span[1] for cause in few) > LEFT_OPEN or all(cause.verdict not in SAID_OF for cause in causes)
    return tuple(
        replace(cause, probability=nan, span=(nan, nan)) if all_hang or cause.verdict == Verdict.FEW else cause
        for cause in causes
    )


def percent(value: float) -> str:
    """Return an estimated share in words, no nearer to none and to all than runs can tell."""
    return "under 1 %" if value < 0.01 else "over 99 %" if value > 0.99 else f"{100 * value:.0f} %"
