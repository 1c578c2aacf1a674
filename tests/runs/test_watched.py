"""What is watched step by step, against numpy over the whole record: two routes to words, distances, energies.

Measured, old against new on a busy machine: watching each step costs pybullet's step 4 % and the compiled one 1 to 2 %;
540 runs simulated and assessed took 464 s of processor time when the record was read by numpy afterwards, 303 s now.
"""

from __future__ import annotations

from math import isfinite
from pathlib import Path

import numpy as np
import pytest

from drawn import draws
from few import slow_but
from oracle_motion import Motion
from oracle_words import floor_state, load_state, settled, steer_share, truck_state, tyres_off
from shipped_runs import shipped_case, shipped_run
from tipline.endings import LINES
from tipline.engines import simulate
from tipline.engines.prepare import prepare
from tipline.engines.watching import watch_of
from tipline.floors.laws.of_floor import floor_laws
from tipline.kernels import layout as at
from tipline.kernels.watching import C_SOFT
from tipline.mechanics.constants import STANDARD_GRAVITY
from tipline.model.shipped import list_shipped
from tipline.results import Run
from tipline.runs.outcome import seen_of
from tipline.scenario import Case
from tipline.statics.barrier import crest_losses, energies_to_tip
from tipline.statics.truck import truck_of
from trucks import rolled

NAMES = list_shipped()["scenario"]


def run_of(case: Case) -> Run:
    return simulate(case, losses=crest_losses(case), zones=floor_laws(case).zones)


def agrees(case: Case, run: Run) -> None:
    """Hold what was watched of a run to what numpy makes of its record."""
    seen, motion = seen_of(run), Motion(run, truck_of(case))
    crests, at_rest = energies_to_tip(truck_of(case))
    bounds = watch_of(prepare(case), float(run.meta["time_step_s"])).crest[:, C_SOFT]
    left = motion.energy_left(crests, at_rest, dict(zip(LINES, bounds.tolist(), strict=True)))
    decided = settled(motion, left)
    state = truck_state(motion, decided=decided)
    load, events = load_state(motion, state)
    assert (seen.truck, seen.lifted_load, seen.floor) == (state.word, load, floor_state(motion))
    assert (seen.line or None, bool(seen.decided)) == (state.line, decided)
    step = float(run.meta["time_step_s"])
    if state.no_return is None:
        assert seen.no_return is None
    else:
        assert seen.no_return == pytest.approx(float(run.time[state.no_return]), abs=12 * step)
    assert [text for _, text in seen.load_events] == [text for _, text in events]
    assert [when for when, _ in seen.load_events] == pytest.approx([when for when, _ in events], abs=2 * step)
    # where ground that a tyre rolls in grows, numpy has its last extent for the whole run
    near = 1e-6 if not any(place.get("zone") for place in run.meta["places"]) else 0.01
    for line, apart in motion.distances.items():
        assert np.allclose(run.series(f"distance.{line}"), apart, rtol=1e-6, atol=near, equal_nan=True), line
    weight = float(motion.masses[0].sum()) * 9.81
    # what forks hold under a load that lies free on them is left out of a bound, as what a rope holds is
    forks = 0.02 * float(run.series("energy.elastic")[0]) if run.series("fork_force")[0] > 0.0 else 0.0
    for line in LINES:
        within = near * weight + (0.0 if isfinite(crests[line]) else forks)
        assert np.allclose(run.series(f"energy_left.{line}"), left[line], rtol=1e-6, atol=within), line
    assert np.allclose(run.series("steer_axle_share"), steer_share(motion), equal_nan=True)
    assert np.allclose(run.series("balance_x")[: len(run.time) // 4], motion.balance[: len(run.time) // 4, 0])
    off = tyres_off(motion)
    for column, name in enumerate(run.tyres):
        first = run.time[off[:, column]][:1].tolist()
        assert ([seen.off[name][0]] if name in seen.off else []) == first, name
    part = slice(0, len(run.time) if state.no_return is None else state.no_return + 1)
    for line, (least, _) in seen.distance.items():
        known = motion.distances[line][part]
        if np.isfinite(known).any():
            assert least == pytest.approx(float(np.nanmin(known)), abs=max(near, 1e-4)), line


@pytest.mark.parametrize(
    "name",
    slow_but(
        ["front-tyre-breaks-through-load-high", "service-stop-load-high", "load-shed-from-the-jib"],
        "front-tyre-breaks-through-load-high",
    ),
)
def test_three_runs_are_watched_as_numpy_reads_their_record(
    name: str, tmp_path_factory: pytest.TempPathFactory
) -> None:
    agrees(shipped_case(name), shipped_run(tmp_path_factory, name))


@pytest.mark.slow
@pytest.mark.parametrize("name", NAMES)
def test_shipped_runs_and_their_neighbours_are_watched_as_numpy_reads_their_record(
    name: str, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Of one its own run, of the next its neighbour's, which ends otherwise."""
    neighbour = NAMES.index(name) % 2 == 1
    agrees(shipped_case(name, neighbour=neighbour), shipped_run(tmp_path_factory, name, neighbour=neighbour))


def test_a_line_for_which_no_crest_is_found_has_the_bound_and_not_the_crest_of_a_rigid_truck(
    tmp_path_factory: pytest.TempPathFactory,
) -> None:
    """Many runs, which know the bound alone, tell the same energy left of it, less what the rope holds at rest."""
    name = "hung-load-swings-ahead-in-a-stop"
    run, case = shipped_run(tmp_path_factory, name), shipped_case(name)
    assert [line for line, lost in zip(LINES, crest_losses(case), strict=True) if not isfinite(lost)] == ["back"]
    truck = truck_of(case)
    bounded = rolled(prepare(case), 0.0).record[0, -at.N_WATCHED :][at.W_ENERGY + LINES.index("back")]
    rope = 0.5 * (truck.load_mass * STANDARD_GRAVITY) ** 2 / float(truck.plant.link[at.L_RO_K])
    assert rope > 10.0
    assert float(run.series("energy_left.back")[0]) == pytest.approx(bounded + rope, abs=1.0)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(4))
def test_random_runs_are_watched_as_numpy_reads_their_record(seed: int) -> None:
    for case in draws(5, 900 + seed):
        agrees(case, run_of(case))


def test_what_was_watched_comes_back_from_disk(tmp_path: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    run = shipped_run(tmp_path_factory, "front-tyre-breaks-through-load-high")
    run.to_parquet(tmp_path / "run.parquet")
    assert Run.from_parquet(tmp_path / "run.parquet").watched == run.watched
