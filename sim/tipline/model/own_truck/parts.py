"""A whole truck from its main figures: every value that a machine file needs, in SI, as plain tables.

Where parts lie and what they weigh goes by the truck's size and own weight (our choice, as the shares in `bands`). What
is known of the whole truck, its weight, axle loads and centre, is met exactly: what is left of it is laid on chassis
and counterweight alike.
"""

from __future__ import annotations

from math import radians
from typing import Any

from tipline.model.own_truck.bands import PIVOT, STOP, Estimate
from tipline.units import STANDARD_GRAVITY as G

__all__ = ["parts_of"]

STEEL = 7850.0
IRON = 6500.0
"""Densities [kg/m3]: steel (EN 1991-1-1, from memory), cast iron with its hollows (our choice)."""
AXLE, CARRIAGE, FORKS, JIB = 0.07, 0.04, 0.045, 0.055
"""Masses as parts of the own weight (our choice, common practice)."""
LOWERED, BACKREST, BEHIND = 0.1, 0.075, 0.065
"""Height of the forks of a truck that is weighed; by how much a load backrest raises the carriage's centre, and how far
that lies behind the shanks of the forks [m] (our choice: as it is drawn)."""
TYRE_STIFFNESS = 0.12
"""By how much of its height from rim to tread a pneumatic tyre is pressed under its rated load (our choice)."""

Table = dict[str, Any]


def parts_of(out: Estimate) -> Table:
    """Return the tables of a machine file, without its name and title; raises ValueError where they cannot be."""
    mast, carriage, forks = _front(out)
    drive_axle, steer_axle = _axles(out)
    data: Table = {
        "wheelbase": out.value["wheelbase"],
        "drive_axle": drive_axle,
        "steer_axle": steer_axle,
        "mast": mast,
        "carriage": carriage,
        "forks": forks,
        "drive": _drive(out),
    }
    if out.known.jib_reach:
        data["jib"] = _jib(out)
    data |= _body(out, data)
    rated = out.known.rated_load is not None
    data |= {"capacity_plate": [_plate(out)]} if rated else {}
    weighing = _weighing(out)
    return data | ({"weighings": [weighing]} if weighing else {})


def _front(out: Estimate) -> tuple[Table, Table, Table]:
    v, c = out.value, out.value["size"]
    face = v["fork_face"]
    front = face - min(0.07 * c, 0.5 * face)
    stages, lowered, lift = int(v["mast_stages"]), v["lowered_mast_height"], v["lift_height"]
    depth = min(0.095 * c, front + 0.4 * v["drive_tyre_diameter"])
    stiffness = _mast_stiffness(out)
    mast = {
        "mass": v["mast_mass"],
        "centre": [front - 0.6 * depth, 0.0, 0.54 * lowered],
        "stages": stages,
        "face": front,
        "foot_height": 0.075 * c,
        "lowered_height": lowered,
        "top_fork_height": lift,
        "width": 0.41 * c,
        "channel_depth": depth,
        "tilt_back": radians(5.0),
        "tilt_forward": radians(3.0),
        "tilt_axis": [0.03 * c, 0.5 * v["drive_tyre_diameter"]],
        "joint_height": max(0.4 * lift, 0.25 * lowered),
        "stiffness_fore_aft": stiffness,
        "stiffness_sideways": 0.67 * stiffness,
        "stiffness_twist": 0.23 * stiffness,
        "roller_play": radians(0.4),
        "chain_stiffness": 140.0 * v["rated_load"] * G,
    }
    carriage = {"mass": CARRIAGE * v["own_weight"], "width": 0.6 * c, "height": 0.36 * c, "face": face}
    mass, width, thickness = FORKS * v["own_weight"], 0.088 * c, 0.035 * c
    length = out.told("fork_length", min(mass / (2.0 * width * thickness * STEEL) / 1.35, 2.5 * v["rated_load_centre"]))
    spread = min(0.33 * c, 0.55 * v["drive_track"])
    forks = {"mass": mass, "length": length, "width": width, "thickness": thickness, "spread": spread}
    return mast, carriage, forks


def _mast_stiffness(out: Estimate) -> float:
    """Return the stiffness [N m/rad] with which the rated load at its load centre leans the mast by its sag."""
    v = out.value
    return v["rated_load"] * G * (v["fork_face"] + v["rated_load_centre"]) / v["mast_sag"]


def _axles(out: Estimate) -> tuple[Table, Table]:
    v, known = out.value, out.known
    twins = known.drive_tyres == 4
    laden = (v["own_weight"] + v["rated_load"]) * G
    per_drive = 0.9 * laden / (4 if twins else 2)
    half = 0.5 * v["drive_track"]
    inner = half - 1.1 * v["drive_tyre_width"]
    places = [("front-left", half), ("front-right", -half)]
    if twins:
        places = [
            ("front-left-outer", half), ("front-left-inner", inner),
            ("front-right-inner", -inner), ("front-right-outer", -half),
        ]  # fmt: skip
    drive = [_tyre(out, "drive", name, across, per_drive) for name, across in places]
    per_steer = max(0.6 * v["own_weight"], v["own_weight"] - v["drive_axle_load"]) * G / 2.0
    rear = 0.5 * v["steer_track"]
    steer = [_tyre(out, "steer", name, y, 1.1 * per_steer) for name, y in (("rear-left", rear), ("rear-right", -rear))]
    axle: Table = {
        "kind": known.steer_axle_kind or "pivoting",
        "mass": AXLE * v["own_weight"],
        "tyre": steer,
        "pivot_height": PIVOT * v["steer_tyre_diameter"],
    }
    if axle["kind"] == "pivoting":
        axle["stop"] = STOP
    return {"tyre": drive}, axle


def _tyre(out: Estimate, axle: str, name: str, across: float, rated: float) -> Table:
    diameter = out.value[f"{axle}_tyre_diameter"]
    kind = out.known.tyre_kind or "solid"
    rubber = diameter * {"solid": 0.135, "band": 0.08, "pneumatic": 0.22}[kind]
    tyre = {
        "name": name,
        "across": across,
        "diameter": diameter,
        "width": out.value[f"{axle}_tyre_width"],
        "rubber_thickness": rubber,
        "kind": kind,
        "rated_load": rated,
    }
    if kind == "pneumatic":
        tyre["stiffness"] = rated / (TYRE_STIFFNESS * rubber)
    return tyre


def _drive(out: Estimate) -> Table:
    return {
        "top_speed": out.value["top_speed"],
        "service_deceleration": 1.6,
        "pedal_lift_deceleration": 2.2,
        "parking_brake_force": 0.4 * out.value["own_weight"] * G,
    }


def _jib(out: Estimate) -> Table:
    rise = out.known.jib_rise or (round(0.42 * out.value["size"], 1),)
    mass = out.told("jib_mass", JIB * out.value["own_weight"])
    return {"mass": mass, "reach_pins": list(out.known.jib_reach or ()), "rise_pins": list(rise),
            "section": 0.11 * out.value["size"]}  # fmt: skip


def _body(out: Estimate, data: Table) -> Table:
    """Settle chassis, counterweight and slabs so that weight, axle loads and height of centre are those known."""
    v, c, base = out.value, out.value["size"], out.value["wheelbase"]
    rear = -out.told("rear_end", base + 0.22 * c)
    mass = v["counterweight_mass"]
    wide, high = 0.58 * c, 0.24 * c
    long = mass / (IRON * wide * high)
    slab = _slab(out, wide)
    deck = 0.47 * c
    weight = [rear + 0.5 * long - 0.05 * c, 0.0, 0.46 * c]
    frame = [-0.48 * base, 0.0, 0.33 * c]
    known, moment, lift = _others(out, data)
    stacked = v["weighed_slabs"] * v["slab_mass"]
    chassis = v["own_weight"] - known - mass - stacked
    if chassis < 0.08 * v["own_weight"]:
        msg = "the parts weigh more than the whole truck: own weight, counterweight, slabs and mast do not go together"
        raise ValueError(msg)
    on_top = weight[2] + 0.5 * high + (0.5 * v["weighed_slabs"] * slab["size"][2] if slab else 0.0)
    back = weight[0] - v["weighed_extension"]
    moment += chassis * frame[0] + (mass + stacked) * back
    lift += chassis * frame[2] + mass * weight[2] + stacked * on_top
    free = chassis + mass + stacked
    own = v["own_weight"]
    along = (-base * (own - v["drive_axle_load"]) - moment) / free
    up = (own * v["own_height_of_centre"] - lift) / free
    for part in (weight, frame):
        part[0], part[2] = part[0] + along, part[2] + up
    front = data["mast"]["face"] - 0.04
    tracks = (v["drive_track"] + v["drive_tyre_width"], v["steer_track"] + v["steer_tyre_width"])
    body = {
        "chassis": {
            "mass": chassis,
            "centre": frame,
            "front": front,
            "rear": rear,
            "width": out.told("width", 0.97 * max(tracks)),
            "belly_clearance": 0.06 * c,
            "deck_height": deck,
            "guard_height": max(out.told("guard_height", c), 1.2 * deck),
            "guard_front": min(0.01 * c, front),
            "guard_rear": -0.35 * base,
        },
        "counterweight": {
            "mass": mass,
            "centre": weight,
            "size": [long, wide, high],
            "stroke": v["counterweight_stroke"],
        },
    }
    if out.known.counterweight_step is not None:
        body["counterweight"]["step"] = out.known.counterweight_step
    if slab is not None:
        slab["first_centre"] = [weight[0], 0.0, weight[2] + 0.5 * (high + slab["size"][2])]
        body["ballast_slab"] = slab
    _refuse_out_of_place(frame, weight, body)
    return body


def _refuse_out_of_place(frame: list[float], weight: list[float], body: Table) -> None:
    chassis = body["chassis"]
    if not chassis["rear"] < frame[0] < chassis["front"] or weight[0] >= 0.0:
        msg = "the axle loads put its centre where no part can lie: wheelbase and axle loads do not go together"
        raise ValueError(msg)
    if frame[2] <= chassis["belly_clearance"] or weight[2] < 0.5 * body["counterweight"]["size"][2]:
        clash = "own weight, lift height and height of its own centre do not go together"
        msg = f"{clash}: the frame's own centre would lie under its belly"
        raise ValueError(msg)


def _slab(out: Estimate, wide: float) -> Table | None:
    v, c = out.value, out.value["size"]
    if v["slabs_most"] <= 0.0:
        return None
    size = [0.29 * c, 0.95 * wide]
    return {
        "mass": v["slab_mass"],
        "size": [*size, v["slab_mass"] / (STEEL * size[0] * size[1])],
        "most": int(v["slabs_most"]),
    }


def _others(out: Estimate, data: Table) -> tuple[float, float, float]:
    """Return mass, moment about the drive axle and mass times height of steer axle, mast, carriage and forks.

    As they are drawn with the forks LOWERED, where a truck is weighed.
    """
    v = out.value
    mast, carriage, forks = data["mast"], data["carriage"], data["forks"]
    ahead, up = _of_forks(forks, carriage["height"])
    stages = mast["stages"]
    places = (
        (data["steer_axle"]["mass"], -v["wheelbase"], 0.5 * v["steer_tyre_diameter"]),
        (mast["mass"], mast["centre"][0], mast["centre"][2] + LOWERED * (stages - 1) / (2.0 * stages)),
        (
            carriage["mass"],
            carriage["face"] - forks["thickness"] - BEHIND,
            LOWERED + 0.5 * carriage["height"] + BACKREST,
        ),
        (forks["mass"], carriage["face"] + ahead, LOWERED + up),
    )
    return (
        sum(mass for mass, _, _ in places),
        sum(mass * x for mass, x, _ in places),
        sum(mass * z for mass, _, z in places),
    )


def _of_forks(forks: Table, high: float) -> tuple[float, float]:
    """Return how far ahead of their face and above their top forks have their centre, on a carriage so high [m].

    A blade whose outer half tapers to 0.28 of its thickness has its centre at 0.427 of its length, 0.443 of its
    thickness down; a shank goes as high as the carriage.
    """
    length, thick = forks["length"], forks["thickness"]
    blade, shank = 0.82 * length * thick, thick * (high - 0.03 + 0.7 * thick)
    ahead = blade * 0.427 * length - shank * 0.5 * thick
    up = shank * 0.5 * (high - 0.03 - 0.7 * thick) - blade * 0.443 * thick
    return ahead / (blade + shank), up / (blade + shank)


def _plate(out: Estimate) -> Table:
    v = out.value
    row: Table = {"attachment": "forks", "load_centre": v["rated_load_centre"], "load": v["rated_load"]}
    row |= {"height": v["lift_height"]} if out.known.lift_height is not None else {}
    row |= {"extension": v["rated_extension"]} if v["counterweight_stroke"] > 0.0 else {}
    return row | ({"slabs": int(v["rated_slabs"])} if v["slabs_most"] > 0.0 else {})


def _weighing(out: Estimate) -> Table | None:
    known, v = out.known, out.value
    read = {"drive_axle": known.drive_axle_load, "steer_axle": known.steer_axle_load, "total": known.own_weight}
    readings = {name: value for name, value in read.items() if value is not None}
    setup = {"extension": v["weighed_extension"], "slabs": int(v["weighed_slabs"]), "attachment": "forks"}
    return {**readings, **setup, "note": "as told in plate_and_tape"} if readings else None
