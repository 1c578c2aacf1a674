"""What a truck, a floor or a stock cannot be is refused by key with what to write; none of it ends in a traceback."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from typer.testing import CliRunner

from tipline import check, cli, scenario
from tipline.errors import InputError, NumericalError
from tipline.geometry.assembly import assemble
from tipline.model import read_stock
from tipline.model.shipped import find, list_shipped
from tipline.statics import truck as statics

SCENARIO = "service-stop-load-high"


@pytest.mark.parametrize(
    ("key", "value", "says"),
    [
        ("drive_axle.tyre.0.stiffness", "6 kN/m",
         "is so soft that its rated load, 98 kN, presses 95 mm of rubber by 16.3 m. "
         'Write more than 1.03 MN/m ("6 MN/m" is usual), or correct rated_load'),
        ("drive_axle.tyre.0.rated_load", "9800 kN", "is so soft that its rated load"),
        ("mast.channel_depth", "8 mm",
         "must be 30 mm or more. Write how deep a channel of the mast is, such as \"0.2 m\""),
        ("mast.channel_depth", "0.9 m",
         "the back of the mast, face less channel_depth, lies at -580 mm, behind the drive tyres, at -360 mm. "
         "Write a face (x of its front, forward positive) above 540 mm"),
        ("mast.face", "-0.32 m", "the back of the mast, face less channel_depth, lies at -520 mm"),
        ("mast.width", "50 mm", "must be 90 mm or more with 3 stages"),
        ("chassis.guard_front", "-0.5 m", "lies behind the drive tyres, at -360 mm. Write its x"),
    ],
)  # fmt: skip
def test_a_truck_that_cannot_be_built(key: str, value: str, says: str) -> None:
    with pytest.raises(InputError) as told:
        scenario.read(SCENARIO, {f"machine.{key}": value})
    assert says in str(told.value)


def test_a_tyre_whose_rubber_gives_no_stiffness_is_refused(tmp_path: Path) -> None:
    text = find("machine", "demo-truck-a")[0].read_text(encoding="utf-8").replace('stiffness = "6.0 MN/m"\n', "")
    (tmp_path / "own.toml").write_text(text, encoding="utf-8")
    changes = {"machine": str(tmp_path / "own.toml")}
    scenario.read(SCENARIO, changes)
    with pytest.raises(InputError, match=r"no stiffness can be found from its rubber: compressed by .* Add stiffness"):
        scenario.read(SCENARIO, {**changes, "machine.drive_axle.tyre.0.rated_load": "980 kN"})


@pytest.mark.parametrize("name", list_shipped()["machine"])
def test_the_least_that_is_taken_can_be_built(name: str) -> None:
    """The truck at each of these bounds, and just past it: taken and drawn, refused."""
    given = next(one for one in list_shipped()["scenario"] if scenario.read(one).machine.name == name)
    case = scenario.read(given)
    machine = case.machine
    behind = -machine.drive_axle.tyre[0].diameter / 2
    bounds = {
        "mast.channel_depth": 0.03,
        "mast.width": machine.mast.stages * 0.03,
        "mast.face": behind + machine.mast.channel_depth,
        "chassis.guard_front": behind,
    }
    for key, least in bounds.items():
        case = scenario.read(given, {f"machine.{key}": f"{least + 1e-4} m"})
        assemble(case.machine, case.scenario.setup, case.load)
        with pytest.raises(InputError):
            scenario.read(given, {f"machine.{key}": f"{least - 1e-4} m"})


def test_sizes_that_leave_no_room_for_a_part_are_one_message(monkeypatch: pytest.MonkeyPatch) -> None:
    from tipline.geometry import assembly

    def crossed(_: object) -> None:
        msg = "the outline crosses itself or has no area"
        raise ValueError(msg)

    case = scenario.read(SCENARIO, {"machine.chassis.mass": "3.21 t"})
    monkeypatch.setattr(assembly, "chassis", crossed)
    with pytest.raises(InputError, match=r"machine\.chassis: cannot be drawn from its sizes: .* Write front"):
        assemble(case.machine, case.scenario.setup, case.load)


@pytest.mark.parametrize("thickness", ["350 mm", "251 mm", "3.9 mm"])
def test_a_steel_plate_that_is_a_block_or_sheet_metal_is_refused(tmp_path: Path, thickness: str) -> None:
    text = find("stock", "demo-stock-a")[0].read_text(encoding="utf-8")
    path = tmp_path / "stock.toml"
    path.write_text(text.replace('thickness = "50 mm"', f'thickness = "{thickness}"', 1), encoding="utf-8")
    with pytest.raises(InputError, match=r"item\.3\.thickness = .* must be (250 mm or less|4 mm or more)"):
        read_stock(path)


@pytest.mark.slow
@pytest.mark.parametrize("thickness", ["250 mm", "4 mm"])
def test_the_thickest_and_the_thinnest_plate_that_are_taken_are_reckoned_with(tmp_path: Path, thickness: str) -> None:
    text = find("stock", "demo-stock-a")[0].read_text(encoding="utf-8")
    path = tmp_path / "stock.toml"
    path.write_text(text.replace('thickness = "50 mm"', f'thickness = "{thickness}"', 1), encoding="utf-8")
    words = ["floor", SCENARIO, "--set", "floor=demo-hall-c", "--stock", str(path), "--no-pictures", "--out"]
    result = CliRunner().invoke(cli.app, [*words, str(tmp_path / "out")])
    assert result.exit_code in (0, 4), result.stderr


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("elsewhere = " + "[" * 3000 + "]" * 3000, "is nested too deeply"),
        ("[elsewhere]\nx = " + "{a=" * 600 + "1" + "}" * 600, "is nested too deeply"),
        ("friction = " + "9" * 5000, "a number is too long"),
    ],
)
@pytest.mark.parametrize("words", [("floor",), ("check",), ("sweep",), ("floor", SCENARIO, "--route"),
                                   ("floor", SCENARIO, "--stock")])  # fmt: skip
def test_a_file_nested_deep_or_with_a_long_number_is_one_message(
    tmp_path: Path, words: tuple[str, ...], text: str, says: str
) -> None:
    (tmp_path / "own.toml").write_text(text, encoding="utf-8")
    out = ("--out", str(tmp_path / "out"))
    result = CliRunner().invoke(cli.app, [*words, str(tmp_path / "own.toml"), *(out if words[0] != "sweep" else ())])
    assert result.exit_code == 2
    assert says in result.stderr
    assert len(result.stderr) < 600
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("value", ["0", "{ solid = 0, band = 0, pneumatic = 0 }"])
def test_a_floor_without_friction_is_refused_in_every_form(value: str) -> None:
    with pytest.raises(InputError, match=r"floor\.friction.* = 0: must be 0\.01 or more"):
        scenario.read(SCENARIO, {"floor.friction": value})


def test_a_floor_of_ice_that_hardly_holds_is_asked() -> None:
    result = CliRunner().invoke(cli.app, ["check", SCENARIO, "--set", "floor.friction=0.01"])
    assert result.exit_code in (0, 4), result.stderr
    held = re.findall(r"^ +slope falling (left|right) \(slides\) +([0-9.]+) %", result.stdout, re.MULTILINE)
    assert [name for name, _ in held] == ["left", "right"]
    assert all(0.3 <= float(slope) <= 1.0 for _, slope in held), "not more than friction"


def test_a_search_that_runs_away_is_told_without_a_number_that_is_none(monkeypatch: pytest.MonkeyPatch) -> None:
    case = scenario.read(SCENARIO)
    real = statics.solver.solve

    def astray(*words: object) -> tuple[int, int, float, float]:
        real(*words)
        return statics.solver.FAILED, 60, float("nan"), 0.0

    monkeypatch.setattr(statics.solver, "solve", astray)
    with pytest.raises(NumericalError) as told:
        check(case)
    assert "no pose at rest was found in 60 steps (the search ran away)" in str(told.value)
    assert "nan" not in str(told.value).split()
