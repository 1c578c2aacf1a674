"""Tables of machine and floor files added and taken away, each list and kind that the schema has."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tipline.errors import InputError
from tipline.workbench.bench import FIRST, Bench
from tipline.workbench.fields import FormKind, parts_of
from tipline.workbench.tables import change_tables

FLOORS = ("demo-hall-a", "demo-hall-b", "demo-hall-d", "demo-site-a", "demo-yard-a", "demo-yard-b")
NOT_ALONE = ("tyre", "past_load", "indentation", "section")
"""Lists that a single table is not added to: it is refused with what else is to be changed."""


def lists(bench: Bench, form: FormKind) -> Iterator[tuple[str, str]]:
    for part in parts_of(bench.case(), (), form):
        yield from ((key, kind) for key, kinds in part.adds for kind in kinds)


def entries(bench: Bench, form: FormKind) -> set[str]:
    return {part.entry for part in parts_of(bench.case(), (), form) if part.entry}


@pytest.mark.parametrize("floor", FLOORS)
def test_to_every_list_of_a_file_a_table_of_every_kind_is_added_and_taken_away(floor: str) -> None:
    """Each list once, by its last name."""
    given = {"machine": "demo-truck-a", "floor": floor}
    forms: tuple[FormKind, ...] = ("machine", "floor") if floor == FLOORS[0] else ("floor",)
    for form in forms:
        every = lists(Bench(FIRST, changes=dict(given)), form)
        for key, kind in {(key.rpartition(".")[2], kind): (key, kind) for key, kind in every}.values():
            if key.rpartition(".")[2] in NOT_ALONE:
                continue
            bench = Bench(FIRST, changes=dict(given))
            before = entries(bench, form)
            change_tables(bench, "add-table", f"{key} {kind}".strip())
            (new,) = {entry for entry in entries(bench, form) - before if entry.rpartition(".")[0] == key}
            change_tables(bench, "drop-table", new)
            assert entries(bench, form) == before


def test_a_zone_that_is_added_is_of_its_kind_beside_the_others_and_keeps_what_was_changed() -> None:
    bench = Bench(FIRST, changes={"floor": "demo-hall-d", "floor.zone.1.name": "west trench"})
    before = bench.case().floor
    change_tables(bench, "add-table", "floor.zone hole")
    floor = bench.case().floor
    assert floor.zone[: len(before.zone)] == before.zone
    assert floor.zone[1].name == "west trench"
    hole = floor.zone[-1]
    assert (hole.kind, hole.name, hole.depth) == ("hole", "hole 1", 0.1)  # type: ignore[union-attr]
    assert hole.corners[0] == (31.0, 0.0)  # a metre beside the hall, 30 m by 18 m from the origin
    bench.change("floor.zone.5.depth", "0.3 m")
    change_tables(bench, "add-table", "floor.zone hole")
    assert [zone.depth for zone in bench.case().floor.zone[-2:]] == [0.3, 0.3]  # type: ignore[union-attr]
    change_tables(bench, "drop-table", "floor.zone.0")
    assert bench.case().floor.zone[0].name == "west trench"


def test_what_the_file_does_not_take_is_told_and_the_bench_stays() -> None:
    bench = Bench(FIRST, changes={"floor": "demo-hall-a"})
    for how, which, words in (
        ("add-table", "floor.past_load", "nothing is asked"), ("drop-table", "machine.drive_axle.tyre.0", "2"),
        ("add-table", "machine.mast.section", "stiffness_fore_aft"),
        ("add-table", "floor.zone pit", "no such table"), ("add-table", "scenario.event drive", "no such table"),
        ("drop-table", "floor.zone.7", "no such table"), ("drop-table", "machine.drive_axle", "no such table"),
    ):  # fmt: skip
        with pytest.raises(InputError, match=words):
            change_tables(bench, how, which)
        assert bench.changes == {"floor": "demo-hall-a"}
