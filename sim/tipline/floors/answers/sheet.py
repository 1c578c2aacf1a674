"""What a wheel-load sheet tells the one who answers for a floor, besides the tyres: the truck, axles, twins, passes.

What an engineer also asks (passes, lips at joints, a slab on insulation, settling) is answered as far as the inputs
carry it, and where they do not it is said who must say.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import combinations
from math import hypot, isfinite, nan

from tipline.floors.answers.asked import Asked
from tipline.floors.answers.report import Axle, Give, Lip, TyreSheet, WheelSheet
from tipline.floors.known.ratio import likely
from tipline.floors.known.span import Span, digits
from tipline.floors.modes.slab import CRACKS, slab_of
from tipline.floors.places.loads import Loading, lifted_by, places_of, tyres_of
from tipline.floors.places.patch import Patch, as_one, clusters
from tipline.floors.places.route import Standing
from tipline.floors.places.tyres import contact, patches
from tipline.mechanics.fatigue import passes_to_crack
from tipline.mechanics.slab import interior
from tipline.model.asphalt import Asphalt
from tipline.model.ground import Ground
from tipline.model.machine import Machine
from tipline.model.slab import Slab
from tipline.scenario import Case

__all__ = ["spacing", "twins_of", "tyre_sheets", "wheel_sheet"]

LIP = 0.005
"""Height of a lip at a joint that a tyre meets (our choice: a flat floor has less, an old joint more) [m]."""
MOST_PASSES = 1e7
"""More passes than this are told as more than this [1]."""
FATIGUE = (
    "fatigue relation of highway slabs, Portland Cement Association 1984, from memory: an estimate, tests scatter by a "
    "factor of ten"
)


def wheel_sheet(
    case: Case, rolling: Mapping[str, Loading], tyres: Sequence[TyreSheet], asked: Sequence[Asked], passes: int | None
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
        gives=tuple(_gives(asked)),
        told=(*_passes(asked, passes), *_others(asked)),
        wheelbase=case.machine.wheelbase,
        places=places_of(case.machine),
    )


def _axles(machine: Machine, loads: Loading) -> Iterator[Axle]:
    for name, axle in (("drive axle", machine.drive_axle), ("steer axle", machine.steer_axle)):
        names = [tyre.name for tyre in axle.tyre]
        at_rest = sum(loads.static[one] for one in names)
        yield Axle(name, loads.setup, at_rest, max(at_rest, sum(loads.peak[one] for one in names)))


def twins_of(machine: Machine, loads: Loading, tyres: Sequence[TyreSheet]) -> Iterator[TyreSheet]:
    """Yield tyres that stand nearer to each other than they are wide as one item, with the loads of both."""
    sheets = {tyre.tyre: tyre for tyre in tyres if tyre.setup == loads.setup}
    places, kinds = places_of(machine), tyres_of(machine)
    parts = []
    for name in sheets:
        found = contact(kinds[name], loads.greatest[name])
        parts.append(Patch(name, places[name], 0.0, found.length, found.width, loads.static[name]))
    if not parts:
        return
    for _, together in clusters(parts, min(part.width for part in parts)):
        both = as_one([parts[place] for place in together], 0.0)
        own = [sheets[name] for name in both.tyres]
        peak = sum(loads.greatest[one.tyre] for one in own)
        area = both.length * both.width
        yield TyreSheet(
            tyre=both.tyre, setup=loads.setup, kind=own[0].kind, at=own[0].at,
            static_load=sum(one.static_load for one in own), peak_load=sum(one.peak_load for one in own),
            patch=(both.length, both.width), mean_pressure=peak / area,
            peak_pressure=max(one.peak_pressure for one in own), zone=own[0].zone, rolling_load=peak,
        )  # fmt: skip


def _lips(case: Case, loads: Sequence[Loading]) -> Iterator[Lip]:
    """Yield what a lip adds to each set-up's heaviest tyre: pressed further by it, before the truck has come up."""
    for each in loads:
        name = max(each.static, key=lambda one: each.static[one])
        yield Lip(name, each.setup, LIP, lifted_by(case, name, each.static[name], LIP))


def _passes(asked: Sequence[Asked], passes: int | None) -> Iterator[str]:
    """Say how often the truck may pass before a slab is expected to crack by it, at the worst tyre of each zone."""
    worst: dict[str, Asked] = {}
    for one in asked:
        if one.mode.event == CRACKS and one.situation.laid is None:
            zone = one.situation.name
            if zone not in worst or one.answer.of_strength.likely > worst[zone].answer.of_strength.likely:
                worst[zone] = one
    for zone, one in worst.items():
        span = one.answer.of_strength
        stated = "" if passes is None else f" {passes} passes are planned."
        yield (
            f"Repeated passes, {zone}: {one.answer.tyre} bends it to {digits(span.likely)} times its strength "
            f"(nine in ten draws {digits(span.low)} to {digits(span.high)}; {one.mode.name}): a crack is expected "
            f"after {_so_many(span)}.{stated} By the {FATIGUE}."
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


def _gives(asked: Sequence[Asked]) -> Iterator[Give]:
    """Yield how far each slab gives at once under the heaviest tyre that stands on it."""
    heaviest: dict[str, Asked] = {}
    for one in asked:
        if isinstance(one.situation.zone, Slab) and not one.situation.patch.members and "modulus" in one.bands:
            zone = one.situation.name
            if zone not in heaviest or one.situation.patch.load > heaviest[zone].situation.patch.load:
                heaviest[zone] = one
    for zone, one in heaviest.items():
        patch, inputs, reaction = one.situation.patch, likely(one.bands), one.bands["subgrade_reaction"]
        found = [
            interior(slab_of({**inputs, "subgrade_reaction": k}), patch.load, patch.radius).deflection
            for k in (reaction.optimistic, reaction.likely, reaction.pessimistic)
        ]
        yield Give(zone, patch.tyre, Span(*found))


def _others(asked: Sequence[Asked]) -> Iterator[str]:
    """Say what is not in the answer, and who must say."""
    zones = [one.situation.zone for one in asked]
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
        found = contact(tyres[name], max(most[name], patch.load))
        yield TyreSheet(
            tyre=name, setup=loads.setup, kind=tyres[name].kind, at=patch.at, static_load=loads.static[name],
            peak_load=loads.greatest[name], patch=(found.length, found.width), mean_pressure=found.mean_pressure,
            peak_pressure=found.peak_pressure, zone=", ".join(zones.get(name, ())),
            notes=(f"Peak: {loads.greatest_from}.", f"Patch: {found.basis}.", *found.warnings),
            rolling_load=nan if rolling is None else max(most[name], loads.greatest[name]),
        )  # fmt: skip


def spacing(machine: Machine) -> tuple[tuple[str, str, float], ...]:
    """Return how far every two tyres are apart, middle to middle [m]."""
    places = places_of(machine)
    return tuple(
        (a, b, hypot(places[a][0] - places[b][0], places[a][1] - places[b][1])) for a, b in combinations(places, 2)
    )
