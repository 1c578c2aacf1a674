"""What a sweep found, in words: the lead, sentences, and what to beware of."""

from __future__ import annotations

from dataclasses import replace
from math import floor, isfinite, log10

from tipline.runs.endings import Ending, could_go_either_way
from tipline.sweeps.outcome_map import MapLine, OutcomeMap
from tipline.sweeps.report import Effect, FoundThreshold, Index, InputGroup, Share, SweepReport
from tipline.units import System, show

__all__ = ["ended", "in_words", "measured", "percent", "threshold", "told"]

_ENDED = {
    "down, too light to steer": "became too light to steer, or worse",
    "tyre-lifted": "lifted a tyre, or worse",
    "tyre-off": "ended with a tyre off the floor, or worse",
    "undecided": "were undecided, or worse",
    "resting": "came to rest on the body or went over",
    "over": "went over",
    "slid": "ended with the lifted load slid or dropped",
    "dropped": "ended with the lifted load dropped",
    "sank": "ended with the floor sunk or broken",
    "broke": "ended with the floor broken",
}
FEW = 100
"""Runs below which shares are called rough (our choice)."""
WIDE = 0.1
"""Half-width of an index above which more runs are asked for (our choice)."""
_ALIKE = 1.1
"""A step is taken for one this much wider: what a slope's percent makes of an angle (numerical)."""
_MOST_PANELS = 3
"""Maps whose change is told in a sentence; the table has all of them."""


def ended(outcome: str) -> str:
    """Return an outcome, or a worse one of its kind, as the end of a sentence about runs."""
    return _ENDED[outcome]


def percent(value: float) -> str:
    """Return a share as a percentage: one decimal below ten, whole above."""
    if not isfinite(value):
        return "not given"
    return f"{100 * value:.1f} %" if 0.0 < value < 0.1 else f"{100 * value:.0f} %"


def measured(value: float, dimension: str, within: float = 0.0, system: System = "si") -> str:
    """Return a value of the measure in words; a threshold rounded down to how narrowly it was sought.

    It goes by the next greater 1, 2 or 5 of a decimal place of the unit shown, three digits at most, so that no digit
    tells more than was looked for.
    """
    if dimension == "ratio":
        return f"{_rounded_down(100 * value, 100 * within):.3g} %"
    if not dimension:
        return f"{_rounded_down(value, within):.3g}"
    if not within or not value or not isfinite(value):
        return show(value, dimension, system)
    number, _, unit = show(value, dimension, system, 12).partition(" ")
    shown = float(number)
    finest = 10.0 ** (floor(log10(abs(shown))) - 2)
    return f"{_rounded_down(shown, max(within * shown / value, finest)):.12g} {unit}"


def _rounded_down(value: float, within: float) -> float:
    if not within or not isfinite(value):
        return value
    place = 10.0 ** floor(log10(within))
    step = next(part for part in (1.0, 2.0, 5.0, 10.0) if within <= _ALIKE * part * place) * place
    return round(floor(value / step + 1e-6) * step, 12)


def told(report: SweepReport, notes: tuple[str, ...]) -> SweepReport:
    """Return a report with its words."""
    lead, sentences = in_words(report)
    return replace(report, lead=lead, sentences=sentences, cautions=(*_cautions(report), *notes))


def in_words(report: SweepReport, system: System = "si") -> tuple[str, tuple[str, ...]]:
    """Return lead and sentences; thresholds in the units of a system, all else to be restated in them."""
    if report.kind == "thresholds":
        lead, sentences = _thresholds(report, system)
    else:
        says = {"drawn": _drawn, "listed": _listed, "indices": _indices}
        lead, sentences = says[report.kind](report)
    more = [f"{count} of {report.rows} rows have no result: {reason}" for reason, count in report.reasons[:3]]
    return lead, (*sentences, *more)


def threshold(value: float, report: SweepReport, system: System, end: bool = False) -> str:
    """Return a threshold in words; where it is an end of the range it is known as given, and not rounded."""
    return measured(value, report.dimension, 0.0 if end else report.within, system)


def _of(share: Share, what: str) -> str:
    return f"{share.count} of {share.runs} {what}"


def _either(report: SweepReport) -> str:
    """Say that it could go either way, by the one rule for it, where the runs of the sweep did."""
    trucks = (Ending(share.word) for share in report.shares if share.part == "truck" and share.count)
    loads = (Ending("", share.word) for share in report.shares if share.part == "lifted load" and share.count)
    apart = could_go_either_way(trucks) or could_go_either_way(loads)
    return "could go either way: " if apart else ""


def _drawn(report: SweepReport) -> tuple[str, list[str]]:
    share = report.asked
    if share is None or not share.runs:
        return "no run has a result", []
    said = ended(report.outcome)
    lead = f"{_either(report)}{_of(share, 'runs')} {said}"
    first = (
        f"{_of(share, 'runs')} {said}: {percent(share.share)} of the runs drawn from this list; with this "
        f"many runs between {percent(share.low)} and {percent(share.high)} (95 % interval)."
    )
    return lead, [first, *_decides(report)]


def _listed(report: SweepReport) -> tuple[str, list[str]]:
    share = report.asked
    if share is None or not share.runs:
        return "no run has a result", []
    said = f"{_of(share, 'combinations')} {ended(report.outcome)}"
    return said, [f"{said}.", *_where(report), *_decides(report)]


def _where(report: SweepReport) -> list[str]:
    """Say over the two inputs of the map where the ending changes, at the ends of the one across."""
    outcome_map = report.map
    if outcome_map is None or not report.asked or not 0 < report.asked.count < report.asked.runs:
        return []
    lines, wide = outcome_map.lines(), len(outcome_map.across.words)
    panels = [lines[at : at + wide] for at in range(0, len(lines), wide)][:_MOST_PANELS]
    return [_panel_said(report, outcome_map, panel[0], panel[-1]) for panel in panels]


def _panel_said(report: SweepReport, outcome_map: OutcomeMap, low: MapLine, high: MapLine) -> str:
    beside = [f"{label} {words}" for label, words in zip(outcome_map.others, low.others, strict=True)]
    with_others = f"With {', '.join(beside)}: " if beside else ""
    said = [
        f"at {outcome_map.across.label} {line.across} {_line_said(report, outcome_map, line)}" for line in (low, high)
    ]
    text = with_others + "; ".join(said)
    return f"{text[:1].upper()}{text[1:]}."


def _line_said(report: SweepReport, outcome_map: OutcomeMap, line: MapLine) -> str:
    if not line.ended:
        return f"no run {ended(report.outcome)}" if line.stayed else "no run has a result"
    said = f"runs {ended(report.outcome)}{',' * (', ' in ended(report.outcome))} with"
    if not line.stayed:
        return f"{said} every {outcome_map.up.label} tried"
    return f"{said} {outcome_map.up.label} {line.ended}, not with {line.stayed}"


def _decides(report: SweepReport) -> list[str]:
    """Say which input changes the share most, and which least."""
    effects = [effect for effect in report.effects if isfinite(effect.span)]
    if not effects or not report.asked or not 0 < report.asked.count < report.asked.runs:
        return []
    out = [f"The share changes most with {_from_to(effects[0])}."]
    if len(effects) > 1:
        out.append(f"The share changes least with {_from_to(effects[-1])}.")
    return out


def _from_to(effect: Effect) -> str:
    groups = [group for group in effect.groups if group.share.runs]
    low, high = groups[0], groups[-1]
    first, last = ("in the third of the runs from", "in the third from") if effect.thirds else ("at", "at")
    return (
        f"{effect.label}: {percent(low.share.share)} ({_of(low.share, 'runs')}) {first} {low.words}, "
        f"{percent(high.share.share)} ({_of(high.share, 'runs')}) {last} {high.words}"
    )


def _indices(report: SweepReport) -> tuple[str, list[str]]:
    of_ending, what = (report.indices, f"whether they {ended(report.outcome)}")
    other = (report.measure_indices, f"the {report.measure}")
    share = report.asked
    out = [] if share is None else [f"{_of(share, 'runs')} {ended(report.outcome)}."]
    said = [(indices, words) for indices, words in ((of_ending, what), other) if indices]
    if not said:
        return "no indices: the runs do not differ", [*out, "All runs ended alike, or too few have a result."]
    out += [_ranked(indices, words) for indices, words in said]
    return _first(said[0][0]), out


def _first(indices: tuple[Index, ...]) -> str:
    """Return which input decides most, or that this many runs do not tell it from the next one."""
    first, *rest = sorted(indices, key=lambda index: -index.total)
    close = [index.label for index in rest if index.total + index.total_half >= first.total - first.total_half]
    if close:
        return f"not told apart by this many runs: {', '.join([first.label, *close])}"
    return f"{first.label} decides most"


def _ranked(indices: tuple[Index, ...], words: str) -> str:
    first, *rest = sorted(indices, key=lambda index: -index.total)
    text = (
        f"Of how runs differ in {words}, {first.label} by itself makes {_about(first.first, first.first_half)}, "
        f"together with others {_about(first.total, first.total_half)}"
    )
    if rest:
        said = ", ".join(f"{index.label} {_about(index.total, index.total_half)}" for index in rest)
        text += f"; then, each together with others, {said}"
    return f"{text}."


def _about(value: float, half: float) -> str:
    """Return an index with its half-width as whole percentages; an estimate outside 0 to 1 is told as the end."""
    if value == half == 0.0:
        return "nothing seen in these runs"
    return f"{100 * min(max(value, 0.0), 1.0):.0f} % (give or take {max(100 * half, 1.0):.0f} %)"


def _thresholds(report: SweepReport, system: System) -> tuple[str, list[str]]:
    known = [row for row in report.thresholds if isfinite(row.at) and not row.reason.startswith("already")]
    back = sum(row.changes_back for row in known)
    above = sum(row.reason.startswith("not up to") for row in report.thresholds)
    below = sum(row.reason.startswith("already at") for row in report.thresholds)
    said = ended(report.outcome).replace("went over", "goes over").replace("came to", "comes to")
    out = []
    lead = "no threshold found in the range"
    if known:
        low, high = min(known, key=lambda row: row.at), max(known, key=lambda row: row.at)
        span = threshold(low.at, report, system)
        if low is not high:
            span += f" to {threshold(high.at, report, system)}"
        lead = f"{said} from {report.sought} {span} on" + (", by set-up" if low is not high else "")
        if back:
            where = f"in {back} of {report.rows} set-ups " if report.rows > 1 else ""
            lead += f"; {where}not at every greater one"
        if above:
            lead += f"; in {above} of {report.rows} set-ups not within the range looked at"
        least, most = (_at(row, report, system) for row in (low, high))
        out.append(f"Least {report.sought} at which it {said}: {least}; greatest: {most}.")
    if above:
        out.append(f"In {above} of {report.rows} set-ups it does not come to that up to {_end(report, 'not up to ')}.")
    if below:
        out.append(f"In {below} of {report.rows} set-ups it comes to that at {_end(report, 'already at ')} already.")
    return lead, [*out, *_gains(report, system)]


def _end(report: SweepReport, start: str) -> str:
    """Return the end of the range in the words in which rows give it as their reason."""
    return next(row.reason for row in report.thresholds if row.reason.startswith(start)).removeprefix(start)


def _at(found_threshold: FoundThreshold, report: SweepReport, system: System) -> str:
    where = ", ".join(
        f"{label} {words}" for (label, _, _, _), words in zip(report.inputs, found_threshold.values, strict=True)
    )
    text = threshold(found_threshold.at, report, system)
    return f"{text} with {where}" if where else text


def _gains(report: SweepReport, system: System) -> list[str]:
    """Say by how much each input moves the threshold, the one that moves it most first."""
    out = []
    for rank, effect in enumerate(effect for effect in report.effects if isfinite(effect.reach)):
        groups = [group for group in effect.groups if isfinite(group.mean)]
        best, worst = max(groups, key=_mean), min(groups, key=_mean)
        most = "most " if len(report.effects) > 1 else ""
        start = "Then with" if rank else f"The threshold moves {most}with"
        ends = " against ".join(_mean_said(group, report, system) for group in (best, worst))
        over = ", means over the other settings" if len(report.effects) > 1 else ""
        out.append(f"{start} {effect.label}: {ends}{over}.")
    return out


def _mean_said(group: InputGroup, report: SweepReport, system: System) -> str:
    """Return the mean of a group, with how many of its rows count with the end of the range."""
    beyond = f" ({group.bound} of {group.share.runs} with the end of the range)" if group.bound else ""
    mean = threshold(group.mean, report, system, group.bound == group.share.runs)
    return f"{mean} at {group.words}{beyond}"


def _mean(group: InputGroup) -> float:
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
    if report.inputs:
        out.append("What is not in the list was the same in all runs.")
    if report.kind == "drawn":
        out.append("The interval says how well this many runs fix the share; it says nothing about the ranges.")
        if report.asked is not None and report.asked.runs < FEW:
            out.append(f"Fewer than {FEW} runs: the shares are rough.")
        if report.method != "monte-carlo":
            out.append("The points are spread more evenly than chance would, so the interval is rather too wide.")
    if report.kind == "listed":
        out += ["These are combinations somebody chose: their shares are no chances.", *_map_cautions(report)]
    if report.kind == "indices":
        out.append("Indices share out how runs differ within these ranges; a range twice as wide weighs more.")
        if any(max(index.first_half, index.total_half) > WIDE for index in (*report.indices, *report.measure_indices)):
            out.append("Some are known to no better than a tenth: more runs narrow them.")
    if report.kind == "thresholds":
        out += _threshold_cautions(report)
    if report.lost:
        out.append(f"{report.lost} rows without a result are in no share and no mean.")
    return out


def _map_cautions(report: SweepReport) -> list[str]:
    if report.map is None:
        return []
    out = ["Between neighbouring values of the grid no run was made: what happens there is not known."]
    lines = report.map.lines()
    back = sum(line.changes > 1 for line in lines)
    if back:
        out.append(
            f"In {back} of {len(lines)} lines of the map the ending changes more than once: do not read on from one "
            "value to the next."
        )
    return out


def _threshold_cautions(report: SweepReport) -> list[str]:
    out = [
        "Only this ending was sought: a tyre that lifts, a slide or a sunk floor may come before it.",
        "Five values over the range were looked at, the first change among them was narrowed down, and eight values on "
        "each side of it were looked at, 1 % apart; an ending that comes and goes between these is not seen.",
    ]
    back = sum(row.changes_back for row in report.thresholds)
    if back:
        out.append(
            f"In {back} rows a greater value ended without it again: there is more than one change, as load and frame "
            "then swing back at another moment. Do not count on a value between two changes."
        )
    bound = sum(group.bound for effect in report.effects[:1] for group in effect.groups)
    if bound:
        out.append(f"{bound} rows count in the means with the end of the range, where the change lies beyond it.")
    return out
