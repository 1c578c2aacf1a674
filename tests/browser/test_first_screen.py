"""The first screen as a browser shows it: outcome, picture, cause and limit before anybody scrolls; sheets of paper."""

from __future__ import annotations

import re
import shutil
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

import tipline
from tipline.report import html
from tipline.report.page import Picture, Pictures
from tipline.report.sections import Beside, run_page

playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed (pip install playwright)")


CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(CHROMIUM is None, reason="no chromium found (Debian: apt-get install chromium)"),
]
SCREENS = ((1280, 720), (390, 844))
STILL = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 1600 900"><path d="M0 0h1600v900H0z"/></svg>'
LOWEST = """(what) => [...document.querySelectorAll(what)].map((one) => one.getBoundingClientRect())
    .filter((box) => box.width > 0).reduce((low, box) => Math.max(low, box.bottom), 0)"""
LARGEST = """() => Math.max(...[...document.querySelectorAll("body *")].filter((one) => one.innerText)
    .map((one) => parseFloat(getComputedStyle(one).fontSize)))"""


@pytest.fixture(scope="session")
def made(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """A page of each command, made once; the stills of the run are stood in for, as they take a minute to draw."""
    folder = tmp_path_factory.mktemp("first")
    report = tipline.run("front-tyre-breaks-through-load-high", spread=4, floor_spread=0).report
    still = Picture("The worst moment, 2.80 s: the balance point is past the left tip line.", svg=STILL)
    drawn = (Pictures("Pictures", (still,) * 3, "Yellow arrows."), Pictures("Over time", (still,) * 4))
    page = run_page(replace(report, not_met=()), beside=Beside(pictures=drawn, picture=still, assumed=8))
    (folder / "run.html").write_text(html.page_html(page), encoding="utf-8")
    tipline.write(tipline.floor("stop-with-the-load-up-breaks-a-slab"), folder / "floor")
    tipline.write(tipline.slopes("floor-falls-sideways", heights="4", directions=24), folder / "slopes")
    tipline.write(tipline.check("driving-onto-a-trench-lid"), folder / "check")
    pages = {name: folder / name / "report.html" for name in ("floor", "slopes", "check")}
    return {"run": folder / "run.html", "sheet": folder / "floor" / "wheel-loads.html", **pages}


@pytest.mark.parametrize("size", SCREENS)
@pytest.mark.parametrize("name", ["run", "floor", "slopes", "check"])
def test_outcome_picture_cause_and_limit_are_seen_at_once(
    browser: Any, made: dict[str, Path], name: str, size: tuple[int, int]
) -> None:
    page = browser.new_page(viewport={"width": size[0], "height": size[1]})
    page.goto(made[name].as_uri())
    lead = page.locator("header .lead")
    assert page.evaluate(LARGEST) == pytest.approx(lead.evaluate("(one) => parseFloat(getComputedStyle(one).fontSize)"))
    assert page.evaluate(LOWEST, "header .lead") < 0.4 * size[1]
    if name != "check":  # a set-up at rest has no picture
        assert page.evaluate(LOWEST, ".first img") < size[1]
    assert page.evaluate(LOWEST, ".first dl dd:nth-of-type(-n + 2)") < size[1]
    assert page.evaluate("document.documentElement.scrollWidth") <= size[0]
    page.close()


@pytest.mark.parametrize(("name", "most"), [("run", 4), ("slopes", 3), ("floor", 4), ("check", 3), ("sheet", 1)])
def test_it_prints_on_few_sheets(browser: Any, made: dict[str, Path], name: str, most: int) -> None:
    page = browser.new_page()
    page.goto(made[name].as_uri())
    sheets = len(re.findall(rb"/Type\s*/Page\b", page.pdf(format="A4", print_background=True)))
    assert 1 <= sheets <= most
    page.close()


def test_a_picture_opens_large_and_closes_again(browser: Any, made: dict[str, Path]) -> None:
    page = browser.new_page(viewport={"width": 1280, "height": 720})
    page.goto(made["run"].as_uri())
    small = page.evaluate("document.querySelector('#first-picture img').width")
    page.locator("#first-picture a[title]").click()
    assert page.evaluate("document.querySelector('#first-picture img').width") > 1.5 * small
    page.locator("#first-picture .close").click()
    assert page.evaluate("document.querySelector('#first-picture img').width") == small
    page.close()
