"""What is said of an incident, from the runs of its causes: in words a reviewer can put into a file."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from math import isnan, nan

import numpy as np
from numpy.typing import NDArray

from tipline import units
from tipline.errors import FROM_SET, InputError, NumericalError, TiplineError
from tipline.floors.places.loads import places_of
from tipline.incidents.calibration import calibration
from tipline.incidents.judged import NINE_IN_TEN, Judged, evenly, quantiles, told_range
from tipline.incidents.report import (
    SAID_OF,
    CauseJudged,
    Course,
    FindingFactor,
    FindingSaid,
    Further,
    IncidentReport,
    Rest,
    Robust,
    SettingJudged,
    Verdict,
    percent,
    with_told_shares,
)
from tipline.incidents.rounds import CauseRuns
from tipline.incidents.sequence import NEAREST, course
from tipline.scenario.case import Case
from tipline.scenario.incident import CAUSES, KINDS_OF_FINDING, Cause
from tipline.scenario.incident_plan import CausePlan, FindingRead, IncidentPlan
from tipline.scenario.reader import read
from tipline.statics.planning import governs
from tipline.sweeps.keeping_up import KeptUp, kept_up
from tipline.sweeps.table import SweepTable

__all__ = ["assess_incident"]

WORTH = 0.01
"""A further finding is told if it raises the chance of the right cause by more (our choice: what runs can tell)."""
MOST_FURTHER = 4
CAUTIONS = (
    "A probability is shared out among the causes listed here and no others: a cause nobody listed has none of it, "
    "and may be the one.",
    "It rests on this model, on the ranges given for what is not known, and on how well each finding is said to be "
    "known. A wrong record can turn it round.",
    "What was recorded after truck or load had been moved is listed and not used, but for a weight.",
    "It says what may have happened to this truck, not who is at fault.",
)


def assess_incident(
    plan: IncidentPlan,
    tables: Sequence[Sequence[SweepTable]],
    *,
    courses: bool = True,
    tell: Callable[[float], None] = lambda _part: None,
) -> IncidentReport:
    """Say what the findings make of the causes, in their order: the table of first runs of each, then of its rounds.

    courses : run the nearest runs of each cause once more, for what happened in them and when, and those that the
        findings weigh most of the likeliest cause with what a crew can change; tell : told how far that is
    """
    return _Incident(plan, tables, courses=courses).report(tell)


class _Incident:
    def __init__(self, plan: IncidentPlan, tables: Sequence[Sequence[SweepTable]], *, courses: bool) -> None:
        self._plan, self._courses = plan, courses
        self._runs = [CauseRuns(plan, index, tuple(own)) for index, own in enumerate(tables)]
        self._causes = [own.cause for own in plan.causes]
        self._readings = [reading for reading in plan.readings if reading.used]
        for cause, runs in zip(self._causes, self._runs, strict=True):
            if not runs.whole.any():
                raise _without_result(cause, str(runs.column("reason")[0]))
        priors = np.array([cause.prior for cause in self._causes])
        self._judged = Judged(
            self._runs[0].judged.findings,
            tuple(runs.judged.left[0] for runs in self._runs),
            priors / priors.sum(),
            plan.incident.seed,
            tuple(runs.counts for runs in self._runs),
        )

    def report(self, tell: Callable[[float], None]) -> IncidentReport:
        """Return what is said."""
        plan, judged = self._plan, self._judged
        verdicts = judged.verdicts()
        judged_all = tuple(self._cause(index, *verdicts[index]) for index in range(len(self._causes)))
        causes = with_told_shares(judged_all)
        shared = any(not isnan(cause.probability) for cause in causes)
        case, first = plan.case, self._causes
        heading = _heading(judged_all, shared=shared)
        likeliest = causes[judged.likeliest]
        keeps_up = self._keeps_up(judged.likeliest, tell) if likeliest.verdict in SAID_OF else None
        return IncidentReport(
            title=plan.incident.title,
            question=plan.incident.question,
            demo=case.demo,
            heading=heading,
            points=tuple(self._points(causes)),
            recorded=tuple(_recorded(reading) for reading in plan.readings),
            causes=causes,
            factors=tuple(self._named(factor) for factor in judged.factors()) if shared else (),
            robust=tuple(self._in_words(robust, causes) for robust in judged.robust()) if shared else (),
            calibration=calibration(judged, [self._settings(index) for index in range(len(causes))]),
            further=self._further() if shared else (),
            keeps_up=keeps_up,
            keeps_up_of=likeliest.said if keeps_up else "",
            not_examined=tuple(kind for kind in CAUSES if kind not in {cause.kind for cause in first} | {"other"}),
            names=(("scenario", plan.incident.scenario), ("machine", case.machine.title), ("floor", case.floor.title)),
            fixed=tuple((key, str(value)) for key, value in plan.incident.set.items()),
            cautions=CAUTIONS,
            governs=governs(None, case.machine, None),
            tyres=places_of(case.machine),
            runs=plan.incident.runs,
            seed=plan.incident.seed,
            assumed=case.assumed,
            assumed_count=case.assumed_count,
            unusual=plan.unusual,
        )

    def _cause(self, index: int, verdict: Verdict, apart: tuple[int, ...]) -> CauseJudged:
        judged, cause, whole = self._judged, self._causes[index], self._runs[index].whole
        weights = judged.weights(index)
        own = self._plan.causes[index]
        order = np.flatnonzero(whole)[np.argsort(-judged.logs[index], kind="stable")]
        nearest = [int(run) for run in order[:NEAREST]]
        changes = [self._changes(own, index, run) for run in nearest[: NEAREST if self._courses else 1]]
        pictured = self._courses and verdict != Verdict.NOT
        happened = course([self._case(own, given) for given in changes]) if pictured else Course()
        return CauseJudged(
            name=cause.name,
            said=cause.said,
            kind=cause.kind,
            scenario=cause.scenario or self._plan.incident.scenario,
            verdict=verdict,
            apart_from=tuple(self._causes[other].said for other in apart),
            prior=float(judged.priors[index]),
            probability=float(judged.probabilities[index]),
            span=judged.span(index),
            fit=judged.fit(index),
            runs=len(whole),
            rounds=len(self._runs[index].tables) - 1,
            lost=int((~whole).sum()),
            near=judged.near(index),
            known=tuple(self._known(own, index, weights)) if verdict != Verdict.FEW else (),
            changes=changes[0],
            course=happened.steps,
            drawn=happened,
            rests=tuple(self._rest(index, run) for run in nearest),
            misses=self._misses(index) if verdict == Verdict.NOT else "",
        )

    def _misses(self, index: int) -> str:
        """Say which finding the nearest run of a cause misses most, and what its runs leave of it.

        Where that is a word which other runs end with, also what the nearest of those misses.
        """
        left = self._judged.left[index]
        place = self._judged.missed(index, np.ones(len(left), dtype=np.bool_))
        reading = self._readings[place]
        text = self._leave(reading, left[:, place], "its")
        if not reading.measured.words:
            return text
        those = left[:, place] == reading.measured.words.index(str(reading.value))
        if not those.any() or (other := self._judged.missed(index, those)) == place:
            return text
        return f"{text}. Those miss most {self._leave(self._readings[other], left[those, other], 'these')}"

    @staticmethod
    def _leave(reading: FindingRead, left: NDArray[np.float64], whose: str) -> str:
        """Say what was found and what runs (runs,) leave of it."""
        measured = reading.measured
        if measured.dimension:
            known = left[~np.isnan(left)]
            record = f"{units.show(float(reading.value), measured.dimension)} was found"
            if not len(known):
                return f"{measured.said}: {record}, none of {whose} runs leaves any"
            low, high = (units.show(float(end), measured.dimension) for end in (known.min(), known.max()))
            return f"{measured.said}: {record}, {whose} runs leave {low} to {high}"
        same = int((left == measured.words.index(str(reading.value))).sum())
        return f"{measured.said}: {reading.value} was found, {same} of {whose} {len(left)} runs end so"

    def _keeps_up(self, index: int, tell: Callable[[float], None]) -> KeptUp | None:
        """Return what keeps the load up in runs of a cause, as the findings weigh them."""
        wish = self._plan.incident.keeps_up
        if not self._courses or wish.runs == 0:
            return None
        whole, own = np.flatnonzero(self._runs[index].whole), self._plan.causes[index]
        drawn = evenly(self._judged.weights(index), wish.runs)
        runs, counts = np.unique(drawn, return_counts=True)
        cases = [self._case(own, self._changes(own, index, int(whole[run]))) for run in runs]
        return kept_up(cases, counts.tolist(), wish.share, tell)

    def _rest(self, index: int, run: int) -> Rest:
        """Return where a run of a cause ends."""
        ahead, left, heading, load_ahead, load_left = (
            float(self._runs[index].column(f"rest.{name}")[run])
            for name in ("truck_ahead", "truck_left", "truck_heading", "load_ahead", "load_left")
        )
        return Rest((ahead, left), heading, None if isnan(load_ahead) else (load_ahead, load_left))

    def _known(self, own: CausePlan, index: int, weights: NDArray[np.float64]) -> list[SettingJudged]:
        said = []
        settings = self._settings(index)
        for varied in own.plan.inputs:
            if not varied.dimension:
                continue
            values = settings[varied.label]
            low, _, high = quantiles(values, self._judged.held(index), NINE_IN_TEN)
            least, likely, most = told_range(values, weights)
            dimension = "ratio" if varied.relative else varied.dimension
            said.append(SettingJudged(varied.label, dimension, (low, high), (least, most), likely))
        return said

    def _settings(self, index: int) -> dict[str, NDArray[np.float64]]:
        """Return what the runs (runs,) of a cause had of each setting that is a number [SI], by its words."""
        runs = self._runs[index]
        return {
            varied.label: np.asarray(runs.column(varied.column), dtype=np.float64)[runs.whole]
            for varied in self._plan.causes[index].plan.inputs
            if varied.dimension
        }

    def _changes(self, own: CausePlan, index: int, run: int) -> Mapping[str, str]:
        """Return the changes that give one run of a cause, as ``--set`` takes them."""
        changes = dict(own.plan.fixed)
        for varied in own.plan.inputs:
            changes |= varied.texts(self._runs[index].column(varied.column)[run].item())
        return changes

    @staticmethod
    def _case(own: CausePlan, changes: Mapping[str, str]) -> Case:
        return read(own.plan.texts[0].given, changes, table=False, texts=own.plan.texts)

    def _points(self, causes: Sequence[CauseJudged]) -> list[tuple[str, str]]:
        listed = "; ".join(cause.said for cause in causes)
        shared = any(not isnan(cause.probability) for cause in causes)
        shares = "; ".join(
            f"{cause.said}: {'not told' if isnan(cause.probability) else percent(cause.probability)}"
            for cause in causes
        )
        held = "equally likely" if len({cause.prior for cause in causes}) == 1 else "likely as the case file says"
        points = []
        if all(cause.verdict == Verdict.NOT for cause in causes):
            points.append(("What that means", f"Look for a cause that is not listed. These were tried: {listed}."))
        elif shared:
            among = (
                f"Of these {len(causes)} causes, held {held} before" if len(causes) > 1 else "Of the one cause listed"
            )
            points.append(("Shared out", f"{among}: {shares}."))
        few = [cause.said for cause in causes if cause.verdict == Verdict.FEW]
        if few:
            text = f"Nothing can be said yet of this: {'; '.join(few)}. Make more runs."
            if not shared:
                text += " No shares are told: they would hang on it."
            points.append(("Too few runs", text))
        return points

    def _named(self, factor: FindingFactor) -> FindingFactor:
        said = KINDS_OF_FINDING[factor.what].said
        return replace(factor, what=said, over=self._causes[int(factor.over)].said)

    def _in_words(self, robust: Robust, causes: Sequence[CauseJudged]) -> Robust:
        words, assumed = robust.assumed.split(" "), robust.assumed
        if words[0] == "cause":
            assumed = f"{self._causes[int(words[1])].said}: {' '.join(words[2:])}"
        shares = tuple(
            nan if isnan(cause.probability) else share
            for cause, share in zip(causes, robust.probabilities, strict=True)
        )
        return Robust(assumed, shares, robust.same)

    def _further(self) -> tuple[Further, ...]:
        known = {reading.of for reading in self._plan.readings if reading.used}
        said = []
        for of, measured in KINDS_OF_FINDING.items():
            if of in known:
                continue
            columns = [runs.left(of) for runs in self._runs]
            now, then = self._judged.with_one_more(of, columns)
            if then - now > WORTH:
                within = units.show(measured.usual, measured.dimension) if measured.dimension else "right in 19 of 20"
                said.append(Further(measured.said, within, now, then))
        return tuple(sorted(said, key=lambda finding: -finding.then)[:MOST_FURTHER])


def _without_result(cause: Cause, first: str) -> TiplineError:
    """Return what is said of a cause none of whose runs has a result: they cannot be read, or broke down."""
    if first.startswith(FROM_SET):
        reason = f"no run of the cause {cause.name!r} reads; the first: {first}"
        return InputError(reason, remedy="Give its variables values that the scenario takes")
    reason = f"no run of the cause {cause.name!r} gives a result; the first: {first}"
    return NumericalError(reason, remedy="Narrow its ranges, or give run.time_step a shorter one under [cause.set]")


def _heading(causes: Sequence[CauseJudged], *, shared: bool) -> str:
    """Return the verdict in a sentence."""
    if all(cause.verdict == Verdict.NOT for cause in causes):
        return "No listed cause reproduces what was found"
    if all(cause.verdict in (Verdict.NOT, Verdict.FEW) for cause in causes):
        return "Too few runs come near what was found to say anything"
    fit = sorted((cause for cause in causes if cause.verdict in (Verdict.CONSISTENT, Verdict.APART)),
                 key=lambda cause: -cause.probability)  # fmt: skip
    alike = [cause for cause in fit if cause is fit[0] or fit[0].said in cause.apart_from]
    few = 0 if shared else sum(cause.verdict == Verdict.FEW for cause in causes)
    left = f"; nothing can be said yet of {few} other{'s' if few > 1 else ''}" if few else ""
    if len(alike) == 1:
        more = (
            f"; {len(fit) - 1} others less so" if len(fit) > 2 else f"; less so: {fit[1].said}" if len(fit) > 1 else ""
        )
        return f"Consistent with what was found: {fit[0].said}{more}{left}"
    return f"What was found does not tell apart: {'; '.join(cause.said for cause in alike)}{left}"


def _recorded(reading: FindingRead) -> FindingSaid:
    measured = reading.measured
    if measured.dimension:
        value = units.show(float(reading.value), measured.dimension)
        within = f"within {units.show(reading.within, measured.dimension)}"
    else:
        value, within = str(reading.value), f"right in {percent(reading.sure)} of such records"
    figures = (float(reading.value), reading.within) if measured.dimension else (nan, nan)
    return FindingSaid(reading.of, measured.said, value, within, reading.known, reading.used, *figures)
