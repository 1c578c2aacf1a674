"""The forms of machine and floor: every value of their files, changed in a copy of one's own and saved as a file."""

from __future__ import annotations

from pathlib import Path

import pytest

import tipline
from tipline.errors import InputErrors
from tipline.model.origins import dotted, leaves
from tipline.model.reader import read_floor, read_machine
from tipline.model.shipped import find
from tipline.scenario.templates import template
from tipline.workbench.bench import FIRST, Bench
from tipline.workbench.fields import FormField, FormKind, as_typed, parts_of

_GROUPS = ("demo-truck-a", "demo-hall-b"), ("demo-truck-a", "demo-site-a"), ("demo-truck-a", "demo-yard-a")


def fields_of(bench: Bench, form: FormKind) -> dict[str, FormField]:
    return {field.key: field for part in parts_of(bench.case(), tuple(bench.changes), form) for field in part.fields}


@pytest.mark.parametrize(("machine", "floor"), _GROUPS)
def test_every_value_of_machine_and_floor_has_a_field_with_help_and_origin(machine: str, floor: str) -> None:
    bench = Bench(FIRST, changes={"machine": machine, "floor": floor})
    case = bench.case()
    for form, thing in (("machine", case.machine), ("floor", case.floor)):
        fields = fields_of(bench, form)  # type: ignore[arg-type]
        for leaf in leaves(thing):
            if leaf.path[-1] in ("kind", "name"):
                continue
            field = fields[f"{form}.{dotted(leaf.path)}"]
            assert field.help
            assert field.origin == ("not given" if field.value == "" else thing.origins[dotted(leaf.path)])
            assert leaf.value is None or field.value


def test_what_stands_in_a_field_reads_back_to_the_same_value() -> None:
    bench = Bench(FIRST, changes={"floor": "demo-hall-b"})
    before = bench.case()
    fields = [*fields_of(bench, "machine").values(), *fields_of(bench, "floor").values()]
    for field in fields:
        if field.value:
            bench.change(field.key, as_typed(field.value, listed=field.listed))
    case = bench.case()
    assert case.machine.model_copy(update={"origins": before.machine.origins}) == before.machine
    assert case.floor.model_copy(update={"origins": before.floor.origins}) == before.floor


def test_in_us_units_a_field_says_what_was_typed_to_four_digits_and_how_it_was_given() -> None:
    bench = Bench(FIRST, changes={"setup.hook_height": "21 ft 6 in", "run.time_step": "0.5 ms"})
    fields = {field.key: field for part in parts_of(bench.case(), (), "set-up", "us") for field in part.fields}
    machine = {field.key: field for part in parts_of(bench.case(), (), "machine", "us") for field in part.fields}
    assert fields["setup.hook_height"].value == "21 ft 6 in"
    assert fields["load.mass"].value == "9921 lb"  # 4500 kg / 0.45359237 kg
    assert "As it was given: 4.5 t." in fields["load.mass"].help
    assert fields["load.size"].value == "5.906 ft x 4.593 ft x 5.249 ft"
    assert (fields["run.time_step"].value, fields["setup.ballast_slabs"].value) == ("0.5 ms", "2")
    assert machine["machine.wheelbase"].value == "6.234 ft"
    assert machine["machine.drive.top_speed"].value.endswith(" mph")
    assert "given" not in fields["setup.hook_height"].help
    assert "lies between" not in fields["load.mass"].help


def test_values_of_machine_and_floor_are_changed_and_saved_as_files_of_their_own(tmp_path: Path) -> None:
    bench = Bench(FIRST, changes={"floor": "demo-hall-b"})
    typed = {"machine.wheelbase": "2.1 m", "machine.counterweight.centre": "-2.2 m x 0 m x 1 m",
             "machine.drive_axle.tyre.0.stiffness": "5 MN/m", "floor.elsewhere.thickness": "230 mm"}  # fmt: skip
    for key, text in typed.items():
        field = fields_of(bench, "machine" if key.startswith("machine") else "floor")[key]
        bench.change(key, as_typed(text, listed=field.listed))
    case = bench.case()
    changed = fields_of(bench, "machine")["machine.wheelbase"]
    assert (changed.value, changed.changed) == ("2.1 m", True)
    machine, floor = tmp_path / "machine.toml", tmp_path / "floor.toml"
    machine.write_text(bench.text("machine"), encoding="utf-8")
    floor.write_text(bench.text("floor"), encoding="utf-8")
    assert read_machine(machine).wheelbase == 2.1
    assert read_machine(machine) == case.machine
    assert read_floor(floor) == case.floor
    saved = tipline.check(FIRST, {"machine": str(machine), "floor": str(floor)})
    assert saved.tyre_loads == tipline.check(case).tyre_loads
    assert saved.distances == tipline.check(case).distances


def test_a_truck_by_plate_and_tape_is_saved_with_what_is_not_known_of_it(tmp_path: Path) -> None:
    bench = Bench("service-stop-load-low")
    bench.hand_in("own.toml", template("machine").encode())
    bench.change("machine.plate_and_tape.own_weight", "10.6 t")
    bench.change("setup.counterweight_extension", "0 m")
    bench.change("setup.ballast_slabs", "0")
    bench.change("load.mass", "3 t")
    assert fields_of(bench, "machine")["machine.plate_and_tape.own_weight"].value == "10.6 t"
    place = tmp_path / "own.toml"
    place.write_text(bench.text("machine"), encoding="utf-8")
    again = read_machine(place)
    assert again == bench.case().machine
    assert again.plate_and_tape is not None
    assert again.plate_and_tape.own_weight == 10600.0


def test_what_cannot_be_is_told_by_the_key_of_its_field() -> None:
    bench = Bench()
    bench.change("machine.wheelbase", "2 kg")
    bench.change("floor", "demo-hall-b")
    bench.change("floor.elsewhere.thickness", "180 mm")  # less than how deep the steel lies, which the file tells
    with pytest.raises(InputErrors) as caught:
        bench.case()
    assert {key for key, _ in bench.problems(caught.value)} == {"machine.wheelbase", "floor.elsewhere.steel_depth"}
    bench.hand_in("hall.toml", find("floor", "demo-hall-b")[0].read_bytes())
    bench.change("floor.elsewhere.thickness", "180 mm")
    with pytest.raises(InputErrors) as caught:
        bench.case()
    assert "floor.elsewhere.steel_depth" in {key for key, _ in bench.problems(caught.value)}
