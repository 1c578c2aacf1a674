"""Every refusal says what to write, in no more than a screen shows."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, get_args, get_origin

import pytest
from pydantic import BaseModel

from tipline import scenario
from tipline.errors import PART, InputError, InputErrors
from tipline.model import read_floor, read_stock
from tipline.model.floor import Floor
from tipline.model.machine import Machine
from tipline.model.shipped import list_shipped
from tipline.model.spreaders import Stock
from tipline.scenario.spec import Scenario

SCENARIO = "service-stop-load-high"
BAD = ("3", '"x"', "[]", "[1, 2]", "true", f'"{"x" * 400}"', "-1", "99999", "[[]]", '["1 m"]', "{a = 1}", "1.5")
BARE = ("Correct it", "Add it", "")
SCREENS = 24 * 80


def keys_of(spec: type[BaseModel], start: str = "") -> Iterator[str]:
    """The dotted keys of a spec, one entry of a list standing for all."""
    for name, field in spec.model_fields.items():
        if name in ("origins", "file"):
            continue
        yield f"{start}{name}"
        for inner, step in inside(field.annotation):
            if step:
                yield f"{start}{name}.0"
            if inner is not None:
                yield from keys_of(inner, f"{start}{name}.{step}")


def inside(annotation: Any) -> Iterator[tuple[type[BaseModel] | None, str]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation, ""
    elif get_origin(annotation) is tuple:
        for inner, _ in inside(get_args(annotation)[0]):
            yield inner, "0."
    else:
        for part in get_args(annotation):
            yield from inside(part)


def refusals(reader: Any, *given: Any) -> list[InputError]:
    try:
        reader(*given)
    except InputErrors as error:
        assert len(str(error)) <= SCREENS, str(error)
        return list(error.problems)
    except InputError as error:
        return [error]
    return []


@pytest.mark.slow
def test_the_keys_of_every_kind_of_file_refuse_with_what_to_write() -> None:
    """A dozen values in the place of each key, a table, a list or an entry among them."""
    asked = [
        *((scenario.read, SCENARIO, key) for key in dict.fromkeys(keys_of(Scenario))),
        *((scenario.read, SCENARIO, f"machine.{key}") for key in dict.fromkeys(keys_of(Machine))),
        *((read_floor, name, key) for key in dict.fromkeys(keys_of(Floor)) for name in list_shipped()["floor"][2:4]),
        *((read_stock, "demo-stock-a", key) for key in dict.fromkeys(keys_of(Stock))),
    ]
    assert len(asked) > 200
    count = 0
    for number, (reader, name, key) in enumerate(asked):
        for bad in BAD[number % 3 :: 3]:  # a third of them each
            for found in refusals(reader, name, {key: bad}):
                count += 1
                assert found.remedy not in BARE, str(found)
                assert len(str(found)) <= 7 * PART
    assert count > 500


@pytest.mark.parametrize(
    ("key", "bad", "remedy"),
    [
        ("title", "3", 'Write it like title = "..."'),
        ("setup", "3", "Write it like setup = { attachment = ... }"),
        ("setup.ballast_slabs", '"two"', "Write it like ballast_slabs = 0"),
        ("setup.position", "3", 'Write it like position = ["1.8 m", "1.8 m"]'),
        ("load", "{mass = '4 t'}", 'Add it, written like size = ["1.8 m", "1.8 m", "1.8 m"]'),
        ("load.size", "['1 m']", 'Add it, written like "1.8 m"'),
        ("load.size.1", "3", 'Write it like "1.8 m"'),
        ("machine.demo", "1", "Write it like demo = true"),
        ("machine.mast.stages", "9", "Write 5 or less, a whole number without quotes"),
        ("machine.mast.tilt_axis", "3", 'Write it like tilt_axis = ["1.8 m", "1.8 m"]'),
        ("machine.jib.reach_pins", "[]", 'Write it like reach_pins = ["1.8 m"]'),
        ("machine.name", f'"{"x" * 101}"', "Shorten it to 100 letters"),
        ("machine.steer_axle", "3",
         "Write it like steer_axle = { kind = ..., mass = ..., tyre = ..., pivot_height = ... }"),
        ("floor.elsewhere", "3", "Write it like elsewhere = { kind = ... }"),
    ],
)  # fmt: skip
def test_what_to_write_is_shown_by_example(key: str, bad: str, remedy: str) -> None:
    assert remedy in [found.remedy for found in refusals(scenario.read, SCENARIO, {key: bad})]


def test_many_problems_are_told_as_far_as_a_screen_goes() -> None:
    problems = [
        InputError(f"reason {number}", key="x" * 900, value="v" * 900, remedy="r" * 900) for number in range(50)
    ]
    told = str(InputErrors(problems))
    assert len(told) <= SCREENS
    assert told.startswith("50 problems:\n  ")
    assert told.endswith("\n  and 49 more, told when these are corrected")
    short = [InputError(f"reason {number}", remedy="Do this") for number in range(30)]
    assert str(InputErrors(short[:22])).splitlines()[-1] == "  reason 21. Do this"
    assert str(InputErrors(short)).splitlines()[-2:] == [
        "  reason 21. Do this",
        "  and 8 more, told when these are corrected",
    ]
    assert str(InputErrors(short)).count("\n") == 23  # 24 lines
