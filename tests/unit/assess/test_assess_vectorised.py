from __future__ import annotations

import numpy as np
import pytest

from tipline.assess.statics import truck_of
from tipline.assess.vectorised import compliant_distances, poses, rigid_distances
from tipline.geometry.plant import G
from tipline.kernels import layout as at

from .conftest import HUNG, Make, rated_text, stiffened


def test_poses_of_many_are_those_of_the_kernel(make: Make) -> None:
    truck = truck_of(make(rated_text("demo-truck-a"), {"setup.heading": "40 deg", "setup.position": '["2 m", "1 m"]'}))
    solved = [truck.solve(truck.gravity(slope, 1.0), truck.start(1.0)) for slope in (0.0, 0.02)]
    position, rot = poses(truck, np.array([pose.q for pose in solved]))
    for index, pose in enumerate(solved):
        assert position[index, : at.LOAD] == pytest.approx(pose.position[: at.LOAD], abs=1e-12)
        assert rot[index, : at.LOAD] == pytest.approx(pose.rot[: at.LOAD], abs=1e-12)


def test_rigid_distances_are_those_of_a_stiff_truck_that_is_solved(make: Make) -> None:
    truck = truck_of(stiffened(make(HUNG)))
    slopes = np.array([0.0, 0.01, 0.02])
    found = rigid_distances(truck, np.array([truck.gravity(slope, 0.7) for slope in slopes]))
    for index, slope in enumerate(slopes):
        pose = truck.solve(truck.gravity(slope, 0.7), truck.start(1.0))
        for line, distance in pose.distances.items():
            assert found[line][index] == pytest.approx(distance, abs=2e-3), line


def test_load_lift_and_extension_move_the_balance_as_the_set_up_built_anew(make: Make) -> None:
    change = {"load.mass": "4 t", "setup.fork_height": "1.5 m", "setup.counterweight_extension": "0.6 m"}
    text = rated_text("demo-truck-a")
    truck, anew = truck_of(make(text)), truck_of(make(text, change))
    pull = np.array([0.3, 0.2, -G])
    moved = rigid_distances(truck, pull, load=4000.0, lift=1.5 - 5.55, extension=0.6 - 1.2)
    built = rigid_distances(anew, pull)
    # the mast is drawn with its stages out, so its own centre sinks with the forks; that is left out
    for line in ("front", "swing.left", "swing.right"):
        assert moved[line][0] == pytest.approx(built[line][0], abs=8e-3), line
    # with the stop in the height of the centre counts as well, by the sine of the stop, 0.07
    for line in ("left", "right"):
        assert moved[line][0] == pytest.approx(built[line][0], abs=12e-3), line
    assert abs(rigid_distances(truck, pull)["front"][0] - built["front"][0]) > 0.1


def test_many_rigid_set_ups_broadcast(make: Make) -> None:
    truck = truck_of(make(rated_text("demo-truck-c")))
    loads = np.linspace(0.0, 6000.0, 7)
    found = rigid_distances(truck, np.array([0.0, 0.0, -G]), load=loads)
    assert found["front"].shape == (7,)
    assert (np.diff(found["front"]) < 0.0).all()


def test_compliant_distances_are_those_of_each_pose_and_nan_where_it_falls(make: Make) -> None:
    truck = truck_of(make(HUNG))
    slopes = np.array([0.0, 0.01, 0.02, 0.04, 0.2])
    solved = compliant_distances(truck, np.array([truck.gravity(slope, 0.0) for slope in slopes]))
    assert solved.stands.tolist() == [True, True, True, True, False]
    near = truck.start(1.0)
    for index, slope in enumerate(slopes[:4]):
        pose = truck.solve(truck.gravity(slope, 0.0), near)
        near = pose.q
        assert solved.loads[index] == pytest.approx(pose.loads, rel=1e-5)
        for line, distance in pose.distances.items():
            assert solved.distances[line][index] == pytest.approx(distance, abs=1e-6), line
    assert np.isnan(solved.distances["front"][4])
    assert np.isnan(solved.loads[4]).all()
