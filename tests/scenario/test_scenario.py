"""Reading a scenario into a case, changing it, and writing it resolved."""

import re
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tipline import scenario
from tipline.errors import InputError
from tipline.model import list_shipped
from tipline.model.origins import leaves
from tipline.model.shipped import find
from tipline.notebook import demo_note, marks
from tipline.scenario.reader import Text

GOOD = Path(__file__).parents[1] / "model" / "bad_files" / "good" / "scenario.toml"
SHIPPED = list_shipped()["scenario"]


def same_bits(one, two):
    pairs = zip(leaves(one), leaves(two), strict=True)
    return all(repr(a.value) == repr(b.value) for a, b in pairs)


@pytest.fixture
def rewritten(tmp_path):
    def rewrite(case):
        path = tmp_path / "resolved.toml"
        scenario.write_resolved(case, path)
        return scenario.read(path)

    return rewrite


@pytest.mark.parametrize(
    "overrides",
    [
        {},
        {
            "machine": "demo-truck-b",
            "setup.jib_reach": "1.7 m",
            "setup.ballast_slabs": "0",
            "event.0.under": "front-left-outer",
        },
        {"floor": "demo-yard-a", "setup.heading": "33.3 deg", "title": 'quote " back \\ tab \t end'},
        {"setup.hook_height": "6.123456789012345 m", "load.mass": "11463.3 lb", "machine.mast.tilt_back": "4.7 deg"},
        {"load.size.1": '{ value = "1.3 m", origin = "assumed" }', "run.time_step": "0.7 ms"},
    ],
)
def test_resolved_reads_back_to_the_same_case_bit_for_bit(overrides, rewritten):
    case = scenario.read(GOOD, overrides)
    again = rewritten(case)
    assert again == case
    for one, two in ((case.scenario, again.scenario), (case.machine, again.machine), (case.floor, again.floor)):
        assert same_bits(one, two)
    assert rewritten(again) == case


@pytest.mark.parametrize("name", SHIPPED)
def test_shipped_scenarios_read_and_rewrite(name, rewritten):
    case = scenario.read(name)
    assert rewritten(case) == case
    if case.scenario.expect is not None and case.scenario.expect.neighbour is not None:
        assert scenario.read(name, case.scenario.expect.neighbour.set) != case


@settings(max_examples=30, deadline=None)
@given(st.floats(0.05, 1.0), st.floats(-3.0, 3.0), st.floats(100.0, 9000.0))
def test_any_bits_survive(depth, heading, mass):
    changes = {"event.0.depth": f"{depth!r} m", "setup.heading": f"{heading!r} rad", "load.mass": f"{mass!r} kg"}
    case = scenario.read(GOOD, changes)
    assert case.scenario.event[0].depth == depth
    assert (case.scenario.setup.heading, case.load.mass) == (heading, mass)


def test_what_was_assumed_is_said_in_plain_words():
    case = scenario.read(GOOD, {"machine.drive_axle.tyre.0.stiffness": '{ value = "6 MN/m", origin = "assumed" }'})
    assert "stiffness of front-left: 6 MN/m, assumed" in case.assumed
    assert "jib rise of set-up: 900 mm, assumed" in case.assumed
    assert "damping ratio of front-left, front-right, rear-left, rear-right: 0.05, assumed" in case.assumed
    assert case.assumed_count > len(case.assumed)
    assert not any("time step" in line or "mass" in line for line in case.assumed)


def test_a_default_modulus_is_assumed_only_where_it_plays_a_part(tmp_path):
    text = (GOOD.parent / "machine.toml").read_text(encoding="utf-8").replace('stiffness = "6.0 MN/m"\n', "", 1)
    (tmp_path / "own.toml").write_text(text, encoding="utf-8")
    case = scenario.read(GOOD, {"machine": str(tmp_path / "own.toml")})
    assert "rubber modulus of front-left: 5 MPa, assumed" in case.assumed
    assert case.resolved["machine.drive_axle.tyre.1.rubber_modulus"]["origin"] == "default"


def test_a_path_in_a_change_is_seen_from_where_one_stands(tmp_path, monkeypatch):
    text = (GOOD.parent / "machine.toml").read_text(encoding="utf-8")
    (tmp_path / "own.toml").write_text(text.replace('"1.90 m"', '"1.91 m"'), encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    case = scenario.read(GOOD, {"machine": "own.toml"})
    assert case.machine.wheelbase == 1.91
    scenario.write_resolved(case, tmp_path / "resolved.toml")
    other = scenario.read(tmp_path / "resolved.toml", {"machine": "demo-truck-a"})
    assert (other.scenario.machine, other.machine.wheelbase) == ("demo-truck-a", 1.9)


def test_resolved_holds_value_unit_and_origin():
    case = scenario.read(GOOD)
    assert case.resolved["load.mass"] == {"value": "5.2 tonne", "si": 5200.0, "unit": "kg", "origin": "drawing"}
    assert case.resolved["machine.wheelbase"]["origin"] == "demo"
    assert case.resolved["setup.tilt"]["origin"] == "told"
    assert case.resolved["run.time_step"]["origin"] == "default"
    assert case.resolved["machine.mast.centre"] == {
        "value": "from the drawn solids",
        "si": None,
        "unit": "",
        "origin": "assumed",
    }


def test_heights_and_slope_of_a_case():
    case = scenario.read(GOOD)
    assert case.hook_height == 6.2
    assert case.fork_height == pytest.approx(5.3)
    assert case.scenario.setup.jib_rise == 0.9
    turned = scenario.read(GOOD, {"setup.heading": "30 deg", "floor.slope_towards": "90 deg"})
    slope, towards = turned.slope
    assert slope == turned.floor.slope
    assert towards == pytest.approx(1.0471975511965976)
    own = scenario.read(GOOD, {"setup.slope": "5 %", "setup.slope_towards": "90 deg"})
    assert own.slope == (own.scenario.setup.slope, own.scenario.setup.slope_towards)


def test_forks_take_a_fork_height_and_no_jib_keys():
    changes = {"setup": '{ attachment = "forks", fork_height = "0.3 m" }', "load.load_centre": "0.9 m"}
    with pytest.raises(InputError, match="a load on the forks hangs by nothing"):
        scenario.read(GOOD, changes)
    changes["load"] = '{ mass = "5 t", size = ["1.2 m", "1 m", "1 m"], height_of_centre = "0.5 m" }'
    del changes["load.load_centre"]
    case = scenario.read(GOOD, changes)
    assert case.fork_height == 0.3
    assert case.hook_height is None
    assert case.load.origins["mass"] == "assumed"
    with pytest.raises(InputError, match="behind the fork face"):
        scenario.read(GOOD, {**changes, "load.load_centre": "0.5 m"})


@pytest.mark.parametrize(
    ("event", "says"),
    [
        ('{ kind = "raise", at = "1 s", to = "9 m" }', "the mast takes the hook to"),
        ('{ kind = "raise", at = "1 s", to = "6 m" }', "must be above the height before it, 6.2 m"),
        ('{ kind = "lower", at = "1 s", to = "6.3 m" }', "must be below the height before it, 6.2 m"),
        ('{ kind = "raise", at = "1 s", to = "6.5 m" }', "the mast takes the hook to 900 mm to 6.45 m"),
        ('{ kind = "tilt", at = "1 s", to = "-9 deg" }', "the mast tilts"),
        ('{ kind = "counterweight", at = "1 s", to = "0.33 m" }', "must be on a step"),
        ('{ kind = "drive", at = "1 s", speed = "-20 km/h" }', "the top speed"),
        ('{ kind = "floor_turns", at = "1 s", slope = "9 %", towards = "0 deg" }', "either over or rate"),
        ('{ kind = "soft_place", under = "rear", size = ["1 m", "1 m"], bearing_pressure = "1 MPa" }', "has no tyre"),
        (
            '{ kind = "push", at = "1 s", at_part = "roof", force = "1 kN", direction = "0 deg" }',
            "not one of the choices",
        ),
        ('{ kind = "wind", at = "1 s", speed = "-1 m/s", from_azimuth = "0 deg" }', "0 m/s or more"),
    ],
)
def test_moves_are_held_to_the_machine(event, says):
    with pytest.raises(InputError) as caught:
        scenario.read(GOOD, {"event.0": event})
    assert says in str(caught.value)


def test_a_load_that_is_not_there_cannot_swing_be_shed_or_pushed(tmp_path):
    text = GOOD.read_text(encoding="utf-8").replace("machine.toml", str(GOOD.with_name("machine.toml")))
    text = text.replace("floor.toml", str(GOOD.with_name("floor.toml")))
    alone = tmp_path / "alone.toml"
    start, end = text.index("[load]"), text.index("[[event]]")
    for event, says in (
        ('{ kind = "swing", angle = "5 deg", towards = "0 deg" }', "only a load hung on a jib swings"),
        ('{ kind = "load_shed", at = "1 s" }', "there is no load to shed"),
        ('{ kind = "push", at = "1 s", at_part = "load", force = "1 kN", direction = "0 deg" }', "no load to push"),
    ):
        alone.write_text(text[:start] + text[end:], encoding="utf-8")
        with pytest.raises(InputError) as caught:
            scenario.read(alone, {"event.0": event})
        assert says in str(caught.value)


@pytest.mark.slow
@settings(max_examples=200, deadline=None)
@given(
    st.sampled_from(["event.0.depth", "setup.ballast_slabs", "load", "machine", "floor.friction", "run", "event", "x"]),
    st.one_of(st.text(min_size=1, max_size=30), st.sampled_from(["[]", "{}", "nan", "-1", "[[[]]]", "{ value = 1 }"])),
)
def test_any_change_is_taken_or_refused_with_a_remedy(key, text):
    try:
        scenario.read(GOOD, {key: text})
    except InputError as error:
        assert error.remedy
        assert "Traceback" not in str(error)


@pytest.mark.slow
def test_reading_loads_no_numpy():
    code = "import sys; import tipline.scenario; print('numpy' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["False"]


FRONT = "front-tyre-breaks-through-load-high"


@pytest.mark.parametrize(
    ("key", "value", "says"),
    [
        ("load.mass", "-3 t", "must be greater than 0"),
        ("event.0.depth", "95 kg", "a unit of mass"),
        ("machine.drive_axle.tyre.0.stiffness", "7 t", "a unit of mass"),
        ("floor.slope_towards", "20", "a number without a unit"),
    ],
)
def test_a_change_that_does_not_read_says_so_after_others_that_did_and_leaves_nothing_behind(key, value, says):
    before = scenario.read(FRONT)
    for _ in range(2):
        with pytest.raises(InputError) as caught:
            scenario.read(FRONT, {key: value})
        error = caught.value
        assert (error.file, error.line, error.key, error.value) == ("from --set", None, key, said(value))
        assert says in error.reason
        assert error.remedy
        assert scenario.read(FRONT) == before


def said(value):
    return value if value.isdigit() else f'"{value}"'


def test_another_text_under_the_same_name_is_read_and_refused_by_itself():
    parts = (("scenario", FRONT), ("machine", "demo-truck-a"), ("floor", "demo-hall-a"))
    files = {kind: (name, find(kind, name)[0].read_text(encoding="utf-8")) for kind, name in parts}
    told = 'wheelbase = "1.90 m"'
    line = files["machine"][1].splitlines().index(told) + 1

    def wheelbase(length):
        texts = [
            Text(kind, name, "", name, f"{name}.toml", text.replace(told, f'wheelbase = "{length}"'))
            for kind, (name, text) in files.items()
        ]
        return scenario.read(FRONT, texts=texts).machine.wheelbase

    assert [wheelbase(length) for length in ("1.90 m", "1.6 m", "1.90 m")] == [1.9, 1.6, 1.9]
    with pytest.raises(InputError) as caught:
        wheelbase("-1.6 m")
    error = caught.value
    assert (error.file, error.line, error.key, error.value) == ("demo-truck-a.toml", line, "wheelbase", '"-1.6 m"')
    assert "must be greater than 0" in error.reason
    assert error.remedy


def test_resolved_keeps_what_was_typed(tmp_path):
    """0.118 m is not 0.11800000000000001 m, and an angle told in degrees is not told in radians."""
    typed = {"event.0.depth": "118 mm", "machine.mast.tilt_back": "4.7 deg", "load.mass": "11463.3 lb"}
    typed |= {"floor.slope": "1:90", "floor.slope_towards": "30 deg", "setup.hook_height": "20 ft 1 in"}
    path = tmp_path / "resolved.toml"
    scenario.write_resolved(scenario.read(GOOD, typed), path)
    text = path.read_text(encoding="utf-8")
    for value in typed.values():
        assert f'value = "{value}"' in text
    assert not re.search(r'[0-9]{12}|[0-9] rad"', text)


def test_resolved_writes_a_value_that_was_replaced_and_not_the_text_it_was_read_from(tmp_path):
    case = scenario.read(GOOD, {"event.0.depth": "118 mm"})
    event = (case.scenario.event[0].model_copy(update={"depth": 0.1195}), *case.scenario.event[1:])
    replaced = replace(case, scenario=case.scenario.model_copy(update={"event": event}))
    path = tmp_path / "resolved.toml"
    scenario.write_resolved(replaced, path)
    assert 'depth = { value = "0.1195 m"' in path.read_text(encoding="utf-8")
    assert scenario.read(path).scenario.event[0].depth == 0.1195


@pytest.mark.parametrize(
    ("machine", "floor", "load", "said"),
    [
        (True, True, "demo", "machine, floor and lifted load are invented"),
        (True, True, "told", "machine and floor are invented"),
        (False, True, "told", "floor is invented"),
        (True, False, "told", "machine is invented"),
        (False, False, "demo", "lifted load is invented"),
    ],
)
def test_the_demo_mark_says_what_is_invented(machine, floor, load, said):
    changes = {"machine.demo": str(machine).lower(), "floor.demo": str(floor).lower(), "load.weight_from": load}
    case = scenario.read(GOOD, changes)
    assert demo_note(case.demo) == f"DEMO: {said}; no real one has these figures."
    assert marks(case.demo)["demo"] == 1


def test_what_is_not_invented_has_no_demo_mark():
    changes = {"machine.demo": "false", "floor.demo": "false", "load.weight_from": "told"}
    case = scenario.read(GOOD, changes)
    assert case.demo == ""
    assert "DEMO" not in marks(case.demo)["caution"]
    assert marks(case.demo)["demo"] == 0
