"""A run as a page that plays it: its story in both systems of units, with the sentences that its report begins with."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import isfinite
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from tipline.playback.bodies import with_plain_wheels
from tipline.playback.ghosts import SpreadRun, ghosts
from tipline.playback.html import Still, page_html
from tipline.playback.track import SYSTEMS, Said, Track, Words, in_both, track
from tipline.report.first_screen import said_of_run
from tipline.report.page import OWN
from tipline.report.wording import spell
from tipline.runs.beside import apart, changes, said_of_changes
from tipline.runs.moments import moments_of
from tipline.runs.told import EITHER_WAY
from tipline.units import System
from tipline.view.tell import tell

if TYPE_CHECKING:
    from tipline.runs.assessment import RunReport
    from tipline.scenario import Case
    from tipline.view.story import Story

__all__ = ["Played", "beside", "pair_html", "replay_html", "story_of", "track_of"]

_SHOWN = (OWN, "Why", "How near")
"""Which of the report's first sentences stand over the pictures: what changes with each draw of a spread does not."""


@dataclass(frozen=True)
class Played:
    """An assessed run with its case.

    ``doubts``: in how many runs it ended so, where the report does not hold its further runs any more.
    ``further``: runs of its spread that are drawn faintly beside it; so many were ``wanted``.
    """

    report: RunReport
    case: Case
    doubts: tuple[str, ...] = ()
    further: tuple[SpreadRun, ...] = ()
    wanted: int = 0


def replay_html(played: Played, system: System = "si", stills: Sequence[Still] = ()) -> str:
    """Give the page of one run.

    Raises
    ------
    MissingPart
        NiceGUI, whose three.js draws the bodies, is not installed.
    """
    only = track_of(played)
    said = in_both(lambda of: " ".join(text[of] for _, text in only.facts["sentences"]))
    return page_html([only], only.facts["heading"], said, system, stills)


def pair_html(first: Played, second: Played, system: System = "si", stills: Sequence[Still] = ()) -> str:
    """Give the page of two runs in step: one clock, one camera, what was changed in words; raises as `replay_html`."""
    tracks = [track_of(first), track_of(second)]
    more = beside([first, second], [(0, 1)])
    differences = changes(first.case, second.case)
    if len(differences) == 1:  # what was changed is the best name of each
        (change,) = differences
        more["names"] = [_spelled(f"{change.what} {value}") for value in (change.first, change.second)]
    ends = [each.facts["outcome"] for each in tracks]
    lead = in_both(lambda of: f"A: {ends[0][of]}. B: {ends[1][of]}")
    return page_html(tracks, lead, more["changed"]["0 1"], system, stills, more)


def beside(played: Sequence[Played], pairs: Sequence[tuple[int, int]]) -> dict[str, Any]:
    """Give for pairs of runs what was changed, in words, and how far their distances to the tip lines are apart [m]."""
    changed, differ = {}, {}
    for first, second in pairs:
        a, b = played[first], played[second]
        said = said_of_changes(changes(a.case, b.case))
        changed[f"{first} {second}"] = _spelled(said)
        times, lines = apart(a.report.run, b.report.run)
        differ[f"{first} {second}"] = {
            "time": times.round(4).tolist(),
            "lines": {line: _listed(row) for line, row in lines.items()},
        }
    return {"changed": changed, "apart": differ}


def _spelled(text: str) -> Words:
    return in_both(lambda system: spell(text, system))


def _listed(values: NDArray[np.float64]) -> list[float | None]:
    return [round(value, 5) if isfinite(value) else None for value in values.tolist()]


def story_of(played: Played, system: System) -> Story:
    """Tell the run."""
    story = tell(played.report.run, played.report, played.case, system)
    return replace(story, doubts=played.doubts or story.doubts)


def track_of(played: Played) -> Track:
    """Gather what is played of one run."""
    report, case = played.report, played.case
    stories: dict[System, Story] = {
        system: with_plain_wheels(story_of(played, system), case.machine) for system in SYSTEMS
    }
    story = stories["si"]
    lead = f"{EITHER_WAY}: {story.doubts[0]}" if story.doubts else report.ended
    sentences = {system: said_of_run(report, system) for system in SYSTEMS}
    rows = [
        (word, in_both(lambda system, k=number: sentences[system][k][1]))  # type: ignore[misc]
        for number, (word, _) in enumerate(sentences["si"])
        if word in _SHOWN
    ]
    if story.doubts and not report.doubts:
        rows.insert(0, (OWN, _spelled(f"{report.ended}.")))
    said = Said(_spelled(lead), tuple(rows))
    alone = track(stories, said, case.floor, moments_of(report, case.scenario))
    return replace(alone, ghosts=ghosts(case, played.further, played.wanted)) if played.wanted else alone
