"""The first screen as a browser shows it: outcome, picture, cause and limit before anybody scrolls; sheets of paper."""

from __future__ import annotations

import re
import shutil
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

import tipline
from cases import SHORT_SWEEPS
from shipped_pages import DRAWN, PICTURE, of_check, of_floor, of_run, of_slopes, reconstructed
from tipline.model.shipped import list_shipped
from tipline.report import html
from tipline.report.comparison import comparison_page
from tipline.report.filed import Filed
from tipline.report.page import Page
from tipline.report.sections import Beside, run_page
from within_reach import out_of_reach_at_each_width

playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed (pip install playwright)")


CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(CHROMIUM is None, reason="no chromium found (Debian: apt-get install chromium)"),
]
SCREENS = ((1280, 720), (390, 844))
LOWEST = """(what) => [...document.querySelectorAll(what)].map((one) => one.getBoundingClientRect())
    .filter((box) => box.width > 0).reduce((low, box) => Math.max(low, box.bottom), 0)"""
BOXES = """(what) => [...document.querySelectorAll(what)].map((one) => one.getBoundingClientRect())
    .map((box) => ({left: box.left, right: box.right, bottom: box.bottom}))"""
LARGEST = """() => Math.max(...[...document.querySelectorAll("body *")].filter((one) => one.innerText)
    .map((one) => parseFloat(getComputedStyle(one).fontSize)))"""


@pytest.fixture(scope="session")
def made(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """A page of each command, made once; the stills of the run are stood in for, as they take a minute to draw."""
    folder = tmp_path_factory.mktemp("first")
    report = tipline.run("front-tyre-breaks-through-load-high", spread=4, floor_spread=0).report
    page = run_page(replace(report, not_met=()), beside=Beside(pictures=DRAWN, picture=PICTURE, assumed=8))
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
    assert 0.0 < page.evaluate(LOWEST, ".first img") < size[1]
    assert page.evaluate(LOWEST, ".first dl dd:nth-of-type(-n + 2)") < size[1]
    assert page.evaluate("document.documentElement.scrollWidth") <= size[0]
    page.close()


def seen_at_once(page: Any, size: tuple[int, int], picture: bool) -> list[str]:
    """Give what of outcome, picture, cause and limit is not on the first screen, and whether the page is too wide."""
    missing = []
    if page.evaluate(LOWEST, "header .lead") >= 0.5 * size[1]:
        missing.append("outcome")
    if picture and not 0.0 < page.evaluate(LOWEST, ".first img") < size[1]:
        missing.append("picture")
    if page.evaluate(LOWEST, ".first dl dd:first-of-type") >= size[1]:
        missing.append("cause")
    if page.evaluate("document.documentElement.scrollWidth") > size[0]:
        missing.append("width")
    return missing


ASKED = {"load_size": "1.8 m x 1.4 m x 1.6 m", "load": "5.2 t, nameplate", "plate": "12.25 t, 0.6 m, 5.5 m",
         "held": "jib, 1.6 m", "height": "3.2 m", "floor": "slab, 0.2 m, soil"}  # fmt: skip
"""A lift of which much is not known, to start from."""
SHEETS = {"run": 4, "slopes": 3, "sweep": 3, "loads": 4, "fit": 3, "start": 1, "incident": 5, "compare": 4}
"""Sheets of A4 at most (our choice; an incident has the moments of three causes)."""


def other_pages(folder: Path, factory: pytest.TempPathFactory) -> dict[str, tuple[Path, bool]]:
    """Write a page of each other command: every shipped sweep with few runs, loads, a fit, a start, an incident."""
    weighed = {"weighings": '[{total = "10.6 t", slabs = 2, attachment = "forks"}]'}
    found: dict[str, tuple[Any, bool]] = {
        f"sweep {name}": (tipline.sweep(name, SHORT_SWEEPS[name]), True) for name in list_shipped()["sweep"]
    }
    found |= {f"loads {name}": (tipline.loads(name), True) for name in list_shipped()["machine"]}
    found["fit"] = tipline.fit("demo-truck-a", weighed), True
    found["start"] = tipline.start(ASKED), True
    made = {"incident": (reconstructed(factory).folder / "report.html", True)}
    for name, (result, picture) in found.items():
        place = tipline.write(result, folder / name.replace(" ", "-"))
        made[name] = next(place / file for file in ("report.html", "sweep.html") if (place / file).exists()), picture
    return made


@pytest.mark.slow
def test_pages_of_the_other_commands_say_it_on_the_first_screen_and_print_on_few_sheets(
    browser: Any, tmp_path: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    wrong: list[tuple[Any, ...]] = []
    tab, kinds = browser.new_page(), set()
    for name, (file, picture) in other_pages(tmp_path, tmp_path_factory).items():
        tab.goto(file.as_uri())
        kind = name.split(maxsplit=1)[0]
        wrong += out_of_reach_at_each_width(tab, kind) if kind not in kinds else []
        kinds.add(kind)
        for size in SCREENS:
            tab.set_viewport_size({"width": size[0], "height": size[1]})
            wrong += [(name, size[0], what) for what in seen_at_once(tab, size, picture)]
        wrong += too_many_sheets(tab, name)
    tab.close()
    assert wrong == []


@pytest.mark.parametrize("size", SCREENS)
def test_two_results_beside_each_other_are_seen_at_once(
    browser: Any, tmp_path: Path, tmp_path_factory: pytest.TempPathFactory, size: tuple[int, int]
) -> None:
    """Both outcomes, both pictures side by side, of either the cause and the limit; runs, and set-ups at rest."""
    runs = [of_run(tmp_path_factory, f"front-tyre-breaks-through-load-{height}").drawn for height in ("high", "low")]
    poses = [of_check(tmp_path_factory, f"service-stop-load-{height}") for height in ("high", "low")]
    tab = browser.new_page(viewport={"width": size[0], "height": size[1]})
    for command, pages in (("run", runs), ("check", poses)):
        filed = [Filed(command, {"si": page, "us": page}) for page in pages]
        file = tmp_path / f"{command}.html"
        file.write_text(html.page_html(comparison_page(filed[0], filed[1], ("monday", "tuesday"))), encoding="utf-8")
        tab.goto(file.as_uri())
        assert tab.evaluate(LOWEST, "header .lead") < 0.5 * size[1]
        pictures = tab.evaluate(BOXES, ".halves img")
        assert len(pictures) == 2
        assert pictures[0]["right"] <= pictures[1]["left"]
        assert max(box["bottom"] for box in pictures) < size[1]
        assert tab.locator(".halves dl").count() == 2
        assert tab.evaluate(LOWEST, ".halves dl dd:nth-of-type(-n + 3)") < size[1]
        assert tab.evaluate("document.documentElement.scrollWidth") <= size[0]
        assert too_many_sheets(tab, "compare") == []
        assert size != SCREENS[0] or out_of_reach_at_each_width(tab, f"compare {command}") == []
    tab.close()


@pytest.mark.slow
def test_slopes_of_every_shipped_scenario_say_it_on_the_first_screen(
    browser: Any, tmp_path: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """At one height, in eight directions; a stand-in for the map."""
    wrong = []
    tab = browser.new_page()
    for number, name in enumerate(list_shipped()["scenario"]):
        file = tmp_path / f"{number}.html"
        file.write_text(html.page_html(of_slopes(tmp_path_factory, name).drawn), encoding="utf-8")
        tab.goto(file.as_uri())
        for size in SCREENS:
            tab.set_viewport_size({"width": size[0], "height": size[1]})
            wrong += [(name, size[0], what) for what in seen_at_once(tab, size, picture=True)]
        wrong += too_many_sheets(tab, f"slopes {name}")
    tab.close()
    assert wrong == []


def too_many_sheets(tab: Any, name: str) -> list[tuple[str, int, str]]:
    """Give how many sheets of A4 a page prints on, where that is more than it may."""
    most = SHEETS[name.split(maxsplit=1)[0]]
    sheets = len(re.findall(rb"/Type\s*/Page\b", tab.pdf(format="A4", print_background=True)))
    return [(name, 0, f"{sheets} sheets")] * (sheets > most)


@pytest.mark.slow
def test_every_shipped_scenario_and_floor_says_it_on_the_first_screen(
    browser: Any, tmp_path: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Runs with a stand-in for the still, set-ups at rest, floors alone; runs on four sheets of paper at most."""
    pages: dict[str, tuple[Page, bool]] = {}
    for name in list_shipped()["scenario"]:
        pages[f"run {name}"] = of_run(tmp_path_factory, name).drawn, True
        pages[f"check {name}"] = of_check(tmp_path_factory, name), True
    for name in list_shipped()["floor"]:
        pages[f"floor {name}"] = of_floor(tmp_path_factory, name), False
    wrong, tab = [], browser.new_page()
    for number, (name, (page, picture)) in enumerate(pages.items()):
        file = tmp_path / f"{number}.html"
        file.write_text(html.page_html(page), encoding="utf-8")
        tab.goto(file.as_uri())
        for size in SCREENS:
            tab.set_viewport_size({"width": size[0], "height": size[1]})
            wrong += [(name, size[0], what) for what in seen_at_once(tab, size, picture)]
        wrong += too_many_sheets(tab, name) if name.startswith("run") else []
    tab.close()
    assert wrong == []


def test_what_lies_beside_a_page_opens_from_it(made: dict[str, Path]) -> None:
    """Links to tables, figures and inputs lead to files that are there."""
    for name in ("floor", "slopes"):
        links = re.findall(r'<a href="([^#"][^"]*)">', made[name].read_text(encoding="utf-8"))
        assert {"summary.json", f"{name}.csv", "inputs/resolved.toml"} <= set(links)
        assert all((made[name].parent / link).is_file() for link in links)


def test_the_assumed_values_are_one_click_away(browser: Any, made: dict[str, Path]) -> None:
    page = browser.new_page(viewport={"width": 1280, "height": 720})
    page.goto(made["check"].as_uri())
    page.locator(".mark a").click()
    top = page.evaluate("document.querySelector('#assumed').getBoundingClientRect().top")
    assert -1.0 < top < 720.0  # scrolling is to whole pixels
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
