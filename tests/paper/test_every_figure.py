"""Every table of every kind of report: taken out of the PDF cell by cell, and its figures found in summary.json.

The PDF has the cells of the report's own tables, in both systems of units and on both sheets; in these tables every
number is, in its order in the row, a figure of summary.json within the digits printed, and none of a row is left out.
What was given is compared with the values that `resolved.toml` reads back to.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import product
from pathlib import Path
from typing import Any, get_args

import pytest

import tipline
from filed_sheets import summary_of
from known_figures import WORDS, Shown, heads, known_figures
from printed_figures import apart, figures_in
from tagged_tables import TaggedTable, squeezed, tagged_tables
from tipline import units
from tipline.model import read_machine
from tipline.report import paper
from tipline.report.filed import ANNEX, Filed, parts_of
from tipline.report.page import Table
from tipline.report.sections import SET
from tipline.report.stored import read_filed
from tipline.scenario import read
from tipline.scenario.case import quantified_values
from tipline.units import System

SYSTEMS: tuple[System, ...] = get_args(System)
KINDS = [
    "checked",
    *(
        pytest.param(name, marks=pytest.mark.slow)
        for name in ("ran", "floored", "sloped", "asked", "swept", "incident")
    ),
]
TWO_DIGITS = re.compile(r"If it was this: .*")


def tables_of(filed: Filed, system: System, *, annex: bool) -> list[Table]:
    """The tables of a report that come before the annex, or those of the annex."""
    parts = (part for part in parts_of(filed, system) if (part.title == ANNEX) == annex)
    return [section for part in parts for section in part.sections if isinstance(section, Table)]


def expected(filed: Filed, system: System) -> Iterator[TaggedTable]:
    """All tables of a report in their order, as the tags of its PDF should have them."""
    made = Table("Command, versions, machine", ("what", "which"), tuple(paper.made_rows(filed)))
    files = Table("Input files with their SHA-256", ("file", "hash"), tuple(filed.made.get("inputs", {}).items()))
    between = [table for table in (made, files) if table.rows]
    for table in (*tables_of(filed, system, annex=False), *between, *tables_of(filed, system, annex=True)):
        rows = tuple(tuple(map(squeezed, row)) for row in table.rows)
        yield TaggedTable(squeezed(table.title), tuple(map(squeezed, table.columns)), rows)


@pytest.fixture
def folder(request: pytest.FixtureRequest) -> Path:
    found: Path = request.getfixturevalue(request.param)
    return found


@pytest.mark.parametrize("folder", KINDS, indirect=True)
def test_the_tables_of_a_pdf_have_every_cell_of_the_report(folder: Path) -> None:
    """Of a check in either system on either sheet, of the others in SI on A4 and in US units on Letter."""
    filed = read_filed(folder)
    diagonal = list(zip(SYSTEMS, paper.PAPERS, strict=True))
    for system, sheet in product(SYSTEMS, paper.PAPERS) if filed.command == "check" else diagonal:
        found = tagged_tables(paper.filed_pdf(filed, system, sheet))
        assert found == tuple(expected(filed, system))
        assert len(found) > 5


@pytest.mark.parametrize("folder", KINDS, indirect=True)
@pytest.mark.parametrize("system", SYSTEMS)
def test_every_figure_of_a_table_is_one_of_the_summary(folder: Path, system: System) -> None:
    filed, told = read_filed(folder), summary_of(folder)
    figures = 0
    for ours, own in zip(tables_of(filed, "si", annex=False), tables_of(filed, system, annex=False), strict=True):
        if ours.title in (*WORDS, SET):
            continue
        digits = 2 if filed.command == "floor" or TWO_DIGITS.fullmatch(ours.title) else 3
        known = list(known_figures(ours.title)(told, Shown(ours, own, system)))
        assert len(known) == len(own.rows), ours.title
        for row, meant in zip(own.rows, known, strict=True):
            printed = [figure for cell in row for figure in figures_in(cell, system, digits)]
            assert apart(printed, meant) == "", (ours.title, row)
            figures += len(printed)
        above = heads(told, ours.title)
        if above is not None:
            printed = [f for head in own.columns for f in figures_in(head.removeprefix("95 %"), system, digits)]
            assert apart(printed, above) == "", ours.title
    assert figures > 20


@pytest.mark.parametrize("folder", KINDS, indirect=True)
def test_every_value_that_was_given_stands_as_it_was_read_and_within_its_range(folder: Path) -> None:
    """In SI to the last of six digits, else to four; in US units to as many."""
    filed, values = read_filed(folder), read_back(folder)
    assert [given.key for given in filed.inputs] == list(values)
    for given in filed.inputs:
        entry = values[given.key]
        numbers = list(flat(entry["si"])) if entry["quantity"] else []
        for system in SYSTEMS:
            shown = quantities(given.said[system], entry["quantity"]) if numbers else []
            for part, value, number in zip(split(given.said[system]) if numbers else (), shown, numbers, strict=True):
                digits = significant(part)
                near = 5.1e-4 if digits == 4 else 1e-7 if system == "si" else 5.1 * 10.0 ** -max(digits, 3)
                assert value == pytest.approx(number, rel=near, abs=1e-12), given.key
            ranges = (end for end in given.within.get(system, "").split(" to ") if end and numbers)
            ends = [quantities(end, entry["quantity"]) for end in ranges]
            for value, low, high in zip(shown, *ends, strict=True) if ends else ():
                slack = 6e-3 * max(abs(low), abs(high))
                assert low - slack <= value <= high + slack, given.key


def read_back(folder: Path) -> dict[str, dict[str, Any]]:
    """Every value of a result's inputs with what quantity it is: of the case, or of the machine alone."""
    inputs = folder / "inputs"
    if (inputs / "resolved.toml").is_file():
        return read(inputs / "resolved.toml").quantified
    return quantified_values({"machine.": read_machine(next(inputs.glob("*.toml")))})


def significant(text: str) -> int:
    """How many digits of a number count."""
    return len(re.sub(r"\D", "", text.partition(" ")[0]).strip("0"))


def split(text: str) -> list[str]:
    """The quantities of a point or of a list."""
    return re.split(r"[;,] ", text)


def flat(value: Any) -> Iterator[float]:
    if isinstance(value, list):
        for entry in value:
            yield from flat(entry)
    else:
        yield value


def quantities(text: str, kind: str) -> list[float]:
    """Values in words, commas between and between thousands, in SI."""
    return [units.parse(re.sub(r"(?<=\d),(?=\d)", "", part), kind) for part in split(text)]


@pytest.mark.slow
def test_two_results_side_by_side_have_the_cells_of_either(checked: Path, scenario: Path, tmp_path: Path) -> None:
    other = tipline.write(tipline.check(scenario), tmp_path / "heavy")
    for system in SYSTEMS:
        result = tipline.report_of(checked, other, units=system)
        assert tagged_tables(paper.filed_pdf(result.filed, system)) == tuple(expected(result.filed, system))
        own = [{table.title: table for table in read_filed(folder).pages[system].sections if isinstance(table, Table)}
               for folder in (checked, other)]  # fmt: skip
        beside = [table for table in result.page.sections if isinstance(table, Table) and table.title in own[0]]
        assert len(beside) > 2
        for table in beside:
            for which, tables in enumerate(own):
                rows = ((row[0], *row[1 + which :: 2]) for row in table.rows)
                assert sorted(row for row in rows if "not there" not in row) == sorted(tables[table.title].rows)


def test_a_figure_that_is_another_is_seen(checked: Path) -> None:
    """A tyre load moved by more than its last digit, a figure left out, one more, another unit."""
    filed, told = read_filed(checked), summary_of(checked)
    table = next(table for table in tables_of(filed, "si", annex=False) if table.title == "Tyre loads")
    meant = next(iter(known_figures(table.title)(told, Shown(table, table, "si"))))
    printed = list(figures_in(table.rows[0][1]))
    assert apart(printed, meant) == ""
    load = printed[0]
    assert "is not" in apart([load._replace(value=load.value + 3.0 * load.half)], meant)
    assert "figures are printed" in apart([], meant)
    assert "figures are printed" in apart([*printed, load], meant)
    assert "not of the unit" in apart([load._replace(unit="m")], meant)
    with pytest.raises(StopIteration):
        known_figures("A table that nobody told of")


def test_numbers_are_read_with_half_a_unit_of_their_last_digit() -> None:
    """Three digits are shown: 34,300 is within 50, 1393 within half; of two units in one text each its own."""
    load, far, part, bare = figures_in("34,300 lbf, 3.94 ft (75 %), 2 of front-left", "us")
    assert (load.value, load.unit) == (pytest.approx(34_300 * 4.4482216), "N")
    assert load.half == pytest.approx(50 * 4.4482216, rel=1e-5)
    assert (far.unit, far.half) == ("m", pytest.approx(0.005 * 0.3048, rel=1e-5))
    assert part == (0.75, "%", pytest.approx(0.005, rel=1e-5))
    assert bare == (2.0, "", pytest.approx(0.5, rel=1e-5))
    assert next(figures_in("1393 mm")).half == pytest.approx(0.5e-3, rel=1e-5)
