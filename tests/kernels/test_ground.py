"""Laws of the floor by themselves, as plain Python: each against its own equation, at steps from 0.1 to 4 ms."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from few import slow_but
from tipline.kernels import layout as at
from tipline.kernels.ground import bend, creep_depth, lengthen, plug_depth, sink

STEPS = (1e-4, 5e-4, 1e-3, 2e-3, 4e-3)
LOAD, AREA = 6.5e4, 0.06


def exact(rate, seconds: float) -> float:
    """Depth [m] after some seconds by a stiff integrator."""
    return float(
        solve_ivp(lambda _, d: rate(d), (0.0, seconds), [0.0], method="LSODA", rtol=1e-10, atol=1e-13).y[0, -1]
    )


def sunk(law: int, numbers: dict[int, float], dt: float, seconds: float, slope: float = 0.0) -> float:
    """Depth [m] of a place of its own under a load that gives way by `slope` [N/m] as it sinks."""
    place = np.zeros((1, at.N_PLACE))
    place[0, at.P_LAW], place[0, at.P_HX] = law, 0.3
    for column, value in numbers.items():
        place[0, column] = value
    plant = SimpleNamespace(place=place)
    mem = SimpleNamespace(depth=np.full(1, 1e-6), lowered=np.zeros(1), energy=np.zeros(8))
    now = np.full(at.K_PLACE + 1, -1.0)
    for _ in range(round(seconds / dt)):
        force = np.array([max(LOAD - slope * float(mem.depth[0]), 0.0)])
        sink(dt, plant, now, mem, force, np.full(1, AREA), np.full(1, slope))
    return float(mem.depth[0])


YIELDS = {at.P_YIELD: 4e5, at.P_HARDEN: 6e6, at.P_RATE: 1e-2, at.P_MOST: 0.5}
KNEE = {**YIELDS, at.P_KNEE: 0.02, at.P_AFTER: 2e6}
WEAKER = {**YIELDS, at.P_KNEE: 0.02, at.P_AFTER: -2e5}
CREEPS = {at.P_YIELD: 2e-4, at.P_HARDEN: 2.0, at.P_RATE: 0.01, at.P_MOST: 0.1}
PLUGS = {at.P_YIELD: 5e3, at.P_HARDEN: 2.5e4, at.P_MOST: 0.3}
SPREADS = {**YIELDS, at.P_YIELD: 8e4, at.P_AREA: 0.5}


def resistance(numbers: dict[int, float], depth: float) -> float:
    knee = numbers.get(at.P_KNEE, 0.0) or np.inf
    first = min(depth, knee)
    return numbers[at.P_YIELD] + numbers[at.P_HARDEN] * first + numbers.get(at.P_AFTER, 0.0) * (depth - first)


def yielding(numbers: dict[int, float]):
    area = numbers.get(at.P_AREA, AREA)
    return lambda d: numbers[at.P_RATE] * np.maximum(LOAD / area / resistance(numbers, float(d[0])) - 1.0, 0.0)


def creeping(numbers: dict[int, float]):
    start = numbers[at.P_YIELD] * (LOAD / AREA * 1e-6) ** numbers[at.P_HARDEN]
    return lambda d: start * np.exp(-d / numbers[at.P_RATE]) * np.maximum(1.0 - d / numbers[at.P_MOST], 0.0)


def plugging(numbers: dict[int, float], slope: float = 2e5):
    return lambda d: np.maximum((LOAD - slope * d - numbers[at.P_YIELD]) / numbers[at.P_HARDEN], 0.3)


LAWS = {
    "yields": (at.LAW_YIELDING, YIELDS, yielding(YIELDS), 3.0, 0.0, 4e-4),
    "yields, firmer to a knee": (at.LAW_YIELDING, KNEE, yielding(KNEE), 6.0, 0.0, 2.5e-4),
    "yields, weaker past a knee": (at.LAW_YIELDING, WEAKER, yielding(WEAKER), 6.0, 0.0, 2e-4),
    "under a spreader": (at.LAW_YIELDING, SPREADS, yielding(SPREADS), 3.0, 0.0, 5e-4),
    "creeps": (at.LAW_CREEPING, CREEPS, creeping(CREEPS), 60.0, 0.0, 0.0),
    "lets a plug through": (at.LAW_PLUG, PLUGS, plugging(PLUGS), 0.1, 2e5, 1.1e-2),
}


@pytest.mark.parametrize("name", slow_but(LAWS, "yields, weaker past a knee", "lets a plug through"))
def test_a_law_follows_its_equation_at_every_step(name: str) -> None:
    """`bound` is the share by which it may be off at 4 ms; it shrinks with the step, to the depth it is opened with."""
    law, numbers, rate, seconds, slope, bound = LAWS[name]
    depth = exact(rate, seconds)
    assert depth > 3e-3
    steps = STEPS if seconds < 30.0 else STEPS[2:]
    for dt in steps:
        assert sunk(law, numbers, dt, seconds, slope) == pytest.approx(depth, rel=bound * dt / STEPS[-1] + 6e-5), dt


@pytest.mark.parametrize("numbers", [KNEE, YIELDS, SPREADS])
def test_ground_comes_to_rest_where_it_resists_with_the_pressure(numbers: dict[int, float]) -> None:
    depth = sunk(at.LAW_YIELDING, numbers, 0.02, 600.0)
    assert resistance(numbers, depth) == pytest.approx(LOAD / numbers.get(at.P_AREA, AREA), rel=1e-4)


def test_a_knee_of_none_changes_nothing() -> None:
    assert sunk(at.LAW_YIELDING, {**YIELDS, at.P_AFTER: 9e9}, 1e-3, 2.0) == sunk(at.LAW_YIELDING, YIELDS, 1e-3, 2.0)


@pytest.mark.parametrize("k", [1e8, 5e8])
def test_a_floor_that_bends_is_bent_by_load_over_stiffness_within_few_steps(k: float) -> None:
    plant = SimpleNamespace(give=np.zeros(1), bent=np.zeros(1))
    mem = SimpleNamespace(bent=np.zeros(1), energy=np.zeros(8))
    squeezed, loads = 0.02, []
    for _ in range(4):  # a tyre held at one height: what the floor gives its compression loses
        compression = squeezed - float(plant.give[0])
        loads.append(LOAD * (compression / squeezed) ** 1.5)
        stored = bend(0, plant, mem, loads[-1], 0.0, compression, k)
    assert plant.give[0] == pytest.approx(loads[-1] / k, rel=1e-6)
    assert stored == pytest.approx(0.5 * k * plant.give[0] ** 2)
    bend(0, plant, mem, 0.0, 0.0, 0.0, k)
    assert plant.give[0] == 0.0


@pytest.mark.parametrize("k", [1.5e8, 1e8, 5e8, 0.0])
def test_what_a_tyre_gives_up_on_a_floor_of_another_stiffness_is_booked(k: float) -> None:
    """A tyre held at one height comes from 1.5e8 N/m onto k: tyre, bent floor and floor's account keep their sum.

    The tyre's energy is 2/5 of load times compression (a force that grows with the power 1.5).
    """
    squeezed, first = 0.02, 1.5e8
    give = 4e-4
    for _ in range(20):
        give = LOAD * ((squeezed - give) / squeezed) ** 1.5 / first
    plant = SimpleNamespace(give=np.array([give]))
    mem = SimpleNamespace(bent=np.array([0.5 * first * give**2]), energy=np.zeros(8))
    totals = []
    for _ in range(6):
        compression = squeezed - float(plant.give[0])
        load = LOAD * (compression / squeezed) ** 1.5
        stored = bend(0, plant, mem, load, 0.0, compression, k)
        totals.append(0.4 * load * compression + stored + float(mem.energy[at.E_FLOOR]))
    assert totals[1:] == pytest.approx(
        [0.4 * LOAD * ((squeezed - give) / squeezed) ** 2.5 * squeezed + 0.5 * first * give**2] * 5, abs=0.02
    )
    assert abs(mem.energy[at.E_FLOOR]) > 1.0 or k == first
    assert plant.give[0] == pytest.approx(load / k if k else 0.0, rel=1e-6)


def test_the_work_of_sinking_is_the_load_over_the_way() -> None:
    """A plug falls under a tyre that is held: 65 kN at first, 6 kN less with each millimetre, in nine steps."""
    slope = 6e6
    place = np.zeros((1, at.N_PLACE))
    place[0, at.P_LAW], place[0, at.P_HX], place[0, at.P_HARDEN], place[0, at.P_MOST] = at.LAW_PLUG, 0.3, 2.5e4, 0.5
    plant = SimpleNamespace(place=place)
    mem = SimpleNamespace(depth=np.full(1, 1e-6), lowered=np.zeros(1), energy=np.zeros(8))
    now = np.full(at.K_PLACE + 1, -1.0)
    for _ in range(9):
        way = float(mem.depth[0])
        sink(1e-3, plant, now, mem, np.array([LOAD - slope * way]), np.full(1, AREA), np.full(1, slope))
    assert LOAD / slope / 2 < way < LOAD / slope
    assert mem.energy[at.E_FLOOR] == pytest.approx(LOAD * way - 0.5 * slope * way**2, rel=1e-3)


def test_a_rut_grows_where_its_tyre_is_and_keeps_its_far_end() -> None:
    """The tyre sinks at one end of its rut: the other end, where another tyre may stand, stays where it is."""
    place = np.zeros(at.N_PLACE)
    place[at.P_X], place[at.P_Y], place[at.P_COS], place[at.P_SIN] = 3.0, 1.0, 0.6, 0.8
    place[at.P_HX], place[at.P_REACH], place[at.P_MIDDLE] = 0.9, 0.6, 0.1
    lengthen(place, 0.7, 0.35)
    assert place[at.P_HX] == pytest.approx(0.975)
    assert place[at.P_X : at.P_Y + 1] == pytest.approx([3.0 + 0.075 * 0.6, 1.0 + 0.075 * 0.8])
    assert place[at.P_MIDDLE] == pytest.approx(0.1 - 0.075), "the middle of its way has not moved"
    before = place.copy()
    lengthen(place, 0.3, 0.35)
    assert (place == before).all()


def test_creep_never_passes_its_bottom_and_a_plug_stops_at_its_own() -> None:
    depth = 0.0
    for _ in range(1000):
        depth = creep_depth(depth, 2e6, 1.0, 2.0, 0.05, 0.1, 4e-3)
    assert 0.05 < depth <= 0.1
    assert creep_depth(0.5, 1e6, 1.0, 2.0, 0.01, 0.6, 1e-3) == 0.5, "deeper than 30 scales it stands"
    assert plug_depth(0.299, 1e6, 0.0, 0.0, 2.5e4, 0.3, 4e-3) == 0.3
    assert plug_depth(0.1, 0.0, 0.0, 0.0, 2.5e4, 0.3, 1e-3) == pytest.approx(0.1003), (
        "what broke out falls on by itself"
    )
