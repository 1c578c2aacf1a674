"""What is known of a part of a floor as bands from optimistic to pessimistic, each filled value said as assumed.

How wide a band is follows from how its value is known; `known` holds the spreads with their status. A floor over a
space, a slab with something under it and a slab under which nobody knows what is get no strength from us.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from tipline.floors.known.bands import OFFSETS, SHARES, Band, Known, LayerBands, ZoneBands, step_of
from tipline.floors.known.slab import slab_bands
from tipline.floors.known.soil import reaction_band, soil_bands, stiffness_band
from tipline.mechanics.asphalt import surface_temperature_band
from tipline.mechanics.covers import CLASS_LOADS
from tipline.mechanics.spreaders import TIMBER_GRADES, Timber
from tipline.model.areas import Answered
from tipline.model.asphalt import Asphalt
from tipline.model.cover import Cover
from tipline.model.floor import Floor, Material, Zone
from tipline.model.ground import Ground, SoilLayer
from tipline.model.slab import Slab, Suspended
from tipline.model.spreaders import Spreader, Stock, StockItem
from tipline.model.words import COVER_CLASSES, NOT_KNOWN, UNDER_IT
from tipline.printable import spoken_of
from tipline.units import show

__all__ = [
    "POSTED",
    "Band",
    "LayerBands",
    "ZoneBands",
    "posted_answers",
    "spreader_bands",
    "stock_bands",
    "timber_of",
    "told_beside",
    "zone_bands",
]

POSTED = (
    "A posted load is spread over the whole floor; a tyre stands on a patch the size of a sheet of paper or two, at "
    "tens of times that pressure. The figure says nothing about bending and punching there, about joints, edges, "
    "cavities or beams, so it decides neither way. What decides is a wheel load on such a patch, from whoever answers "
    "for the building"
)
"""Why a posted load does not decide."""

SUSPENDED = (
    "the floor spans over a space: its strength follows from beams, spans and steel that are not told here. Whoever "
    "answers for the building has to say what wheel load it may take"
)
OVER_SOMETHING = (
    "there is a basement, tunnel, pit or duct under this slab, so it does not lie on the ground and the formulas for "
    "slabs on the ground do not hold. Whoever answers for the building has to say what wheel load it may take"
)
NOBODY_KNOWS = (
    "nobody has said what is under this slab. If it is not soil the formulas for slabs on the ground do not hold. Find "
    "out what is underneath first"
)
COVER_UNKNOWN = "no class is known and it is no steel plate of known thickness and span: it counts as carrying nothing"
NO_BANDS = "its own figures stand in the file, or it is taken as rigid: nothing is compared"

_YIELD = {"S235": (2.35e8, 2.25e8, 2.8e8), "S275": (2.75e8, 2.65e8, 3.2e8), "S355": (3.55e8, 3.45e8, 4.1e8)}
"""Yield of steel by grade: nominal, less for thick plates, and what is usually delivered (from memory)."""
_TIMBER_LIKELY = 1.4
"""Likely strength of timber over the 5 % value of its grade (from memory, see `known`)."""
_YIELD_NOT_KNOWN = (2.35e8, 2.0e8, 3.55e8)
_ASPHALT_THICKNESS = (0.09, 0.04, 0.18)
_ASPHALT_STIFFNESS = (3.5e9, 1.8e9, 6.0e9)
_BASE_THICKNESS = (0.2, 0.08, 0.4)
_WARMTH = (293.15, 333.15, 278.15)
_COLDEST, _HOTTEST = 263.15, 343.15
_WATER = (2.0, 0.0, 5.0)
"""Depth of the water under ground that is built on or driven on (our choice: drained, but nobody knows)."""


def zone_bands(part: Zone | Material, floor: Floor) -> ZoneBands:
    """Return the bands of a zone of a floor, or of what it is elsewhere.

    Names by kind. Slab: see `slab_bands`. Asphalt: thickness, asphalt_stiffness (at 20 degC, moving traffic),
    base_thickness, base_stiffness, surface_temperature, of the soil under the base soil_stiffness and its strength.
    Ground: subgrade_reaction, water_depth; strength, unit_weight, stiffness and, where told, thickness of the top
    layer, the same of the others with layer1_, layer2_ ... and of a platform with platform_ in front; strength is
    undrained_strength, or friction_angle and cohesion. Cover: class_load; plate_thickness, or
    bar_depth and bar_thickness, and yield_strength; span, other_span,
    bearing where told.
    """
    name = str(getattr(part, "name", "the main floor"))
    known = Known(name, floor.key_of(part), floor.origins, floor.origin)
    refused = _refusal(part)
    if refused or not isinstance(part, Answered):
        return ZoneBands(name, part.kind, refused=refused or NO_BANDS)
    if isinstance(part, Slab):
        return slab_bands(known, part)
    if isinstance(part, Asphalt):
        return _asphalt(known, part)
    if isinstance(part, Ground):
        return _ground(known, part)
    assert isinstance(part, Cover)
    return _cover(known, part)


def spreader_bands(spreader: Spreader, floor: Floor) -> dict[str, Band]:
    """Return the bands of a spreader laid on a floor.

    thickness; of a steel plate also yield_strength; of a timber mat modulus, and strength over the 5 % values of its
    grade.
    """
    index = next((i for i, laid in enumerate(floor.spreader) if laid is spreader), 0)
    known = Known(spreader.name, f"spreader.{index}", floor.origins, floor.origin)
    thick = known.told(spreader.thickness, "plate_thickness", "thickness", "length")
    return {"thickness": thick, **_sheet(known, spreader)}


def stock_bands(item: StockItem, stock: Stock) -> dict[str, Band]:
    """Return the bands of a piece of a stock, as of a spreader laid; its thickness counts as measured (our choice)."""
    worse, better = SHARES["plate_thickness"][0]
    thick = Band(item.thickness, item.thickness * worse, item.thickness * better, stock.origin)
    return {"thickness": thick, **_sheet(Known(item.name, "item", {}, stock.origin), item)}


def _sheet(known: Known, sheet: Spreader | StockItem) -> dict[str, Band]:
    if sheet.kind == "steel_plate":
        return {"yield_strength": _yield_strength(known, sheet.grade)}
    timber, weaker = timber_of(sheet.grade)
    strength = known.told(_TIMBER_LIKELY / weaker, "timber_strength", "grade", "ratio")
    return {"modulus": known.told(timber.modulus, "timber_modulus", "grade", "pressure"), "strength": strength}


def timber_of(grade: str) -> tuple[Timber, float]:
    """Return the grade that a word stands for, and by how much weaker it is taken: not known = C24 over 1.5."""
    return (TIMBER_GRADES[grade], 1.0) if grade in TIMBER_GRADES else (TIMBER_GRADES["C24"], 1.5)


def posted_answers(parts: Iterable[Zone | Material]) -> tuple[str, ...]:
    """Say of every posted load that it does not decide, and why; nothing where none is posted."""
    loads = {
        str(getattr(part, "name", "the main floor")): show(part.posted, "areal_load", digits=4)
        for part in parts
        if isinstance(part, Answered) and part.posted is not None
    }
    if not loads:
        return ()
    return (f"posted load ({', '.join(f'{name}: {load}' for name, load in loads.items())}). {POSTED}",)


def told_beside(parts: Iterable[Zone | Material]) -> Iterator[str]:
    """Say what is told of parts and counts for nothing here: sizes of a suspended floor, the year of what is known."""
    for part in parts:
        if isinstance(part, Slab) and part.information_from is not None:
            name = spoken_of(str(getattr(part, "name", "the main floor")))
            yield f"what is told of {name} dates from {part.information_from}; its age does not count here"
        sizes = {name: getattr(part, name, None) for name in ("thickness", "span")}
        sizes_told = [f"{name} {show(size, 'length')}" for name, size in sizes.items() if size is not None]
        if isinstance(part, Suspended) and sizes_told:
            name = str(getattr(part, "name", "the main floor"))
            yield f"{name}: {' and '.join(sizes_told)} give it no strength here; they are for whoever answers for it"


def _refusal(part: Zone | Material) -> str:
    if isinstance(part, Suspended):
        return SUSPENDED
    below = getattr(part, "below", "soil")
    if below == UNDER_IT:
        return OVER_SOMETHING
    if below == NOT_KNOWN:
        return NOBODY_KNOWS
    if isinstance(part, Cover) and part.load_class == NOT_KNOWN and (not _spans(part) or part.span is None):
        return COVER_UNKNOWN
    return ""


def _spans(cover: Cover) -> bool:
    """Whether what spans is told: a plate's thickness, or a grating's bars."""
    return cover.plate_thickness is not None or cover.bar_pitch is not None


def _asphalt(known: Known, asphalt: Asphalt) -> ZoneBands:
    base = asphalt.base
    bands = {
        "thickness": known.told(asphalt.thickness, "thickness", "thickness", "length")
        if asphalt.thickness is not None
        else known.filled("thickness", _ASPHALT_THICKNESS, "not given", "length"),
        "asphalt_stiffness": known.told(asphalt.stiffness, "stiffness", "stiffness", "pressure")
        if asphalt.stiffness is not None
        else known.filled("stiffness at 20 degC", _ASPHALT_STIFFNESS, "not given", "pressure"),
        "base_thickness": known.told(base.thickness, "layer_thickness", "base.thickness", "length")
        if base.thickness is not None
        else known.filled("thickness of the base", _BASE_THICKNESS, "not given", "length"),
        "base_stiffness": known.told(base.stiffness, "stiffness", "base.stiffness", "pressure")
        if base.stiffness is not None
        else stiffness_band(known, base.soil, "base", "base"),
        "surface_temperature": _temperature(known, asphalt),
    }
    under = soil_bands(known, SoilLayer(soil=asphalt.soil), "", "soil under the base", asphalt.cbr)
    bands |= {name: band for name, band in under.bands.items() if name not in {"stiffness", "unit_weight"}}
    bands["soil_stiffness"] = under.bands["stiffness"] if asphalt.cbr is None else _from_ratio(known, asphalt)
    return ZoneBands(known.name, "asphalt", bands=bands, layers=(under,), assumed=tuple(known.assumed))


def _from_ratio(known: Known, asphalt: Asphalt) -> Band:
    """Stiffness of the soil by its bearing ratio, through the reaction of the 0.762 m plate."""
    reaction = reaction_band(
        Known(known.name, known.key, known.origins, known.default), None, asphalt.cbr, asphalt.soil
    )
    plate = 1.5 * 0.381
    ends = (reaction.likely * plate, reaction.pessimistic * plate, reaction.optimistic * plate)
    what = "stiffness of the soil under the base"
    known.assumed[:] = [line for line in known.assumed if not line.startswith(what)]
    return known.filled(what, ends, "from the bearing ratio", "pressure", reaction.how)


def _temperature(known: Known, asphalt: Asphalt) -> Band:
    """Surface temperature; the warm end is the pessimistic one, for warm asphalt gives under a standing tyre."""
    if asphalt.surface_temperature is not None:
        origin, temperature = known.origin("surface_temperature"), asphalt.surface_temperature
        worse, better = OFFSETS["temperature"][step_of(origin)]
        return Band(temperature, temperature + worse, temperature + better, origin, "", "temperature")
    if asphalt.air_temperature is None:
        return known.filled("surface temperature", _WARMTH, "not given", "temperature")
    air = min(max(asphalt.air_temperature, _COLDEST), _HOTTEST - 15.0)
    words = ("shade", "cloud", "sun") if asphalt.sun == NOT_KNOWN else (asphalt.sun,)
    bands = [surface_temperature_band(air, word) for word in words]  # type: ignore[arg-type]
    likely = bands[len(bands) // 2].likely
    worse, better = OFFSETS["temperature"][step_of(known.origin("air_temperature"))]
    ends = (likely, max(band.high for band in bands) + worse, min(band.low for band in bands) + better)
    sky = "the sky is not known" if asphalt.sun == NOT_KNOWN else asphalt.sun
    return known.filled("surface temperature", ends, f"from the air and the sun ({sky})", "temperature")


def _ground(known: Known, ground: Ground) -> ZoneBands:
    layers = []
    for index, layer in enumerate(ground.layer):
        word = layer.soil if layer.soil != NOT_KNOWN else "soil"
        name = f"{word} (layer {index})"
        soil = soil_bands(known, layer, f"layer.{index}", name, ground.cbr if index == 0 else None)
        if layer.thickness is not None:
            thick = known.told(layer.thickness, "layer_thickness", f"layer.{index}.thickness", "length")
            soil = LayerBands(soil.name, soil.undrained, {**soil.bands, "thickness": thick})
        layers.append(soil)
    platform = None
    if ground.platform is not None:
        soil = soil_bands(known, ground.platform, "platform", "platform")
        thick = known.told(ground.platform.thickness, "layer_thickness", "platform.thickness", "length")
        platform = LayerBands("platform", soil.undrained, {**soil.bands, "thickness": thick})
    reaction, word = ground.subgrade_reaction, ground.layer[0].soil
    bands = {"subgrade_reaction": reaction_band(known, reaction, ground.cbr, word, "layer.0", ground.plate_test)}
    bands["water_depth"] = _water(known, ground.water_table)
    for index, soil in enumerate(layers):
        bands |= soil.named(f"layer{index}_" if index else "")
    bands |= platform.named("platform_") if platform is not None else {}
    return ZoneBands(
        known.name, "ground", bands=bands, layers=tuple(layers), platform=platform, assumed=tuple(known.assumed)
    )


def _water(known: Known, depth: float | None) -> Band:
    """Depth of the water; it rises and falls over a year, so even a measured one is not held to."""
    if depth is None:
        return known.filled("depth of the water", _WATER, "not given", "length")
    origin = known.origin("water_table")
    higher, lower = OFFSETS["water_table"][step_of(origin)]
    return Band(depth, max(depth + higher, 0.0), depth + lower, origin, "", "length")


def _cover(known: Known, cover: Cover) -> ZoneBands:
    bands = {}
    if cover.load_class != NOT_KNOWN:
        bands["class_load"] = _class_load(known, cover.load_class)
    if cover.plate_thickness is not None:
        bands["plate_thickness"] = known.told(cover.plate_thickness, "plate_thickness", "plate_thickness", "length")
        bands["yield_strength"] = _yield_strength(known, cover.steel_grade, "steel_grade")
    if cover.bar_pitch is not None:
        for name in ("bar_depth", "bar_thickness"):
            bands[name] = known.told(getattr(cover, name), "plate_thickness", name, "length")
        bands["yield_strength"] = _yield_strength(known, cover.steel_grade, "steel_grade")
    for name in ("span", "other_span"):
        if getattr(cover, name) is not None:
            bands[name] = known.told(getattr(cover, name), "span", name, "length")
    if cover.bearing is not None:
        bands["bearing"] = known.told(cover.bearing, "bearing", "bearing", "length")
    return ZoneBands(known.name, "cover", bands=bands, assumed=tuple(known.assumed))


def _class_load(known: Known, word: str) -> Band:
    """Test load of a class: read off the cover it stands; otherwise it may be one class less.

    A cover that meets its class breaks above the test load, nobody says how far: to half as much again (our choice).
    """
    origin, load = known.origin("load_class"), CLASS_LOADS[word]
    before = COVER_CLASSES[max(COVER_CLASSES.index(word) - 1, 0)]
    worse = load if step_of(origin) == 0 else min(CLASS_LOADS[before], 0.5 * load)
    return Band(load, worse, 1.5 * load, origin, f"class {word}: test load on a 250 mm block", "force")


def _yield_strength(known: Known, grade: str, field_name: str = "grade") -> Band:
    if grade == NOT_KNOWN:
        return known.filled("yield strength", _YIELD_NOT_KNOWN, "grade not known", "pressure")
    return Band(*_YIELD[grade], known.origin(field_name), f"grade {grade}", "pressure")
