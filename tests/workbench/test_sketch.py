"""Side view and plan: what is drawn where, held to sizes of the machine and to the figures of `check`."""

from __future__ import annotations

import re

import numpy as np
import pytest

import tipline
from tipline.geometry.assembly import Part
from tipline.geometry.solids import box
from tipline.view import palette
from tipline.view.outlines import outline_of
from tipline.workbench.bench import Bench
from tipline.workbench.sketch import plan, side_view


def part(solid: object) -> Part:
    return Part("x", 0, solid.vertices, solid.faces, 0.0, (0.5, 0.5, 0.5), "x")  # type: ignore[attr-defined]


def area(path: str) -> float:
    """Give the area inside a path of straight lines, holes taken off."""
    total = 0.0
    for loop in re.findall(r"M([^Z]*)Z", path):
        points = np.array([[float(n) for n in point.split()] for point in loop.split("L")])
        x, y = points.T
        total += 0.5 * float(x @ np.roll(y, -1) - y @ np.roll(x, -1))
    return abs(total)


def test_a_box_seen_from_the_side_is_a_rectangle() -> None:
    path = outline_of(part(box((0, 0, 0), (2, 1, 0.5))), np.array([0.0, -1.0, 0.0]), (0, 2))
    assert path.count("M") == 1
    assert area(path) == pytest.approx(1.0)


def test_every_part_covers_what_it_covers_by_its_faces() -> None:
    """Against the sum of what the faces that look there cover, for parts that nowhere lie over themselves."""
    case = Bench("service-stop-load-high").case()
    from tipline.statics.truck import truck_of

    compared = 0
    for part in truck_of(case).assembly.parts:
        corners = part.vertices[part.faces]
        normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
        seen = -0.5 * normal[normal[:, 1] < 0.0, 1].sum()
        if seen > 1e-3:
            compared += 1
            assert area(outline_of(part, np.array([0.0, -1.0, 0.0]), (0, 2))) == pytest.approx(seen, rel=0.03, abs=2e-3)
    assert compared > 20


def test_pictures_say_what_check_says() -> None:
    case = Bench().case()
    pose = tipline.check(case)
    seen, above = side_view(case, pose).svg, plan(case, pose).svg
    assert "hook 7 m" in seen
    assert f">{palette.force(pose.axle_share['drive'] * pose.weight, 'si')}<" in seen
    for load in pose.tyre_loads.values():
        assert f">{palette.force(load, 'si')}<" in above
    for line, distance in pose.distances.items():
        assert f">{line} {1e3 * distance:.0f} mm<" in above
    x, y = pose.balance_point
    assert f'<circle cx="{x:.3f}"'.rstrip("0") in above.replace('"', '"')
    assert abs(y) < 0.01


def test_tyres_and_front_line_lie_where_the_machine_has_them_whatever_its_heading() -> None:
    bench = Bench()
    lines = []
    for heading in ("0 deg", "130 deg"):
        bench.change("setup.heading", heading)
        case = bench.case()
        drawn = plan(case, tipline.check(case)).svg
        lines.append([float(n) for n in re.findall(r'd="M(\S+) (\S+)L(\S+) (\S+)" class="tip"', drawn)[0]])
        tyre = case.machine.drive_axle.tyre[0]
        assert f'x="{-tyre.diameter / 2:.3f}"'.replace('0"', '"') in drawn
    assert lines[0] == pytest.approx(lines[1], abs=2e-3)
    assert lines[0][0] == pytest.approx(0.0, abs=0.05)  # under the drive axle
    assert abs(lines[0][3] - lines[0][1]) == pytest.approx(1.2, abs=0.3)


def test_a_set_up_that_does_not_stand_is_drawn_without_figures() -> None:
    bench = Bench()
    bench.change("load.mass", "30 t")
    case = bench.case()
    pose = tipline.check(case)
    assert not pose.stands.startswith("stands")
    assert 'class="tyre' not in plan(case, pose).svg
    assert "nan" not in plan(case, pose).svg + side_view(case, pose).svg
