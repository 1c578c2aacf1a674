"""What is said to be meant is not asked; a change, a stale word and --strict are told apart; pages tell it first."""

import json
import subprocess
import sys
import time
from pathlib import Path
from typing import NamedTuple

import pytest

import tipline
from tipline import scenario
from tipline.commands.check import page_of
from tipline.commands.delivered import Wishes
from tipline.errors import InputError, InputErrors
from tipline.model.reader import unusual_in_floor
from tipline.report import text
from tipline.report.first import NOT_MET, UNUSUAL, first_on, first_summary
from tipline.report.page import Page, PointList
from tipline.scenario import write_resolved
from tipline.scenario.sweep_reader import read_sweep

LOW = "service-stop-load-low"


class Front(NamedTuple):
    """What a report tells first."""

    unusual: tuple[InputError, ...]
    not_met: tuple[str, ...]


HEAVY = {"load.mass": "32 t"}
ON_SLOPES = {"setup.slope": "1 %", "setup.slope_towards": "0 deg", "floor.slope": "2 %"}


def keys(case: scenario.Case) -> list[str | None]:
    return [one.key for one in case.unusual]


def own(folder: Path, **lines: str) -> Path:
    """Return a copy of a scenario with lines put before its first table."""
    file = Path(scenario.read(LOW).scenario.file or "")
    words = "".join(f"{key} = {value}\n" for key, value in lines.items())
    head, _, rest = file.read_text(encoding="utf-8").partition("[setup]")
    path = folder / "own.toml"
    path.write_text(f"{head}{words}[setup]{rest}".replace('mass = "9 t"', 'mass = "32 t"'), encoding="utf-8")
    return path


def test_a_value_that_is_meant_is_not_asked(tmp_path: Path) -> None:
    assert keys(scenario.read(own(tmp_path))) == ["load.mass"]
    case = scenario.read(own(tmp_path, meant='["load.mass"]'))
    assert (case.unusual, case.told) == ((), ())
    assert keys(scenario.read(LOW, {**HEAVY, "meant": '["load.mass"]'})) == []
    assert keys(scenario.read(LOW, {**HEAVY, "meant": '["load"]'})) == []


def test_what_a_change_replaced_is_asked_again(tmp_path: Path) -> None:
    path = own(tmp_path, meant='["load.mass"]')
    case = scenario.read(path, {"load.mass": "33 t"})
    assert keys(case) == ["load.mass"]
    write_resolved(case, tmp_path / "resolved.toml")
    assert keys(scenario.read(tmp_path / "resolved.toml")) == ["load.mass"]
    kept = scenario.read(path)
    write_resolved(kept, tmp_path / "resolved.toml")
    assert scenario.read(tmp_path / "resolved.toml") == kept
    assert keys(scenario.read(tmp_path / "resolved.toml")) == []


def test_a_scenario_may_say_so_of_machine_and_floor_by_index_or_name() -> None:
    odd = {"machine.drive_axle.tyre.front-left.friction": "0.01", "floor.friction": "0.03"}
    assert keys(scenario.read(LOW, odd)) == ["machine.drive_axle.tyre.0.friction", "floor.friction"]
    for name in ("front-left", "0"):
        said = f'["machine.drive_axle.tyre.{name}.friction", "floor.friction"]'
        assert keys(scenario.read(LOW, {**odd, "meant": said})) == []
    inside = {**odd, "machine.meant": '["drive_axle.tyre.0"]', "floor.meant": '["friction"]'}
    assert keys(scenario.read(LOW, inside)) == []
    assert unusual_in_floor("demo-hall-a", {"friction": "0.03", "meant": '["friction"]'}) == ()


def test_meant_of_nothing_unusual_is_told() -> None:
    (said,) = scenario.read(LOW, {"meant": '["load.mass"]'}).told
    assert said == "meant of the scenario names load.mass, where nothing is unusual."
    (said,) = scenario.read(LOW, {"meant": '["laod.mass"]'}).told
    assert said == "meant of the scenario names laod.mass, where nothing is unusual."


def test_a_question_names_file_line_key_value_and_remedy(tmp_path: Path) -> None:
    path = own(tmp_path)
    (asked,) = scenario.read(path).unusual
    line = path.read_text(encoding="utf-8").splitlines().index('mass = "32 t"') + 1
    assert (asked.file, asked.line, asked.key, asked.value) == (str(path), line, "load.mass", '"32 t"')
    assert asked.reason == "the plate allows at most 12.2 tonne with this attachment"
    assert asked.remedy.endswith('If it is meant, say so: meant = ["load.mass"] in this file')


def test_strict_refuses_what_is_unusual() -> None:
    for asked in (
        lambda: tipline.check(LOW, HEAVY, strict=True),
        lambda: tipline.run(LOW, HEAVY, strict=True),
        lambda: tipline.floor(LOW, HEAVY, strict=True),
        lambda: tipline.floor("demo-hall-a", {"friction": "0.03"}, strict=True),
        lambda: tipline.slopes(LOW, HEAVY, strict=True),
        lambda: tipline.slopes(LOW, beside=["load.mass = 32 t"], strict=True),
    ):
        with pytest.raises(InputErrors) as caught:
            asked()
        assert caught.value.exit_code == 2
        assert "If it is meant, say so" in str(caught.value)
    assert tipline.check(LOW, strict=True).stands == "stands"


def test_the_ends_of_what_varies_are_asked_in_the_sweep_s_own_file() -> None:
    depth = {"variable.5.most": "1.6 m"}
    (asked,) = read_sweep("one-front-tyre-breaks-through", depth).unusual
    assert (asked.key, "event.0.depth = 1.6 m" in asked.reason) == ("variable.5", True)
    assert read_sweep("one-front-tyre-breaks-through", {**depth, "meant": '["event.0.depth"]'}).unusual == ()


def test_a_page_tells_it_before_anything_else_and_its_lead_hangs_on_it() -> None:
    told = page_of(tipline.check(LOW, {**HEAVY, **ON_SLOPES}), Wishes())
    assert [section.title for section in told.page.sections[:2]] == [UNUSUAL, NOT_MET]
    assert told.page.lead.endswith(", if an unusual value is meant; not everything that was given is used")
    assert told.summary["unusual_count"] == 1
    assert told.summary["unusual"][0]["key"] == "load.mass"
    assert told.summary["not_used_or_met"] == ["The floor's own slope, 2 %, is overridden by setup.slope, 1 %."]
    words = text.page_text(told.page)
    assert 0 < words.index(UNUSUAL) < words.index(NOT_MET) < words.index("What the truck puts on the floor")


def test_a_page_of_what_is_usual_is_left_as_it_is() -> None:
    page = Page("a", "b", "down", False, (PointList("c", ("d",)),))
    nothing = Front((), ())
    assert first_on(page, nothing, "si") == page
    assert first_summary(nothing) == {"unusual_count": 0, "unusual": [], "not_used_or_met": []}


def test_us_pages_keep_keys_and_values_as_written() -> None:
    case = scenario.read(LOW, {"machine.drive_axle.tyre.0.rated_load": "9.8 kN"})
    page = first_on(Page("a", "b", "down", False, ()), Front(case.unusual, ("x.tyre.0.inflation 1 m",)), "us")
    items = [item for section in page.sections for item in section.items]  # type: ignore[union-attr]
    assert 'machine.drive_axle.tyre.0.rated_load = "9.8 kN"' in items[0]
    assert items[-1] == "x.tyre.0.inflation 3.3 ft"


@pytest.mark.slow
def test_the_command_line_tells_it_and_refuses_it(tmp_path: Path) -> None:
    start = [sys.executable, "-m", "tipline", "check", LOW, "--quiet", "--set", "load.mass=32 t"]
    done = subprocess.run([*start, "--json"], capture_output=True, text=True, check=False)
    assert json.loads(done.stdout)["unusual_count"] == 1
    done = subprocess.run([*start, "--strict"], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith('tipline: from --set: load.mass = "32 t": the plate allows at most')


def test_asking_costs_next_to_nothing() -> None:
    case = scenario.read("front-tyre-breaks-through-load-high")
    least = 1.0
    for _ in range(5):
        case.as_read.__dict__.pop("unusual", None)
        case.as_read.__dict__.pop("_asked", None)
        start = time.process_time()
        assert case.unusual == ()
        least = min(least, time.process_time() - start)
    assert least < 0.01


def test_in_python_a_report_holds_it_and_shows_it_first() -> None:
    report = tipline.check(LOW, HEAVY)
    assert [one.key for one in report.unusual] == ["load.mass"]
    shown = report._repr_html_()
    assert 0 < shown.index(UNUSUAL) < shown.index("What the truck puts on the floor")
