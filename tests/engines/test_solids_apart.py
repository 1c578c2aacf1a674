"""No drawn solid passes through one of another body or the floor, and what fell comes to rest.

In any shipped scenario or its neighbour, each run on for some seconds past its own end.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from overlap import BENT, GIVE_WAY, JOINED, deepest, deepest_in_floor, depth, pieces
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

FELL = 0.35
"""Lean [rad] past which a truck has fallen (our choice: more than any that comes back)."""
LATER = 16.0
"""How long past a run's own end what fell is looked at [s]."""
RESTS = 0.030
"""How far [m] the middle of any body moves in the last second of that: a truck on its mast and one tyre rocks long."""
PUSHED = {"threshold-met-at-a-walk": "its drive tyres push it on as it lies"}
"""Scenarios in which what fell goes on, and why."""


def rolled(case: Case) -> Run:
    """A run on past its own end, so that what fell lies."""
    run = case.scenario.run
    longer = run.model_copy(update={"duration": run.duration + LATER, "extend_to": run.duration + LATER})
    scenario = case.scenario.model_copy(update={"run": longer})
    return simulate(replace(case, scenario=scenario, cells=()), zones=floor_laws(case).zones, engine="compiled")


def cases(name: str) -> dict[str, Case]:
    """A shipped scenario and its neighbour."""
    own = read(name)
    assert own.scenario.expect is not None
    assert own.scenario.expect.neighbour is not None
    return {name: own, f"{name}, neighbour": read(name, dict(own.scenario.expect.neighbour.set))}


@pytest.mark.slow
@pytest.mark.parametrize("name", list_shipped()["scenario"])
def test_no_solid_passes_through_another_and_what_fell_lies(name: str) -> None:
    for said, case in cases(name).items():
        run, load, end = rolled(case), case.load, case.scenario.run.duration
        lean = np.hypot(run.channels["roll"].values, run.channels["pitch"].values)
        moved = np.flatnonzero(lean > lean[0] + 0.05)
        begins = run.time[moved[0]] if len(moved) else end
        moves = load is not None and (load.hung_by is not None or load.on_forks == "free")
        times = (*np.arange(begins, end, EVERY if moves else JOINED_EVERY), end)
        deep, where = deepest(run, case, times)
        assert deep < DEEPEST, f"{said}: {1e3 * deep:.0f} mm, {where}"
        deep, where = deepest(run, case, times, BENT)
        assert deep < DEEPEST, f"{said}: {1e3 * deep:.0f} mm, {where}"
        if all(event.kind != "ramp" for event in case.scenario.event):
            deep, where = deepest_in_floor(run, case, times)
            assert deep < DEEPEST, f"{said}: {1e3 * deep:.0f} mm in the floor, {where}"
        if lean[run.time <= end].max() > lean[0] + FELL and name not in PUSHED:
            last = run.poses[run.time >= run.time[-1] - 1.0, :, :3]
            assert np.ptp(last, axis=0).max() < RESTS, f"{said}: {np.ptp(last, axis=0).max(axis=1)}"


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
    assert all(len(why) > 5 for why in (*JOINED.values(), *GIVE_WAY.values(), *PUSHED.values()))
