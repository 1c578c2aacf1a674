"""What a set-up standing at its place, or a truck along a route, asks of a floor: the whole of it, as one report."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import inf

from tipline.errors import NumericalError
from tipline.floors.answers.inverse import thickness_needed
from tipline.floors.answers.mode_answer import ModeAnswer, governing, mode_answer_of, outdone
from tipline.floors.answers.plan import plan_of, with_spreaders
from tipline.floors.answers.questions import questions
from tipline.floors.answers.remedies import remedies
from tipline.floors.answers.report import RIGID, Answer, FloorReport, Inverse, TyreSheet, judged, worst_of
from tipline.floors.answers.sheet import spacing, tyre_sheets, wheel_sheet
from tipline.floors.answers.spreaders import spreaders_for
from tipline.floors.answers.stress import stress_map
from tipline.floors.known.of_zone import Band, ZoneBands, posted_answers, told_beside
from tipline.floors.known.span import share_words
from tipline.floors.modes.asphalt import SOFT_ABOVE
from tipline.floors.modes.evidence import bands_of
from tipline.floors.modes.mode import Mode, Unanswered
from tipline.floors.modes.of_zone import modes_of, no_strength
from tipline.floors.modes.situation import Situation, situations, worst_places
from tipline.floors.places.driven import driven_places, hardest_turn
from tipline.floors.places.loads import Loading, Turning, loading, places_of, tyres_of
from tipline.floors.places.route import Standing, line, path, tracks
from tipline.model.areas import Answered
from tipline.model.asphalt import Asphalt
from tipline.model.floor import Floor, Material, RigidZone, Zone
from tipline.model.machine import Machine
from tipline.model.plane import Point
from tipline.model.spreaders import Stock
from tipline.printable import spoken_of
from tipline.scenario import Case
from tipline.scenario.driving import WALKING, travelled
from tipline.scenario.kinds import kind_of
from tipline.scenario.route import Route
from tipline.scenario.spec import Scenario
from tipline.scenario.unmet import met_at, not_met
from tipline.units import FREEZING, KM_PER_HOUR

__all__ = ["demand", "route", "worst_modes"]

Progress = Callable[[str, float | None], None]
STOOD = "as set up"
DRIVES = "as set up and on its way"
ALONG = 0.2
"""How far apart the places on a scenario's own way are at most [m] (our choice: about a patch's length)."""
FARTHEST = 20.0
"""No more of a scenario's own way is asked than this [m] (our choice; a route has no such end)."""
LADEN, EMPTY = "laden", "empty"
GOVERNS = (
    "whoever answers for the building or the ground, with its drawings",
    "the maker's manual for tyre loads and spreaders, local codes and the rules of the site",
    "a qualified engineer",
)


@dataclass(frozen=True)
class _Asking:
    """What was asked: by set-up its loads and places, and everything found."""

    loadings: tuple[Loading, ...]
    standings: Mapping[str, tuple[Standing, ...]]
    mode_answers: tuple[ModeAnswer, ...]
    worst: Mapping[tuple[str, str, str], tuple[Situation, ...]]
    bands: Mapping[str, ZoneBands]
    refused: tuple[str, ...] = ()
    rolling: Mapping[str, Loading] = field(default_factory=dict)
    passes: int | None = None


def demand(
    case: Case, at: Point | None = None, *, detail: bool = True, advice: bool = True, stock: Stock | None = None
) -> FloorReport:
    """Ask the floor under a set-up standing at its place, or at ``at`` in its heading.

    ``detail``: also the stress map by plate elements and the choice of spreaders, which take seconds. ``advice``: what
    to find out, what would be thick enough and what would bring it down, a third of the time of all else.

    Raises
    ------
    NumericalError
        The equilibrium could not be computed.
    """
    setup = case.scenario.setup
    low, high = (0.0, 0.0) if at is not None else travelled(case.inputs)
    driven = low < 0.0 or high > 0.0
    way = max(low, -FARTHEST), min(high, FARTHEST)
    turn = hardest_turn(case.scenario, case.machine) if driven else None
    places = driven_places(case.inputs, way, ALONG) if at is None else line(at, setup.heading, way, ALONG)
    loads = loading(case, DRIVES if driven else STOOD, moving=driven or setup.speed != 0.0, turning=turn)
    asking = _ask(case.machine, case.floor, (loads,), {loads.setup: places})
    if detail and loads.stands:
        turning = Turning(min(WALKING, case.machine.drive.top_speed), case.machine.wheelbase)
        asking = replace(asking, rolling={loads.setup: loading(case, loads.setup, moving=True, turning=turning)})
    swept = tracks(places[1:], places_of(case.machine)) if driven else {}
    where = f"{STOOD}, and {_way_in_words(way, turn)}" if driven else STOOD
    report = _report(case, asking, where, swept, detail, stock, advice=advice)
    left_out = _changes(case.scenario) if at is None else ()
    if (low, high) != way:
        left_out += (f"the way beyond {FARTHEST:g} m is not looked at: give it as a route",)
    return replace(report, not_asked=(*left_out, *report.not_asked))


def _way_in_words(way: tuple[float, float], turn: Turning | None) -> str:
    if turn is not None:
        return "on its way through the turn"
    ends = [f"{abs(end):.2g} m {where}" for end, where in zip(way, ("back", "on"), strict=True) if end != 0.0]
    return f"on its way {' and '.join(ends)}, straight"


def _changes(scenario: Scenario) -> tuple[str, ...]:
    """Say which events change what the tyres carry after the start: they are not in what is asked here."""
    events = ", ".join(dict.fromkeys(changes for event in scenario.event if (changes := kind_of(event).changes)))
    if not events:
        return ()
    return (f"{events}: these are the loads of the set-up as it starts; a run takes each tyre at its greatest load",)


def route(case: Case, way: Route, *, detail: bool = True, stock: Stock | None = None) -> FloorReport:
    """Ask the floor along a route, with every stop the drive can make on it, with and without the lifted load.

    Raises
    ------
    NumericalError
        The equilibrium could not be computed.
    """
    radius = case.machine.wheelbase if way.turning_radius is None else way.turning_radius
    speed = min(WALKING, case.machine.drive.top_speed) if way.speed is None else way.speed
    places = path(way.path, radius, way.reverse)
    turning = Turning(speed, radius) if any(place.turn for place in places) else None
    loadings = [loading(case, LADEN, moving=True, turning=turning)]
    if case.load is not None:
        loadings.append(loading(case, EMPTY, moving=True, laden=False, turning=turning))
    asking = _ask(case.machine, case.floor, tuple(loadings), {loads.setup: places for loads in loadings})
    asking = replace(asking, rolling={loads.setup: loads for loads in loadings if loads.stands}, passes=way.passes)
    swept = tracks(places, places_of(case.machine))
    report = _report(case, asking, way.title, swept, detail, stock)
    lines = []
    if way.turning_radius is None:
        lines.append(f"turning radius of the route: the wheelbase, {radius:.3g} m, assumed")
    if way.speed is None and turning is not None:
        lines.append(f"speed in the turns of the route: a walk, {speed / KM_PER_HOUR:.2g} km/h, assumed")
    widths = {tyre.name: tyre.width / 2 for tyre in (*case.machine.drive_axle.tyre, *case.machine.steer_axle.tyre)}
    unmet = not_met(case.floor, met_at(swept, widths), "Along the route", way.path[0], driving=True)
    return replace(
        report,
        assumed=(*lines, *report.assumed),
        assumed_count=report.assumed_count + len(lines),
        not_met=tuple(unmet),
    )


def _ask(
    machine: Machine, floor: Floor, loadings: tuple[Loading, ...], standings: Mapping[str, tuple[Standing, ...]]
) -> _Asking:
    places, tyres = places_of(machine), tyres_of(machine)
    all_situations = [
        situation
        for loads in loadings
        if loads.stands
        for situation in situations(floor, loads, standings[loads.setup], places, tyres)
    ]
    parts = {situation.name: situation.zone for situation in all_situations}
    bands = {name: bands_of(zone, floor) for name, zone in parts.items()}
    worst = worst_places(all_situations)
    refused: list[str] = []
    mode_answers: list[ModeAnswer] = []
    for group in sorted(worst.values(), key=lambda each: len(each[0].patch.tyres)):
        mode_answers += worst_modes(group, bands, refused, mode_answers)
    return _Asking(loadings, standings, tuple(governing(mode_answers)), worst, bands, tuple(dict.fromkeys(refused)))


def worst_modes(
    group: Sequence[Situation], bands: Mapping[str, ZoneBands], refused: list[str], before: Sequence[ModeAnswer] = ()
) -> list[ModeAnswer]:
    """Ask each way to give at the worst of a tyre's places in a zone: where the pessimistic floor is asked most.

    What lies out of a formula's range goes into ``refused`` with the reason. Tyres together are not asked where one of
    them asked as much ``before``.
    """
    worst: dict[str, tuple[float, Situation, Mode, Mapping[str, Band]]] = {}
    for situation in group:
        for mode, known in modes_of(situation, bands[situation.name]):
            try:
                demand, strength = mode.ask({name: known[name].pessimistic for name in mode.inputs})
            except ValueError as error:
                refused.append(f"{mode.name}, {situation.label}: {error}")
                continue
            ratio = demand / strength if strength > 0.0 else inf
            if mode.name not in worst or ratio > worst[mode.name][0]:
                worst[mode.name] = (ratio, situation, mode, known)
    mode_answers = []
    for _, situation, mode, known in worst.values():
        if outdone(situation, mode, known, before):
            continue
        try:
            mode_answers.append(mode_answer_of(situation, mode, known, bands[situation.name].kept))
        except ValueError as error:
            refused.append(f"{mode.name}, {situation.label}: {error}")
    return mode_answers


def _report(
    case: Case,
    asking: _Asking,
    subject: str,
    swept: Mapping[str, tuple[Point, ...]],
    detail: bool,
    stock: Stock | None,
    *,
    advice: bool = True,
) -> FloorReport:
    mode_answers = sorted(asking.mode_answers, key=lambda mode_answer: -mode_answer.answer.of_limit.high)
    answers = worst_of([mode_answer.answer for mode_answer in mode_answers])
    unanswered = _unanswered(asking)
    worst = next((mode_answer for mode_answer in mode_answers if answers and mode_answer.answer is answers[0]), None)
    lines, count = _assumed(case.assumed, case.assumed_count, asking)
    tyres = _tyres(case.machine, asking)
    report = FloorReport(
        title=f"{case.floor.title}, under: {case.scenario.title}",
        demo=case.demo,
        floor=case.floor.title,
        subject=subject,
        lead=_lead(answers, unanswered, asking),
        tyres=tyres,
        spacing=spacing(case.machine) if tyres else (),
        answers=answers,
        unanswered=unanswered,
        not_asked=_not_asked(case.floor, asking),
        questions=questions(worst, unanswered) if advice else (),
        inverses=_inverses(mode_answers) if advice else (),
        remedies=remedies(case.inputs, case.load, answers, stock is not None) if advice else (),
        tracks=swept,
        exceeded=_exceeded(answers),
        evidence=tuple(dict.fromkeys(line for bands in asking.bands.values() for line in bands.evidence)),
        assumed=lines,
        assumed_count=count,
        governs=GOVERNS,
    )
    report = replace(report, plan=plan_of(case.machine, case.floor, asking.standings, report))
    if not detail:
        return report
    report = replace(report, sheet=wheel_sheet(case, asking.rolling, tyres, mode_answers, asking.passes))
    chosen = spreaders_for(mode_answers, asking.bands, case.floor, stock)
    try:
        report = replace(report, spreaders=chosen, stress=stress_map(mode_answers, case.floor))
    except NumericalError as error:
        report = replace(report, spreaders=chosen, left_out=(error.reason,))
    return replace(report, plan=with_spreaders(report.plan, chosen))


def _lead(answers: Sequence[Answer], unanswered: Sequence[Unanswered], asking: _Asking) -> str:
    """Say the governing answer in words; where a zone has no strength from us that comes first."""
    if not any(loads.stands for loads in asking.loadings):
        return f"no answer: {asking.loadings[0].why}"
    parts = []
    if unanswered:
        zones = ", ".join(spoken_of(gap.zone) for gap in unanswered)
        parts.append(f"others must answer for {zones}: strength not known here")
    if answers:
        worst = answers[0]
        parts.append(f"{worst.spoken} {_asks(worst)}{_decided(worst)}, on {spoken_of(worst.zone)}, {worst.mode}")
    return "; ".join(parts) or RIGID


def _assumed(assumed: Sequence[str], count: int, asking: _Asking) -> tuple[tuple[str, ...], int]:
    """List what is assumed of the case and of its floor, and count the values.

    Where the case only says that a band stands for a value of some owners, the band itself is told of instead.
    """
    own = dict.fromkeys(line for bands in asking.bands.values() for line in bands.assumed)
    lines_of_bands = [line for line in assumed if "a band" in line]
    values = sum(1 + line.partition(":")[0].count(", ") for line in lines_of_bands)
    lines = tuple(line for line in assumed if line not in lines_of_bands)
    return (*lines, *own), count - values + len(own)


def _asks(worst: Answer) -> str:
    asks, has = ("load", "have") if len(worst.tyres) > 1 else ("loads", "has")
    if worst.strength.high <= 0.0:
        return f"{has} nothing to stand on"
    whose = "planning limit" if worst.strength_known else "allowed wheel load"
    return f"{asks} the floor to {share_words(worst.of_limit, f'the {whose}')}"


def _decided(answer: Answer) -> str:
    return judged(answer) if answer.strength.high > 0.0 else ""


def _exceeded(answers: Sequence[Answer]) -> tuple[str, ...]:
    """Name each zone and way to give whose planning limit is exceeded, by its worst tyre."""
    texts: dict[tuple[str, str], str] = {}
    for answer in answers:
        if answer.exceeds:
            text = f"{answer.mode}, {spoken_of(answer.zone)}: {answer.spoken} ({answer.setup}) {answer.words}"
            texts.setdefault((answer.zone, answer.mode), text)
    return tuple(texts.values())


def _unanswered(asking: _Asking) -> tuple[Unanswered, ...]:
    """List zones without a strength from us, and warm asphalt that gives under a standing tyre."""
    gaps: dict[str, Unanswered] = {}
    for group in asking.worst.values():
        situation = group[0]
        bands = asking.bands[situation.name]
        none = no_strength(situation.zone, bands)
        if none is not None:
            if not _answered(situation.zone):
                gaps[situation.name] = none
        elif isinstance(situation.zone, Asphalt):
            warm = _warm(situation, bands)
            if warm is not None:
                gaps[f"{situation.name}, surface"] = warm
    return tuple(gaps.values())


def _answered(zone: Zone | Material) -> bool:
    return isinstance(zone, Answered) and zone.allowed_wheel_load is not None


def _warm(situation: Situation, bands: ZoneBands) -> Unanswered | None:
    band = bands.bands.get("surface_temperature")
    if band is None or band.high < SOFT_ABOVE:
        return None
    cold, hot = (f"{value - FREEZING:.0f}" for value in (band.low, band.high))
    zone = situation.zone
    test = "Its indentation test counts in a run of the scenario, which lets the tyres sink by it"
    if not isinstance(zone, Asphalt) or not zone.indentation:
        test = "No minutes and no depth without an indentation test on it"
    why = (
        f"its surface has {cold} degC to {hot} degC: warm asphalt softens under a standing tyre. Keep off, or on mats. "
        f"{test}"
    )
    surface = f"the surface of {spoken_of(situation.name)}"
    return Unanswered(surface, why, "an indentation test on this asphalt, by whoever answers for it")


def _not_asked(floor: Floor, asking: _Asking) -> tuple[str, ...]:
    lines = [f"{loads.setup}: {loads.why}" for loads in asking.loadings if loads.why]
    lines += [f"out of a formula's range: {text}" for text in asking.refused]
    rigid = {situation.name for group in asking.worst.values() for situation in group if situation.zone.kind == "rigid"}
    lines += [f"{spoken_of(name)} is taken as rigid: its strength is not looked at" for name in sorted(rigid)]
    parts = {situation.name: situation.zone for group in asking.worst.values() for situation in group}
    for name, zone in parts.items():
        if no_strength(zone, asking.bands[name]) is not None and _answered(zone):
            allowed = "the wheel load that was allowed stands in its place"
            lines.append(f"{spoken_of(name)} has no strength known here: {allowed}")
    if any(isinstance(zone, RigidZone) and zone.depth > 0.0 for zone in floor.zone):
        lines.append("steps down into lower zones: a run shows what the truck does there")
    return (*lines, *told_beside(parts.values()), *posted_answers(parts.values()))


def _inverses(mode_answers: Sequence[ModeAnswer]) -> tuple[Inverse, ...]:
    """Give the thickness needed where that is not measured on the floor itself."""
    return thickness_needed([mode_answer for mode_answer in mode_answers if _open(mode_answer)])


def _open(mode_answer: ModeAnswer) -> bool:
    band = mode_answer.bands.get("thickness")
    return band is not None and getattr(band, "how", "") not in ("cored", "measured")


def _tyres(machine: Machine, asking: _Asking) -> tuple[TyreSheet, ...]:
    """Return every tyre of every set-up where it stands first, with the zones that it meets."""
    sheets: list[TyreSheet] = []
    for loads in asking.loadings:
        if loads.stands:
            zones: dict[str, dict[str, None]] = {}
            for setup, tyre, name in asking.worst:
                if setup == loads.setup:
                    zones.setdefault(tyre, {})[name] = None
            here = asking.standings[loads.setup][0]
            sheets += tyre_sheets(machine, loads, asking.rolling.get(loads.setup), here, zones)
    return tuple(sheets)
