"""`loads`: the greatest and least lifted load of a machine's set-ups."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tipline import units
from tipline.commands.delivered import Delivered, Order, Wishes, into, links, truck_named, write_drawings
from tipline.commands.given import Overrides, Progress, hold_to, input_name, named, silent, texts_of
from tipline.errors import InputError, argument
from tipline.model.machine import Machine
from tipline.model.reader import read_machine, unusual_in_machine
from tipline.model.shipped import find
from tipline.notebook import Reported
from tipline.report import floor as tables
from tipline.report import loads as pages
from tipline.report.first import first_on, first_summary
from tipline.report.page import Page, Pictures
from tipline.scenario.case import quantified_values
from tipline.sweeps import input_ranges
from tipline.units import System

if TYPE_CHECKING:
    from tipline.set_ups.assessment import LoadsReport, Wanted

__all__ = ["LoadsResult", "loads", "write_loads"]


@dataclass(frozen=True, repr=False)
class LoadsResult(Reported):
    """A machine whose loads were asked: what went in, what was found.

    ``files``: the texts that were read, by name; ``arguments``: how it was made.
    """

    machine: Machine
    report: LoadsReport
    files: Mapping[str, str] = field(default_factory=dict)
    arguments: Mapping[str, Any] = field(default_factory=dict)


def loads(  # noqa: PLR0913 - what may be asked of a machine, each by its own name
    machine: Machine | Path | str,
    overrides: Overrides | None = None,
    grid: Mapping[str, Any] | None = None,
    rules: Mapping[str, Any] | Sequence[str] = (),
    load: float | str | None = None,
    load_centre: float | str | None = None,
    reach: float | str | None = None,
    progress: Progress | None = None,
    strict: bool = False,
    floor: Path | str | None = None,
    stock: Path | str | None = None,
    position: Sequence[float | str] | str = (0.0, 0.0),
) -> LoadsResult:
    """Find the greatest and the least lifted load by load centre, extension, slabs, height and attachment.

    With a capacity plate its loads stand: nothing above them is given, and a set-up that is not on it gets none.

    Parameters
    ----------
    machine : by file or shipped name, or one already read
    overrides : values that replace those of its file
    grid : what to ask, by "centres", "reaches", "extensions", "heights" [m] and "slabs", each a list or text such as
        "0.6 m, 0.9 m"; left out, the plate's own
    rules : numbers of the rules by name, {"steer_share": 0.2} or ["steer_share=0.2"] (`set_ups.rules.LoadRules`)
    load : gross, [kg] or as "8 t": which set-up takes it? Left out, the plate's greatest
    load_centre, reach : of that load, out from the fork face or along the jib [m]; one of them
    progress : told of each stage
    strict : as for `run`
    floor : the load that is asked about is set on this floor as well, carried low, by extension and slabs
    stock : spreaders to lay under it, by file or shipped name
    position : of the drive axle on the floor, x and y [m], or as text "6 m, 4 m"

    Raises
    ------
    InputError
        A file or a value is wrong, or the machine cannot do what is asked.

    Examples
    --------
    >>> import tipline
    >>> report = tipline.loads("demo-truck-a", grid={"heights": [5.55], "centres": [0.6], "slabs": [2]}).report
    >>> row = report.rows()[2]
    >>> row["extension_m"], row["greatest_kg"], row["governed_by"], row["nearest_rule"]
    (1.2, 12250.0, 'plate', 'steer axle')
    """
    from tipline.set_ups.assessment import assess_loads
    from tipline.set_ups.cells import asked_from
    from tipline.set_ups.rules import rules_from

    tell = progress or silent
    tell("reading", None)
    truck, unusual, files = _read(machine, overrides)
    hold_to(unusual, strict=strict)
    numbers = rules_from(_by_name(rules))
    wanted = _wanted(truck, load, load_centre, reach)
    cells = asked_from(truck, grid)
    if wanted is not None:
        name = "reaches" if wanted.jib else "centres"
        known = getattr(cells, name)
        if all(abs(centre - wanted.centre) > 1e-9 for centre in known):
            cells = replace(cells, **{name: (*known, wanted.centre)})
    at = _position(position)
    if floor is None:
        _refuse_of_floor(stock, at)
    tell("solving", None)
    report = assess_loads(truck, cells, numbers, wanted, lambda part: tell("solving", part))
    report = replace(report, unusual=unusual)
    if floor is not None:
        report = _with_floor(report, machine, floor, stock, at, overrides, tell)
    arguments = {
        "machine": None if isinstance(machine, Machine) else input_name("machine", machine),
        "overrides": overrides,
        "grid": grid,
        "rules": rules,
        "load": load,
        "load_centre": load_centre,
        "reach": reach,
        "strict": strict,
        "floor": input_name("floor", floor),
        "stock": input_name("stock", stock),
        "position": position,
    }
    return LoadsResult(truck, report, {**files, **texts_of(("floor", floor), ("stock", stock))}, arguments)


def _with_floor(
    report: LoadsReport,
    machine: Machine | Path | str,
    floor: Path | str,
    stock: Path | str | None,
    position: tuple[float, float],
    overrides: Overrides | None,
    tell: Progress,
) -> LoadsReport:
    """Set the load that is asked about on a floor."""
    from tipline.model.reader import read_floor, read_stock
    from tipline.set_ups.on_floor import FloorPlace, case_with, on_floor

    wanted = report.wanted
    if isinstance(machine, Machine) or wanted is None:
        msg = "needs a machine by file or name, and a load"
        raise InputError(msg, key=argument("floor"), value=str(floor), remedy=f"Give both, {argument('load')} with it")
    place = FloorPlace(str(machine), named(floor, "floor", "a floor file or a shipped name"), position)
    title = read_floor(place.floor).title
    pieces = None if stock is None else read_stock(named(stock, "stock", "a file of spreaders or a shipped name"))
    hook = float(report.cells.height[report.for_wanted].min())
    pairs = zip(report.cells.extension.tolist(), report.cells.slabs.tolist(), strict=True)
    bases = sorted({(extension, int(slabs)) for extension, slabs in pairs})
    answers = on_floor(
        lambda extension, slabs: case_with(place, overrides or {}, wanted, extension, slabs, hook),
        bases,
        pieces,
        lambda part: tell("asking the floor", part),
    )
    x, y = (units.show(value, "length") for value in position)
    both = (report.demo, "floor" if read_floor(place.floor).demo else "")
    demo = " and ".join(part for part in both if part)
    return replace(report, floor=answers, on=f"{title}, at {x}, {y}", demo=demo)


def _refuse_of_floor(stock: Path | str | None, position: tuple[float, float]) -> None:
    """Refuse what belongs to a floor where none is given."""
    remedy = f"Give {argument('floor')} as well"
    if stock is not None:
        msg = "spreaders lie on a floor, and none is given"
        raise InputError(msg, key=argument("stock"), value=str(stock), remedy=remedy)
    if position != (0.0, 0.0):
        msg, (x, y) = "is a place on a floor, and none is given", (units.show(value, "length") for value in position)
        raise InputError(msg, key=argument("position"), value=f"{x}, {y}", remedy=remedy)


def _position(given: object) -> tuple[float, float]:
    parts = given.split(",") if isinstance(given, str) else given
    if not isinstance(parts, Sequence) or len(parts) != 2:
        msg = "needs two lengths, x and y"
        raise InputError(msg, key=argument("position"), value=str(given), remedy='Write it like "6 m, 4 m"')
    x, y = (_place("position", part.strip() if isinstance(part, str) else part) for part in parts)
    return x, y


def _place(name: str, value: object) -> float:
    try:
        return units.parse(value, "length") if isinstance(value, str) else float(value)  # type: ignore[arg-type]
    except (ValueError, TypeError) as error:
        raise InputError(str(error), key=argument(name), value=str(value), remedy='Write it like "6 m, 4 m"') from None


def _read(
    machine: Machine | Path | str, overrides: Overrides | None
) -> tuple[Machine, tuple[InputError, ...], dict[str, str]]:
    """Read a machine with what is unusual in its file, and the file."""
    if isinstance(machine, Machine):
        if overrides:
            msg = "changes are for a machine's file, and this one was read already"
            raise InputError(msg, key=argument("overrides"), remedy="Give the file or the shipped name")
        return machine, (), {}
    name = named(machine, "machine", "a machine file, a shipped name, or a machine already read")
    truck = read_machine(name, overrides)
    path, shown = find("machine", name)
    return truck, unusual_in_machine(name, overrides), {Path(shown).name: path.read_text(encoding="utf-8-sig")}


def _by_name(rules: object) -> Mapping[str, Any]:
    """Read numbers of rules given as "name=number"."""
    if isinstance(rules, Mapping):
        return rules
    numbers: dict[str, Any] = {}
    for rule in (rules,) if isinstance(rules, str) else rules if isinstance(rules, Sequence) else (rules,):
        name, sign, value = str(rule).partition("=")
        if not sign or not name.strip():
            msg = "needs a name and a number"
            raise InputError(msg, key=argument("rules"), value=str(rule), remedy="Write it like steer_share=0.2")
        numbers[name.strip()] = value.strip()
    return numbers


def _wanted(
    machine: Machine, load: float | str | None, load_centre: float | str | None, reach: float | str | None
) -> Wanted | None:
    """Return the load that is asked about; left out, the greatest of the plate."""
    from tipline.set_ups.assessment import Wanted

    if load is None:
        for name, value in (("load_centre", load_centre), ("reach", reach)):
            if value is not None:
                msg = "belongs to a load that is asked about"
                raise InputError(msg, key=argument(name), value=str(value), remedy=f"Give {argument('load')} as well")
        held = [row for row in machine.capacity_plate if getattr(machine, row.attachment, None) is not None]
        rated = max(held, key=lambda row: row.load, default=None)
        if rated is None:
            return None
        return Wanted(rated.load, rated.load_centre, rated.attachment == "jib")
    mass = _quantity("load", load, "mass", "8 t")
    if (load_centre is None) == (reach is None):
        msg = f"needs {argument('load_centre')} on the forks, or {argument('reach')} on the jib"
        raise InputError(msg, key=argument("load"), value=str(load), remedy="Give one of them")
    jib = reach is not None
    name, value = ("reach", reach) if jib else ("load_centre", load_centre)
    if (machine.jib if jib else machine.forks) is None:
        msg = f"{machine.name} has no {'jib' if jib else 'forks'}"
        raise InputError(msg, key=argument(name), value=str(value), remedy="Use the other attachment")
    centre = _quantity(name, value, "length", "0.7 m")
    if jib and machine.jib is not None and all(abs(centre - pin) > 1e-6 for pin in machine.jib.reach_pins):
        pins = ", ".join(units.show(pin, "length") for pin in machine.jib.reach_pins)
        msg = f"is no pin of the jib; it has {pins}"
        raise InputError(msg, key=argument(name), value=str(value), remedy="Give one of them")
    return Wanted(mass, centre, jib)


def _quantity(name: str, value: object, dimension: str, like: str) -> float:
    """Read a number in SI or a text with its unit, greater than 0."""
    try:
        number = units.parse(value, dimension) if isinstance(value, str) else float(value)  # type: ignore[arg-type]
    except (ValueError, TypeError) as error:
        raise InputError(str(error), key=argument(name), value=str(value), remedy=f'Write it like "{like}"') from None
    if not 0.0 < number < 1e6:
        msg = "must be greater than 0"
        raise InputError(msg, key=argument(name), value=str(value), remedy=f'Write it like "{like}"')
    return number


def write_loads(result: LoadsResult, folder: Path, wishes: Wishes, progress: Progress) -> Delivered:
    """Write page, summary, table, chart and inputs of greatest and least loads into `folder`."""
    report = result.report
    inputs = folder / "inputs"
    inputs.mkdir()
    for name, text in result.files.items():
        (inputs / name).write_text(text, encoding="utf-8")
    drawn: tuple[Pictures, ...] = ()
    if wishes.pictures:
        from tipline import view

        progress("drawing the chart", None)
        drawn = write_drawings("Loads by load centre", view.load_drawings(report, wishes.system), folder)
    progress("writing the report", None)

    def page_in(system: System) -> Page:
        there = links(("loads.csv", "summary.json"))
        return first_on(pages.loads_page(report, system, drawn, there), report, system)

    facts = {"assumed_count": report.assumed_count, **first_summary(report)}
    (folder / "loads.csv").write_text(tables.rows_csv(report.rows(), report.demo), encoding="utf-8")
    order = Order(
        "loads",
        result.arguments,
        wishes,
        page_in,
        quantified_values({"machine.": result.machine}),
        ranges=input_ranges.of_machine(result.machine),
        names=(truck_named(result.machine),),
    )
    return into(folder, Delivered(page_in(wishes.system), pages.loads_summary(report, facts)), order=order)
