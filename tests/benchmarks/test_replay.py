"""How large a replay is, how long it takes to make, and how many pictures a second a browser draws of it by software.

Run by its path; prints what it finds of one run, of two in step and of one with outlines of its spread: pictures a
second of several goes and the processor time of each, beside those of a bare page with a canvas of that size, and how
busy the computer was. Only size and time to make it are held: the pictures depend on who else computes.

Measured.

Two cores that nobody else uses, 1280 by 720, whole grain, the best of five goes; a bare page has 60:

                  size  pictures a second  processor a picture
    one run       0.66 MB              58                33 ms
    two in step   0.93 MB              45                43 ms
    50 outlines   0.67 MB              45                43 ms
"""

from __future__ import annotations

import os
import shutil
import time
from dataclasses import replace
from pathlib import Path

import pytest

import tipline
from tipline.playback.ghosts import SpreadRun
from tipline.playback.of_run import Played, pair_html, replay_html

FLAGS = ("--no-sandbox", "--use-angle=swiftshader", "--enable-unsafe-swiftshader")
COUNT = """async (span) => {
    const page = replay.page, draw = page.draw.bind(page);
    let count = 0, own = 0;
    page.draw = () => { const since = performance.now(); draw(); own += performance.now() - since; count += 1; };
    page.seek(0); page.play(true);
    const since = performance.now();
    await new Promise((done) => setTimeout(done, span));
    const pace = (1000 * count) / (performance.now() - since);
    const grain = page.pictures.gl.getPixelRatio();
    page.play(false); page.draw = draw;
    return [pace, own / count, grain, count];
}"""
BARE = """async (span) => {
    document.body.innerHTML = "<canvas width=864 height=474></canvas>";
    const gl = document.querySelector("canvas").getContext("webgl2", { alpha: false, antialias: false });
    let count = 0;
    const frame = () => { gl.clearColor(count % 2, 0, 0, 1); gl.clear(gl.COLOR_BUFFER_BIT); count += 1; next(); };
    const next = () => requestAnimationFrame(frame);
    next();
    const since = performance.now();
    await new Promise((done) => setTimeout(done, span));
    return (1000 * count) / (performance.now() - since);
}"""
GOES, SPAN, OUTLINES = 5, 3000, 50
TICK = os.sysconf("SC_CLK_TCK")


def processor_time(parent: int) -> float:
    """Give the processor time of a process and all below it [s]."""
    below: dict[int, list[int]] = {}
    spent: dict[int, float] = {}
    for entry in Path("/proc").iterdir():
        if entry.name.isdigit():
            try:
                fields = (entry / "stat").read_text().rpartition(")")[2].split()
            except OSError:
                continue  # it has ended since
            below.setdefault(int(fields[1]), []).append(int(entry.name))
            spent[int(entry.name)] = (int(fields[11]) + int(fields[12])) / TICK
    left, total = [parent], 0.0
    while left:
        process = left.pop()
        total += spent.get(process, 0.0)
        left += below.get(process, [])
    return total


def test_size_time_and_pictures_a_second(tmp_path: Path) -> None:
    sync_api = pytest.importorskip("playwright.sync_api")
    chromium = shutil.which("chromium") or shutil.which("chromium-browser")
    if chromium is None:
        pytest.skip("no chromium found")
    scenario, short = "front-tyre-breaks-through-load-high", {"spread": 0, "floor_spread": 0, "engine": "compiled"}
    result = tipline.run(scenario, **short)
    other = tipline.run(scenario, {"event.0.depth": "95 mm"}, **short)
    first, second = (Played(each.report, each.case) for each in (result, other))
    further = tuple(
        SpreadRun(each.run, up) for each, up in ((result, False), (other, True)) for _ in range(OUTLINES // 2)
    )
    replay_html(first)
    since = time.process_time()
    single = replay_html(first)
    took = time.process_time() - since
    pages = {
        "one run": single,
        "two in step": pair_html(first, second),
        f"{OUTLINES} outlines": replay_html(replace(first, further=further, wanted=OUTLINES)),
    }
    with sync_api.sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=chromium, args=list(FLAGS))
        print()
        for name, text in pages.items():
            file = tmp_path / f"{name}.html"
            file.write_text(text, encoding="utf-8")
            page = browser.new_page(viewport={"width": 1280, "height": 720})
            page.goto(file.as_uri())
            page.wait_for_selector("body[data-ready=yes]", timeout=60_000)
            goes = []
            for _ in range(GOES):
                began = processor_time(os.getpid())
                pace, own, grain, count = page.evaluate(COUNT, SPAN)
                goes.append((pace, own, grain, 1000 * (processor_time(os.getpid()) - began) / count))
            page.close()
            best, own, grain, _ = max(goes)
            spent = sorted(row[3] for row in goes)[GOES // 2]
            print(
                f"{name}: {len(text) / 1e6:.2f} MB; {', '.join(f'{row[0]:.0f}' for row in goes)} pictures a second, ",
                end="",
            )
            print(f"best {best:.0f} drawn at {grain:.0%} of the width, {own:.1f} ms of each in our scripts; ", end="")
            print(f"{spent:.0f} ms of processor time a picture, browser included")
        bare = browser.new_page(viewport={"width": 1280, "height": 720})
        began = processor_time(os.getpid())
        bare_pace = bare.evaluate(BARE, SPAN)
        spent = 1000 * (processor_time(os.getpid()) - began) / (bare_pace * SPAN / 1000)
        browser.close()
    print(f"a bare page: {bare_pace:.0f} pictures a second, {spent:.0f} ms of processor time each")
    others = f"load {os.getloadavg()[0]:.1f} on {os.cpu_count()} processors"
    print(f"made in {took:.2f} s of processor time; others computing: {others}")
    assert max(len(text) for text in pages.values()) < 1.1e6
    assert took < 2.0
