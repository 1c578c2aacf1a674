"""Rules of the kernels that watch, each at its border: when a half swing is calm, and when the ledger is broken."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from tipline.kernels import layout as at
from tipline.kernels import watching as w
from tipline.kernels.decide import count_rest, half_swing
from tipline.kernels.ledger import audit

WEIGHT = 2e5
"""Of a truck [N]: a rise of 1 mm is 200 J."""


def seen_by(**more: float) -> Any:
    """Return a watch that has seen nothing but these columns."""
    seen = np.zeros(w.N_SEEN)
    for name, value in more.items():
        seen[getattr(w, name)] = value
    return SimpleNamespace(seen=seen)


@pytest.mark.parametrize(
    ("peak", "before", "calm"), [(199.0, 0.0, 1.0), (201.0, 0.0, 0.0), (250.0, 251.0, 1.0), (250.0, 249.0, 0.0)]
)
def test_a_half_swing_is_calm_below_a_rise_of_a_millimetre_or_where_it_is_no_livelier_than_before(
    peak: float, before: float, calm: float
) -> None:
    """After three even ones, this is the fourth."""
    watch = seen_by(S_WEIGHT=WEIGHT, S_PEAK=peak, S_PEAK_BEFORE=before, S_WINDOWS=4.0, S_EVENS=3.0)
    half_swing(SimpleNamespace(state=np.zeros((at.N_BODY, 13)), depth=np.zeros(0)), watch)
    assert watch.seen[w.S_CALM] == calm
    assert watch.seen[w.S_EVENS] == 4.0


@pytest.mark.parametrize(("speed", "rests"), [(0.9e-3, True), (1.1e-3, False)])
@pytest.mark.parametrize("steps", [1, 4])
def test_a_place_still_sinks_from_a_millimetre_a_second_however_long_a_step_is(
    speed: float, rests: bool, steps: int
) -> None:
    """Of 2 ms each, some at once: 4 at 0.9 mm/s take it down by 7.2 micrometres, and the truck is at rest."""
    rule, dt = np.zeros(w.N_RULE), 2e-3
    rule[w.R_STILL], rule[w.R_SINKS] = 1.0, 1e-3 * dt
    watch = seen_by(S_SINCE=steps, S_LEFT=1.0)
    watch.rule = rule
    memory: Any = SimpleNamespace(lowered=np.array([speed * steps * dt]), energy=np.zeros(at.N_ENERGY))
    count_rest(0, -1, 0.0, memory, watch)
    expected = steps if rests else 0.0
    assert (watch.seen[w.S_REST], watch.seen[w.S_CLEAR], watch.seen[w.S_STILL]) == (expected, expected, 0.0)
    memory.lowered[:] *= 0.02  # a parked truck's floor may only creep
    count_rest(0, -1, 0.0, memory, watch)
    assert watch.seen[w.S_STILL] == expected


@pytest.mark.parametrize(
    ("missing", "through", "broken"), [(49.0, 0.0, False), (51.0, 0.0, True), (69.0, 1e3, False), (71.0, 1e3, True)]
)
def test_the_ledger_is_broken_by_more_than_50_j_and_a_fiftieth_of_what_went_through(
    missing: float, through: float, broken: bool
) -> None:
    """Missing at four looks in a row; at three of them it may still be a landing."""
    energy = np.zeros(at.N_ENERGY)
    energy[at.E_WORK] = through
    energy[at.E_ELASTIC] = through
    memory: Any = SimpleNamespace(energy=energy, now=np.zeros((at.N_BODY, 6)))
    watch = seen_by()
    assert not audit(0, memory, watch)
    energy[at.E_ELASTIC] += missing
    assert [audit(look, memory, watch) for look in range(1, 1 + w.LOOKS)] == [False] * (w.LOOKS - 1) + [broken]


@pytest.mark.parametrize("spoiled", ["sum", "speed"])
def test_what_is_no_number_breaks_it_at_once(spoiled: str) -> None:
    energy, now = np.zeros(at.N_ENERGY), np.zeros((at.N_BODY, 6))
    (energy if spoiled == "sum" else now).flat[0] = np.nan
    memory: Any = SimpleNamespace(energy=energy, now=now)
    assert audit(0, memory, seen_by())
