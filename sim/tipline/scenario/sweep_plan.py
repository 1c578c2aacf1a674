"""A sweep that is ready to run: the settings that vary, and the scenario that they are changed in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from math import exp, log, sqrt
from typing import Literal

from tipline import units
from tipline.errors import InputError
from tipline.model.document import Overrides
from tipline.scenario.case import Case
from tipline.scenario.reader import Text
from tipline.scenario.sweep import Sweep

__all__ = ["FAR", "Shape", "SweepPlan", "SweptInput"]

Shape = Literal["values", "uniform", "normal", "truncated-normal", "triangular", "lognormal"]
FAR = 3.0
"""How many standard deviations from the middle an endless distribution is tried."""
_MANY = 12
"""Listed numbers of which more than so many are tried at their ends only."""


@dataclass(frozen=True)
class SweptInput:
    """One setting that varies, in SI; texts, whole numbers and flags where ``dimension`` is empty.

    ``base`` holds what the files give for each key; ``figures`` the figures of its distribution by name.
    """

    column: str
    label: str
    keys: tuple[str, ...]
    dimension: str
    shape: Shape
    values: tuple[float | int | str | bool, ...]
    figures: Mapping[str, float]
    relative: bool
    base: tuple[float, ...]
    origin: str

    @property
    def unit(self) -> str:
        """The SI unit of its values, "" where they have none."""
        return "" if self.relative or not self.dimension else units.SI_UNIT[self.dimension]

    def texts(self, value: float | int | str | bool) -> dict[str, str]:
        """Return the changes that give it a value, as ``--set`` takes them."""
        if not self.dimension:
            text = str(value).lower() if isinstance(value, bool) else str(value)
            return dict.fromkeys(self.keys, text)
        unit = units.SI_UNIT[self.dimension]
        scaled = [base * float(value) for base in self.base] if self.relative else [float(value)] * len(self.keys)
        return {key: f"{number!r} {unit}".strip() for key, number in zip(self.keys, scaled, strict=True)}

    def ends(self) -> tuple[float | int | str | bool, ...]:
        """Return the values to be tried before a sweep begins: the listed ones, of many the ends, or both ends."""
        if self.shape == "values":
            many = self.dimension and len(self.values) > _MANY
            return (min(self.values, key=float), max(self.values, key=float)) if many else self.values
        figures = self.figures
        if self.shape == "normal":
            return tuple(figures["mean"] + side * FAR * figures["deviation"] for side in (-1.0, 1.0))
        if self.shape == "lognormal":
            spread = sqrt(log(1.0 + (figures["deviation"] / figures["mean"]) ** 2))
            middle = log(figures["mean"]) - 0.5 * spread**2
            return tuple(exp(middle + side * FAR * spread) for side in (-1.0, 1.0))
        return figures["least"], figures["most"]

    def say(self, value: float | int | str | bool) -> str:
        """Return a value in words."""
        if self.relative:
            return f"{100.0 * float(value):.3g} %"
        return units.show(float(value), self.dimension) if self.dimension else str(value)

    def say_edges(self, edges: Sequence[float]) -> tuple[str, ...]:
        """Return the edges of groups of drawn values in words, in one unit.

        They have the fewest digits, two at least, that move none by over an eighth of the narrowest group (our choice).
        """
        dimension, factor, unit = ("ratio", 100.0, " %") if self.relative else (self.dimension, 1.0, "")
        near = 0.125 * min((high - low for low, high in pairwise(edges) if high > low), default=0.0)
        for digits in range(2, 7):
            shown = units.show_alike([factor * edge for edge in edges], dimension, digits=digits)
            words = tuple(f"{text}{unit}" for text in shown)
            if all(abs(units.parse(word, dimension) - edge) <= near for word, edge in zip(words, edges, strict=True)):
                break
        return words

    def words(self) -> str:
        """Return how it varies in words."""
        if self.shape == "values":
            return ", ".join(self.say(value) for value in self.values)
        said = {name: self.say(value) for name, value in self.figures.items()}
        between = f"from {said['least']} to {said['most']}" if "least" in said else ""
        about = f"mean {said['mean']}, standard deviation {said['deviation']}" if "mean" in said else ""
        return {
            "uniform": f"any value {between}, each as likely",
            "normal": f"normal, {about}",
            "truncated-normal": f"normal, {about}, cut off {between}",
            "triangular": f"triangular {between}, likeliest {said.get('likeliest', '')}",
            "lognormal": f"lognormal, {about}",
        }[self.shape]


@dataclass(frozen=True)
class SweepPlan:
    """A sweep that is ready to run.

    Attributes
    ----------
    sweep : the file
    case : the scenario with what is changed in all runs
    fixed : those changes
    inputs : what varies, in the order of the file; sought : the setting whose threshold is sought, with its outcome
    within : how narrow the threshold is to be
    rows : how many rows the table will have
    texts : the files that the runs are read from, so that they need not be where a run is made
    files : the sweep's own text and those of its scenario, by name
    unusual : what scenario, machine and floor give that is more often a slip than meant, and the ends of what varies
    shares : of each row, for each setting, the share of its distribution that lies below its value, in place of what
        the method draws; none: the method draws
    name, changes : what it was read from
    """

    sweep: Sweep
    case: Case
    fixed: Mapping[str, str]
    inputs: tuple[SweptInput, ...]
    sought: SweptInput | None
    within: float
    rows: int
    texts: tuple[Text, ...]
    files: Mapping[str, str]
    unusual: tuple[InputError, ...] = ()
    name: str = ""
    changes: Overrides = field(default_factory=dict)
    shares: tuple[tuple[float, ...], ...] = ()
