"""summary.json: the figures of a run or a pose under fixed names, for other programs.

The unit is part of the name. Numbers are written to full precision. A figure that could not be given is null, and
`null_because` says why under its dotted name.
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from tipline import units
from tipline.report.at_end import end_summary
from tipline.report.not_known import not_known_summary
from tipline.report.spread import SPREAD_OFF, floor_summary, spread_summary
from tipline.report.weighings import weighing_summary

if TYPE_CHECKING:
    from tipline.floors.known.span import Span
    from tipline.pose.assessment import PoseReport
    from tipline.results import Timed
    from tipline.runs.assessment import RunReport
    from tipline.runs.outcome_table import Varied
    from tipline.runs.peaks import Peak

RUN_SCHEMA = "tipline.summary/2"
POSE_SCHEMA = "tipline.check/1"
NO_REASON = "no finite value came out of this run"


def run_summary(report: RunReport, facts: Mapping[str, Any] | None = None) -> dict[str, Any]:
    """Give the summary of one run; `facts` (files written, what was left out, timings) are added beside the figures."""
    outcome = report.outcome
    name, load, time = report.lightest_tyre
    summary = {
        "schema": RUN_SCHEMA,
        "scenario": report.title,
        "demo": bool(report.demo),
        "demo_of": report.demo or None,
        "run_id": report.run_id,
        "engine": report.engine or None,
        "outcome": {
            "truck": outcome.truck,
            "lifted_load": outcome.lifted_load,
            "floor": outcome.floor,
            "lead": outcome.lead,
            "heading": report.heading,
            "cause": report.cause,
            "direction": outcome.direction or None,
            "as_expected": report.as_expected,
        },
        "worst": {
            "distance_to_tip_line_mm": {**_timed(report.distances, 1e3), "swing": _timed(report.swing, 1e3)},
            "energy_left_kJ": _timed(report.energy_left, 1e-3),
            "steer_axle_share": report.steer_axle_share,
            "no_return_time_s": report.no_return,
            "lightest_tyre": {"tyre": name, "load_kN": load * 1e-3, "time_s": time},
        },
        "rest": {
            "tyre_loads_kN": {tyre: value * 1e-3 for tyre, value in report.rest_tyre_loads.items()},
            "axle_share": dict(report.rest_axle_share),
            "weight_kN": report.weight * 1e-3,
        },
        "peak": {"tyre_loads_kN": _timed(report.peak_tyre_loads, 1e-3)},
        "at_end": end_summary(report.at_end),
        "hole_depth_limit_mm": _scaled(report.pose.hole_depth_limits, 1e3),
        "floor_asked": _floor(report.pose),
        "floor_peaks": [_peak(peak) for peak in report.floor_peaks],
        "spread": spread_summary(report.spread),
        "floor_spread": floor_summary(report.floor_breaks),
        "weighings": weighing_summary(report.pose.weighings),
        "numerics": dict(report.numerics),
        "events": [{"time_s": when, "what": what} for when, what in report.events],
        **_grounds(report),
        **(facts or {}),
    }
    if report.outcome_table is not None:
        table = report.outcome_table
        summary["outcome_table"] = {
            "row": _varied(table.row),
            "column": _varied(table.column),
            "outcome": [list(row) for row in table.outcomes],
            "this_run": None if table.this is None else list(table.this),
        }
    off = {} if report.spread is not None else {"spread": SPREAD_OFF}
    return explained(summary, {**report.pose.reasons, **report.reasons, **off})


def pose_summary(report: PoseReport, facts: Mapping[str, Any] | None = None) -> dict[str, Any]:
    """Give the summary of a pose at rest."""
    summary = {
        "schema": POSE_SCHEMA,
        "scenario": report.title,
        "demo": bool(report.demo),
        "demo_of": report.demo or None,
        "stands": report.stands,
        "distance_to_tip_line_mm": {**_scaled(report.distances, 1e3), "swing": _scaled(report.swing, 1e3)},
        "over": report.over,
        "share_of_load_it_stands_with": report.fold_factor,
        "energy_to_tip_kJ": _scaled(report.energy_to_tip, 1e-3),
        "hole_depth_limit_mm": _scaled(report.hole_depth_limits, 1e3),
        "rest": {
            "tyre_loads_kN": _scaled(report.tyre_loads, 1e-3),
            "axle_share": dict(report.axle_share),
            "weight_kN": report.weight * 1e-3,
        },
        "floor": _floor(report),
        "weighings": weighing_summary(report.weighings),
        "holds_against": _limits(report.holds_against),
        "not_known": not_known_summary(report.not_known),
        **_grounds(report),
        **(facts or {}),
    }
    return explained(summary, report.reasons)


def text(summary: Mapping[str, Any]) -> str:
    """Give a summary as JSON text; every number stays a number that JSON knows."""
    return json.dumps(summary, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def _floor(report: PoseReport) -> dict[str, Any] | None:
    """Give what the set-up puts on its floor in words, and each answer with its range, as those of a floor have it."""
    floor = report.floor
    return None if floor is None else {"lead": floor.lead, "lines": list(floor.lines), "answers": floor.rows()}


def _peak(peak: Peak) -> dict[str, Any]:
    answer = peak.answer
    return {
        "tyre": answer.tyre,
        "time_s": peak.time,
        "tyre_load_kN": answer.tyre_load * 1e-3,
        "zone": answer.zone,
        "mode": answer.mode,
        "of_planning_limit": _ends(answer.of_limit),
        "of_expected_strength": _ends(answer.of_strength) if answer.strength_known else None,
        "at_expected_strength": answer.event,
        "decides": answer.decides or None,
    }


def _ends(span: Span) -> dict[str, float]:
    return {"low": span.low, "likely": span.likely, "high": span.high, "worst": span.worst}


def _timed(values: Mapping[str, Timed], factor: float) -> dict[str, dict[str, float]]:
    return {name: {"value": value * factor, "time_s": time} for name, (value, time) in values.items()}


def _scaled(values: Mapping[str, float], factor: float) -> dict[str, float]:
    return {name: value * factor for name, value in values.items()}


def _varied(varied: Varied) -> dict[str, Any]:
    unit = units.SI_UNIT[varied.dimension] if varied.dimension else ""
    return {"key": varied.key, "unit": unit, "values": list(varied.values)}


def _limits(limits: Sequence[tuple[str, float, str]]) -> list[dict[str, Any]]:
    return [{"what": label, "value": value, "unit": units.SI_UNIT[dimension]} for label, value, dimension in limits]


def _grounds(report: RunReport | PoseReport) -> dict[str, Any]:
    return {
        "holds_only_while": _limits(report.holds_only_while),
        "planning_limits_exceeded": list(report.exceeded),
        "assumed": list(report.assumed),
        "governs": list(report.governs),
    }


def explained(summary: dict[str, Any], reasons: Mapping[str, str]) -> dict[str, Any]:
    """Put null where a number is not finite; the reasons of nulls go under their dotted names in `null_because`."""
    because: dict[str, str] = {}

    def clean(value: Any, path: str) -> Any:
        if isinstance(value, Mapping):
            return {key: clean(item, f"{path}.{key}" if path else key) for key, item in value.items()}
        if isinstance(value, list | tuple):
            return [clean(item, f"{path}.{index}") for index, item in enumerate(value)]
        if value is None and path in reasons:
            because[path] = reasons[path]
        if isinstance(value, float) and not math.isfinite(value):
            because[path] = _reason(path, reasons)
            return None
        return float(value) if isinstance(value, float) else value

    cleaned = {key: clean(value, key) for key, value in summary.items()}
    return {**cleaned, "null_because": because}


def _reason(path: str, reasons: Mapping[str, str]) -> str:
    """Give the reason stated for this name, or for the nearest name it lies under."""
    while path:
        if path in reasons:
            return reasons[path]
        path = path.rpartition(".")[0]
    return NO_REASON
