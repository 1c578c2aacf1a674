"""What buttons have made: sweeps of the set-up, files that commands take, and what a file may name."""

from __future__ import annotations

import re
import tomllib
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

import pytest

from tipline.errors import InputError
from tipline.model.shipped import find
from tipline.scenario import read
from tipline.scenario.sweep_reader import read_sweep
from tipline.scenario.templates import KINDS, template
from tipline.workbench.bench import FIRST, Bench, FileKind
from tipline.workbench.shown import answers
from tipline.workbench.tasks import sweep_text, task_of
from tipline.workbench.wishes import wish
from tipline.workbench.work import BenchAtRest, Work, stand


@pytest.fixture(scope="module")
def standing() -> BenchAtRest:
    return list(stand(Bench(), "si", BenchAtRest()))[-1]


@pytest.fixture
def work(standing: BenchAtRest) -> Work:
    return Work(ThreadPoolExecutor(1), standing=standing)


@pytest.mark.parametrize("kind", KINDS)
def test_a_file_of_every_kind_is_known_for_what_it_is(kind: FileKind) -> None:
    bench = Bench()
    assert bench.hand_in(f"my-{kind}.toml", template(kind).encode()) == kind  # type: ignore[arg-type]
    assert bench.names(kind)[0] == f"my-{kind}.toml"


@pytest.mark.parametrize(
    ("kind", "text"),
    [
        ("sweep", 'title = "x"\nscenario = "/etc/passwd"\nmethod = "grid"\n'),
        ("sweep", f'title = "x"\nscenario = "{FIRST}"\nmethod = "grid"\n[set]\nmachine = "../secret.toml"\n'),
        ("sweep", f'scenario = "{FIRST}"\nmethod = "grid"\n[[variable]]\nkey = "floor"\nvalues = ["~/hall.toml"]\n'),
        ("sweep", f'scenario = "{FIRST}"\nmethod = "grid"\n[[variable]]\nkey = ["floor"]\nvalues = ["~/hall.toml"]\n'),
        ("lesson", 'title = "x"\n[[pair]]\nscenario = "/home/me/lift.toml"\n'),
        (
            "lesson",
            f'[[pair]]\nscenario = "{FIRST}"\nchange = "machine"\nfails = "/etc/passwd"\nholds = "demo-truck-a"\n',
        ),
        ("incident", f'scenario = "{FIRST}"\n[[cause]]\nscenario = "../lift.toml"\n'),
    ],
)
def test_a_file_that_names_another_on_the_disk_is_not_taken(kind: str, text: str) -> None:
    bench = Bench()
    with pytest.raises(InputError, match="of that name here"):
        bench.hand_in(f"{kind}.toml", text.encode())
    assert bench.files == {}


def test_a_value_that_is_to_vary_comes_with_its_range_and_the_sweep_reads_back(work: Work, tmp_path: Path) -> None:
    wish(work, "key1", "setup.hook_height")
    assert (work.wishes["from1"], work.wishes["to1"], work.wishes["count1"]) == ("2.6 m", "7.05 m", "11")
    wish(work, "key2", "load.mass")
    assert read(FIRST).load.mass == 4500.0  # type: ignore[union-attr]
    assert (work.wishes["from2"], work.wishes["to2"], work.wishes["count2"]) == ("3.6 tonne", "5.4 tonne", "5")
    wish(work, "from1", "3 m")
    wish(work, "count1", "3")
    task, stem = task_of(work, tmp_path, "own-sweep", "")
    assert task is not None
    assert (task.command, stem) == ("sweep", "sweep-of-this-set-up")
    early = replace(task, early=str(tmp_path))
    plan = read_sweep(early.laid(task.name))
    assert plan.rows == 15
    assert [variable["least"] for variable in tomllib.loads(task.files[task.name])["variable"]] == ["3 m", "3.6 tonne"]
    assert "setup.hook_height" in str(plan.sweep.variable[0].key)


def test_a_row_more_is_there_for_each_value_that_is_chosen_up_to_four(work: Work) -> None:
    rows = []
    for number, key in enumerate(("setup.hook_height", "load.mass", "setup.ballast_slabs", "event.0.depth"), 1):
        wish(work, f"key{number}", key)
        page = answers(work)
        rows.append((re.findall(r'id="key(\d)"', page), re.findall(r"(\d+) runs\.", page)))
    assert rows == [(["1", "2"], ["11"]), (["1", "2", "3"], ["25"]), (list("1234"), ["27"]), (list("1234"), ["81"])]
    plan = tomllib.loads(sweep_text(work.bench, work.wishes))
    assert [variable["key"] for variable in plan["variable"]][2:] == ["setup.ballast_slabs", "event.0.depth"]
    wish(work, "key2", "")
    assert re.findall(r'id="key(\d)"', answers(work)) == list("1234")
    assert len(tomllib.loads(sweep_text(work.bench, work.wishes))["variable"]) == 3


@pytest.mark.parametrize(
    ("wishes", "said"),
    [
        ({}, "no value is chosen"),
        ({"key1": "load.mass", "from1": "3 t", "to1": "5 t", "count1": "ten"}, "how many values"),
        ({"key1": "load.mass", "from1": "", "to1": "5 t", "count1": "5"}, "its least value"),
    ],
)
def test_a_sweep_that_is_not_filled_in_says_what_is_missing(wishes: dict[str, str], said: str) -> None:
    with pytest.raises(InputError, match=said):
        sweep_text(Bench(), wishes)


def test_a_wish_is_bounded_and_no_other_is_kept(work: Work) -> None:
    wish(work, "from1", "9" * 5000)
    wish(work, "bench", "x")
    assert {name: len(text) for name, text in work.wishes.items()} == {"from1": 300}


def test_the_floor_is_asked_with_the_route_and_the_spreaders_that_are_here(work: Work, tmp_path: Path) -> None:
    work.bench.hand_in("way.toml", template("route").encode())
    wish(work, "route", "way.toml")
    wish(work, "stock", "/etc/passwd")
    task, stem = task_of(work, tmp_path, "ask", "floor")
    assert task is not None
    assert (task.options, stem) == ({"route": "way.toml"}, f"floor-{FIRST}")
    chosen = re.findall(r'<option value="([^"]*)" selected>', answers(work))
    assert chosen == ["way.toml"]  # what is shown as chosen is what is asked with, however often it is shown anew
    laid = Path(replace(task, early=str(tmp_path)).laid("way.toml"))
    assert laid.read_text(encoding="utf-8") == template("route")
    assert replace(task, early=str(tmp_path)).laid("demo-stock-a") == "demo-stock-a"


def test_the_machine_is_fitted_with_what_was_changed_in_it(work: Work, tmp_path: Path) -> None:
    truck = find("machine", "demo-truck-a")[0].read_bytes()
    work.bench.hand_in("truck.toml", truck)
    work.bench.change("machine.wheelbase", "2.05 m")
    task, stem = task_of(work, tmp_path, "ask", "fit")
    assert task is not None
    assert (task.name, dict(task.changes), stem) == ("truck.toml", {"wheelbase": "2.05 m"}, "fit-truck")


@pytest.mark.parametrize(
    ("what", "of"),
    [("reconstruct", "/etc/passwd"), ("lesson", "x"), ("sweep", ""), ("film", "../x"), ("pdf", ""), ("pair", "[1]")],
)
def test_what_is_not_here_is_not_made(work: Work, tmp_path: Path, what: str, of: str) -> None:
    with pytest.raises(InputError):
        task_of(work, tmp_path, what, of)
    assert task_of(work, tmp_path, "erase", "all") == (None, "")
