"""Loads, parts and set-ups as the pages of greatest and least loads say them."""

from __future__ import annotations

from math import ceil, floor, isfinite, log10
from typing import TYPE_CHECKING

from tipline import units
from tipline.report.wording import NOT_GIVEN, quantity
from tipline.scenario.labels import height_of
from tipline.units import System

if TYPE_CHECKING:
    from tipline.set_ups.assessment import LoadsReport

__all__ = ["base_words", "bases_of", "cell_words", "load_words", "part_words", "rounded", "rounded_up"]


def load_words(mass: float, system: System) -> str:
    """Give a load to 10 kg in the hundreds, as plates state it."""
    return units.show(mass, "mass", system, digits=4) if isfinite(mass) else NOT_GIVEN


def rounded(mass: float, system: System) -> str:
    """Give a load that was worked out, down to the next of three digits: what is not rated is given no benefit."""
    step = _step(mass)
    return quantity(floor(mass / step) * step, "mass", system)


def rounded_up(mass: float, system: System) -> str:
    """Give a load that is needed, up to the next of three digits."""
    step = _step(mass)
    return quantity(ceil(mass / step) * step, "mass", system)


def _step(mass: float) -> float:
    """Return the place of the third digit, never below the 10 kg to which plates state a load."""
    return max(10.0 ** (floor(log10(mass)) - 2) if mass > 0.0 else 1.0, 10.0)


def part_words(of_one: float) -> str:
    """Give a part in whole percent; finer than that no rule is."""
    return f"{100 * of_one:.0f} %" if isfinite(of_one) else "more than all"


def cell_words(report: LoadsReport, k: int, system: System) -> str:
    """Say which set-up a cell is of."""
    cells = report.cells
    out = "on the jib, reach" if cells.jib[k] else "on the forks, load centre"
    length = quantity(float(cells.centre[k]), "length", system)
    at = f"{height_of(bool(cells.jib[k]))} {quantity(float(cells.height[k]), 'length', system)}"
    return f"{out} {length}, {base_words(float(cells.extension[k]), int(cells.slabs[k]), system)}, {at}"


def base_words(extension: float, slabs: int, system: System) -> str:
    """Say how far the counterweight is out, and how many slabs are on."""
    out = "counterweight home" if extension == 0.0 else f"counterweight {quantity(extension, 'length', system)} out"
    return f"{out}, {slabs or 'no'} slab{'' if slabs == 1 else 's'}"


def bases_of(report: LoadsReport) -> list[tuple[float, int]]:
    """Return each extension [m] with each number of slabs that was asked."""
    pairs = zip(report.cells.extension.tolist(), report.cells.slabs.tolist(), strict=True)
    return sorted({(extension, int(slabs)) for extension, slabs in pairs})
