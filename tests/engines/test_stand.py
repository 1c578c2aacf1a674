"""Claims about standing on ground that sinks slowly."""

from __future__ import annotations

import numpy as np
import pytest

from tipline.engines import simulate
from tipline.engines import stand as slow
from tipline.floors.laws.of_floor import floor_laws
from tipline.geometry.ground import ZoneLaw
from tipline.results import Run
from trucks import FORKS, HUNG, case

SLOW = (300e3, 1e6, 1e-4, 0.6)
QUICK = (500e3, 8e6, 0.05, 0.35)


def soft(soil: tuple[float, float, float, float]) -> tuple[ZoneLaw, ...]:
    return (ZoneLaw("soft", (0.0, 0.66), 0.0, (1.0, 1.0), "soft", soil=soil),)


def go(seconds: str, soil: tuple[float, float, float, float], duration: str = "1 s", height: str = "4 m") -> Run:
    settings = {"run.stand": seconds, "run.duration": duration, "setup.fork_height": height}
    return simulate(case(FORKS, settings), zones=soft(soil))


@pytest.mark.slow
def test_standing_slowly_agrees_with_simulating_the_same_time() -> None:
    stood = go("20 s", SLOW).series("place_depth.0")[0]
    simulated = go("0 s", SLOW, "20 s").series("place_depth.0")[-1]
    assert stood > 4e-3
    assert stood == pytest.approx(simulated, rel=1e-2)  # steps of first order


def test_what_was_stood_out_is_at_rest_when_the_simulation_begins() -> None:
    run = go("600 s", QUICK)
    depth = run.series("place_depth.0")
    assert depth[0] > 0.05
    assert depth[-1] - depth[0] < 1e-5
    assert np.abs(run.series("roll") - run.series("roll")[0]).max() < 1e-5
    assert any("stood 600 s" in note for note in run.meta["notes"])


@pytest.mark.slow
def test_finer_steps_give_the_same_depth(monkeypatch: pytest.MonkeyPatch) -> None:
    coarse = go("60 s", SLOW).series("place_depth.0")[0]
    monkeypatch.setattr(slow, "FINEST", slow.FINEST / 8)
    monkeypatch.setattr(slow, "LONGEST_SHARE", slow.LONGEST_SHARE / 8)
    assert go("60 s", SLOW).series("place_depth.0")[0] == pytest.approx(coarse, rel=5e-3)


@pytest.mark.slow
def test_it_ends_where_the_truck_comes_down_on_its_belly() -> None:
    low = go("3000 s", SLOW, height="0.5 m")
    assert any("touched the floor" in note for note in low.meta["notes"])


@pytest.mark.slow
def test_it_ends_where_no_pose_at_rest_is_left_and_the_truck_goes_over_from_there() -> None:
    """Load up, on a slope towards the tyre that sinks; on the level the same truck comes down on its belly."""
    yields = soft((450e3, 0.3e6, 2e-4, 0.6))
    slope = {"setup.slope": "6 deg", "setup.slope_towards": "90 deg"}
    over = simulate(case(HUNG, {"run.stand": "3000 s", "run.duration": "12 s", **slope}), zones=yields)
    assert any("no pose at rest was left" in note for note in over.meta["notes"])
    roll = np.degrees(np.abs(over.series("roll")))
    assert roll[0] < 6.0
    assert roll.max() > 30.0
    level = simulate(case(HUNG, {"run.stand": "3000 s", "run.duration": "0.5 s"}), zones=yields)
    assert any("touched the floor" in note for note in level.meta["notes"])


@pytest.mark.parametrize("floor", ["demo-yard-b", "demo-hall-e"])
def test_where_nothing_sinks_standing_changes_nothing(floor: str) -> None:
    """No event, so that no place is open, on a part of the floor that does not sink: hardstanding, a slab."""
    made = case(FORKS, {"floor": floor, "run.stand": "10 min", "run.duration": "0.1 s", "event": "[]"})
    run = simulate(made, zones=floor_laws(made).zones)
    assert np.ptp(run.series("roll")) < 1e-6
    assert any("stood 600 s: deepest place 0 mm" in note for note in run.meta["notes"]), run.meta["notes"]
