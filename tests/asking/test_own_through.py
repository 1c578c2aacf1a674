"""An own truck from what plate, spec sheet and tape say, through every command."""

from __future__ import annotations

from pathlib import Path

import pytest

import tipline

pytestmark = pytest.mark.slow

HELD = {
    "load_size": "1.8 m x 1.4 m x 1.6 m",
    "load": "5.2 t, nameplate",
    "held": "forks",
    "height": "2.5 m",
    "plate": "12.25 t, 0.6 m, 5.5 m",
    "weight": "10.2 t, 3.6 t",
    "axles": "1.90 m, 1.32 m, 1.24 m, pivoting",
    "tyres": "0.72 m, 0.30 m, solid, single",
    "fork_face": "0.47 m",
    "counterweight": "3.4 t, 1.2 m, 0.6 m",
    "slabs": "2, 0.5 t",
    "floor": "slab, 0.2 m, soil",
}
SWEEP = """
title = "Own truck"
scenario = "{scenario}"
method = "monte-carlo"
runs = 3
[[variable]]
key = "load.mass"
least = "5 t"
most = "5.6 t"
"""


def test_an_own_truck_goes_through_every_command(tmp_path: Path) -> None:
    """Each gives figures with a range or at the bad end, and nothing of the truck is said to be known."""
    tipline.write(tipline.start(HELD), tmp_path / "lift")
    scenario, machine = tmp_path / "lift" / "scenario.toml", tmp_path / "lift" / "machine.toml"
    pose = tipline.check(scenario)
    assert pose.stands
    assert pose.not_known is not None  # what one more measurement would tell
    asked = tipline.floor(scenario)
    assert asked.report.assumed_count > 0
    run = tipline.run(scenario, engine="compiled", spread=4)
    assert run.report.outcome.truck == "down"
    assert run.report.spread is not None
    slopes = tipline.slopes(scenario, heights=[0.3, 2.5])
    assert len(slopes.report.to_pandas()) > 0
    loads = tipline.loads(machine, load="5.2 t", load_centre="0.9 m")
    greatest = loads.report.to_pandas()
    assert len(greatest) > 0
    file = tmp_path / "sweep.toml"
    file.write_text(SWEEP.format(scenario=scenario))
    table = tipline.sweep(file, workers=0).table
    assert table.column("truck").tolist() == ["down"] * 3
