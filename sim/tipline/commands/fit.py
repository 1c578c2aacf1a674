"""`fit`: a machine's masses, centres and mast fitted to what was weighed and measured of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from tipline import units
from tipline.commands.delivered import Delivered, Wishes, into, write_drawing
from tipline.commands.given import Overrides, Progress, hold_to, named, silent
from tipline.errors import InputError
from tipline.model.machine import Machine
from tipline.model.origins import assumed_lines
from tipline.model.own_truck import TABLE
from tipline.model.positions import Path as Key
from tipline.model.reader import read_machine, unusual_in_machine
from tipline.model.rewritten import NewValue, rewritten
from tipline.model.shipped import find
from tipline.notebook import Reported
from tipline.report import fit as pages
from tipline.report.first import first_on, first_summary
from tipline.statics.planning import governs

if TYPE_CHECKING:
    from tipline.truck_fit.assessment import FitReport

__all__ = ["FitResult", "fit", "write_fit"]

STAYED = 0.25
"""A value that is not determined, and moved by less than this part of its spread, stays as it was (our choice)."""


@dataclass(frozen=True, repr=False)
class FitResult(Reported):
    """A machine with what the readings make of it; ``text`` is its file with the fitted values, ``name`` the file's."""

    machine: Machine
    report: FitReport
    text: str
    name: str
    before: str


def fit(
    machine: Path | str,
    overrides: Overrides | None = None,
    progress: Progress | None = None,
    strict: bool = False,
) -> FitResult:
    """Fit a machine's file to its weighings, its sags and its capacity plate, as far as they tell.

    What they do not determine is named, with the weighing that would; readings that contradict the others are too.

    Parameters
    ----------
    machine : by file or shipped name, with ``weighings`` or ``sags`` in it
    overrides : values that replace those of its file
    progress : told of each stage
    strict : as for `run`

    Raises
    ------
    InputError
        A file or a value is wrong, or nothing was weighed.

    Examples
    --------
    >>> import tipline
    >>> home = '{attachment = "forks", slabs = 0, extension = "0 m", drive_axle = "3.9 t", steer_axle = "5.6 t"}'
    >>> out = '{attachment = "forks", slabs = 0, extension = "1.2 m", drive_axle = "1.7 t", steer_axle = "7.8 t"}'
    >>> report = tipline.fit("demo-truck-a", {"weighings": f"[{home}, {out}]"}).report
    >>> [one.unknown.what for one in report.fitted if one.told == "yes"]
    ['mass of the counterweight']
    """
    from tipline.set_ups.rules import LoadRules
    from tipline.truck_fit.assessment import assess_fit

    tell = progress or silent
    tell("reading", None)
    name = named(machine, "machine", "a machine file or a shipped name")
    truck, unusual = read_machine(name, overrides), unusual_in_machine(name, overrides)
    hold_to(unusual, strict=strict)
    path, shown = find("machine", name)
    tell("fitting", None)
    report = assess_fit(truck, LoadRules())
    count = assumed_lines(truck, truck.origins, "truck")[1]
    report = replace(report, unusual=unusual, assumed_count=count, governs=governs(None, truck, None))
    before = path.read_text(encoding="utf-8-sig")
    try:
        text = rewritten(before, _new_values(report))
    except ValueError as error:
        remedy = "Write each value on a line of its own, as the shipped files do"
        raise InputError(str(error), file=shown, remedy=remedy) from error
    return FitResult(truck, report, text, f"{Path(shown).stem}-fitted.toml", before)


def _new_values(report: FitReport) -> Mapping[Key, NewValue]:
    """Return what the readings moved by its place in the file: measured where they determine it, else as before."""
    new_values: dict[Key, NewValue] = {}
    for fitted in report.fitted:
        if fitted.told == "no" and abs(fitted.value - fitted.unknown.value) < STAYED * fitted.unknown.spread:
            continue
        of = fitted.unknown
        if of.key.startswith(TABLE) and fitted.told != "yes":
            continue  # it stays a band: a value would say that it is known
        span = units.show_span(fitted.low, fitted.high, of.dimension)
        known = "fitted" if fitted.told == "yes" else "fitted, told only with others"
        origin = "measured" if fitted.told == "yes" else of.origin
        value = NewValue(units.show(fitted.value, of.dimension, digits=5), origin, f"{known}: {span}")
        key: Key = tuple(of.key.split("."))
        new_values[key if of.axis is None else (*key, of.axis)] = value
    return new_values


def write_fit(result: FitResult, folder: Path, wishes: Wishes) -> Delivered:
    """Write the fitted machine file, page, summary and inputs of a fit into `folder`."""
    inputs = folder / "inputs"
    inputs.mkdir()
    (inputs / result.name.replace("-fitted.toml", ".toml")).write_text(result.before, encoding="utf-8")
    (folder / result.name).write_text(result.text, encoding="utf-8")
    report = result.report
    picture = None
    if wishes.pictures:
        from tipline.view import fit_drawing

        picture = write_drawing(fit_drawing(report, wishes.system), "fit.svg", folder)
    page = first_on(pages.fit_page(report, wishes.system, result.name, picture), report, wishes.system)
    facts = {"assumed_count": report.assumed_count, "file": result.name, **first_summary(report)}
    return into(folder, Delivered(page, pages.fit_summary(report, facts)))
