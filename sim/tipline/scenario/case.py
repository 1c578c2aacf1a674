"""A scenario with its machine and floor, read and checked."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from tipline.model.floor import Floor
from tipline.model.load import LiftedLoad
from tipline.model.machine import Machine
from tipline.scenario.checks import fork_height, hook_height
from tipline.scenario.spec import Scenario

__all__ = ["Case"]


@dataclass(frozen=True, repr=False)
class Case:
    """All inputs of a run.

    ``resolved`` holds every number by dotted key (``machine.`` and ``floor.`` in front of theirs) as a table of
    ``value`` (in words), ``si`` (float, list or None), ``unit`` and ``origin``. ``assumed`` lists in plain words what
    no file gives, ``assumed_count`` says how many values these are. ``files`` holds the texts read, by name. ``cells``
    are the cases of the scenario's table, row by row.
    """

    scenario: Scenario
    machine: Machine
    floor: Floor
    load: LiftedLoad | None
    resolved: dict[str, dict[str, Any]]
    assumed: tuple[str, ...]
    assumed_count: int
    files: dict[str, str] = field(compare=False, default_factory=dict)
    cells: tuple[tuple[Case, ...], ...] = field(compare=False, repr=False, default=())

    def __repr__(self) -> str:
        """Say which case it is; its inputs are too many to show."""
        names = f"machine {self.scenario.machine!r}, floor {self.scenario.floor!r}"
        return f"<Case {self.scenario.title!r}: {names}, {self.assumed_count} values assumed>"

    @property
    def demo(self) -> bool:
        """Whether machine or floor is an invented one."""
        return self.machine.demo or self.floor.demo

    @property
    def fork_height(self) -> float:
        """Height of the fork top, on a jib the carriage's, at time zero [m]."""
        return fork_height(self.scenario.setup, self.machine)

    @property
    def hook_height(self) -> float | None:
        """Height of the hook at time zero [m], None without a jib."""
        return hook_height(self.scenario.setup, self.machine)

    @property
    def slope(self) -> tuple[float, float]:
        """Slope [rad] and the azimuth from the heading towards which it falls [rad]: the set-up's, else the floor's."""
        setup = self.scenario.setup
        if setup.slope is not None:
            return setup.slope, setup.slope_towards or 0.0
        return self.floor.slope, self.floor.slope_towards - setup.heading
