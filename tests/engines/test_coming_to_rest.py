"""What was thrown comes to rest: on its tyres as rubber damps, on its body as plates and ground do.

Of a tyre on the floor: damping ratio of natural rubber 0.025 to 0.075, of styrene-butadiene 0.05 to 0.125
[RubberDampingTable], of tyres 0.05 [TyreDampingLecture]. Solid tyres of lift trucks themselves: nothing found.
"""

from __future__ import annotations

import numpy as np
import pytest

from tipline.kernels import layout as at
from tipline.kernels.links import axle_and_mast
from trucks import EMPTY, drive, start


def test_a_truck_that_bounces_on_its_tyres_decays_as_rubber_does() -> None:
    """From 20 mm/s down: logarithmic decrement of the sum of the tyre loads over its first swings."""
    prepared = start(EMPTY)
    prepared.raw[:, 9] = -0.02
    rows, _ = drive(prepared, 1.5)
    tyres = len(prepared.build.tyres)
    first = 1 + 13 * at.N_BODY
    loads = rows[:, first : first + at.N_TYRE_RECORD * tyres].reshape(len(rows), tyres, at.N_TYRE_RECORD)
    total = loads[:, :, at.R_LOAD].sum(axis=1)
    swing = total - 9.80665 * float(prepared.build.plant.mass.sum())
    peaks = np.flatnonzero((swing[1:-1] > swing[:-2]) & (swing[1:-1] >= swing[2:]) & (swing[1:-1] > 0.0)) + 1
    assert len(peaks) >= 4
    ratio = np.log(swing[peaks[0]] / swing[peaks[3]]) / (3 * 2.0 * np.pi)
    assert 0.025 < ratio < 0.125


def test_a_steer_axle_that_swings_in_the_air_is_calmed_by_its_pin() -> None:
    """By hand: its inertia over 0.4 s times its speed, against the chassis; before, nothing between the stops."""
    prepared = start(EMPTY)
    plant, speed, wrench, row = prepared.build.plant, np.zeros((6, 6)), np.zeros((6, 6)), np.zeros(at.N_SINGLE)
    speed[at.AXLE, 3] = 0.3
    turn = np.tile(np.eye(3), (6, 1, 1))
    memory = at.new_memory(plant)
    axle_and_mast(0, 1e-3, replace_play(plant), np.zeros((2, at.K_PLACE)), memory, turn, speed, wrench, row)
    about = float(plant.inertia[at.AXLE][0, 0])
    assert row[at.R_AXLE_TORQUE] == pytest.approx(-0.3 * about / 0.4)
    assert memory.energy[at.E_DISSIPATED] == pytest.approx(0.3**2 * about / 0.4 * 1e-3)


def replace_play(plant: at.Plant) -> at.Plant:
    """The same truck with a mast that nothing bends here."""
    mast = plant.mast.copy()
    mast[at.M_KX : at.M_PZ + 1] = 0.0
    return plant._replace(mast=mast)
