"""The replay in a browser: bodies and numbers where the run's arrays have them, at any time, with nothing fetched."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

import tipline
from tipline.geometry.posed import rotation
from tipline.view import palette
from tipline.view.tell import tell

playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed (pip install playwright)")

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(CHROMIUM is None, reason="no chromium found (Debian: apt-get install chromium)"),
]
SHORT = {"run.duration": 3.4}
FLAT = "HTMLCanvasElement.prototype.getContext = ((old) => function (kind, ...more) {\
    return kind.startsWith('webgl') ? null : old.call(this, kind, ...more); })(HTMLCanvasElement.prototype.getContext)"
EDGES = ((4, 5), (6, 7), (4, 6), (5, 7), (0, 4), (1, 5), (2, 6), (3, 7), (0, 1), (2, 3), (0, 2), (1, 3))
"""Ends of the edges of a box, by corner: x, y and z are high where bits 0, 1 and 2 are set; those below last."""
AT_REST = "() => { replay.page.pictures.drawn -= 1000; replay.page.stale = true; replay.page.tick(0); }"
COVERED = """() => { const gl = document.querySelector('#view'); const [w, h] = [gl.width, gl.height];
    const copy = document.createElement('canvas'); copy.width = w; copy.height = h; const pen = copy.getContext('2d');
    replay.page.draw(); pen.drawImage(gl, 0, 0);
    return new Set(pen.getImageData(0, 0, w, h).data.filter((_, i) => i % 4 === 0)).size; }"""


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[tipline.RunResult, Path]:
    result = tipline.run("front-tyre-breaks-through-load-high", SHORT, spread=0, floor_spread=0, engine="compiled")
    folder = tipline.write(result, tmp_path_factory.mktemp("runs") / "run", pictures=False)
    tipline.write(tipline.replay(folder), folder / "page")
    return result, folder


@pytest.fixture(scope="module")
def shown(browser: Any, made: tuple[tipline.RunResult, Path]) -> Iterator[Any]:
    """The page, with what it asked for and complained of in `asked` and `told`."""
    page = browser.new_page(viewport={"width": 1280, "height": 720})
    page.asked, page.told = [], []
    page.on("request", lambda request: page.asked.append(request.url))
    page.on("console", lambda message: page.told.append(message.text))
    page.on("pageerror", lambda error: page.told.append(str(error)))
    page.goto((made[1] / "page" / "replay.html").as_uri())
    page.wait_for_selector("body[data-ready=yes]")
    yield page
    page.close()


@pytest.fixture(autouse=True)
def _from_the_start(request: pytest.FixtureRequest) -> None:
    if "shown" in request.fixturenames:
        request.getfixturevalue("shown").evaluate("() => { replay.page.play(false); replay.seek(0); }")


def played_from(page: Any, since: float) -> float:
    """Play and wait until the clock has gone on, as long as a busy computer may take for it."""
    clock = playwright.expect(page.locator("#clock"))
    clock.to_have_text(f"{since:.2f} s")
    page.keyboard.press(" ")
    clock.not_to_have_text(f"{since:.2f} s")
    return float(page.evaluate("replay.page.time"))


def test_bodies_stand_where_the_arrays_have_them(shown: Any, made: tuple[tipline.RunResult, Path]) -> None:
    result, _ = made
    story = tell(result.run, result.report, result.case)
    for time in (0.0, 3.2, 1.5, 1.01, 2.62, 0.4, story.worst_time, story.time[-1]):
        shown.evaluate("(time) => replay.seek(time)", time)
        index = result.run.at(time)
        for body in range(len(result.run.bodies)):
            place, turn = shown.evaluate("(body) => [replay.position(body), replay.turn(body)]", body)
            # between samples at 50 Hz straight lines; at the sample itself to the last digit of a 4-byte float
            assert place == pytest.approx(story.matrices[index, body, :3, 3], abs=2e-3)
            assert rotation(np.array(turn)) == pytest.approx(story.matrices[index, body, :3, :3], abs=2e-3)
    shown.evaluate("(time) => replay.seek(time)", story.worst_time)
    place = shown.evaluate("() => replay.position(0)")
    assert place == pytest.approx(story.matrices[result.run.at(story.worst_time), 0, :3, 3], abs=1e-5)


def test_numbers_are_those_of_the_summary(shown: Any, made: tuple[tipline.RunResult, Path]) -> None:
    _, folder = made
    summary = json.loads((folder / "summary.json").read_text(encoding="utf-8"))
    assert shown.inner_text("#lead") == summary["outcome"]["heading"]
    assert summary["outcome"]["cause"] in shown.inner_text("#said")
    texts = shown.locator(".tyres output").all_inner_texts()
    assert [text.replace("\u00a0", " ") for text in texts] == [
        f"{value:.1f} kN" for value in summary["rest"]["tyre_loads_kN"].values()
    ]
    names = [name.removeprefix("tip ") for name in shown.locator(".gauges .name").all_inner_texts()]
    worst = summary["worst"]["distance_to_tip_line_mm"]
    for number, name in enumerate(names):
        side = name.removeprefix("swing ")
        least = worst["swing"][side] if name.startswith("swing") else worst[side]
        shown.evaluate("(time) => replay.seek(time)", least["time_s"])
        text = shown.locator(".gauges output").nth(number).inner_text().replace("\u00a0", " ")
        assert text == f"{least['value'] + 0.0:.0f} mm"
        if least["value"] < 0:
            assert shown.locator(".gauges em").nth(number).inner_text() == "past it"
    assert shown.locator("#marks button").count() == len(summary["events"])
    assert "computed, not recorded" in shown.inner_text(".stamp")
    assert shown.locator(".stamp .demo").is_visible()


def test_digits_are_those_of_pictures_and_reports(shown: Any) -> None:
    chance = np.random.default_rng(1)
    for system in ("si", "us"):
        for kind, write in (("force", palette.force), ("short", palette.short_length)):
            values = (10.0 ** chance.uniform(-3, 6, 60) * (1.0 if kind == "force" else 1e-4)).tolist()
            say = "([kind, system, values]) => { const say = replay.page.say, was = say.system; say.system = system;\
                const texts = values.map((one) => say.quantity(kind, one)); say.system = was; return texts; }"
            texts = [text.replace("\u00a0", " ") for text in shown.evaluate(say, [kind, system, values])]
            assert texts == [write(value, system) for value in values]  # type: ignore[operator]
        deep = [value / 1e3 for value in (1, 6, 9, 25, 49, 51, 95, 100, 118, 150, 152, 300, 1234)]
        say = "([system, values]) => { const say = replay.page.say, was = say.system; say.system = system;\
            const texts = values.map((one) => say.depth(one)); say.system = was; return texts; }"
        texts = [text.replace("\u00a0", " ") for text in shown.evaluate(say, [system, deep])]
        assert texts == [palette.depth(value, system) for value in deep]  # type: ignore[arg-type]


def test_it_asks_for_nothing_and_complains_of_nothing(shown: Any, made: tuple[tipline.RunResult, Path]) -> None:
    for key in "123456":
        shown.keyboard.press(key)
        assert shown.evaluate(COVERED) > 20
    own = (made[1] / "page" / "replay.html").as_uri()
    assert [address for address in shown.asked if not address.startswith(("blob:", "data:"))] == [own]
    assert shown.told == []


def test_keys_move_time_speed_views_units_and_type(shown: Any) -> None:
    def at() -> float:
        return float(shown.evaluate("replay.page.time"))

    shown.keyboard.press("ArrowRight")
    shown.keyboard.press("ArrowRight")
    assert at() == pytest.approx(0.04)
    shown.keyboard.press("Shift+ArrowRight")
    assert at() == pytest.approx(0.24)
    shown.keyboard.press("ArrowLeft")
    assert at() == pytest.approx(0.22)
    shown.keyboard.press("n")
    assert at() == pytest.approx(1.0)
    shown.keyboard.press("End")
    end = at()
    assert end == pytest.approx(shown.evaluate("replay.page.tracks[0].time.at(-1)"), abs=1e-3)
    shown.keyboard.press("Home")
    shown.keyboard.press("-")
    assert shown.input_value("#speed") == "0.5"
    shown.keyboard.press("+")
    shown.keyboard.press("4")
    assert shown.get_attribute("[data-view=above]", "aria-pressed") == "true"
    shown.keyboard.press("1")
    shown.keyboard.press("u")
    shown.evaluate("replay.page.draw()")
    assert "lbf" in shown.inner_text(".tyres")
    assert "tire" in shown.inner_text(".tyres")
    titles = ["Distance to tip line [in]", "Tire load [lbf]"]
    playwright.expect(shown.locator("#charts figcaption")).to_have_text(titles)
    shown.keyboard.press("u")
    shown.keyboard.press("r")
    assert not shown.is_visible("#charts")
    shown.keyboard.press("r")
    shown.keyboard.press("?")
    assert shown.is_visible("#help")
    shown.keyboard.press("Escape")
    assert not shown.is_visible("#help")
    assert 0.0 < played_from(shown, 0.0) < end
    shown.keyboard.press(" ")
    now = at()
    shown.evaluate("replay.page.tick(0.5)")  # paused
    assert at() == now


def test_a_drag_on_a_chart_moves_time_and_one_on_the_picture_the_eye(shown: Any) -> None:
    box = shown.locator("#charts canvas").first.bounding_box()
    shown.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    shown.mouse.down()
    first = shown.evaluate("replay.page.time")
    shown.mouse.move(box["x"] + box["width"] / 2 + 40, box["y"] + box["height"] / 2)
    shown.mouse.up()
    strip = "(() => { const strip = replay.page.strips[0]; return [strip.left, strip.wide, strip.end]; })()"
    left, wide, end = shown.evaluate(strip)
    assert first == pytest.approx((box["width"] / 2 - left) / wide * end, abs=0.02)
    assert shown.evaluate("replay.page.time") - first == pytest.approx(40 / wide * end, abs=0.02)
    before = shown.evaluate("replay.page.pictures.cameras.camera.position.toArray()")
    shown.mouse.move(400, 300)
    shown.mouse.down()
    shown.mouse.move(520, 320)
    shown.mouse.up()
    after = shown.evaluate("replay.page.pictures.cameras.camera.position.toArray()")
    assert np.linalg.norm(np.array(after) - before) > 0.5
    assert shown.locator("#cameras [aria-pressed=true]").count() == 0
    shown.keyboard.press("1")


def test_nothing_is_cut_off_at_1280_by_720(shown: Any) -> None:
    out = """() => [...document.querySelectorAll('header *, aside *, footer *, .stamp *, #caption, #cameras *')]
        .filter((one) => one.getBoundingClientRect().width > 0 && one.id !== 'estimate' && one.id !== 'help')
        .map((one) => [one.getBoundingClientRect(), one.outerHTML.slice(0, 80)])
        .filter(([box]) => box.right > 1280.5 || box.bottom > 720.5 || box.left < -0.5).map(([, text]) => text)"""
    assert shown.evaluate(out) == []
    assert shown.evaluate(
        "document.querySelector('aside').scrollHeight <= document.querySelector('aside').clientHeight + 1"
    )
    small = """() => [...document.querySelectorAll('body *')].filter((one) => one.offsetWidth && one.innerText
        && parseFloat(getComputedStyle(one).fontSize) < 12).length"""
    assert shown.evaluate(small) == 0


IN_THE_WAY = """() => {
    const seen = (one) => one.offsetParent !== null && one.getBoundingClientRect().width > 0;
    const own = (one) => [...one.childNodes].some((node) => node.nodeType === 3 && node.textContent.trim());
    const box = (one) => { const range = document.createRange(); range.selectNodeContents(one);
        return range.getBoundingClientRect(); };
    const meet = (a, b) => a.left < b.right - 2 && b.left < a.right - 2 && a.top < b.bottom - 3 && b.top < a.bottom - 3;
    const said = (one) => one.textContent.slice(0, 40);
    const texts = [...document.querySelectorAll("body *")].filter((one) => seen(one) && own(one));
    const wrong = [];
    for (const one of texts) {
        const part = one.closest("#stage, #caption, header, main, aside, footer")?.getBoundingClientRect();
        const at = box(one);
        if (part && (at.left < part.left - 1 || at.right > part.right + 1 || at.top < part.top - 1
            || at.bottom > part.bottom + 1)) wrong.push(`cut: ${said(one)}`);
    }
    const labels = [...document.querySelectorAll(".label, #cameras button, #names span, #outlines")].filter(seen);
    const beside = texts.filter((one) => !one.closest("#stage, select"));
    for (const [rows, where] of [[labels, (one) => one.getBoundingClientRect()], [beside, box]]) {
        rows.forEach((a, k) => rows.slice(k + 1).forEach((b) => {
            if (!a.contains(b) && meet(where(a), where(b))) wrong.push(`over each other: ${said(a)} | ${said(b)}`);
        }));
    }
    return [...new Set(wrong)];
}"""


def in_the_way(page: Any) -> list[Any]:
    """Give what is cut or stands over other words, in both units, near and from the back, from where one looks."""
    end, wrong = page.evaluate("replay.page.end"), []
    for key in ("", "r", "u", "r", "u"):
        if key:
            page.keyboard.press(key)
        for view, part in (("overview", 0.4), ("cause", 0.75), ("above", 1.0)):
            page.evaluate("([view, time]) => { replay.page.view(view); replay.seek(time); }", [view, part * end])
            wrong += [(key, view, text) for text in page.evaluate(IN_THE_WAY)]
    return wrong


def test_words_stand_beside_the_truck_with_lines_to_their_points(shown: Any) -> None:
    placed = """() => { const { page } = replay, { pictures } = page, stage = pictures.stages[0];
        const [wide, tall] = pictures.size;
        replay.seek(1.6);
        const wanted = pictures.wanted(stage, page.time, 0, wide, tall);
        const { left } = pictures.canvas.getBoundingClientRect();
        const labels = [...document.querySelectorAll(".label:not([hidden])")].map((one) => one.getBoundingClientRect());
        const { count } = pictures.leaders.lines.geometry.drawRange;
        return [wanted.length, pictures.reach(stage, wanted, 0, wide, tall), count,
            labels.map((box) => [box.left - left, box.right - left]), stage.marks.arrows.filter((arrow) => arrow.shown)
                .map((arrow) => pictures.spot(stage, arrow.tip, 0, wide, tall)[0])]; }"""
    for view in ("overview", "side", "front", "above"):
        shown.evaluate("(view) => replay.page.view(view)", view)
        count, (left, right, middle), ends, labels, arrows = shown.evaluate(placed)
        assert left < middle < right
        assert len(arrows) == 3  # those of tyres that bear; no word lies over them either
        assert all(high < tip or low > tip for tip in arrows for low, high in labels)
        assert len(labels) == count >= 9
        assert ends == 2 * count
        assert all(high <= left or low >= right for low, high in labels)
    shown.evaluate("() => { replay.page.view('seat'); replay.seek(1.6); }")  # as the driver has it
    assert shown.locator(".label:not([hidden])").count() == 0
    assert not shown.evaluate("replay.page.pictures.stages[0].marks.group.visible")
    shown.evaluate("() => { replay.page.view('overview'); replay.seek(1.6); }")
    assert shown.evaluate("replay.page.pictures.stages[0].marks.group.visible")


def hidden_arrow(page: Any) -> list[str]:
    """Give what lies, seen from above, over the arrow that says which way the floor falls."""
    page.evaluate("() => { replay.page.view('above'); replay.seek(replay.page.time); }")
    covered = """() => { const { pictures } = replay.page, [stage] = pictures.stages, { fall } = stage.marks;
        if (!fall.shown) return [];
        const [wide, tall] = pictures.size, box = pictures.canvas.getBoundingClientRect();
        const on = (point) => pictures.spot(stage, point, 0, wide, tall);
        const [foot, tip] = [fall.foot, fall.tip].map(on);
        const spots = [0, 0.25, 0.5, 0.75, 1]
            .map((share) => [0, 1].map((axis) => foot[axis] + share * (tip[axis] - foot[axis])));
        const over = ([left, top, right, bottom]) =>
            spots.some(([x, y]) => x > left && x < right && y > top && y < bottom);
        const bodies = stage.bodies.map((body, k) => {
            const placed = (corner) => corner.clone().applyQuaternion(body.quaternion).add(body.position);
            const spots = stage.boxes[k].map((corner) => on(placed(corner)));
            const [xs, ys] = [0, 1].map((axis) => spots.map((spot) => spot[axis]));
            return [body.name, [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)]];
        });
        const labels = [...document.querySelectorAll(".label:not([hidden])")].map((label) => {
            const { left, top, right, bottom } = label.getBoundingClientRect();
            return [label.textContent, [left - box.left, top - box.top, right - box.left, bottom - box.top]];
        });
        return [...bodies, ...labels].filter(([, where]) => over(where)).map(([name]) => name); }"""
    over: list[str] = page.evaluate(covered)
    return over


@pytest.mark.parametrize(
    ("scenario", "until", "named"),
    [
        ("side-pull-on-a-hung-load", 2.0, ("push on the load, 2.0 kN",)),
        ("stop-on-the-way-down-a-ramp", 4.0, ("ramp down, 7 %, 20 m long",)),
        ("floor-falls-sideways", 5.0, ("the floor falls 21.0 %",)),
        ("soft-ground-under-one-side", 0.5, ("backfilled strip, ",)),
    ],
)
def test_what_moves_the_truck_is_drawn_and_named(
    browser: Any, tmp_path: Path, scenario: str, until: float, named: tuple[str, ...]
) -> None:
    """What an event does stands in the picture in words, with an arrow where it is a force or a fall of the floor."""
    settings = {"run.duration": until, "run.extend_to": until}
    result = tipline.run(scenario, settings, spread=0, floor_spread=0, engine="compiled")
    tipline.write(result, tmp_path / "run", pictures=False)
    page = browser.new_page(viewport={"width": 1280, "height": 720})
    page.goto((tmp_path / "run" / "replay.html").as_uri())
    page.wait_for_selector("body[data-ready=yes]")
    page.evaluate("replay.seek(0.1)")  # of tyres that read the same, each is the lightest
    loads, notes = (page.locator(f".tyres {kind}").all_inner_texts() for kind in ("output", "em"))
    least = min(loads, key=lambda text: float(text.split("\u00a0")[0]))
    assert [note == "lightest" for note in notes] == [load == least for load in loads]
    page.evaluate("(time) => replay.seek(time)", until)
    texts = [text.replace("\u00a0", " ") for text in page.locator(".label:not([hidden])").all_inner_texts()]
    assert all(any(text.startswith(words) for text in texts) for words in named), texts
    shown = "({ pushes, fall }) => [pushes.map((push) => push.shown), fall.shown]"
    assert hidden_arrow(page) == []
    arrows = page.evaluate(f"({shown})(replay.page.pictures.stages[0].marks)")
    assert arrows == [[True] if scenario.startswith("side") else [], scenario.startswith("floor")]
    page.close()


def test_what_happens_at_once_is_told_at_once(shown: Any) -> None:
    """The floor gives way and the tyre is off it in the same step; no loaded tyre is called the lightest then."""
    shown.evaluate("replay.seek(1.0)")
    told = (
        "1.00 s: the floor gives way under the front-left tyre by 118 mm; the first tyre leaves the floor: front-left"
    )
    assert shown.inner_text("#happened") == told
    texts = shown.locator(".label.light:not([hidden])").all_inner_texts()
    assert texts == ["off the floor"]
    pointed = """() => { const [stage] = replay.page.pictures.stages, [{ outline }] = stage.track.facts.places;
        const spot = stage.spotOn(outline, stage.bodies[0].position.clone(), true), { toward } = stage;
        const along = ([x, y]) => x * toward.x + y * toward.y;
        return [outline, [spot.x, spot.y], outline.map(along), along([spot.x, spot.y])]; }"""
    outline, spot, corners, along = shown.evaluate(pointed)  # the hole is named where one looks from sees it
    assert (np.min(outline, axis=0) < spot).all()
    assert (np.max(outline, axis=0) > spot).all()
    assert np.mean(corners) < along < max(corners)
    assert not any("lightest" in text for text in shown.locator(".label:not([hidden])").all_inner_texts())


@pytest.mark.parametrize("size", [(1280, 720), (1024, 768)])
def test_no_words_are_cut_or_over_each_other(shown: Any, size: tuple[int, int]) -> None:
    shown.set_viewport_size({"width": size[0], "height": size[1]})
    shown.evaluate("replay.page.swapRoom(); replay.page.swapRoom(); replay.seek(0)")
    assert in_the_way(shown) == []
    shown.set_viewport_size({"width": 1280, "height": 720})


def test_a_picture_costs_no_more_than_it_must(shown: Any) -> None:
    """The canvas lies on whole pixels without alpha, and words do not change faster than they are read."""
    canvas = """() => { const view = document.querySelector("#view"), box = view.getBoundingClientRect();
        return [view.getContext("webgl2").getContextAttributes().alpha, box.left, box.top, box.width - view.width,
            box.height - view.height]; }"""
    shown.evaluate(AT_REST)
    alpha, left, top, wider, taller = shown.evaluate(canvas)
    assert not alpha
    assert left == pytest.approx(round(left), abs=0.02)
    assert top == pytest.approx(round(top), abs=0.02)
    assert (wider, taller) == (pytest.approx(0.0, abs=0.02), pytest.approx(0.0, abs=0.02))
    written = """() => { const page = replay.page, texts = [];
        const told = () => [...document.querySelectorAll(".label, .tyres output")].map((one) => one.textContent).join();
        page.playing = true; page.late = false; page.read = performance.now() / 1000;
        for (let k = 0; k < 4; k++) { page.time = 1.2 + 0.03 * k; page.read = performance.now() / 1000; page.draw();
            texts.push(told()); }
        page.playing = false; page.draw(); texts.push(told());
        return texts.map((text) => text === texts[0]); }"""
    shown.evaluate("replay.seek(1.2)")
    assert shown.evaluate(written) == [True, True, True, True, False]


def test_a_picture_is_cleared_once(shown: Any) -> None:
    count = """() => { const { pictures } = replay.page, gl = pictures.gl.getContext(), clear = gl.clear;
        let count = 0; gl.clear = (what) => { count += 1; clear.call(gl, what); };
        replay.page.draw(); gl.clear = clear; return count; }"""
    assert shown.evaluate(count) == 1


def test_pictures_that_move_slowly_are_coarse_until_they_rest(shown: Any) -> None:
    """Where the processor draws alone and is late: fewer points, then no edge lines; fine again once it rests."""
    look = """() => { const { pictures } = replay.page;
        return [pictures.gl.getPixelRatio(), pictures.stages[0].edges.visible]; }"""
    late = """() => { const { pictures } = replay.page; pictures.needed = 0; pictures.passed = [];
        return Array.from({ length: 5 * 15 }, () => { pictures.judge(40); return pictures.needed; }); }"""
    needed = shown.evaluate(late)
    assert (needed[13], needed[14], needed[-1]) == (0, 1, 4)  # by fifteen pictures, and no coarser than there is
    moved = shown.evaluate(f"""() => {{ const {{ page }} = replay, {{ pictures }} = page, look = {look};
        pictures.needed = 3; pictures.passed = []; page.playing = true; pictures.adapt(); page.playing = false;
        const looks = [look()]; pictures.drawn -= 1000; looks.push(pictures.rests()); page.tick(0);
        looks.push(look(), pictures.rests()); pictures.needed = 0; return looks; }}""")
    assert moved == [[pytest.approx(0.65), False], True, [1, True], False]


def test_without_webgl_charts_and_figures_are_there(browser: Any, made: tuple[tipline.RunResult, Path]) -> None:
    page = browser.new_page(viewport={"width": 1280, "height": 720})
    told: list[str] = []
    page.on("pageerror", lambda error: told.append(str(error)))
    page.add_init_script(FLAT)
    page.goto((made[1] / "page" / "replay.html").as_uri())
    page.wait_for_selector("body[data-ready=yes]")
    assert page.is_visible("#stills")
    assert not page.is_visible("#view")
    charts = page.locator("#stage #charts canvas")  # in the picture's place, as there is no still for it
    assert charts.count() == 2
    assert min(charts.nth(k).bounding_box()["height"] for k in range(2)) > 120
    page.keyboard.press("n")
    # drawn with the browser's next frame, which a busy computer shows late
    playwright.expect(page.locator("#clock")).to_have_text("1.00 s")
    assert "0.0" in page.inner_text(".tyres")
    assert page.inner_text("#happened").startswith("1.00 s: ")
    assert not page.is_visible("#spread")
    assert told == []
    page.close()


def test_without_webgl_stills_follow_the_time(
    browser: Any, made: tuple[tipline.RunResult, Path], tmp_path: Path
) -> None:
    result, folder = made
    shutil.copytree(folder, tmp_path / "run")
    for name in ("rest", "worst", "end"):
        Image.new("RGB", (160, 90)).save(tmp_path / "run" / f"still-{name}.png")
    tipline.write(tipline.replay(tmp_path / "run", folder), tmp_path / "page")
    page = browser.new_page(viewport={"width": 1280, "height": 720})
    page.add_init_script(FLAT)
    page.goto((tmp_path / "page" / "replay.html").as_uri())
    page.wait_for_selector("body[data-ready=yes]")
    said = page.locator("#stills figure:visible .when")
    worst = tell(result.run, result.report, result.case).worst_time
    end = float(result.run.time[-1])
    for time, nearest in ((0.0, 0.0), (worst, worst), (worst / 2 - 0.05, 0.0), (worst / 2 + 0.05, worst), (end, end)):
        page.evaluate("(time) => replay.seek(time)", time)
        assert said.all_inner_texts() == [f"A: nearest still: {nearest:.2f} s"]  # of B there is none
    box = page.locator("#stills figure:visible").bounding_box()
    stage = page.locator("#stage").bounding_box()
    assert box["y"] + box["height"] <= stage["y"] + stage["height"] + 1
    page.keyboard.press("q")  # who is asked sees none that is later
    page.evaluate("replay.seek(99)")
    assert worst > page.evaluate("replay.page.ask")
    assert said.all_inner_texts() == ["A: nearest still: 0.00 s"]
    page.close()


def test_a_class_is_asked_before_it_is_shown(shown: Any) -> None:
    shown.keyboard.press("q")
    assert shown.inner_text("#said") == "What happens next?"
    assert "over" not in shown.inner_text("#lead")
    shown.keyboard.press("End")
    asked = shown.evaluate("replay.page.time")
    assert asked == pytest.approx(1.3)
    marks = shown.evaluate("[...document.querySelectorAll('#marks button')].map((one) => one.title)")
    assert marks
    assert all(float(mark.split(" s")[0]) <= asked for mark in marks)
    assert played_from(shown, asked) > asked
    shown.keyboard.press(" ")
    assert shown.inner_text("#said") != "What happens next?"
    shown.keyboard.press("q")
    shown.keyboard.press("s")
    assert shown.get_attribute("[data-view=seat]", "aria-pressed") == "true"
    shown.keyboard.press(" ")
    shown.keyboard.press("1")


def test_runs_of_the_spread_are_outlined_where_asked(
    browser: Any, made: tuple[tipline.RunResult, Path], tmp_path: Path
) -> None:
    tipline.write(tipline.replay(made[1], spread=2), tmp_path / "page")
    page = browser.new_page(viewport={"width": 1280, "height": 720})
    page.goto((tmp_path / "page" / "replay.html").as_uri())
    page.wait_for_selector("body[data-ready=yes]")
    ghosts = page.evaluate("replay.page.tracks[0].facts.ghosts")
    page.evaluate("replay.seek(1.6)")
    assert page.inner_text("#outlines") == ghosts["said"]
    drawn = """() => { const { attributes: { look, position } } = replay.page.pictures.stages[0].ghosts.group.geometry;
        return [[...look.array], [...position.array]]; }"""
    look, ends = page.evaluate(drawn)
    boxes, outlines = ghosts["boxes"], 2 * len(ghosts["boxes"])
    dashed = np.array(look).reshape(len(EDGES), outlines, 2, 4)[..., 3]
    assert (dashed == np.array([not up for up in ghosts["up"] for _ in boxes])[:, None]).all()
    told, times = page.evaluate("[[...replay.page.tracks[0].ghosts], replay.page.tracks[0].facts.ghosts.times]")
    places = np.array(told).reshape(2, times, len(boxes), 7)[:, round(1.6 / ghosts["apart"])].reshape(-1, 7)
    drawn_at = np.array(ends).reshape(len(EDGES), outlines, 2, 3)
    for number, place in enumerate(places):
        box = np.array(boxes[number % len(boxes)])
        turned = rotation(place[3:] / np.linalg.norm(place[3:]))
        for edge, corners in enumerate(EDGES):
            own = np.array([[box[(corner >> axis) & 1, axis] for axis in range(3)] for corner in corners])
            expected = own @ turned.T + place[:3] * ghosts["unit"]
            assert drawn_at[edge, number] == pytest.approx(expected, abs=1e-4)
    page.keyboard.press("q")
    page.evaluate("replay.seek(1.2)")
    assert not page.is_visible("#outlines")
    assert not page.evaluate("replay.page.pictures.stages[0].ghosts.group.visible")
    page.keyboard.press("q")
    page.keyboard.press("g")
    page.evaluate("replay.seek(1.2)")
    assert not page.evaluate("replay.page.pictures.stages[0].ghosts.group.visible")
    page.close()


def test_two_in_step_share_clock_and_camera(browser: Any, made: tuple[tipline.RunResult, Path], tmp_path: Path) -> None:
    result, folder = made
    scenario = "front-tyre-breaks-through-load-high"
    other = tipline.run(scenario, {**SHORT, "event.0.depth": "80 mm"}, spread=0, floor_spread=0, engine="compiled")
    tipline.write(other, tmp_path / "other", pictures=False)
    tipline.write(tipline.replay(folder, tmp_path / "other"), tmp_path / "page")
    page = browser.new_page(viewport={"width": 1280, "height": 720})
    told: list[str] = []
    page.on("pageerror", lambda error: told.append(str(error)))
    page.on("console", lambda message: told.append(message.text))
    page.goto((tmp_path / "page" / "replay.html").as_uri())
    page.wait_for_selector("body[data-ready=yes]")
    assert page.inner_text("#said") == "One thing changed: hole depth, 118 mm in A, 80 mm in B."
    page.evaluate("replay.seek(1.6)")
    low = page.locator("#names span").first.bounding_box()  # the picture begins right below the names
    stage = page.locator("#stage").bounding_box()
    assert page.evaluate("replay.page.pictures.head") == pytest.approx(low["y"] + low["height"] - stage["y"], abs=0.5)
    for run, one in enumerate((result, other)):
        story = tell(one.run, one.report, one.case)
        place = page.evaluate("(run) => replay.position(0, run)", run)
        assert place == pytest.approx(story.matrices[one.run.at(1.6), 0, :3, 3], abs=1e-4)
    texts = page.locator(".gauges .row").nth(2).locator("output").all_inner_texts()
    texts = [text.replace("\u00a0", " ") for text in texts]
    shown = [one.run.series("distance.left")[one.run.at(1.6)] for one in (result, other)]
    assert texts == [palette.short_length(value, "si") for value in shown]
    assert in_the_way(page) == []
    page.evaluate("() => { replay.page.view('overview'); replay.seek(1.6); }")
    playwright.expect(page.locator("#charts figcaption").last).to_be_visible(timeout=60_000)
    assert page.locator("#charts figcaption").last.inner_text() == "Farther from it in B than in A [mm]"
    assert page.locator("#names span").all_inner_texts() == ["A: hole depth 118 mm", "B: hole depth 80 mm"]
    assert told == []
    page.close()
