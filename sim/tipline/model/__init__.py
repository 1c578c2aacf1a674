"""Frozen specs of machine, floor and lifted load, and their reader."""

from tipline.model.floor import Floor
from tipline.model.load import LiftedLoad
from tipline.model.machine import Machine, Tyre
from tipline.model.reader import read_floor, read_machine
from tipline.model.shipped import list_shipped

__all__ = ["Floor", "LiftedLoad", "Machine", "Tyre", "list_shipped", "read_floor", "read_machine"]
