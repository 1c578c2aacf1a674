"""Cases of the demo trucks, made from text as a user writes it."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from tipline.model.machine import Machine
from tipline.model.shipped import find
from tipline.scenario import Case

RATED = {
    "demo-truck-a": ("12 t", "0.60 m", "5.55 m", "1.20 m", 2),
    "demo-truck-b": ("22 t", "0.75 m", "5.20 m", "1.00 m", 4),
    "demo-truck-c": ("6 t", "0.50 m", "4.60 m", "1.00 m", 2),
}

HUNG = """
title = "hung"
machine = "demo-truck-a"
floor = "demo-hall-a"
[setup]
counterweight_extension = "1.2 m"
ballast_slabs = 2
attachment = "jib"
jib_reach = "1.6 m"
hook_height = "7.05 m"
[load]
mass = "5 t"
size = ["1.8 m", "1.4 m", "1.6 m"]
height_of_centre = "0.7 m"
rigging_weight = "120 kg"
hung_by = "0.9 m"
"""


def rated_text(machine: str, mass: str | None = None, height: str | None = None) -> str:
    load, centre, top, out, slabs = RATED[machine]
    side = "1.2 m" if machine == "demo-truck-b" else "1.0 m"  # 22 t in a cubic metre would be more than any substance
    return f"""
title = "rated"
machine = "{machine}"
floor = "demo-hall-a"
[setup]
counterweight_extension = "{out}"
ballast_slabs = {slabs}
attachment = "forks"
fork_height = "{height or top}"
[load]
mass = "{mass or load}"
size = ["0.9 m", "{side}", "{side}"]
height_of_centre = "0.5 m"
load_centre = "{centre}"
on_forks = "fixed"
"""


Make = Callable[..., Case]


def changed(spec: Any, **values: Any) -> Any:
    """Copy a frozen spec with some values changed."""
    return spec.model_copy(update=values)


def stiffened(case: Case, width: float | None = None) -> Case:
    """Make tyres, mast and chain near rigid, take the roller play out, and set the tread's width [m]."""
    machine: Machine = case.machine

    def hard(tyres: Any) -> Any:
        return tuple(changed(tyre, stiffness=2e9, **({"width": width} if width else {})) for tyre in tyres)

    mast = changed(
        machine.mast,
        stiffness_fore_aft=1e11,
        stiffness_sideways=1e11,
        stiffness_twist=1e11,
        chain_stiffness=1e11,
        roller_play=0.0,
    )
    steer = changed(machine.steer_axle, tyre=hard(machine.steer_axle.tyre), frame_torsion_stiffness=1e10)
    drive = changed(machine.drive_axle, tyre=hard(machine.drive_axle.tyre))
    return replace(case, machine=changed(machine, mast=mast, steer_axle=steer, drive_axle=drive))


NINE_TONNES = """
title = "{title}"
machine = "demo-truck-a"
floor = "{floor}"
[setup]
position = ["{x} m", "{y} m"]
counterweight_extension = "1.2 m"
ballast_slabs = 2
attachment = "forks"
fork_height = "1 m"
[load]
mass = "{mass} t"
size = ["0.9 m", "1.0 m", "1.0 m"]
height_of_centre = "0.5 m"
load_centre = "0.6 m"
"""


def nine_tonnes(floor: object, x: float = 6.0, y: float = 5.5, mass: float = 9.0, *, title: str = "nine tonnes") -> str:
    """Return the text of a set-up on the forks at a place of a floor, by name or file."""
    return NINE_TONNES.format(title=title, floor=floor, x=x, y=y, mass=f"{mass:g}")


BRIEF = """
title = "{title}"
machine = "demo-truck-a"
floor = "demo-hall-a"

[setup]
attachment = "jib"
jib_reach = "1.6 m"
hook_height = "3 m"
counterweight_extension = "0.4 m"
ballast_slabs = 2

[load]
{load}
size = ["1.8 m", "1.4 m", "1.6 m"]
height_of_centre = "0.7 m"
rigging_weight = "120 kg"
hung_by = "0.9 m"

[[event]]
at = "0.2 s"
kind = "breakthrough"
under = "front-left"
depth = "60 mm"

[run]
duration = "0.5 s"
extend_to = "1 s"
"""


def brief_breakthrough(title: str, load: str) -> str:
    """Return the text of half a second of a run in which a tyre breaks through; load: the lines of its weight."""
    return BRIEF.format(title=title, load=load)


CHANNELS = """
[[mast.section]]
depth = "200 mm"
flange = "85 mm"
web = "20 mm"
flange_thickness = "30 mm"
tie_spacing = "1.1 m"
"""
MAST_SPRING = ("joint_height", "stiffness_fore_aft", "stiffness_sideways")


def truck_of_channels(folder: Path, *, sections: int = 1, keep: tuple[str, ...] = (), more: str = "") -> Path:
    """Write demo truck A with the channels of its mast in place of what its joint tells; return the file."""
    written = find("machine", "demo-truck-a")[0].read_text(encoding="utf-8")
    for key in set(MAST_SPRING) - set(keep):
        written = re.sub(rf"^{key} = .*\n", "", written, flags=re.MULTILINE)
    path = folder / "truck-of-channels.toml"
    path.write_text(written.replace("[carriage]", f"{more}{CHANNELS * sections}\n[carriage]"), encoding="utf-8")
    return path


SHORT_SWEEPS: Mapping[str, Mapping[str, str]] = {
    "one-front-tyre-breaks-through": {"runs": "6"},
    "slope-at-which-it-goes-over": {
        "variable.0.values": '["90 deg"]', "variable.1.values": '["0.4 m", "4 m"]', "threshold.within": "10 %",
    },
    "what-buys-most-on-soft-ground": {
        "variable.0.values": "[0, 4]", "variable.1.values": '["0 m"]', "variable.2.values": '["4 m"]',
        "threshold.most": "10 t", "threshold.within": "2 t",
    },
}  # fmt: skip
"""What makes each shipped sweep a matter of a second, for its page and plots; its figures are then rough."""
