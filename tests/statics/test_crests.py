"""The crest over each line is a saddle of the stored energy: no force is left there, and one way alone leads down."""

from __future__ import annotations

import numpy as np
import pytest

from tipline.endings import LINES
from tipline.kernels import equilibrium as solver
from tipline.scenario import read
from tipline.statics import barrier
from tipline.statics.truck import truck_of

PIVOTING, FIXED, HUNG = "floor-falls-diagonally", "floor-turned-until-something-goes", "load-shed-from-the-jib"


@pytest.mark.parametrize("name", [PIVOTING, FIXED, HUNG])
def test_the_crest_over_a_line_is_a_saddle(name: str) -> None:
    truck = truck_of(read(name))
    pull = truck.gravity(0.0, 0.0)
    pose = truck.rest(pull, 1.0)
    weight, home = float(truck.plant.mass.sum()) * 9.80665, truck.build.home.copy()
    home[:3] = 0.0
    state = np.zeros((6, 3)), np.zeros((6, 3, 3)), np.zeros((len(truck.plant.tyre), 14))
    fixed = truck.plant, pull, np.zeros((6, 6)), home, np.zeros(0), np.zeros(3), *state
    for line in LINES:
        over = barrier.crest(truck, pose, line)
        left, k = np.zeros(solver.N_Q), np.zeros((solver.N_Q, solver.N_Q))
        solver.residual(over.q, *fixed, left)
        solver.stiffness(over.q, left, *fixed, k)
        assert over.energy > 0.0
        assert np.abs(left).max() < 1e-8 * weight
        scale = np.sqrt(np.abs(np.diag(k)))
        assert int((np.linalg.eigvalsh(0.5 * (k + k.T) / np.outer(scale, scale)) < 0.0).sum()) == 1


def test_a_search_that_leaves_a_place_without_force_is_given_up(monkeypatch: pytest.MonkeyPatch) -> None:
    truck = truck_of(read("front-tyre-sinks-in-soft-ground"))
    pose, looks, formed = truck.rest(truck.gravity(0.0, 0.0), 1.0), list[int](), solver.stiffness
    monkeypatch.setattr(solver, "stiffness", lambda *given: (looks.append(1), formed(*given))[1])
    assert np.isnan(barrier.crest(truck, pose, "left").energy)
    assert len(looks) < 20
