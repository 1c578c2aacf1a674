"""Where summary.json has the figures of each table of a report: by its title, row by row, in the order printed."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from printed_figures import Figure, at, figures_in, of, share
from tipline.endings import LINES
from tipline.report.page import Table
from tipline.units import System

Summary = Mapping[str, Any]


class Shown(NamedTuple):
    """A table of a page in SI, and the same as it is shown."""

    si: Table
    own: Table
    system: System

    @property
    def title(self) -> str:
        """Its title in SI."""
        return self.si.title

    @property
    def rows(self) -> tuple[tuple[str, ...], ...]:
        """Its rows in SI."""
        return self.si.rows


Told = Callable[[Summary, Shown], Iterator[Sequence[Figure | None]]]

WALKING = 5 / 3.6
"""The speed that the length of a stop is given from [m/s]."""
WORDS = (
    "Truck, floor and events",
    "Sources of the laws",
    "What differs in how they were made",
    "The run of each cause that comes nearest",
    "About this case",
)
"""Tables of names and of commands to be typed: cell by cell as the page has them, and no figures."""


def words(text: str) -> list[Figure]:
    return list(figures_in(text))


def known_figures(title: str) -> Told:
    """Where the figures of a table lie; KeyError for one that nobody told of here."""
    return next(told for pattern, told in TABLES if re.fullmatch(pattern, title))


def heads(summary: Summary, title: str) -> Sequence[Figure | None] | None:
    """The figures in the heads of a table; None where there are none to be compared."""
    if title.startswith("How the truck ends, by"):
        column = summary["outcome_table"]["column"]
        return [of(value, column["unit"]) for value in column["values"] if not isinstance(value, str)]
    if title == "Greatest steady speed in a turn":
        return None  # radii that the page chooses
    if re.match(r"Greatest load on|By (fork|hook) height|Which set-up", title):
        cells = [cell for cell in summary["set_ups"] if _of_table(cell, title)]
        name = "load_centre_m" if title.startswith("Greatest") else "height_m"
        return [of(value, "m") for value in sorted({cell[name] for cell in cells})]
    return []


# a run and a pose


def _limits(name: str) -> Told:
    def told(summary: Summary, _: Shown) -> Iterator[Sequence[Figure | None]]:
        for entry in summary[name]:
            yield [*words(entry["what"]), at(entry)]

    return told


def _distances(summary: Summary, _: Shown) -> Iterator[Sequence[Figure | None]]:
    told = summary["distance_to_tip_line_mm"]
    yield from ([of(lines[line], "m", 1e-3)] for lines in (told, told["swing"]) for line in LINES if line in lines)


def _least_distances(summary: Summary, _: Shown) -> Iterator[Sequence[Figure | None]]:
    told, left = summary["worst"]["distance_to_tip_line_mm"], summary["worst"]["energy_left_kJ"]
    for lines, energies in ((told, left), (told["swing"], {})):
        for line in LINES:
            if line in lines:
                energy = energies.get(line) or {"value": None}
                own = [] if energy["value"] is None else [of(energy["value"], "J", 1e3), of(energy["time_s"], "s")]
                yield [of(lines[line]["value"], "m", 1e-3), of(lines[line]["time_s"], "s"), *own]


def _tyre_loads(summary: Summary, _: Shown) -> Iterator[Sequence[Figure | None]]:
    for tyre, load in summary["rest"]["tyre_loads_kN"].items():
        peak = summary["peak"]["tyre_loads_kN"][tyre] if "peak" in summary else None
        own = [of(peak["value"], "N", 1e3), of(peak["time_s"], "s")] if peak else []
        yield [of(load, "N", 1e3), *own]


def _hole_depths(summary: Summary, _: Shown) -> Iterator[Sequence[Figure | None]]:
    for side, depth in summary["hole_depth_limit_mm"].items():
        reason = summary["null_because"].get(f"hole_depth_limit_mm.{side}", "")
        yield words(reason) if depth is None else [of(depth, "m", 1e-3)]


def _varied(summary: Summary, _: Shown) -> Iterator[Sequence[Figure | None]]:
    for entry in summary["spread"]["varied"]:
        ends = ({"value": entry[name], "unit": entry["unit"]} for name in ("here", "low", "high"))
        yield [*map(at, ends), *words(entry["clipped"] or "")]


def _outcomes(summary: Summary, _: Shown) -> Iterator[Sequence[Figure | None]]:
    row = summary["outcome_table"]["row"]
    yield from ([] if isinstance(value, str) else [of(value, row["unit"])] for value in row["values"])


def _how_it_ended(summary: Summary, table: Shown) -> Iterator[Sequence[Figure | None]]:
    light = summary["worst"]["lightest_tyre"]
    yield from ([] for _ in table.rows[2:])
    yield [of(light["load_kN"], "N", 1e3), of(light["time_s"], "s")]
    yield [share(summary["worst"]["steer_axle_share"])]


def _events(summary: Summary, _: Shown) -> Iterator[Sequence[Figure | None]]:
    for number, event in enumerate(sorted(summary["events"], key=lambda event: event["time_s"]), start=1):
        yield [of(number, ""), of(event["time_s"], "s"), *words(event["what"])]


def _metres(*values: float | None) -> list[Figure | None]:
    """Places on a floor, which are told to a hundredth of a metre."""
    return [None if value is None else of(round(value, 2), "m") for value in values]


def _degrees(*values: float) -> list[Figure | None]:
    """Angles without their sign, told to a tenth of a degree; none of what rounds to nothing."""
    shown = (round(abs(math.degrees(value)), 1) for value in values)
    return [of(value, "rad", math.pi / 180.0) if value else None for value in shown]


def _at_end(summary: Summary, table: Shown) -> Iterator[Sequence[Figure | None]]:
    lies = [summary["at_end"][name] for name in ("truck", "lifted_load") if summary["at_end"][name]]
    moved = [[abs(far) for far in (lie["moved_ahead_m"], lie["moved_left_m"]) if round(far, 2)] for lie in lies]
    rows: list[list[list[Figure | None]]] = [
        [_metres(*lie["place_m"][:2]) for lie in lies],
        [_metres(lie["place_m"][2]) for lie in lies],
        [_metres(*far) for far in moved],
        *([_degrees(*(lie[name] for name in names)) for lie in lies]
          for names in (("heading_rad", "turned_rad"), ("roll_rad",), ("pitch_rad",))),
        [[] for _ in lies],
        [[of(lie["speed_m_s"], "m/s")] if cell.startswith("yes") else []
         for lie, cell in zip(lies, table.rows[-1][1:], strict=True)],
    ]  # fmt: skip
    yield from ([figure for cell in row for figure in cell] for row in rows)


def _marks(summary: Summary, _: Shown) -> Iterator[Sequence[Figure | None]]:
    for mark in summary["at_end"]["marks"]:
        yield [of(mark["first_time_s"], "s"), *_metres(*mark["first_m"], *mark["last_m"], mark["scraped_m"])]
    for tyre in summary["at_end"]["tyres"].values():
        deep = [of(tyre["depth_m"], "m")] if tyre["depth_m"] else []
        off = [] if tyre["on_floor"] else [of(tyre["until_s"], "s")]
        yield [*_metres(*tyre["place_m"]), *deep, *_metres(tyre["skidded_m"]), *off]


def _floor_peaks(summary: Summary, _: Shown) -> Iterator[Sequence[Figure | None]]:
    for peak in summary["floor_peaks"]:
        limit, strength = peak["of_planning_limit"], peak["of_expected_strength"]
        load = [of(peak["tyre_load_kN"], "N", 1e3), of(peak["time_s"], "s")]
        ratios = [*_ratio(limit["likely"]), *_ratio_span(limit["low"], limit["high"])]
        yield [*load, *ratios, *(_ratio(strength["likely"]) if strength else ())]


def _numerics(summary: Summary, _: Shown) -> Iterator[Sequence[Figure | None]]:
    yield []
    for name, value in summary["numerics"].items():
        small = not name.endswith("_s") and abs(value) < 1e-5
        yield [of(value, "s") if name.endswith("_s") else share(1e-5 if small else value)]


# a floor


def _ratio(value: float) -> list[Figure]:
    """A ratio, which is told no nearer than "under 0.01" and "over 100"."""
    return [] if value is None else [of(min(max(value, 0.01 if value > 0.0 else 0.0), 100.0), "")]


def _ratio_span(low: float, high: float) -> list[Figure]:
    same = f"{low:.1f}" == f"{high:.1f}" if high < 9.5 else f"{low:.0f}" == f"{high:.0f}"
    return _ratio(low) if same else [*_ratio(low), *_ratio(high)]


def _of_limit(answer: Summary) -> list[Figure]:
    low, likely, high = (answer[f"of_planning_limit_{end}"] for end in ("low", "likely", "high"))
    return [*_ratio(likely), *_ratio_span(low, high)]


def _exceeded(summary: Summary, _: Shown) -> Iterator[Sequence[Figure | None]]:
    worst: dict[tuple[str, str], Summary] = {}
    for answer in summary["answers"]:
        if answer["of_planning_limit_high"] > 1.0:
            worst.setdefault((answer["zone"], answer["mode"]), answer)
    yield from map(_of_limit, worst.values())


def _worst_places(summary: Summary, _: Shown) -> Iterator[Sequence[Figure | None]]:
    worst: dict[tuple[str, str, str], Summary] = {}
    for answer in summary["answers"]:
        worst.setdefault((answer["set_up"], answer["tyre"], answer["zone"]), answer)
    for answer in list(worst.values())[:12]:
        low, likely, high = (answer[f"of_expected_strength_{end}"] for end in ("low", "likely", "high"))
        yield [*_of_limit(answer), *_ratio(answer["of_planning_limit_worst"]), *_ratio(likely), *_ratio_span(low, high)]


def _span(answer: Summary, name: str, cell: str) -> list[Figure]:
    ends = ("likely", "low", "high") if "nine in ten" in cell else ("likely",)
    entries = ({"value": answer[f"{name}_{end}"], "unit": answer["unit"]} for end in ends)
    return [_in_si(entry) for entry in entries]


def _in_si(entry: Summary) -> Figure:
    unit, factor = {"kPa": ("Pa", 1e3), "kN": ("N", 1e3)}[entry["unit"]]
    return of(entry["value"], unit, factor)


def _governs(summary: Summary, table: Shown) -> Iterator[Sequence[Figure | None]]:
    own = summary["governing"]
    for what, cell in table.rows:
        name = {"load on it": "demand", "planning limit": "planning_limit", "expected strength": "expected_strength"}
        if what in name:
            yield _span(own, name[what], cell)
        elif what == "place":
            yield [of(own["x_m"], "m"), of(own["y_m"], "m")]
        elif what == "tyre load":
            yield [of(own["tyre_load_kN"], "N", 1e3)]
        elif what == "factor between the two":
            yield [of(own["factor"], ""), *words(own["factor_source"])]
        elif what.startswith("what changes it most"):
            yield [of(value, "") for value in sorted(own["changes"].values(), reverse=True) if value > 1.02]
        else:
            yield words({"formula": own["formula"], "failure": own["mode"]}.get(what, cell))


def _needed(summary: Summary, table: Shown) -> Iterator[Sequence[Figure | None]]:
    unit = {"length": "m", "force": "N", "pressure": "Pa"}
    for need, row in zip(summary["needed"], table.rows, strict=True):
        likely, low, high = (of(need[end], unit[need["quantity"]]) for end in ("likely", "low", "high"))
        yield [*words(need["what"]), likely, *([low, high] if " to " in row[3] else [low])]


def _floor_tyres(summary: Summary, _: Shown) -> Iterator[Sequence[Figure | None]]:
    for tyre in summary["tyres"]:
        loads = (tyre[name] for name in ("load_at_rest_kN", "peak_load_kN", "peak_rolling_load_kN"))
        pressures = (tyre["mean_pressure_kPa"], tyre["peak_pressure_kPa"])
        yield [
            *(None if load is None else of(load, "N", 1e3) for load in loads),
            *(of(side, "m") for side in tyre["patch_m"]),
            *(of(pressure, "Pa", 1e3) for pressure in pressures),
        ]


def _every_answer(summary: Summary, table: Shown) -> Iterator[Sequence[Figure | None]]:
    names = ("demand", "planning_limit", "expected_strength")
    for answer, row in zip(summary["answers"][:24], table.rows, strict=True):
        yield [figure for name, cell in zip(names, row[3:], strict=True) for figure in _span(answer, name, cell)]


# slopes


def _maps(summary: Summary) -> list[list[Summary]]:
    """The limits of each set-up and height, all directions of one together."""
    maps: dict[tuple[str, float], list[Summary]] = {}
    for limit in summary["limits"]:
        maps.setdefault((limit["set_up"], limit["height_m"]), []).append(limit)
    return list(maps.values())


def _towards(limits: Sequence[Summary], azimuth: float) -> Summary:
    return min(limits, key=lambda limit: abs((limit["azimuth_deg"] - azimuth + 180.0) % 360.0 - 180.0))


def _labelled(entry: Summary) -> list[Figure]:
    label = entry["set_up"]
    return [of(entry["height_m"], "m"), *([] if label == "as in the scenario" else words(label))]


def _limit(limit: Summary, cells: Sequence[str]) -> list[Figure | None]:
    """A slope in percent and degrees, and in US units in inches a foot."""
    percent = limit["first_percent"]
    if percent is None:
        return []
    angle = math.atan(0.01 * percent)
    more = [share(0.01 * percent)] if any("in/ft" in cell for cell in cells) else []
    return [share(0.01 * percent), of(angle, "rad"), *more]


def _goes_first(limit: Summary, cell: str) -> list[Figure | None]:
    return [share(0.01 * limit["tips_percent"])] if "%" in cell else []


def _least_slopes(summary: Summary, table: Shown) -> Iterator[Sequence[Figure | None]]:
    for limits, row in zip(_maps(summary), table.own.rows, strict=True):
        least = min(limits, key=lambda limit: limit["first_percent"] or math.inf)
        yield [*_labelled(least), *_limit(least, row), *_goes_first(least, row[-1])]


def _four_ways(summary: Summary, table: Shown) -> Iterator[Sequence[Figure | None]]:
    track, wheelbase = (figure.value for figure in words(table.si.note)[:2])
    rows = iter(table.own.rows)
    for limits in _maps(summary):
        for azimuth, apart in ((0.0, wheelbase), (90.0, track), (180.0, wheelbase), (270.0, track)):
            limit, row = _towards(limits, azimuth), next(rows)
            rise = None if limit["first_percent"] is None else Figure(0.01 * limit["first_percent"] * apart, "m", 2e-3)
            yield [*_labelled(limit), *_limit(limit, row), rise, *_goes_first(limit, row[-1])]


def _every_limit(summary: Summary, _: Shown) -> Iterator[Sequence[Figure | None]]:
    for limits in _maps(summary):
        for azimuth in (0.0, 90.0, 180.0, 270.0):
            limit = _towards(limits, azimuth)
            kinds = ("lifts", "swings", "tips", "slides", "rolls", "load_slips", "load_topples")
            found = (limit[f"{kind}_percent"] for kind in kinds)
            yield [*_labelled(limit), *(None if value is None else share(0.01 * value) for value in found)]


def _braking(summary: Summary, _: Shown) -> Iterator[Sequence[Figure | None]]:
    for entry in summary["braking"]:
        by_way = [{"azimuth_deg": way, "percent": value} for way, value in
                  zip(entry["azimuth_deg"], entry["percent"], strict=True)]  # fmt: skip
        four = [_towards(by_way, azimuth)["percent"] for azimuth in (0.0, 90.0, 270.0, 180.0)]
        reached = [value for value in entry["percent"] if value is not None]
        aside = min((value for value in four[1:3] if value is not None), default=None)
        cells = (four[0], aside, four[3], min(reached, default=None))
        shown = (None if value is None or value <= 0.0 else share(0.01 * value) for value in cells)
        yield [*_labelled(entry), of(entry["deceleration_m_s2"], "m/s2"), *shown]


def _turns(summary: Summary, table: Shown) -> Iterator[Sequence[Figure | None]]:
    radii = [next(figures_in(head, table.system)).value for head in table.own.columns[1:-1]]
    for turn in summary["turns"]:
        pull = turn["sideways_acceleration_m_s2"]
        speeds = [None if pull is None else of(math.sqrt(pull * radius), "m/s") for radius in radii]
        yield [*_labelled(turn), *speeds]


def _stops(summary: Summary, _: Shown) -> Iterator[Sequence[Figure | None]]:
    for stop in summary["stops"]:
        for height, ahead, back in zip(stop["height_m"], stop["forward_m_s2"], stop["reverse_m_s2"], strict=True):
            length = None if ahead is None else of(WALKING**2 / (2.0 * ahead), "m")
            ends = [None if value is None else of(value, "m/s2") for value in (ahead, back)]
            yield [*_labelled({**stop, "height_m": height}), ends[0], length, ends[1]]


# loads


def _base(entry: Summary) -> list[Figure | None]:
    """A set-up in words: the counterweight home and no slab have no figure."""
    out, slabs = entry["extension_m"], entry["slabs"]
    return [of(out, "m") if out else None, of(slabs, "") if slabs else None]


def _rounded(mass: float) -> Figure:
    """A load that was rounded up or down to three digits, and to 10 kg."""
    return Figure(mass, "kg", max(10.0 ** (math.floor(math.log10(mass)) - 2), 10.0) if mass else 0.0)


def _by_base(cells: Sequence[Summary]) -> dict[tuple[float, int], list[Summary]]:
    found: dict[tuple[float, int], list[Summary]] = {}
    for cell in sorted(cells, key=lambda cell: (cell["extension_m"], cell["slabs"])):
        found.setdefault((cell["extension_m"], cell["slabs"]), []).append(cell)
    return found


def _of_table(cell: Summary, title: str) -> bool:
    """Whether a cell of a set-up stands in a table: its attachment, and what the title gives beside."""
    jib = "jib" in title or "hook height" in title or "reach" in title
    if cell["attachment"] != ("jib" if jib else "forks"):
        return False
    told = next((figure for figure in words(title.partition(", ")[2] or title) if figure.unit == "m"), None)
    name = "height_m" if title.startswith("Greatest") else "load_centre_m"
    return told is None or math.isclose(cell[name], told.value, rel_tol=5e-3)


def _greatest(summary: Summary, table: Shown) -> Iterator[Sequence[Figure | None]]:
    cells = [cell for cell in summary["set_ups"] if _of_table(cell, table.title)]
    for group in _by_base(cells).values():
        if all(cell["greatest_kg"] is None for cell in group):
            continue
        figures: list[Figure | None] = []
        for cell in sorted(group, key=lambda cell: (cell["load_centre_m"], cell["height_m"])):
            if cell["greatest_kg"] is not None:
                figures += [of(cell["greatest_kg"], "kg"), share(cell["part_of_nearest_rule"])]
        yield [*_base(group[0]), *figures]


def _which(summary: Summary, _: Shown) -> Iterator[Sequence[Figure | None]]:
    mass = summary["wanted_kg"]
    for group in _by_base(summary["for_wanted"]).values():
        figures: list[Figure | None] = []
        for cell in sorted(group, key=lambda cell: cell["height_m"]):
            plate, part = cell["plate_kg"], share(cell["part_of_nearest_rule"])
            if mass < cell["least_kg"]:
                figures.append(_rounded(cell["least_kg"]))
            elif plate is not None and mass > plate * (1.0 + 1e-9):
                figures.append(of(plate, "kg"))
            else:
                figures += [part] if plate is None else [share(mass / plate), part]
        yield [*_base(group[0]), *figures]


def _let_go(summary: Summary, _: Shown) -> Iterator[Sequence[Figure | None]]:
    for base in summary["without_a_load"]:
        if base["least_kg"] is None or base["least_kg"] > 0.0:
            least = None if base["least_kg"] is None else _rounded(base["least_kg"])
            yield [*_base(base), least, None if base["tips_back"] else share(base["drive_axle_share"])]


def _without(summary: Summary, _: Shown) -> Iterator[Sequence[Figure | None]]:
    for base in summary["without_a_load"]:
        held = base["side_slope"]
        yield [
            *_base(base),
            None if base["tips_back"] else share(base["drive_axle_share"]),
            None if held is None or held < 0.0 else share(min(held, 1.0)),
            share(base["side_slope_of_test"]),
        ]


def _thumb(summary: Summary, _: Shown) -> Iterator[Sequence[Figure | None]]:
    for rule in summary["rules_of_thumb"]:
        yield [of(rule["load_centre_m"], "m"), of(rule["about_fork_face_times"], ""),
               of(rule["about_drive_axle_times"], "")]  # fmt: skip


# a sweep


def _counted(entry: Summary) -> list[Figure | None]:
    ends = [share(entry[name]) for name in ("low", "high")] if entry["low"] is not None else []
    return [of(entry["count"], ""), of(entry["runs"], ""), share(entry["share"]), *ends]


def _shares(summary: Summary, _: Shown) -> Iterator[Sequence[Figure | None]]:
    yield from map(_counted, summary["shares"])


def _effect(summary: Summary, table: Shown) -> Iterator[Sequence[Figure | None]]:
    effect = next(effect for effect in summary["effects"] if f"By {effect['input']}" == table.title)
    for group in effect["groups"]:
        # the mean is told in whole millimetres, and restated from them
        mean = Figure(group["mean"], summary["measure"]["unit"], 0.5e-3)
        yield [*words(group["group"]), *_counted(group), mean]


def _swept(summary: Summary, _: Shown) -> Iterator[Sequence[Figure | None]]:
    for entry in summary["inputs"]:
        more = entry["key"].count(", ")
        yield [*([of(more, "")] if more else []), *words(entry["how"])]


def _changed(summary: Summary, _: Shown) -> Iterator[Sequence[Figure | None]]:
    yield from (words(value) for value in summary["changed_in_all_runs"].values())


def _about_sweep(summary: Summary, _: Shown) -> Iterator[Sequence[Figure | None]]:
    yield words(summary["scenario"])
    yield [of(summary["seed"], "")]
    yield [of(summary["rows"], ""), of(summary["without_result"], "")]
    yield from ([], [])


# an incident


def _estimate(value: float) -> Figure:
    """A share that is told no nearer to none and to all than a hundredth."""
    return share(min(max(value, 0.01), 0.99))


def _recorded(summary: Summary, _: Shown) -> Iterator[Sequence[Figure | None]]:
    for finding in summary["findings"]:
        yield [figure for name in ("what", "value", "known", "by") for figure in words(str(finding[name]))]


def _causes(summary: Summary, table: Shown) -> Iterator[Sequence[Figure | None]]:
    for cause, row in zip(summary["causes"], table.rows, strict=True):
        told = [] if cause["probability"] is None else [cause["probability"]]
        told += cause["nine_in_ten"] if "(" in row[3] else []
        near = [share(cause["fit"]).value * 100.0, 100.0, cause["near"], cause["runs"]]
        yield [share(cause["prior"]), *map(_estimate, told), *(of(value, "") for value in near)]


def _factors(summary: Summary, table: Shown) -> Iterator[Sequence[Figure | None]]:
    for factor, row in zip(summary["factors"], table.rows, strict=True):
        figures: list[Figure | None] = []
        for name, cell in (("by_itself", row[2]), ("beside_all_others", row[3])):
            if cell != "tells nothing":
                values = [factor[name], *(factor[f"{name}_nine_in_ten"] if "(" in cell else ())]
                figures += [_times(value) for value in values]
        yield figures


def _times(value: float) -> Figure:
    """A factor of two digits, no nearer than a thousandth and a thousand."""
    value = min(max(value, 0.001), 1000.0)
    return Figure(value, "", _half_of_two(value))


def _half_of_two(value: float) -> float:
    return 0.5 * 10.0 ** (math.floor(math.log10(abs(value))) - 1) if value else 0.0


def _settings(summary: Summary, table: Shown) -> Iterator[Sequence[Figure | None]]:
    cause = next(cause for cause in summary["causes"] if table.title == f"If it was this: {cause['said']}")
    for known in cause["settings"]:
        values = (known["likely"], *known["nine_in_ten"], *known["before"])
        # told to two digits, and restated from them
        yield [at({"value": value, "unit": known["unit"]})._replace(half=_half_of_two(value)) for value in values]


def _course(summary: Summary, table: Shown) -> Iterator[Sequence[Figure | None]]:
    cause = next(cause for cause in summary["causes"] if table.title.endswith(f"if it was this: {cause['said']}"))
    for step, row in zip(cause["course"], table.rows, strict=True):
        ends = [of(step["earliest_s"], "s"), of(step["latest_s"], "s")]
        yield [of(step["at_s"], "s"), *([of(step["runs"], "")] if row[1].startswith("the same") else ends),
               *words(step["what"])]  # fmt: skip


def _keeps_up(summary: Summary, table: Shown) -> Iterator[Sequence[Figure | None]]:
    tried = [change for change in summary["keeps_up"]["changes"] if "not_tried" not in change]
    for change, row in zip(tried, table.rows, strict=True):
        was = change["was"] if " to " in row[1] else change["was"][:1]
        to = [change["tried_up_to"] if change["least"] is None else change["least"]]
        to += [change["lost_again_at"]] if change["lost_again_at"] is not None else []
        yield [*(of(value, change["unit"]) for value in (*was, *to)), share(change["up"])]


def _further(summary: Summary, _: Shown) -> Iterator[Sequence[Figure | None]]:
    for finding in summary["further"]:
        yield [*words(finding["within"]), _estimate(finding["now"]), _estimate(finding["then"])]


def _made_up(summary: Summary, _: Shown) -> Iterator[Sequence[Figure | None]]:
    for part in summary["made_up_cases"]["told"]:
        yield [
            share(part["from"]), share(part["to"]), of(part["cases"], ""), _estimate(part["mean"]),
            share(part["was"] / part["cases"]), *map(_estimate, part["interval_95"]),
        ]  # fmt: skip


def _made_up_settings(summary: Summary, _: Shown) -> Iterator[Sequence[Figure | None]]:
    for part in summary["made_up_cases"]["settings"]:
        yield [
            of(part["in_nine_in_ten"], ""), of(part["cases"], ""), *map(_estimate, part["interval_95"]),
            of(part["off_even"], ""), of(part["off_even_19_in_20"], ""),
        ]  # fmt: skip


def _robust(summary: Summary, _: Shown) -> Iterator[Sequence[Figure | None]]:
    for entry in summary["robust"]:
        yield [*words(entry["assumed"]), *(None if one is None else _estimate(one) for one in entry["probabilities"])]


TABLES: tuple[tuple[str, Told], ...] = (
    ("This holds only while", _limits("holds_only_while")),
    ("What it holds against, one thing at a time", _limits("holds_against")),
    ("Distance to each tip line", _distances),
    ("Least distance to each tip line", _least_distances),
    ("Tyre loads", _tyre_loads),
    ("Hole-depth limit", _hole_depths),
    ("How the truck ends, by .*", _outcomes),
    ("How it ended", _how_it_ended),
    ("Events", _events),
    ("Where it is at the end", _at_end),
    ("What touched and marked the floor", _marks),
    ("What each tyre put on the floor in the run", _floor_peaks),
    ("How exactly it was computed", _numerics),
    ("Planning limits exceeded", _exceeded),
    ("Each tyre at its worst place", _worst_places),
    ("What governs here", _governs),
    ("What would be enough|Tyre loads at which a planning limit is reached", _needed),
    ("Tyres on the floor", _floor_tyres),
    ("Every failure looked at, worst first", _every_answer),
    ("Least slope limit by height", _least_slopes),
    ("Ahead, left, behind, right", _four_ways),
    ("Every limit", _every_limit),
    ("Slope limits while braking", _braking),
    ("Greatest steady speed in a turn", _turns),
    ("Greatest deceleration by height", _stops),
    ("Where the load must not be let go of", _let_go),
    (r"Which set-up\? .*", _which),
    ("Greatest load on .*|By (fork|hook) height, .*", _greatest),
    ("Without a load", _without),
    ("Rules of thumb for another load centre", _thumb),
    ("How the runs ended", _shares),
    ("Changed in all runs", _changed),
    ("About this sweep", _about_sweep),
    ("By .*", _effect),
    ("What was found", _recorded),
    ("The causes listed", _causes),
    ("What each finding does", _factors),
    ("If it was this: .*", _settings),
    ("What happens if it was this: .*", _course),
    ("What in this model keeps the load up", _keeps_up),
    ("What to look for next", _further),
    ("Tried on made-up cases", _made_up),
    ("Settings of the made-up cases", _made_up_settings),
    ("How much hangs on what is assumed", _robust),
    ("What was varied", lambda summary, table: (_varied if "spread" in summary else _swept)(summary, table)),
)
"""The first that fits counts."""
