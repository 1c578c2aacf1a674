"""Frozen specs of machine, floor and lifted load, and their reader."""

from tipline.model.floor import Floor, FrictionTable, HoleZone, RigidZone, SoftZone, SoilLaw, Zone
from tipline.model.load import LiftedLoad
from tipline.model.machine import Machine, Tyre

__all__ = [
    "Floor",
    "FrictionTable",
    "HoleZone",
    "LiftedLoad",
    "Machine",
    "RigidZone",
    "SoftZone",
    "SoilLaw",
    "Tyre",
    "Zone",
]
