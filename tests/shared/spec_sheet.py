"""What somebody who holds only plate, weighbridge ticket, tape and packing list would know of a shipped truck."""

from __future__ import annotations

from tipline.geometry.assembly import assemble
from tipline.mechanics.statics import steer_axle_share
from tipline.model.machine import Machine
from tipline.model.reader import read_machine
from tipline.scenario.spec import Setup

__all__ = ["TRUCKS", "answers_of", "sheet_of", "sheet_of_machine", "sheet_text"]

TRUCKS = ("demo-truck-a", "demo-truck-b", "demo-truck-c")


def sheet_of(name: str) -> dict[str, object]:
    """Give the spec sheet of a shipped truck."""
    return sheet_of_machine(read_machine(name))


def sheet_of_machine(machine: Machine) -> dict[str, object]:
    """Give the spec sheet of a truck: the weights as scales would show them, no heights, no stiffness."""
    row = next(row for row in machine.capacity_plate if row.attachment == "forks")
    slabs = row.slabs or 0
    built = assemble(machine, Setup(attachment="forks", fork_height=0.1, ballast_slabs=slabs))
    there = built.mass > 0.0
    mass, centre = built.mass[there], built.centre[there]
    own = float(mass.sum())
    steer = own * steer_axle_share(mass, centre, machine.wheelbase)
    drive, back = machine.drive_axle.tyre, machine.steer_axle.tyre
    slab = machine.ballast_slab
    assert slab is not None
    told: dict[str, object] = {
        "rated_load": f"{row.load:.0f} kg",
        "rated_load_centre": f"{row.load_centre} m",
        "lift_height": f"{machine.mast.top_fork_height} m",
        "rated_extension": f"{row.extension or 0.0} m",
        "rated_slabs": slabs,
        "own_weight": f"{own:.0f} kg",
        "drive_axle_load": f"{own - steer:.0f} kg",
        "steer_axle_load": f"{steer:.0f} kg",
        "weighed_slabs": slabs,
        "wheelbase": f"{machine.wheelbase} m",
        "drive_track": f"{2 * max(tyre.across for tyre in drive)} m",
        "steer_track": f"{2 * max(tyre.across for tyre in back)} m",
        "drive_tyres": len(drive),
        "drive_tyre_diameter": f"{drive[0].diameter} m",
        "drive_tyre_width": f"{drive[0].width} m",
        "steer_tyre_diameter": f"{back[0].diameter} m",
        "steer_tyre_width": f"{back[0].width} m",
        "steer_axle_kind": machine.steer_axle.kind,
        "fork_face": f"{machine.carriage.face} m",
        "counterweight_stroke": f"{machine.counterweight.stroke} m",
        "slab_mass": f"{slab.mass} kg",
        "slabs_most": slab.most,
    }
    if machine.jib is not None:
        told["jib_reach"] = [f"{reach} m" for reach in machine.jib.reach_pins]
        told["jib_rise"] = [f"{rise} m" for rise in machine.jib.rise_pins]
    return told


def answers_of(told: dict[str, object], load: float, height: str) -> dict[str, str]:
    """Give the answers of somebody who holds a spec sheet, for a load [kg] of 1.2 m at 0.6 m, all extension out."""
    stroke, slabs = told["counterweight_stroke"], told["rated_slabs"]
    return {
        "load_size": "1.2 x 1.2 x 1.2 m",
        "load": f"{load} kg, weighed",
        "load_centre": "0.6 m, 0.6 m",
        "held": "forks",
        "height": height,
        "plate": f"{told['rated_load']}, {told['rated_load_centre']}, {told['lift_height']}",
        "weight": f"{told['own_weight']}, {told['drive_axle_load']}",
        "axles": f"{told['wheelbase']}, {told['drive_track']}, {told['steer_track']}, {told['steer_axle_kind']}",
        "tyres": f"{told['drive_tyre_diameter']}, {told['drive_tyre_width']}, solid, "
        f"{'twins' if told['drive_tyres'] == 4 else 'single'}",
        "fork_face": str(told["fork_face"]),
        "counterweight": f"?, {stroke}, {stroke}",
        "slabs": f"{slabs}, {told['slab_mass']}",
        "floor": "rigid",
    }


def sheet_text(told: dict[str, object], more: str = "") -> str:
    """Give a machine file that holds a spec sheet and nothing else."""
    lines = [f"{key} = {_said(value)}" for key, value in told.items()]
    return "\n".join(['title = "A truck by its spec sheet"', more, "[plate_and_tape]", *lines, ""])


def _said(value: object) -> str:
    if isinstance(value, list):
        return f"[{', '.join(map(_said, value))}]"
    return str(value) if isinstance(value, int) else f'"{value}"'
