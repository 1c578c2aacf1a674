"""How the floor answers the tyres in a simulation: from what is told of it to the laws that are stepped.

Expected strength only, never the planning limit: the likely values of the bands, or one draw between their ends. A
slab holds up to the least load at which a tyre near that place is expected to break it; covers likewise; ground yields
at its expected bearing pressure; asphalt creeps only where an indentation test was made. What nobody knows (a
suspended floor, something unknown below) is simulated as holding, and says so.

Source: [Own], from the formulas of `modes`
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import atan2, cos, hypot, inf, isfinite, sin
from typing import TYPE_CHECKING, NamedTuple

from tipline.floors.known.bands import ZoneBands
from tipline.floors.known.of_zone import spreader_bands
from tipline.floors.known.ratio import drawn, likely
from tipline.floors.laws.plug import NEAR_JOINT, SOIL, let_down
from tipline.floors.laws.soil_line import BOTTOM, SoilLine, sheet_line, tyre_line
from tipline.floors.modes.evidence import bands_of, left_likely
from tipline.floors.modes.mode import Inputs
from tipline.floors.modes.of_zone import modes_of
from tipline.floors.modes.situation import Situation, situations
from tipline.floors.modes.slab import slab_of
from tipline.floors.modes.spreader import Laid, sheet_area
from tipline.floors.places.driven import driven_places, hardest_turn
from tipline.floors.places.loads import loading, places_of, stepped_areas, tyres_of
from tipline.floors.places.zones import Side, cavity_radius, name_of, sides_of
from tipline.geometry.ground import EVERYWHERE, ZoneLaw, friction_over, soft_laws, zone_laws
from tipline.mechanics.asphalt_creep import calibrate_creep, creep_rate
from tipline.mechanics.slab import interior
from tipline.model.asphalt import Asphalt
from tipline.model.cover import Cover
from tipline.model.floor import OPENINGS
from tipline.model.ground import Ground
from tipline.model.plane import Outline, Rectangle, nearest_sides, rectangle_of
from tipline.model.slab import Slab, Suspended
from tipline.printable import spoken_of
from tipline.scenario.driving import travelled
from tipline.units import MILLIMETRE

if TYPE_CHECKING:
    from tipline.floors.places.patch import Patch
    from tipline.model.floor import Floor, Material, Zone
    from tipline.model.machine import TyreKind
    from tipline.model.spreaders import Spreader
    from tipline.scenario import Case

__all__ = ["FloorLaws", "floor_laws", "places_met", "singly"]

BREAKS = ("breaks through in bending", "lets a plug through", "gives way", "yields and sags")
ALONG = 0.25
"""Step along the way for which the floor is asked [m] (our choice: a patch's length, numerical)."""
FARTHEST = 40.0
"""No more of a way is asked than this [m] (our choice: time)."""
BEYOND = 0.5
"""How far beyond the way that is commanded the floor is asked: a braked truck slides on (our choice) [m]."""
WITHIN = 1.2
"""How much farther apart than at rest tyres may stand and still count as together (our choice)."""
CORNER = 0.4
"""Side of the square about a tyre near a corner that answers as that tyre there is asked (our choice) [m]."""
PLUG_RESISTANCE = 2.5e4
"""Damping of what has broken out [N s/m]: it comes to rest without a rebound (assumed)."""
SOIL_SPEED = 0.01
"""Sinking speed at twice the bearing pressure (assumed) [m/s]."""
UNKNOWN_COVER_DEPTH = 0.5
"""How deep it is below a cover where that is not told [m] (assumed, and said)."""


@dataclass(frozen=True)
class FloorLaws:
    """The laws in the order the kernels want them (later ones on top), and what a reader should know."""

    zones: tuple[ZoneLaw, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True)
class _MakingLaws:
    """What the laws are made from: the tyres' places, what was drawn by zone; notes are added to."""

    case: Case
    met: Sequence[Situation]
    drawn: Mapping[str, Mapping[str, float]]
    notes: list[str]

    @property
    def floor(self) -> Floor:
        return self.case.floor

    @property
    def kind(self) -> TyreKind:
        """Kind of the tyres that drive and brake: friction counts against them."""
        return self.case.machine.drive_axle.tyre[0].kind

    def known(self, part: Zone | Material) -> tuple[ZoneBands, Mapping[str, float]]:
        """Return what is known of a part, and what stands for its likely inputs: drawn, or left by what it carried."""
        bands = bands_of(part, self.floor)
        return bands, self.drawn.get(bands.name) or left_likely(bands)

    def line(self, met: Sequence[Situation], bands: ZoneBands, draw: Inputs) -> SoilLine:
        """Return the line along which ground yields under the tyres that meet it."""
        radii = {name: tyre.diameter / 2 for name, tyre in tyres_of(self.case.machine).items()}
        areas = stepped_areas(self.case, {situation.patch.tyre: situation.patch.load for situation in singly(met)})
        return tyre_line(met, bands, draw, radii, areas)


def floor_laws(
    case: Case,
    draw: Mapping[str, Mapping[str, float]] | None = None,
    met: Sequence[Situation] | None = None,
    *,
    compiled: bool = False,
) -> FloorLaws:
    """Return how a case's floor answers its tyres, standing and along the way ahead of it.

    draw: inputs by zone and name that stand for the likely ones, for runs over the range of what is not known. met:
    the tyres' places, from `places_met` of this case, where they are known already. compiled: find the tyre loads by
    the compiled kernels, for many cases; the same to rounding.

    Raises
    ------
    NumericalError
        The tyre loads at rest could not be computed.
    InputError
        A soft zone is no rectangle.
    """
    floor = case.floor
    parts = (floor.elsewhere, *floor.zone)
    if not floor.spreader and not any(isinstance(part, Slab | Ground | Asphalt | Cover | Suspended) for part in parts):
        return FloorLaws(zone_laws(floor, case.machine.drive_axle.tyre[0].kind), ())
    situations_met = list(places_met(case, compiled=compiled)) if met is None else met
    laws: list[ZoneLaw] = []
    asking = _MakingLaws(case, situations_met, draw or {}, [])
    for part in sorted(parts, key=lambda each: each.kind in OPENINGS):
        place = _place(part)
        if place is None:
            asking.notes.append(f"{name_of(part)} is no rectangle: simulated as holding")
        else:
            laws += _laws(part, place, asking)
    laws += soft_laws(floor, asking.kind)
    for sheet in floor.spreader:
        laws.append(_spreader(sheet, laws, asking))
    return FloorLaws(tuple(laws), tuple(dict.fromkeys(asking.notes)))


def places_met(case: Case, *, compiled: bool = False) -> Iterator[Situation]:
    """Yield the situations of all tyres where the truck stands and along the way ahead."""
    way = travelled(case.inputs)
    turn = hardest_turn(case.scenario, case.machine) if way != (0.0, 0.0) else None
    loads = loading(case, "as simulated", moving=way != (0.0, 0.0), turning=turn, compiled=compiled)
    if not loads.stands:
        return
    most = FARTHEST - BEYOND
    reach = max(way[0], -most) - BEYOND * (way[0] < 0.0), min(way[1], most) + BEYOND * (way[1] > 0.0)
    standings = driven_places(case.inputs, reach, ALONG)
    yield from situations(case.floor, loads, standings, places_of(case.machine), tyres_of(case.machine))


def _place(part: Zone | Material) -> Rectangle | None:
    """Return a part's rectangle; the main floor is one without end."""
    corners: Outline | None = getattr(part, "corners", None)
    if corners is None:
        return Rectangle((0.0, 0.0), 0.0, (2 * EVERYWHERE, 2 * EVERYWHERE))
    return rectangle_of(corners)


def _laws(part: Zone | Material, place: Rectangle, asking: _MakingLaws) -> Iterator[ZoneLaw]:
    """Yield the laws of one part, as it is beside what is laid on it."""
    name, floor, notes = name_of(part), asking.floor, asking.notes
    met = [situation.bare for situation in asking.met if situation.name == name]
    base = ZoneLaw(name, place.middle, place.heading, place.size, friction=friction_over(part, floor, asking.kind))
    if not met or not isinstance(part, Slab | Ground | Asphalt | Cover):
        if isinstance(part, Suspended) and met:
            notes.append(f"{name}: no strength known, simulated as holding")
        yield base
        return
    bands, draw = asking.known(part)
    if bands.refused and not isinstance(part, Cover):
        notes.append(f"{name}: no strength known, simulated as holding")
        yield base
    elif isinstance(part, Slab):
        yield from _slab(part, base, met, bands, draw, notes, floor)
    elif isinstance(part, Ground):
        yield _yielding(base, asking.line(met, bands, draw), notes)
    elif isinstance(part, Asphalt):
        yield _asphalt(part, base, met, bands, notes)
    else:
        depth = part.depth if part.depth is not None else UNKNOWN_COVER_DEPTH
        if part.depth is None:
            notes.append(f"{name}: falls {UNKNOWN_COVER_DEPTH:g} m, assumed")
        yield _holding(base, _strength(met, bands, draw), depth, whole=True)


def _holding(base: ZoneLaw, strength: Strength, depth: float, *, whole: bool = False) -> ZoneLaw:
    """Return a part that holds up to a tyre load; one that nothing is expected to break is firm."""
    if not isfinite(min(strength.alone, strength.together)):
        return base
    return replace(
        base, law="holds", strength=strength.alone, together=strength.together, reach=strength.reach,
        among=strength.among, depth=depth, whole=whole, friction_force=0.0, resistance=PLUG_RESISTANCE,
    )  # fmt: skip


class Strength(NamedTuple):
    """The load at which a part breaks under one tyre, and under so many within a reach of each other [N, N, m, 1]."""

    alone: float = inf
    together: float = inf
    reach: float = 0.0
    among: int = 1


def _strength(met: Sequence[Situation], bands: ZoneBands, draw: Inputs) -> Strength:
    """Return the loads at which a part breaks under the tyre, and under the tyres together, that come nearest to it.

    A light tyre on a small patch would break it at less, but has not got that much.
    """
    nearest = _nearest_to_breaking(singly(met), bands, draw)
    several = _nearest_to_breaking([situation for situation in met if situation.patch.members], bands, draw)
    alone = Strength() if nearest is None else Strength(nearest[0])
    if several is None or not isfinite(several[0]):
        return alone
    load, patch = several
    return alone._replace(together=load, reach=WITHIN * patch.across, among=len(patch.singles))


def _nearest_to_breaking(met: Iterable[Situation], bands: ZoneBands, draw: Inputs) -> tuple[float, Patch] | None:
    """Return the patch whose load is nearest to that at which the floor breaks under it, and that load [N]."""
    patches = [(_breaking_load(situation, bands, draw), situation.patch) for situation in met]
    return min(patches, key=lambda load_and_patch: load_and_patch[0] / load_and_patch[1].load, default=None)


def singly(met: Iterable[Situation]) -> list[Situation]:
    """Return the situations of one tyre each."""
    return [situation for situation in met if not situation.patch.members]


def _breaking_load(situation: Situation, bands: ZoneBands, draw: Inputs) -> float:
    """Return the least load of this patch, here, at which the floor is expected to let it through [N]."""
    least = inf
    for mode, known in modes_of(situation, bands):
        if mode.event not in BREAKS:
            continue
        demand, strength = mode.ask(drawn(known, bands, draw))
        if demand > 0.0:
            least = min(least, situation.patch.load * strength / demand)
    return least


def _slab(
    slab: Zone | Material,
    base: ZoneLaw,
    met: list[Situation],
    bands: ZoneBands,
    draw: Inputs,
    notes: list[str],
    floor: Floor,
) -> Iterator[ZoneLaw]:
    """Yield the slab inside, then strips along joints and rectangles over cavities, each with its strength."""
    assert isinstance(slab, Slab)
    fair = likely(bands.bands) | dict(draw)
    heaviest = max(singly(met), key=lambda situation: situation.patch.load)
    sag = interior(slab_of(fair), heaviest.patch.load, heaviest.patch.radius).deflection
    base = replace(base, stiffness=heaviest.patch.load / sag)
    beside = [situation for situation in met if not situation.near.over]
    inside = [situation for situation in beside if situation.near.joint >= NEAR_JOINT]
    plain = _strength(inside or met, bands, draw)
    yield _holding(base, plain, _down(inside or met, fair, plain.alone))
    for where, near in _weak_places(base, sides_of(floor, slab), beside):
        strength = _strength(near, bands, draw)
        yield _holding(where, strength, _down(near, fair, strength.alone))
    over = [situation for situation in met if situation.near.over]
    for index, hollow in enumerate(slab.cavity):
        near = [situation for situation in over if situation.near.cavity_index == index]
        if not near:
            continue
        side = 2.0 * (cavity_radius(hollow) + 0.1)
        depth = hollow.depth if hollow.depth is not None else bands.cavity_depths[index].likely
        where = replace(base, name=hollow.name, middle=hollow.at, heading=hollow.heading, size=(side, side))
        yield _holding(where, _strength(near, bands, draw), depth)
    if isfinite(min(plain.alone, plain.together)):
        notes.append(_told_down(base.name, inside or met, bands, fair, plain.alone))


def _down(met: Iterable[Situation], inputs: Inputs, strength: float) -> float:
    """Return how far down the tyre goes that goes deepest once it has broken the slab [m].

    Where only tyres that act together are met there, those count as they stand.
    """
    known = list(met)
    alone = {situation.patch.tyre: situation for situation in singly(known) or known}
    return max(let_down(situation, inputs, strength) for situation in alone.values())


def _told_down(name: str, met: Sequence[Situation], bands: ZoneBands, inputs: Inputs, strength: float) -> str:
    """Say how deep a tyre goes where a slab breaks over soil: likely, and with the soil at either end in all of it."""
    soil = {key: band for key, band in bands.bands.items() if key.startswith(SOIL)}
    better, worse = (
        _in_mm(_down(met, {**inputs, **{key: getattr(band, end) for key, band in soil.items()}}, strength))
        for end in ("optimistic", "pessimistic")
    )
    expected = _in_mm(_down(met, inputs, strength))
    return (
        f"{spoken_of(name)}: where it breaks, a tyre goes down likely {expected} mm, {better} mm to {worse} mm by the "
        "soil alone. There the soil bears what is punched out, by bearing formulas (own derivation)"
    )


def _in_mm(depth: float) -> str:
    return f"{depth / MILLIMETRE:.0f}" if depth >= 0.00995 else f"{depth / MILLIMETRE:.1g}"


def _weak_places(
    base: ZoneLaw, sides: Sequence[tuple[str, Side]], met: list[Situation]
) -> Iterator[tuple[ZoneLaw, list[Situation]]]:
    """Yield strips along joints and edges, then small squares near corners, each with the tyres that pass there."""
    for kind, (a, b) in sides:
        near = [
            situation
            for situation in met
            if situation.near.other_joint >= NEAR_JOINT > nearest_sides(situation.patch.at, [(a, b)])[0]
        ]
        if near:
            middle, heading = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2), atan2(b[1] - a[1], b[0] - a[0])
            size = (hypot(b[0] - a[0], b[1] - a[1]), 2 * NEAR_JOINT)
            yield replace(base, name=f"{base.name}, {kind}", middle=middle, heading=heading, size=size), near
    for situation in singly(met):
        if situation.near.other_joint < NEAR_JOINT:
            place, size = situation.patch.at, (CORNER, CORNER)
            where = replace(base, name=f"{base.name}, corner", middle=place, heading=situation.patch.heading, size=size)
            together = (each for each in met if each.patch.members and situation.patch in each.patch.singles)
            yield where, [situation, *together]


def _yielding(base: ZoneLaw, line: SoilLine, notes: list[str]) -> ZoneLaw:
    """Return ground that yields along a line."""
    notes.append(
        f"{base.name}: yields at {line.start / 1e3:.3g} kPa, at {line.at(line.knee) / 1e3:.3g} kPa once "
        f"{line.knee / MILLIMETRE:.0f} mm down, by bearing formulas at depth (own derivation); "
        f"sinks at {SOIL_SPEED / MILLIMETRE:g} mm/s at twice that pressure, assumed"
    )
    return replace(base, law="soft", soil=(line.start, line.growth, SOIL_SPEED, BOTTOM), knee=(line.knee, line.after))


def _asphalt(asphalt: Asphalt, base: ZoneLaw, met: list[Situation], bands: ZoneBands, notes: list[str]) -> ZoneLaw:
    """Return asphalt that creeps as the user's own test says; without a test it is firm, and that is said."""
    if not asphalt.indentation:
        notes.append(f"{base.name}: no indentation test, so no creep is simulated; warm asphalt softens")
        return base
    first = asphalt.indentation[0]
    patch = max(singly(met), key=lambda situation: situation.patch.pressure).patch
    try:
        law = calibrate_creep(
            [reading.after for reading in asphalt.indentation],
            [reading.depth for reading in asphalt.indentation],
            first.pressure,
            first.stamp_diameter / 2,
            first.surface_temperature,
        )
        rate, scale = creep_rate(law, patch.pressure, patch.radius, bands["surface_temperature"].likely)
    except ValueError as error:
        notes.append(f"{base.name}: {error}; no creep is simulated")
        return base
    thickness = bands["thickness"].likely
    return replace(base, law="creeps", soil=(rate / (patch.pressure * 1e-6), 1.0, scale, thickness))


def _spreader(sheet: Spreader, laws: Sequence[ZoneLaw], asking: _MakingLaws) -> ZoneLaw:
    """Return a plate or mat as what lies under its middle answers it.

    On ground that yields it sinks as one, on the area that its stiffness spreads to. On a slab or a cover the tyre
    load that breaks through is that with the spreader, by the same formulas that `demand` asks.
    """
    floor = asking.floor
    friction = min(sheet.friction, sheet.friction_below) / floor.friction.against(asking.kind)
    below = [law for law in laws if _covers(law, sheet.at)]
    law = ZoneLaw(sheet.name, sheet.at, sheet.heading, sheet.size, friction=friction)
    if not below:
        return law
    under = replace(below[-1], name=sheet.name, middle=sheet.at, heading=sheet.heading, size=sheet.size)
    on = [situation for situation in asking.met if situation.laid is not None and situation.laid.sheet is sheet]
    if under.law == "holds" and on:
        strength = _strength(on, *asking.known(on[0].zone))
        return replace(
            _holding(replace(under, law="firm"), strength, under.depth, whole=under.whole), friction=friction
        )
    if under.law != "soft":
        return replace(under, friction=friction)
    line, area = _under_sheet(sheet, under, on, asking)
    asking.notes.append(f"{sheet.name}: spreads to {area:.2g} m2 by its stiffness, counted once for all tyres on it")
    soil = (line.start, line.growth, *under.soil[2:])
    return replace(law, law="soft", whole=True, area=area, soil=soil, knee=(line.knee, line.after))


def _under_sheet(
    sheet: Spreader, under: ZoneLaw, on: Sequence[Situation], asking: _MakingLaws
) -> tuple[SoilLine, float]:
    """Return the line of the ground under a spreader and the area that works [m2]; of a soft place the line as told."""
    as_told = SoilLine(under.soil[0], under.soil[1], *under.knee)
    near = on or [_as_if_on(sheet, situation, asking.floor) for situation in singly(asking.met)]
    ground = [
        situation
        for situation in near
        if isinstance(situation.zone, Ground) and situation.zone is asking.floor.part_at(sheet.at)
    ]
    if ground:
        return sheet_line(ground, *asking.known(ground[0].zone))
    return as_told, sheet_area(
        sheet, max((situation.patch for situation in near), key=lambda patch: patch.load, default=None)
    )


def _as_if_on(sheet: Spreader, situation: Situation, floor: Floor) -> Situation:
    """Return a tyre in the middle of a spreader that no tyre is expected on."""
    patch = replace(situation.patch, at=sheet.at, heading=sheet.heading)
    return replace(
        situation, patch=patch, laid=Laid.about(sheet, sheet.at, sheet.heading, patch, spreader_bands(sheet, floor))
    )


def _covers(law: ZoneLaw, at: tuple[float, float]) -> bool:
    dx, dy = at[0] - law.middle[0], at[1] - law.middle[1]
    u = cos(law.heading) * dx + sin(law.heading) * dy
    v = -sin(law.heading) * dx + cos(law.heading) * dy
    return abs(u) <= law.size[0] / 2 and abs(v) <= law.size[1] / 2
