"""The first screen of a page: under the outcome why it came so, how near it is, what would change it."""

from __future__ import annotations

from math import isfinite
from typing import TYPE_CHECKING

from tipline.endings import RULES, TruckEnd
from tipline.report import wording
from tipline.report.page import OWN
from tipline.report.spread import neighbour
from tipline.report.wording import gap, moment, share
from tipline.units import System

if TYPE_CHECKING:
    from tipline.pose.assessment import PoseReport
    from tipline.runs.assessment import RunReport

__all__ = ["said_of_pose", "said_of_run"]

Said = tuple[tuple[str, str], ...]
_PAST = {
    "front": "ahead of the front",
    "back": "behind the back",
    "left": "outside the left",
    "right": "outside the right",
}


def said_of_run(report: RunReport, system: System) -> Said:
    """Say why a run ended as it did, how near it came, and what would end it otherwise."""
    sentences = [("Why", report.cause), ("How near", _how_near(report, system)), ("What would change it", "")]
    if report.doubts:
        sentences.insert(0, (OWN, f"{report.ended}."))
    sentences[-1] = ("What would change it", neighbour(report.spread, system))
    return _spelled(sentences, system)


def _how_near(report: RunReport, system: System) -> str:
    """Give the limit that decides: when it was lost, or the least distance, tyre load and share on the steer axle."""
    if report.no_return is not None:
        return f"From {moment(report.no_return)} on nothing could have stopped it."
    name, load, time = report.lightest_tyre
    parts = []
    if report.nearest is not None:
        line, least, when = report.nearest
        past = f"{gap(-least, system)} past" if least < 0.0 else f"{gap(least, system)} from"
        parts.append(f"The balance point came to {past} the {line} tip line at {moment(when)}.")
    if report.outcome.truck in (TruckEnd.DOWN, TruckEnd.TOO_LIGHT):
        parts.append(f"Lightest tyre: {name}, {wording.load(load, system)} at {moment(time)}.")
    return " ".join(parts)


def said_of_pose(report: PoseReport, system: System) -> Said:
    """Say how near a set-up at rest is to tipping, what its own stop does, and what else is exceeded."""
    known = {line: value for line, value in report.distances.items() if isfinite(value)}
    sentences = []
    if report.over:
        sentences.append(("Why", f"Before anything happens its weight lies {_PAST[report.over]} tip line."))
    if isfinite(report.fold_factor):
        sentences.append(
            ("With less load", f"With {share(report.fold_factor)} of the lifted load it would still stand.")
        )
    if known:
        line = min(known, key=lambda key: known[key])
        sentences.append(
            ("How near", f"The balance point is {gap(known[line], system)} from the {line} tip line, at rest.")
        )
        steer = report.axle_share["steer"]
        light = ", too little to steer by" if steer < RULES.light_to_steer else ""
        sentences.append(("Steer axle", f"It carries {share(steer)} of the weight{light}."))
    near = report.nearest_limit
    if near is not None and near.words != report.own_stop:
        sentences.append(("Nearest limit", f"{near.words[:1].upper()}{near.words[1:]}."))
    if report.own_stop:
        sentences.append(("Its own stop", f"{report.own_stop[:1].upper()}{report.own_stop[1:]}."))
    return _spelled(sentences, system)


def _spelled(said: list[tuple[str, str]], system: System) -> Said:
    return tuple((word, wording.spell(sentence, system)) for word, sentence in said if sentence)
