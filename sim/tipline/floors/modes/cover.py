"""The ways in which a cover over an opening can give: the class stamped into it, or a flat steel plate that spans.

Source: [EN124] (classes), [EN1993] (steel), both from memory
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from tipline.elementwise import greater
from tipline.floors.known.ratio import Ends
from tipline.floors.modes.mode import Factor, Inputs, Mode
from tipline.floors.places.patch import Patch
from tipline.mechanics.covers import CLASS_FACTOR, TEST_BLOCK, four_sided_patch, grating_moment
from tipline.mechanics.spreaders import plate_over_gap_one_way
from tipline.model.cover import Cover
from tipline.units import show

__all__ = ["STEEL", "cover_modes", "four_sided_stress", "plate_stress"]

CLASSES = Factor(CLASS_FACTOR, "1.5 on the test load of its class; common practice, no source", ("EN124",))
STEEL = Factor(1.65, "1.5 on the load by 1.1 on the steel; from memory", ("EN1990", "EN1993"))
STEEL_POISSON = 0.3
STEEL_UNIT = 210e9 / (12.0 * (1.0 - STEEL_POISSON**2))
"""Poisson's ratio of steel, and the bending stiffness of a plate of it over its thickness cubed. Source: [EN1993]"""
UNKNOWN = Factor(1.0, "a cover nobody knows carries nothing we can count on")


def cover_modes(patch: Patch, cover: Cover, bands: Mapping[str, Ends]) -> Iterator[Mode]:
    """Yield the ways in which a cover can give; one of which nothing is known has a strength of 0."""
    known = False
    if "class_load" in bands:
        known = True
        yield _by_class(patch, cover.load_class)
    if all(name in bands for name in ("plate_thickness", "span", "yield_strength")):
        known = True
        yield _on_four_sides(patch, cover) if "other_span" in bands else _by_span(patch, cover)
    if cover.bar_pitch is not None and "span" in bands:
        known = True
        yield _by_bars(patch, cover, cover.bar_pitch)
    if not known:
        source = "no class, no thickness, no span"
        yield Mode("a cover nobody knows", "force", "gives way", UNKNOWN, source, (), lambda _: (patch.load, 0.0))


def _by_class(patch: Patch, name: str) -> Mode:
    """Compare a tyre's load with the test load; a patch smaller than the test block counts as so much more load."""
    small = max(TEST_BLOCK**2 / patch.area, 1.0)
    notes: tuple[str, ...] = ("the class is a test load on a block of 250 mm, not a wheel load",)
    if small > 1.0:
        notes += ("the patch is smaller than the test block: load raised in that ratio (our choice)",)
    source = f"class {name} as told; test loads from memory"

    def ask(x: Inputs) -> tuple[float, float]:
        return patch.load * small, x["class_load"]

    return Mode("class of the cover", "force", "gives way", CLASSES, source, ("class_load",), ask, notes, arrays=True)


def _seat(cover: Cover) -> tuple[str, ...]:
    notes: tuple[str, ...] = ("seat and frame are not checked",)
    if cover.bearing is None:
        return (*notes, "how far it rests on its seat is not known")
    return (*notes, f"it rests {show(cover.bearing, 'length')} on its seat, which is not asked")


def _on_four_sides(patch: Patch, cover: Cover) -> Mode:
    """Compare the stress under a patch in the middle of a plate on four sides with what its steel yields at."""

    def ask(x: Inputs) -> tuple[float, float]:
        return four_sided_stress(patch, x["plate_thickness"], (x["span"], x["other_span"])), x["yield_strength"]

    source = "elastic plate simply supported on four sides, the patch in its middle, the worse way round"
    inputs: tuple[str, ...] = ("plate_thickness", "span", "other_span", "yield_strength")
    return Mode("bending of the cover", "pressure", "yields and sags", STEEL, source, inputs, ask, _seat(cover))


def four_sided_stress(patch: Patch, thickness: float, spans: tuple[float, float]) -> float:
    """Return the bending stress of a steel plate on four sides [Pa], the worse way round of the patch.

    A patch longer than the opening rests on its rim with the rest; one below a twentieth of it is taken as large.
    """
    clear = [max(span + thickness, 10.0 * thickness) for span in spans]
    least, worst = 0.05 * min(clear), 0.0
    for sides in ((patch.length, patch.width), (patch.width, patch.length)):
        over = min(max(sides[0], least), clear[0]), min(max(sides[1], least), clear[1])
        moments = four_sided_patch(patch.load, clear[0], clear[1], STEEL_UNIT * thickness**3, STEEL_POISSON, over)
        worst = max(worst, moments.along_x, moments.along_y)
    return 6.0 * worst / thickness**2


def _by_bars(patch: Patch, cover: Cover, pitch: float) -> Mode:
    """Compare the stress in the bars below a patch, which share it evenly, with what their steel yields at."""

    def ask(x: Inputs) -> tuple[float, float]:
        depth, thickness = x["bar_depth"], x["bar_thickness"]
        clear = greater(x["span"] + thickness, depth)
        ways = ((patch.length, patch.width), (patch.width, patch.length))
        moment = greater(*(grating_moment(patch.load, clear, along, across, pitch) for along, across in ways))
        return 6.0 * moment / (thickness * depth**2), x["yield_strength"]

    source = "only the bars below the patch carry, each a simple span (common practice, no source)"
    inputs: tuple[str, ...] = ("bar_depth", "bar_thickness", "span", "yield_strength")
    name = "bending of the grating's bars"
    return Mode(name, "pressure", "yields and sags", STEEL, source, inputs, ask, _seat(cover), arrays=True)


def _by_span(patch: Patch, cover: Cover) -> Mode:
    def ask(x: Inputs) -> tuple[float, float]:
        return plate_stress(patch, x["plate_thickness"], x["span"]), x["yield_strength"]

    source = "one-way span, as wide as the patch and half the span (common practice, no source)"
    inputs: tuple[str, ...] = ("plate_thickness", "span", "yield_strength")
    name = "bending of the cover"
    return Mode(name, "pressure", "yields and sags", STEEL, source, inputs, ask, _seat(cover), arrays=True)


def plate_stress(patch: Patch, thickness: float, span: float, width: float | None = None) -> float:
    """Return the bending stress of a steel plate over a gap [Pa], the worse way round of the patch."""
    clear = greater(span + thickness, 10.0 * thickness)
    long, wide = sorted((patch.length, patch.width))
    side = max(width or wide, wide)
    return plate_over_gap_one_way(
        patch.load, clear, side if width else wide + 0.5 * clear, thickness, long, wide
    ).stress
