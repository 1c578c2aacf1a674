"""A scenario's table of outcomes: its cells are read with it, and a bad one is named."""

from __future__ import annotations

from pathlib import Path

import pytest

from tipline.errors import InputError, InputErrors
from tipline.model.shipped import find
from tipline.runs.outcome_table import EndingTable, Varied, outcome_table
from tipline.scenario import read
from tipline.scenario.resolved import write_resolved

NAME = "front-tyre-breaks-through-load-high"
TABLE = find("scenario", NAME)[0].read_text(encoding="utf-8")


def with_table(folder: Path, lines: str) -> Path:
    """Write the shipped scenario with another table."""
    head, _, rest = TABLE.partition("[table]\n")
    tail = rest[rest.index("[expect]") :]
    path = folder / "scenario.toml"
    path.write_text(f"{head}[table]\n{lines}\n\n{tail}", encoding="utf-8")
    return path


def problems_of(path: Path) -> list[InputError]:
    with pytest.raises((InputError, InputErrors)) as caught:
        read(path)
    error = caught.value
    return error.problems if isinstance(error, InputErrors) else [error]


def test_every_cell_is_the_case_with_two_settings_changed() -> None:
    case = read(NAME)
    depths = [[cell.resolved["event.0.depth"]["si"] for cell in line] for line in case.cells]
    heights = [[cell.resolved["setup.hook_height"]["si"] for cell in line] for line in case.cells]
    for line, depth in zip(depths, (0.08, 0.1, 0.118, 0.14), strict=True):
        assert line == pytest.approx([depth] * 3)
    assert heights == [[3.0, 5.0, 7.0]] * 4
    assert all(cell.cells == () for line in case.cells for cell in line)


def test_other_changes_reach_every_cell() -> None:
    case = read(NAME, {"load.mass": "4 t"})
    assert {cell.resolved["load.mass"]["si"] for line in case.cells for cell in line} == {4000.0}


@pytest.mark.parametrize(
    ("lines", "key", "parts"),
    [
        (
            'row = "event.0.dept"\nrows = ["80 mm"]\ncolumn = "setup.hook_height"\ncolumns = ["3 m"]',
            "table.rows.0",
            ("event.0.dept = 80 mm, setup.hook_height = 3 m", 'did you mean "depth"'),
        ),
        (
            'row = "event.0.depth"\nrows = ["80 mm", "9 kg"]\ncolumn = "setup.hook_height"\ncolumns = ["3 m"]',
            "table.rows.1",
            ("event.0.depth = 9 kg", "unit of mass"),
        ),
        (
            'row = "event.0.depth"\nrows = ["80 mm", "90 mm"]\ncolumn = "setup.hook_height"\ncolumns = ["3 m", "12 m"]',
            "table.rows.0",
            ("setup.hook_height = 12 m", "the mast takes the hook to"),
        ),
        (
            'row = "event.0.depth"\nrows = ["80 mm"]\ncolumn = "event.0.depth"\ncolumns = ["90 mm"]',
            "table.column",
            ("the same setting",),
        ),
        ('row = "event.0.depth"\nrows = []\ncolumn = "setup.tilt"\ncolumns = ["1 deg"]', "table.rows", ()),
        ('row = "event.0.depth"\nrow_values = ["80 mm"]', "table.row_values", ("rows",)),
    ],
)
def test_a_bad_table_is_refused_at_its_place(tmp_path: Path, lines: str, key: str, parts: tuple[str, ...]) -> None:
    problems = problems_of(with_table(tmp_path, lines))
    first = next(problem for problem in problems if problem.key == key)
    assert first.line is not None
    assert str(tmp_path) in str(first.file)
    for part in parts:
        assert part in f"{first} {first.remedy}"


def test_one_mistake_in_a_column_is_told_once(tmp_path: Path) -> None:
    lines = 'row = "event.0.depth"\nrows = ["80 mm", "90 mm"]\ncolumn = "load.mass"\ncolumns = ["3 m", "4 t"]'
    assert len(problems_of(with_table(tmp_path, lines))) == 1


def test_labels_say_what_is_varied() -> None:
    case = read(NAME)
    table = outcome_table(case, [["down"] * 3] * 4)
    assert (table.row.label, table.column.label) == ("hole depth", "hook height")
    assert (table.row.dimension, table.column.dimension) == ("length", "length")
    with pytest.raises(ValueError, match="no table"):
        outcome_table(read("service-stop-load-low"), [])


def test_a_setting_without_a_number_is_shown_as_it_is_written(tmp_path: Path) -> None:
    rows = """rows = ['["front-left"]', '["front-right"]']"""
    lines = f'row = "event.0.under"\n{rows}\ncolumn = "load.mass"\ncolumns = ["3 t"]'
    case = read(with_table(tmp_path, lines))
    table = outcome_table(case, [["down"], ["down"]])
    assert table.row.dimension == ""
    assert table.row.values == ('["front-left"]', '["front-right"]')
    assert table.column.values == (3000.0,)
    assert table.this is None


def test_all_inputs_written_out_read_back_with_the_table(tmp_path: Path) -> None:
    case = read(NAME)
    path = tmp_path / "resolved.toml"
    write_resolved(case, path)
    again = read(path)
    assert again.scenario.table == case.scenario.table
    assert [[cell.resolved for cell in line] for line in again.cells] == [
        [cell.resolved for cell in line] for line in case.cells
    ]


def test_its_pandas_table_marks_the_cell_of_this_run() -> None:
    pytest.importorskip("pandas")
    row, column = (
        Varied(key, key, values, "length") for key, values in (("depth", (0.1, 0.2)), ("height", (1.0, 3.0)))
    )
    table = EndingTable(row, column, (("down", "over"), ("over", "over")), (0, 1), "")
    frame = table.to_pandas()
    assert frame["this_run"].tolist() == [False, True, False, False]
    assert frame["truck"].tolist() == ["down", "over", "over", "over"]
