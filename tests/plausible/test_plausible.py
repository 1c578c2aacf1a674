"""Well-formed slips are refused, asked about first or told; files as they should be raise nothing of it."""

import random
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import pytest
from tests.shared.plausible_trucks import drawn_truck

from few import slow_but
from tipline import scenario
from tipline.errors import InputError, InputErrors
from tipline.model import list_shipped
from tipline.model.plausible_floor import FLOOR_RULES, STOCK_RULES
from tipline.model.plausible_machine import MACHINE_RULES
from tipline.model.reader import unusual_in_floor, unusual_in_stock
from tipline.model.shipped import find
from tipline.scenario.plausible import SCENARIO_RULES
from tipline.scenario.route import ROUTE_RULES, unusual_in_route
from tipline.scenario.sweep_reader import read_sweep
from tipline.scenario.unmet import as_told

SHIPPED = list_shipped()
RULES = (*MACHINE_RULES, *FLOOR_RULES, *STOCK_RULES, *SCENARIO_RULES, *ROUTE_RULES)


class Slip(NamedTuple):
    """One slip: its name, where it is, what is typed, the answer, and what that names or says."""

    name: str
    where: str
    changes: dict[str, str]
    answer: str
    says: str


_FILE = tomllib.loads((Path(__file__).parent / "slips.toml").read_text(encoding="utf-8"))
KNOWN, OWN = ([Slip(**one) for one in _FILE[group]] for group in ("known", "own"))
SUSPENDED = "stop-with-the-load-up-breaks-a-slab"


def problems_of(error: InputError) -> list[InputError]:
    return list(error.problems) if isinstance(error, InputErrors) else [error]


def found(slip: Slip, folder: Path) -> tuple[str, list[str]]:
    """Return the answer to a slip and what it names or says."""
    try:
        unusual, told = asked(slip, folder)
    except InputError as error:
        assert all(one.remedy and one.key for one in problems_of(error))
        return "refused", [str(one.key) for one in problems_of(error)]
    if unusual:
        assert all(one.remedy and one.file and one.reason for one in unusual)
        return "unusual", [str(one.key) for one in unusual]
    return ("told", list(told)) if told else ("missed", [])


def asked(slip: Slip, folder: Path):
    if slip.where in SHIPPED["floor"]:
        return unusual_in_floor(slip.where, slip.changes), ()
    if slip.where == "stock":
        text = find("stock", "demo-stock-a")[0].read_text(encoding="utf-8")
        for old, new in slip.changes.items():
            assert old in text
            text = text.replace(old, new)
        (folder / "own.toml").write_text(text, encoding="utf-8")
        return unusual_in_stock(folder / "own.toml"), ()
    if slip.where == "sweep":
        return read_sweep("one-front-tyre-breaks-through", slip.changes).unusual, ()
    if slip.where == "route":
        keys = {"path": '[["0 m", "0 m"], ["9 m", "0 m"]]', **slip.changes}
        text = "".join(f"{key} = {value}\n" for key, value in keys.items())
        (folder / "way.toml").write_text(text, encoding="utf-8")
        return unusual_in_route(folder / "way.toml"), ()
    changes = {"floor": "demo-hall-e", "setup.position": '["14 m", "9 m"]', **slip.changes}
    case = scenario.read(SUSPENDED, changes) if slip.where == "suspended" else scenario.read(slip.where, slip.changes)
    return case.unusual, (*case.told, *as_told(case.inputs, case.floor))


@pytest.mark.parametrize("slip", [*KNOWN, *OWN], ids=lambda slip: slip.name)
def test_a_slip_is_answered(slip: Slip, tmp_path: Path) -> None:
    answer, said = found(slip, tmp_path)
    assert (answer, [one for one in said if slip.says in one] != []) == (slip.answer, slip.answer != "missed"), said


def test_most_slips_are_answered() -> None:
    assert len({slip.name for slip in (*KNOWN, *OWN)}) == len(KNOWN) + len(OWN)
    assert all(slip.answer != "missed" for slip in KNOWN)
    assert len(OWN) >= 60
    assert sum(slip.answer == "missed" for slip in OWN) <= 5


@pytest.fixture
def rules_met() -> Iterator[set[int]]:
    """Give the rules, by their place among all, that have found something since."""
    met, before = set(), [rule.find for rule in RULES]
    for place, rule in enumerate(RULES):

        def noted(thing, place=place):
            findings = list(before[place](thing))
            met.update([place] if findings else [])
            return findings

        object.__setattr__(rule, "find", noted)
    yield met
    for rule, was in zip(RULES, before, strict=True):
        object.__setattr__(rule, "find", was)


@pytest.mark.slow
def test_every_rule_has_a_reason_and_a_slip_that_meets_it(rules_met: set[int], tmp_path: Path) -> None:
    assert all(rule.why for rule in RULES)
    for slip in (*KNOWN, *OWN):
        found(slip, tmp_path)
    assert [rule.name for place, rule in enumerate(RULES) if place not in rules_met] == []


@pytest.mark.parametrize("name", SHIPPED["scenario"])
def test_shipped_scenarios_raise_nothing(name: str) -> None:
    case = scenario.read(name)
    assert ([str(one) for one in case.unusual], (*case.told, *as_told(case.inputs, case.floor))) == ([], ())
    if case.scenario.expect is not None and case.scenario.expect.neighbour is not None:
        beside = scenario.read(name, case.scenario.expect.neighbour.set)
        assert ([str(one) for one in beside.unusual], (*beside.told, *as_told(beside.inputs, beside.floor))) == ([], ())


def test_shipped_floors_stocks_and_sweeps_raise_nothing() -> None:
    assert [unusual_in_floor(name) for name in SHIPPED["floor"]] == [()] * len(SHIPPED["floor"])
    assert [unusual_in_stock(name) for name in SHIPPED["stock"]] == [()] * len(SHIPPED["stock"])
    for name in SHIPPED["sweep"]:
        plan = read_sweep(name)
        assert ([str(one) for one in plan.unusual], plan.case.told) == ([], ())


@pytest.mark.parametrize("seed", slow_but(range(100), *range(20)))
def test_plausible_trucks_with_plausible_loads_raise_nothing(seed: int) -> None:
    draw = random.Random(seed)
    changes, rated, long = drawn_truck(draw)
    forks = draw.random() < 0.6
    mass = rated * draw.uniform(0.1, 1.0) * (1.0 if forks else 0.4)
    side = (mass / draw.uniform(120.0, 2500.0)) ** (1.0 / 3.0)
    size = [side * draw.uniform(0.8, 1.3) for _ in range(3)]
    if forks:
        size[0] = min(size[0], 1.6 * long)
        size[1] = max(size[1], 0.75 * long)
    where, lowest = ("service-stop-load-low", 0.3) if forks else ("hung-load-swings-back-after-a-stop", size[2] + 1.0)
    changes |= {
        "load.mass": f"{mass:.5g} kg",
        "load.size": str([f"{one:.4g} m" for one in size]).replace("'", '"'),
        "load.height_of_centre": f"{draw.uniform(0.3, 0.7) * size[2]:.4g} m",
        "load.centre_offset": f'["0 m", "{draw.uniform(-0.2, 0.2) * size[1]:.4g} m"]',
        "setup.speed": f"{draw.uniform(2.0, 8.0):.3g} km/h",
        "floor.friction": f"{draw.uniform(0.25, 0.8):.3g}",
    }
    if forks:
        changes["load.load_centre"] = f"{size[0] / 2 + draw.uniform(0.005, 0.05):.4g} m"
    else:
        reach = ["2 m", "2.6 m", "3.2 m"] if changes["machine"] != "demo-truck-c" else ["1.4 m", "1.8 m", "2.4 m"]
        changes |= {
            "machine.jib.reach_pins": str(reach).replace("'", '"'),
            "setup.jib_reach": reach[0],
            "setup.counterweight_extension": "1 m",
            "setup.ballast_slabs": "2",
            "setup.hook_height": f"{max(lowest + 0.9, 3.5):.4g} m",
        }
    if changes["machine"] != "demo-truck-a":
        changes["setup.counterweight_extension"] = "1 m"
    case = scenario.read(where, changes)
    assert [str(one) for one in case.unusual] == []
    assert case.told == ()
