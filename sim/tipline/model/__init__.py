"""Frozen specs of machine, floor, spreaders and lifted load, and their reader."""

from tipline.model.floor import Floor
from tipline.model.load import LiftedLoad
from tipline.model.machine import Machine, Tyre
from tipline.model.reader import read_floor, read_machine, read_stock
from tipline.model.shipped import list_shipped
from tipline.model.spreaders import Stock

__all__ = [
    "Floor",
    "LiftedLoad",
    "Machine",
    "Stock",
    "Tyre",
    "list_shipped",
    "read_floor",
    "read_machine",
    "read_stock",
]
