"""A scenario with its machine and floor, read and checked."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from tipline import units
from tipline.model.floor import Floor
from tipline.model.load import LiftedLoad
from tipline.model.machine import Machine
from tipline.model.origins import Leaf, assumed_lines, dotted, leaves
from tipline.scenario.checks import fork_height, hook_height
from tipline.scenario.spec import Scenario

__all__ = ["AsRead", "Case"]


@dataclass(frozen=True, repr=False)
class AsRead:
    """All values as they were read, with their origins; listed when first asked for, which a sweep's rows never do."""

    scenario: Scenario
    machine: Machine
    floor: Floor

    @cached_property
    def resolved(self) -> dict[str, dict[str, Any]]:
        """See `Case.resolved`."""
        entries: dict[str, dict[str, Any]] = {}
        for start, spec in (("", self.scenario), ("machine.", self.machine), ("floor.", self.floor)):
            entries |= {f"{start}{dotted(leaf.path)}": _entry(leaf, spec.origins) for leaf in leaves(spec)}
        return entries

    @cached_property
    def assumed(self) -> tuple[tuple[str, ...], int]:
        """What no file gives, in plain words, and how many values these are."""
        lines: list[str] = []
        count = 0
        for spec, whole in ((self.scenario, "scenario"), (self.machine, "truck"), (self.floor, "floor")):
            found, values = assumed_lines(spec, spec.origins, whole)
            lines += found
            count += values
        return tuple(lines), count


def _entry(leaf: Leaf, origins: dict[str, str]) -> dict[str, Any]:
    unit = "" if leaf.quantity is None else units.SI_UNIT[leaf.quantity.dimension]
    return {"value": leaf.text(), "si": _plain(leaf.value), "unit": unit, "origin": origins[dotted(leaf.path)]}


def _plain(value: Any) -> Any:
    return [_plain(entry) for entry in value] if isinstance(value, tuple) else value


@dataclass(frozen=True, repr=False)
class Case:
    """All inputs of a run.

    ``as_read`` has them as files and changes gave them, whatever was replaced in the case since. ``files`` holds the
    texts read, by name. ``cells`` are the cases of the scenario's table, row by row.
    """

    scenario: Scenario
    machine: Machine
    floor: Floor
    load: LiftedLoad | None
    as_read: AsRead
    files: dict[str, str] = field(compare=False, default_factory=dict)
    cells: tuple[tuple[Case, ...], ...] = field(compare=False, repr=False, default=())

    def __repr__(self) -> str:
        """Say which case it is; its inputs are too many to show."""
        names = f"machine {self.scenario.machine!r}, floor {self.scenario.floor!r}"
        return f"<Case {self.scenario.title!r}: {names}, {self.assumed_count} values assumed>"

    @property
    def resolved(self) -> dict[str, dict[str, Any]]:
        """Every number by dotted key (``machine.`` or ``floor.`` in front of theirs) as a table.

        It has ``value`` (in words), ``si`` (float, list or None), ``unit`` and ``origin``.
        """
        return self.as_read.resolved

    @property
    def assumed(self) -> tuple[str, ...]:
        """What no file gives, in plain words."""
        return self.as_read.assumed[0]

    @property
    def assumed_count(self) -> int:
        """How many values no file gives."""
        return self.as_read.assumed[1]

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
