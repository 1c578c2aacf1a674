"""No drawn solid of one body passes through one of another, in any shipped scenario or its neighbour."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from overlap import GIVE_WAY, JOINED, deepest, depth, pieces
from tipline.engines.simulate import simulate
from tipline.floors.laws.of_floor import floor_laws
from tipline.geometry.assembly import Part
from tipline.geometry.solids import box
from tipline.model.shipped import list_shipped
from tipline.results import Run
from tipline.scenario import Case, read

DEEPEST = 0.030
"""Greatest depth [m]: what a corner is pressed in by a fall of some metres, seen from where one looks at a truck."""
EVERY = 0.1
"""Time [s] between two looks."""
JOINED_EVERY = 0.5
"""The same where all bodies hang on one another, and little changes."""


def rolled(case: Case) -> Run:
    """A run to its whole duration."""
    return simulate(replace(case, cells=()), zones=floor_laws(case).zones, engine="compiled")


def cases(name: str) -> dict[str, Case]:
    """A shipped scenario and its neighbour."""
    own = read(name)
    assert own.scenario.expect is not None
    assert own.scenario.expect.neighbour is not None
    return {name: own, f"{name}, neighbour": read(name, dict(own.scenario.expect.neighbour.set))}


@pytest.mark.slow
@pytest.mark.parametrize("name", list_shipped()["scenario"])
def test_no_solid_passes_through_another(name: str) -> None:
    for said, case in cases(name).items():
        run = rolled(case)
        lean = np.hypot(run.channels["roll"].values, run.channels["pitch"].values)
        moved = np.flatnonzero(lean > lean[0] + 0.05)
        begins = run.time[moved[0]] if len(moved) else run.time[-1]
        load = case.load
        moves = load is not None and (load.hung_by is not None or load.on_forks == "free")
        every = EVERY if moves else JOINED_EVERY
        deep, where = deepest(run, case, (*np.arange(begins, run.time[-1], every), run.time[-1]))
        assert deep < DEEPEST, f"{said}: {1e3 * deep:.0f} mm, {where}"


def _part(name: str, body: int, low: tuple[float, float, float], high: tuple[float, float, float]) -> Part:
    solid = box(low, high)
    return Part(name, body, solid.vertices, solid.faces, 1.0, (0.0, 0.0, 0.0), "load")


def test_depth_of_two_boxes_is_that_of_the_nearer_way_out() -> None:
    """By hand: 0.3 m of 1 m along x, 0.02 m along z."""
    made = pieces([_part("a", 0, (0, 0, 0), (1, 1, 1)), _part("b", 5, (0.7, 0, 0.98), (2, 1, 2))], np.zeros((6, 3)))
    one, other = ((piece.corners, piece.faces, piece.edges) for piece in made)
    assert depth(one, other) == pytest.approx(0.02)
    shifted = (other[0] + (0.0, 0.0, 0.03), other[1], other[2])
    assert depth(one, shifted) == pytest.approx(-0.01)


def test_what_is_left_out_is_said_with_its_reason() -> None:
    assert all(len(why) > 5 for why in (*JOINED.values(), *GIVE_WAY.values()))
