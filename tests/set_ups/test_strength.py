"""What is stamped on the forks, and the largest moment of carriage and mast, as limits wherever a load is asked."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from tests.shared.spec_sheet import sheet_of, sheet_text

import tipline
from tipline.commands.check import page_of
from tipline.commands.delivered import Wishes
from tipline.model.reader import read_machine
from tipline.model.structure import structural_loads
from tipline.report import text as printed
from tipline.report.loads import loads_page

LOW = "service-stop-load-low"
STAMP = {"machine.forks.rated_load": "5 t", "machine.forks.rated_load_centre": "0.6 m"}
NO_PLATE = {"capacity_plate": "[]"}


def test_a_jib_s_own_weight_and_the_way_to_the_mast_count_by_hand() -> None:
    """Demo truck A, 0.55 t of jib, reach 1.6 m: (90 kN m / g - 550 * 0.8) / 1.6; the channels 60 mm behind the face."""
    machine = read_machine("demo-truck-a", {"carriage.largest_moment": "90 kN m", "mast.largest_moment": "90 kN m"})
    behind = machine.carriage.face - machine.mast.face
    loads = structural_loads(machine, "jib", 1.6)
    assert float(loads["carriage"]) == pytest.approx((90e3 / 9.80665 - 550.0 * 0.8) / 1.6)
    assert float(loads["mast"]) == pytest.approx((90e3 / 9.80665 - 550.0 * (behind + 0.8)) / (behind + 1.6))
    assert structural_loads(machine, "none", 0.6) == {}
    assert list(structural_loads(machine, "forks", 0.6)) == ["carriage", "mast"]


def test_a_load_aside_weighs_more_on_one_fork() -> None:
    """Forks 0.72 m apart, 72 mm aside: 0.6 of it on one; 5 t / 0.6."""
    machine = read_machine("demo-truck-a", {"forks.rated_load": "5 t", "forks.rated_load_centre": "0.6 m"})
    assert float(structural_loads(machine, "forks", 0.6, 0.072)["forks"]) == pytest.approx(5000.0 / 0.6)


def test_check_tells_a_load_above_the_stamp_and_how_near_one_below_it_is() -> None:
    """9 t at 0.7 m on two forks of 5 t at 0.6 m: 10 t * 0.6 / 0.7 = 8.571 t; of 5.5 t 9.429 t, 95 % of it used."""
    above = tipline.check(LOW, STAMP)
    told = "the gross load 9 tonne is above the 8.57 tonne that the stamp of the forks allows here"
    assert told in above.exceeded
    assert ("a gross load, by the stamp of the forks", pytest.approx(60e3 / 7.0), "mass") in above.holds_against
    assert any("stamp of the forks" in str(one) for one in above.unusual)
    below = tipline.check(LOW, {**STAMP, "machine.forks.rated_load": "5.5 t"})
    assert not any("stamp" in one for one in below.exceeded)
    assert [one.key for one in below.unusual] == ["capacity_plate.5.load"]  # 12.25 t at 0.9 m is on the plate
    words = printed.page_text(page_of(below, Wishes()).page)
    assert "by the stamp of the forks" in words


def test_the_nearest_limit_is_the_stamp_where_it_is() -> None:
    """9 t on what carries 1.8 times 2 t: more is used up of it than of anything else."""
    near = tipline.check(LOW, {**STAMP, "machine.forks.rated_load": "2 t"}).nearest_limit
    assert near is not None
    assert near.part == pytest.approx(9.0 / (4.0 * 6.0 / 7.0), rel=1e-3)
    assert near.short == "the gross load is above the stamp of the forks"


def test_strength_governs_in_loads_where_it_leaves_least() -> None:
    """Forks of 2 t at 0.6 m on demo truck A: 4 t at 0.6 m, 2.667 t at 0.9 m, all that tips is far above that."""
    own = {**NO_PLATE, "forks.rated_load": "2 t", "forks.rated_load_centre": "0.6 m", "mast.largest_moment": "30 kN m"}
    report = tipline.loads("demo-truck-a", own, {"centres": [0.6, 0.9], "reaches": [1.6], "heights": [0.3]}).report
    forks = ~report.cells.jib
    near, far = (forks & (report.cells.centre == centre) for centre in (0.6, 0.9))
    assert report.greatest["forks"][near] == pytest.approx(4000.0)
    assert report.greatest["forks"][far] == pytest.approx(4000.0 / 1.5)
    assert np.isnan(report.greatest["forks"][~forks]).all()
    rows = [row for row in report.rows() if row["attachment"] == "forks" and row["load_centre_m"] == 0.9]
    assert {row["governed_by"] for row in rows} == {"forks"}
    assert {row["governed_by"] for row in report.rows() if row["attachment"] == "jib"} == {"mast"}
    words = printed.page_text(loads_page(report))
    assert "fork stamp" in words
    assert (
        "Of strength only this is in these loads: the stamp of the forks, the largest moment of the mast"
        in " ".join(words.split())
    )


def test_a_plate_is_held_against_what_is_stated_and_stands() -> None:
    report = tipline.loads(
        "demo-truck-a", {"carriage.largest_moment": "60 kN m"}, {"centres": [0.6], "slabs": [2]}
    ).report
    used = report.given / report.greatest["carriage"]
    held = np.isfinite(report.given) & ~report.cells.jib
    assert used[held].max() == pytest.approx(12250.0 / (60e3 / 9.80665 / 0.6))
    assert set(np.unique(report.given[held])) <= {12250.0, 10200.0, 8500.0}
    assert any("largest moment of the carriage" in str(one) for one in report.unusual)


@pytest.mark.slow
def test_a_stamp_stands_beside_plate_and_tape(tmp_path: Path) -> None:
    file = tmp_path / "own.toml"
    more = "[forks]\nrated_load = '4 t'\nrated_load_centre = '0.6 m'"
    file.write_text(sheet_text(sheet_of("demo-truck-a"), more), encoding="utf-8")
    machine = read_machine(str(file))
    assert (machine.forks is not None, machine.forks and machine.forks.rated_load) == (True, 4000.0)
    words = tipline.check(LOW, {"machine": str(file)}).exceeded
    assert any("the stamp of the forks allows" in one for one in words)
