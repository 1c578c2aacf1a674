"""Greatest and least lifted load of every set-up that is asked, what governs each, and how near the other rules are.

With a capacity plate nothing above it is ever given: a set-up that the plate states has the plate's load, and one that
it does not state has none. What the rules say of it is told as shares and multiples.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tipline.errors import InputError
from tipline.mechanics.constants import STANDARD_GRAVITY as G
from tipline.mechanics.rating import load_by_axle_moment
from tipline.mechanics.statics import allowable_load, load_moment
from tipline.model.machine import Machine
from tipline.model.origins import assumed_lines
from tipline.model.own_truck import bands_of, within_band
from tipline.model.structure import STRUCTURE, structural_loads
from tipline.notebook import Shown, marks, to_frame
from tipline.set_ups import limits
from tipline.set_ups.cells import Asked, Cells, cells_of
from tipline.set_ups.rules import LoadRules
from tipline.set_ups.settled import MachineSprings, SetUpParts, standing
from tipline.statics.planning import covers, governs, states
from tipline.units import KM_PER_HOUR

__all__ = ["LoadsReport", "OnFloor", "ReducedLoad", "Unladen", "Wanted", "assess_loads"]

Array = NDArray[np.float64]
NOT_RATED = "not a rated set-up"
TEACHING = "for teaching only"


@dataclass(frozen=True)
class Unladen:
    """One extension and number of slabs without a load, the forks or the jib carried low.

    ``drive_share`` of the weight; ``tips_back`` with nothing on; ``side_slope`` that it holds, and ``asked`` of it by
    the test without a load (tangents); ``least`` load [kg] at the load centre or reach asked first, at the height that
    needs most.
    """

    extension: float
    slabs: int
    drive_share: float
    tips_back: bool
    side_slope: float
    asked: float
    least: float
    least_by: str


@dataclass(frozen=True)
class ReducedLoad:
    """A load centre other than the rated one, forks at the top: what rules of thumb leave of the rated load there.

    As parts of what the slope test for stacking leaves: ``by_face`` of equal load moment about the fork face,
    ``by_axle`` about the drive axle. Above 1 the rule promises more than the slope holds.
    """

    centre: float
    by_face: float
    by_axle: float


@dataclass(frozen=True)
class Wanted:
    """A load that somebody wants to lift [kg], its load centre on the forks or the jib's reach [m]."""

    mass: float
    centre: float
    jib: bool = False


@dataclass(frozen=True)
class OnFloor:
    """One set-up on a floor: the planning ratio of what governs, in words; and with spreaders of the stock.

    ``ratio`` is what the tyres ask over the planning limit, nan where nothing is asked. ``with_``: the worst ratio left
    once ``spreaders`` lie, nan where none are needed or none were looked for.
    """

    extension: float
    slabs: int
    ratio: float
    what: str
    spreaders: str
    with_: float


@dataclass(frozen=True)
class LoadsReport(Shown):
    """Set-ups of one machine. Arrays (n,) go by cell, as in ``cells``; loads are gross, rigging included [kg].

    ``greatest`` by rule, and ``least`` by rule; ``plate`` is what the capacity plate states for the cell, nan where it
    states nothing; ``given`` is the greatest load that may be shown, nan where none may. ``governing`` names its rule;
    ``near`` is how much of the nearest other rule it uses up, and ``nearest`` names that. ``tipping`` is how many times
    of it tips the truck on the level at rest. ``wanted`` : a load that is asked about. ``rated`` : of the plate.
    ``not_known`` : what of an own truck nobody gave, how to get to know it, and the part of the greatest loads that its
    bad end takes; all loads are then at the bad ends of all of it. ``floor`` : what the load that is asked about puts
    on a floor, by extension and slabs, and ``on`` which floor that is, and where.
    """

    title: str
    demo: str
    cells: Cells
    rules: LoadRules
    greatest: Mapping[str, Array]
    least: Mapping[str, Array]
    tips: Array
    plate: Array
    rated: float | None
    rated_centre: float | None
    unladen: tuple[Unladen, ...]
    reduced: tuple[ReducedLoad, ...]
    wanted: Wanted | None = None
    assumed: tuple[str, ...] = ()
    assumed_count: int = 0
    governs: tuple[str, ...] = ()
    unusual: tuple[InputError, ...] = ()
    not_met: tuple[str, ...] = ()
    solve_time: float = 0.0
    has_plate: bool = False
    not_known: tuple[tuple[str, str, float], ...] = ()
    floor: tuple[OnFloor, ...] = ()
    on: str = ""

    @property
    def by_rules(self) -> Array:
        """The least of what the rules leave (n,) [kg], 0 where they leave nothing; the plate is not among them."""
        least: Array = np.maximum(np.nanmin(np.array(list(self.greatest.values())), axis=0), 0.0)
        return least

    @property
    def nearest(self) -> NDArray[np.int64]:
        """Which of the rules that is (n,), as the place [1] of its name in ``greatest``."""
        places: NDArray[np.int64] = np.nanargmin(np.array(list(self.greatest.values())), axis=0)
        return places

    @property
    def given(self) -> Array:
        """The greatest load that is shown (n,) [kg]: of a machine with a plate the plate's and no other."""
        return self.plate if self.has_plate else self.by_rules

    @property
    def for_wanted(self) -> NDArray[np.bool_]:
        """Which cells, flags (n,), have the attachment and the load centre or reach of the load that is asked about."""
        wanted = self.wanted
        if wanted is None:
            return np.zeros(len(self.cells), dtype=np.bool_)
        flags: NDArray[np.bool_] = (self.cells.jib == wanted.jib) & (np.abs(self.cells.centre - wanted.centre) < 1e-9)
        return flags

    @property
    def least_needed(self) -> Array:
        """The least load (n,) [kg], 0 where none is needed, inf where no load holds it."""
        loads = np.array([np.where(np.isnan(load), np.inf, load) for load in self.least.values()])
        return np.asarray(loads.max(axis=0))

    def used(self, load: Array | float) -> Array:
        """Return how much [1] of the nearest rule a load [kg] uses up (n,), inf where the rules leave nothing."""
        left = self.by_rules
        return np.where(left > 0.0, load / np.where(left > 0.0, left, 1.0), np.inf)

    def governing(self, index: int) -> str:
        """Return the name of what governs a cell's greatest load."""
        if self.has_plate:
            return "plate" if np.isfinite(self.plate[index]) else NOT_RATED
        return self.nearest_rule(index)

    def nearest_rule(self, index: int) -> str:
        """Return the name of the rule that leaves least of a cell."""
        return list(self.greatest)[int(self.nearest[index])]

    def least_rule(self, index: int) -> str:
        """Return the name of what governs a cell's least load, "" where none is needed."""
        known = {name: float(np.nan_to_num(values[index], nan=np.inf)) for name, values in self.least.items()}
        name = max(known, key=lambda rule: known[rule])
        return name if known[name] > 0.0 else ""

    def rows(self) -> list[dict[str, Any]]:
        """Give one record a cell, in SI; with a plate no load above it is among them."""
        given, least, tips, used = self.given, self.least_needed, self.tips, self.used(self.given)
        nearest = self.nearest
        names, cells, out = list(self.greatest), self.cells, []
        for k in range(len(cells)):
            known = bool(np.isfinite(given[k]))
            out.append(
                {
                    "attachment": cells.attachment(k),
                    "load_centre_m": float(cells.centre[k]),
                    "extension_m": float(cells.extension[k]),
                    "slabs": int(cells.slabs[k]),
                    "height_m": float(cells.height[k]),
                    "greatest_kg": float(given[k]) if known else None,
                    "governed_by": self.governing(k),
                    "nearest_rule": names[int(nearest[k])],
                    "part_of_nearest_rule": float(used[k]) if known else None,
                    "tips_at_times": float(tips[k] / given[k]) if known and given[k] > 0.0 else None,
                    "least_kg": float(least[k]) if np.isfinite(least[k]) else None,
                    "least_by": self.least_rule(k),
                }
            )
        return out

    def to_pandas(self) -> Any:
        """Return the records as a pandas table; raises MissingPart without pandas."""
        return to_frame(self.rows(), {**marks(self.demo), "use": "" if self.has_plate else TEACHING})


def assess_loads(
    machine: Machine,
    grid: Asked,
    rules: LoadRules,
    wanted: Wanted | None = None,
    progress: Callable[[float], None] | None = None,
) -> LoadsReport:
    """Find greatest and least loads of every set-up that is asked; of an own truck at the bad end of what is not known.

    Each of what is not known is taken to its own bad end alone, and what they take is added as the root of the sum of
    squares: they are not known of each other (our choice).

    Parameters
    ----------
    machine : as read
    asked, rules : which set-ups, and what they are held to
    wanted : a load to be lifted, that each set-up is held against
    progress : told the part that is done

    Raises
    ------
    InputError
        The machine can do none of what is asked, or it is too much.
    """
    began = time.perf_counter()
    likely, bands = _assessed(machine, grid, rules, wanted), bands_of(machine)
    if not bands:
        return replace(likely, solve_time=time.perf_counter() - began)
    ends: dict[str, list[LoadsReport]] = {}
    for done, band in enumerate(bands, start=1):
        others = (within_band(machine, band.key, end) for end in (band.low, band.high))
        ends[band.key] = [_assessed(other, grid, rules, wanted) for other in others]
        if progress is not None:
            progress(done / len(bands))
    report = replace(
        likely,
        greatest={name: _bad_end(name, "greatest", likely, ends) for name in likely.greatest},
        least={name: _bad_end(name, "least", likely, ends, -1.0) for name in likely.least},
        tips=_bad_end("", "tips", likely, ends),
    )
    worst = [(band.what, band.measure, _taken(likely, ends[band.key])) for band in bands]
    unladen = tuple(_at_bad_end(k, report, ends) for k in range(len(likely.unladen)))
    unknowns = tuple(sorted((unknown for unknown in worst if unknown[2] > 0.005), key=lambda unknown: -unknown[2]))
    return replace(report, unladen=unladen, not_known=unknowns, solve_time=time.perf_counter() - began)


def _bad_end(
    name: str, what: str, likely: LoadsReport, ends: Mapping[str, list[LoadsReport]], sense: float = 1.0
) -> Array:
    """Return an array at the bad ends of all that is not known; sense -1 where more is worse."""

    def of(report: LoadsReport) -> Array:
        held = getattr(report, what)
        return np.asarray(sense * np.nan_to_num(held[name] if name else held, nan=np.inf))

    here = of(likely)
    lost = [np.minimum.reduce([here, *(of(report) for report in pair)]) for pair in ends.values()]
    with np.errstate(invalid="ignore"):
        apart = np.sqrt(sum((here - low) ** 2 for low in lost))
        bad_end = np.where(np.isfinite(here), here - apart, np.minimum.reduce(lost))
    return np.where(np.isinf(bad_end), np.nan, sense * bad_end)


def _taken(likely: LoadsReport, pair: list[LoadsReport]) -> float:
    """Return the part of the greatest loads, on the whole, that the worse end takes."""
    total = float(likely.by_rules.sum())
    return 1.0 - min(float(report.by_rules.sum()) for report in (likely, *pair)) / total if total > 0.0 else 0.0


def _at_bad_end(k: int, report: LoadsReport, ends: Mapping[str, list[LoadsReport]]) -> Unladen:
    """Return one extension and number of slabs without a load as it is at the worst single end."""
    seen = [report.unladen[k], *(other.unladen[k] for pair in ends.values() for other in pair)]
    worst = max(seen, key=lambda base: base.least)
    return replace(
        worst,
        drive_share=min(base.drive_share for base in seen),
        tips_back=any(base.tips_back for base in seen),
        side_slope=min(base.side_slope for base in seen),
    )


def _assessed(machine: Machine, grid: Asked, rules: LoadRules, wanted: Wanted | None) -> LoadsReport:
    """Find greatest and least loads of a machine as it stands."""
    cells = cells_of(machine, grid)
    rise = np.where(cells.jib, 0.0, cells.centre)  # a load's centre is as far up as it is out: a cube
    springs, tilt = MachineSprings(machine), machine.mast.tilt_back
    upright = standing(springs, cells, rise)
    carried = standing(springs, cells, rise, carried=True, tilt=tilt)
    leaning = standing(springs, cells, rise, tilt=tilt)
    rated = max(machine.capacity_plate, key=lambda row: row.load, default=None)
    stacking = rules.stacking_of(rated.load if rated is not None else None)
    tips = limits.on_slope(upright, 0.0)
    greatest = _greatest(machine, cells, (upright, carried, leaning), rules, stacking, tips)
    least = {
        "drive axle": limits.least_on_drive(upright, rules.drive_share),
        "slope behind": limits.least_behind(upright, stacking),
    }
    plate = _plate(machine, cells)
    lines, count = assumed_lines(machine, machine.origins, "truck")
    return LoadsReport(
        title=machine.title,
        demo="machine" if machine.demo else "",
        cells=cells,
        rules=rules,
        greatest=greatest,
        least=least,
        tips=tips,
        plate=plate,
        rated=rated.load if rated is not None else None,
        rated_centre=rated.load_centre if rated is not None else None,
        unladen=_unladen(machine, cells, carried, least, rules, rated.load if rated is not None else None),
        reduced=_reduced(machine, springs, cells, stacking),
        wanted=wanted,
        assumed=tuple(lines),
        assumed_count=count,
        governs=governs(None, machine, None),
        has_plate=rated is not None,
    )


def _greatest(
    machine: Machine,
    cells: Cells,
    trucks: tuple[SetUpParts, SetUpParts, SetUpParts],
    rules: LoadRules,
    stacking: float,
    tips: Array,
) -> dict[str, Array]:
    """Return the greatest load by each rule (n,) [kg], nan where a rule does not apply."""
    upright, carried, leaning = trucks
    loads = {
        "stacking": limits.on_slope(upright, stacking),
        "travelling": _travelling(cells, carried, rules.travelling),
        "steer axle": limits.on_steer_axle(upright, rules.steer_share),
        "drive tyres": limits.drive_tyres(upright),
    }
    by_forks, by_jib = (structural_loads(machine, attachment, cells.centre) for attachment in ("forks", "jib"))
    for name in STRUCTURE:
        if name in by_forks or name in by_jib:
            none = np.full(len(cells), np.nan)
            loads[name] = np.where(cells.jib, by_jib.get(name, none), by_forks.get(name, none))
    if cells.jib.any():
        hung, loads["hung, own stop"] = np.flatnonzero(cells.jib), np.full(len(cells), np.nan)
        loads["hung, of tipping"] = np.where(cells.jib, rules.hung_share * tips, np.nan)
        loads["hung, own stop"][hung] = limits.on_slope(
            carried.picked(hung), machine.drive.service_deceleration / G, 2.0
        )
    most = np.nanmin(np.array(list(loads.values())), axis=0)
    aside = limits.on_side_slope(leaning, rules.lateral, most)
    loads["lateral"] = np.where(aside < most, aside, np.nan)
    return loads


def _travelling(cells: Cells, carried: SetUpParts, slope: float) -> Array:
    """Return the load (n,) [kg] that each set-up holds as it travels: on the forks the same whatever their height."""
    height = np.where(cells.jib, cells.height, 0.0)
    kinds = (
        np.unique(column, return_inverse=True)[1] for column in (cells.centre, cells.extension, cells.slabs, height)
    )
    code = cells.jib.astype(np.int64)
    for kind in kinds:
        code = code * (1 + int(kind.max())) + kind
    _, first, back = np.unique(code, return_index=True, return_inverse=True)
    return limits.on_slope(carried.picked(first), slope)[back]


def _plate(machine: Machine, cells: Cells) -> Array:
    """Return the plate's load for each set-up that it states (n,) [kg], nan for the others."""
    loads = np.full(len(cells), np.nan)
    for row in machine.capacity_plate:
        held = covers(row, cells.centre, cells.height, cells.extension, cells.slabs)
        held &= states(row, cells.extension, cells.slabs) & (cells.jib == (row.attachment == "jib"))
        if row.attachment != "none":
            loads = np.where(held, np.fmax(loads, row.load), loads)
    return loads


def _unladen(
    machine: Machine,
    cells: Cells,
    carried: SetUpParts,
    least: Mapping[str, Array],
    rules: LoadRules,
    rated: float | None,
) -> tuple[Unladen, ...]:
    """Look at every extension and number of slabs without a load, with the attachment asked first."""
    first = np.flatnonzero((cells.jib == cells.jib[0]) & (cells.height == cells.height[0]))
    first = first[cells.centre[first] == cells.centre[0]]
    truck, none = carried.picked(first), np.zeros(len(first))
    share = limits.share_behind(truck, none)
    tangent = rules.unladen_of(rated, machine.drive.top_speed / KM_PER_HOUR)
    held = limits.leans_aside(truck, none, tangent)
    out = []
    for k, cell in enumerate(first.tolist()):
        same = (cells.jib == cells.jib[cell]) & (cells.centre == cells.centre[cell])
        same &= (cells.extension == cells.extension[cell]) & (cells.slabs == cells.slabs[cell])
        known = {name: float(np.nan_to_num(values[same], nan=np.inf).max()) for name, values in least.items()}
        by = max(known, key=lambda name: known[name])
        out.append(
            Unladen(
                extension=float(cells.extension[cell]),
                slabs=int(cells.slabs[cell]),
                drive_share=1.0 - float(share[k]),
                tips_back=bool(share[k] >= 1.0),
                side_slope=float(held[k]),
                asked=tangent,
                least=known[by],
                least_by=by if known[by] > 0.0 else "",
            )
        )
    return tuple(out)


def _reduced(machine: Machine, springs: MachineSprings, cells: Cells, stacking: float) -> tuple[ReducedLoad, ...]:
    """Set the rules of thumb for another load centre beside the slope test: from the test's load at the middle one."""
    centres = np.unique(cells.centre[~cells.jib])
    if not len(centres):
        return ()
    old = _reference(machine, centres)
    asked_centres = np.unique(np.round(np.concatenate((centres, [old - 0.2, old + 0.3, old + 0.6])), 6))
    asked_centres = asked_centres[(asked_centres > 0.15) & (np.abs(asked_centres - old) > 0.01)]
    every = np.concatenate(([old], asked_centres))
    top, count = machine.mast.top_fork_height, len(every)
    some = Cells(
        np.zeros(count, dtype=np.bool_),
        every,
        np.full(count, cells.extension.min()),
        np.full(count, cells.slabs.min()),
        np.full(count, top),
    )
    held = limits.on_slope(standing(springs, some, every), stacking)
    out = []
    for centre, slope_load in zip(asked_centres.tolist(), held[1:].tolist(), strict=True):
        by_face = allowable_load(load_moment(held[0] * G, old), centre) / G
        by_axle = float(load_by_axle_moment(held[0], machine.carriage.face, old, centre))
        out.append(ReducedLoad(centre, by_face / slope_load, by_axle / slope_load))
    return tuple(out)


def _reference(machine: Machine, centres: Array) -> float:
    """Return the load centre that a plate rates the forks at, else the shortest one asked."""
    own = [row for row in machine.capacity_plate if row.attachment == "forks"]
    return max(own, key=lambda row: row.load).load_centre if own else float(centres[0])
