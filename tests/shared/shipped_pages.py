"""Pages of what is shipped, as the commands make them; each is made once a session."""

from __future__ import annotations

from typing import NamedTuple

import pytest

import tipline
from once import once
from tipline import view
from tipline.commands.check import CheckResult, page_of
from tipline.commands.delivered import Wishes
from tipline.report.first import first_on
from tipline.report.floor import floor_page
from tipline.report.page import Page, Picture, Pictures
from tipline.report.sections import Beside, run_page

STILL = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 1600 900"><path d="M0 0h1600v900H0z"/></svg>'
PICTURE = Picture("The worst moment, 2.80 s: the balance point is past the left tip line.", svg=STILL)
DRAWN = (Pictures("Pictures", (PICTURE,) * 3, "Yellow arrows."), Pictures("Over time", (PICTURE,) * 3))
"""Stand-ins for the stills of a run, which take a minute to draw."""


class RunPages(NamedTuple):
    """The page of a run, without pictures and with stand-ins for them."""

    plain: Page
    drawn: Page


def of_run(factory: pytest.TempPathFactory, name: str) -> RunPages:
    """Pages of a scenario with two further runs, and one on a floor drawn from what is not known."""

    def make() -> RunPages:
        report = tipline.run(name, spread=2, floor_spread=1).report
        beside = (Beside(assumed=8), Beside(pictures=DRAWN, picture=PICTURE, assumed=8))
        return RunPages(*(first_on(run_page(report, beside=what), report, "si") for what in beside))

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
