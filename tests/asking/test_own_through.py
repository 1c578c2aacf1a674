"""An own truck from what plate, spec sheet and tape say, through every command."""

from __future__ import annotations

from collections.abc import Sequence
from math import pi, tan
from pathlib import Path

import numpy as np
import pytest

import tipline
from tipline.report.not_known import knowing
from tipline.report.page import Page
from tipline.report.slopes import slopes_page
from tipline.report.sweeps import sweep_page
from tipline.report.text import page_text

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
    of_truck = [one for one in asked.report.questions if "The figure that planning goes by goes from" in one.text]
    assert all(one.then.high < 0.98 * one.now.high for one in of_truck)
    assert any("(now " in one.text and ": weigh" in one.text for one in of_truck), asked.report.questions
    run = tipline.run(scenario, engine="compiled", spread=4)
    assert run.report.outcome.truck == "down"
    assert run.report.spread is not None
    slopes = tipline.slopes(scenario, heights=[0.3, 2.5])
    assert len(slopes.report.to_pandas()) > 0
    told = knowing(pose.not_known, "si")
    assert told
    assert tells(slopes_page(slopes.report), told)
    assert tells(slopes_page(slopes.report), told[:1], brief=True)
    # what is told to be gained starts from the slope that the map has for that direction at the bad end
    gain, own = pose.not_known.gains[0], next(one for one in slopes.report.maps if one.height == 2.5)
    towards = own.at({"front": 0.0, "left": pi / 2, "right": -pi / 2, "back": pi}[gain.line.removeprefix("swing.")])
    assert gain.before == pytest.approx(
        tan(np.nanmin([own.limits[what][towards] for what in ("tips", "swings")])), rel=0.02
    )
    assert gain.after > 1.02 * gain.before
    loads = tipline.loads(machine, load="5.2 t", load_centre="0.9 m")
    greatest = loads.report.to_pandas()
    assert len(greatest) > 0
    file = tmp_path / "sweep.toml"
    file.write_text(SWEEP.format(scenario=scenario))
    swept = tipline.sweep(file, workers=0)
    assert swept.table.column("truck").tolist() == ["down"] * 3
    assert tells(sweep_page(swept.report), told)
    assert tells(sweep_page(swept.report), told[:1], brief=True)


def tells(page: Page, sentences: Sequence[str], *, brief: bool = False) -> bool:
    """Whether a page, or its first screen, has sentences."""
    said = " ".join(text for _, text in page.said) if brief else page_text(page)
    return all(" ".join(one.split()) in " ".join(said.split()) for one in sentences)
