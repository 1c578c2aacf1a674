"""The pages in a browser: a whole use of them, by mouse and by keyboard, and what others may try on them.

Contrast, labels, names and roles are asked for by axe-core (WCAG 2.1, A and AA), as its Python package carries it.
"""

from __future__ import annotations

import http.client
import json
import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import imageio_ffmpeg as imageio
import pytest

import tipline
from tipline.model.reader import read_machine
from tipline.model.shipped import find
from tipline.scenario import read
from tipline.scenario.templates import template
from tipline.workbench.bench import FIRST
from within_reach import out_of_reach, out_of_reach_at_each_width

playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed (pip install playwright)")

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(CHROMIUM is None, reason="no chromium found (Debian: apt-get install chromium)"),
]
LONG = 120_000
"""So long [ms] a state is waited for, on a computer that is as busy as it may be."""
VIEWS = ("questions", "set-up", "run", "ask", "results")
FORM_KEYS = {"machine": "machine", "floor": "floor", "set-up": "setup"}
"""With what the keys of a form begin."""
WEIGHED = (
    '[{attachment = "forks", slabs = 0, extension = "0 m", drive_axle = "3.9 t", steer_axle = "5.6 t"}, '
    '{attachment = "forks", slabs = 0, extension = "1.2 m", drive_axle = "1.7 t", steer_axle = "7.8 t"}]'
)
"""The demo truck on scales, as made up for the page of `fit`."""
SHORT = {"run.duration": "1.5 s", "run.extend_to": "1.5 s", "run.spread": "0"}


@dataclass(frozen=True)
class Served:
    """Pages that are served: their address, the folder of results, the process."""

    address: str
    runs: Path
    process: subprocess.Popen[str]

    def asked(self, method: str, path: str, headers: dict[str, str], body: bytes = b"") -> tuple[int, bytes]:
        """Ask as any program may, with the headers that it likes."""
        with closing(http.client.HTTPConnection(urlsplit(self.address).netloc, timeout=60)) as line:
            line.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
            for name, value in headers.items():
                line.putheader(name, value)
            line.endheaders(body or None)
            with line.getresponse() as answer:
                return answer.status, answer.read()

    def children(self) -> list[int]:
        """Give the numbers of the processes that the server has started."""
        listed = Path(f"/proc/{self.process.pid}/task").glob("*/children")
        return [int(number) for file in listed for number in file.read_text().split()]


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    runs = tmp_path_factory.mktemp("pages") / "runs"
    command = [sys.executable, "-P", "-m", "tipline", "open", "--no-browser", "--out", str(runs)]
    # NiceGUI would take itself for a part of a test
    surroundings = {name: value for name, value in os.environ.items() if not name.startswith("PYTEST")}
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=surroundings) as process:
        assert process.stdout is not None
        address = re.search(r"http://127\.0\.0\.1:\d+/open/\S+", process.stdout.readline())
        assert address is not None
        _wait_until_it_listens(urlsplit(address[0]).port, process)
        yield Served(address[0], runs, process)
        process.send_signal(signal.SIGINT)
        assert process.wait(60) == 0


def _wait_until_it_listens(port: int | None, process: subprocess.Popen[str]) -> None:
    """Wait for the state itself: the address is printed a moment before it is listened on."""
    while True:
        try:
            socket.create_connection(("127.0.0.1", port)).close()
        except ConnectionRefusedError:
            assert process.poll() is None
            time.sleep(0.02)
        else:
            return


@pytest.fixture
def tab(browser: Any, served: Served) -> Iterator[Any]:
    """A tab with the pages, which asks nothing beyond this computer and complains of nothing."""
    page = browser.new_page(viewport={"width": 1280, "height": 720})
    page.asked, page.told = [], []
    page.on("request", lambda request: page.asked.append(request.url))
    page.on("console", lambda message: page.told.append(message.text) if message.type == "error" else None)
    page.on("pageerror", lambda error: page.told.append(str(error)))
    page.goto(served.address)
    go(page, "set-up")
    playwright.expect(page.locator("#plan")).to_be_visible(timeout=LONG)
    yield page
    hosts = {urlsplit(url).netloc for url in page.asked if url.startswith(("http", "ws"))}
    page.close()
    assert hosts == {urlsplit(served.address).netloc}
    assert page.told == []


def typed(tab: Any, key: str, text: str) -> None:
    field = tab.locator(f"[name='{key}']")
    field.fill(text)
    field.press("Enter")
    playwright.expect(tab.locator(f".field[data-key='{key}'] .origin")).to_have_text("changed here", timeout=LONG)


def ended(tab: Any, what: str, how: str = "done") -> Any:
    """Wait until a job has ended so."""
    job = tab.locator(f"section.job[data-state={how}]", has=tab.get_by_role("heading", name=re.compile(f"^{what}:")))
    playwright.expect(job).to_be_visible(timeout=LONG)
    return job


def tab_to(tab: Any, what: Any) -> None:
    """Go on by the tabulator until something has the focus."""
    for _ in range(200):
        if what.evaluate("(node) => node === document.activeElement"):
            return
        tab.keyboard.press("Tab")
    pytest.fail("it is not reached by the tabulator")


def go(tab: Any, view: str) -> None:
    tab.locator(f"nav [data-to='{view}']").click()


def run(tab: Any) -> None:
    """Run the set-up as short as it may be, without stills."""
    for key, text in SHORT.items():
        typed(tab, key, text)
    tab.locator("[name=stills]").uncheck()
    tab.get_by_role("button", name="Run this set-up").click()


def draws_the_film(tab: Any) -> None:
    tab.get_by_role("button", name="Draw the film").click()
    ended(tab, "Film")
    with tab.expect_download() as film:
        tab.locator(".saves a", has_text="film").first.click()
    assert Path(film.value.path()).read_bytes()[4:8] == b"ftyp"
    with closing(imageio.read_frames(film.value.path())) as frames:
        assert next(frames)["duration"] > 1.0


def goes_on_by_keys(tab: Any, folder: Path) -> None:
    """Change, save, run and replay by the keyboard alone."""
    expect = playwright.expect
    tab_to(tab, tab.get_by_role("button", name="Set-up", exact=True))
    tab.keyboard.press("Enter")
    field = tab.locator("[name='setup.hook_height']")
    tab_to(tab, field)
    tab.keyboard.press("Control+a")
    tab.keyboard.type("3 m")
    tab.keyboard.press("Enter")
    expect(tab.locator("#side")).to_contain_text("hook 3 m", timeout=LONG)
    tab_to(tab, tab.get_by_role("link", name="Save as a file"))
    with tab.expect_download() as saved:
        tab.keyboard.press("Enter")
    place = folder / saved.value.suggested_filename
    saved.value.save_as(place)
    own = tipline.check(place)
    assert own.case.hook_height == 3.0
    assert f"left {1e3 * own.distances['left']:.0f} mm" in tab.locator("#plan").text_content()
    tab_to(tab, tab.get_by_role("button", name="Run this set-up"))
    tab.keyboard.press("Enter")
    expect(tab.locator(".outcome")).to_be_visible(timeout=LONG)
    ended(tab, "Run")
    tab_to(tab, tab.get_by_role("button", name="Replay"))
    tab.keyboard.press("Enter")
    expect(tab.frame_locator("#play").locator("body[data-ready=yes]")).to_be_visible(timeout=LONG)


def results_are_within_reach(tab: Any) -> None:
    """The views of results, a report, a replay and two in step, at 1280 and at 820 wide."""
    wrong = []
    beside = tab.locator("#play").get_attribute("src")
    for width in (1280, 820):
        tab.set_viewport_size({"width": width, "height": 900})
        for view in ("run", "results"):
            go(tab, view)
            wrong += out_of_reach(tab, f"{view} {width}")
    page = tab.context.browser.new_page()
    results = beside.partition(FIRST)[0] + FIRST
    for path in (f"{results}/report.html", f"{results}/replay.html", beside):
        page.goto(f"{tab.url.partition('/work/')[0]}{path}")
        if "replay" in path:
            playwright.expect(page.locator("body[data-ready=yes]")).to_be_visible(timeout=LONG)
        wrong += out_of_reach_at_each_width(page, path)
    page.close()
    assert not wrong, "\n".join(map(str, wrong))


def test_a_whole_use_choose_change_run_replay_compare_save(tab: Any, served: Served, tmp_path: Path) -> None:
    expect = playwright.expect
    tab.locator("#scenario").select_option("front-tyre-breaks-through-load-low")
    expect(tab.locator("#side")).to_have_attribute("aria-label", re.compile("height 3 m|height 2"), timeout=LONG)
    tab.locator("#scenario").select_option(FIRST)
    expect(tab.locator("#side")).to_have_attribute("aria-label", re.compile("height 7 m"), timeout=LONG)
    typed(tab, "setup.hook_height", "5.2 m")
    expect(tab.locator("#side")).to_contain_text("hook 5.2 m", timeout=LONG)
    pose = tipline.check(FIRST, {"setup.hook_height": "5.2 m", **SHORT})
    for line in ("front", "left"):
        assert f"{line} {1e3 * pose.distances[line]:.0f} mm" in tab.locator("#plan").text_content()
    figures = tab.locator(".out").inner_text()
    assert f"{1e-3 * pose.tyre_loads['front-left']:.1f}\u00a0kN" in figures
    assert "This holds only while" in figures
    assert tab.locator(".mark").inner_text().startswith("DEMO")

    run(tab)
    expect(tab.locator(".outcome")).to_be_visible(timeout=LONG)
    ended(tab, "Run")
    expect(tab.frame_locator("#play").locator("body[data-ready=yes]")).to_be_visible(timeout=LONG)
    folder = served.runs / FIRST
    told = json.loads((folder / "summary.json").read_text())
    assert told["outcome"]["heading"] in tab.locator("section.job").inner_text()
    assert told["outcome"]["heading"] in tab.frame_locator("#play").locator("#lead").inner_text()
    assert read(folder / "inputs" / "resolved.toml").hook_height == 5.2
    assert (folder / "report.html").is_file()
    assert not (folder / "still-worst.png").exists()
    with tab.expect_download() as report:
        tab.locator(".saves a", has_text="report").first.click()
    assert "DEMO" in Path(report.value.path()).read_text(encoding="utf-8")

    draws_the_film(tab)
    goes_on_by_keys(tab, tmp_path)

    go(tab, "results")
    expect(tab.locator(".pick")).to_have_count(2, timeout=LONG)
    for number, box in enumerate(tab.locator(".pick").all(), start=1):
        box.click()  # not "check": a list that comes anew meanwhile has other boxes, which it does not look at
        expect(tab.locator(".pick:checked")).to_have_count(number)
    tab.evaluate("() => { const list = document.querySelector('.results'); list.outerHTML = list.outerHTML; }")
    expect(tab.locator(".pick:checked")).to_have_count(2)  # as it is when a job ends meanwhile
    tab.get_by_role("button", name="Play both in step").click()
    ended(tab, "Two in step")
    pair = tab.frame_locator("#play")
    expect(pair.locator("body.pair[data-ready=yes]")).to_be_visible(timeout=LONG)
    expect(pair.locator("#said")).to_contain_text("hook height", timeout=LONG)

    results_are_within_reach(tab)
    tab.reload()
    expect(tab.locator("section.job h2")).to_contain_text("Two in step", timeout=LONG)


def grip(tab: Any, key: str) -> Any:
    return tab.locator(f".grip[data-grip='setup.{key}']")


def drag(tab: Any, what: Any, right: float, up: float) -> None:
    """Drag by pixels, in steps, as a hand does: what an answer has moved meanwhile is taken hold of once more."""
    for _ in range(20):
        box = what.bounding_box()
        x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
        tab.mouse.move(x, y)
        tab.mouse.down()
        if tab.locator(".held").count():
            break
        tab.mouse.up()
    tab.mouse.move(x + right, y - up, steps=12)
    tab.mouse.up()


def swipe(tablet: Any, what: Any, right: float, down: float) -> None:
    """Drag by pixels with a finger."""
    box = what.bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    hand = tablet.context.new_cdp_session(tablet)
    hand.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [{"x": x, "y": y}]})
    for part in (0.3, 0.6, 1.0):
        at = {"x": x + part * right, "y": y + part * down}
        hand.send("Input.dispatchTouchEvent", {"type": "touchMove", "touchPoints": [at]})
    hand.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})


def metre(tab: Any, drawing: str = "side") -> float:
    """Give how many pixels a metre of a drawing has."""
    return float(tab.evaluate(f"() => document.querySelector('#{drawing}').getScreenCTM().a"))


def holds(tab: Any, changes: dict[str, str]) -> None:
    """The pictures and the figures are those of this set-up."""
    pose = tipline.check(FIRST, changes)
    for line in ("front", "left"):
        playwright.expect(tab.locator("#plan")).to_contain_text(
            f"{line} {1e3 * pose.distances[line]:.0f} mm", timeout=LONG
        )
    playwright.expect(tab.locator(".out")).to_contain_text(f"{1e-3 * pose.tyre_loads['front-left']:.1f}\u00a0kN")


def test_the_set_up_is_dragged_on_the_drawing_by_mouse_finger_and_keys(tab: Any, browser: Any, served: Served) -> None:
    expect = playwright.expect
    hook, weight, slabs, reach = (
        grip(tab, key) for key in ("hook_height", "counterweight_extension", "ballast_slabs", "jib_reach")
    )
    for handle in (hook, weight, slabs, reach):
        expect(handle).to_be_visible(timeout=LONG)
        assert min(handle.bounding_box()["width"], handle.bounding_box()["height"]) >= 24
    expect(hook).to_have_attribute("aria-valuetext", "7 m")
    drag(tab, hook, 0, -2.5 * metre(tab))
    expect(hook).to_have_attribute("aria-valuenow", "4.5")
    expect(tab.locator("#side")).to_contain_text("hook 4.5 m", timeout=LONG)
    expect(tab.locator("[name='setup.hook_height']")).to_have_value("4.5 m")
    drag(tab, weight, 0.42 * metre(tab), 0)
    drag(tab, reach, 20 * metre(tab), 0)
    slabs.locator("b", has_text="4").click()
    expect(weight).to_have_attribute("aria-valuenow", "0.8")
    expect(reach).to_have_attribute("aria-valuetext", "2.2 m")
    expect(slabs).to_have_attribute("aria-valuenow", "4")
    changes = {"setup.hook_height": "4.5 m", "setup.counterweight_extension": "0.8 m",
               "setup.jib_reach": "2.2 m", "setup.ballast_slabs": "4"}  # fmt: skip
    holds(tab, changes)

    hook.focus()
    for key in ("ArrowUp", "ArrowUp", "PageDown"):
        tab.keyboard.press(key)
    expect(hook).to_have_attribute("aria-valuetext", "4.35 m")
    slabs.focus()
    tab.keyboard.press("End")
    expect(tab.locator("[name='setup.ballast_slabs']")).to_have_value("6", timeout=LONG)
    expect(slabs).to_be_focused()
    holds(tab, {**changes, "setup.hook_height": "4.35 m", "setup.ballast_slabs": "6"})
    slabs.locator("b", has_text="6").click()
    expect(slabs).to_have_attribute("aria-valuenow", "5")
    load = tab.locator("#side .hold").nth(1)
    drag(tab, load, -0.6 * metre(tab), metre(tab))
    expect(hook).to_have_attribute("aria-valuetext", "5.35 m")
    expect(reach).to_have_attribute("aria-valuetext", "1.6 m")

    context = browser.new_context(viewport={"width": 820, "height": 1180}, has_touch=True)
    tablet = context.new_page()
    tablet.goto(tab.url)
    finger = grip(tablet, "hook_height")
    expect(finger).to_have_attribute("aria-valuetext", "5.35 m", timeout=LONG)
    swipe(tablet, finger, 0.0, metre(tablet))
    expect(finger).to_have_attribute("aria-valuetext", "4.35 m", timeout=LONG)
    expect(hook).to_have_attribute("aria-valuetext", "4.35 m", timeout=LONG)
    context.close()


def test_places_and_the_truck_are_dragged_in_plan_by_mouse_finger_and_keys(
    tab: Any, browser: Any, served: Served
) -> None:
    expect = playwright.expect
    hole = tab.locator(".grip[data-grip='event.0.under']")
    expect(hole).to_have_attribute("aria-valuetext", "front-left", timeout=LONG)
    drag(tab, hole, 0, -1.32 * metre(tab, "plan"))
    expect(hole).to_have_attribute("aria-valuetext", "front-right")
    expect(tab.locator("[name='event.0.under']")).to_have_value("front-right", timeout=LONG)
    hole.focus()
    tab.keyboard.press("ArrowRight")
    expect(tab.locator("[name='event.0.under']")).to_have_value("rear-left", timeout=LONG)

    tab.locator("#scenario").select_option("driving-onto-a-trench-lid")
    tab.get_by_role("button", name="Floor", exact=True).click()
    truck, heading = grip(tab, "position"), grip(tab, "heading")
    expect(truck).to_have_attribute("aria-valuetext", "8 m x 11 m", timeout=LONG)
    drag(tab, tab.locator("#plan .hold"), 2.0 * metre(tab, "plan"), -1.5 * metre(tab, "plan"))
    expect(truck).to_have_attribute("aria-valuetext", "10 m x 9.5 m")
    expect(tab.locator("[name='setup.position']")).to_have_value("10 m x 9.5 m", timeout=LONG)
    truck.focus()
    for key in ("ArrowLeft", "PageUp", "ArrowUp"):
        tab.keyboard.press(key)
    expect(tab.locator("[name='setup.position']")).to_have_value("9.9 m x 10.1 m", timeout=LONG)
    heading.focus()
    tab.keyboard.press("ArrowDown")
    expect(tab.locator("[name='setup.heading']")).to_have_value("85 deg", timeout=LONG)
    changes = {"setup.position": '["9.9 m", "10.1 m"]', "setup.heading": "85 deg"}
    floor = tipline.check("driving-onto-a-trench-lid", changes).floor
    assert floor is not None
    expect(tab.locator(".out")).to_contain_text(floor.lines[0].split(":")[0], timeout=LONG)
    expect(tab.locator("#plan g")).to_have_attribute("transform", "translate(9.9 -10.1) rotate(-85)")

    context = browser.new_context(viewport={"width": 820, "height": 1180}, has_touch=True)
    tablet = context.new_page()
    tablet.goto(tab.url)
    finger = grip(tablet, "position")
    expect(finger).to_have_attribute("aria-valuetext", "9.9 m x 10.1 m", timeout=LONG)
    swipe(tablet, finger, metre(tablet, "plan"), 0.0)
    expect(truck).to_have_attribute("aria-valuetext", re.compile("^1(0.9|1) m x 10.1 m$"), timeout=LONG)
    context.close()


def test_in_us_units_sliders_and_grips_give_and_show_feet(tab: Any) -> None:
    expect = playwright.expect
    tab.locator("[name=system]").select_option("us")
    hook, field = grip(tab, "hook_height"), tab.locator("[name='setup.hook_height']")
    expect(field).to_have_value("22.97 ft", timeout=LONG)
    expect(tab.locator("[name='load.mass']")).to_have_value("9921 lb")
    hook.focus()
    tab.keyboard.press("ArrowDown")
    tab.keyboard.press("ArrowDown")
    expect(hook).to_have_attribute("aria-valuetext", "22.5 ft")
    expect(field).to_have_value("22.5 ft", timeout=LONG)
    tab.locator("[data-slide='setup.hook_height']").focus()
    tab.keyboard.press("ArrowUp")
    expect(field).to_have_value("22.75 ft")
    expect(hook).to_have_attribute("aria-valuetext", "22.75 ft", timeout=LONG)
    drag(tab, grip(tab, "jib_reach"), 20 * metre(tab), 0)
    expect(tab.locator("[name='setup.jib_reach']")).to_have_value("7.218 ft", timeout=LONG)
    pose = tipline.check(FIRST, {"setup.hook_height": "22.75 ft", "setup.jib_reach": "2.2 m"})
    expect(tab.locator("#plan")).to_contain_text(f"front {pose.distances['front'] / 0.0254:.1f} in", timeout=LONG)
    field.fill("90 ft")
    field.press("Enter")
    problem = tab.locator(".field[data-key='setup.hook_height'] .problem")
    expect(problem).to_contain_text("4.92 ft to 23.1 ft", timeout=LONG)
    tab.reload()
    expect(tab.locator("[name=system]")).to_have_value("us", timeout=LONG)


def test_machine_and_floor_are_changed_in_a_copy_and_saved_as_files(tab: Any, tmp_path: Path) -> None:
    expect = playwright.expect
    tab.locator("#form").select_option("machine")
    expect(tab.locator("[name='machine.wheelbase']")).to_be_visible(timeout=LONG)
    typed(tab, "machine.wheelbase", "2.1 m")
    typed(tab, "machine.wheelbase", "2.15 m")
    pose = tipline.check(FIRST, {"machine.wheelbase": "2.15 m"})
    expect(tab.locator("#plan")).to_contain_text(f"back {1e3 * pose.distances['back']:.0f} mm", timeout=LONG)
    tab.locator("summary", has_text="Counterweight").click()
    field = tab.locator("[name='machine.counterweight.mass']")
    field.fill("3.4 m")
    field.press("Enter")
    problem = tab.locator(".field[data-key='machine.counterweight.mass'] .problem")
    expect(problem).to_contain_text("is a unit of length, but mass is needed", timeout=LONG)
    expect(tab.locator("#plan")).to_have_count(0)
    typed(tab, "machine.counterweight.mass", "3.6 t")
    expect(tab.locator("#plan")).to_be_visible(timeout=LONG)
    tab.locator("#floor").select_option("demo-hall-b")
    tab.locator("#form").select_option("floor")
    expect(tab.locator("[name='floor.elsewhere.thickness']")).to_be_attached(timeout=LONG)
    tab.locator("summary", has_text="Elsewhere").click()
    typed(tab, "floor.elsewhere.thickness", "230 mm")
    expect(tab.locator(".out")).to_contain_text("What the truck puts on the floor", timeout=LONG)
    changes = {"machine.wheelbase": "2.15 m", "machine.counterweight.mass": "3.6 t",
               "floor": "demo-hall-b", "floor.elsewhere.thickness": "230 mm"}  # fmt: skip
    whole = tipline.check(FIRST, changes)
    assert whole.floor is not None
    said = " ".join(tab.locator(".out").inner_text().replace("\u00a0", " ").split())
    assert " ".join(whole.floor.lines[0].split()) in said
    files = {}
    for form in ("machine", "floor"):
        tab.locator("#form").select_option(form)
        with tab.expect_download() as saved:
            tab.get_by_role("link", name=f"Save this {form} as a file").click()
        files[form] = tmp_path / saved.value.suggested_filename
        saved.value.save_as(files[form])
    again = tipline.check(FIRST, {form: str(place) for form, place in files.items()})
    assert again.tyre_loads == whole.tyre_loads
    assert again.floor is not None
    assert again.floor.lines == whole.floor.lines


def test_tables_of_a_file_are_added_and_taken_away_by_buttons(tab: Any) -> None:
    expect = playwright.expect
    tab.locator("#form").select_option("machine")
    tab.get_by_role("button", name="Add to weighings").click()
    expect(tab.locator("[name='machine.weighings.0.steer_axle']")).to_have_value("5 t", timeout=LONG)
    tab.get_by_role("button", name="Add to weighings").click()
    expect(tab.locator("[name='machine.weighings.1.steer_axle']")).to_be_attached(timeout=LONG)
    tab.locator("summary", has_text="Weighings 1").click()
    tab.get_by_role("button", name="Take Weighings 1 away").click()
    expect(tab.locator("[name='machine.weighings.1.steer_axle']")).to_have_count(0, timeout=LONG)
    tab.locator("#floor").select_option("demo-hall-d")
    tab.locator("#form").select_option("floor")
    tab.locator("#add-floor-zone").select_option("floor.zone hole")
    tab.get_by_role("button", name="Add this zone").click()
    depth = tab.locator("[name='floor.zone.5.depth']")
    expect(depth).to_have_value("100 mm", timeout=LONG)
    tab.locator("summary", has_text="Zone hole 1").click()
    add = tab.get_by_role("button", name="Add this zone")
    add.focus()
    tab.keyboard.press("Enter")
    expect(tab.locator("[name='floor.zone.6.depth']")).to_be_attached(timeout=LONG)
    expect(add).to_be_focused()  # and what was unfolded is so still
    expect(depth).to_be_visible()
    typed(tab, "floor.zone.5.depth", "0.2 m")
    expect(tab.locator(".out")).to_contain_text("What the truck puts on the floor", timeout=LONG)
    tab.get_by_role("button", name="Take Zone hole 1 away").click()
    expect(tab.locator("[name='floor.zone.6.depth']")).to_have_count(0, timeout=LONG)
    tab.locator("#floor").select_option("demo-hall-a")
    expect(tab.locator("[name='floor.past_load']")).to_be_visible(timeout=LONG)
    tab.get_by_role("button", name="Add to past load").click()
    expect(tab.locator(".notice")).to_contain_text("nothing is asked", timeout=LONG)


DRAW_ANEW = "(field) => { const region = field.closest('section').parentElement; region.innerHTML = region.innerHTML; }"


def test_what_is_being_typed_outlives_that_the_form_is_drawn_anew(tab: Any) -> None:
    expect = playwright.expect
    go(tab, "ask")
    tab.locator("#key1").select_option("setup.hook_height")
    last = tab.locator("#to1")
    expect(last).to_have_value("7.05 m", timeout=LONG)
    for text, leave in {"5 m": "Enter", "6 m": "Tab"}.items():
        last.focus()
        last.select_text()
        last.evaluate(DRAW_ANEW)
        tab.keyboard.type(text[0])
        last.evaluate(DRAW_ANEW)
        tab.keyboard.type(text[1:])
        last.evaluate(DRAW_ANEW)
        expect(last).to_be_focused()
        expect(last).to_have_value(text)
        tab.keyboard.press(leave)
        expect(tab.locator(f"#to1[value='{text}']")).to_be_visible(timeout=LONG)


def test_a_sweep_of_the_set_up_is_made_a_truck_is_fitted_and_an_incident_is_begun_and_cancelled(
    tab: Any, served: Served, tmp_path: Path
) -> None:
    expect = playwright.expect
    for key, text in SHORT.items():
        typed(tab, key, text)
    go(tab, "ask")
    tab.locator("#key1").focus()
    tab.locator("#key1").select_option("setup.hook_height")
    expect(tab.locator("#to1")).to_have_value("7.05 m", timeout=LONG)
    expect(tab.locator("#key1")).to_be_focused()
    tab.locator("#ask-stock").select_option("demo-stock-a")
    expect(tab.locator("#ask-stock option[selected]")).to_have_text("demo stock a", timeout=LONG)
    for name, text in {"from1": "3 m", "to1": "5 m", "count1": "2"}.items():
        tab.locator(f"#{name}").fill(text)
        tab.locator(f"#{name}").press("Tab")
    tab.get_by_role("button", name="Run all of these").click()
    ended(tab, "Sweep")
    expect(tab.frame_locator("#play").locator("h1")).to_be_visible(timeout=LONG)
    told = json.loads((served.runs / "sweep-of-this-set-up" / "summary.json").read_text())
    assert told["rows"] == 2
    tab.get_by_role("button", name="Make a PDF").click()
    ended(tab, "PDF of the report")
    with tab.expect_download() as paper:
        tab.locator(".saves a", has_text="PDF").first.click()
    assert Path(paper.value.path()).read_bytes()[:5] == b"%PDF-"

    go(tab, "ask")
    tab.get_by_role("button", name="Fit this machine").click()
    job = ended(tab, "Fit", "refused")
    expect(job.locator(".problem")).to_contain_text("weighings")
    go(tab, "set-up")
    tab.locator("#form").select_option("machine")
    expect(tab.locator("[name='machine.weighings']")).to_be_visible(timeout=LONG)
    tab.locator("[name='machine.weighings']").fill(WEIGHED)
    tab.locator("[name='machine.weighings']").press("Enter")
    expect(tab.locator("[name='machine.weighings.1.steer_axle']")).to_have_value("7.8 t", timeout=LONG)
    go(tab, "ask")
    tab.get_by_role("button", name="Fit this machine").click()
    ended(tab, "Fit")
    with tab.expect_download() as fitted:
        tab.get_by_role("link", name="fitted machine").click()
    place = tmp_path / "fitted.toml"
    fitted.value.save_as(place)
    expected = tipline.fit("demo-truck-a", {"weighings": WEIGHED})
    assert place.read_text(encoding="utf-8") == expected.text
    assert read_machine(place).counterweight.mass != read_machine("demo-truck-a").counterweight.mass
    go(tab, "ask")
    (tmp_path / "own.toml").write_text(template("incident").replace("runs = 200", "runs = 5000"), encoding="utf-8")
    tab.locator("#hand-in-file").set_input_files(tmp_path / "own.toml")
    expect(tab.locator("#ask-incident option").first).to_have_text("own (handed in)", timeout=LONG)
    tab.get_by_role("button", name="Reconstruct this incident").click()
    is_cancelled_and_gone_on_with(tab, served.runs / "reconstruct-own")


def is_cancelled_and_gone_on_with(tab: Any, folder: Path) -> None:
    """An incident keeps the runs that were made, and makes the others when it is gone on with."""
    expect = playwright.expect

    def cancelled_when_some_are_made() -> dict[Path, int]:
        expect(tab.locator(".stage")).to_contain_text(re.compile(r"running .*: [1-9][0-9]? %"), timeout=LONG)
        tab.get_by_role("button", name="Cancel").click()
        expect(ended(tab, "Reconstruct", "cancelled").locator("h2")).to_contain_text("what was made is kept")
        return {place: place.stat().st_mtime_ns for place in folder.rglob("*.parquet")}

    first = cancelled_when_some_are_made()
    assert first
    go(tab, "results")
    row = tab.locator("tr", has_text="reconstruct-own")
    expect(row).to_contain_text("Not whole yet", timeout=LONG)
    row.get_by_role("button", name="Go on with it").click()
    expect(tab.locator("section.job[data-state=running]")).to_be_visible(timeout=LONG)
    second = cancelled_when_some_are_made()
    assert first.items() <= second.items()


def test_fifty_clicks_start_one_run_a_killed_one_is_told_and_the_other_tab_knows_nothing(
    tab: Any, served: Served, browser: Any
) -> None:
    expect = playwright.expect
    before = set(served.runs.glob("[!.]*"))
    other = browser.new_page()
    other.goto(served.address)
    go(other, "set-up")
    expect(other.locator("#plan")).to_be_visible(timeout=LONG)
    typed(tab, "run.extend_to", "60 s")
    typed(tab, "run.duration", "60 s")
    tab.evaluate("() => { for (let i = 0; i < 50; i++) document.querySelector('[data-do=run]').click(); }")
    expect(tab.locator("section.job[data-state=running]")).to_be_visible(timeout=LONG)
    expect(tab.locator(".stage")).to_contain_text("simulating", timeout=LONG)
    for child in served.children():
        os.kill(child, signal.SIGKILL)
    job = ended(tab, "Run", "crashed")
    expect(job.locator(".problem")).to_contain_text("Its process ended before it was done (signal 9)", timeout=LONG)
    assert served.process.poll() is None
    assert set(served.runs.glob("[!.]*")) == before
    go(tab, "set-up")
    typed(tab, "setup.ballast_slabs", "3")
    expect(tab.locator("#plan")).to_be_visible(timeout=LONG)
    go(other, "run")
    expect(other.locator("section.job")).to_have_count(0)
    expect(other.locator("[name='setup.ballast_slabs']")).to_have_value("2")
    other.close()


def test_a_run_is_cancelled_and_what_cannot_be_is_told_beside_its_field(tab: Any) -> None:
    expect = playwright.expect
    typed(tab, "run.duration", "30 s")
    tab.get_by_role("button", name="Run this set-up").click()
    expect(tab.locator(".stage")).to_contain_text("simulating", timeout=LONG)
    tab.get_by_role("button", name="Cancel").click()
    ended(tab, "Run", "cancelled")
    go(tab, "set-up")
    field = tab.locator("[name='setup.hook_height']")
    field.fill("70 m")
    field.press("Enter")
    problem = tab.locator(".field[data-key='setup.hook_height'] .problem")
    expect(problem).to_contain_text("the mast takes the hook to 1.5 m to 7.05 m", timeout=LONG)
    expect(tab.locator("#plan")).to_have_count(0)
    expect(tab.locator(".lead h1")).to_contain_text("Nothing can be said")
    tab.get_by_role("button", name="Run this set-up").click()
    expect(tab.locator(".notice")).to_contain_text("hook_height", timeout=LONG)
    typed(tab, "setup.hook_height", "3 m")
    expect(tab.locator("#plan")).to_be_visible(timeout=LONG)
    expect(problem).to_have_text("")


def test_files_are_handed_in_as_data_and_a_large_one_is_refused(tab: Any, tmp_path: Path) -> None:
    expect = playwright.expect
    truck = re.sub(r'wheelbase = "[^"]*"', 'wheelbase = "2.05 m"', find("machine", "demo-truck-a")[0].read_text())
    (tmp_path / "my <b>truck.toml").write_text(truck, encoding="utf-8")
    tab.locator("#hand-in").set_input_files(tmp_path / "my <b>truck.toml")
    expect(tab.locator("#machine")).to_have_value("my-b-truck.toml", timeout=LONG)
    least = tipline.check(FIRST, {"machine.wheelbase": "2.05 m"}).distances["back"]
    expect(tab.locator("#plan")).to_contain_text(f"back {1e3 * least:.0f} mm", timeout=LONG)
    title = "<img src=x onerror=alert(1)></script><script>alert(2)</script>"
    lift = find("scenario", FIRST)[0].read_text(encoding="utf-8")
    (tmp_path / "lift.toml").write_text(re.sub("title = .*", f"title = '{title}'", lift), encoding="utf-8")
    tab.locator("#hand-in").set_input_files(tmp_path / "lift.toml")
    expect(tab.locator("#scenario")).to_have_value("lift.toml", timeout=LONG)
    assert tab.locator("img").count() == 0
    (tmp_path / "large.toml").write_bytes(b"#" * 3_000_000)
    tab.locator("#hand-in").set_input_files(tmp_path / "large.toml")
    expect(tab.locator(".notice")).to_be_visible(timeout=LONG)
    (tmp_path / "reaching.toml").write_text('machine = "/etc/passwd"\nfloor = "demo-hall-a"\n[setup]\n')
    tab.locator("#hand-in").set_input_files(tmp_path / "reaching.toml")
    expect(tab.locator(".notice")).to_contain_text("there is no machine of that name here", timeout=LONG)
    tab.told[:] = [said for said in tab.told if "status of 4" not in said and "ERR_" not in said]


@pytest.mark.parametrize(
    "path",
    ["/", "/runs/KEY/..%2f..%2fetc/passwd", "/runs/KEY/../summary.json", "/runs/KEY/x/%2e%2e/%2e%2e/a.html",
     "/runs/KEY/x%00/replay.html", "/runs/x/front-tyre-breaks-through-load-high/summary.json", "/open/x", "/work/x",
     "/early/x/replay.html", "/work/x/set-up.toml", "/_nicegui/../../../etc/passwd", "/docs", "/openapi.json"],
)  # fmt: skip
def test_no_path_leads_anywhere_else(served: Served, path: str) -> None:
    path = path.replace("KEY", served.address.rpartition("/")[2])
    status, body = served.asked("GET", path, {"Host": urlsplit(served.address).netloc})
    assert status in (400, 403, 404)
    assert b"root:" not in body


def test_foreign_hosts_pages_and_websockets_are_refused_and_a_gigabyte_is_not_read(served: Served) -> None:
    host = urlsplit(served.address).netloc
    upgrade = {
        "Connection": "Upgrade",
        "Upgrade": "websocket",
        "Sec-WebSocket-Version": "13",
        "Sec-WebSocket-Key": "dGhlIHNhbXBsZSBub25jZQ==",
    }
    place = "/_nicegui_ws/socket.io/?EIO=4&transport=websocket"
    assert served.asked("GET", urlsplit(served.address).path, {"Host": "evil.example"})[0] == 421
    assert served.asked("POST", "/work/x/hand-in?name=x", {"Host": host, "Origin": "http://evil.example"})[0] == 403
    assert served.asked("POST", "/work/x/hand-in?name=x", {"Host": host})[0] == 403
    assert served.asked("GET", place, {"Host": host, "Origin": "http://evil.example", **upgrade})[0] == 403
    gigabyte = {"Host": host, "Origin": f"http://{host}", "Content-Length": "1000000000"}
    assert served.asked("POST", "/work/x/hand-in?name=x", gigabyte)[0] == 413
    listens = Path(f"/proc/{served.process.pid}/net/tcp").read_text()
    port = f"{int(host.rpartition(':')[2]):04X}"
    assert {line.split()[1] for line in listens.splitlines() if f":{port} 00000000:0000" in line} == {
        f"0100007F:{port}"
    }


def test_every_view_is_within_reach_of_everybody(tab: Any) -> None:
    """By axe-core, and no view wider than the screen, at 1280 and at 820 wide."""
    wrong = []
    for width, height in ((1280, 720), (820, 1180)):
        tab.set_viewport_size({"width": width, "height": height})
        for view in VIEWS:
            go(tab, view)
            wrong += out_of_reach(tab, f"{view} {width}")
        go(tab, "set-up")
        for above in ("Floor", "Truck"):
            tab.get_by_role("button", name=above, exact=True).click()
            playwright.expect(tab.locator(f".which [aria-pressed=true]:text-is('{above}')")).to_be_visible(timeout=LONG)
            wrong += out_of_reach(tab, f"{above} {width}")
        for form in ("machine", "floor", "set-up"):
            tab.locator("#form").select_option(form)
            playwright.expect(tab.locator(f"[name^='{FORM_KEYS[form]}.']").first).to_be_attached(timeout=LONG)
            wrong += out_of_reach(tab, f"{form} {width}")
    assert not wrong, "\n".join(map(str, wrong))


def test_all_is_done_by_keyboard(tab: Any) -> None:
    expect = playwright.expect
    slide = tab.locator("[data-slide='setup.ballast_slabs']")
    tab.locator("[name='setup.ballast_slabs']").focus()
    tab.keyboard.press("Tab")
    expect(slide).to_be_focused()
    tab.keyboard.press("ArrowRight")
    expect(tab.locator("[name='setup.ballast_slabs']")).to_have_value("3")
    loads = tipline.check(FIRST, {"setup.ballast_slabs": "3"}).tyre_loads
    expect(tab.locator("#plan")).to_contain_text(f"{1e-3 * loads['rear-left']:.1f} kN", timeout=LONG)
    expect(slide).to_be_focused()
    tab.reload()
    expect(tab.locator("#plan")).to_be_visible(timeout=LONG)
    reached = []
    for _ in range(9):
        tab.keyboard.press("Tab")
        reached.append(tab.evaluate("() => (document.activeElement.innerText || document.activeElement.name).trim()"))
    assert {"Set-up", "Run", "Results", "Questions", "Save as a file", "Run this set-up"} <= set(reached)
