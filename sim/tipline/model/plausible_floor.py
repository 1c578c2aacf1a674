"""What of a floor, or of a stock of spreaders, cannot be, and what is unusual.

Where no source is named the bounds are our own choice (common practice, no source): wide enough for real halls, yards
and sites, narrow enough for a slip by ten, of a unit or of a meaning to lie outside.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import prod, radians

from tipline.mechanics.soils import soil_class
from tipline.model.asphalt import Asphalt
from tipline.model.cover import Cover
from tipline.model.floor import Floor
from tipline.model.plausible import SLIP, Rule, Usual, outside
from tipline.model.plausible_machine import FRICTION, STEEL
from tipline.model.positions import Path
from tipline.model.problems import Finding
from tipline.model.quantities import Spec
from tipline.model.slab import Slab
from tipline.model.spreaders import Stock
from tipline.model.words import NOT_KNOWN
from tipline.units import STANDARD_GRAVITY as G
from tipline.units import show

__all__ = ["FLOOR_RULES", "SOFT", "STOCK_RULES"]

BOTTOMLESS = 50.0
"""Deeper [m] than any pit or cellar under a floor that a truck drives on (our choice)."""
THICKEST = 2.0
"""Thickest asphalt [m], four times what is laid (our choice)."""
MOST_TYRES = 64
"""Tyres of the longest trailers for heavy goods on roads (common practice, no source)."""
_AWAY = 3.0
"""So many times beyond the band of a soil's word a figure is asked about: our choice, words are stretched by two."""
_BANDS = {
    "cbr": ("cbr", "ratio"),
    "subgrade_reaction": ("reaction", "subgrade_reaction"),
    "undrained_strength": ("undrained_strength", "pressure"),
}
"""Figures that a soil's word stands for: their names there, and what they are."""
TIMBER = 1100.0
"""Density of the heaviest timber that mats are made of [kg/m3] (EN 338 D70, from memory)."""

SOFT = (
    Usual("bearing_pressure", 1e4, 5e6, "the usual pressure at which ground yields"),
    Usual("hardening", 0.0, 2e8, "the usual hardening"),
    Usual("rate_speed", 1e-5, 1.0, "the usual rate"),
    Usual("most_depth", 0.02, 3.0, "the usual depth of soft ground"),
)
_ANSWERED = (
    Usual("friction.solid", *FRICTION, "the usual friction of a tyre"),
    Usual("friction.band", *FRICTION, "the usual friction of a tyre"),
    Usual("friction.pneumatic", *FRICTION, "the usual friction of a tyre"),
    Usual("posted", 1e3, 1.5e5, "the usual posted load"),
    Usual("allowed_wheel_load", 2e3, 1e6, "the usual wheel load that is allowed"),
    Usual("allowed_wheel_patch", 1e-3, 2.0, "the usual patch of a wheel"),
    Usual("cbr", 0.01, 1.2, "the usual bearing ratio"),
    Usual("subgrade_reaction", 5e6, 4e8, "the usual subgrade reaction"),
)
_SOIL = (
    Usual("thickness", 0.03, 40.0, "the usual thickness of a layer"),
    Usual("undrained_strength", 4e3, 6e5, "the usual undrained strength"),
    Usual("cohesion", 0.0, 2e5, "the usual cohesion"),
    Usual("friction_angle", radians(15.0), radians(50.0), "the usual friction angle"),
    Usual("unit_weight", 1.0e4, 2.5e4, "the usual unit weight of soil"),
    Usual("stiffness", 3e5, 1e9, "the usual stiffness of soil"),
)


def _under(owner: str, rows: tuple[Usual, ...]) -> tuple[Usual, ...]:
    return tuple(Usual(f"{owner}.{row.keys}", row.low, row.high, row.why) for row in rows)


_BY_KIND: dict[str, tuple[Usual, ...]] = {
    "rigid": (*_ANSWERED, Usual("depth", 0.0, 1.5, "the usual depth of a lower floor")),
    "soft": (*_ANSWERED, *SOFT),
    "hole": (Usual("depth", 0.01, 6.0, "the usual depth of a pit"),),
    "slab": (
        *_ANSWERED,
        Usual("thickness", 0.08, 0.6, "the usual thickness of a floor slab"),
        Usual("concrete", 1.2e7, 7e7, "the usual strength of a floor's concrete"),
        Usual("steel_area", 5e-5, 8e-3, "the usual steel area"),
        Usual("steel_yield", 2e8, 7e8, "the usual yield strength of reinforcement"),
        Usual("fibre_residual", 2e5, 1e7, "the usual residual strength of fibre concrete"),
        Usual("joint.*.opening", 0.0, 0.006, "the usual opening of a joint"),
        Usual("cavity.*.radius", 0.05, 10.0, "the usual radius of a cavity"),
        Usual("cavity.*.size.*", 0.05, 20.0, "the usual size of a cavity"),
        Usual("cavity.*.depth", 0.005, 5.0, "the usual depth of a cavity"),
    ),
    "suspended": (
        *_ANSWERED,
        Usual("thickness", 0.08, 1.5, "the usual thickness of a suspended floor"),
        Usual("span", 1.0, 25.0, "the usual span"),
        Usual("drop", 0.2, 15.0, "the usual height of a storey"),
    ),
    "asphalt": (
        *_ANSWERED,
        Usual("thickness", 0.02, 0.5, "the usual thickness of asphalt"),
        Usual("stiffness", 2e8, 4e10, "the usual stiffness of asphalt"),
        Usual("base.thickness", 0.05, 1.5, "the usual thickness of a base"),
        Usual("base.stiffness", 2e7, 3e10, "the usual stiffness of a base"),
        Usual("air_temperature", 243.15, 323.15, "the usual temperature of the air"),
        Usual("indentation.*.depth", 0.0, 0.1, "the usual depth of an indentation"),
        Usual("indentation.*.pressure", 1e5, 2e7, "the usual pressure of an indentation test"),
        Usual("indentation.*.stamp_diameter", 0.005, 0.6, "the usual diameter of a stamp"),
    ),
    "ground": (
        *_ANSWERED,
        *_under("layer.*", _SOIL),
        *_under("platform", _SOIL),
        Usual("platform.thickness", 0.1, 3.0, "the usual thickness of a platform"),
        Usual("water_table", 0.0, 60.0, "the usual depth of the water table"),
    ),
    "cover": (
        *_ANSWERED,
        Usual("plate_thickness", 0.003, 0.08, "the usual thickness of a plate over an opening"),
        Usual("span", 0.1, 3.0, "the usual clear opening under a cover"),
        Usual("other_span", 0.1, 6.0, "the usual length of a plate's clear opening"),
        Usual("bar_depth", 0.015, 0.2, "the usual depth of a grating's bar"),
        Usual("bar_thickness", 0.002, 0.02, "the usual thickness of a grating's bar"),
        Usual("bar_pitch", 0.01, 0.15, "the usual way from bar to bar of a grating"),
        Usual("bearing", 0.01, 0.6, "the usual bearing of a cover"),
        Usual("depth", 0.1, 6.0, "the usual depth of a trench or pit"),
    ),
}
_SIDES = (0.4, 12.0)
_SHEET: dict[str, tuple[Usual, ...]] = {
    "steel_plate": (
        Usual("thickness", 0.003, 0.08, "the usual thickness of a steel plate"),
        Usual("size.*", *_SIDES, "the usual side of a plate"),
        Usual("friction", 0.05, 0.9, "the usual friction on steel"),
        Usual("friction_below", 0.05, 1.2, "the usual friction under steel"),
    ),
    "timber_mat": (
        Usual("thickness", 0.02, 0.5, "the usual thickness of a timber mat"),
        Usual("size.*", *_SIDES, "the usual side of a mat"),
        Usual("friction", 0.05, 0.9, "the usual friction on timber"),
        Usual("friction_below", 0.05, 1.2, "the usual friction under timber"),
    ),
}
_FLOOR = (
    *_ANSWERED[:3],
    Usual("slope", 0.0, 0.22, "the usual slope of a floor"),
    Usual("past_load.*.pressure", 1e5, 6e6, "the usual pressure under a tyre"),
)


def _parts(floor: Floor) -> Iterator[tuple[Path, Spec]]:
    yield ("elsewhere",), floor.elsewhere
    for index, zone in enumerate(floor.zone):
        yield ("zone", index), zone


def _usual(floor: Floor) -> Iterator[Finding]:
    yield from outside(floor, _FLOOR)
    for path, part in _parts(floor):
        yield from outside(part, _BY_KIND[part.kind], path)  # type: ignore[attr-defined]
    for index, sheet in enumerate(floor.spreader):
        yield from outside(sheet, _SHEET[sheet.kind], ("spreader", index))


def _bottomless(floor: Floor) -> Iterator[Finding]:
    for path, part in _parts(floor):
        for key in ("depth", "drop"):
            depth = getattr(part, key, None)
            if depth is not None and depth > BOTTOMLESS:
                reason = f"is deeper than {show(BOTTOMLESS, 'length')}, and a truck is lost at a tenth of that"
                yield Finding((*path, key), reason, SLIP)


def _thick_asphalt(floor: Floor) -> Iterator[Finding]:
    for path, part in _parts(floor):
        if isinstance(part, Asphalt) and part.thickness is not None and part.thickness > THICKEST:
            yield Finding((*path, "thickness"), f"must be at most {show(THICKEST, 'length')}", f'{SLIP}, as "140 mm"')


def _steel_too_high(floor: Floor) -> Iterator[Finding]:
    for path, part in _parts(floor):
        if not isinstance(part, Slab) or part.steel_depth is None or part.thickness is None:
            continue
        if part.steel_depth < 0.1 * part.thickness:
            reason = f"is nearly at the top of a slab {show(part.thickness, 'length')} thick"
            yield Finding((*path, "steel_depth"), reason, "Give how deep the lower mesh lies under the top")


def _years(floor: Floor) -> Iterator[Finding]:
    for path, part in _parts(floor):
        if isinstance(part, Slab) and part.built is not None and not 1880 <= part.built <= 2100:
            yield Finding((*path, "built"), "concrete floors have been built since about 1880", "Correct the year")


def _zone_size(floor: Floor) -> Iterator[Finding]:
    for index, zone in enumerate(floor.zone):
        for axis, side in enumerate(zone.size or ()):
            if not 0.1 <= side <= 500.0:
                reason = "is unusual, the usual side of a part of a floor is 100 mm to 500 m"
                yield Finding(("zone", index, "size", axis), reason, SLIP)


def _sheet_mass(items: tuple[Spec, ...], key: str) -> Iterator[Finding]:
    for index, sheet in enumerate(items):
        dense = STEEL if getattr(sheet, "kind", "") == "steel_plate" else TIMBER
        mass = prod(getattr(sheet, "size", (0.0,))) * getattr(sheet, "thickness", 0.0) * dense
        if mass > 8000.0:
            reason = f"makes a spreader of {show(mass, 'mass')}: nobody carries that to a floor"
            yield Finding((key, index, "thickness"), reason, "Correct thickness or size")


def _spreader_mass(floor: Floor) -> Iterator[Finding]:
    return _sheet_mass(floor.spreader, "spreader")


def _stock_usual(stock: Stock) -> Iterator[Finding]:
    for index, item in enumerate(stock.item):
        yield from outside(item, _SHEET[item.kind], ("item", index))


def _stock_mass(stock: Stock) -> Iterator[Finding]:
    return _sheet_mass(stock.item, "item")


def _none_left(stock: Stock) -> Iterator[Finding]:
    if all(item.count == 0 for item in stock.item):
        yield Finding(("item", 0, "count"), "there is not one spreader in this stock", "Give how many there are")
    for index, item in enumerate(stock.item):
        if item.count > 2000:
            yield Finding(("item", index, "count"), "is more than a yard holds", "Give how many there are")


def _against_the_word(floor: Floor) -> Iterator[Finding]:
    """Yield figures of a soil that another soil than the one named would have."""
    for path, part in _parts(floor):
        yield from _not_of(part, path)
        for index, layer in enumerate(getattr(part, "layer", ())):
            yield from _not_of(layer, (*path, "layer", index))


def _not_of(owner: Spec, path: Path) -> Iterator[Finding]:
    word = getattr(owner, "soil", NOT_KNOWN)
    if word == NOT_KNOWN:
        return
    for key, (name, kind) in _BANDS.items():
        value, band = getattr(owner, key, None), getattr(soil_class(word), name)
        if value is None or band is None:
            continue
        low, high = band.pessimistic / _AWAY, band.likely * _AWAY
        if not low <= value <= high:
            reason = f"{word} has about {show(band.pessimistic, kind)} to {show(band.likely, kind)}"
            yield Finding((*path, key), reason, "Correct the value, its unit or the soil")


def _opening(floor: Floor) -> Iterator[Finding]:
    """Yield covers that do not go with their opening."""
    for index, zone in enumerate(floor.zone):
        if not isinstance(zone, Cover) or zone.span is None:
            continue
        least = min(zone.size) if zone.size is not None else None
        if least is not None and zone.span > 1.05 * least:
            reason = f"is wider than the cover itself, {show(least, 'length')}"
            yield Finding(("zone", index, "span"), reason, "Give the clear opening, the short way")
        if zone.bearing is not None and zone.bearing > max(0.15, 0.4 * zone.span):
            reason = f"is much for an opening of {show(zone.span, 'length')}"
            yield Finding(("zone", index, "bearing"), reason, "Give how far it rests on one side")


def _transfer(floor: Floor) -> Iterator[Finding]:
    for path, part in _parts(floor):
        for index, joint in enumerate(part.joint if isinstance(part, Slab) else ()):
            if joint.load_transfer is not None and 0.0 < joint.load_transfer < 0.02:
                reason = "is next to none"
                yield Finding((*path, "joint", index, "load_transfer"), reason, 'Write it like "70 %", or 0')


def _past(floor: Floor) -> Iterator[Finding]:
    """Yield past loads whose tyres carried more or less than tyres do: too high a one makes a floor look strong."""
    for index, past in enumerate(floor.past_load):
        if past.tyres > MOST_TYRES:
            yield Finding(("past_load", index, "tyres"), "is more than a vehicle has", "Give the tyres of one vehicle")
        whole = past.load if past.load is not None else G * (past.mass or 0.0)
        if not 500.0 < whole / past.tyres < 1.2e5:
            reason = f"makes {show(whole / past.tyres, 'force')} on each of {past.tyres} tyres"
            key = "load" if past.load is not None else "mass"
            yield Finding(("past_load", index, key), reason, "Correct it, or tyres")


FLOOR_RULES: tuple[Rule[Floor], ...] = (
    Rule("bottomless", "refused", "our choice, see BOTTOMLESS", _bottomless),
    Rule("thick asphalt", "refused", "asphalt is laid to some 0.5 m (handbook)", _thick_asphalt),
    Rule("usual ranges", "unusual", "our choice, see the top of this file", _usual),
    Rule("steel at the top", "unusual", "steel_depth is that of the lower mesh, which lies low", _steel_too_high),
    Rule("years", "unusual", "reinforced concrete floors date from about 1880 (handbook, from memory)", _years),
    Rule("size of a zone", "unusual", "our choice: from a manhole to a large yard", _zone_size),
    Rule("mass of a spreader", "unusual", "8 t is what a lorry's crane sets down (common practice)", _spreader_mass),
    Rule("figures of a soil", "unusual", "a word stands for a band (mechanics.soils), see _AWAY", _against_the_word),
    Rule("covers and openings", "unusual", "a cover spans the opening and rests beside it (our bounds)", _opening),
    Rule("load transfer", "unusual", "0.7 is meant by 70 % more often than by 0.7 % (our bound)", _transfer),
    Rule(
        "past loads",
        "unusual",
        "a lorry's tyre carries 20 to 60 kN, a solid one 100 (handbook)",
        _past,
    ),
)
STOCK_RULES: tuple[Rule[Stock], ...] = (
    Rule("usual ranges", "unusual", "our choice, see the top of this file", _stock_usual),
    Rule("mass of a spreader", "unusual", "8 t is what a lorry's crane sets down (common practice)", _stock_mass),
    Rule("counts", "unusual", "a stock has something in it, and not thousands", _none_left),
)
