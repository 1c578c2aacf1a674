"""A scenario with its machine and floor, read and checked."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

from tipline import units
from tipline.errors import InputError
from tipline.model.document import Document, Overrides
from tipline.model.floor import Floor
from tipline.model.load import LiftedLoad
from tipline.model.machine import Machine
from tipline.model.origins import Leaf, assumed_lines, dotted, leaves
from tipline.model.plausible import found, path_of, stale, unusual
from tipline.model.plausible_floor import FLOOR_RULES
from tipline.model.plausible_machine import MACHINE_RULES
from tipline.model.positions import Path
from tipline.model.problems import Finding
from tipline.model.shipped import Kind
from tipline.scenario.checks import fork_height, hook_height
from tipline.scenario.commanded import Inputs
from tipline.scenario.defects import with_defects
from tipline.scenario.plausible import SCENARIO_RULES
from tipline.scenario.spec import Scenario

__all__ = ["AsRead", "Case", "Source", "Text", "quantified_values", "resolved_values"]


@dataclass(frozen=True)
class Text:
    """The text of a file that was read: its kind, the name it was given by, where it lay, how to call it."""

    kind: Kind
    given: str
    folder: str
    stem: str
    shown: str
    text: str


@dataclass(frozen=True)
class Source:
    """What a case was read from: the name that was given, the changes, the texts."""

    name: str
    changes: Overrides
    texts: tuple[Text, ...]


@dataclass(frozen=True, repr=False)
class AsRead:
    """All values as they were read, with their origins; listed when first asked for, which a sweep's rows never do."""

    scenario: Scenario
    machine: Machine
    floor: Floor
    documents: tuple[Document, Document, Document] = field(compare=False)

    @property
    def parts(self) -> tuple[Scenario, Machine, Floor]:
        """The three of them with what is wrong with the machine, as a case has them."""
        machine, scenario = with_defects(self.machine, self.scenario)
        return scenario, machine, self.floor

    @property
    def inputs(self) -> Inputs:
        """The scenario with its machine."""
        return Inputs(self.scenario, self.machine)

    @cached_property
    def unusual(self) -> tuple[InputError, ...]:
        """See `Case.unusual`."""
        input_errors: tuple[InputError, ...] = ()
        for findings, document, meant in self._asked:
            input_errors += unusual(findings, document, meant)
        return input_errors

    @cached_property
    def told(self) -> tuple[str, ...]:
        """See `Case.told`."""
        from tipline.scenario.told import told

        return (*told(self.inputs, self.floor, self.documents), *self._meant_for_nothing())

    @cached_property
    def _asked(self) -> tuple[tuple[list[Finding], Document, list[Path]], ...]:
        """What is unusual in scenario, machine and floor, whether meant or not, and what is said to be meant."""
        whole: list[Finding] = list(found(self.inputs, SCENARIO_RULES))
        of_machine, of_floor = list(found(self.machine, MACHINE_RULES)), list(found(self.floor, FLOOR_RULES))
        own = [finding for finding in whole if finding.path[0] not in ("machine", "floor")]
        of_machine += _inside(whole, "machine")
        of_floor += _inside(whole, "floor")
        meant = self._meant()
        return tuple(
            (findings, document, meant[start])
            for start, findings, document in zip(meant, (own, of_machine, of_floor), self.documents, strict=True)
        )

    def _meant(self) -> dict[str, list[Path]]:
        """Return what is said to be meant of each, an unknown key as it is.

        The scenario may say so of machine and floor as well.
        """
        parts = {"": self.scenario, "machine": self.machine, "floor": self.floor}
        meant: dict[str, list[Path]] = {start: [] for start in parts}
        for key in self.scenario.meant:
            start, _, rest = key.partition(".")
            start, inside = (start, rest) if start in ("machine", "floor") else ("", key)
            meant[start].append(path_of(parts[start], inside) or (inside,))
        meant["machine"] += [path_of(self.machine, key) or (key,) for key in self.machine.meant]
        meant["floor"] += [path_of(self.floor, key) or (key,) for key in self.floor.meant]
        return meant

    def _meant_for_nothing(self) -> Iterator[str]:
        for start, (findings, document, known) in zip(self._meant(), self._asked, strict=True):
            for path in stale(findings, document, known):
                yield f"meant of the {start or 'scenario'} names {dotted(path)}, where nothing is unusual."

    @cached_property
    def resolved(self) -> dict[str, dict[str, Any]]:
        """See `Case.resolved`."""
        return resolved_values(self.parts_by_key)

    @property
    def parts_by_key(self) -> dict[str, Scenario | Machine | Floor]:
        """What the files gave, by how its keys begin."""
        return {"": self.scenario, "machine.": self.machine, "floor.": self.floor}

    @cached_property
    def assumed(self) -> tuple[tuple[str, ...], int]:
        """What no file gives, in plain words, and how many values these are."""
        lines: list[str] = []
        count = 0
        for spec, whole in ((self.scenario, "scenario"), (self.machine, "truck"), (self.floor, "floor")):
            words, values = assumed_lines(spec, spec.origins, whole)
            lines += words
            count += values
        return tuple(lines), count


def _inside(findings: list[Finding], start: str) -> list[Finding]:
    return [replace(finding, path=finding.path[1:]) for finding in findings if finding.path[0] == start]


def resolved_values(parts: Mapping[str, Scenario | Machine | Floor]) -> dict[str, dict[str, Any]]:
    """Return every number of these as `Case.resolved` has them, keys with what stands before each."""
    return {
        f"{start}{dotted(leaf.path)}": _entry(leaf, spec.origins)
        for start, spec in parts.items()
        for leaf in leaves(spec)
    }


def quantified_values(parts: Mapping[str, Scenario | Machine | Floor]) -> dict[str, dict[str, Any]]:
    """Return the same with what quantity each is beside it, "" for none: of two quantities the SI unit may be one."""
    quantities = {
        f"{start}{dotted(leaf.path)}": "" if leaf.quantity is None else leaf.quantity.dimension
        for start, spec in parts.items()
        for leaf in leaves(spec)
    }
    return {key: {**entry, "quantity": quantities[key]} for key, entry in resolved_values(parts).items()}


def _entry(leaf: Leaf, origins: dict[str, str]) -> dict[str, Any]:
    unit = "" if leaf.quantity is None else units.SI_UNIT[leaf.quantity.dimension]
    origin = origins.get(dotted(leaf.path), "told")  # by a spread, which sets what a file leaves to the machine's
    return {"value": leaf.text(), "si": _plain(leaf.value), "unit": unit, "origin": origin}


def _plain(value: Any) -> Any:
    return [_plain(entry) for entry in value] if isinstance(value, tuple) else value


@dataclass(frozen=True, repr=False)
class Case:
    """All inputs of a run.

    ``as_read`` has them as files and changes gave them, whatever was replaced in the case since; ``source`` tells these
    files and changes. ``files`` holds the texts read, by name. ``cells`` are the cases of the scenario's table, row by
    row.
    """

    scenario: Scenario
    machine: Machine
    floor: Floor
    load: LiftedLoad | None
    as_read: AsRead
    source: Source = field(compare=False)
    files: dict[str, str] = field(compare=False, default_factory=dict)
    cells: tuple[tuple[Case, ...], ...] = field(compare=False, repr=False, default=())

    def __repr__(self) -> str:
        """Say which case it is; its inputs are too many to show."""
        names = f"machine {self.scenario.machine!r}, floor {self.scenario.floor!r}"
        return f"<Case {self.scenario.title!r}: {names}, {self.assumed_count} values assumed>"

    @property
    def inputs(self) -> Inputs:
        """The scenario with its machine."""
        return Inputs(self.scenario, self.machine)

    @property
    def as_written(self) -> tuple[Scenario, Machine, Floor]:
        """Scenario, machine and floor as files have them, what is wrong with the machine in the set-up alone.

        Where something was replaced since, it is in the machine for good, and gone from the set-up.
        """
        read_as = self.as_read
        if (self.scenario, self.machine, self.floor) == read_as.parts:
            return read_as.scenario, read_as.machine, read_as.floor
        setup = self.scenario.setup.model_copy(update={"defects": None})
        return self.scenario.model_copy(update={"setup": setup}), self.machine, self.floor

    @property
    def resolved(self) -> dict[str, dict[str, Any]]:
        """Every number by dotted key (``machine.`` or ``floor.`` in front of theirs) as a table.

        It has ``value`` (in words), ``si`` (float, list or None), ``unit`` and ``origin``.
        """
        return self.as_read.resolved

    @property
    def quantified(self) -> dict[str, dict[str, Any]]:
        """The same with ``quantity`` beside it, "pressure" say, for who shows values in other units."""
        return quantified_values(self.as_read.parts_by_key)

    @property
    def assumed(self) -> tuple[str, ...]:
        """What no file gives, in plain words."""
        return self.as_read.assumed[0]

    @property
    def assumed_count(self) -> int:
        """How many values no file gives."""
        return self.as_read.assumed[1]

    @property
    def unusual(self) -> tuple[InputError, ...]:
        """What the files give that is more often a slip than meant, and not said to be meant."""
        return self.as_read.unusual

    @property
    def told(self) -> tuple[str, ...]:
        """What the files give that is not used or overridden."""
        return self.as_read.told

    @property
    def demo(self) -> str:
        """What of it is invented: machine, floor, lifted load, as words; "" where nothing is."""
        load = self.load is not None and self.load.weight_from == "demo"
        which = ("machine", self.machine.demo), ("floor", self.floor.demo), ("lifted load", load)
        return " and ".join(", ".join(name for name, is_one in which if is_one).rsplit(", ", 1))

    @property
    def fork_height(self) -> float:
        """Height of the fork top, on a jib the carriage's, at time zero [m]."""
        return fork_height(self.scenario.setup, self.machine)

    @property
    def hook_height(self) -> float | None:
        """Height of the hook at time zero [m], None without a jib."""
        return hook_height(self.scenario.setup, self.machine)

    @property
    def height(self) -> float:
        """Height that the load is held at [m]: of the hook on a jib, else of the forks."""
        return self.fork_height if self.hook_height is None else self.hook_height

    @property
    def slope(self) -> tuple[float, float]:
        """Slope [rad] and the azimuth from the heading towards which it falls [rad]: the set-up's, else the floor's."""
        setup = self.scenario.setup
        if setup.slope is not None:
            return setup.slope, setup.slope_towards or 0.0
        return self.floor.slope, self.floor.slope_towards - setup.heading
