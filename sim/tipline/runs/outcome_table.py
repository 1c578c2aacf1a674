"""Outcomes over two settings, each cell a run of its own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from tipline.endings import TruckEnd
from tipline.model.origins import Leaf, dotted, leaves
from tipline.notebook import Shown, marks, to_frame
from tipline.scenario import Case
from tipline.scenario.labels import label_of

__all__ = ["NO_RESULT", "EndingTable", "Varied", "outcome_table", "same_inputs"]

NO_RESULT: str = TruckEnd.NO_RESULT
"""In place of an outcome where a cell's run broke down."""


@dataclass(frozen=True)
class Varied:
    """A setting and the values it takes: SI numbers of a dimension, or texts where ``dimension`` is empty."""

    key: str
    label: str
    values: tuple[float | str, ...]
    dimension: str


@dataclass(frozen=True)
class EndingTable(Shown):
    """The truck's outcome by row and column; ``this`` is the cell that is the run itself, None where there is none."""

    row: Varied
    column: Varied
    outcomes: tuple[tuple[str, ...], ...]
    this: tuple[int, int] | None
    demo: str

    def to_pandas(self) -> Any:
        """Return one record a cell as a pandas table, SI values; raises MissingPart without pandas."""
        return to_frame(
            [
                {
                    self.row.label: row,
                    self.column.label: column,
                    "truck": self.outcomes[i][j],
                    "this_run": (i, j) == self.this,
                }
                for i, row in enumerate(self.row.values)
                for j, column in enumerate(self.column.values)
            ],
            marks(self.demo),
        )


def outcome_table(case: Case, outcomes: Sequence[Sequence[str]]) -> EndingTable:
    """Return the table of a case that has one, from the outcome of each of its cells.

    Raises
    ------
    ValueError
        The scenario has no table.
    """
    table, cells = case.scenario.table, case.cells
    if table is None or not cells:
        msg = "the scenario has no table"
        raise ValueError(msg)
    places = ((i, j) for i, line in enumerate(cells) for j, cell in enumerate(line) if same_inputs(cell, case))
    return EndingTable(
        row=_varied(table.row, table.rows, [line[0] for line in cells]),
        column=_varied(table.column, table.columns, cells[0]),
        outcomes=tuple(tuple(line) for line in outcomes),
        this=next(places, None),
        demo=case.demo,
    )


def same_inputs(case: Case, other: Case) -> bool:
    """Whether two cases of one scenario have the same inputs, whatever their origins."""
    return _inputs(case) == _inputs(other)


def _inputs(case: Case) -> tuple[Any, ...]:
    scenario = case.scenario
    load = None if case.load is None else case.load.model_copy(update={"origins": {}})
    return {key: entry["si"] for key, entry in case.resolved.items()}, scenario.setup, scenario.event, load


def _varied(key: str, texts: tuple[str, ...], cells: Sequence[Case]) -> Varied:
    label = label_of(key, cells[0].scenario)
    leaves = [_leaf(key, cell) for cell in cells]
    known = [leaf for leaf in leaves if leaf is not None and isinstance(leaf.value, int | float)]
    if len(known) < len(leaves):
        return Varied(key, label, texts, "")
    quantity = known[0].quantity
    return Varied(
        key, label, tuple(float(leaf.value) for leaf in known), "" if quantity is None else quantity.dimension
    )


def _leaf(key: str, case: Case) -> Leaf | None:
    start, _, rest = key.partition(".")
    spec = {"machine": case.machine, "floor": case.floor}.get(start)
    if spec is None:
        spec, rest = case.scenario, key
    return next((leaf for leaf in leaves(spec) if dotted(leaf.path) == rest), None)
