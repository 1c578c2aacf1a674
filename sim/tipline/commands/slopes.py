"""`slopes`: the greatest floor slope in every direction, by height and set-up."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from tipline.commands.delivered import Delivered, Wishes, into, write_drawings, write_inputs
from tipline.commands.given import Progress, case_of, hold_to, silent
from tipline.errors import InputError
from tipline.notebook import Reported
from tipline.report import floor as tables
from tipline.report import slopes as pages
from tipline.report.first import first_on, first_summary
from tipline.report.page import Pictures
from tipline.scenario import Case

if TYPE_CHECKING:
    from tipline.slope_limits.assessment import SlopeReport

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
        return tuple({str(one): one for _, case in self.cases for one in case.unusual}.values())


@dataclass(frozen=True, repr=False)
class SlopeResult(Reported):
    """A scenario whose slope limits were asked: what went in, what was found."""

    case: Case
    report: SlopeReport


def slopes(
    scenario: Path | str,
    overrides: Mapping[str, str] | None = None,
    heights: str | None = None,
    beside: Sequence[str] = (),
    directions: int = 72,
    simulate: int = 0,
    ramps: int = 0,
    progress: Progress | None = None,
    strict: bool = False,
) -> SlopeResult:
    """Find the greatest floor slope in every direction, by height and set-up.

    Parameters
    ----------
    scenario : by file or shipped name
    overrides : settings that replace those of the files
    heights : fork heights (hook heights on a jib) such as "0.3 m, 2 m", or how many, spread evenly
    beside : further set-ups, each as "key = value; key = value" changed against the scenario
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
    MissingPart
        pybullet is not installed and a simulation was asked for.
    """
    from tipline.slope_limits import tilting

    tell = progress or silent
    tell("reading", None)
    if not 8 <= directions <= 720:
        msg = "must be between 8 and 720"
        raise InputError(msg, key="--directions", value=str(directions), remedy="72 is one every 5 degrees")
    given = _read(scenario, overrides, beside)
    hold_to(given.unusual, strict=strict)
    asked = tilting.set_ups(given.cases, heights, with_own=ramps > 0)
    tell("loading the solver (its first start compiles it, under a minute)", None)
    from tipline.slope_limits.assessment import assess_slopes

    report = assess_slopes(asked, directions, lambda part: tell("solving", part))
    if simulate > 0:
        known = {
            (label, one.height): case for (label, case) in given.cases for one in report.maps if one.label == label
        }
        found = tilting.simulate_slopes(report, known, simulate, lambda part: tell("simulating slopes", part))
        report = replace(report, simulated=found)
    if ramps > 0:
        driven = tilting.simulate_ramps(report, given.own, ramps, lambda part: tell("simulating ramps", part))
        told = () if driven else ("No ramp was driven: at its own height the truck does not stand on a level floor.",)
        report = replace(report, driven=driven, notes=(*report.notes, *told))
    return SlopeResult(given.own, replace(report, unusual=given.unusual, not_met=given.own.told))


def _read(scenario: Path | str, overrides: Mapping[str, str] | None, beside: Sequence[str]) -> SlopeInputs:
    """Read the scenario, and again for each set-up beside it."""
    cases = [("", case_of(scenario, overrides))]
    for text in beside:
        changes = _changes(text)
        words = ", ".join(f"{_spoken(key)} {value}" for key, value in changes.items())
        cases.append((words, case_of(scenario, {**(overrides or {}), **changes})))
    return SlopeInputs(tuple(cases))


def _changes(text: str) -> dict[str, str]:
    """Read a set-up to show beside, such as "counterweight_extension = 0.6 m; load.mass = 4 t"."""
    out = {}
    for part in text.split(";"):
        key, sign, value = part.partition("=")
        if not sign or not key.strip():
            msg = "a set-up needs keys and values"
            raise InputError(
                msg, key="--beside", value=text, remedy='Write it like "load.mass = 4 t; setup.tilt = 2 deg"'
            )
        key = key.strip()
        out[key if "." in key else f"setup.{key}"] = value.strip()
    return out


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
    page = first_on(pages.slopes_page(report, wishes.system, drawn), report, wishes.system)
    facts = {"assumed_count": report.assumed_count, **first_summary(report)}
    (folder / "slopes.csv").write_text(tables.rows_csv(report.rows(), report.demo), encoding="utf-8")
    return into(folder, Delivered(page, pages.slopes_summary(report, facts)))
