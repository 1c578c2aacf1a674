"""What was thrown comes to rest: on its tyres as rubber damps, on its body as plates and ground do.

Before rubber settled to its load its damping went with speed alone, told for a bounce of 5 swings a second: a truck
that swayed once in 2 s lost a twelfth of what rubber takes, and swayed on. Point of truck or load that went farthest in
the last second of a run, before and after: rear tyre down 137 and 49 mm, stop with the load high 122 and 56. Where the
run ended in the middle of a fall, or soon after, up to 4.9 m, since it goes on till all lies 10 mm at most.

Of a tyre on the floor: damping ratio of natural rubber 0.025 to 0.075, of styrene-butadiene 0.05 to 0.125
[RubberDampingTable], of tyres 0.05 [TyreDampingLecture]. Solid tyres of lift trucks themselves: nothing found.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from shipped_runs import shipped_case, shipped_run
from tipline.geometry import assemble
from tipline.geometry.posed import posed
from tipline.kernels import layout as at
from tipline.kernels.links import axle_and_mast
from tipline.kernels.wheels import settle, tyre_normal
from tipline.model.shipped import list_shipped
from tipline.results import Run
from tipline.scenario import Case
from trucks import EMPTY, FORKS, drive, start


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


@pytest.mark.parametrize("swings", [0.25, 0.5, 1.0, 2.0, 4.0])
def test_a_tyre_loses_as_much_of_a_slow_sway_as_of_a_bounce(swings: float) -> None:
    """Loss factor of a tyre pressed in and let out by a twentieth of its compression, so many times a second.

    Tan delta of natural rubber 0.05 to 0.15, of styrene-butadiene 0.10 to 0.25 [RubberDampingTable]; before, at a swing
    in 4 s, 0.004. Work of a swing over pi times amplitude times greatest change of force.
    """
    prepared = start(FORKS)
    plant, raw, memory = prepared.build.plant, prepared.raw, at.new_memory(prepared.build.plant)
    turn, speed, out = np.tile(np.eye(3), (6, 1, 1)), np.zeros((6, 6)), np.zeros(14)
    steps, most = 400, 0.0005
    times = np.arange(3 * steps) / (swings * steps)
    work, forces = 0.0, []
    for k, time in enumerate(times):
        place, way = raw[:, :3].copy(), 2.0 * np.pi * swings
        place[at.CHASSIS, 2] -= most * np.sin(way * time)
        speed[at.CHASSIS, 2] = -most * way * np.cos(way * time)
        settle(memory.settled[0], times[1])
        tyre_normal(0, plant, place, turn, memory.depth, speed, np.zeros(2), memory.sunk[0], memory.settled[0], out)
        if k >= 2 * steps:
            work -= out[0] * speed[at.CHASSIS, 2] * times[1]
            forces.append(out[0])
    loss = work / (0.5 * np.pi * most * np.ptp(forces))
    print(f"\n{swings} swings a second: {loss:.3f}")
    assert 0.05 < loss < 0.15


@pytest.mark.slow
@pytest.mark.parametrize("name", list_shipped()["scenario"])
def test_a_shipped_run_ends_when_what_fell_lies_still(name: str, tmp_path_factory: pytest.TempPathFactory) -> None:
    """No point of a truck that went over, or of its load, goes 20 mm in the last second, nor does it turn a degree.

    Of one its own run, of the next its neighbour's.
    """
    neighbour = list_shipped()["scenario"].index(name) % 2 == 1
    found = shipped_case(name, neighbour=neighbour)
    run = shipped_run(tmp_path_factory, name, neighbour=neighbour)
    far, turned = moved(run, found)
    print(f"\n{run.time[-1]:.2f} s: {1e3 * far:.0f} mm, {np.degrees(turned):.2f} deg")
    if run.watched is not None and run.watched.truck in ("over", "resting"):
        assert far < 0.020
        assert turned < np.radians(1.0)


def moved(run: Run, found: Case) -> tuple[float, float]:
    """How far a corner of truck or load went in the last second [m], and by how much the truck turned [rad]."""
    last = run.time > run.time[-1] - 1.0
    matrices = posed(run.poses, np.array(run.meta["centres"]))[last]
    far = 0.0
    for contact in assemble(found.machine, found.scenario.setup, found.load).contacts:
        body = matrices[:, contact.body]
        way = body[:, :3, :3] @ contact.position + body[:, :3, 3]
        far = max(far, float(np.linalg.norm(np.ptp(way, axis=0))))
    turns = Rotation.from_matrix(matrices[:, at.CHASSIS, :3, :3])
    return far, float((turns * turns[-1].inv()).magnitude().max())


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
