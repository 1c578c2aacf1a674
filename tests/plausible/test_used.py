"""Every value that a file may hold is used by the program, or a page says that it is not."""

import functools
import re
from pathlib import Path

import pytest
from pydantic import BaseModel

import tipline
from tipline.commands.floor import floor
from tipline.model.floor import Floor
from tipline.model.machine import Machine
from tipline.model.problems import specs_in
from tipline.model.spreaders import Stock
from tipline.scenario.route import Route
from tipline.scenario.spec import Scenario
from tipline.scenario.sweep import Sweep

SOURCE = Path(tipline.__file__).parent
DECLARED = ("scenario/spec.py", "scenario/sweep.py")
FOR_TESTS = {"because", "neighbour"}
"""Of what is expected of a scenario: read by the tests that hold it to that."""


@functools.cache
def used() -> str:
    """Return the sources of what works something out, and of what says that a value is not used."""
    files = (path for path in SOURCE.rglob("*.py") if path.parent.name != "model" or path.name == "not_used.py")
    return "\n".join(path.read_text(encoding="utf-8") for path in files if not str(path).endswith(DECLARED))


def specs(spec: type[BaseModel], seen: set[type[BaseModel]]) -> set[type[BaseModel]]:
    """Return a spec with all that lie in it."""
    if spec not in seen:
        seen.add(spec)
        for field in spec.model_fields.values():
            for inside in specs_in(field.annotation):
                specs(inside, seen)
    return seen


@pytest.mark.slow
@pytest.mark.parametrize("whole", [Machine, Floor, Scenario, Stock, Route, Sweep])
def test_every_key_is_read_by_name_where_something_is_worked_out(whole: type[BaseModel]) -> None:
    text = used()
    names = {name for spec in specs(whole, set()) for name in spec.model_fields} - FOR_TESTS
    idle = {name for name in names if not re.search(rf"\.{name}\b|[\"']{name}[\"']", text)}
    assert idle == set()


@pytest.mark.slow
def test_a_floor_alone_tells_what_of_it_is_not_used() -> None:
    changes = {"elsewhere.cbr": "6 %", "slope_towards": "90 deg"}  # beside its reaction of subgrade, and without slope
    assert floor("demo-hall-b", changes).report.not_met == (
        "elsewhere.subgrade_reaction is not used: cbr is given too, and counts.",
        "slope_towards is not used: the floor has no slope.",
    )
    assert floor("demo-hall-b").report.not_met == ()
