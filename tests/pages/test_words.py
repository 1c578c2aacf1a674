"""Every page in words a foreman reads once: words given up, long sentences, ratios without "times", too many digits.

Some scenarios at rest, some floors, a shipped sweep with few runs, slopes of one, a start, a run of one with few
further runs; where slow tests run, every shipped scenario at rest, sloped and simulated, every sweep and
floor, the loads of all trucks, a fit.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from importlib.resources import files

import pytest

import tipline
from shipped_pages import of_check, of_floor, of_run, of_slopes, of_sweep, reconstructed
from tipline.commands.delivered import Wishes
from tipline.commands.start import page_of as start_page_of
from tipline.model import read_floor
from tipline.model.shipped import list_shipped
from tipline.report.first import first_on
from tipline.report.fit import fit_page
from tipline.report.incident import incident_page
from tipline.report.loads import loads_page
from tipline.report.page import Page, Pictures, PointList, Section, Table
from tipline.report.terms import TERMS
from tipline.report.text import page_text
from tipline.scenario.lesson import read_lesson

GIVEN_UP = (
    "left-up", "left up", "asks for", "ask for", "asked of the floor", "asks of the floor", "how light it got",
    "is too much already", "stop alone is too much", "level floor already", "this one by", "this one is on the edge",
    "it went over.", "nobody told of", "the floor elsewhere", "of the planning limit", "numerics", "in the box",
    "truck ended:", "no strength from us", "bearing point", "zmp", "utilisation", "verdict", "certainly", "survives",
    "way to give", "ways to give", "nothing is asked", "nothing was asked", "nothing to ask", "strength is not asked",
    "bending inside", "past first crack", "reached at likely", "is likely to break at", "by what is likely",
    "hand on,", "narrows to", "what moves it", "this holds only while this run", "harder than it holds",
    "plate stands", "readings go together", "by their number", "more bands", "cannot be let go of",
    "promises too much", "part of the tipping load", "goes first: over", "front-left loads", "front-right loads",
    "way under front", "way under rear", "steered straight ahead, from", "counts for nothing here", "as known in",
    "not all that was told", "of elsewhere", "(event 0)", "not called meant", "go on with",
)  # fmt: skip
"""Words that pages no longer use: dialect, a code read as something else, a ratio without "times"."""
LITTLE = {"load": "5.2 t, nameplate", "plate": "12.25 t, 0.6 m, 5.5 m", "load_size": "1.8 m x 1.4 m x 1.6 m",
          "floor": "slab, 0.2 m, soil", "height": "3.2 m", "held": "jib, 1.6 m"}  # fmt: skip
"""A lift of which much is not known."""
LOADS = (
    ("demo-truck-a", None, "8 t"), ("demo-truck-b", {"capacity_plate": []}, None), ("demo-truck-c", None, None),
)  # fmt: skip
"""Trucks, what is changed of them, and a load that is asked about."""
MOST_WORDS = 30
"""Of a sentence, or of a part of one that a colon, a semicolon or a bracket sets off."""
ALL = list_shipped()["scenario"]
FLOORS = list_shipped()["floor"]
SOME_FLOORS = ("demo-site-a", "demo-yard-d")
SOME = ("front-tyre-breaks-through-load-high", "unladen-counterweight-out-falls-back")
BROKE = ("stop-with-the-load-up-breaks-a-slab",)
OURS = ("Assumed", "What governs", "Not used, overridden or never met", "Unusual: is this meant?")
"""Sections whose texts are made of what a file says, not of sentences."""


def said(page: Page) -> Iterator[str]:
    """Give every sentence of a page that is ours: not titles of files, not lists of what was assumed."""
    yield page.lead
    yield from (sentence for _, sentence in page.said)
    for section in page.sections:
        if section.title in OURS:
            continue
        yield section.title
        yield section.note
        if isinstance(section, PointList):
            yield from section.items
        elif isinstance(section, Table):
            yield from section.columns
            yield from (cell for row in section.rows for cell in row)
        elif isinstance(section, Pictures):
            yield from (picture.caption for picture in section.items)


def sentences(page: Page) -> Iterator[str]:
    """Give what a page says but for the cells of tables."""
    cells = {cell for one in page.sections if isinstance(one, Table) for row in one.rows for cell in row}
    yield from (text for text in said(page) if text not in cells)


def parts(text: str) -> list[str]:
    return re.split(r"[.;:!?]\s|[()]", text)


@pytest.fixture(
    scope="session",
    params=[(SOME, BROKE, SOME_FLOORS), pytest.param((ALL, ALL, FLOORS), marks=pytest.mark.slow)],
    ids=["some", "all"],
)
def pages(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Page]:
    """The pages, made once."""
    made: dict[str, Page] = {}
    posed, simulated, floors = request.param
    for name in posed:
        made[f"check {name}"] = of_check(tmp_path_factory, name)
    for name in floors:
        made[f"floor {name}"] = of_floor(tmp_path_factory, name)
    for name in ALL if floors == FLOORS else ("floor-falls-sideways",):
        made[f"slopes {name}"] = of_slopes(tmp_path_factory, name).plain
    for name in list_shipped()["sweep"] if floors == FLOORS else ():
        made[f"sweep {name}"] = of_sweep(tmp_path_factory, name)
    made["start"] = start_page_of(tipline.start(LITTLE), Wishes()).page
    for name, changes, wanted in LOADS if floors == FLOORS else ():
        loads = tipline.loads(name, changes, load=wanted, load_centre="0.6 m" if wanted else None).report
        made[f"loads {name}"] = first_on(loads_page(loads), loads, "si")
    if floors == FLOORS:
        fit = tipline.fit("demo-truck-a", {"weighings": '[{total = "10.6 t", slabs = 2, attachment = "forks"}]'}).report
        made["fit"] = first_on(fit_page(fit), fit, "si")
        incident = reconstructed(tmp_path_factory).report
        made["incident"] = first_on(incident_page(incident), incident, "si")
    for name in simulated:
        made[f"run {name}"] = of_run(tmp_path_factory, name).plain
    return made


def test_no_page_uses_words_that_were_given_up(pages: dict[str, Page]) -> None:
    for name, page in pages.items():
        for text in said(page):
            found = [word for word in GIVEN_UP if word in text.lower()]
            assert not found, (name, found, text)


def test_a_part_of_a_floor_has_its_article_in_a_sentence(pages: dict[str, Page]) -> None:
    """ "On the old slab", as one says it; names stand alone in tables and at the head of a line only."""
    names = {zone.name for floor in list_shipped()["floor"] for zone in read_floor(floor).zone}
    ours = {name for name in names if name[:1].islower() and not name.startswith("the ")}
    bare = re.compile(rf"\b(?:on|of|in|under|over) (?:{'|'.join(map(re.escape, sorted(ours)))})\b")
    assert len(ours) > 10
    assert bare.search("how thick is the floor of old slab")
    seen = sum("the old slab" in text for page in pages.values() for text in said(page))
    assert seen > 3
    assert not [(name, text) for name, page in pages.items() for text in said(page) if bare.search(text)]


def test_a_draw_and_a_swing_are_explained_where_they_stand_first(pages: dict[str, Page]) -> None:
    """On the first screen, or below the section, and once; "swing" of the frame, not of a hung load."""
    seen = dict.fromkeys((term.word for term in TERMS), 0)
    draws, swings = TERMS
    assert draws.used.search("nine in ten draws 1.9 to 5.3")
    assert not draws.used.search("each run draws what was varied")
    assert swings.used.search("tips, or its frame swings")
    assert not swings.used.search("deceleration with the load's swing")
    for name, page in pages.items():
        first = [page.lead, *(sentence for _, sentence in page.said)]
        blocks = [first, *([*texts_of(section)] for section in page.sections)]
        for term in TERMS:
            at = next((block for block in blocks if any(term.used.search(text) for text in block)), None)
            told = [text for block in blocks for text in block if term.means in text or term.means in text.lower()]
            assert len(told) == (at is not None), (name, term.word)
            if at is not None:
                assert told[0] in at, (name, term.word)
                seen[term.word] += 1
    assert min(seen.values()) > (3 if len(pages) > 40 else 2)


def texts_of(section: Section) -> Iterator[str]:
    if isinstance(section, Table) and section.rows:
        yield from (*section.columns, *(cell for row in section.rows for cell in row))
    elif isinstance(section, PointList):
        yield from section.items
    elif isinstance(section, Pictures):
        yield from (picture.caption for picture in section.items)
    yield section.note if not isinstance(section, Table) or section.rows else ""


def test_a_ratio_says_times(pages: dict[str, Page]) -> None:
    bare = re.compile(r"(?:loads?|bends) (?:it|the floor) to [0-9.]+(?![0-9.]| times)| x [0-9]")
    assert bare.search("front-left loads it to 2.5 of the limit")
    assert bare.search("thickness x 1.7")
    assert not [(name, text) for name, page in pages.items() for text in said(page) if bare.search(text)]


def test_a_likely_figure_stands_before_its_nine_in_ten(pages: dict[str, Page]) -> None:
    """In the sentence itself; a table has a column of each, likely first."""
    seen = 0
    for name, page in pages.items():
        for text in sentences(page):
            for found in re.finditer(r"nine in ten(?: draws)? [0-9]", text):
                before = text[: found.start()]
                assert re.search(r"[0-9].*[,;(]\s*$", before), (name, text)
                seen += 1
        for section in page.sections:
            if isinstance(section, Table) and "nine in ten" in section.columns:
                assert "likely" in section.columns[section.columns.index("nine in ten") - 1]
                seen += 1
    assert seen > (40 if len(pages) > 40 else 10)


def test_replays_and_lessons_are_worded_as_pages_are() -> None:
    """What stands in the page itself and in its scripts, and what lessons say: no page has to be made for it."""
    page = files("tipline.playback") / "page"
    html = (page / "replay.html.jinja").read_text(encoding="utf-8")
    texts = re.findall(r">([^<>{}]+)<", html) + re.findall(r'(?:aria-label|title)="([^"{}]+)"', html)
    for script in page.iterdir():
        if script.name.endswith(".js"):
            code = script.read_text(encoding="utf-8")
            texts += [text for text in re.findall(r'"([^"\n]*)"', code) if " " in text]
            texts += [re.sub(r"\$\{[^}]*\}", "7", text) for text in re.findall(r"`([^`]*)`", code) if " " in text]
    own = len(texts)
    for name in list_shipped()["lesson"]:
        lesson = read_lesson(name).lesson
        texts += [lesson.title, lesson.aim, lesson.audience]
        for pair in lesson.pair:
            texts += [pair.title, pair.before, pair.question, pair.shows, pair.notes]
            texts += [text for choice in pair.choice for text in (choice.text, choice.confuses)]
    assert own > 80
    assert len(texts) > own + 40
    assert [(word, text) for text in texts for word in GIVEN_UP if word in text.lower()] == []
    assert [part for text in texts for part in parts(text.replace("\n", " ")) if len(part.split()) > MOST_WORDS] == []


def test_every_sentence_can_be_read_in_one_breath(pages: dict[str, Page]) -> None:
    assert [len(part.split()) for part in parts("word " * 31 + ". Two words")] == [31, 2]
    long = {
        (name.split()[0], part)
        for name, page in pages.items()
        for text in said(page)
        for part in parts(text)
        if len(part.split()) > MOST_WORDS and not text.startswith("tipline run ")
    }
    assert not long


def test_no_figure_is_finer_than_its_range(pages: dict[str, Page]) -> None:
    """Two digits where nine in ten draws are told; more only where they show on which side of one a ratio lies."""
    seen = 0
    for name, page in pages.items():
        for text in said(page):
            for low, high in re.findall(r"nine in ten(?: draws)? ([0-9.]+)(?: [A-Za-z/0-9]+)? to ([0-9.]+)", text):
                for figure in (low.rstrip("."), high.rstrip(".")):
                    digits = len(figure.replace(".", "").strip("0"))
                    near_one = 0.9 <= float(figure) <= 1.1
                    assert digits <= (3 if near_one else 2), (name, figure, text)
                    seen += 1
    assert seen > (20 if len(pages) > 40 else 10)


def test_the_first_lines_say_outcome_cause_and_limit(pages: dict[str, Page]) -> None:
    for name, page in pages.items():
        words = {word for word, _ in page.said}
        kind = name.split()[0]
        if kind == "run":
            assert {"Why", "How near"} <= words, name
        elif kind == "check":
            tips = page.lead.startswith("At rest it tips")
            assert tips or {"How near", "Steer axle"} <= words, (name, page.lead)
            assert page.lead != "Stands at rest", name
        first = page_text(page).split("\n\n")[1:3]
        assert first[0].split("\n")[-1].startswith("===="), name
