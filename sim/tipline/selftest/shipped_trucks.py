"""The shipped trucks at their rated set-ups, against what a regulator's text and practice say of such trucks.

The trucks are invented; that they lie in these ranges says that they are chosen with sense and that statics reads them.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from tipline.selftest.check import Check, Status
from tipline.selftest.used_by import kept

if TYPE_CHECKING:
    from tipline.pose.assessment import PoseReport

__all__ = ["CHECKS", "rated_pose"]

TRUCKS = ("demo-truck-a", "demo-truck-b", "demo-truck-c")
LOW = 0.3
_TEXT = """
title = "Rated set-up"
machine = "{machine}"
floor = "demo-hall-a"
[setup]
attachment = "forks"
fork_height = "0.3 m"
[load]
mass = "1 t"
size = ["0.9 m", "3.0 m", "1.0 m"]
height_of_centre = "0.5 m"
load_centre = "0.6 m"
"""


@kept
def rated_pose(machine: str, raised: bool = False) -> PoseReport:
    """Assess a shipped truck with load, centre, extension and slabs of its plate's first row, load low or at height."""
    from tipline import scenario
    from tipline.pose.assessment import assess_pose

    with TemporaryDirectory() as folder:
        file = Path(folder) / "rated.toml"
        file.write_text(_TEXT.format(machine=machine), encoding="utf-8")
        row = scenario.read(file).machine.capacity_plate[0]
        rated = {
            "setup.counterweight_extension": f"{row.extension} m",
            "setup.ballast_slabs": str(row.slabs),
            "setup.fork_height": f"{row.height if raised else LOW} m",
            "load.mass": f"{row.load} kg",
            "load.size": f"['{min(0.9, 2 * row.load_centre)} m', '3.0 m', '1.0 m']",
            "load.load_centre": f"{row.load_centre} m",
        }
        return assess_pose(scenario.read(file, rated))


def _share(machine: str) -> float:
    return rated_pose(machine).axle_share["drive"]


def _margin(machine: str, raised: bool = False) -> float:
    """Extra weight at the same load centre up to tipping, over the rated load."""
    report = rated_pose(machine, raised)
    more = [value for label, value, _ in report.holds_against if label.startswith("more weight")]
    if not more:
        msg = f"{machine}: no extra weight found at which it tips"
        raise ValueError(msg)
    return more[0] / report.gross_load


def _of_each(
    name: str, what: str, printed: str, source: tuple[str, str, Status], call: Callable[[str], float]
) -> tuple[Check, ...]:
    key, place, status = source
    return tuple(
        Check(f"{name}-{truck[-1]}", f"{what}, {truck}", printed, key, place, status, lambda truck=truck: call(truck))  # type: ignore[misc]
        for truck in TRUCKS
    )


CHECKS = (
    *_of_each(
        "drive-axle-share-rated",
        "Share of truck and load on the drive axle, rated load up, counterweight out",
        "85 to 95 %",
        ("Own", "practice of this kind of truck", "common practice, no source"),
        _share,
    ),
    *_of_each(
        "margin-load-low",
        "Extra weight that tips over the rated load, standing, load low",
        "30 to 50 %",
        ("SafeWorkForklift", "stability of a stationary truck, load down", "seen in the source"),
        _margin,
    ),
    *_of_each(
        "margin-load-raised",
        "Extra weight that tips over the rated load, standing, forks at full height",
        "15 to 20 %",
        ("SafeWorkForklift", "stability of a stationary truck, load fully raised", "seen in the source"),
        lambda truck: _margin(truck, raised=True),
    ),
)
