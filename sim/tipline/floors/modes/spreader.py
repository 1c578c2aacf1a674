"""The ways to give with a steel plate or a timber mat between tyre and floor: what is below, and the spreader itself.

On a floor slab the concrete is the stiff layer: for punching a plate spreads a tyre's patch by 45 degrees through its
thickness and no more; for bending plate elements of plate and slab tell what is left, which for thin plates is nearly
all (a patch widened by 45 degrees would promise up to a tenth too much).

Source: [Hetenyi1946], [EN1995], [Own] (plate elements)
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from math import cos, pi, sin

from tipline.elementwise import greater, lesser, sqrt
from tipline.floors.known.of_zone import Band, timber_of
from tipline.floors.modes.cover import STEEL, plate_stress
from tipline.floors.modes.ground import GroundLayer, ground_modes
from tipline.floors.modes.mode import Factor, Inputs, Mode
from tipline.floors.modes.slab import SlabPlace, slab_modes
from tipline.floors.places.patch import Patch, as_one
from tipline.mechanics.slab import GroundSlab, relative_stiffness_radius, resisting_radius
from tipline.mechanics.spreaders import TIMBER_GRADES, effective_area, slab_patch, steel_on_soil, timber_mat
from tipline.model.plane import Point, turned
from tipline.model.spreaders import Spreader, StockItem

__all__ = [
    "SOFT_REACTION",
    "Laid",
    "Sheets",
    "gap_mode",
    "ground_modes_under",
    "on_ground",
    "own_modes",
    "patch_below",
    "plate_relief",
    "sheet_area",
    "slab_modes_under",
    "soft_modes_under",
]

TIMBER = Factor(1.44, "1.3 on the timber over 0.9 for load and moisture (EN 1995-1-1; from memory)", ("EN1995",))
THINNEST_SLAB = 0.03
"""Thinnest slab that the formulas take; thinner plates are asked as one of the same stiffness (numerical) [m]."""
STEEL_MODULUS = 210e9
"""Young's modulus of steel. Source: [EN1993]"""
START = "spreader_"
SHEET = START + "thickness"
MODULUS, STRENGTH = START + "modulus", START + "strength"
SOFT_REACTION = 2e7
"""Subgrade reaction of a soft place under a spreader where none is told (assumed: firm clay, from memory) [N/m3]."""
LEAST_SIDE = 0.02
"""How far a spreader must reach past the patch to carry all of it (our choice) [m]."""
FAR = 3.0
"""Half size of the panel of the plate elements, and how far an edge counts (numerical) [m]."""


@dataclass(frozen=True)
class Laid:
    """A spreader under a patch: what it is, its sides as they count about the patch's middle [m], its bands, its place.

    ``known``: the bands under the names that the spreader's own have.
    """

    sheet: Spreader | StockItem
    length: float
    width: float
    bands: Mapping[str, Band]
    at: Point
    heading: float
    known: Mapping[str, Band]

    @classmethod
    def about(
        cls, sheet: Spreader | StockItem, at: Point, heading: float, patch: Patch, bands: Mapping[str, Band]
    ) -> Laid:
        """Return what counts of a spreader laid at a place: as far about the patch as it reaches to the nearer side."""
        along, across = turned((patch.at[0] - at[0], patch.at[1] - at[1]), -heading)
        length, width = sheet.size[0] - 2.0 * abs(along), sheet.size[1] - 2.0 * abs(across)
        return cls(sheet, length, width, {START + name: band for name, band in bands.items()}, at, heading, bands)

    def carries(self, patch: Patch, heading: float) -> bool:
        """Whether the whole patch stands on it."""
        long, wide = _sides(patch, heading)
        return self.length >= long + LEAST_SIDE and self.width >= wide + LEAST_SIDE


def patch_below(patch: Patch, laid: Laid, thickness: float) -> Patch:
    """Return the patch under a spreader on a stiff floor: 45 degrees through its thickness."""
    wider = slab_patch(patch.length, patch.width, thickness)
    most = max(laid.length, laid.width), min(laid.length, laid.width)
    long, wide = lesser(wider.length, max(most[0], patch.length)), lesser(wider.width, max(most[1], patch.width))
    return replace(patch, length=long, width=wide)


def slab_modes_under(place: SlabPlace, laid: Laid, relief: float) -> Iterator[Mode]:
    """Yield the ways in which a slab can give under a spreader; ``relief``: part of the bending that is left."""
    patch = place.patch
    for index, mode in enumerate(slab_modes(place)):
        if mode.name == "punching":

            def punched(x: Inputs, index: int = index) -> tuple[float, float]:
                below = replace(place, patch=patch_below(patch, laid, x[SHEET]))
                return list(slab_modes(below))[index].ask(x)

            yield replace(mode, name=_under(mode, laid), inputs=(*mode.inputs, SHEET), ask=punched)
        else:

            def bent(x: Inputs, mode: Mode = mode) -> tuple[float, float]:
                demand, strength = mode.ask(x)
                return demand * relief, strength

            note = f"with the plate {relief:.2f} of the bending is left, by plate elements of plate and slab"
            if laid.sheet.kind != "steel_plate":
                note = "nothing counted for a timber mat in bending: it is soft beside concrete"
            yield replace(mode, name=_under(mode, laid), ask=bent, notes=(*mode.notes, note))


def plate_relief(place: SlabPlace, laid: Laid, slab: GroundSlab) -> float:
    """Return the part of the greatest tension that is left under a steel plate, by plate elements; 1 for a mat.

    Asked of one tyre in the middle of the plate at its thinnest, on the slab given: the thicker that is, the less
    relief.
    """
    if laid.sheet.kind != "steel_plate":
        return 1.0
    thick = laid.bands[SHEET].low
    edge = min(place.to_edge, place.to_joint, FAR)
    sides = round(laid.length, 2), round(laid.width, 2)
    patch = round(place.patch.length, 2), round(place.patch.width, 2)
    return _relief(slab, round(edge, 1), thick, sides, patch)


@lru_cache(maxsize=128)
def _relief(
    slab: GroundSlab, edge: float, thick: float, sides: tuple[float, float], patch: tuple[float, float]
) -> float:
    from tipline.mechanics import plate_fe as fe

    rule, half = fe.MeshRule(0.5, 0.2, 0.5), max(FAR, 0.5 * max(sides) + 1.0)
    wheel = fe.PlatePatch(0.0, 0.0, 5e4, *patch)
    # the special theory spreads a small patch on a thick slab: panel and plate are to hold all of that
    spread = max(resisting_radius(wheel.radius, slab.thickness) / wheel.radius, 1.0)
    long, wide = (spread * side for side in patch)
    reach = max(edge, 0.5 * wide)
    width = min(sides[1], 2.0 * reach)
    panel = fe.PlatePanel((-half, -reach), (half, half), slab)
    plate = fe.PlateSheet(0.0, 0.0, max(sides[0], long), max(width, wide), thick)
    bare, under = (fe.solve_plate(panel, [wheel], plate=sheet, thick=True, rule=rule) for sheet in (None, plate))
    worst = [max(float(solution.field.bottom.max()), float(solution.field.top.max())) for solution in (bare, under)]
    return min(worst[1] / worst[0], 1.0)


def _under(mode: Mode, laid: Laid) -> str:
    return f"{mode.name}, under {laid.sheet.name}"


def ground_modes_under(
    patch: Patch, laid: Laid, layers: tuple[GroundLayer, ...], platform: str | None, braking: float
) -> Iterator[Mode]:
    """Yield the ways in which ground can give under a spreader, on the area that its stiffness makes work."""

    def of(below: Patch) -> list[Mode]:
        return list(ground_modes(below, layers, platform, braking))

    yield from _through(patch, laid, of, lambda x: on_ground(patch, laid, x), _area_inputs(laid))
    yield from own_modes(patch, laid)


def soft_modes_under(patch: Patch, laid: Laid, soft: Callable[[Patch], Mode]) -> Iterator[Mode]:
    """Yield the ways in which a soft place, with a pressure as told, can give under a spreader."""
    inputs = _area_inputs(laid)
    yield from _through(patch, laid, lambda below: [soft(below)], lambda x: on_ground(patch, laid, x), inputs)
    yield from own_modes(patch, laid)


def _area_inputs(laid: Laid) -> tuple[str, ...]:
    """Name the inputs that say on which area ground works under a spreader."""
    return (SHEET, "subgrade_reaction", *(() if laid.sheet.kind == "steel_plate" else (MODULUS,)))


def own_modes(patch: Patch, laid: Laid) -> Iterator[Mode]:
    """Yield how the spreader itself can give on the ground."""
    inputs = _area_inputs(laid)
    if laid.sheet.kind == "steel_plate":
        strength = START + "yield_strength"
        source = "plate on springs, tyre in the middle"
        yield Mode(
            "bending of the steel plate",
            "pressure",
            "yields and stays dished",
            STEEL,
            source,
            (*inputs, strength),
            lambda x: (_steel(patch, laid, x)[1], x[strength]),
            arrays=True,
        )
        return
    notes = () if laid.sheet.grade in TIMBER_GRADES else ("grade not known: taken weaker than C24 (our choice)",)
    source = "timber beam on springs, EN 338 grades; from memory"
    yield Mode(
        "timber of the mat",
        "ratio",
        "breaks",
        TIMBER,
        source,
        (*inputs, STRENGTH),
        lambda x: (_timber(patch, laid, x)[1], x[STRENGTH]),
        notes,
        arrays=True,
    )


def gap_mode(patch: Patch, laid: Laid) -> Mode:
    """Return bending of a steel plate over an opening of a ``span``, the cover below counted as nothing."""
    strength = START + "yield_strength"
    width = max(laid.width, min(patch.length, patch.width))
    return Mode(
        "steel plate over the opening",
        "pressure",
        "yields and sags",
        STEEL,
        "one-way span, as wide as the patch and half the span (common practice, no source)",
        (SHEET, strength, "span"),
        lambda x: (plate_stress(patch, x[SHEET], x["span"], width), x[strength]),
        ("the cover below is counted as nothing", "keep it from sliding: fix it, or bed it"),
        arrays=True,
    )


def _through(
    patch: Patch,
    laid: Laid,
    of: Callable[[Patch], list[Mode]],
    below: Callable[[Inputs], Patch],
    inputs: tuple[str, ...],
) -> Iterator[Mode]:
    """Yield the modes of what is below, asked with the patch that a spreader makes of the tyre's."""
    for index, mode in enumerate(of(patch)):

        def ask(x: Inputs, index: int = index) -> tuple[float, float]:
            return of(below(x))[index].ask(x)

        name = _under(mode, laid)
        used = (*mode.inputs, *(new for new in inputs if new not in mode.inputs))
        yield replace(mode, name=name, inputs=used, ask=ask)


def on_ground(patch: Patch, laid: Laid, x: Inputs) -> Patch:
    """Return a patch of the area that works under a spreader, long where it is; never less than under the bare tyre."""
    area = _steel(patch, laid, x)[0] if laid.sheet.kind == "steel_plate" else _timber(patch, laid, x)[0]
    area = greater(area, patch.area)
    width = lesser(sqrt(area), laid.length, laid.width)
    width = greater(width, min(patch.length, patch.width))
    heading = laid.heading if laid.length >= laid.width else laid.heading + 0.5 * pi
    return replace(patch, length=area / width, width=width, heading=heading, members=())


class Sheets:
    """Several spreaders, or some and bare tyres, that press on one floor together.

    patch: of all, its members what stands on each; laids: the spreader under each member, None where it stands bare.
    """

    def __init__(self, patch: Patch, laids: Sequence[Laid | None]) -> None:
        self.patch, self.parts = patch, tuple(zip(patch.members, laids, strict=True))

    @property
    def bands(self) -> dict[str, Band]:
        """The bands of all of them, under the spreader's name and their own."""
        return {
            f"{laid.sheet.name} {name}": band
            for _, laid in self.parts
            if laid is not None
            for name, band in laid.bands.items()
        }

    def slab_modes(self, place: SlabPlace) -> Iterator[Mode]:
        """Yield the ways in which a slab can give under all of them at once."""

        def of(below: Patch) -> list[Mode]:
            return list(slab_modes(replace(place, patch=below)))

        yield from self._through(of, lambda part, laid, x: patch_below(part, laid, x[SHEET]), ())

    def ground_modes(self, layers: tuple[GroundLayer, ...], platform: str | None, braking: float) -> Iterator[Mode]:
        """Yield the ways in which ground can give under all of them at once."""

        def of(below: Patch) -> list[Mode]:
            return list(ground_modes(below, layers, platform, braking))

        yield from self._through(of, on_ground, ("subgrade_reaction",))

    def _through(
        self,
        of: Callable[[Patch], list[Mode]],
        below: Callable[[Patch, Laid, Inputs], Patch],
        shared: tuple[str, ...],
    ) -> Iterator[Mode]:
        def together(x: Inputs) -> Patch:
            parts = [part if laid is None else below(part, laid, _own(laid, x)) for part, laid in self.parts]
            return as_one(parts, self.patch.heading)

        inputs = (*self.bands, *shared)
        for index, mode in enumerate(of(self.patch)):

            def ask(x: Inputs, index: int = index) -> tuple[float, float]:
                return of(together(x))[index].ask(x)

            used = (*mode.inputs, *(new for new in inputs if new not in mode.inputs))
            yield replace(mode, name=f"{mode.name}, with spreaders", inputs=used, ask=ask)


def _own(laid: Laid, x: Inputs) -> dict[str, float]:
    """Return inputs with those of one of several spreaders under the names that all have."""
    return {**x, **{name: x[f"{laid.sheet.name} {name}"] for name in laid.bands}}


def _steel(patch: Patch, laid: Laid, x: Inputs) -> tuple[float, float]:
    """Return working area [m2] and bending stress [Pa] of a steel plate on springs.

    Plates thinner than the formulas' slab are asked as one of its least thickness and the same bending stiffness.
    """
    thick = x[SHEET]
    used = greater(thick, THINNEST_SLAB)
    plate = GroundSlab(used, STEEL_MODULUS * (thick / used) ** 3, 0.3, x["subgrade_reaction"])
    short = min(laid.length, laid.width)
    radius = min(patch.radius, 0.499 * short)
    working = steel_on_soil(patch.load, plate, laid.length, laid.width, radius, 0.5 * short)
    return working.area, working.stress * (used / thick) ** 2


def _timber(patch: Patch, laid: Laid, x: Inputs) -> tuple[float, float]:
    """Return working area [m2] and the worst stress over the 5 % value of its grade [1] of a timber mat on springs."""
    sheet = laid.sheet
    patch = _squared(patch, laid.heading)
    together = getattr(sheet, "joined", "loose") in ("glued", "bolted")
    width = laid.width if together else min(laid.width, patch.width)
    timber, _ = timber_of(sheet.grade)
    mat = timber_mat(
        patch.load,
        laid.length,
        min(patch.length, 0.95 * laid.length),
        patch.width,
        width,
        x[SHEET],
        x["subgrade_reaction"],
        timber._replace(modulus=x[MODULUS]),
        1.0,
        1.0,
        bool(getattr(sheet, "worn", False)),
    )
    return patch.load / mat.pressure, greater(mat.bending, mat.shear, mat.across)


def sheet_area(sheet: Spreader, patch: Patch | None) -> float:
    """Return the area that works under the whole of a spreader on a soft place, the tyre in its middle [m2]."""
    area = sheet.size[0] * sheet.size[1]
    if sheet.kind == "steel_plate":
        plate = GroundSlab(sheet.thickness, STEEL_MODULUS, 0.3, SOFT_REACTION)
        return effective_area(area, relative_stiffness_radius(plate))
    if patch is None:
        return area
    timber, _ = timber_of(sheet.grade)
    x = {SHEET: sheet.thickness, MODULUS: timber.modulus, "subgrade_reaction": SOFT_REACTION}
    middle = replace(patch, at=sheet.at, heading=sheet.heading)
    return min(_timber(middle, Laid.about(sheet, sheet.at, sheet.heading, middle, {}), x)[0], area)


def _squared(patch: Patch, heading: float) -> Patch:
    """Return a patch with its length along a heading, or across where it lies rather so."""
    if abs(sin(patch.heading - heading)) < abs(cos(patch.heading - heading)):
        return patch
    return replace(patch, length=patch.width, width=patch.length, heading=heading)


def _sides(patch: Patch, heading: float) -> tuple[float, float]:
    """Return a patch's sides along and across a heading, the larger of what the turn makes of them."""
    x, y = turned((1.0, 0.0), patch.heading - heading)
    return abs(x) * patch.length + abs(y) * patch.width, abs(y) * patch.length + abs(x) * patch.width
