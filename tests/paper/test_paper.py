"""The report as PDF: what stands in it is what summary.json has, in its parts and on its sheets, nothing cut off."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from dataclasses import replace
from hashlib import sha256
from itertools import pairwise
from pathlib import Path

import pypdfium2 as pdfium
import pytest

import tipline
from filed_sheets import A4, LETTER, MARGIN, Letter, sheets, summary_of, text_of
from tipline.errors import MissingPart
from tipline.report.filed import PARTS, QUESTIONS, Filed, FiledInput
from tipline.report.page import Page, Picture, Pictures, PointList, Table
from tipline.report.paper import Paper, filed_pdf
from tipline.report.stored import read_filed
from tipline.selftest.check import Result
from tipline.selftest.filed import statement_pdf
from tipline.selftest.registry import all_checks
from tipline.units import System


def rows_of(text: str, head: str) -> dict[str, list[str]]:
    """The numbers of the rows below a table's caption, by the first word of the row."""
    below = text.split(head, 1)[1].splitlines()[2:]
    rows = {}
    for line in below:
        name, *cells = line.split(" ", 1)
        if "-" not in name:
            break
        rows[name] = re.findall(r"-?[\d.,]+ (?:kN|lbf|s\b)", cells[0])
    return rows


@pytest.mark.slow
def test_tyre_loads_in_the_table_are_those_of_the_summary(ran: Path) -> None:
    told = summary_of(ran)
    rows = rows_of(text_of(ran / "report.pdf"), "Tyre loads")
    assert list(rows) == list(told["rest"]["tyre_loads_kN"])
    for tyre, cells in rows.items():
        peak = told["peak"]["tyre_loads_kN"][tyre]
        printed = [float(cell.split()[0]) for cell in cells]
        assert printed[0] == pytest.approx(told["rest"]["tyre_loads_kN"][tyre], abs=0.0501)
        assert printed[1] == pytest.approx(peak["value"], abs=0.501 if peak["value"] > 99.95 else 0.0501)
        assert printed[2] == pytest.approx(peak["time_s"], abs=0.00501)


@pytest.mark.slow
def test_tyre_loads_in_us_units_are_those_of_the_summary(checked: Path) -> None:
    told = summary_of(checked)["rest"]["tyre_loads_kN"]
    text = text_of(checked / "report.pdf")
    for tyre, (load,) in rows_of(text, "Tire loads").items():
        assert float(load.removesuffix(" lbf").replace(",", "")) == pytest.approx(told[tyre] / 4.4482216e-3, rel=5e-3)
    assert "kN" not in text
    assert "tyre" not in re.sub(r"\S*tyre\.\S*|Front-left tyre breaks through", "", text)  # but in keys, and the title


def test_the_answer_comes_first_then_every_part_in_its_order(ran: Path) -> None:
    text, told = text_of(ran / "report.pdf"), summary_of(ran)
    first = text.split("What decides")[0]
    assert QUESTIONS["run"] in first
    assert told["outcome"]["heading"].split(":")[0] in " ".join(first.split())
    titles = (
        "Facts: what was given", "What was computed from it", "Method", "Checks of this result",
        "Assumptions and limits", "Cautions", "Opinion", "Author and reviewer",
        "How it was made, and how to repeat it", "Annex: every input",
    )  # fmt: skip
    places = [re.search(rf"^\d+ {title}$", text, re.M) for title in titles]
    assert all(places)
    assert [place.start() for place in places if place] == sorted(place.start() for place in places if place)


def test_what_was_given_and_what_nobody_gave_stand_apart_with_origins_and_hashes(ran: Path) -> None:
    text, told = text_of(ran / "report.pdf"), summary_of(ran)
    given, nobody = text.split("Every value that was given, with its origin")[1].split("Every value that nobody gave")
    assert re.search(r"^load\.mass 4 tonne 3\.88 tonne to 4\.12 tonne drawing$", given, re.M)
    assert re.search(r"^setup\.tilt 0 deg assumed$", nobody, re.M)
    assert not re.search(r" (assumed|default)$", given, re.M)
    for name, mark in told["made"]["inputs"].items():
        assert f"{name} {mark}" in text.replace("\u200b", ""), name
    assert told["made"]["versions"]["tipline"] == tipline.__version__


@pytest.mark.parametrize(("folder", "sheet"), [("ran", A4), ("checked", LETTER)])
def test_sheets_have_their_size_and_number_and_nothing_reaches_into_a_margin(
    request: pytest.FixtureRequest, folder: str, sheet: tuple[float, float]
) -> None:
    found = sheets(request.getfixturevalue(folder) / "report.pdf")
    for number, (width, height, text, letters) in enumerate(found, start=1):
        assert (width, height) == pytest.approx(sheet, abs=0.1)
        assert f"page {number} of {len(found)}" in text
        assert max(letter.right for letter in letters) <= sheet[0] - MARGIN + 1.0
        assert min(letter.left for letter in letters) >= MARGIN - 1.0


@pytest.mark.slow
@pytest.mark.parametrize(("folder", "system", "paper"), [("ran", "us", "letter"), ("checked", "si", "a4")])
def test_no_heading_and_no_caption_stands_alone_at_the_foot_of_a_sheet(
    request: pytest.FixtureRequest, folder: str, system: System, paper: Paper
) -> None:
    data = filed_pdf(read_filed(request.getfixturevalue(folder)), system, paper)
    for number, (_, _, _, letters) in enumerate(sheets(data)):
        body = [letter for letter in letters if letter.foot > 24 / 25.4 * 72]
        low = min(letter.foot for letter in body)
        last = [letter for letter in body if letter.foot < low + 3.0]
        assert max(letter.size for letter in last) < 10.5, number
        assert not "".join(letter.text for letter in last).startswith("Table"), number


def test_pictures_have_a_number_and_a_caption(asked: Path) -> None:
    text = " ".join(text_of(asked / "report.pdf").split())
    assert re.search(r"Figure 1\. The capacity plate.s loads by load centre and reach", text)
    assert set(read_filed(asked).pages) == {"si", "us"}


def test_the_same_report_has_the_same_bytes(ran: Path) -> None:
    filed = read_filed(ran)
    assert filed_pdf(filed) == filed_pdf(filed) == (ran / "report.pdf").read_bytes()
    facts = pdfium.PdfDocument(ran / "report.pdf").get_metadata_dict()
    assert (facts["CreationDate"], facts["ModDate"]) == ("", "")  # another day has the same bytes too


@pytest.mark.slow
def test_another_process_on_another_day_sets_the_same_bytes(ran: Path, tmp_path: Path) -> None:
    """The sheets hold no date but the blank one of who signs: clock, zone and order of sets are others here."""
    code = (
        "import sys, time, datetime\ntime.time = lambda: 4e9\n"
        "from pathlib import Path\nfrom hashlib import sha256\nfrom tipline.report.paper import filed_pdf\n"
        "from tipline.report.stored import read_filed\n"
        "print(sha256(filed_pdf(read_filed(Path(sys.argv[1])))).hexdigest())"
    )
    own = sha256((ran / "report.pdf").read_bytes()).hexdigest()
    for changed in ({"TZ": "Pacific/Auckland", "PYTHONHASHSEED": "1"}, {"SOURCE_DATE_EPOCH": "1", "LC_ALL": "C"}):
        command = [sys.executable, "-c", code, str(ran)]
        done = subprocess.run(
            command, capture_output=True, text=True, cwd=tmp_path, env={**os.environ, **changed}, check=True
        )
        assert done.stdout.strip() == own, changed


def test_texts_are_set_as_they_are_and_never_read_as_markup(tmp_path: Path) -> None:
    told = '#panic("x") *no* _no_ $x$ <y> @z [b] \\ "q"'
    page = Page(told, "mark", told, "", (Table(told, (told, "b"), ((told, "2"),), told),), said=((told, told),))
    text = text_of(filed_pdf(Filed("check", {"si": page, "us": page})))
    assert text.replace("\n", " ").count("$x$ <y> @z [b]") >= 6
    assert '#panic("x") *no* _no_' in text.replace("\n", " ")


def test_a_picture_without_words_for_it_is_refused(tmp_path: Path) -> None:
    svg = '<svg xmlns="http://www.w3.org/2000/svg" width="10" height="10"><rect width="5" height="5"/></svg>'
    page = Page("t", "mark", "lead", "", (Pictures("Drawings", (Picture("What it shows", svg=svg),)),))
    assert "Figure 1. What it shows" in text_of(filed_pdf(Filed("check", {"si": page, "us": page})))
    bare = replace(page, sections=(Pictures("Drawings", (Picture("", svg=svg),)),))
    with pytest.raises(Exception, match="alt"):
        filed_pdf(Filed("check", {"si": bare, "us": bare}))


def test_what_follows_a_high_picture_fills_the_sheet_before_it() -> None:
    """On sheets of 297 mm with a picture of 166 mm on the second, the table that follows stands on the first."""
    svg = '<svg xmlns="http://www.w3.org/2000/svg" width="100" height="100"><rect width="9" height="9"/></svg>'
    sections = (
        Table("Greatest load", ("what", "value"), tuple((f"row {row}", "1 t") for row in range(18))),
        Pictures("Drawings", (Picture("What it shows", svg=svg),)),
        Table("Tyre loads", ("tyre", "load"), (("front", "1 kN"),)),
    )
    page = Page("t", "mark", "lead", "", sections)
    found = [text for _, _, text, _ in sheets(filed_pdf(Filed("check", {"si": page, "us": page})))]
    assert "Tyre loads" in found[0]
    assert "Drawings" not in found[0]
    assert found[1].index("Drawings") < found[1].index("Figure 1. What it shows")


@pytest.mark.parametrize(("rows", "goes_on"), [(0, True), (4, False)])
def test_the_annex_goes_on_a_sheet_that_has_little_on_it(rows: int, *, goes_on: bool) -> None:
    """Of two reports one ends in the upper third of its last sheet, one below it."""
    table = Table("Greatest load", ("what", "value"), tuple((f"row {row}", "1 t") for row in range(rows)))
    page, given = (
        Page("t", "mark", "lead", "", (table,)),
        (FiledInput("load.mass", {"si": "1 t", "us": "1 t"}, "told"),),
    )
    data = filed_pdf(Filed("check", {"si": page, "us": page}, given))
    found = [(text, high, letters) for _, high, text, letters in sheets(data)]
    (at,) = (place for place, (text, _, _) in enumerate(found) if "Annex: every input" in text)
    _, high, letters = found[at - 1]
    assert min(letter.foot for letter in letters if letter.foot > 24 / 25.4 * 72) < 2 / 3 * high
    assert ("tipline repeat FOLDER" in found[at][0]) == goes_on


def test_a_few_points_stay_together_on_one_sheet() -> None:
    """However far down the sheet they begin: a line more each time, from where three lines are left."""
    points = PointList("What governs", ("the plate", "local codes", "an engineer"))
    for rows in range(19, 22):
        table = Table("Greatest load", ("what", "value"), tuple((f"row {row}", "1 t") for row in range(rows)))
        page = Page("t", "mark", "lead", "", (table, points))
        given = (FiledInput("load.mass", {"si": "1 t", "us": "1 t"}, "told"),)
        found = [text for _, _, text, _ in sheets(filed_pdf(Filed("check", {"si": page, "us": page}, given)))]
        (governs,) = (text for text in found if "What governs" in text)
        assert "an engineer" in governs, rows


@pytest.mark.slow
def test_no_number_of_the_method_statement_runs_into_the_next_column() -> None:
    """Each check with its number as printed, up to 22 digits, and a figure of the longest form beside it."""
    results = [Result(check, -1.23456e-07, -1.2e-07, 1.0, passed=True) for check in all_checks()]
    for number, (_, _, _, letters) in enumerate(sheets(statement_pdf((), results, "0")), start=1):
        lines: dict[int, list[Letter]] = {}
        for letter in letters:
            lines.setdefault(round(letter.foot), []).append(letter)
        for line in lines.values():
            line.sort(key=lambda letter: letter.left)
            runs_in = [(left.text, right.text) for left, right in pairwise(line)
                       if not (left.text + right.text).isalpha() and right.left < left.right - 1.5]  # fmt: skip
            assert not runs_in, number


def test_every_title_that_has_a_part_is_one_of_a_page() -> None:
    sources = "".join(path.read_text("utf-8") for path in (Path(tipline.__file__).parent / "report").rglob("*.py"))
    text = sources.replace(Path(tipline.report.filed.__file__).read_text("utf-8"), "")
    assert [title for title in PARTS if f'"{title}"' not in text] == []


@pytest.mark.slow
def test_without_the_library_it_is_said_what_to_install_before_anything_is_computed(tmp_path: Path) -> None:
    code = "import sys; sys.modules['typst'] = None\nfrom tipline.cli import main\nmain()"
    words = ("check", "front-tyre-breaks-through-load-high", "--pdf", "--out", "out")
    command = [sys.executable, "-c", code, *words]
    done = subprocess.run(command, capture_output=True, text=True, cwd=tmp_path, check=False)
    assert (done.returncode, done.stdout) == (MissingPart("").exit_code, "")
    assert 'pip install "tipline[paper]"' in done.stderr
    assert "assessing" not in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_a_check_that_leaves_no_folder_has_no_place_for_a_pdf(tmp_path: Path) -> None:
    words = ("check", "front-tyre-breaks-through-load-high", "--pdf")
    command = [sys.executable, "-m", "tipline", *words]
    done = subprocess.run(command, capture_output=True, text=True, cwd=tmp_path, check=False)
    assert done.returncode == 2
    assert "--pdf: needs a folder" in done.stderr
