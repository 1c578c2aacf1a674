"""Drawings written line by line as a browser shows them: no letters over other letters, none cut off.

Boxes of every text as chromium lays it out: plans of set-ups, ranges of a fit, the moments of an incident.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from itertools import combinations
from typing import Any, get_args

import pytest

import tipline
from shipped_pages import posed, reconstructed
from tipline import view
from tipline.model.shipped import list_shipped
from tipline.units import System

pytest.importorskip("playwright.sync_api", reason="playwright is not installed (pip install playwright)")
pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(
        not (shutil.which("chromium") or shutil.which("chromium-browser")),
        reason="no chromium found (Debian: apt-get install chromium)",
    ),
]
WEIGHED = {"weighings": '[{total = "10.6 t", slabs = 2, attachment = "forks"}]'}
TOUCH = 1.0
"""Letters have room round them in their box: less than this [px] of overlap is none that is seen."""
TEXTS = """() => [...document.querySelectorAll("svg text")].filter((one) => one.textContent.trim()).map((one) => {
    const box = one.getBoundingClientRect(), all = one.closest("svg").getBoundingClientRect();
    return {said: one.textContent, left: box.left, top: box.top, right: box.right, bottom: box.bottom,
        inside: box.left >= all.left - 1 && box.right <= all.right + 1 && box.top >= all.top - 1
            && box.bottom <= all.bottom + 1};
})"""


def drawings(factory: pytest.TempPathFactory) -> Iterator[tuple[str, str]]:
    """Yield name and SVG of each drawing, in both systems of units."""
    fitted = tipline.fit("demo-truck-a", WEIGHED).report
    causes = reconstructed(factory).report.causes
    for system in get_args(System):
        for name in list_shipped()["scenario"]:
            yield f"{name} {system}", view.set_up_drawing(posed(factory, name), system)[1]
        yield f"fit {system}", view.fit_drawing(fitted, system)[1]
        for cause in causes:
            for file, _, svg in view.course_drawings(cause.drawn, "demo", cause.name, system):
                yield f"{file} {system}", svg


def over(texts: list[dict[str, Any]]) -> list[tuple[str, str]]:
    """Give each pair of texts whose boxes lie over each other."""
    return [
        (a["said"], b["said"])
        for a, b in combinations(texts, 2)
        if min(a["right"], b["right"]) - max(a["left"], b["left"]) > TOUCH
        and min(a["bottom"], b["bottom"]) - max(a["top"], b["top"]) > TOUCH
    ]


def test_letters_of_drawings_stand_apart_and_inside(browser: Any, tmp_path_factory: pytest.TempPathFactory) -> None:
    tab = browser.new_page(viewport={"width": 1280, "height": 900})
    tab.set_content('<svg width="200" height="50"><text x="5" y="20">one</text><text x="9" y="22">two</text></svg>')
    assert over(tab.evaluate(TEXTS)) == [("one", "two")]
    wrong, seen = [], 0
    for name, svg in drawings(tmp_path_factory):
        tab.set_content(svg)
        texts = tab.evaluate(TEXTS)
        seen += len(texts)
        wrong += [(name, pair) for pair in over(texts)]
        wrong += [(name, text["said"]) for text in texts if not text["inside"]]
    tab.close()
    assert seen > 300
    assert wrong == []
