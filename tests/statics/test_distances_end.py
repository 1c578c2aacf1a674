"""A distance is nought exactly where the equilibrium itself ends: poses followed down a slope until none is left.

On tall trucks the last load on the other side goes as the equilibrium does. What is then left of a distance is what the
tyres, soft where they are hardly pressed, still carry there: up to 1 % of the distance on a level floor, or 5 mm. Where
a frame swings, what tyres and mast give on the stop is left out of the tip distances: within 20 mm it is not sure that
the truck stands there.

Measured.

When a pose counts as standing. The symmetric part of its stiffness must be definite. That is enough and not needed:
friction follows the load, so stiffness is not symmetric. On tyres of 5 to 20 MN/m poses end where the determinant
does; on harder ones a swing is told too early, by 1 to 4 % at 50 MN/m, 3 to 12 % at 2 GN/m.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest

from cases import HUNG, Make, changed, rated_text
from tipline.endings import LINES
from tipline.kernels import equilibrium as solver
from tipline.kernels.slopes import put_on_stop
from tipline.scenario import Case
from tipline.statics.truck import Pose, Truck, truck_of

PART, NOUGHT, ON_STOP = 0.01, 5e-3, 20e-3
STEEPEST = 0.7
SIDES = {"left": 1.0, "right": -1.0}


def follow(truck: Truck, azimuth: float, pose: Pose, slope: float = 0.0) -> tuple[float, Pose]:
    """Follow the pose down a slope that grows, to the last that stands near the one before it."""
    step = 0.02
    while step > 1e-5 and slope < STEEPEST:
        found = truck.solve(truck.gravity(slope + step, azimuth), pose, compiled=True)
        if found.stands and np.abs(found.q - pose.q)[solver.Q_ROLL : solver.Q_LIFT].max() < 0.02:
            slope, pose = slope + step, found
        else:
            step /= 2
    return slope, pose


def level(truck: Truck, azimuth: float) -> Pose:
    lean = 1.0 if np.sin(azimuth) >= 0.0 else -1.0
    return truck.solve(truck.gravity(0.0, 0.0), truck.start(lean), compiled=True)


def stood_on_stop(truck: Truck, azimuth: float, slope: float, pose: Pose, side: str) -> tuple[Pose, float] | None:
    """Put the frame on its stop where it swings; None: it does not stand there. Follow it on to where it lets go."""
    machine = truck.case.machine
    half = max(abs(tyre.across) for tyre in machine.drive_axle.tyre)
    start = pose.q.copy()
    put_on_stop(SIDES[side], np.array([machine.wheelbase, half, truck.case.scenario.setup.heading]), truck.plant, start)
    for part in (1.002, 1.0, 0.98, 0.96, 0.94):
        at = part * slope
        on_it = truck.solve(truck.gravity(at, azimuth), start, compiled=True)
        if on_it.stands and abs(on_it.q[solver.Q_AXLE]) >= truck.outline.stop:
            last, end = follow(truck, azimuth, on_it, at)
            return (end, last) if last >= slope else None
    return None


def of_demo_trucks(make: Make) -> Iterator[tuple[str, Case]]:
    yield "hung", make(HUNG)
    for name in ("demo-truck-a", "demo-truck-b", "demo-truck-c"):
        for height in ("2 m", "4.5 m"):
            yield f"{name} at {height}", make(rated_text(name, height=height))


def own_trucks(make: Make, count: int) -> Iterator[tuple[str, Case]]:
    """Draw trucks: track, tyres, stop and play of the demo trucks changed; some height, the load off its middle."""
    rng = np.random.default_rng(20)
    for index in range(count):
        name = ("demo-truck-a", "demo-truck-b", "demo-truck-c")[index % 3]
        aside = f'centre_offset = ["0 m", "{rng.uniform(-0.1, 0.1):.3f} m"]\n'
        case = make(rated_text(name, height=f"{rng.uniform(1.5, 4.5):.2f} m") + aside)
        wide, hard = rng.uniform(0.8, 1.2, 2)

        def own(axle: object, wide: float = wide, hard: float = hard) -> object:
            tyres = tuple(
                changed(tyre, across=wide * tyre.across, stiffness=hard * tyre.stiffness)
                for tyre in axle.tyre  # type: ignore[attr-defined]
            )
            return changed(axle, tyre=tyres)

        machine = case.machine
        steer = own(machine.steer_axle)
        if machine.steer_axle.kind == "pivoting":
            steer = changed(steer, stop=rng.uniform(0.03, 0.09))
        mast = changed(machine.mast, roller_play=rng.uniform(0.0, 0.01))
        yield (
            f"own {index}",
            replace(case, machine=changed(machine, drive_axle=own(machine.drive_axle), steer_axle=steer, mast=mast)),
        )


def ends_at_nought(name: str, case: Case, directions: np.ndarray) -> int:
    """Hold every distance to nought where its path ends; return how many ended."""
    truck, ended = truck_of(case), 0
    for azimuth in directions:
        slope, pose = follow(truck, azimuth, level(truck, azimuth))
        if slope >= STEEPEST:
            continue
        ended += 1
        at_rest = level(truck, azimuth).distances
        nought = {of: max(NOUGHT, PART * apart) for of, apart in at_rest.items()}
        where = f"{name}, {np.degrees(azimuth):.0f} degrees"
        line = min(pose.distances, key=lambda of: pose.distances[of])
        assert abs(pose.distances[line]) < nought[line], where
        early = truck.solve(truck.gravity(0.9 * slope, azimuth), level(truck, azimuth), compiled=True)
        assert all(apart > nought[of] for of, apart in early.distances.items()), where
        side = next((one for one in SIDES if pose.distances.get(f"swing.{one}", 1.0) < NOUGHT), None)
        if side is None or min(pose.distances["front"], pose.distances["back"]) < 4 * NOUGHT:
            continue
        left, on_it = pose.distances[side], stood_on_stop(truck, azimuth, slope, pose, side)
        if on_it is None:
            assert left < ON_STOP, f"{where}: goes over as it swings"
        elif on_it[1] < STEEPEST:
            assert abs(min(on_it[0].distances[of] for of in LINES)) < NOUGHT, f"{where}, on its stop"
    return ended


@pytest.mark.slow
def test_the_distances_of_the_demo_trucks_are_nought_where_the_equilibrium_ends(make: Make) -> None:
    directions = np.radians(np.arange(0.0, 360.0, 20.0))
    ended = [ends_at_nought(name, case, directions) for name, case in of_demo_trucks(make)]
    assert sum(ended) > 80


@pytest.mark.slow
def test_the_distances_of_own_trucks_are_nought_where_the_equilibrium_ends(make: Make) -> None:
    rng = np.random.default_rng(21)
    ended = [ends_at_nought(name, case, rng.uniform(0.0, 2.0 * np.pi, 8)) for name, case in own_trucks(make, 15)]
    assert sum(ended) > 80


def test_between_twins_nothing_is_left_where_both_of_a_side_carry_all(make: Make) -> None:
    """The line runs between the twins: 0.9 m out on truck B, and not by the outer tyre, 0.2 m further."""
    truck = truck_of(make(rated_text("demo-truck-b", height="2 m")))
    pose = level(truck, 0.0)
    across = [tyre.across for tyre in truck.case.machine.drive_axle.tyre if tyre.across > 0.0]
    rear = max(tyre.across for tyre in truck.case.machine.steer_axle.tyre)
    share = float(pose.loads[:4].sum() / pose.loads.sum())
    expected = share * float(np.mean(across)) + (1.0 - share) * rear
    assert pose.distances["left"] == pytest.approx(expected, abs=5e-3)
