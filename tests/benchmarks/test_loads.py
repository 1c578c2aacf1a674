"""Greatest and least loads of 10 010 set-ups: processor time on one core (pytest -s).

Measured.

Least of three, two cores beside six others at work. A full file takes 0.23 s (1.26 s before each set-up left the search
once found, the mast's angle was found by Newton's method, and what travels alike on the forks was asked once). A truck
by plate, weighings and tape has four bands here, so it is asked nine times: 1.8 s (10.1 s before).
"""

from __future__ import annotations

import time
from pathlib import Path

import numpy as np
import pytest
from tests.shared.spec_sheet import sheet_of, sheet_text

from tipline.model.machine import Machine
from tipline.model.own_truck import bands_of
from tipline.model.reader import read_machine
from tipline.set_ups.assessment import assess_loads
from tipline.set_ups.cells import asked_from
from tipline.set_ups.rules import LoadRules

pytestmark = pytest.mark.slow


def spent(machine: Machine, times: int = 3) -> float:
    """Least processor time [s] of the set-ups of a machine, on the forks alone."""
    grid = {
        "centres": np.linspace(0.5, 1.4, 10), "extensions": np.linspace(0.0, 1.2, 13),
        "slabs": range(7), "heights": np.linspace(0.3, 5.55, 11),
    }  # fmt: skip
    least = np.inf
    for _ in range(times):
        begin = time.process_time()
        found = assess_loads(machine, asked_from(machine, grid), LoadRules())
        least = min(least, time.process_time() - begin)
        assert len(found.cells) == 10010
    return least


def test_ten_thousand_set_ups_of_a_full_file_and_of_an_own_truck(tmp_path: Path) -> None:
    own = tmp_path / "own.toml"
    own.write_text(sheet_text({k: v for k, v in sheet_of("demo-truck-a").items() if not k.startswith("jib")}))
    filled = read_machine(own)
    full = spent(read_machine("demo-truck-a").model_copy(update={"jib": None}))
    by_bands = spent(filled)
    print(f"\na full file {full:.2f} s, by plate and tape with {len(bands_of(filled))} bands {by_bands:.2f} s")
    assert full < by_bands
