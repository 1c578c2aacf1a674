"""The loads and fit commands through the command line: folders, tables, JSON, US units, what is never shown."""

from __future__ import annotations

import csv
import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

import tipline
from tipline import cli
from tipline.model.reader import read_machine
from tipline.model.shipped import find
from tipline.report.fit import fit_page
from tipline.report.loads import loads_page
from tipline.report.page import Page, PointList, Table

Invoke = Callable[..., Result]
FEW = ("--heights", "0.3 m, 5.55 m", "--quiet")
PLATE = {row.load for row in read_machine("demo-truck-a").capacity_plate}
TICKET = """
[[weighings]]
attachment = "forks"
slabs = 0
drive_axle = "3.75 t"
steer_axle = "5.50 t"
accuracy = "20 kg"
[[weighings]]
attachment = "forks"
extension = "1.2 m"
slabs = 0
drive_axle = "1.60 t"
steer_axle = "7.65 t"
accuracy = "20 kg"
"""


@pytest.fixture
def invoke(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Invoke:
    monkeypatch.chdir(tmp_path)
    return lambda *words: CliRunner().invoke(cli.app, [str(word) for word in words])


def texts(page: Page) -> list[str]:
    out = [page.title, page.lead, *(text for _, text in page.said)]
    for part in page.sections:
        out += [part.title, part.note]
        if isinstance(part, PointList):
            out += part.items
        elif isinstance(part, Table):
            out += [cell for row in (part.columns, *part.rows) for cell in row]
    return out


def test_loads_leaves_page_table_summary_and_chart(invoke: Invoke, tmp_path: Path) -> None:
    result = invoke("loads", "demo-truck-a", *FEW, "--load", "8 t", "--load-centre", "0.6 m", "--out", "out")
    assert result.exit_code == 0, result.output
    out = tmp_path / "out"
    assert {path.name for path in out.iterdir()} == {
        "report.html", "report.json", "summary.json", "loads.csv", "loads.svg", "inputs",
    }  # fmt: skip
    assert (out / "inputs" / "demo-truck-a.toml").read_text(encoding="utf-8").startswith("# Demo truck A is invented.")
    rows = list(csv.DictReader((out / "loads.csv").read_text(encoding="utf-8").splitlines()))
    assert len(rows) == 3 * 3 * 2 * (2 + 5)
    assert {(row["demo"], row["caution"][:5]) for row in rows} == {("1", "DEMO:")}
    told = json.loads((out / "summary.json").read_text(encoding="utf-8"))
    assert told["schema"] == "tipline.loads/1"
    assert {row["greatest_kg"] for row in told["set_ups"]} - {None} <= PLATE
    said = " ".join(result.stdout.split())
    for words in (
        "The capacity plate governs: 12.25 tonne at most", "Where the load must not be let go of",
        "Which set-up? 8 tonne", "not a rated set-up", "do not hang it in a cab", "DEMO", "from memory",
        "above the plate's",
    ):  # fmt: skip
        assert words in said, words
    page = (out / "report.html").read_text(encoding="utf-8")
    assert "first-picture" in page
    assert (out / "loads.svg").read_text(encoding="utf-8").startswith("<svg")


@pytest.mark.slow
def test_no_load_above_the_plate_stands_anywhere_on_the_page() -> None:
    """Every load in tonnes that the page names is one of the plate's, the asked one, or a least load."""
    report = tipline.loads("demo-truck-a", load="8 t", load_centre="0.6 m").report
    least = {round(one.least / 1000.0, 2) for one in report.unladen if one.least > 0.0}
    allowed = {load / 1000.0 for load in PLATE} | {8.0, 5.0, 10.0}
    figures = [
        (float(figure), text)
        for text in texts(loads_page(report))
        for figure in re.findall(r"([0-9.]+)\s(?:tonne|t)\b", text)
    ]
    assert len(figures) > 50
    for value, text in figures:
        assert value in allowed or min(abs(value - one) for one in least) < 0.02, text


def test_without_a_plate_every_page_says_for_teaching_only(tmp_path: Path) -> None:
    machine = read_machine("demo-truck-a").model_copy(update={"capacity_plate": ()})
    result = tipline.loads(machine, grid={"heights": [5.55]})
    page = loads_page(result.report)
    assert page.lead.startswith("for teaching only: no capacity plate is given")
    assert "for teaching only" in page.mark
    folder = tipline.write(result, tmp_path / "out")
    assert "for teaching only" in (folder / "report.html").read_text(encoding="utf-8")
    assert json.loads((folder / "summary.json").read_text(encoding="utf-8"))["use"] == "for teaching only"
    assert "for teaching only" in result.report._repr_html_()
    # worked out, so down to the next of three digits: 11.56 t
    (table,) = (part for part in page.sections if part.title.startswith("Greatest load on the forks"))
    cell = next(row for row in table.rows if row[0] == "counterweight 1.2 m out, no slabs")[1]
    assert re.fullmatch(r"9\.3[0-9] tonne: steer axle, tips at 1\.\d\d times", cell), cell


def test_loads_in_us_units_and_json(invoke: Invoke) -> None:
    words = ("loads", "demo-truck-c", "--heights", "4.6 m", "--no-pictures", "--quiet")
    said = invoke(*words, "--units", "us", "--out", "us").stdout
    assert " lb" in said
    assert "tonne" not in said
    told = json.loads(invoke(*words, "--json", "--out", "js").stdout)
    assert told["rules"]["steer_share"] == pytest.approx(0.10)
    assert told["rated_kg"] == 6120.0


@pytest.mark.slow
def test_an_own_truck_is_taken_at_the_bad_ends(tmp_path: Path) -> None:
    """By plate and tape: once the axle is weighed, at what was likely, every load is greater, and the page says so."""
    own = tmp_path / "own.toml"
    own.write_text(
        'title = "Mine"\n[plate_and_tape]\nrated_load = "6 t"\nown_weight = "5.4 t"\ncounterweight_stroke = "1 m"\n',
        encoding="utf-8",
    )
    found = tipline.loads(own, grid={"heights": [3.0], "extensions": [0.0, 1.0]}).report
    weighed = own.with_name("weighed.toml")
    weighed.write_text(own.read_text(encoding="utf-8") + 'drive_axle_load = "1.2 t"\n', encoding="utf-8")
    better = tipline.loads(weighed, grid={"heights": [3.0], "extensions": [0.0, 1.0]}).report
    assert found.not_known[0][0] == "load on the drive axle, unladen"
    assert (better.by_rules > found.by_rules).all()
    assert (better.least_needed <= found.least_needed + 1.0).all()
    assert "Not known" in {word for word, _ in loads_page(found).said}


@pytest.mark.slow
def test_fit_leaves_page_summary_and_the_new_file(invoke: Invoke, tmp_path: Path) -> None:
    own = tmp_path / "own.toml"
    own.write_text(find("machine", "demo-truck-a")[0].read_text(encoding="utf-8") + TICKET, encoding="utf-8")
    result = invoke("fit", "./own.toml", "--out", "out", "--quiet")
    assert result.exit_code == 0, result.output
    out = tmp_path / "out"
    assert {path.name for path in out.iterdir()} == {
        "report.html", "summary.json", "own-fitted.toml", "fit.svg", "inputs",
    }  # fmt: skip
    told = json.loads((out / "summary.json").read_text(encoding="utf-8"))
    assert told["schema"] == "tipline.fit/1"
    assert {one["told"] for one in told["values"]} == {"yes", "partly", "no"}
    said = " ".join(result.stdout.split())
    assert "The readings agree with one another; they determine 1 of 11 values" in said
    assert "Fitted file: out/own-fitted.toml" in said
    assert "DEMO" in said
    # of a plate's row nothing above its load is told
    rows = [one for one in told["readings"] if one["at_least"]]
    assert rows
    assert all(one["by_file"] <= one["read"] for one in rows)


@pytest.mark.slow
def test_contradictions_lead_the_page(invoke: Invoke, tmp_path: Path) -> None:
    own = tmp_path / "own.toml"
    wrong = TICKET.replace("7.65 t", "8.40 t") + TICKET
    own.write_text(find("machine", "demo-truck-a")[0].read_text(encoding="utf-8") + wrong, encoding="utf-8")
    page = fit_page(tipline.fit(own).report)
    assert page.lead.startswith("readings contradict each other, most of all the steer axle (counterweight 1.2 m out")
    assert page.sections[0].title == "Readings that contradict the others"


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("fit", "demo-truck-a"), "has no weighings and no sags, so there is nothing to fit it to. Add [[weighings]]"),
        (("loads", "demo-truck-a", "--rule", "steer"), "--rule = steer: needs a name and a number. Write it like"),
        (("loads", "demo-truck-a", "--load", "8 t"), "--load = 8 t: needs --load-centre on the forks, or --reach"),
        (("loads", "demo-truck-a", "--slabs", "9"), "--slabs = 9: must be whole numbers from 0 to 6"),
    ],
)
def test_bad_input_is_told_with_its_option_and_a_remedy(invoke: Invoke, words: tuple[str, ...], told: str) -> None:
    result = invoke(*words, "--quiet")
    assert result.exit_code == 2
    assert told in result.stderr
    assert result.stderr.count("\n") == 1
    assert not (Path.cwd() / "runs").exists() or not list((Path.cwd() / "runs").iterdir())


@pytest.mark.parametrize(("name", "changes"), [("demo-truck-a", {}), ("demo-truck-b", {"capacity_plate": []})])
def test_a_rule_is_explained_where_it_is_named_first(name: str, changes: dict[str, object]) -> None:
    """On the first screen or below the first table, in one line, once; by hand 2/3 hung and 10 % on the steer axle."""
    report = tipline.loads(name, changes, load="8 t", load_centre="0.6 m").report
    page = loads_page(report)
    first = " ".join(text for _, text in page.said)
    tables = [part for part in page.sections if isinstance(part, Table) and part.rows]
    rules = [line for part in page.sections if part.title.startswith("The rules") for line in part.items]
    explained = 0
    for line in rules:
        word, asks = line.split(": ", 1)
        meaning = f"{word}: {re.split(r' [(]|[.](?: |$)', asks)[0]}"
        named = [
            table for table in tables if any(word.lower() in cell.lower() for row in table.rows for cell in row[1:])
        ]
        places = [text for text in (first, *(table.note for table in tables)) if meaning in text]
        if meaning in first:
            assert len(places) == 1, word
        else:
            assert places == [table.note for table in named[:1]], word
        explained += len(places)
    assert explained >= 3
    said = " ".join((first, *(table.note for table in tables)))
    assert "Hung-load limit: 66.7 % of the hung load that tips it on the level" in said
    assert "Steer axle: 10 % of the weight stays on the steer axle" in said


def test_a_least_load_is_told_to_ten_kilograms() -> None:
    """Demo truck C, extended without slabs, wants 2 kg more than nothing: 10 kg are told."""
    report = tipline.loads("demo-truck-c").report
    table = next(part for part in loads_page(report).sections if part.title.startswith("Where the load must not"))
    assert isinstance(table, Table)
    assert "10 kg" in {row[1] for row in table.rows}
