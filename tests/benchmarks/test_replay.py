"""How large a replay is, how long it takes to make, and how many pictures a second a browser draws of it by software.

Run by its path; prints what it finds. Only the size and the time are held: the pictures depend on who else computes.
"""

from __future__ import annotations

import shutil
import time
from pathlib import Path

import pytest

import tipline
from tipline.playback.of_run import Played, replay_html

FLAGS = ("--no-sandbox", "--use-angle=swiftshader", "--enable-unsafe-swiftshader")
COUNT = """async (span) => {
    const page = replay.page, draw = page.draw.bind(page);
    let count = 0, own = 0;
    page.draw = () => { const since = performance.now(); draw(); own += performance.now() - since; count += 1; };
    page.seek(0); page.play(true);
    await new Promise((done) => setTimeout(done, span));
    page.play(false); page.draw = draw;
    return [(1000 * count) / span, own / count, page.pictures.grain];
}"""


def test_size_time_and_pictures_a_second(tmp_path: Path) -> None:
    sync_api = pytest.importorskip("playwright.sync_api")
    chromium = shutil.which("chromium") or shutil.which("chromium-browser")
    if chromium is None:
        pytest.skip("no chromium found")
    result = tipline.run("front-tyre-breaks-through-load-high", spread=0, floor_spread=0, engine="compiled")
    replay_html(Played(result.report, result.case))
    since = time.process_time()
    text = replay_html(Played(result.report, result.case))
    took = time.process_time() - since
    file = tmp_path / "replay.html"
    file.write_text(text, encoding="utf-8")
    with sync_api.sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=chromium, args=list(FLAGS))
        page = browser.new_page(viewport={"width": 1280, "height": 720})
        page.goto(file.as_uri())
        page.wait_for_selector("body[data-ready=yes]", timeout=60_000)
        pace, own, grain = page.evaluate(COUNT, 6000)
        browser.close()
    print(
        f"\n{len(text) / 1e6:.2f} MB in {took:.2f} s of processor time; {pace:.0f} pictures a second at 1280 x 720, ",
        end="",
    )
    print(f"{own:.1f} ms of them in our scripts, drawn at {grain:.0%} of the width")
    assert len(text) < 1.1e6
    assert took < 2.0
