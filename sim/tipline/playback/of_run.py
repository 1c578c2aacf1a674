"""A run as a page that plays it: its story in both systems of units, with the sentences that its report begins with."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from tipline.playback.html import Still, page_html
from tipline.playback.track import SYSTEMS, Said, Track, in_both, track
from tipline.report.first_screen import said_of_run
from tipline.report.page import OWN
from tipline.report.wording import spell
from tipline.runs.told import EITHER_WAY
from tipline.units import System
from tipline.view.tell import tell

if TYPE_CHECKING:
    from tipline.results import Run
    from tipline.runs.assessment import RunReport
    from tipline.scenario import Case
    from tipline.view.story import Story

__all__ = ["replay_html", "track_of"]

_SHOWN = (OWN, "Why", "How near")
"""Which of the report's first sentences stand over the pictures: what changes with each draw of a spread does not."""


def replay_html(
    run: Run,
    report: RunReport,
    case: Case,
    system: System = "si",
    stills: Sequence[Still] = (),
    doubts: Sequence[str] = (),
) -> str:
    """Give the page of one run.

    ``doubts``: in how many runs it ended so, where the report does not hold its further runs any more.

    Raises
    ------
    MissingPart
        NiceGUI, whose three.js draws the bodies, is not installed.
    """
    played = track_of(run, report, case, doubts)
    said = in_both(lambda of: " ".join(text[of] for _, text in played.facts["sentences"]))
    return page_html([played], played.facts["heading"], said, system, stills)


def track_of(run: Run, report: RunReport, case: Case, doubts: Sequence[str] = ()) -> Track:
    """Gather what is played of one run."""
    stories: dict[System, Story] = {system: tell(run, report, case, system) for system in SYSTEMS}
    if doubts:
        stories = {system: replace(story, doubts=tuple(doubts)) for system, story in stories.items()}
    story = stories["si"]
    lead = f"{EITHER_WAY}: {story.doubts[0]}" if story.doubts else report.ended
    sentences = {system: said_of_run(report, system) for system in SYSTEMS}
    rows = [
        (word, in_both(lambda system, k=number: sentences[system][k][1]))  # type: ignore[misc]
        for number, (word, _) in enumerate(sentences["si"])
        if word in _SHOWN
    ]
    if story.doubts and not report.doubts:
        rows.insert(0, (OWN, in_both(lambda system: spell(f"{report.ended}.", system))))
    return track(stories, Said(in_both(lambda system: spell(lead, system)), tuple(rows)), case.floor)
