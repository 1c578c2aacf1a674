"""`slopes`: the greatest floor slope in every direction, by height and set-up."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tipline.commands.delivered import (
    RESOLVED,
    Delivered,
    Order,
    Wishes,
    into,
    links,
    names,
    read_from,
    write_drawings,
    write_inputs,
)
from tipline.commands.given import Overrides, Progress, case_of, hold_to, silent, whole
from tipline.commands.limits import DIRECTIONS, MOST_RAMPS, MOST_SIMULATED
from tipline.errors import InputError, argument
from tipline.notebook import Reported
from tipline.report import floor as tables
from tipline.report import slopes as pages
from tipline.report.first import first_on, first_summary
from tipline.report.page import Page, Pictures
from tipline.scenario import Case
from tipline.scenario.reader import read_again
from tipline.sweeps import input_ranges
from tipline.sweeps.bad_end import AT_BAD_END, at_bad_end, not_known_of
from tipline.units import System

if TYPE_CHECKING:
    from tipline.slope_limits.maps import SlopeReport

Beside = Sequence[str | Mapping[str, Any]] | Mapping[str, Any] | str
Heights = Sequence[float | str] | float | str | None
__all__ = ["SlopeInputs", "SlopeResult", "slopes", "write_slopes"]


@dataclass(frozen=True)
class SlopeInputs:
    """The set-ups whose slope limits are asked: the scenario's own first, each with the words for what is changed."""

    cases: tuple[tuple[str, Case], ...]

    @property
    def own(self) -> Case:
        """The scenario's own set-up."""
        return self.cases[0][1]

    @property
    def unusual(self) -> tuple[InputError, ...]:
        """What is unusual in any of them, each said once."""
        return tuple({str(question): question for _, case in self.cases for question in case.unusual}.values())


@dataclass(frozen=True, repr=False)
class SlopeResult(Reported):
    """A scenario whose slope limits were asked: what went in, what was found; ``arguments``: how."""

    case: Case
    report: SlopeReport
    arguments: Mapping[str, Any] = field(default_factory=dict)


def slopes(
    scenario: Case | Path | str,
    overrides: Overrides | None = None,
    heights: Heights = None,
    beside: Beside = (),
    directions: int = 72,
    simulate: int = 0,
    ramps: int = 0,
    progress: Progress | None = None,
    strict: bool = False,
) -> SlopeResult:
    """Find the greatest floor slope in every direction, by height and set-up.

    Parameters
    ----------
    scenario : by file or shipped name, or a case already read
    overrides : settings that replace those of the files, as for `run`
    heights : fork heights (hook heights on a jib) [m], each a number or as "0.3 m"; or how many, spread evenly; left
        out, four and the scenario's own. The text "0.3 m, 2 m" will do as well
    beside : further set-ups, each as what is changed against the scenario, {"tilt": "2 deg", "load.mass": 4000.0} or
        "tilt = 2 deg; load.mass = 4 t"; a key without a dot is one of the set-up
    directions : how many, spread evenly, 8 to 720
    simulate : in how many directions to simulate as well, by bisection
    ramps : how many ways of driving onto a ramp, and stopping on it, 12 at most (`slope_limits.tilting.RAMPS`)
    progress : told of each stage
    strict : as for `run`

    Raises
    ------
    InputError
        A file, a value, a height or a set-up is wrong.
    NumericalError
        A simulation broke down.

    Examples
    --------
    >>> import tipline
    >>> result = tipline.slopes("front-tyre-breaks-through-load-high", heights=[3.0], directions=8)
    >>> ahead = result.report.maps[0]
    >>> f"{ahead.height} m: {ahead.first[0]:.3f} rad, {ahead.words(0)}"
    '3.0 m: 0.277 rad, rolls away'
    """
    from tipline.slope_limits import tilting
    from tipline.slope_limits.asked import set_ups

    tell = progress or silent
    tell("reading", None)
    _directions(directions)
    whole(simulate, "simulate", 0, MOST_SIMULATED)
    whole(ramps, "ramps", 0, MOST_RAMPS)
    given = _read(scenario, overrides, beside)
    hold_to(given.unusual, strict=strict)
    cases = tuple((label, at_bad_end(case)) for label, case in given.cases)
    asked_set_ups = set_ups(cases, heights, with_own=ramps > 0)
    tell("loading the solver (its first start compiles it, under a minute)", None)
    from tipline.slope_limits.assessment import assess_slopes

    report = assess_slopes(asked_set_ups, directions, lambda part: tell("solving", part))
    not_known = not_known_of(given.own)
    if not_known is not None:
        notes = (*report.notes, f"Slopes are those {AT_BAD_END}.")
        report = replace(report, notes=notes, not_known=not_known)
    if simulate > 0:
        known = {
            (label, slope_map.height): case
            for (label, case) in cases
            for slope_map in report.maps
            if slope_map.label == label
        }
        runs = tilting.simulate_slopes(report, known, simulate, lambda part: tell("simulating slopes", part))
        report = replace(report, simulated=runs)
    if ramps > 0:
        driven = tilting.simulate_ramps(report, given.own, ramps, lambda part: tell("simulating ramps", part))
        notes = () if driven else ("No ramp was driven: at its own height the truck does not stand on a level floor.",)
        report = replace(report, driven=driven, notes=(*report.notes, *notes))
    arguments = {
        "scenario": RESOLVED,
        "heights": heights,
        "beside": beside,
        "directions": directions,
        "simulate": simulate,
        "ramps": ramps,
        "strict": strict,
    }
    return SlopeResult(given.own, replace(report, unusual=given.unusual, not_met=given.own.told), arguments)


def _directions(count: object) -> None:
    """Refuse a number of directions beyond what is told."""
    try:
        whole(count, "directions", *DIRECTIONS)
    except InputError as error:
        msg = "must be between {} and {}".format(*DIRECTIONS)
        raise InputError(msg, key=error.key, value=error.value, remedy="72 is one every 5 degrees") from None


def _read(scenario: Case | Path | str, overrides: Overrides | None, beside: Beside) -> SlopeInputs:
    """Read the scenario, and again for each set-up beside it."""
    own = case_of(scenario, overrides)
    cases = [("", own)]
    for set_up in (beside,) if isinstance(beside, str | Mapping) else _listed(beside):
        changes = _changes(set_up)
        case = read_again(own, changes)
        resolved = case.resolved
        words = ", ".join(f"{_spoken(key)} {_said(resolved, key, value)}" for key, value in changes.items())
        cases.append((words, case))
    return SlopeInputs(tuple(cases))


def _listed(beside: object) -> Sequence[object]:
    if not isinstance(beside, Sequence):
        raise _no_set_up(beside)
    return beside


def _changes(set_up: object) -> dict[str, Any]:
    """Read a set-up to show beside, such as "counterweight_extension = 0.6 m; load.mass = 4 t" or the same by key."""
    out: dict[str, Any] = {}
    if isinstance(set_up, Mapping):
        out = {str(key): value for key, value in set_up.items()}
    else:
        for part in set_up.split(";") if isinstance(set_up, str) else ("",):
            key, sign, value = part.partition("=")
            if not sign or not key.strip():
                raise _no_set_up(set_up)
            out[key.strip()] = value.strip()
    return {key if "." in key else f"setup.{key}": value for key, value in out.items()}


def _no_set_up(given: object) -> InputError:
    remedy = 'Write it like "load.mass = 4 t; setup.tilt = 2 deg"'
    shown = given if isinstance(given, str) else repr(given)
    return InputError("a set-up needs keys and values", key=argument("beside"), value=shown, remedy=remedy)


def _said(resolved: Mapping[str, Mapping[str, Any]], key: str, value: object) -> str:
    """Return a changed value in words: text as it was given, a number as it was read."""
    entry = resolved.get(key)
    return str(value) if isinstance(value, str) or entry is None else str(entry["value"])


def _spoken(key: str) -> str:
    return key.removeprefix("setup.").replace("_", " ").replace(".", " ")


def write_slopes(result: SlopeResult, folder: Path, wishes: Wishes, progress: Progress) -> Delivered:
    """Write page, summary, table, drawings and inputs of slope limits into `folder`."""
    report = result.report
    write_inputs(result.case, folder / "inputs")
    drawn: tuple[Pictures, ...] = ()
    if wishes.pictures:
        from tipline import view

        progress("drawing the maps", None)
        drawn = write_drawings("Slope limits by direction", view.slope_drawings(report, wishes.system), folder)
    progress("writing the report", None)
    beside = links(["summary.json", "slopes.csv", "inputs/resolved.toml"])

    def page_in(system: System) -> Page:
        return first_on(pages.slopes_page(report, system, drawn, beside), report, system)

    facts = {"assumed_count": report.assumed_count, **first_summary(report)}
    (folder / "slopes.csv").write_text(tables.rows_csv(report.rows(), report.demo), encoding="utf-8")
    order = Order(
        "slopes",
        result.arguments,
        wishes,
        page_in,
        result.case.quantified,
        read_from(result.case),
        input_ranges.of_case(result.case),
        names(result.case),
    )
    return into(folder, Delivered(page_in(wishes.system), pages.slopes_summary(report, facts)), order=order)
