"""Trucks that could be built, drawn about ours."""

from __future__ import annotations

import random
import tomllib

from tipline.model.shipped import find

__all__ = ["drawn_truck"]


def drawn_truck(draw: random.Random) -> tuple[dict[str, str], float, float]:
    """Return a truck that could be built, as changes of one of ours, its rated load [kg] and its size against ours.

    Lengths go with the cube root of the rated load, masses with it, each part its own way by a quarter.
    """
    rated = draw.uniform(3000.0, 55000.0)
    own = {"demo-truck-a": 12250.0, "demo-truck-b": 22400.0, "demo-truck-c": 6120.0}
    name = min(own, key=lambda one: abs(own[one] - rated))
    by = rated / own[name]
    long = by ** (1.0 / 3.0)
    text = tomllib.loads(find("machine", name)[0].read_text(encoding="utf-8"))
    changes = {"machine": name}
    tall = draw.uniform(0.85, 1.2)

    def scaled(value: str, factor: float) -> str:
        number, _, unit = value.partition(" ")
        return f"{float(number) * factor:.6g} {unit}"

    lengths = {
        "wheelbase": 1.0, "chassis.front": 1.0, "chassis.rear": 1.0, "chassis.width": 1.0, "chassis.deck_height": 1.0,
        "mast.lowered_height": tall, "mast.top_fork_height": tall, "mast.width": 1.0, "forks.length": 1.0,
        "forks.width": 1.0, "forks.thickness": 1.0, "forks.spread": 1.0, "carriage.width": 1.0,
    }  # fmt: skip
    for key, factor in lengths.items():
        group, _, leaf = key.rpartition(".")
        value = text[group][leaf] if group else text[leaf]
        changes[f"machine.{key}"] = scaled(value, long * factor)
    for axle in ("drive_axle", "steer_axle"):
        ratio = draw.uniform(0.9, 1.1)
        for index, tyre in enumerate(text[axle]["tyre"]):
            at = f"machine.{axle}.tyre.{index}"
            for leaf in ("across", "diameter", "width", "rubber_thickness"):
                changes[f"{at}.{leaf}"] = scaled(tyre[leaf], long)
            changes[f"{at}.rated_load"] = scaled(tyre["rated_load"], by * ratio)
            changes[f"{at}.stiffness"] = scaled(tyre["stiffness"], long * long * ratio)
    for part in ("chassis", "steer_axle", "counterweight", "mast", "carriage", "forks", "jib", "ballast_slab"):
        changes[f"machine.{part}.mass"] = scaled(text[part]["mass"], by * draw.uniform(0.85, 1.15))
    for part, key in (("counterweight", "centre"), ("chassis", "centre"), ("ballast_slab", "first_centre")):
        for axis in range(3):
            changes[f"machine.{part}.{key}.{axis}"] = scaled(text[part][key][axis], long)
    for part in ("counterweight", "ballast_slab"):
        for axis in range(3):
            # 7 % more each way, so that no weight is denser than steel
            changes[f"machine.{part}.size.{axis}"] = scaled(text[part]["size"][axis], 1.07 * long)
    for index, row in enumerate(text["capacity_plate"]):
        changes[f"machine.capacity_plate.{index}.load"] = scaled(row["load"], by)
        changes[f"machine.capacity_plate.{index}.load_centre"] = scaled(row["load_centre"], long)
        changes[f"machine.capacity_plate.{index}.height"] = scaled(text["mast"]["top_fork_height"], long * tall)
    changes["machine.drive.parking_brake_force"] = scaled(text["drive"]["parking_brake_force"], by)
    changes["machine.drive.service_deceleration"] = f"{draw.uniform(0.8, 2.5):.3g} m/s2"
    changes["machine.mast.roller_play"] = f"{draw.uniform(0.0, 0.8):.3g} deg"
    changes["machine.steer_axle.stop" if name != "demo-truck-b" else "machine.steer_axle.mass"] = (
        f"{draw.uniform(2.5, 7.0):.3g} deg" if name != "demo-truck-b" else changes["machine.steer_axle.mass"]
    )
    return changes, rated, long
