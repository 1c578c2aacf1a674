"""What is dragged in the side view: each grip moves as the part it moves, between what the machine can do."""

from __future__ import annotations

import re

import pytest

import tipline
from tipline.errors import InputError
from tipline.kernels.layout import COUNTERWEIGHT, LOAD
from tipline.statics.truck import truck_of
from tipline.units import System
from tipline.workbench.bench import FIRST, Bench
from tipline.workbench.grips import Grip
from tipline.workbench.sketch import Drawing, side_view

OF_JIB = ["setup.ballast_slabs", "setup.counterweight_extension", "setup.hook_height", "setup.jib_reach"]


def drawn(bench: Bench, system: System = "si") -> Drawing:
    case = bench.case()
    return side_view(case, tipline.check(case), system)


def grip(bench: Bench, key: str, system: System = "si") -> Grip:
    return next(grip for grip in drawn(bench, system).grips if grip.key == key)


def typed(slider: Grip, value: float) -> str:
    return f"{value:.10g} {slider.unit}".strip()


def test_what_can_be_dragged_goes_with_the_attachment() -> None:
    assert sorted(grip.key for grip in drawn(Bench()).grips) == OF_JIB
    on_forks = drawn(Bench("service-stop-load-high")).grips
    assert sorted(grip.key for grip in on_forks) == [*OF_JIB[:2], "setup.fork_height"]


@pytest.mark.parametrize(
    ("name", "key"), [*((FIRST, key) for key in OF_JIB), ("service-stop-load-high", "setup.fork_height")]
)
def test_every_stop_can_be_and_one_past_either_end_cannot(name: str, key: str) -> None:
    bench = Bench(name)
    slider = grip(bench, key)
    assert list(slider.stops) == sorted(set(slider.stops))
    for value in (slider.stops[0], slider.stops[len(slider.stops) // 2], slider.stops[-1]):
        bench.change(key, typed(slider, value))
        assert grip(bench, key).now == value
    for value in (slider.stops[0] - 0.2, slider.stops[-1] + 0.2) if slider.unit else (-1, slider.stops[-1] + 1):
        bench.change(key, typed(slider, value))
        with pytest.raises(InputError):
            bench.case()


@pytest.mark.parametrize(
    ("name", "key"), [*((FIRST, key) for key in OF_JIB[1:]), ("service-stop-load-high", "setup.fork_height")]
)
def test_in_feet_every_stop_can_be_and_is_the_same_place(name: str, key: str) -> None:
    bench = Bench(name)
    slider, metric = grip(bench, key, "us"), grip(bench, key)
    assert (slider.unit, slider.along) == ("ft", metric.along)
    assert (slider.x, slider.z, slider.now) == pytest.approx((metric.x, metric.z, metric.now / 0.3048), abs=6e-4)
    assert slider.per == pytest.approx(0.3048 * metric.per)
    assert (slider.stops[0], slider.stops[-1]) == pytest.approx(
        (metric.stops[0] / 0.3048, metric.stops[-1] / 0.3048), abs=1.1e-3
    )
    for value in (slider.stops[0], slider.stops[1], slider.stops[-1]):
        bench.change(key, typed(slider, value))
        assert grip(bench, key, "us").now == value


def test_in_feet_pins_and_steps_stay_the_machine_s_and_heights_go_by_three_inches() -> None:
    by_key = {grip.key: grip.stops for grip in drawn(Bench(), "us").grips}
    assert by_key["setup.jib_reach"] == (3.281, 4.265, 5.249, 6.234, 7.218)
    assert by_key["setup.counterweight_extension"] == pytest.approx([0.1 * n / 0.3048 for n in range(13)], abs=6e-4)
    heights = by_key["setup.hook_height"]
    assert (heights[0], heights[1], heights[-2], heights[-1]) == (8.531, 8.75, 23.0, 23.129)


def test_stops_are_whole_steps_and_pins_of_the_machine() -> None:
    by_key = {grip.key: grip.stops for grip in drawn(Bench()).grips}
    assert by_key["setup.counterweight_extension"] == pytest.approx([0.1 * n for n in range(13)])
    assert by_key["setup.ballast_slabs"] == tuple(range(7))
    assert by_key["setup.jib_reach"] == (1.0, 1.3, 1.6, 1.9, 2.2)
    heights = by_key["setup.hook_height"]
    assert (heights[0], heights[-1]) == (2.6, 7.05)  # 0.9 m of rope and 1.6 m of load, 0.1 m above the floor
    assert heights[1:-1] == pytest.approx([0.05 * n for n in range(53, 141)])


@pytest.mark.parametrize(
    ("key", "before", "after", "body"),
    [
        ("setup.counterweight_extension", 1.2, 0.5, COUNTERWEIGHT),
        ("setup.hook_height", 7.0, 4.0, LOAD),
        ("setup.jib_reach", 1.6, 2.2, LOAD),
    ],
)
def test_a_grip_moves_as_far_as_what_it_moves(key: str, before: float, after: float, body: int) -> None:
    bench = Bench()
    parts, grips = [], []
    for value in (before, after):
        bench.change(key, f"{value} m")
        slider = grip(bench, key)
        corners = [part.vertices.min(axis=0) for part in truck_of(bench.case()).assembly.parts if part.body == body]
        parts.append(min(corner[0 if slider.along == "x" else 2] for corner in corners))
        grips.append(slider.x if slider.along == "x" else slider.z)
    assert parts[1] - parts[0] == pytest.approx(slider.per * (after - before), abs=1e-9)
    assert grips[1] - grips[0] == pytest.approx(slider.per * (after - before), abs=1e-9)


def test_the_frame_stays_where_it_is_while_one_drags() -> None:
    bench = Bench()
    bench.change("load.mass", "4.1 t")  # nothing is kept of it yet
    frames = set()
    for key, text in (("hook_height", "2.6 m"), ("hook_height", "7.05 m"), ("jib_reach", "2.2 m"),
                      ("counterweight_extension", "0 m"), ("ballast_slabs", "6")):  # fmt: skip
        bench.change(f"setup.{key}", text)
        frames |= set(re.findall(r'viewBox="([^"]*)"', drawn(bench).svg))
    assert len(frames) == 1
    left, top, _, _ = map(float, frames.pop().split())
    points = [part.vertices for part in truck_of(bench.case()).assembly.parts]
    assert min(part[:, 0].min() for part in points) > left
    assert max(part[:, 2].max() for part in points) < -top


def test_parts_are_held_and_slabs_that_are_off_are_drawn() -> None:
    bench = Bench()
    held = re.findall(r'class="hold" data-grip="([^"]*)"', drawn(bench).svg)
    assert held == ["setup.hook_height setup.jib_reach"] * 2 + ["setup.counterweight_extension"]
    for slabs in (0, 4, 6):
        bench.change("setup.ballast_slabs", str(slabs))
        assert drawn(bench).svg.count('class="off"') == 6 - slabs
