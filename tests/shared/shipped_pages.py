"""Pages of what is shipped, as the commands make them; each is made once a session."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

import pytest

import tipline
from cases import SHORT_SWEEPS
from once import once
from tipline import view
from tipline.commands.check import CheckResult, page_of
from tipline.commands.delivered import Wishes
from tipline.incidents.report import IncidentReport
from tipline.report.first import first_on
from tipline.report.floor import floor_page
from tipline.report.page import Page, Picture, Pictures
from tipline.report.sections import Beside, run_page
from tipline.report.slopes import slopes_page
from tipline.report.sweeps import sweep_page

STILL = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 1600 900"><path d="M0 0h1600v900H0z"/></svg>'
PICTURE = Picture("The worst moment, 2.80 s: the balance point is past the left tip line.", svg=STILL)
FIRST = "front-tyre-breaks-through-load-high"
DRAWN = (Pictures("Pictures", (PICTURE,) * 3, "Yellow arrows."), Pictures("Over time", (PICTURE,) * 3))
"""Stand-ins for the stills of a run, which take a minute to draw."""


class Both(NamedTuple):
    """A page without pictures and with stand-ins for them."""

    plain: Page
    drawn: Page


def of_run(factory: pytest.TempPathFactory, name: str) -> Both:
    """Pages of a scenario with two further runs, and one on a floor drawn from what is not known.

    In the engine that takes less time, but for the one in which readers first meet the program.
    """
    engine = None if name == FIRST else "compiled"

    def make() -> Both:
        report = tipline.run(name, spread=2, floor_spread=1, engine=engine).report
        beside = (Beside(assumed=8), Beside(pictures=DRAWN, picture=PICTURE, assumed=8))
        return Both(*(first_on(run_page(report, beside=what), report, "si") for what in beside))

    return once(factory, f"run-{name}", make)


def of_check(factory: pytest.TempPathFactory, name: str) -> Page:
    """The page of a set-up at rest, with its plan."""

    def make() -> Page:
        result = posed(factory, name)
        caption, svg = view.set_up_drawing(result)
        return page_of(result, Wishes(), Picture(caption, svg=svg)).page

    return once(factory, f"check-{name}", make)


def posed(factory: pytest.TempPathFactory, name: str) -> CheckResult:
    """A scenario at rest."""
    return once(factory, f"posed-{name}", lambda: tipline.check(name))


def of_floor(factory: pytest.TempPathFactory, name: str) -> Page:
    """The page of a floor alone."""

    def make() -> Page:
        report = tipline.floor(name).report
        return first_on(floor_page(report), report, "si")

    return once(factory, f"floor-{name}", make)


def of_slopes(factory: pytest.TempPathFactory, name: str) -> Both:
    """Pages of the slopes of a scenario at one height, in eight directions."""

    def make() -> Both:
        report = tipline.slopes(name, heights="1", directions=8).report
        maps = ((), (Pictures("Maps", (PICTURE,) * 3),))
        return Both(*(first_on(slopes_page(report, pictures=what), report, "si") for what in maps))

    return once(factory, f"slopes-{name}", make)


def of_sweep(factory: pytest.TempPathFactory, name: str) -> Page:
    """The page of a sweep with few runs."""

    def make() -> Page:
        report = tipline.sweep(name, SHORT_SWEEPS[name]).report
        return first_on(sweep_page(report), report, "si")

    return once(factory, f"sweep-{name}", make)


class Incident(NamedTuple):
    """What came of a case, and the folder it was written to."""

    report: IncidentReport
    folder: Path


def reconstructed(factory: pytest.TempPathFactory) -> Incident:
    """An incident weighed with few runs of each cause."""

    def make() -> Incident:
        result = tipline.reconstruct("truck-on-its-side-by-the-press", {"runs": 20}, workers=0)
        return Incident(result.report, tipline.write(result, factory.mktemp("incident") / "case"))

    return once(factory, "reconstructed", make)
