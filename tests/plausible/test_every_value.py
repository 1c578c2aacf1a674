"""Every value that a file may hold changes an answer, or a page says that it is not used.

The keys are those of the specs, so a new key fails here until an input in `every_key.toml` has it and something comes
of it. An answer is what is worked out: the truck's arrays, pose and commands at a run's first instant, what a floor is
asked and how it gives in a run, limits at rest, the rows of a sweep. A value that only turns up again as it was read is
no answer. A limit, such as the stroke of a counterweight, is used where what goes beyond it is refused.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterator, Mapping
from contextlib import suppress
from dataclasses import fields
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from pydantic import BaseModel
from tests.shared.cases import truck_of_channels
from tests.shared.every_value import Answer, Base, leaves, patterns, plain, same, unnoticed
from tests.shared.spec_sheet import sheet_of, sheet_text

from tipline import scenario
from tipline.commands.delivered import names
from tipline.engines.many import Start
from tipline.engines.prepare import prepare
from tipline.engines.simulate import simulate
from tipline.errors import TiplineError
from tipline.floors.answers.demand import demand, route
from tipline.floors.laws.of_floor import floor_laws
from tipline.model.floor import Floor
from tipline.model.machine import Machine
from tipline.model.reader import read_machine
from tipline.model.structure import structural_loads
from tipline.pose.weighings import weighed
from tipline.report.weighings import weighings
from tipline.runs.expected import expected
from tipline.runs.outcome import Outcome
from tipline.scenario import Case
from tipline.scenario.route import Route, read_route
from tipline.scenario.spec import Scenario
from tipline.scenario.sweep import Sweep
from tipline.scenario.sweep_plan import SweepPlan
from tipline.scenario.sweep_reader import read_sweep
from tipline.scenario.unmet import as_told
from tipline.statics.planning import governs, plate_row
from tipline.statics.truck import truck_of
from tipline.sweeps.draws import Rows
from tipline.sweeps.inputs import knobs
from tipline.sweeps.job import columns, job_of
from tipline.sweeps.spread import planned
from tipline.truck_fit.readings import sag_reading, weighing_readings
from tipline.truck_fit.unknowns import unknowns_of

INPUTS = tomllib.loads((Path(__file__).parent / "every_key.toml").read_text(encoding="utf-8"))
REFUSED = {"zone.*[ground].platform.undrained_strength"}
"""Refused wherever they are given: a platform is granular."""
OURS = {"file", "origins", "load.origins", "plate_and_tape.chosen"}
"""Filled in by the reader: no keys of a file."""
TEXTS = {
    "expect.because": "tests/runs/test_expected.py::test_a_run_that_ends_so_says_so",
    "expect.neighbour.because": "tests/runs/test_expected.py::test_a_run_that_ends_so_says_so",
    "question": "tests/sweeps/test_assessment.py::test_page_summary_plots_and_notebook",
}
"""Words of whoever wrote the file for whoever reads it, with the test that holds what becomes of them."""
ELSEWHERE = {
    "expect.neighbour.set": "tests/runs/test_expected.py::test_a_run_that_ends_so_says_so",
    "run.record_every": "tests/plausible/test_every_value.py::test_every_so_many_steps_are_recorded",
    "outcome": "tests/sweeps/test_assessment.py::test_what_a_grid_asks_for_is_read_and_spelled_in_every_sentence",
    "set": "tests/plausible/test_every_value.py::test_what_a_sweep_sets_is_set_in_all_its_runs",
    "weighings.*.tyre.*.name": "tests/plausible/test_every_value.py::test_which_tyre_was_read_counts",
    "passes": "tests/floors/test_sheet.py::test_the_page_tells_truck_twins_passes_and_who_must_say_the_rest",
    "threshold.outcome": "tests/sweeps/test_sweep.py::test_a_threshold_lies_where_bisection_by_hand_finds_it",
}
"""Held by a test of their own."""
READINGS = ("weighings.", "sags.")
"""How the keys of what was measured of a truck begin."""
MEANT = {"meant.*"}
"""Of a route: held as of the other files, by the tests of what is unusual in them."""
Part = Callable[[Case], Iterator[tuple[str, BaseModel]]]
OVER = Outcome("over", "dropped", "broke", "over to the left", "left")


def bases(group: str, folder: Path) -> list[Base]:
    """Return the inputs of a group; a list of tables in a change may run over several lines."""
    sheet = folder / "own-truck.toml"
    sheet.write_text(sheet_text(sheet_of("demo-truck-a")), encoding="utf-8")
    written = {"\n": " ", "{channels}": str(truck_of_channels(folder)), "{sheet}": str(sheet)}

    def filled(value: str) -> str:
        for mark, stands in written.items():
            value = value.replace(mark, stands)
        return value

    def read(entry: Mapping[str, Any]) -> Base:
        changes = {key: filled(value) for key, value in entry["changes"].items()}
        where = entry["where"]
        return Base(entry["name"], lambda changed: scenario.read(where, changed), changes, entry.get("others", {}))

    return [read(entry) for entry in INPUTS[group]]


def first_instant(case: Case) -> Any:
    """What a run starts from: arrays of the truck, pose, commands over time, places, what is told of them."""
    start = prepare(case, dt=2e-3, brief=True)
    build = start.build
    packed = list(build.plant), build.home, build.tyres
    commanded = start.commands.table, start.commands.time, start.commands.speed
    return packed, commanded, start.orders, start.raw, list(start.memory), start.notes


def lasting(case: Case) -> Any:
    """How many steps a run may take."""
    return prepare(case).commands.table.shape


def plate(case: Case) -> Any:
    return governs(case.load, case.machine, plate_row(case.inputs, truck_of(case)))


def strength(case: Case) -> Any:
    """What forks, carriage and mast carry by their makers, at a load centre farther out than stamped."""
    loads = structural_loads(case.machine, case.scenario.setup.attachment, 1.1)
    return {name: float(most) for name, most in loads.items()}


def varied(case: Case) -> Any:
    """What further runs vary, and how many are planned."""
    return [knob.input for knob in knobs(case)], planned(case.scenario.run, None)


def cells(case: Case) -> Any:
    return [[cell.resolved for cell in row] for row in case.cells]


def ending(case: Case) -> Any:
    return expected(case.scenario.expect, OVER)


def shown(case: Case) -> Any:
    """What a page is headed and marked with."""
    return case.scenario.title, case.demo, names(case)


def asked_about(case: Case) -> Any:
    return [str(problem) for problem in case.unusual]


def asked_of_floor(case: Case) -> Any:
    return worked_out(demand(case, detail=False, advice=False))


def advised(case: Case) -> Any:
    """The same with what to find out, and what would do."""
    return worked_out(demand(case, detail=False))


def laws(case: Case) -> Any:
    return floor_laws(case).zones


def told(case: Case) -> Any:
    return case.told, tuple(as_told(case.inputs, case.floor))


def worked_out(report: Any) -> Any:
    """Return a report without what it says of its inputs."""
    said = ("assumed", "assumed_count")
    return {field.name: getattr(report, field.name) for field in fields(report) if field.name not in said}


def scene(case: Case) -> Iterator[tuple[str, BaseModel]]:
    yield "", case.scenario


def truck(case: Case) -> Iterator[tuple[str, BaseModel]]:
    yield "machine.", case.machine


def ground(case: Case) -> Iterator[tuple[str, BaseModel]]:
    yield "floor.", case.floor


def keys(*specs: type[BaseModel]) -> set[str]:
    """Return the keys of files of these kinds, without texts and what is held elsewhere."""
    return (
        {same(pattern) for spec in specs for pattern in patterns(spec)} - OURS - REFUSED - set(TEXTS) - set(ELSEWHERE)
    )


def untold(wanted: set[str], group: list[Base], part: Part) -> set[str]:
    """Return of these keys those of which no page says that nothing uses them."""
    left = set(wanted)
    for base in group:
        said = " ".join((*told(base.inputs)[0], *told(base.inputs)[1]))
        for start, spec in part(base.inputs):
            left -= {same(leaf.pattern) for leaf in leaves(spec) if f"{start}{leaf.key} is not used" in said}
    return left


def left_by(wanted: set[str], group: list[Base], part: Part, *routes: Mapping[str, Answer]) -> set[str]:
    """Return what none of the routes notices; each is asked only for what those before it did not.

    First with one other value of each, as most values are noticed by some route at once; then with all.
    """
    for most in (1, None):
        for answers in routes:
            wanted = unnoticed(wanted, group, part, answers, most)
    return wanted


QUICK: Mapping[str, Answer] = {
    "varied": varied, "plate": plate, "strength": strength, "cells": cells, "ending": ending, "shown": shown,
    "asked about": asked_about,
}  # fmt: skip


@pytest.mark.slow
def test_every_value_of_a_scenario_is_used_or_told(tmp_path: Path) -> None:
    group = bases("case", tmp_path)
    left = left_by(keys(Scenario), group, scene, {"first instant": first_instant}, QUICK, {"lasting": lasting})
    assert untold(left, group, scene) == set()


@pytest.mark.slow
def test_every_reading_of_a_machine_is_compared_or_told() -> None:
    """What scales and a tape said of a truck: beside the file's own weights, and as `fit` compares them."""

    def compared(machine: Machine) -> Any:
        """What was read, how surely, and what the file's own values would give."""
        unknowns = unknowns_of(machine)
        readings = [one for weighing in machine.weighings for one in weighing_readings(machine, weighing, unknowns)]
        readings += [sag_reading(machine, sag, unknowns) for sag in machine.sags]
        own = np.array([unknown.value for unknown in unknowns])
        return [(one.words, one.where, one.value, one.accuracy, one.given(own)) for one in readings]

    def beside(machine: Machine) -> Any:
        return weighings(weighed(machine), "si")

    left = {key for key in keys(Machine) if key.startswith(READINGS)}
    for entry in INPUTS["reading"]:
        read = partial(read_machine, "demo-truck-a")
        base = Base(entry["name"], read, entry["changes"], entry.get("others", {}))
        left = unnoticed(left, [base], lambda machine: [("", machine)], {"beside": beside, "compared": compared})
    assert left == set()


@pytest.mark.slow
def test_every_value_of_a_machine_is_used_or_told(tmp_path: Path) -> None:
    group = bases("case", tmp_path)
    on_floor = {key for key in keys(Machine) if key.endswith("inflation")}
    readings = {key for key in keys(Machine) if key.startswith(READINGS)}
    left = left_by(keys(Machine) - on_floor - readings, group, truck, {"first instant": first_instant}, QUICK)
    assert untold(left, group, truck) == set()
    assert left_by(on_floor, bases("floor", tmp_path)[:1], truck, {"asked of the floor": asked_of_floor}) == set()


@pytest.mark.slow
def test_every_value_of_a_floor_is_used_or_told(tmp_path: Path) -> None:
    group = bases("floor", tmp_path)
    quick = {"first instant": first_instant, "shown": shown, "asked about": asked_about}
    left = left_by(keys(Floor), group, ground, quick, {"laws": laws}, {"asked": asked_of_floor}, {"advised": advised})
    assert untold(left, group, ground) == set()


@pytest.mark.slow
def test_every_value_of_a_sweep_is_used_or_told() -> None:
    """Its rows as they are drawn, what is held in all of them, what is sought and how narrowly."""

    def rows(plan: SweepPlan) -> Any:
        drawn = Rows(plan.sweep.method, plan.sweep.seed, plan.inputs, plan.rows).between(0, min(plan.rows, 3))
        left = () if plan.sought is not None else columns(job_of(plan))
        return drawn, left, plan.rows, plan.inputs, plan.sought, plan.within, plan.fixed, plan.case.resolved

    def shown(plan: SweepPlan) -> Any:
        return plan.sweep.title, [str(problem) for problem in plan.unusual]

    group = [
        Base(entry["name"], partial(read_sweep, entry["where"]), entry["changes"], entry.get("others", {}))
        for entry in INPUTS["sweep"]
    ]
    found = unnoticed(keys(Sweep), group, lambda plan: [("", plan.sweep)], {"rows": rows, "shown": shown})
    assert found == set()


def stepped_on(start: Start, case: Case) -> Any:
    """What a run of many is stepped on and told by, to the bit."""
    ready = start.prepare(case, None, 2e-3, early=True, goes_on=False)
    (packed, state), prepared = ready.to_step(1), ready.prepared
    told_by = prepared.orders, prepared.zones, prepared.notes, prepared.stands, prepared.build.tyres
    return plain((packed.buffer, packed.index, state, prepared.commands.table, prepared.commands.changes, told_by))


@pytest.mark.slow
def test_a_run_takes_no_value_of_the_one_before_it(tmp_path: Path) -> None:
    """Each value of scenario, machine and floor changed, and changed back: to the bit as if nothing had been before."""
    tried, changed = set[str](), 0
    for base in bases("case", tmp_path):
        start, case = Start(), base.inputs
        before = stepped_on(Start(), case)
        for begin, spec in (*scene(case), *truck(case), *ground(case)):
            for leaf in leaves(spec):
                key = f"{begin}{same(leaf.pattern)}"
                other = None if key in tried else base.other(leaf, begin)
                tried.add(key)
                if other is None:
                    continue
                with suppress(TiplineError):
                    own = stepped_on(Start(), other)
                    start.prepare(case, None, 2e-3, early=True, goes_on=False)
                    assert stepped_on(start, other) == own, f"{key} in {base.name}"
                    assert stepped_on(start, case) == before, f"back from {key} in {base.name}"
                    changed += own != before
    print(f"\n{len(tried)} values, of which {changed} change what is stepped on")
    assert changed > 150


def test_which_tyre_was_read_counts() -> None:
    """Each must be named, once: front and rear exchanged weigh the other axle."""

    def drive(*names: str) -> float:
        loads = zip(names, ("2.3 t", "2.2 t", "2.9 t", "2.8 t"), strict=True)
        tyres = ", ".join(f'{{name = "{name}", load = "{load}"}}' for name, load in loads)
        (one,) = weighed(read_machine("demo-truck-a", {"weighings": f"[{{tyre = [{tyres}]}}]"}))
        return float(one.reading["drive axle"])

    assert drive("front-left", "front-right", "rear-left", "rear-right") == pytest.approx(4500.0)
    assert drive("rear-left", "rear-right", "front-left", "front-right") == pytest.approx(5700.0)


def test_what_a_sweep_sets_is_set_in_all_its_runs() -> None:
    plan = read_sweep("slope-at-which-it-goes-over", {"set.title": "turned faster"})
    assert (plan.fixed["title"], plan.case.scenario.title) == ("turned faster", "turned faster")
    assert plan.case.scenario.run.duration == 12.0


@pytest.mark.slow
def test_every_value_of_a_route_is_used_or_told(tmp_path: Path) -> None:
    file = tmp_path / "way.toml"
    file.write_text(INPUTS["route"]["text"], encoding="utf-8")
    case = scenario.read("stop-with-the-load-up-breaks-a-slab", {"event": "[]"})

    def asked(way: Route) -> Any:
        return worked_out(route(case, way, detail=False))

    base = Base("a way in", partial(read_route, file), {}, {})
    assert unnoticed(keys(Route) - MEANT, [base], lambda way: [("", way)], {"asked": asked}) == set()


def test_every_so_many_steps_are_recorded() -> None:
    def recorded(every: int) -> int:
        changes = {"event": "[]", "setup.speed": "0 km/h", "run.duration": "0.05 s", "run.record_every": every}
        return len(simulate(scenario.read("service-stop-load-low", changes)).time)

    assert (recorded(1), recorded(10)) == (51, 6)


@pytest.mark.parametrize("test", sorted({*TEXTS.values(), *ELSEWHERE.values()}))
def test_what_holds_a_value_elsewhere_is_there(test: str) -> None:
    file, _, name = test.partition("::")
    assert f"def {name}(" in (Path(__file__).parents[2] / file).read_text(encoding="utf-8")
