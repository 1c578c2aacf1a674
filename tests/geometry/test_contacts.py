"""The points that meet the floor stand for all that is drawn: nothing reaches far below them, however a truck leans."""

from __future__ import annotations

import numpy as np
import pytest

from few import slow_but
from tipline.geometry.assembly import Assembly, assemble
from tipline.model import read_machine
from tipline.model.machine import Machine
from tipline.model.shipped import list_shipped
from tipline.scenario.spec import Setup

NEAR = 0.03
"""How far a drawn solid may reach below the points [m]: rounded ends, lamps, lugs."""
HANGING = {"hook", "hook block", "hook block sheave", "hoist rope"}
"""What hangs from the jib on the hoist rope, and gives way."""
DIRECTIONS = 4_000


def set_ups(machine: Machine) -> list[Setup]:
    """Everything in, everything out, on the jib's first and last pin, and bare."""
    slabs = machine.ballast_slab.most if machine.ballast_slab is not None else 0
    found = [Setup(attachment="none")]
    if machine.forks is not None:
        out = machine.counterweight.stroke
        found += [
            Setup(attachment="forks", fork_height=0.15),
            Setup(attachment="forks", fork_height=3.0, ballast_slabs=slabs, counterweight_extension=out),
            Setup(attachment="forks", fork_height=1.0, ballast_slabs=1, tilt=0.5 * machine.mast.tilt_back),
        ]
    if machine.jib is not None:
        first, last = machine.jib.reach_pins[0], machine.jib.reach_pins[-1]
        found += [Setup(attachment="jib", jib_reach=first, fork_height=0.5)]
        found += [Setup(attachment="jib", jib_reach=last, fork_height=3.0)]
    return found


def ups(furthest: float) -> np.ndarray:
    """Draw the floor's upright (n, 3) as seen from trucks that lean by up to an angle [deg], any way."""
    rng = np.random.default_rng(13)
    cosine = rng.uniform(np.cos(np.radians(furthest)), 1.0, DIRECTIONS)
    way, sine = rng.uniform(-np.pi, np.pi, DIRECTIONS), np.sqrt(1.0 - cosine**2)
    return np.column_stack([sine * np.cos(way), sine * np.sin(way), cosine])


def lowest(up: np.ndarray, points: np.ndarray) -> np.ndarray:
    """Height of the lowest of points (m, 3) for each upright (n,)."""
    return (up @ points.T).min(axis=1)


def reaching(truck: Assembly, up: np.ndarray, *, tyres: bool) -> dict[str, float]:
    """By how much each drawn part reaches below the points, tyres counted or not [m]."""
    points = [np.array([contact.position for contact in truck.contacts])]
    if tyres:
        points += [part.vertices for part in truck.parts if part.kind == "tyre"]
    floor = lowest(up, np.concatenate(points))
    rest = [part for part in truck.parts if part.kind not in ("tyre", "wheel") and part.name not in HANGING]
    return {part.name: float((floor - lowest(up, part.vertices)).max()) for part in rest}


@pytest.mark.parametrize("name", slow_but(list_shipped()["machine"], "demo-truck-a"))
def test_nothing_drawn_reaches_the_floor_before_tyres_and_corners(name: str) -> None:
    """Leaning up to 100 degrees, on its side; it was 120 to 270 mm at the side pods, 100 mm at the load backrest."""
    machine, up = read_machine(name), ups(100.0)
    for setup in set_ups(machine):
        found = reaching(assemble(machine, setup), up, tyres=True)
        deepest = max(found, key=lambda part: found[part])
        assert found[deepest] < NEAR, (setup.attachment, setup.fork_height, deepest, found[deepest])


@pytest.mark.parametrize("name", slow_but(list_shipped()["machine"], "demo-truck-a"))
def test_nothing_drawn_reaches_the_floor_before_the_corners_where_tyres_are_down_in_holes(name: str) -> None:
    """Leaning up to 50 degrees with the tyres below the floor; it was 210 to 440 mm at the side pods."""
    machine, up = read_machine(name), ups(50.0)
    for setup in set_ups(machine):
        found = reaching(assemble(machine, setup), up, tyres=False)
        deepest = max(found, key=lambda part: found[part])
        assert found[deepest] < NEAR, (setup.attachment, setup.fork_height, deepest, found[deepest])


@pytest.mark.parametrize("name", slow_but(list_shipped()["machine"], "demo-truck-a"))
def test_no_corner_stands_out_of_what_is_drawn(name: str) -> None:
    """A corner in the air would hold a truck up on nothing."""
    machine, up = read_machine(name), ups(100.0)
    for setup in set_ups(machine):
        truck = assemble(machine, setup)
        drawn = lowest(up, np.concatenate([part.vertices for part in truck.parts]))
        for contact in truck.contacts:
            out = float((drawn - up @ contact.position).max())
            assert out < NEAR, (setup.attachment, contact.name, out)
