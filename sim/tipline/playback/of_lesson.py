"""A lesson as one page: its runs in pairs, the steps one walks through, presenter's notes, and a handout to print."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from tipline.playback.html import page_html
from tipline.playback.of_run import Played, beside, track_of
from tipline.playback.track import SYSTEMS, Track, Words, in_both
from tipline.report.wording import spell
from tipline.runs.beside import changes
from tipline.runs.moments import REACTION
from tipline.scenario.lesson import ENDS
from tipline.units import System

if TYPE_CHECKING:
    from tipline.scenario.lesson import Lesson, Pair

__all__ = ["SEATED", "lesson_html"]

SEATED = (
    "Stay in the seat. Do not jump: who jumps from a truck that goes over is met by its guard, its mast or its load.",
    "Have the belt on. It holds you inside the frame, which is built to leave you room.",
    "Hold on to the wheel, brace your feet, and lean away from the side it falls to.",
    "This is for trucks one sits in. Trucks one stands on are left by stepping off backwards, as their makers say.",
)
"""What regulators have drivers told (OSHA, 29 CFR 1910.178 and the rule of 1 December 1998 on training, 63 FR 66238;
HSE, HSG6), in our words: the last as others quote that rule, section III, the rest from memory."""
FROM = (
    "What regulators have drivers told: OSHA 29 CFR 1910.178 and its rule on training (63 FR 66238, 1998), HSE HSG6; "
    "in our words, from memory."
)


def lesson_html(lesson: Lesson, pairs: Sequence[tuple[Played, Played]], system: System = "si") -> str:
    """Give the whole page; raises MissingPart without NiceGUI."""
    played = [run for pair in pairs for run in pair]
    tracks = [track_of(run) for run in played]
    more = beside(played, [(2 * number, 2 * number + 1) for number in range(len(pairs))])
    names = [name for number, pair in enumerate(pairs) for name in _names(*pair, lesson.pair[number])]
    steps = [step for number, pair in enumerate(lesson.pair) for step in _steps(pair, number, names, tracks)]
    more |= {
        "lesson": {"title": lesson.title, "steps": [*steps, _closing()]},
        "names": [_spelled(name) for name in names],
        "shown": [0],
    }
    handout = {of: _handout(lesson, names, tracks, of) for of in SYSTEMS}
    aim = _spelled(lesson.aim)
    return page_html(tracks, _spelled(lesson.title), aim, system, (), more, handout)


def _handout(lesson: Lesson, names: Sequence[str], tracks: Sequence[Track], system: System) -> dict[str, Any]:
    """Give what is printed of a lesson."""
    return {
        "title": lesson.title,
        "aim": spell(lesson.aim, system),
        "pairs": [_printed(pair, number, names, tracks, system) for number, pair in enumerate(lesson.pair)],
        "seated": SEATED,
        "source": FROM,
        "reaction": REACTION,
        "estimate": tracks[0].facts["estimate"][system],
        "demo": any(track.facts["demo"] for track in tracks),
    }


def _names(fails: Played, holds: Played, pair: Pair) -> tuple[str, str]:
    """Name both runs by what was changed."""
    differences = changes(fails.case, holds.case)
    if len(differences) == 1:
        (change,) = differences
        return f"{change.what} {change.first}", f"{change.what} {change.second}"
    return str(pair.fails), str(pair.holds)


def _steps(pair: Pair, number: int, names: Sequence[str], tracks: Sequence[Track]) -> list[dict[str, Any]]:
    """Give the steps of a pair: what it is about, asked and shown of the one, then of the other beside it."""
    fails, holds = 2 * number, 2 * number + 1
    # seen from behind, the mast hides the load, and a truck that goes over ahead falls away from who looks
    outside = "side" if tracks[fails].facts["look"][0] < 0 else "overview"
    choices = {
        end: [{"text": _spelled(choice.text), "confuses": _spelled(choice.confuses)} for choice in pair.choices(end)]
        for end in ENDS
    }
    right = {end: [choice.right for choice in pair.choices(end)].index(end) for end in ENDS}
    head = {"title": _spelled(pair.title), "notes": _spelled(pair.notes), "after": _spelled(pair.notes_after)}
    question = _spelled(pair.question)
    other = _spelled(f"Now {names[holds]}; before: {names[fails]}. All else is the same. {pair.question}")
    return [
        {**head, "kind": "before", "runs": [fails], "view": outside, "text": _spelled(pair.before)},
        {**head, "kind": "ask", "runs": [fails], "view": "seat", "text": question, "choices": choices["fails"]},
        {
            **head, "kind": "outcome", "runs": [fails], "view": outside, "text": _ended(tracks[fails]),
            "choices": choices["fails"], "right": right["fails"],
        },
        {**head, "kind": "ask", "runs": [holds], "view": outside, "text": other, "choices": choices["holds"]},
        {
            **head, "kind": "outcome", "runs": [holds], "view": outside, "text": _ended(tracks[holds]),
            "choices": choices["holds"], "right": right["holds"],
        },
        {**head, "kind": "beside", "runs": [fails, holds], "view": outside, "text": _spelled(pair.shows)},
    ]  # fmt: skip


def _closing() -> dict[str, Any]:
    return {
        "kind": "seated",
        "title": "If it goes over",
        "text": _spelled("What drivers are told for it."),
        "points": [_spelled(text) for text in SEATED],
        "source": _spelled(FROM),
        "notes": _spelled("Print the handout from the browser; it is one page. " + REACTION),
    }


def _ended(track: Track) -> Words:
    return {system: f"{text}." for system, text in track.facts["outcome"].items()}


def _printed(pair: Pair, number: int, names: Sequence[str], tracks: Sequence[Track], system: System) -> dict[str, Any]:
    runs = [(names[2 * number + k], tracks[2 * number + k].facts["outcome"][system]) for k in (0, 1)]
    return {
        "title": spell(pair.title, system),
        "before": spell(pair.before, system),
        "question": spell(pair.question, system),
        "choices": [spell(choice.text, system) for choice in pair.choice],
        "runs": [(spell(name, system), ended) for name, ended in runs],
        "shows": spell(pair.shows, system),
    }


def _spelled(text: str) -> Words:
    return in_both(lambda system: spell(text.strip(), system))
