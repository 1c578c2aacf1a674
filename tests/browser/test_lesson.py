"""A whole lesson in a browser: asked before each outcome, answered after it, notes, a handout on one page."""

from __future__ import annotations

import re
import shutil
from pathlib import Path
from typing import Any

import pytest

import tipline
from tipline.model.shipped import list_shipped
from tipline.workbench.history import HEAD, MARK
from within_reach import out_of_reach, out_of_reach_at_each_width

playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed (pip install playwright)")

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(CHROMIUM is None, reason="no chromium found (Debian: apt-get install chromium)"),
]
REFUSED = "The notes have no window here. Open lesson.html from its folder in a browser, and allow its pop-ups."
OVERFLOW = "document.querySelector('aside').scrollHeight - document.querySelector('aside').clientHeight"


def narrow(page: Any) -> list[str]:
    """Give what a phone and a tablet show too small of two runs, or over each other."""
    small = """() => { replay.page.late = replay.page.stale = true; replay.page.tick(0);
        const box = (id) => document.querySelector(id).getBoundingClientRect();
        const wrong = [...document.querySelectorAll("#charts canvas, #view")].filter((one) => one.offsetHeight < 90)
            .map((one) => `${one.id || "chart"} ${one.offsetHeight}`);
        if (box("#names span").top < box("#cameras").bottom) wrong.push("names under buttons");
        if (document.documentElement.scrollWidth > innerWidth) wrong.push("wider than the screen");
        return wrong; }"""
    wrong = []
    for size in ((390, 844), (820, 1180)):
        page.set_viewport_size({"width": size[0], "height": size[1]})
        wrong += [f"{size[0]}: {text}" for text in page.evaluate(small)]
    page.set_viewport_size({"width": 1280, "height": 720})
    page.evaluate("() => { replay.page.late = replay.page.stale = true; replay.page.tick(0); }")
    return wrong


def opened_page(browser: Any, place: Path) -> tuple[Any, list[str], list[str]]:
    """Open a page; give it with all that it will complain of and ask for."""
    page = browser.new_page(viewport={"width": 1280, "height": 720})
    told: list[str] = []
    asked: list[str] = []
    page.on("console", lambda message: told.append(message.text))
    page.on("pageerror", lambda error: told.append(str(error)))
    page.on("request", lambda request: asked.append(request.url))
    page.goto(place.as_uri())
    page.wait_for_selector("body[data-ready=yes]")
    return page, told, asked


def handouts(page: Any) -> list[str]:
    """Give what is wrong with the handout in the units that are chosen: its names of runs, or more than a sheet."""
    wrong = []
    for system in ("si", "us"):
        page.emulate_media(media="print")
        (sheet,) = page.locator(".handout:visible").all_inner_texts()
        wrong += [f"{system}: no sentence: {end}" for end in re.findall(r"[.?!] [a-z].{0,20}", sheet)]
        size = "parseFloat(getComputedStyle(document.querySelector('.handout:not([hidden]) p')).fontSize)"
        wrong += [f"{system}: small"] if page.evaluate(size) < 14 else []  # pixels, 10.5 pt
        names = [name[system] for name in page.evaluate("replay.page.data.names")]
        wrong += [f"{system}: no {name}" for name in names if name not in sheet]
        for paper in ("A4", "Letter"):
            sheets = len(re.findall(rb"/Type\s*/Page\b", page.pdf(format=paper)))
            wrong += [f"{system}: {sheets} sheets of {paper}"] if sheets != 1 else []
        page.emulate_media(media="null")
        page.keyboard.press("u")
    return wrong


def untimely(notes: Any, step: Any, outcome: str) -> list[str]:
    """Give what the window of notes tells too early, since it may stand on the wall too, or not at all."""
    shown = notes.inner_text("body")
    if step["kind"] not in ("before", "ask"):
        return [] if step.get("after", {"si": ""})["si"] in shown else ["no notes on the outcome"]
    early = [text for text in (outcome, step["after"]["si"]) if text in shown]
    folded = notes.text_content("details")
    late = [text for text in [step["after"]["si"], *[outcome] * (step["kind"] == "ask")] if text not in folded]
    return [*early, *late, *[step["notes"]["si"]] * (step["notes"]["si"] not in shown)]


def kept_apart(browser: Any, place: Path) -> tuple[list[str], list[str]]:
    """Open a lesson as the pages show it, and ask for its notes; give what it says of them, and complains of."""
    page = browser.new_page(viewport={"width": 1280, "height": 720})
    told: list[str] = []
    page.on("pageerror", lambda error: told.append(str(error)))
    held = {"content-type": "text/html", "content-security-policy": "sandbox allow-scripts allow-popups"}
    page.route("http://lesson.test/", lambda route: route.fulfill(path=place, headers=held))
    page.goto("http://lesson.test/")
    page.wait_for_selector("body[data-ready=yes]", timeout=60_000)
    page.keyboard.press("w")
    said = page.locator("#lesson [role=alert]").all_inner_texts()
    page.close()
    return said, told


@pytest.mark.parametrize("name", list_shipped()["lesson"])
def test_a_whole_lesson_is_walked_through(browser: Any, name: str, tmp_path: Path) -> None:
    place = tipline.write(tipline.lesson(name), tmp_path / "lesson") / "lesson.html"
    assert (place.stat().st_size < 2.5e6, MARK in place.read_bytes()[:HEAD]) == (True, True)
    page, told, asked = opened_page(browser, place)
    with page.context.expect_page() as opened:
        page.keyboard.press("w")
    notes = opened.value
    assert out_of_reach(notes, "notes") == []
    page.bring_to_front()
    kinds = page.evaluate("replay.page.steps.map((step) => step.kind)")
    assert kinds == [*["before", "ask", "outcome", "ask", "outcome", "beside"] * 2, "seated"]
    for number, kind in enumerate(kinds):
        assert page.inner_text("#lesson .count") == f"{number + 1} of {len(kinds)}"
        assert page.evaluate(OVERFLOW) <= 1
        seen = "seat" if number % 6 == 1 else "overview" if name.startswith("tyre") else "side"
        assert kind == "seated" or page.evaluate("replay.page.pictures.name") == seen
        assert number > 2 or out_of_reach_at_each_width(page, f"lesson, {kind}") == []
        assert notes.inner_text("h1").startswith(f"{number + 1} of {len(kinds)}")
        step = page.evaluate("(number) => replay.page.steps[number]", number)
        if kind == "ask":
            page.keyboard.press("b")
            assert page.locator("#lesson .choice").nth(1).get_attribute("aria-pressed") == "true"
            page.evaluate("() => { replay.page.seek(99); replay.page.tick(0); }")
            assert page.evaluate("replay.page.time") == pytest.approx(page.evaluate("replay.page.ask"))
            assert "Confuses" not in page.inner_text("#lesson")
            outcome = page.evaluate("replay.page.tracks[0].facts.outcome.si")
            assert outcome not in page.inner_text("body")
        assert untimely(notes, step, page.evaluate("replay.page.tracks[0].facts.outcome.si")) == []
        if kind == "outcome":
            (right,) = page.locator("#lesson .choice.right").all_inner_texts()
            assert step["choices"][step["right"]]["text"]["si"] in right
            assert "(chosen)" in page.locator("#lesson .choice").nth(1).inner_text()
            assert page.locator("#lesson .confuses").count() == len(step["choices"]) - 1
            assert page.inner_text("#lesson .text").rstrip(".") == page.evaluate(
                "replay.page.tracks[0].facts.outcome.si"
            )
        # words of a second run are gone where it is shown no more
        page.evaluate("() => { replay.page.play(false); replay.page.late = true; replay.page.tick(0); }")
        second = "[...replay.page.pictures.labels[1].elements.values()].some((label) => !label.hidden)"
        assert page.evaluate(second) == (page.evaluate("replay.page.tracks.length") == 2)
        if kind == "beside":
            assert page.inner_text("#said").startswith("One thing changed: ")
            assert page.locator("#names span").count() == 2
            assert narrow(page) == []
        page.keyboard.press("ArrowRight")
    assert "Do not jump" in page.inner_text("#lesson")
    page.keyboard.press("ArrowLeft")
    assert page.inner_text("#lesson .count") == f"{len(kinds) - 1} of {len(kinds)}"
    notes.keyboard.press("ArrowRight")  # from that window too
    assert page.inner_text("#lesson .count") == f"{len(kinds)} of {len(kinds)}"
    assert (handouts(page), kept_apart(browser, place)) == ([], ([REFUSED], []))
    assert told == []
    assert [address for address in asked if not address.startswith(("blob:", "data:"))] == [place.as_uri()]
    page.close()
    notes.close()
