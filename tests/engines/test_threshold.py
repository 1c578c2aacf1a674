"""A truck that drives over what stands out of the floor."""

from __future__ import annotations

import numpy as np
import pytest

from cases import Make, rated_text
from shipped_runs import shipped_case, shipped_run
from tipline.engines.simulate import simulate
from tipline.kernels import layout as at
from tipline.mechanics.constants import STANDARD_GRAVITY as G


def over(threshold: str, mass: str = "3 t", until: float = 5.0) -> str:
    """Return a scenario of truck A at a walk with its forks low."""
    text = rated_text("demo-truck-a", mass, "0.3 m").replace("[load]", 'speed = "4 km/h"\n[load]')
    return f'{text}[[event]]\nkind = "threshold"\n{threshold}\n[run]\nduration = "{until} s"\nspread = 0\n'


def test_on_top_the_whole_truck_stands_higher_by_the_height(make: Make) -> None:
    """Past the edge, on 8 m of it: weight times 20 mm is gained and paid by the drive; the energy ledger closes."""
    run = simulate(make(over('begins = "1 m"\nheight = "20 mm"\nlength = "8 m"', until=6.0)))
    weight = sum(float(run.series(f"tyre_load.{name}")[0]) for name in run.tyres)
    gained = float(np.diff(run.series("energy.gravity")[[0, -1]])[0])
    assert gained == pytest.approx(weight * 0.020, rel=0.05)
    assert float(run.series("tyre_contact_z.front-left")[-1]) == pytest.approx(0.020, abs=1e-6)
    assert float(run.series("speed")[-200:].mean()) == pytest.approx(4.0 / 3.6, rel=0.05)
    assert abs(run.meta["energy_error"]) < 0.003


def test_an_edge_holds_a_wheel_back_as_its_geometry_says(make: Make) -> None:
    """Truck A's front tyres of 0.36 m at 20 mm: sqrt(2 x 0.36 x 0.02) / 0.34 = 0.35 of their load for a rigid wheel.

    Rubber that is pressed in by 10 mm before the edge meets it lower, over a length: less, but more than half of that.
    """
    run = simulate(make(over('begins = "1 m"\nheight = "20 mm"\nlength = "1 m"', until=1.5)))
    back = -sum(run.series(f"tyre_drag.{name}") for name in ("front-left", "front-right"))
    load = sum(float(run.series(f"tyre_load.{name}")[0]) for name in ("front-left", "front-right"))
    assert 0.175 < float(back.max()) / load < 0.45
    assert load > 1e4 * G / 2


def test_one_side_over_it_leans_and_mirrors(make: Make) -> None:
    sides = [
        simulate(make(over(f'begins = "1 m"\nheight = "30 mm"\nwidth = "0.8 m"\nleft_of = "{aside} m"', until=3.0)))
        for aside in (0.66, -0.66)
    ]
    left, right = sides
    assert float(np.degrees(left.series("roll").max())) > 0.3
    assert right.series("roll") == pytest.approx(-left.series("roll"), abs=2e-4)
    loads = [left.series("tyre_load.front-left"), right.series("tyre_load.front-right")]
    assert loads[0] == pytest.approx(loads[1], rel=1e-2, abs=200.0)


@pytest.mark.slow
@pytest.mark.parametrize("name", ["threshold-met-at-a-walk", "turn-with-the-load-up"])
def test_a_drive_lets_go_of_a_wheel_that_spins_and_of_a_truck_that_lies(
    name: str, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Of two shipped runs that go over while driven: no tread runs past the truck or the speed asked for by 1 m/s.

    Before, the drive pushed as the truck was short of its speed: lightly pressed tyres were spun up to 180 rad/s, in a
    turn, and 2760, on a truck that lay on its nose; it was driven on along the floor, 0.55 m in a second.
    """
    run, found = shipped_run(tmp_path_factory, name), shipped_case(name)
    asked_for = found.scenario.setup.speed
    upright = run.at(run.watched.no_return) if run.watched is not None and run.watched.no_return is not None else None
    radius = found.machine.drive_axle.tyre[0].diameter / 2
    front = [run.series(f"wheel_speed.{tyre.name}") * radius for tyre in found.machine.drive_axle.tyre]
    assert np.abs(front).max() < asked_for + 6.0
    assert upright is not None
    assert np.linalg.norm(run.velocities[-1, at.CHASSIS, :3]) < 0.02
