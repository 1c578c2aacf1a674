"""Spreaders out of a stock: for each tyre that asks too much, the smallest that brings it within, or that none does."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from tipline.assess.floor.answers import Span, Spreading, ratio_words
from tipline.assess.floor.ask import Asked, asked_of
from tipline.assess.floor.bands import ZoneBands, stock_bands
from tipline.assess.floor.modes_spreader import Laid
from tipline.assess.floor.zone_modes import modes_of
from tipline.assess.floor.zones import opening
from tipline.mechanics.spreaders import braking_grip
from tipline.model.cover import Cover
from tipline.model.floor import Floor
from tipline.model.spreaders import Stock, StockItem

__all__ = ["spreaders_for"]

MOST = 4
"""For no more tyres than this spreaders are looked for."""
SERVES = ("slab", "ground", "asphalt", "cover", "soft")
"""Kinds of floor on which a spreader is looked for."""
DENSITY = {"steel_plate": 7850.0, "timber_mat": 750.0}
SEAT = 0.15
"""How far a plate has to reach past an opening on either side (common practice, no source) [m]."""
ALLOWED = "allowed wheel load"


def spreaders_for(
    asked: Sequence[Asked], bands: Mapping[str, ZoneBands], floor: Floor, stock: Stock | None
) -> tuple[Spreading, ...]:
    """Look through the stock, lightest first, for each tyre whose planning limit is exceeded; no piece twice."""
    if stock is None:
        return ()
    left = {item.name: item.count for item in stock.item}
    found: list[Spreading] = []
    for group in _exceeding(asked)[:MOST]:
        one = group[0]
        tries = []
        for item in sorted(stock.item, key=_weight):
            if left[item.name] < 1:
                continue
            after = _with(one, item, bands[one.situation.name], stock)
            if after is None:
                continue
            tries.append((after, item))
            if after.high <= 1.0:
                break
        if not tries:
            found.append(_none(one, stock, None))
            continue
        after, item = min(tries, key=lambda each: each[0].high)
        if after.high <= 1.0:
            left[item.name] -= 1
            found.append(_chosen(one, item, after, floor, stock))
        else:
            found.append(_none(one, stock, (after, item)))
    return tuple(found)


def _exceeding(asked: Sequence[Asked]) -> list[list[Asked]]:
    """Group what is exceeded by tyre and zone, worst first; an allowed wheel load is not for spreaders to change."""
    groups: dict[tuple[str, str], list[Asked]] = {}
    for one in asked:
        if one.answer.exceeds and one.situation.laid is None and one.mode.name != ALLOWED:
            groups.setdefault((one.answer.tyre, one.situation.name), []).append(one)
    return list(groups.values())


def _weight(item: StockItem) -> float:
    return item.size[0] * item.size[1] * item.thickness * DENSITY[item.kind]


def _with(one: Asked, item: StockItem, zone: ZoneBands, stock: Stock) -> Span | None:
    """Ask again with a spreader laid square under the tyre; None where it cannot serve there."""
    patch = one.situation.patch
    laid = Laid.about(item, patch.at, patch.heading, patch, stock_bands(item, stock))
    if not laid.carries(patch, patch.heading) or zone.kind not in SERVES:
        return None
    cover = one.situation.zone
    if isinstance(cover, Cover):
        reaches = max(item.size) >= opening(cover) + 2 * SEAT
        if item.kind != "steel_plate" or not reaches:
            return None
    situation = replace(one.situation, laid=laid)
    made = [
        asked_of(situation, mode, known).answer.of_limit
        for mode, known in modes_of(situation, zone)
        if mode.name != ALLOWED
    ]
    return max(made, key=lambda span: (span.high, span.likely), default=None)


def _chosen(one: Asked, item: StockItem, after: Span, floor: Floor, stock: Stock) -> Spreading:
    situation, answer = one.situation, one.answer
    long, wide = item.size
    sides = f"{long:.3g} m by {wide:.3g} m, {1e3 * item.thickness:.0f} mm"
    text = (
        f"{item.name} of {stock.title} ({sides}) square under {answer.tyre} in {answer.zone}: "
        f"{ratio_words(answer.of_limit)} of the planning limit becomes {ratio_words(after)}. "
        f"It makes a step of {1e3 * item.thickness:.0f} mm; lay the same height under the tyre beside it."
    )
    return Spreading(
        answer.zone, answer.tyre, True, item.name, 1, (long, wide, item.thickness), situation.patch.at,
        situation.patch.heading, answer.of_limit, after, text + _grip(one, item, floor),
    )  # fmt: skip


def _grip(one: Asked, item: StockItem, floor: Floor) -> str:
    """Say when braking asks for more friction than the spreader hands on."""
    if one.situation.braking <= 0.0:
        return ""
    tyre = min(item.friction, floor.friction.solid)
    grip = braking_grip(one.situation.patch.load, _weight(item), tyre, item.friction_below).least
    if one.situation.braking <= grip:
        return ""
    return f" Braking of {one.situation.braking:.2f} g is more than the {grip:.2f} g that it hands on: it slides."


def _none(one: Asked, stock: Stock, best: tuple[Span, StockItem] | None) -> Spreading:
    answer = one.answer
    text = f"None in {stock.title} brings {answer.tyre} in {answer.zone} within its planning limit"
    if best is None:
        text += ": none of them serves there."
    else:
        text += f"; {best[1].name} comes nearest, {ratio_words(answer.of_limit)} becomes {ratio_words(best[0])}."
    nothing = Span(answer.of_limit.low, answer.of_limit.likely, answer.of_limit.high)
    after = nothing if best is None else best[0]
    at = one.situation.patch.at
    return Spreading(answer.zone, answer.tyre, False, "", 0, (0.0, 0.0, 0.0), at, 0.0, answer.of_limit, after, text)
