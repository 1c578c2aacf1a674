"""What a sweep found, in words: the lead, sentences, and what to beware of."""

from __future__ import annotations

from dataclasses import replace
from math import isfinite
from typing import TYPE_CHECKING

from tipline.units import show

if TYPE_CHECKING:
    from tipline.assess.sweeps import Effect, Group, Index, Share, SweepReport, Threshold

__all__ = ["ended", "measured", "percent", "told"]

_ENDED = {
    "down, too light to steer": "became too light to steer, or worse",
    "lifted": "lifted a tyre, or worse",
    "left-up": "ended with a tyre off the floor, or worse",
    "undecided": "were undecided, or worse",
    "resting": "came to rest on the body or went over",
    "over": "went over",
    "slid": "ended with the lifted load slid or dropped",
    "dropped": "ended with the lifted load dropped",
    "sank": "ended with the floor sunk or broken",
    "broke": "ended with the floor broken",
}
FEW = 100


def ended(outcome: str) -> str:
    """Return an outcome, or a worse one of its kind, as the end of a sentence about runs."""
    return _ENDED[outcome]


def percent(value: float) -> str:
    """Return a share as a percentage: one decimal below ten, whole above."""
    if not isfinite(value):
        return "not given"
    return f"{100 * value:.1f} %" if 0.0 < value < 0.1 else f"{100 * value:.0f} %"


def measured(value: float, dimension: str) -> str:
    """Return a value of the measure in words."""
    if dimension == "ratio":
        return f"{100 * value:.3g} %"
    return show(value, dimension) if dimension else f"{value:.3g}"


def told(report: SweepReport, notes: tuple[str, ...]) -> SweepReport:
    """Return a report with its words."""
    says = {"drawn": _drawn, "listed": _listed, "indices": _indices, "thresholds": _thresholds}
    lead, sentences = says[report.kind](report)
    more = [f"{count} of {report.rows} rows have no result: {reason}" for reason, count in report.reasons[:3]]
    return replace(
        report, lead=lead, sentences=(*sentences, *more), cautions=(*_cautions(report), *notes)
    )  # fmt: skip


def _of(share: Share, what: str) -> str:
    return f"{share.count} of {share.runs} {what}"


def _either(share: Share) -> str:
    return "could go either way: " if 0 < share.count < share.runs else ""


def _drawn(report: SweepReport) -> tuple[str, list[str]]:
    asked = report.asked
    if asked is None or not asked.runs:
        return "no run has a result", []
    said = ended(report.outcome)
    lead = f"{_either(asked)}{_of(asked, 'runs')} {said}"
    first = (
        f"{_of(asked, 'runs')} {said}: {percent(asked.share)} of the runs drawn from this list, and by their number "
        f"between {percent(asked.low)} and {percent(asked.high)} (95 % interval)."
    )
    return lead, [first, *_decides(report)]


def _listed(report: SweepReport) -> tuple[str, list[str]]:
    asked = report.asked
    if asked is None or not asked.runs:
        return "no run has a result", []
    said = f"{_of(asked, 'combinations')} {ended(report.outcome)}"
    return said, [f"{said}.", *_decides(report)]


def _decides(report: SweepReport) -> list[str]:
    """Say which input changes the share most, and which least."""
    effects = [effect for effect in report.effects if isfinite(effect.span)]
    if not effects or not report.asked or not 0 < report.asked.count < report.asked.runs:
        return []
    out = [f"It changes most with {_from_to(effects[0])}."]
    if len(effects) > 1:
        out.append(f"It changes least with {_from_to(effects[-1])}.")
    return out


def _from_to(effect: Effect) -> str:
    groups = [group for group in effect.groups if group.share.runs]
    low, high = groups[0], groups[-1]
    return (
        f"{effect.label}: {percent(low.share.share)} ({_of(low.share, 'runs')}) at {low.words}, "
        f"{percent(high.share.share)} ({_of(high.share, 'runs')}) at {high.words}"
    )


def _indices(report: SweepReport) -> tuple[str, list[str]]:
    found, what = (report.indices, f"whether runs {ended(report.outcome)}")
    other = (report.measure_indices, f"the {report.measure}")
    asked = report.asked
    out = [] if asked is None else [f"{_of(asked, 'runs')} {ended(report.outcome)}."]
    said = [(indices, words) for indices, words in ((found, what), other) if indices]
    if not said:
        return "no indices: the runs do not differ", [*out, "All runs ended alike, or too few have a result."]
    for indices, words in said:
        out.append(f"Of the scatter of {words}, {_ranked(indices)}.")
    return f"{max(said[0][0], key=lambda one: one.total).label} decides most", out


def _ranked(indices: tuple[Index, ...]) -> str:
    order = sorted(indices, key=lambda one: -one.total)
    first = order[0]
    text = f"{first.label} alone makes {percent(max(first.first, 0.0))}, with others {percent(max(first.total, 0.0))}"
    if len(order) > 1:
        rest = ", ".join(f"{one.label} {percent(max(one.total, 0.0))}" for one in order[1:])
        text += f"; then, each with others, {rest}"
    return text


def _thresholds(report: SweepReport) -> tuple[str, list[str]]:
    known = [one for one in report.thresholds if isfinite(one.at) and not one.reason.startswith("already")]
    above = sum(one.reason.startswith("not up to") for one in report.thresholds)
    below = sum(one.reason.startswith("already at") for one in report.thresholds)
    said = ended(report.outcome).replace("went over", "goes over").replace("came to", "comes to")
    out = []
    lead = "no threshold found in the range"
    if known:
        low, high = min(known, key=lambda one: one.at), max(known, key=lambda one: one.at)
        span = measured(low.at, report.dimension)
        if low is not high:
            span += f" to {measured(high.at, report.dimension)}"
        lead = f"{said} from {report.sought} {span} on, by set-up" if low is not high else f"{said} from {span} on"
        out.append(f"Least {report.sought} at which it {said}: {_at(low, report)}; greatest: {_at(high, report)}.")
    if above:
        out.append(f"In {above} of {report.rows} rows it does not come to that in the range that was looked at.")
    if below:
        out.append(f"In {below} of {report.rows} rows it comes to that at the least value already.")
    return lead, [*out, *_gains(report)]


def _at(one: Threshold, report: SweepReport) -> str:
    where = ", ".join(f"{label} {words}" for (label, _, _, _), words in zip(report.inputs, one.values, strict=True))
    text = measured(one.at, report.dimension)
    return f"{text} with {where}" if where else text


def _gains(report: SweepReport) -> list[str]:
    """Say by how much each input moves the threshold, the one that moves it most first."""
    out = []
    for rank, effect in enumerate(one for one in report.effects if isfinite(one.reach)):
        groups = [group for group in effect.groups if isfinite(group.mean)]
        best, worst = max(groups, key=_mean), min(groups, key=_mean)
        start = "Then with" if rank else "It moves most with" if len(report.effects) > 1 else "It moves with"
        out.append(
            f"{start} {effect.label}: {measured(best.mean, report.dimension)} at {best.words} against "
            f"{measured(worst.mean, report.dimension)} at {worst.words}, means over the other settings."
        )
    return out


def _mean(group: Group) -> float:
    return group.mean


def _cautions(report: SweepReport) -> list[str]:
    out = []
    if report.kind in ("drawn", "indices"):
        guessed = [label for label, _, _, origin in report.inputs if origin == "assumed"]
        told_so = f": {', '.join(guessed)}" if guessed else ""
        out.append(
            "Shares hold for the list of inputs and their ranges as given, not for your truck."
            + (f" The ranges of {len(guessed)} of {len(report.inputs)} are assumed{told_so}." if guessed else "")
        )
        out.append("What is not in the list was the same in all runs.")
    if report.kind == "drawn":
        out.append("The interval says how well this many runs fix the share; it says nothing about the ranges.")
        if report.asked is not None and report.asked.runs < FEW:
            out.append(f"Fewer than {FEW} runs: the shares are rough.")
        if report.method != "monte-carlo":
            out.append("The points are spread more evenly than chance would, so the interval is rather too wide.")
    if report.kind == "listed":
        out.append("These are combinations somebody chose: their shares are no chances.")
    if report.kind == "indices":
        out.append("Indices share out the scatter within these ranges; a range twice as wide weighs more.")
    if report.kind == "thresholds":
        out += _threshold_cautions(report)
    if report.alone:
        out.append(f"{report.alone} rows were run by the one-at-a-time engine; the column reason says why.")
    if report.lost:
        out.append(f"{report.lost} rows without a result are in no share and no mean.")
    return out


def _threshold_cautions(report: SweepReport) -> list[str]:
    out = [
        "Only this ending was sought: a tyre that lifts, a slide or a sunk floor may come before it.",
        "Five values over the range were looked at, then the first change among them was narrowed down.",
    ]
    back = sum(one.changes_back for one in report.thresholds)
    if back:
        out.append(f"In {back} rows a greater value ended without it again: there is more than one change.")
    bound = sum(group.bound for effect in report.effects[:1] for group in effect.groups)
    if bound:
        out.append(f"{bound} rows count in the means with the end of the range, where the change lies beyond it.")
    return out
