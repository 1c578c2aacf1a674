"""Spreaders out of a stock: where tyres ask too much, the smallest that brings them within, or that none does.

A spreader is laid square to the truck, along it or across. What it would lie under stands on it: a tyre beside it that
it reaches is taken on it too, so twins get one piece under both, and it is asked with all that stands on it. No two
overlap, and those that lie near each other are asked together.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import atan2, hypot, pi

from tipline.floors.answers.mode_answer import ModeAnswer, mode_answer_of
from tipline.floors.answers.report import Spreading
from tipline.floors.known.of_zone import ZoneBands, stock_bands
from tipline.floors.known.ratio import Ends, ratio_of
from tipline.floors.known.span import Span, ratio_words
from tipline.floors.modes.mode import Mode
from tipline.floors.modes.of_zone import modes_of
from tipline.floors.modes.situation import Situation, standing_together, stood
from tipline.floors.modes.spreader import Laid
from tipline.floors.places.patch import Patch, as_one, chained
from tipline.floors.places.zones import opening
from tipline.mechanics.spreaders import braking_grip
from tipline.model.cover import Cover
from tipline.model.floor import CoverZone, Floor
from tipline.model.plane import Outline, Point, rectangle_about, shared_area
from tipline.model.spreaders import Stock, StockItem
from tipline.printable import spoken_of
from tipline.units import MILLIMETRE

__all__ = ["spreaders_for"]

MOST = 4
"""For no more tyres, or tyres on one spreader, than this spreaders are looked for."""
SERVES = ("slab", "ground", "asphalt", "cover", "soft")
"""Kinds of floor on which a spreader is looked for."""
DENSITY = {"steel_plate": 7850.0, "timber_mat": 750.0}
"""What a piece weighs by its volume [kg/m3], to lay the lightest (common practice, no source)."""
SEAT = 0.15
"""How far a plate has to reach past an opening on either side (common practice, no source) [m]."""
ALLOWED = "allowed wheel load"
APART = 0.5
"""Tyres with more than this between them are not put on one piece: it bends between them, which is not asked [m] (our
choice: about a tyre's width)."""
TOUCH = 1e-4
"""Two outlines that share less than this do not overlap [m2] (numerical)."""


@dataclass(frozen=True)
class _Piece:
    """A piece of the stock laid under tyres: what stands on it, and where it lies."""

    item: StockItem
    on: tuple[Patch, ...]
    at: Point
    heading: float

    @property
    def outline(self) -> Outline:
        return rectangle_about(self.at, self.item.size, self.heading)

    def under(self, patch: Patch, stock: Stock) -> Laid:
        return Laid.about(self.item, self.at, self.heading, patch, stock_bands(self.item, stock))


def spreaders_for(
    mode_answers: Sequence[ModeAnswer], bands: Mapping[str, ZoneBands], floor: Floor, stock: Stock | None
) -> tuple[Spreading, ...]:
    """Look through the stock, lightest first, for tyres whose planning limit is exceeded; no piece twice."""
    if stock is None:
        return ()
    left = {item.name: item.count for item in stock.item}
    laid: list[_Piece] = []
    done: list[Patch] = []
    spreadings: list[Spreading] = []
    for mode_answer, tyre in _exceeding(mode_answers):
        if len(spreadings) >= MOST:
            break
        if any(tyre.at == each.at for each in done):
            continue
        situation, best = mode_answer.situation, None
        zone, items = bands[situation.name], [item for item in stock.item if left[item.name] > 0]
        for piece in _pieces(situation, tyre, items, laid, zone):
            after = _with(situation, piece, laid, zone, floor, stock)
            if after is not None and (best is None or after.high < best[0].high):
                best = after, piece
            if after is not None and after.high <= 1.0:
                break
        if best is None or best[0].high > 1.0:
            done += (tyre,) if best is None else best[1].on
            spreadings.append(_none(mode_answer, tyre, stock, best))
            continue
        done += best[1].on
        laid.append(best[1])
        left[best[1].item.name] -= 1
        spreadings.append(_chosen(_worst_of(mode_answers, mode_answer, best[1]), best[1], best[0], floor, stock))
    return tuple(spreadings)


def _exceeding(mode_answers: Sequence[ModeAnswer]) -> Iterator[tuple[ModeAnswer, Patch]]:
    """Yield every tyre that asks too much, alone or with others, once a zone, worst first.

    An allowed wheel load is not for spreaders to change.
    """
    seen: set[tuple[str, str]] = set()
    for mode_answer in mode_answers:
        situation = mode_answer.situation
        if not mode_answer.answer.exceeds or situation.laid or situation.laids or mode_answer.mode.name == ALLOWED:
            continue
        for tyre in situation.patch.singles:
            if (tyre.tyre, situation.name) not in seen:
                seen.add((tyre.tyre, situation.name))
                yield mode_answer, tyre


def _weight(item: StockItem) -> float:
    return item.size[0] * item.size[1] * item.thickness * DENSITY[item.kind]


def _pieces(
    situation: Situation, tyre: Patch, items: Sequence[StockItem], laid: Sequence[_Piece], zone: ZoneBands
) -> Iterator[_Piece]:
    """Yield the pieces that can be laid under a tyre, lightest first, along the truck before across it."""
    if zone.kind not in SERVES:
        return
    near = (*situation.patch.singles, *situation.others)
    for item in sorted(items, key=_weight):
        for heading in _headings(situation, tyre, item):
            piece = _under_all(item.model_copy(), tyre, near, heading)
            if piece is None or any(shared_area(piece.outline, other.outline) > TOUCH for other in laid):
                continue
            yield piece


def _headings(situation: Situation, tyre: Patch, item: StockItem) -> tuple[float, ...]:
    """Return the ways round that a piece may lie; over an opening only across it, and only where it reaches."""
    cover = situation.zone
    if not isinstance(cover, Cover):
        return (tyre.heading, tyre.heading + 0.5 * pi) if item.size[0] != item.size[1] else (tyre.heading,)
    if item.kind != "steel_plate" or item.size[0] < opening(cover) + 2 * SEAT:
        return ()
    return (_across(cover, tyre.heading),)


def _across(cover: Cover, heading: float) -> float:
    """Return the direction of the shorter sides of a cover, a heading where it has no outline."""
    if not isinstance(cover, CoverZone):
        return heading
    a, b, c = cover.corners[:3]
    first, second = hypot(b[0] - a[0], b[1] - a[1]), hypot(c[0] - b[0], c[1] - b[1])
    side = (a, b) if first <= second else (b, c)
    return atan2(side[1][1] - side[0][1], side[1][0] - side[0][0])


def _under_all(item: StockItem, tyre: Patch, near: Sequence[Patch], heading: float) -> _Piece | None:
    """Return a piece under a tyre and all that it reaches beside it, None where one of them does not fit on it."""
    on = [tyre]
    while chained(on) <= APART:
        piece = _Piece(item, tuple(sorted(on, key=lambda each: each.tyre)), as_one(on, heading).at, heading)
        if not all(Laid.about(item, piece.at, heading, each, {}).carries(each, heading) for each in on):
            return None
        more = [
            each
            for each in near
            if all(each.tyre != other.tyre for other in on) and shared_area(each.outline, piece.outline) > TOUCH
        ]
        if not more:
            return piece
        on += more
    return None


def _with(
    before: Situation, piece: _Piece, laid: Sequence[_Piece], zone: ZoneBands, floor: Floor, stock: Stock
) -> Span | None:
    """Ask what stands on a piece again, each alone and together with what is near; None where nothing is asked."""
    tyres = {each.tyre for each in piece.on}
    modes = sorted(
        (
            (_pessimistic(mode, known), situation, mode, known)
            for situation in _stood_on(before, (*laid, piece), floor, stock)
            if tyres & set(situation.patch.tyres)
            for mode, known in modes_of(situation, zone)
            if mode.name != ALLOWED
        ),
        key=lambda each: -each[0],
    )
    best: Span | None = None
    for most, situation, mode, known in modes:
        if best is not None and most <= best.high:
            break
        span = mode_answer_of(situation, mode, known, zone.kept).answer.of_limit
        best = span if best is None or (span.high, span.likely) > (best.high, best.likely) else best
    return best


def _pessimistic(mode: Mode, known: Mapping[str, Ends]) -> float:
    return mode.factor.value * ratio_of(*mode.ask({name: known[name].pessimistic for name in mode.inputs}))


def _stood_on(situation: Situation, pieces: Sequence[_Piece], floor: Floor, stock: Stock) -> list[Situation]:
    """Return the situations of a truck's tyres on a zone, with the pieces under those that stand on them."""
    near = (*situation.patch.singles, *situation.others)
    singles = []
    for each in stood(floor, near, situation.setup, braking=situation.braking, moving=situation.moving):
        if each.patch.members or each.zone is not situation.zone:
            continue
        piece = next((it for it in pieces if any(on.at == each.patch.at for on in it.on)), None)
        singles.append(each if piece is None else replace(each, laid=piece.under(each.patch, stock)))
    return [*singles, *standing_together(singles)]


def _worst_of(mode_answers: Sequence[ModeAnswer], mode_answer: ModeAnswer, piece: _Piece) -> ModeAnswer:
    """Return what asked most of the zone, before, among the tyres that stand on a piece."""
    on = {each.tyre for each in piece.on}
    alike = (
        each
        for each in mode_answers
        if each.situation.zone is mode_answer.situation.zone
        and set(each.answer.tyres) <= on
        and each.mode.name != ALLOWED
    )
    return max(alike, key=lambda each: each.answer.of_limit.high, default=mode_answer)


def _chosen(mode_answer: ModeAnswer, piece: _Piece, after: Span, floor: Floor, stock: Stock) -> Spreading:
    answer, item = mode_answer.answer, piece.item
    long, wide = item.size
    on = as_one(piece.on, piece.heading)
    way = "across" if abs(piece.heading - piece.on[0].heading) > 0.25 * pi else "along"
    step = f"{item.thickness / MILLIMETRE:.0f} mm"
    sides = f"{long:.3g} m by {wide:.3g} m, {step}"
    both = "both" if len(piece.on) == 2 else "all"
    under = f"under {on.tyre}" + (f", {both} on the one piece" if len(piece.on) > 1 else "")
    where = spoken_of(answer.zone)
    text = (
        f"{item.name} of {stock.called} ({sides}) {under}, its length {way} the truck, on "
        f"{where}: {_times(answer.of_limit)} becomes {ratio_words(after)} times. "
        f"It makes a step of {step}; lay the same height under the tyres on the other side."
    )
    return Spreading(
        answer.zone, on.tyre, True, item.name, 1, (long, wide, item.thickness), piece.at, piece.heading,
        answer.of_limit, after, text + _grip(mode_answer, on, item, floor),
    )  # fmt: skip


def _times(span: Span) -> str:
    return f"{ratio_words(span)} times the planning limit"


def _grip(mode_answer: ModeAnswer, on: Patch, item: StockItem, floor: Floor) -> str:
    """Say when braking asks for more friction than the spreader hands on.

    A tyre is taken to grip it no better than the floor there: by the tyre's own kind.
    """
    if mode_answer.situation.braking <= 0.0:
        return ""
    tyre = min(item.friction, *(floor.friction_at(single.at, single.kind) for single in on.singles))
    grip = braking_grip(on.load, _weight(item), tyre, item.friction_below).least
    if mode_answer.situation.braking <= grip:
        return ""
    return (
        f" Braking of {mode_answer.situation.braking:.2f} g is more than the {grip:.2f} g that it hands on: it slides."
    )


def _none(mode_answer: ModeAnswer, tyre: Patch, stock: Stock, best: tuple[Span, _Piece] | None) -> Spreading:
    answer = mode_answer.answer
    text = f"None in {stock.called} brings {tyre.tyre} on {spoken_of(answer.zone)} within its planning limit"
    if best is None:
        text += ": none of them serves there, or fits beside what stands or lies there."
    else:
        before = _times(answer.of_limit)
        on = as_one(best[1].on, best[1].heading).tyre
        text += f"; {best[1].item.name} under {on} comes nearest, {before} becomes {ratio_words(best[0])} times."
    before_it = answer.of_limit
    after = before_it if best is None else best[0]
    nothing = (0.0, 0.0, 0.0)
    return Spreading(answer.zone, tyre.tyre, False, "", 0, nothing, tyre.at, 0.0, before_it, after, text)
