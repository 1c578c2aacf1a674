"""What a wheel-load sheet tells the one who answers for a floor, besides the tyres: the truck, axles, twins, passes.

What an engineer also asks (passes, lips at joints, a slab on insulation, settling) is answered as far as the inputs
carry it, and where they do not it is said who must say.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import combinations
from math import hypot, isfinite, nan

from tipline.floors.answers.mode_answer import ModeAnswer
from tipline.floors.answers.report import Axle, Give, Lip, TyreSheet, WheelSheet
from tipline.floors.known.ratio import likely
from tipline.floors.known.span import Span, digits
from tipline.floors.modes.slab import CRACKS, slab_of
from tipline.floors.places.loads import Loading, lifted_by, places_of, tyres_of
from tipline.floors.places.patch import Patch, as_one, clusters
from tipline.floors.places.route import Standing
from tipline.floors.places.tyres import contact, patches
from tipline.mechanics.fatigue import passes_to_crack
from tipline.mechanics.patch import twin_radius
from tipline.mechanics.slab import interior
from tipline.model.asphalt import Asphalt
from tipline.model.ground import Ground
from tipline.model.machine import Machine
from tipline.model.slab import Slab
from tipline.printable import spoken_of
from tipline.scenario import Case

__all__ = ["spacing", "twins_of", "tyre_sheets", "wheel_sheet"]

LIP = 0.005
"""Height of a lip at a joint that a tyre meets (our choice: a flat floor has less, an old joint more) [m]."""
MOST_PASSES = 1e7
"""More passes than this are told as more than this [1] (our choice: a pass a minute for twenty years)."""
FATIGUE = (
    "fatigue relation of highway slabs, Portland Cement Association 1984, from memory: an estimate, tests scatter by a "
    "factor of ten"
)


def wheel_sheet(
    case: Case,
    rolling: Mapping[str, Loading],
    tyres: Sequence[TyreSheet],
    mode_answers: Sequence[ModeAnswer],
    passes: int | None,
) -> WheelSheet:
    """Return the rest of the sheet; ``rolling``: by set-up the loads of a truck that also rolls, stops and turns."""
    loads = [loads for loads in rolling.values() if loads.stands]
    return WheelSheet(
        truck=case.machine.title or case.machine.name,
        axles=tuple(axle for each in loads for axle in _axles(case.machine, each)),
        twins=tuple(twin for each in loads for twin in twins_of(case.machine, each, tyres)),
        passes=passes,
        rolling=tuple(f"{each.setup}: {each.greatest_from}" for each in loads),
        lips=tuple(_lips(case, loads)),
        gives=tuple(_gives(mode_answers)),
        told=(*_passes(mode_answers, passes), *_others(mode_answers)),
        wheelbase=case.machine.wheelbase,
        places=places_of(case.machine),
    )


def _axles(machine: Machine, loads: Loading) -> Iterator[Axle]:
    for name, axle in (("drive axle", machine.drive_axle), ("steer axle", machine.steer_axle)):
        names = [tyre.name for tyre in axle.tyre]
        at_rest = sum(loads.static[name] for name in names)
        yield Axle(name, loads.setup, at_rest, max(at_rest, sum(loads.peak[name] for name in names)))


def twins_of(machine: Machine, loads: Loading, tyres: Sequence[TyreSheet]) -> Iterator[TyreSheet]:
    """Yield tyres that stand nearer to each other than they are wide as one item, with the loads of both."""
    sheets = {tyre.tyre: tyre for tyre in tyres if tyre.setup == loads.setup}
    places, kinds = places_of(machine), tyres_of(machine)
    parts = []
    for name in sheets:
        footprint = contact(kinds[name], loads.greatest[name])
        parts.append(Patch(name, places[name], 0.0, footprint.length, footprint.width, loads.static[name]))
    if not parts:
        return
    for _, together in clusters(parts, min(part.width for part in parts)):
        both = as_one([parts[place] for place in together], 0.0)
        own = [sheets[name] for name in both.tyres]
        peak = sum(loads.greatest[sheet.tyre] for sheet in own)
        area = both.length * both.width
        yield TyreSheet(
            tyre=both.tyre, setup=loads.setup, kind=own[0].kind, at=own[0].at,
            static_load=sum(sheet.static_load for sheet in own), peak_load=sum(sheet.peak_load for sheet in own),
            patch=(both.length, both.width), mean_pressure=peak / area,
            peak_pressure=max(sheet.peak_pressure for sheet in own), zone=own[0].zone, rolling_load=peak,
            circle=_circle(both, peak),
        )  # fmt: skip


def _circle(both: Patch, load: float) -> float:
    """Return the radius of the circle that stands for a pair of twins on a slab [m], nan where none does."""
    if len(both.singles) != 2:
        return nan
    try:
        return twin_radius(0.5 * load, load / sum(patch.area for patch in both.singles), both.across)
    except ValueError:
        return nan


def _lips(case: Case, loads: Sequence[Loading]) -> Iterator[Lip]:
    """Yield what a lip adds to each set-up's heaviest tyre: pressed further by it, before the truck has come up."""
    for each in loads:
        name = max(each.static, key=lambda tyre: each.static[tyre])
        yield Lip(name, each.setup, LIP, lifted_by(case, name, each.static[name], LIP))


def _passes(mode_answers: Sequence[ModeAnswer], passes: int | None) -> Iterator[str]:
    """Say how often the truck may pass before a slab is expected to crack by it, at the worst tyre of each zone."""
    worst: dict[str, ModeAnswer] = {}
    for mode_answer in mode_answers:
        if mode_answer.mode.event == CRACKS and mode_answer.situation.laid is None:
            zone = mode_answer.situation.name
            if zone not in worst or mode_answer.answer.of_strength.likely > worst[zone].answer.of_strength.likely:
                worst[zone] = mode_answer
    for zone, mode_answer in worst.items():
        span = mode_answer.answer.of_strength
        stated = "" if passes is None else f" {passes} passes are planned."
        tyre, mode = mode_answer.answer.tyre, mode_answer.mode.name
        yield (
            f"Repeated passes, {spoken_of(zone)}: {tyre} bends it to {digits(span.likely)} times its strength (nine in "
            f"ten draws {digits(span.low)} to {digits(span.high)}; {mode}): a crack is expected after "
            f"{_so_many(span)}.{stated} By the {FATIGUE}."
        )


def _so_many(span: Span) -> str:
    likely_, least, most = (passes_to_crack(each) for each in (span.likely, span.high, span.low))
    return f"{_count(likely_)} (nine in ten draws {_count(least)} to {_count(most)})"


def _count(passes: float) -> str:
    if passes <= 0.0:
        return "a single pass"
    if not isfinite(passes) or passes > MOST_PASSES:
        return "more than 10 million passes"
    return f"{float(f'{passes:.1e}'):,.0f} passes".replace(",", " ")


def _gives(mode_answers: Sequence[ModeAnswer]) -> Iterator[Give]:
    """Yield how far each slab gives at once under the heaviest tyre that stands on it."""
    heaviest: dict[str, ModeAnswer] = {}
    for mode_answer in mode_answers:
        situation = mode_answer.situation
        if isinstance(situation.zone, Slab) and not situation.patch.members and "modulus" in mode_answer.bands:
            zone = situation.name
            if zone not in heaviest or situation.patch.load > heaviest[zone].situation.patch.load:
                heaviest[zone] = mode_answer
    for zone, mode_answer in heaviest.items():
        patch, bands = mode_answer.situation.patch, mode_answer.bands
        inputs, reaction = likely(bands), bands["subgrade_reaction"]
        depths = [
            interior(slab_of({**inputs, "subgrade_reaction": k}), patch.load, patch.radius).deflection
            for k in (reaction.optimistic, reaction.likely, reaction.pessimistic)
        ]
        yield Give(zone, patch.tyre, Span(*depths))


def _others(mode_answers: Sequence[ModeAnswer]) -> Iterator[str]:
    """Say what is not in the answer, and who must say."""
    zones = [mode_answer.situation.zone for mode_answer in mode_answers]
    if any(isinstance(zone, Slab | Ground | Asphalt) for zone in zones):
        yield (
            "Settling over hours and days (clay that gives off water, fill, creep of warm asphalt) is not in these "
            "figures: a geotechnical engineer, with tests on this ground."
        )
    if any(isinstance(zone, Slab) for zone in zones):
        yield (
            "A slab on insulation is not in these figures unless its reaction is given as subgrade_reaction (the "
            "board's modulus over its thickness), and then without the board's own creep: the maker's long-term "
            "compressive stress and the structural engineer."
        )


def tyre_sheets(
    machine: Machine, loads: Loading, rolling: Loading | None, here: Standing, zones: Mapping[str, Iterable[str]]
) -> Iterator[TyreSheet]:
    """Yield a set-up's tyres, each with its patch at its greatest load; ``zones``: names of what each meets."""
    tyres = tyres_of(machine)
    most = loads.greatest if rolling is None else rolling.greatest
    for patch in patches(here, places_of(machine), tyres, loads.greatest):
        name = patch.tyre
        footprint = contact(tyres[name], max(most[name], patch.load))
        yield TyreSheet(
            tyre=name, setup=loads.setup, kind=tyres[name].kind, at=patch.at, static_load=loads.static[name],
            peak_load=loads.greatest[name], patch=(footprint.length, footprint.width),
            mean_pressure=footprint.mean_pressure, peak_pressure=footprint.peak_pressure,
            zone=", ".join(zones.get(name, ())),
            notes=(f"Peak: {loads.greatest_from}.", f"Patch: {footprint.basis}.", *footprint.warnings),
            rolling_load=nan if rolling is None else max(most[name], loads.greatest[name]),
        )  # fmt: skip


def spacing(machine: Machine) -> tuple[tuple[str, str, float], ...]:
    """Return how far every two tyres are apart, middle to middle [m]."""
    places = places_of(machine)
    return tuple(
        (a, b, hypot(places[a][0] - places[b][0], places[a][1] - places[b][1])) for a, b in combinations(places, 2)
    )
