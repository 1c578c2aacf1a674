"""Specs, origins, schemas and shipped files."""

import json
import math
import re
import tomllib

import jsonschema
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from tipline import scenario
from tipline.errors import InputError
from tipline.model import Tyre, list_shipped, read_floor, read_machine
from tipline.model.checks import is_on_step
from tipline.model.document import Document
from tipline.model.floor import FrictionTable
from tipline.model.quantities import ORIGINS
from tipline.model.shipped import find

SHIPPED = list_shipped()


def tyre(**changes):
    known = {"across": 0.6, "diameter": 0.7, "width": 0.3, "rubber_thickness": 0.09, "rated_load": 9e4}
    return Tyre(name="front-left", **(known | changes))


def test_python_takes_si_floats_and_text():
    assert tyre(across=0.6) == tyre(across="600 mm")
    with pytest.raises(ValidationError, match="not a finite number"):
        tyre(across=math.nan)
    with pytest.raises(ValidationError, match="frozen"):
        tyre().across = 1.0


@pytest.mark.parametrize("name", SHIPPED["machine"])
def test_shipped_machines_read(name):
    machine = read_machine(name)
    assert machine.name == name
    assert machine.demo
    assert set(machine.origins.values()) <= {*ORIGINS, "default"}
    assert machine.origins["wheelbase"] == machine.origin


@pytest.mark.parametrize("name", SHIPPED["floor"])
def test_shipped_floors_read_and_say_they_are_invented(name):
    floor = read_floor(name)
    assert floor.name == name
    assert floor.demo
    assert floor.origins["friction.solid"] == "demo"


def test_the_two_demo_floors_differ_in_kind():
    assert read_floor("demo-hall-a").zone == ()
    assert [zone.kind for zone in read_floor("demo-yard-a").zone] == ["soft", "soft", "hole"]


def test_one_friction_stands_for_all_kinds_of_tyre():
    friction = FrictionTable.model_validate("60 %")
    assert [friction.against(kind) for kind in ("solid", "band", "pneumatic")] == [0.6, 0.6, 0.6]


def test_machines_are_equal_by_all_their_values_and_their_kind():
    truck, again = read_machine("demo-truck-a"), read_machine("demo-truck-a")
    assert truck == again
    assert truck is not again
    assert hash(truck.mast) == hash(again.mast)
    softer = again.mast.model_copy(update={"chain_stiffness": 1.0 + again.mast.chain_stiffness})
    assert truck != again.model_copy(update={"mast": softer})
    assert truck.mast != truck.carriage
    assert truck.mast != vars(truck.mast)


def test_a_single_value_of_a_machine_can_be_changed_by_name():
    changed = read_machine("demo-truck-a", {"drive_axle.tyre.front-right.across": "-0.7 m", "ballast_slab.most": "3"})
    assert changed.drive_axle.tyre[1].across == -0.7
    assert changed.ballast_slab.most == 3
    assert changed.origins["drive_axle.tyre.1.across"] == "told"
    assert changed.origins["drive_axle.tyre.0.across"] == "demo"


@given(st.integers(0, 40), st.sampled_from([0.05, 0.1, 0.15]))
def test_every_step_of_the_stroke_is_on_a_step_and_half_steps_are_not(count, step):
    assert is_on_step(count * step, 40 * step, step)
    assert not is_on_step((count + 0.5) * step, 41 * step, step)


@pytest.mark.parametrize("kind", ["machine", "floor", "stock", "scenario"])
def test_schemas_are_json_and_hide_what_the_reader_fills(kind):
    made = json.loads(json.dumps(scenario.schema(kind)))
    assert made["additionalProperties"] is False
    assert "title" in made["required"]
    text = json.dumps(made)
    assert '"origins":' not in text
    assert '"file":' not in text


def files_of(kind):
    return [(kind, name) for name in SHIPPED[kind]]


@pytest.mark.parametrize(("kind", "name"), [pair for kind in SHIPPED for pair in files_of(kind)])
def test_shipped_files_hold_to_their_schema(kind, name):
    data = tomllib.loads(find(kind, name)[0].read_text(encoding="utf-8"))
    known = data if kind in ("scenario", "sweep", "incident", "lesson") else {"name": name, **data}
    checker = jsonschema.Draft202012Validator(scenario.schema(kind))
    assert [error.message[:200] for error in checker.iter_errors(known)] == []
    assert list(checker.iter_errors({**known, "tire": "1 m"}))


@pytest.mark.slow
@given(st.text(max_size=200))
def test_any_text_is_read_or_refused_in_one_clear_way(text):
    try:
        document = Document.from_text(text, "any.toml")
    except InputError as error:
        assert str(error).startswith("any.toml")
    else:
        assert isinstance(document.data, dict)


def test_an_installed_package_finds_its_own_data(tmp_path, monkeypatch):
    folder = tmp_path / "_data" / "models" / "machines"
    folder.mkdir(parents=True)
    (folder / "only-one.toml").write_text("", encoding="utf-8")
    monkeypatch.setattr("tipline.model.shipped.PACKAGE", tmp_path)
    assert list_shipped() == {
        "machine": ("only-one",),
        "floor": (),
        "stock": (),
        "scenario": (),
        "sweep": (),
        "incident": (),
        "lesson": (),
    }


def test_a_shipped_name_of_another_kind_is_told_as_such() -> None:
    with pytest.raises(InputError, match="is a shipped sweep, not a scenario; run it with tipline sweep"):
        find("scenario", SHIPPED["sweep"][0])
    with pytest.raises(InputError, match="is a shipped machine, not a floor"):
        find("floor", SHIPPED["machine"][0])


def test_a_worn_tyre_is_read_as_what_is_left_of_it(tmp_path):
    """15 mm off the radius of 0.72 m by 95 mm of rubber leave 0.69 m and 80 mm; the other tyre stays new."""
    text = find("machine", "demo-truck-a")[0].read_text(encoding="utf-8")
    file = tmp_path / "worn.toml"
    for wear in ("15 mm", "90 mm"):
        told = re.sub(r'stiffness = "[56].0 MN/m"\n', "", text)
        file.write_text(told.replace('name = "front-left"', f'name = "front-left"\nwear = "{wear}"'), encoding="utf-8")
        if wear == "90 mm":
            with pytest.raises(InputError, match="less than a quarter"):
                read_machine(file)
            continue
        left, right = read_machine(file).drive_axle.tyre
        assert (left.diameter, left.rubber_thickness) == pytest.approx((0.69, 0.08))
        assert (right.diameter, right.rubber_thickness) == (0.72, 0.095)
        assert left.wear == 0.0
    file.write_text(text.replace('name = "front-left"', 'name = "front-left"\nwear = "15 mm"'), encoding="utf-8")
    with pytest.raises(InputError, match="stands beside a stiffness"):
        read_machine(file)
