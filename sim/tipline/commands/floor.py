"""`floor`: what a floor carries, alone, under a set-up, or along a route."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tipline.commands.delivered import (
    RESOLVED,
    Delivered,
    Order,
    Wishes,
    floor_named,
    into,
    links,
    names,
    read_from,
    write_drawings,
    write_inputs,
)
from tipline.commands.given import Overrides, Progress, case_of, hold_to, input_name, named, silent, texts_of
from tipline.errors import InputError, argument
from tipline.notebook import Reported
from tipline.report import floor as pages
from tipline.report import html
from tipline.report.first import first_on, first_summary
from tipline.report.not_known import band_words
from tipline.report.page import Page, Picture, Pictures
from tipline.scenario import Case
from tipline.scenario.case import quantified_values
from tipline.scenario.unmet import as_told
from tipline.sweeps import input_ranges
from tipline.sweeps.bad_end import Heaviest, heaviest
from tipline.units import System

if TYPE_CHECKING:
    from tipline.floors.answers.report import FloorReport, Question
    from tipline.model.floor import Floor
    from tipline.model.spreaders import Stock
    from tipline.scenario.route import Route

__all__ = ["FloorInputs", "FloorResult", "floor", "write_floor"]


_HEAVIEST = "all that is not known of the truck: where it presses hardest on a tyre"


@dataclass(frozen=True)
class FloorInputs:
    """What a floor is asked with: the set-up of a case, or nothing; a route; spreaders to choose from.

    ``unusual``: what is more often a slip than meant; ``not_used``: what a floor that is asked alone has no use for.
    """

    case: Case | None
    floor: Floor
    route: Route | None = None
    stock: Stock | None = None
    unusual: tuple[InputError, ...] = ()
    not_used: tuple[str, ...] = ()


@dataclass(frozen=True, repr=False)
class FloorResult(Reported):
    """A floor that was asked: by a case, or alone; what was found.

    ``arguments``: how it was made; ``files``: the texts read beside those of the case, by name.
    """

    case: Case | None
    floor: Floor
    report: FloorReport
    arguments: Mapping[str, Any] = field(default_factory=dict)
    files: Mapping[str, str] = field(default_factory=dict)


def floor(
    subject: Case | Path | str,
    overrides: Overrides | None = None,
    route: Path | str | None = None,
    stock: Path | str | None = None,
    progress: Progress | None = None,
    strict: bool = False,
) -> FloorResult:
    """Ask a floor: under the set-up of a scenario, along a route with it, or alone where the subject is a floor.

    Parameters
    ----------
    subject : a scenario or a floor, by file or shipped name, or a case already read
    overrides : settings that replace those of the file, as for `run`
    route : file of a route; only with a scenario
    stock : spreaders to choose from, by file or shipped name
    progress : told of each stage
    strict : as for `run`

    Raises
    ------
    InputError
        A file, a value or an override is wrong.
    NumericalError
        Equilibrium or plate elements broke down.

    Examples
    --------
    >>> import tipline
    >>> result = tipline.floor("stop-with-the-load-up-breaks-a-slab")
    >>> worst = result.report.answers[0]
    >>> worst.zone, worst.tyre, worst.of_limit.likely > 1.0
    ('old slab', 'front-left', True)
    """
    from tipline.floors.answers.alone import floor_alone
    from tipline.floors.answers.demand import demand
    from tipline.floors.answers.demand import route as demand_along

    tell = progress or silent
    tell("reading", None)
    given = _read(subject, overrides, route, stock)
    hold_to(given.unusual, strict=strict)
    tell("working out the floor", None)
    case = given.case
    if case is None:
        report = replace(floor_alone(given.floor), unusual=given.unusual, not_met=given.not_used)
        arguments = {"subject": input_name("floor", str(subject)), "overrides": overrides, "strict": strict}
        return FloorResult(None, given.floor, report, arguments, texts_of(("floor", str(subject))))
    pressing = heaviest(case)
    loaded = pressing.case
    if given.route is None:
        report = demand(loaded, stock=given.stock)
    else:
        report = demand_along(loaded, given.route, stock=given.stock)
    if loaded is not case:
        asked_too = (*report.questions, *_questions_of_truck(pressing, report))
        report = replace(report, assumed=(_HEAVIEST, *report.assumed), questions=asked_too)
    not_met = (*case.told, *(as_told(case.inputs, case.floor) if given.route is None else report.not_met))
    arguments = {
        "subject": RESOLVED,
        "route": input_name("route", route),
        "stock": input_name("stock", stock),
        "strict": strict,
    }
    report = replace(report, unusual=given.unusual, not_met=not_met)
    return FloorResult(case, case.floor, report, arguments, texts_of(("route", route), ("stock", stock)))


def _questions_of_truck(pressing: Heaviest, report: FloorReport) -> Iterator[Question]:
    """Ask for what of truck and load would take most off what governs here, standing where it stands."""
    from tipline.floors.answers.demand import demand
    from tipline.floors.answers.questions import question_of_truck

    for unknown in pressing.measured if report.worst is not None else ():
        then = demand(unknown.case, detail=False, advice=False).worst
        now = demand(pressing.case, detail=False, advice=False).worst
        if now is not None and then is not None:
            lies = f"now {band_words(unknown.low, unknown.high, unknown.dimension, 'si')}"
            question = question_of_truck(f"{unknown.what} ({lies}): {unknown.measure}", now.of_limit, then.of_limit)
            yield from () if question is None else (question,)


def _read(
    subject: Case | Path | str, overrides: Overrides | None, route: Path | str | None, stock: Path | str | None
) -> FloorInputs:
    """Read what a floor is asked with."""
    from tipline.model import read_stock
    from tipline.model.reader import not_used_in_floor, read_floor, unusual_in_floor, unusual_in_stock
    from tipline.scenario.route import read_route, unusual_in_route

    if not isinstance(subject, Case):
        name = named(subject, "subject", "a floor or a scenario, by file or shipped name, or a case already read")
        if _is_floor(name):
            for option, file, what in (("route", route, "a route needs"), ("stock", stock, "spreaders need")):
                if file is not None:
                    msg, remedy = (
                        f"{what} a truck: give a scenario in place of a floor",
                        "Name a scenario on this floor",
                    )
                    raise InputError(msg, key=argument(option), value=str(file), remedy=remedy)
            unusual, not_used = unusual_in_floor(name, overrides), not_used_in_floor(name, overrides)
            return FloorInputs(None, read_floor(name, overrides), unusual=unusual, not_used=not_used)
    case = case_of(subject, overrides)
    given = FloorInputs(case, case.floor, unusual=case.unusual)
    if route is not None:
        file = Path(named(route, "route", "the file of a route"))
        given = replace(given, route=read_route(file), unusual=(*given.unusual, *unusual_in_route(file)))
    if stock is not None:
        name = named(stock, "stock", "a stock of spreaders, by file or shipped name")
        given = replace(given, stock=read_stock(name), unusual=(*given.unusual, *unusual_in_stock(name)))
    return given


def _is_floor(name: str) -> bool:
    """Whether a name or file is a floor and not a scenario: a shipped floor's name, or a file without a truck."""
    from tipline.model.document import read_text, toml_data
    from tipline.model.shipped import list_shipped, near

    names, path = list_shipped(), Path(name)
    if not name.lower().endswith(".toml") or not path.is_file():
        return near(name[:200], (*names["scenario"], *names["floor"])) in names["floor"]  # so that this one is meant
    try:
        document = toml_data(read_text(path, name))
    except (InputError, ValueError, RecursionError):  # told when it is read
        return False
    if "setup" in document or "machine" in document:
        return False
    return not {"elsewhere", "zone", "friction"}.isdisjoint(document)


def write_floor(result: FloorResult, folder: Path, wishes: Wishes, progress: Progress) -> Delivered:
    """Write page, summary, table, wheel-load sheet, drawings and inputs of a floor that was asked into `folder`."""
    report = result.report
    if result.case is not None:
        write_inputs(result.case, folder / "inputs")
    for name, text in result.files.items():
        (folder / "inputs").mkdir(exist_ok=True)
        (folder / "inputs" / name).write_text(text, encoding="utf-8")
    drawn: tuple[Pictures, ...] = ()
    if wishes.pictures:
        from tipline import view

        progress("drawing the floor", None)
        drawn = write_drawings("Drawings", view.floor_drawings(report, wishes.system), folder)
    progress("writing the report", None)
    there = ["summary.json", "floor.csv", *["wheel-loads.html"] * bool(report.tyres)]
    beside = links([*there, *["inputs/resolved.toml"] * (result.case is not None)])

    def page_in(system: System) -> Page:
        return first_on(pages.floor_page(report, system, drawn, beside), report, system)

    inputs = quantified_values({"floor.": result.floor}) if result.case is None else result.case.quantified
    source = read_from(result.case) if result.case else None
    ranges = input_ranges.of_case(result.case) if result.case else input_ranges.of_floor(result.floor)
    about = names(result.case) if result.case else (floor_named(result.floor),)
    delivered = into(
        folder,
        Delivered(page_in(wishes.system), {**pages.floor_summary(report), **first_summary(report)}),
        order=Order("floor", result.arguments, wishes, page_in, inputs, source, ranges, about),
    )
    (folder / "floor.csv").write_text(pages.rows_csv(report.rows(), report.demo), encoding="utf-8")
    if report.tyres:
        from tipline.report.wheel_sheet import sheet_page

        sheet = sheet_page(report, wishes.system, _draw_tyres(report, wishes))
        (folder / "wheel-loads.html").write_text(html.page_html(sheet), encoding="utf-8")
    return delivered


def _draw_tyres(report: FloorReport, wishes: Wishes) -> tuple[Pictures, ...]:
    """Draw the sketch of the wheel-load sheet."""
    if not wishes.pictures or report.sheet is None:
        return ()
    from tipline import view

    caption, svg = view.wheel_sketch(report, wishes.system)
    return (Pictures("Sketch", (Picture(caption, svg=svg),), brief=True),)
