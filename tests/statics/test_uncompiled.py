"""The statics kernels as plain Python: the same values from Python's floats, and no long search along a crest.

Measured.

Statics in kernels. `kernels/equilibrium.py` finds the pose at rest with the same contact law as the simulation. Run
as plain Python for `check` (8 ms a pose, 2 from a neighbour, no numba import), compiled for everything that needs
many (0.2 ms cold, about 10 us from a neighbour: 1.4e5 set-ups a second on one core). Uncompiled they get arrays of
Python's own floats (`kernels/uncompiled.py`), which halves their time; a search that creeps along a crest ends after
twelve steps.

Speed of `check` (processor time of a process, bytecode at hand): 0.4 to 0.5 s on rigid floors, 0.5 to 0.6 s on slabs,
ground and covers; of an own truck, which stands in some forty set-ups, 0.3 to 0.6 s more, as much again before poses
were found from their twins on the other side and from a truck that is near; `--help` 0.13 s. Half of it is loading; on
slabs it was 1.0 s, of which scipy took 0.15. The command line keeps OpenBLAS to one thread: for matrices as small as
ours a second one only waits, 0.1 s a command.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from tipline import scenario
from tipline.kernels import equilibrium as solver
from tipline.kernels.uncompiled import for_python, plant_for_python
from tipline.model.shipped import list_shipped
from tipline.pose.assessment import assess_pose
from tipline.statics.truck import Truck, truck_of


@pytest.fixture(scope="module")
def truck() -> Truck:
    return truck_of(scenario.read("counterweight-run-home-under-load"))


def test_python_floats_give_the_very_same_forces(truck: Truck) -> None:
    q = truck.start(1.0)
    q[:5] += [-0.006, 0.002, -0.003, 0.001, 0.0005]
    fixed = [truck.gravity(0.05, 1.0), np.full((6, 6), 3.0), truck.build.home, np.zeros(0), np.zeros(3)]
    fixed += [np.zeros((6, 3)), np.zeros((6, 3, 3)), np.zeros((len(truck.plant.tyre), 14))]
    arrays, plain = np.zeros(8), for_python(np.zeros(8))
    energy = solver.residual(q, truck.plant, *fixed, arrays)
    same = solver.residual(for_python(q), plant_for_python(truck.plant), *map(for_python, fixed), plain)
    assert {type(value) for value in plain} == {float}
    assert np.abs(arrays).min() > 0.0
    assert same == energy
    assert plain.tolist() == arrays.tolist()


@pytest.mark.parametrize("name", list_shipped()["scenario"])
def test_compiled_they_find_the_same_poses(name: str) -> None:
    """Within a hundredth of what is printed; the tests of other rooms have theirs found by compiled code."""
    truck = truck_of(scenario.read(name))
    for slope, azimuth in ((0.0, 0.0), (0.05, 1.0)):
        pull = truck.gravity(slope, azimuth)
        plain, compiled = (truck.rest(pull, 1.0, compiled=way) for way in (False, True))
        assert plain.stands == compiled.stands
        if not plain.stands:
            continue
        assert compiled.loads == pytest.approx(plain.loads, rel=1e-6, abs=1.0)
        assert compiled.distances == pytest.approx(plain.distances, abs=1e-6)


@pytest.mark.slow
def test_a_search_that_creeps_along_a_crest_ends_with_what_a_long_one_says(
    truck: Truck, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Parked nose up on a slope a little steeper than it bears, the search crawled on for eighty steps, twice."""
    counted = []
    whole = solver.residual

    def residual(*arguments: Any) -> float:
        counted[-1] += 1
        return whole(*arguments)

    counted.append(0)
    monkeypatch.setattr(solver, "residual", residual)
    near = truck.start(1.0)
    for slope in (0.0, 0.41):
        near = truck.solve(truck.gravity(slope, np.pi), near)
    stands = []
    for most in (solver.CREEP_MOST, 10_000):
        counted.append(0)
        monkeypatch.setattr(solver, "CREEP_MOST", most)
        stands.append(truck.solve(truck.gravity(0.57, np.pi), near).stands)
    assert stands == [False, False]
    assert counted[1] < 250
    assert counted[2] > 1000


def test_of_two_mirrored_leans_the_left_one_is_shown(truck: Truck) -> None:
    """Left and right are alike here but for rounding, which must not choose what the page says."""
    report = assess_pose(truck.case)
    assert report.lean == "left"
    assert report.tyre_loads["front-left"] > report.tyre_loads["front-right"]


def test_the_pose_at_rest_is_solved_once_for_all_who_ask(monkeypatch: pytest.MonkeyPatch) -> None:
    """Statics and floor both ask for it; another case, another gravity and another load are solved anew."""
    case = scenario.read("stop-with-the-load-up-breaks-a-slab")
    fresh = truck_of(case)
    level, solved = fresh.gravity(0.0, 0.0), []
    whole = solver.solve

    def solve(*arguments: Any) -> Any:
        solved.append(1)
        return whole(*arguments)

    monkeypatch.setattr(solver, "solve", solve)
    first = fresh.rest(level, 1.0)
    assert truck_of(case).rest(level.copy(), 1.0) is first
    assert len(solved) == 1
    assert truck_of(case).rest(level, -1.0).loads.tolist() != first.loads.tolist()
    assert fresh.rest(fresh.gravity(0.02, 0.0), 1.0).loads.tolist() != first.loads.tolist()
    assert fresh.with_load(0.5 * fresh.load_mass).rest(level, 1.0).loads.sum() < 0.98 * first.loads.sum()
    other = scenario.read("stop-with-the-load-up-breaks-a-slab", {"setup.tilt": "1 deg"})
    assert truck_of(other).rest(level, 1.0).loads.tolist() != first.loads.tolist()
    assert truck_of(case) is not fresh
