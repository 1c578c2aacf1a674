"""The endings of a grid over two of its inputs, a map for each combination of the others, and where they change."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tipline.scenario.sweep_plan import SweptInput

__all__ = ["Axis", "MapLine", "MapPanel", "OutcomeMap", "outcome_map"]


@dataclass(frozen=True)
class Axis:
    """The values of one input in order.

    Attributes
    ----------
    label, words : the input, its values in words
    values : (n,) float array [SI unit of ``dimension``]; None where they are no numbers
    dimension : "ratio" for a share of what the files give
    """

    label: str
    words: tuple[str, ...]
    values: NDArray[np.float64] | None
    dimension: str


@dataclass(frozen=True)
class MapPanel:
    """One map.

    Attributes
    ----------
    others : the values of the rest, in words
    words : (up, across) array of texts: how each run ended, "" without a result
    ended : (up, across) flags: whether as asked
    """

    others: tuple[str, ...]
    words: NDArray[np.object_]
    ended: NDArray[np.bool_]


@dataclass(frozen=True)
class MapLine:
    """One value of the input across: values of the input up with the ending, without it, and without a result."""

    others: tuple[str, ...]
    across: str
    ended: str
    stayed: str
    lost: str
    changes: int


@dataclass(frozen=True)
class OutcomeMap:
    """Endings of one ``part`` of the run over two inputs; ``others``: labels of the rest that have several values."""

    part: str
    across: Axis
    up: Axis
    others: tuple[str, ...]
    panels: tuple[MapPanel, ...]

    def lines(self) -> tuple[MapLine, ...]:
        """Return where the ending changes, a line for each value across in each panel."""
        return tuple(self._line(panel, k) for panel in self.panels for k in range(len(self.across.words)))

    def _line(self, panel: MapPanel, k: int) -> MapLine:
        known = panel.words[:, k] != ""
        ended = panel.ended[:, k] & known
        return MapLine(
            panel.others, self.across.words[k], self._said(ended), self._said(known & ~ended), self._said(~known),
            int(np.count_nonzero(np.diff(ended[known].astype(int)))),
        )  # fmt: skip

    def _said(self, which: NDArray[np.bool_]) -> str:
        """Return the values picked in words, neighbours of the grid as a stretch."""
        words = self.up.words
        if not which.any() or (which.all() and len(words) > 1):
            return f"all tried, {words[0]} to {words[-1]}" if which.any() else ""
        edges = np.flatnonzero(np.diff(np.concatenate(([0], which.astype(int), [0]))))
        ends = zip(edges[::2].tolist(), (edges[1::2] - 1).tolist(), strict=True)
        return "; ".join(words[low] if low == high else f"{words[low]} to {words[high]}" for low, high in ends)


def outcome_map(
    inputs: Mapping[str, tuple[SweptInput, NDArray[Any]]],
    part: str,
    words: Sequence[str],
    ended: NDArray[np.bool_],
) -> OutcomeMap | None:
    """Return the endings over the first two inputs that have several values; None where there are fewer.

    Parameters
    ----------
    inputs : by label, each with its column (rows,) [SI] or texts
    part : words for the part of the run that the endings are of
    words, ended : (rows,) texts and flags: the endings, "" without a result, and whether each is the one asked for
    """
    placed = [(_axis(swept_input, column)) for swept_input, column in inputs.values()]
    placed = [(axis, place) for axis, place in placed if len(axis.words) > 1]
    if len(placed) < 2:
        return None
    (across, _), (up, _), *rest = placed
    order = [*rest, placed[1], placed[0]]
    shape = tuple(len(axis.words) for axis, _ in order)
    where = tuple(place for _, place in order)
    said, so = np.full(shape, "", dtype=object), np.zeros(shape, dtype=bool)
    said[where], so[where] = np.asarray(words, dtype=object), ended
    others = [axis.words for axis, _ in rest]
    panels = tuple(
        MapPanel(tuple(words[k] for words, k in zip(others, at, strict=True)), said[at], so[at])
        for at in np.ndindex(shape[:-2])
    )
    return OutcomeMap(part, across, up, tuple(axis.label for axis, _ in rest), panels)


def _axis(swept_input: SweptInput, column: NDArray[Any]) -> tuple[Axis, NDArray[np.intp]]:
    """Return an input's values in order, texts as listed, and the place of each row's value among them."""
    dimension = "ratio" if swept_input.relative else swept_input.dimension
    if column.dtype.kind in "fiu":
        held, place = np.unique(column, return_inverse=True)
        words = tuple(swept_input.say(value) for value in held.tolist())
        return Axis(swept_input.label, words, held.astype(np.float64), dimension), place.reshape(-1)
    listed = {str(value): k for k, value in enumerate(dict.fromkeys(swept_input.values))}
    return Axis(swept_input.label, tuple(listed), None, ""), np.array(
        [listed[str(value)] for value in column], dtype=np.intp
    )
