"""What the assembly keeps from truck to truck: weighed solids, never a number that belongs to another truck."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest

from tipline.geometry import Assembly, assemble
from tipline.geometry.assembly import KEPT
from tipline.geometry.solids import prism_faces
from tipline.mechanics.mass import solid_moments
from tipline.model.load import LiftedLoad
from tipline.model.quantities import Spec
from tipline.model.reader import read_machine
from tipline.scenario.spec import Setup

Path = tuple[str | int, ...]
LOAD = LiftedLoad(mass=4000.0, size=(1.8, 1.4, 1.6), height_of_centre=0.7, hung_by=0.9, rigging_weight=90.0)

MIRROR = np.diag((1.0, -1.0, 1.0))


def numbers(spec: Spec, path: Path = ()) -> Iterator[Path]:
    """Paths to every number of a machine."""
    for name, value in vars(spec).items():
        items = value if isinstance(value, tuple) else (value,)
        for index, item in enumerate(items):
            where = (*path, name, index) if isinstance(value, tuple) else (*path, name)
            if isinstance(item, Spec):
                yield from numbers(item, where)
            elif isinstance(item, float):
                yield where


def scaled(value: Any, path: Path, factor: float) -> Any:
    """The same with the number at a path multiplied."""
    if not path:
        return value * factor
    first, rest = path[0], path[1:]
    if isinstance(first, str):
        return value.model_copy(update={first: scaled(getattr(value, first), rest, factor)})
    return (*value[:first], scaled(value[first], rest, factor), *value[first + 1 :])


def assert_same(one: Assembly, other: Assembly) -> None:
    for name in ("mass", "centre", "inertia"):
        assert np.array_equal(getattr(one, name), getattr(other, name)), name
    for a, b in zip(one.parts, other.parts, strict=True):
        assert a.mass == b.mass, a.name
        assert np.array_equal(a.vertices, b.vertices), a.name
    for p, q in zip(one.contacts, other.contacts, strict=True):
        assert p.name == q.name
        assert np.array_equal(p.position, q.position), p.name


@pytest.mark.slow
@pytest.mark.parametrize("attachment", ["forks", "jib"])
def test_no_number_of_another_truck_is_kept(attachment: str) -> None:
    """Each number of the machine file changed in turn, with everything kept and with nothing kept: the same bits."""
    place: dict[str, Any] = {"fork_height": 0.3} if attachment == "forks" else {"hook_height": 5.0, "jib_reach": 1.6}
    setup = Setup(attachment=attachment, ballast_slabs=2, counterweight_extension=0.6, tilt=0.02, **place)
    truck = read_machine("demo-truck-a")
    first = assemble(truck, setup, LOAD)
    paths = [path for path in numbers(truck) if path[0] not in ("capacity_plate", "weighings", "drive")]
    told = 0
    for path in paths:
        other = scaled(truck, path, 0.995)
        warm = assemble(other, setup, LOAD, first)
        for function in (*KEPT, prism_faces):
            function.cache_clear()
        assert_same(warm, assemble(other, setup, LOAD))
        told += not np.array_equal(first.inertia, warm.inertia)
        assemble(truck, setup, LOAD)
    assert len(paths) > 80
    assert told > 30


def test_trucks_that_differ_in_springs_or_load_share_their_solids() -> None:
    truck, setup = read_machine("demo-truck-a"), Setup(attachment="jib", hook_height=5.0, jib_reach=1.6)
    assemble(truck, setup, LOAD)
    before = [function.cache_info().misses for function in KEPT]
    assemble(scaled(truck, ("drive_axle", "tyre", 0, "stiffness"), 1.1), setup, LOAD)
    assemble(scaled(truck, ("mast", "stiffness_sideways"), 1.1), setup, LOAD.model_copy(update={"mass": 3000.0}))
    assert [function.cache_info().misses for function in KEPT] == before


def test_trucks_that_differ_in_what_stands_behind_the_mast_share_mast_and_carriage() -> None:
    """A whole grid of loads asks a truck of which little is known nine times, at each height of its forks."""
    truck, setup = read_machine("demo-truck-a"), Setup(attachment="forks", fork_height=1.7)
    first = assemble(truck, setup)
    upright = KEPT[2]  # weighs mast, carriage and attachment
    before = upright.cache_info().misses
    for path in (("counterweight", "mass"), ("chassis", "mass"), ("steer_axle", "mass")):
        other = assemble(scaled(truck, path, 1.1), setup)
        assert other.mass[:2].sum() + other.mass[4] > first.mass[:2].sum() + first.mass[4]
    assert upright.cache_info().misses == before
    assemble(scaled(truck, ("chassis", "deck_height"), 1.1), setup)  # the tilt cylinders hold the mast higher up
    assert upright.cache_info().misses == before + 1


@pytest.mark.parametrize("tilt", [0.0, 0.05])
def test_a_load_weighed_once_and_moved_weighs_as_where_it_stands(tilt: float) -> None:
    """Inertia from the solids in place, to 1e-11: they stand off the origin by several of their sizes.

    The cabinet is drawn on one side only, which is told of no load: what weighs is half the solids as drawn and half
    their mirror images, whose products of inertia to a side cancel.
    """
    setup = Setup(attachment="forks", fork_height=1.3, tilt=tilt)
    load = LiftedLoad(mass=4000.0, size=(1.8, 1.4, 1.6), height_of_centre=0.7, centre_offset=(0.1, 0.05))
    found = assemble(read_machine("demo-truck-a"), setup, load)
    parts = [part for part in found.parts if part.body == 5]
    moments = [solid_moments(part.vertices[part.faces]) for part in parts]
    volume, moment, second = (sum(values) for values in zip(*moments, strict=True))
    own = moment[0] / volume[0]
    spread = second[0] - volume[0] * np.outer(own, own)
    drawn = 4000.0 / volume[0] * (np.trace(spread) * np.eye(3) - spread)
    direct = 0.5 * (drawn + MIRROR @ drawn @ MIRROR)
    assert np.abs(drawn - direct).max() > 50.0
    assert np.abs(found.inertia[5] - direct).max() < 1e-11 * np.abs(direct).max()
    assert sum(part.mass for part in parts) == pytest.approx(4000.0, rel=1e-12)
    assert found.mass[5] == 4000.0
