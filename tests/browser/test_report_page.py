"""The report as a browser shows it: complete without a network, fit for a phone, the same figures as the summary."""

from __future__ import annotations

import json
import re
import shutil
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

import tipline
from cases import brief_breakthrough
from tipline.endings import ENDED
from tipline.view import gl

playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed (pip install playwright)")

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="no chromium found (Debian: apt-get install chromium)")
WIDTHS = (390, 800, 1280)
SCENARIO = brief_breakthrough(
    "Front-left tyre breaks through, with a title that is as long as people sometimes make them: hall, bay, date",
    'mass = "6.5 t"',
)
WIDE = """
() => [...document.querySelectorAll("body *")]
    .filter((element) => element.getBoundingClientRect().right > document.documentElement.clientWidth + 0.5)
    .map((element) => element.tagName + ": " + element.textContent.slice(0, 40))
"""
FAINT = """
() => {
    const light = (colour) => {
        const [r, g, b] = colour.match(/[0-9.]+/g).slice(0, 3).map((part) => part / 255)
            .map((part) => (part <= 0.03928 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4));
        return 0.2126 * r + 0.7152 * g + 0.0722 * b;
    };
    const ground = (element) => {
        for (let at = element; at; at = at.parentElement) {
            const colour = getComputedStyle(at).backgroundColor;
            if (!/, 0\\)$/.test(colour)) return colour;
        }
        return "rgb(255, 255, 255)";
    };
    return [...document.querySelectorAll("body *")].filter((element) => {
        if (![...element.childNodes].some((node) => node.nodeType === 3 && node.textContent.trim())) return false;
        const pair = [light(getComputedStyle(element).color), light(ground(element))].sort();
        return (pair[1] + 0.05) / (pair[0] + 0.05) < 4.5;
    }).map((element) => element.textContent.slice(0, 40));
}
"""


@dataclass(frozen=True)
class Delivered:
    """A delivered folder."""

    folder: Path

    @property
    def page(self) -> Path:
        return self.folder / "report.html"

    @property
    def summary(self) -> dict[str, Any]:
        return json.loads((self.folder / "summary.json").read_text(encoding="utf-8"))


@dataclass(frozen=True)
class Shown:
    """A page as the browser shows it, and what went wrong meanwhile."""

    page: Any
    requests: list[str]
    complaints: list[str]

    @property
    def text(self) -> str:
        return self.page.inner_text("body").replace("\u00a0", " ")

    def table(self, heading: str) -> dict[str, list[str]]:
        """Give the cells of the table under a heading by the text that heads each row."""
        section = self.page.locator("section", has=self.page.get_by_role("heading", name=heading, exact=True))
        rows = [row.split("\t") for row in section.locator("tbody").inner_text().replace("\u00a0", " ").split("\n")]
        return {row[0]: row[1:] for row in rows}


@pytest.fixture(scope="session")
def result(tmp_path_factory: pytest.TempPathFactory) -> tipline.RunResult:
    path = tmp_path_factory.mktemp("scenario") / "mini.toml"
    path.write_text(SCENARIO, encoding="utf-8")
    return tipline.run(path, spread=10)


@pytest.fixture(scope="session")
def plain(result: tipline.RunResult, tmp_path_factory: pytest.TempPathFactory) -> Delivered:
    return Delivered(tipline.write(result, tmp_path_factory.mktemp("runs") / "plain", pictures=False))


def shown(browser: Any, path: Path, width: int = 1280) -> Shown:
    page = browser.new_page(viewport={"width": width, "height": 900})
    requests: list[str] = []
    complaints: list[str] = []
    page.on("request", lambda request: requests.append(request.url))
    page.on("requestfailed", lambda request: complaints.append(request.url[:100]))
    page.on("console", lambda message: complaints.append(message.text))
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.goto(path.as_uri(), wait_until="load")
    return Shown(page, requests, complaints)


@pytest.mark.parametrize("width", WIDTHS)
def test_page_needs_nothing_but_itself_and_fits_the_window(browser: Any, plain: Delivered, width: int) -> None:
    seen = shown(browser, plain.page, width)
    assert seen.complaints == []
    assert [url for url in seen.requests if not url.startswith("data:")] == [plain.page.as_uri()]
    assert seen.page.evaluate(WIDE) == []
    assert seen.page.evaluate("document.documentElement.scrollWidth") <= width
    seen.page.close()


def test_what_must_not_be_overlooked_is_seen(browser: Any, plain: Delivered) -> None:
    seen, summary = shown(browser, plain.page), plain.summary
    page = seen.page
    assert page.title() == page.inner_text("h1") == summary["scenario"]
    assert page.locator("html").get_attribute("lang") == "en"
    headings = page.locator("h2").all_inner_texts()
    beyond = "This run went beyond the limits of the set-up"
    for heading in ("How it ended", "Least distance to each tip line", "Tyre loads", beyond, "Events"):
        assert heading in headings
    assert {"Assumed", "What governs", "Truck, floor and events", "In the same folder"} <= set(headings)
    assert page.locator("header .demo").is_visible()
    assert page.locator("header .demo").inner_text() == "DEMO"
    assert page.locator("header .lead").inner_text() == summary["outcome"]["heading"]
    for caution in ("An estimate, computed", "capacity plate and manual", "a qualified engineer"):
        assert caution in page.inner_text("header .caution")
    assert f"{summary['assumed_count']} assumed values" in page.inner_text("header .mark")
    assert "computed, not recorded" in page.inner_text("header .mark")
    assert summary["run_id"] in page.inner_text("header .mark")
    assert page.evaluate(FAINT) == []
    assert not re.search(r"\b(safe|safely|OK|ZMP|nan|None|inf)\b", seen.text)
    page.close()


def test_figures_are_those_of_the_summary(browser: Any, plain: Delivered) -> None:
    seen, summary = shown(browser, plain.page), plain.summary
    distances = seen.table("Least distance to each tip line")
    worst = summary["worst"]["distance_to_tip_line_mm"]
    for line in ("front", "back", "left", "right"):
        assert distances[f"tip {line}"][0].startswith(f"{worst[line]['value']:.0f} mm")
        assert distances[f"tip {line}"][1] == f"{worst[line]['time_s']:.2f} s"
    for side in ("left", "right"):
        assert distances[f"swing {side}"][0].startswith(f"{worst['swing'][side]['value']:.0f} mm")
    loads = seen.table("Tyre loads")
    for name, rest in summary["rest"]["tyre_loads_kN"].items():
        assert float(loads[name][0].removesuffix(" kN")) == pytest.approx(rest, rel=5e-3, abs=0.051)
        peak = summary["peak"]["tyre_loads_kN"][name]["value"]
        assert float(loads[name][1].removesuffix(" kN")) == pytest.approx(peak, rel=5e-3)
    assert f"Weight with load {summary['rest']['weight_kN']:.3g} kN" in seen.text
    outcome, share = seen.table("How it ended"), summary["worst"]["steer_axle_share"]
    assert float(outcome["least on the steer axle"][0].removesuffix(" % of the weight")) == pytest.approx(
        100 * share, abs=0.051
    )
    assert outcome["lifted load"] == [ENDED[summary["outcome"]["lifted_load"]]]
    assert outcome["floor"] == [ENDED[summary["outcome"]["floor"]]]
    assert len(seen.table("Events")) == len(summary["events"])
    seen.page.close()


def test_keys_alone_reach_what_can_be_moved(browser: Any, plain: Delivered) -> None:
    page = shown(browser, plain.page, 390).page
    hidden = """() => [...document.querySelectorAll(".scroll")]
        .filter((box) => box.scrollWidth > box.clientWidth + 1 && box.tabIndex < 0).length"""
    assert page.evaluate(hidden) == 0
    page.close()


@pytest.mark.slow
def test_pictures_are_inside_loaded_and_told_in_words(browser: Any, result: tipline.RunResult, tmp_path: Path) -> None:
    missing = gl.probe()
    if missing:
        pytest.skip(missing)
    made = Delivered(tipline.write(result, tmp_path / "drawn", units="us", draft=True))
    for width in WIDTHS:
        seen = shown(browser, made.page, width)
        images = seen.page.evaluate("[...document.images].map((image) => [image.naturalWidth, image.alt, image.width])")
        assert len(images) == 6
        for natural, alt, drawn in images:
            assert natural > 0
            assert len(alt) > 15
            assert drawn <= width
        assert seen.page.evaluate(WIDE) == []
        assert seen.complaints == []
        assert {url for url in seen.requests if not url.startswith("data:")} == {made.page.as_uri()}
        assert not re.search(r"\d (mm|kN|tonne|m)\b|[Tt]yre", seen.text.replace(result.report.title, ""))
        assert "replay.mp4" in seen.text
        assert (made.folder / "replay.mp4").stat().st_size > 10_000
        seen.page.close()
