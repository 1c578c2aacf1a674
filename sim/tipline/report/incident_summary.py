"""The summary of an incident, SI values; texts only, nothing is computed."""

from __future__ import annotations

from math import isnan
from typing import TYPE_CHECKING, Any

from tipline import units

if TYPE_CHECKING:
    from collections.abc import Sequence

    from tipline.incidents.report import CauseJudged, IncidentReport, Step
    from tipline.sweeps.keeping_up import KeptUp


__all__ = ["INCIDENT_SCHEMA", "incident_summary"]

INCIDENT_SCHEMA = "tipline.incident/1"


def incident_summary(report: IncidentReport) -> dict[str, Any]:
    """Give the summary of an incident, SI values."""
    return {
        "schema": INCIDENT_SCHEMA,
        "title": report.title,
        "question": report.question,
        "demo": bool(report.demo),
        "demo_of": report.demo or None,
        "heading": report.heading,
        "runs": report.runs,
        "seed": report.seed,
        "findings": [
            {
                "what": record.what,
                "value": record.value,
                "known": record.within,
                "by": record.known,
                "used": record.used,
            }
            for record in report.recorded
        ],
        "causes": [_plain_cause(cause) for cause in report.causes],
        "factors": [
            {
                "finding": factor.what,
                "against": factor.over,
                "by_itself": factor.alone,
                "by_itself_nine_in_ten": list(factor.alone_span),
                "beside_all_others": factor.beside,
                "beside_all_others_nine_in_ten": list(factor.beside_span),
            }
            for factor in report.factors
        ],
        "robust": [
            {"assumed": robust.assumed, "probabilities": _plain_shares(robust.probabilities), "same": robust.same}
            for robust in report.robust
        ],
        "made_up_cases": {
            "cases": report.calibration.cases,
            "named_right": report.calibration.named,
            "told": [
                {
                    "from": part.low,
                    "to": part.high,
                    "cases": part.cases,
                    "mean": part.told,
                    "was": part.was,
                    "interval_95": list(part.span),
                }
                for part in report.calibration.bins
            ],
            "few": report.calibration.few,
            "settings": [
                {
                    "cause": report.causes[setting.cause].name,
                    "what": setting.label,
                    "cases": setting.cases,
                    "in_nine_in_ten": setting.within,
                    "interval_95": list(setting.span),
                    "by_tenths": list(setting.tenths),
                    "off_even": setting.off,
                    "off_even_19_in_20": setting.allowed,
                }
                for setting in report.calibration.ranked
            ],
        },
        "further": [
            {"what": finding.what, "within": finding.within, "now": finding.now, "then": finding.then}
            for finding in report.further
        ],
        "keeps_up": None if report.keeps_up is None else _plain_kept(report.keeps_up, report.keeps_up_of),
        "not_examined": list(report.not_examined),
        "cautions": list(report.cautions),
        "assumed_count": report.assumed_count,
    }


def _plain_kept(kept: KeptUp, cause: str) -> dict[str, Any]:
    return {
        "if": cause,
        "share_asked": kept.share,
        "runs": kept.runs,
        "different_runs": kept.different,
        "up_as_it_was": kept.before,
        "changes": [
            {
                "what": change.name,
                "unit": units.SI_UNIT[change.dimension] if change.dimension else "",
                "was": list(change.was),
                "tried_up_to": change.end,
                "least": change.to,
                "up": change.share,
                "lost_again_at": change.lost_at,
            }
            if not change.why_not
            else {"what": change.name, "not_tried": change.why_not}
            for change in kept.changes
        ],
        "pairs": [
            {"what": [pair.first.name, pair.second.name], "to": list(pair.to), "up": pair.share} for pair in kept.pairs
        ],
    }


def _plain_shares(shares: Sequence[float]) -> list[float | None]:
    return [None if isnan(share) else share for share in shares]


def _plain_step(step: Step) -> dict[str, Any]:
    return {
        "at_s": step.at,
        "earliest_s": step.earliest,
        "latest_s": step.latest,
        "runs": step.runs,
        "what": step.what,
    }


def _plain_cause(cause: CauseJudged) -> dict[str, Any]:
    return {
        "name": cause.name,
        "said": cause.said,
        "kind": cause.kind,
        "verdict": cause.verdict.value,
        "not_told_apart_from": list(cause.apart_from),
        "prior": cause.prior,
        "probability": _plain_shares([cause.probability])[0],
        "nine_in_ten": _plain_shares(cause.span),
        "fit": cause.fit,
        "runs": cause.runs,
        "rounds": cause.rounds,
        "without_result": cause.lost,
        "near": cause.near,
        "misses": cause.misses,
        "settings": [
            {
                "what": known.label,
                "unit": units.SI_UNIT[known.dimension],
                "likely": known.likely,
                "nine_in_ten": list(known.after),
                "before": list(known.before),
            }
            for known in cause.known
        ],
        "nearest": dict(cause.changes),
        "course": [_plain_step(step) for step in cause.course],
        "moments": [{"kind": moment.kind, **_plain_step(moment.step)} for moment in cause.drawn.moments],
    }
