"""Left and right are alike on a truck that is even on both sides, whatever stands above it; runs begin mirrored."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest

from cases import HUNG, Make
from tipline.kernels import equilibrium as solver
from tipline.kernels import layout as at
from tipline.scenario import Case
from tipline.statics.limits import mirrored
from tipline.statics.truck import truck_of

SIDES = {"left": "right", "swing.left": "swing.right", "front": "front", "back": "back"}


def drawn(make: Make, count: int) -> Iterator[tuple[dict[str, str], Case]]:
    """Draw jib set-ups of truck A: 124 of 532 such had both leans end in the pose to the left."""
    rng = np.random.default_rng(5)
    for _ in range(count):
        change = {
            "setup.jib_reach": f"{rng.choice([1.6, 1.9, 2.2])} m",
            "setup.hook_height": f"{rng.uniform(3.5, 7.0):.2f} m",
            "setup.counterweight_extension": f"{rng.choice([0.4, 0.8, 1.2])} m",
            "setup.heading": f"{rng.uniform(0.0, 360.0):.1f} deg",
            "load.mass": f"{rng.uniform(1.0, 5.0):.2f} t",
        }
        yield change, make(HUNG, change)


@pytest.mark.slow
def test_an_even_truck_has_even_distances_in_every_jib_set_up(make: Make) -> None:
    told = 0
    for change, case in drawn(make, 120):
        truck = truck_of(case)
        assert mirrored(truck)
        poses = [truck.rest(truck.gravity(0.0, 0.0), lean, compiled=True) for lean in (1.0, -1.0)]
        if not all(pose.stands for pose in poses):
            assert not any(pose.stands for pose in poses), change
            continue
        told += 1
        left, right = poses
        assert left.q[solver.Q_MAST_X] < 0.0 < right.q[solver.Q_MAST_X], change
        for own, other in SIDES.items():
            assert left.distances[own] == pytest.approx(right.distances[other], abs=1e-6), (change, own)
    assert told > 60


def test_the_unknowns_mirrored_twice_are_the_same_and_once_the_mirrored_pose(make: Make) -> None:
    truck = truck_of(make(HUNG, {"setup.heading": "37 deg"}))
    q = np.array([-0.012, 0.01, -0.02, 0.03, -0.004, 0.015, 0.002, -0.003])
    heading = np.radians(37.0)
    assert solver.mirrored(solver.mirrored(q, heading), heading) == pytest.approx(q, abs=1e-15)
    poses = []
    for one in (q, solver.mirrored(q, heading)):
        position, rot = np.zeros((6, 3)), np.zeros((6, 3, 3))
        solver.pose(one, truck.plant, truck.build.home, 0.0, position, rot)
        away = position - np.array([*truck.case.scenario.setup.position, 0.0])
        c, s = np.cos(heading), np.sin(heading)
        poses.append(away @ np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]]))
    held = truck.plant.mass > 0.0
    held[at.LOAD] = False
    assert poses[1][held] == pytest.approx(poses[0][held] * (1.0, -1.0, 1.0), abs=1e-3)
