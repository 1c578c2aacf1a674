"""`check`: the pose a scenario starts from, at rest."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path

from tipline.commands.delivered import (
    RESOLVED,
    Delivered,
    Order,
    Wishes,
    into,
    names,
    read_from,
    write_drawing,
    write_inputs,
)
from tipline.commands.given import Overrides, Progress, case_of, hold_to, silent
from tipline.pose.assessment import PoseReport, assess_pose
from tipline.report import sections, summary
from tipline.report.first import first_on, first_summary
from tipline.report.page import Page, Picture
from tipline.report.sections import Beside
from tipline.scenario import Case
from tipline.scenario.unmet import as_told
from tipline.sweeps import input_ranges
from tipline.sweeps.bad_end import with_not_known
from tipline.units import System

__all__ = [
    "CheckResult",
    "as_checked",
    "check",
    "page_of",
    "with_floor",
    "with_ranges",
    "write_check",
    "write_plan",
]


@dataclass(frozen=True)
class CheckResult(PoseReport):
    """The pose a scenario starts from, assessed at rest, with what went in."""

    case: Case = field(kw_only=True)


def check(
    scenario: Case | Path | str,
    overrides: Overrides | None = None,
    progress: Progress | None = None,
    strict: bool = False,
) -> CheckResult:
    """Assess the pose a scenario starts from, at rest; nothing is simulated.

    Parameters
    ----------
    scenario, overrides, progress, strict : as for `run`

    Raises
    ------
    InputError
        A file, a value or an override is wrong.
    NumericalError
        The pose at rest was not found.

    Examples
    --------
    >>> import tipline
    >>> pose = tipline.check("front-tyre-breaks-through-load-high", {"load.mass": 4000.0})
    >>> pose.stands
    'stands'
    >>> f"{pose.distances['left']:.2f} m to the left tip line"
    '0.44 m to the left tip line'
    """
    tell = progress or silent
    case = case_of(scenario, overrides)
    hold_to(case.unusual, strict=strict)
    tell("assessing", None)
    return as_checked(with_ranges(assess_pose(case), case), case)


def as_checked(report: PoseReport, case: Case) -> CheckResult:
    """Add to a pose what of its files is unusual, and what is not used, overridden or never met."""
    report = replace(report, unusual=case.unusual, not_met=(*case.told, *as_told(case.inputs, case.floor)))
    return CheckResult(**vars(report), case=case)


def with_ranges(report: PoseReport, case: Case) -> PoseReport:
    """Add to a pose what comes in ranges: what it asks of the floor, and what it is within what is not known."""
    return with_not_known(with_floor(report, case), case)


def with_floor(report: PoseReport, case: Case) -> PoseReport:
    """Add what the set-up asks of the floor, its planning limits that are exceeded, and its bands to what is assumed.

    A floor that is rigid throughout is asked nothing, and what asks is not loaded for it: the page says so.
    """
    if case.floor.rigid:
        return report
    from tipline.floors.answers.demand import demand

    floor_report = demand(case, detail=False, advice=False)
    exceeded = (f"on the floor: {floor_report.short}",) if floor_report.exceeded else ()
    return replace(
        report,
        floor=floor_report,
        exceeded=(*report.exceeded, *exceeded),
        assumed=floor_report.assumed,
        assumed_count=floor_report.assumed_count,
    )


def page_of(result: CheckResult, wishes: Wishes, picture: Picture | None = None) -> Delivered:
    """Give the page and the summary of a pose."""
    facts = {"assumed_count": result.assumed_count, **first_summary(result)}
    return Delivered(_page(result, wishes.system, picture), summary.pose_summary(result, facts))


def _page(result: CheckResult, system: System, picture: Picture | None = None) -> Page:
    case = result.case
    beside = Beside(assumed=result.assumed_count, names=names(case), inputs=case.quantified, picture=picture)
    return first_on(sections.pose_page(result, system, beside), result, system)


def write_check(result: CheckResult, folder: Path, wishes: Wishes) -> Delivered:
    """Write the page, the summary and the inputs of a pose into `folder`."""
    write_inputs(result.case, folder / "inputs")
    case = result.case
    how = {"scenario": RESOLVED}
    picture = write_plan(result, folder, wishes)
    order = Order(
        "check",
        how,
        wishes,
        lambda system: _page(result, system, picture),
        case.quantified,
        read_from(case),
        input_ranges.of_case(case),
    )
    return into(folder, page_of(result, wishes, picture), order=order)


def write_plan(report: PoseReport, folder: Path, wishes: Wishes) -> Picture | None:
    """Draw a set-up from above into a folder, unless no pictures are wished for; give it for the page."""
    if not wishes.pictures:
        return None
    from tipline.view import set_up_drawing

    return write_drawing(set_up_drawing(report, wishes.system), "plan.svg", folder)
