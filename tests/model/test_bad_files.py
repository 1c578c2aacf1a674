"""Each spoiled file gives one clear message with file, line, key, value and remedy.

A file says in its first lines what it is read as, which key is at fault and words of the message; the line at
fault carries the mark "<- here".
"""

import tomllib
from pathlib import Path

import pytest

from tipline import scenario
from tipline.errors import InputError, InputErrors
from tipline.model import read_floor, read_machine, read_stock

FOLDER = Path(__file__).parent / "bad_files"
FILES = sorted(FOLDER.glob("*.toml"))
READERS = {"scenario": scenario.read, "machine": read_machine, "floor": read_floor, "stock": read_stock}


def expected(path: Path) -> dict[str, str]:
    lines = path.read_text(encoding="utf-8").splitlines()
    return dict(line.removeprefix("# ").split(": ", 1) if ": " in line else (line[2:-1], "") for line in lines[:3])


def problems_of(reader, path: Path) -> tuple[InputError, ...]:
    with pytest.raises(InputError) as caught:
        reader(path)
    error = caught.value
    return error.problems if isinstance(error, InputErrors) else (error,)


def test_there_are_enough_spoiled_files():
    assert len(FILES) >= 40
    assert sum(expected(path)["reads"] == "floor" for path in FILES) >= 25


@pytest.mark.parametrize("name", ["scenario", "machine", "floor", "stock"])
def test_the_unspoiled_file_reads(name):
    path = FOLDER / "good" / f"{name}.toml"
    told = tomllib.loads(path.read_text(encoding="utf-8"))
    good = READERS[name](path)
    assert (good.scenario if name == "scenario" else good).title == told["title"]


@pytest.mark.parametrize("path", FILES, ids=[path.stem for path in FILES])
def test_one_clear_message(path):
    want = expected(path)
    (problem,) = problems_of(READERS[want["reads"]], path)
    text = str(problem)
    lines = path.read_text(encoding="utf-8").splitlines()
    assert problem.line == next(number for number, line in enumerate(lines, 1) if "<- here" in line)
    assert text.startswith(f"{path}:{problem.line}: ")
    assert (problem.key or "") == want["key"]
    assert want["says"] in text
    assert problem.remedy
    assert text.endswith(problem.remedy)
    assert "\n" not in text
    assert problem.exit_code == 2


def test_all_problems_of_a_file_are_told_together(tmp_path):
    text = (FOLDER / "good" / "scenario.toml").read_text(encoding="utf-8")
    for old, new in (('"115 mm"', '"115 kg"'), ('"5.2 t"', '"5 ton"'), ("tilt =", "tlt =")):
        text = text.replace(old, new)
    text = text.replace('"machine.toml"', '"demo-truck-a"').replace('"floor.toml"', '"demo-hall-a"')
    path = tmp_path / "several.toml"
    path.write_text(text, encoding="utf-8")
    problems = problems_of(scenario.read, path)
    assert sorted(str(problem.key) for problem in problems) == ["event.0.depth", "load.mass", "setup.tlt"]


def test_problems_of_machine_floor_and_scenario_are_told_together():
    changes = {"machine.wheelbase": "0 m", "floor.slope": "9 kg", "load.mass": "-1 t"}
    with pytest.raises(InputErrors) as caught:
        scenario.read(FOLDER / "good" / "scenario.toml", changes)
    assert {problem.key for problem in caught.value.problems} == set(changes)
    assert all(str(problem).startswith("from overrides: ") for problem in caught.value.problems)


def test_a_folder_is_refused(tmp_path):
    (problem,) = problems_of(scenario.read, tmp_path)
    assert "is a folder" in str(problem)


def test_a_missing_name_suggests_the_nearest_shipped_one():
    (problem,) = problems_of(read_machine, Path("demo-truck-d"))
    assert 'Did you mean "demo-truck-' in str(problem)
    (problem,) = problems_of(read_floor, Path("somewhere/demo-hall.toml"))
    assert 'Did you mean "demo-hall-a"' in str(problem)


def test_a_large_file_is_refused_before_it_is_read(tmp_path, monkeypatch):
    path = tmp_path / "large.toml"
    with path.open("wb") as file:
        file.truncate(50_000_000)
    monkeypatch.setattr(Path, "read_bytes", lambda _: pytest.fail("it was read"))
    (problem,) = problems_of(scenario.read, path)
    assert "is 50.0 MB; a file may have at most 1 MB" in str(problem)


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b'title = "caf\xe9"\n', "is not UTF-8 text (byte 12)"),
        ("title = 'x'".encode("utf-16"), "is not UTF-8 text"),
        (b"\x00\x01\x02", "is not valid TOML"),
        (b"a = " + b"[" * 20_000, "is nested too deeply"),
        (
            b"# of tomllib this takes gigabytes\n" + b"a." * 100_000 + b"a = 1",
            "is not valid TOML: A key has more than",
        ),
        (b"b = {" + b"a . 'b'." * 1_000 + b"a = 1}", "A key has more than 100 parts"),
        (b"a = " + b"9" * 9_000, "a number is too long"),
        (b"", "is needed but not there"),
    ],
)
def test_what_is_no_text_of_ours(tmp_path, content, says):
    path = tmp_path / "odd.toml"
    path.write_bytes(content)
    problems = problems_of(scenario.read, path)
    assert all(says in str(problem) for problem in problems)
    assert all(problem.remedy for problem in problems)


def test_a_file_that_cannot_be_opened_is_refused(tmp_path):
    (problem,) = problems_of(scenario.read, tmp_path / ("x" * 300 + ".toml"))
    assert "cannot be opened" in str(problem)
    (problem,) = problems_of(scenario.read, "a\0b.toml")
    assert "no such file" in str(problem)
    assert "\0" not in str(problem)


@pytest.mark.parametrize(
    ("key", "text", "says"),
    [
        ("event.0.depth", "95 furlong", 'event.0.depth = "95 furlong": unknown length unit'),
        ("event.0.depth", "95", "event.0.depth = 95: a number without a unit"),
        ("event.3.depth", "95 mm", 'no entry "3"; entries: 0 to 0'),
        ("event..depth", "95 mm", "the key has an empty part"),
        ("event.0.depth.x", "95 mm", "event.0.depth is a single value"),
        ("event.0.dept", "95 mm", 'did you mean "depth"?'),
        ("machine.drive_axle.tyre.front-lft.friction", "0.5", "front-left, front-right"),
        ("floor.friction", "0", "must be 0.01 or more"),
        ("machine", "demo-truck-z", 'machine = "demo-truck-z": no shipped machine'),
        ("", "1", "a change needs a key and a value"),
        ("run.duration", " ", "a change needs a key and a value"),
        ("load.mass", '{ value = "5 t", origin = "guess" }', "not a known origin"),
        ("setup", "3", "setup = 3: must be a table"),
    ],
)
def test_a_wrong_change_is_located(key, text, says):
    with pytest.raises(InputError) as caught:
        scenario.read(FOLDER / "good" / "scenario.toml", {key: text})
    assert str(caught.value).startswith("from overrides: ")
    assert says in str(caught.value)
