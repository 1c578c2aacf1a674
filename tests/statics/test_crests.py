"""The crest over each line is a saddle of the stored energy: no force is left there, and one way alone leads down."""

from __future__ import annotations

import numpy as np
import pytest

from tipline.endings import LINES
from tipline.engines.prepare import prepare
from tipline.engines.watching import watch_of
from tipline.kernels import equilibrium as solver
from tipline.kernels import layout as at
from tipline.kernels.watching import C_SOFT
from tipline.scenario import read
from tipline.statics import barrier
from tipline.statics.truck import Pose, Truck, truck_of
from trucks import rolled

PIVOTING, FIXED, HUNG = "floor-falls-diagonally", "floor-turned-until-something-goes", "load-shed-from-the-jib"


def hold_saddle(truck: Truck, pose: Pose, line: str) -> float:
    """Hold the crest over a line to be a saddle; its energy [J]."""
    weight, home = float(truck.plant.mass.sum()) * 9.80665, truck.build.home.copy()
    home[:3] = 0.0
    state = np.zeros((6, 3)), np.zeros((6, 3, 3)), np.zeros((len(truck.plant.tyre), 14))
    fixed = truck.plant, pose.gravity, np.zeros((6, 6)), home, np.zeros(0), np.zeros(3), *state
    over = barrier.crest(truck, pose, line)
    left, k = np.zeros(solver.N_Q), np.zeros((solver.N_Q, solver.N_Q))
    solver.residual(over.q, *fixed, left)
    solver.stiffness(over.q, left, *fixed, k)
    assert over.energy > 0.0
    assert np.abs(left).max() < 1e-8 * weight
    scale = np.sqrt(np.abs(np.diag(k)))
    assert int((np.linalg.eigvalsh(0.5 * (k + k.T) / np.outer(scale, scale)) < 0.0).sum()) == 1
    return over.energy


@pytest.mark.parametrize("name", [PIVOTING, FIXED, HUNG])
def test_the_crest_over_a_line_is_a_saddle(name: str) -> None:
    truck = truck_of(read(name))
    pose = truck.rest(truck.gravity(0.0, 0.0), 1.0)
    for line in LINES:
        hold_saddle(truck, pose, line)


@pytest.mark.parametrize(
    ("name", "height", "low", "high"),
    [
        # between those of 0.22 m and 0.24 m, found by a search of which no step was longer than its own
        ("unladen-counterweight-out-falls-back", 0.23, 4670.1, 4685.5),
        # such a search finds none here; a rigid truck, which does not lean as its tyres give, has more
        ("threshold-met-at-a-walk", 0.221, 0.9, 1.0),
    ],
)
def test_a_search_goes_on_from_a_place_where_the_energy_falls_in_two_ways(
    name: str, height: float, low: float, high: float
) -> None:
    changes = {"setup.fork_height": f"{height} m"}
    changes |= {"setup.counterweight_extension": "0.2 m"} if name.startswith("unladen") else {"load.mass": "1.2 t"}
    truck = truck_of(read(name, changes))
    pose = truck.rest(truck.gravity(0.0, 0.0), 1.0)
    whole = 1.0 if high > 1.0 else float(barrier.rigid_energies(truck, pose)[1])
    assert low * whole < hold_saddle(truck, pose, "back") < high * whole


def test_one_side_of_a_truck_tells_the_other_where_a_search_goes_astray(monkeypatch: pytest.MonkeyPatch) -> None:
    truck = truck_of(read(PIVOTING))
    found, search = barrier.energies_to_tip(truck)[0], barrier.crest
    assert found["left"] == found["right"] > 0.0
    for astray in ("left", "right"):
        lost = barrier.Crest(np.nan, np.zeros(solver.N_Q))
        monkeypatch.setattr(barrier, "crest", lambda *of, lost=lost, a=astray: lost if of[2] == a else search(*of))
        assert barrier.energies_to_tip(truck)[0] == pytest.approx(found, rel=1e-9)


def test_a_crest_is_found_from_whichever_side_the_mast_leans_to() -> None:
    """Half the searches to a side began with one tyre of it in the air and came back to the pose at rest."""
    truck = truck_of(read("slow-lean-on-soft-ground"))
    poses = [truck.rest(truck.gravity(0.0, 0.0), lean) for lean in (1.0, -1.0)]
    over = [hold_saddle(truck, pose, line) for pose in poses for line in ("left", "right")]
    assert over == pytest.approx([over[0]] * 4, rel=1e-6)


@pytest.mark.parametrize("name", ["front-tyre-sinks-in-soft-ground", "soft-ground-under-one-side"])
def test_a_truck_with_its_load_aside_has_a_crest_on_that_side_too(name: str) -> None:
    """Below that of a rigid truck, and above it less the bound of what springs give: the truck of the shipped runs."""
    found = read(name)
    truck = truck_of(found)
    pose = truck.rest(truck.gravity(0.0, 0.0), 1.0)
    rigid, prepared = barrier.rigid_energies(truck, pose)[2], prepare(found, brief=True)
    held = rolled(prepared, 0.0).record[0, -at.N_WATCHED - 4]
    assert rigid - watch_of(prepared, 2e-3).crest[2, C_SOFT] - held < hold_saddle(truck, pose, "left") < rigid


def test_a_search_that_leaves_the_pose_at_rest_is_given_up(monkeypatch: pytest.MonkeyPatch) -> None:
    truck = truck_of(read("front-tyre-sinks-in-soft-ground"))
    pose, looks, formed = truck.rest(truck.gravity(0.0, 0.0), 1.0), list[int](), solver.stiffness
    monkeypatch.setattr(solver, "stiffness", lambda *given: (looks.append(1), formed(*given))[1])
    monkeypatch.setattr(barrier, "distance", lambda *_: 0.0)  # so that it begins where the truck stands
    over = barrier.crest(truck, pose, "left")
    assert np.isnan(over.energy)
    assert over.q == pytest.approx(pose.q, abs=1e-6)
    assert len(looks) < 20


def test_what_springs_give_on_a_crest_that_is_not_found_is_not_known() -> None:
    """A truck taken for rigid there would have the most energy to tip."""
    losses = barrier.crest_losses(read("service-stop-load-low"))
    assert np.isfinite(losses).tolist() == [True, False, True, True]
    assert losses[[0, 2, 3]].min() > 0.0
