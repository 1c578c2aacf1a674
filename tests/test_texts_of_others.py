"""Files as word processors write them are read; what would steer a screen or a spreadsheet is not shown."""

from __future__ import annotations

import csv
import io
import re
import subprocess
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner, Result

from tipline import cli, scenario, units
from tipline.errors import InputError
from tipline.model import read_floor, read_machine, read_stock
from tipline.model.shipped import find
from tipline.printable import STEERING, cell, printable, setting_word, shell_word, spoken_of
from tipline.report.floor import rows_csv
from tipline.results import Channel, Run
from tipline.scenario.route import read_route
from tipline.scenario.sweep_reader import read_sweep

SCENARIO = "front-tyre-breaks-through-load-high"
ROUTE = 'path = [["2 m", "2.6 m"], ["14 m", "2.6 m"]]\n'
READERS: dict[str, tuple[str, Callable[..., object]]] = {
    "scenario": (SCENARIO, scenario.read),
    "machine": ("demo-truck-a", read_machine),
    "floor": ("demo-hall-c", read_floor),
    "stock": ("demo-stock-a", read_stock),
    "sweep": ("one-front-tyre-breaks-through", read_sweep),
    "route": ("", read_route),
}
ESCAPES = ["\x1b[31mred", "a\x07bell", "line\rover", "\x9b31m", "\u202eback to front", "\x7f"]


def text_of(kind: str) -> str:
    return ROUTE if kind == "route" else find(kind, READERS[kind][0])[0].read_text(encoding="utf-8")  # type: ignore[arg-type]


@pytest.fixture
def invoke(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., Result]:
    monkeypatch.chdir(tmp_path)
    return lambda *words: CliRunner().invoke(cli.app, [str(word) for word in words])


@pytest.mark.parametrize("name", ["own.toml", "own.TOML", "own.Toml"])
@pytest.mark.parametrize("kind", READERS)
def test_a_byte_order_mark_and_capitals_in_the_ending_are_taken(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, kind: str, name: str
) -> None:
    monkeypatch.chdir(tmp_path)
    Path(name).write_text(text_of(kind), encoding="utf-8-sig")
    marked = READERS[kind][1](Path(name))
    Path(name).write_text(text_of(kind), encoding="utf-8")
    plain = READERS[kind][1](Path(name))
    assert getattr(marked, "resolved", repr(marked)) == getattr(plain, "resolved", repr(plain))


@pytest.mark.slow
def test_a_floor_with_a_byte_order_mark_is_a_floor(invoke: Callable[..., Result]) -> None:
    Path("own.TOML").write_text(text_of("floor"), encoding="utf-8-sig")
    result = invoke("floor", "own.TOML", "--no-pictures", "--quiet")
    assert result.exit_code in (0, 4), result.stderr


@pytest.mark.parametrize("blank", ["\u00a0", "\u202f", "\u2009", "\u2007"])
def test_a_blank_that_does_not_break_may_stand_before_a_unit(blank: str) -> None:
    assert units.parse(f"5.2{blank}t", "mass") == 5200.0
    assert units.parse(f"6{blank}ft{blank}3{blank}in", "length") == units.parse("6 ft 3 in", "length")
    assert units.parse(f"12{blank}kN{blank}m", "torque") == 12e3
    assert units.parse(f"2{blank}%", "slope") == units.parse("2 %", "slope")
    with pytest.raises(ValueError, match="not a number with a unit"):
        units.parse(f"10{blank}000{blank}kg", "mass")


@pytest.mark.parametrize("bad", ESCAPES)
def test_a_control_character_is_refused_and_not_shown(tmp_path: Path, bad: str) -> None:
    written = "".join(
        letter if letter.isascii() and letter.isprintable() else f"\\u{ord(letter):04x}" for letter in bad
    )
    for old, new in (
        ('title = "', f'title = "{written}'),
        ("[setup]", f'"{written}" = 1\n[setup]'),
        ("\n[load]", f'\n[load]\ncolour = {{ value = "{written}", origin = "told" }}'),
    ):
        path = tmp_path / "own.toml"
        path.write_text(text_of("scenario").replace(old, new, 1), encoding="utf-8")
        with pytest.raises(
            InputError, match=rf"holds a control character, U\+{ord(STEERING.search(bad)[0]):04X}"
        ) as told:  # type: ignore[index]
            scenario.read(path)
        assert not STEERING.search(str(told.value))
        assert str(told.value).startswith(f"{path}:")


def test_a_text_of_several_lines_is_not_refused(tmp_path: Path) -> None:
    path = tmp_path / "own.toml"
    text = re.sub(r'title = ".*"', 'title = """one\n\ttwo\r\nthree"""', text_of("scenario"), count=1)
    path.write_text(text, encoding="utf-8")
    assert scenario.read(path).scenario.title.split() == ["one", "two", "three"]


@pytest.mark.parametrize("bad", ESCAPES)
def test_nothing_that_is_typed_steers_the_screen(invoke: Callable[..., Result], bad: str) -> None:
    for words in (
        ("check", f"{bad}.toml"),
        ("check", SCENARIO, "--set", f"title={bad}"),
        ("check", SCENARIO, "--set", f"{bad}=1"),
        ("check", SCENARIO, f"--{bad}"),
        (bad,),
        ("check", SCENARIO, "--units", bad),
    ):
        result = invoke(*words)
        assert result.exit_code == 2
        assert not STEERING.search(result.output), repr(result.output)


def test_a_file_whose_name_steers_is_read_and_named_without(invoke: Callable[..., Result]) -> None:
    Path("a\x1b[31mb.toml").write_text(text_of("scenario"), encoding="utf-8")
    result = invoke("check", "a\x1b[31mb.toml", "--out", "out", "--quiet")
    assert result.exit_code in (0, 4), result.stderr
    for path in Path("out").rglob("*"):
        assert not STEERING.search(path.name)
        assert path.is_dir() or not STEERING.search(path.read_text(encoding="utf-8"))


def test_lines_and_tabs_are_left() -> None:
    assert printable("a\tb\nc\x00\x1b[0m") == "a\tb\nc??[0m"


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@SUM(1)", "\t=1"])
def test_a_cell_that_a_spreadsheet_would_work_out_is_quoted(tmp_path: Path, text: str) -> None:
    written = rows_csv([{"zone": text, "load": -1.5, "note": "a=b"}], demo="")
    (row,) = csv.DictReader(io.StringIO(written))
    assert (row["zone"], row["load"], row["note"]) == (f"'{text}", "-1.5", "a=b")
    assert cell(text) == f"'{text}"
    assert cell(-1.5) == -1.5


def test_the_columns_of_a_run_are_quoted_too(tmp_path: Path) -> None:
    channel = Channel(np.array([-1.0, 2.0]), "N", "a load")
    run = Run(np.array([0.0, 0.5]), np.zeros((2, 0, 7)), np.zeros((2, 0, 6)), {"=tyre": channel}, (), ())
    run.to_csv(tmp_path / "run.csv")
    with (tmp_path / "run.csv").open(encoding="utf-8", newline="") as file:
        rows = [row[:2] for row in csv.reader(file)]
    assert rows == [["time [s]", "'=tyre [N]"], ["0.0", "-1.0"], ["0.5", "2.0"]]


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("old slab", "the old slab"),
        ("the main floor", "the main floor"),
        ("Bay 4", "Bay 4"),
        ("3rd bay", "3rd bay"),
        ("bay 3", "bay 3"),
        ("soft strip, on long plate", "the soft strip, on the long plate"),
    ],
)
def test_a_part_of_a_floor_is_named_as_in_a_sentence(name: str, said: str) -> None:
    assert spoken_of(name) == said


WORDS = ["my lift.toml", "107 mm", "5 %", "runs\\x", "runs\\my lift", "it's", "a,b", "load.mass=5 t", "é.toml", "~x",
         "a&b|c<d>e^f", "(x)", "#1", "*.toml", "-x", "", "@a", "a;b", "setup.tilt=2 deg; load.mass=4 t",
         "meant=['load.mass']"]  # fmt: skip
"""What double quotes keep alike in every shell."""
HARD = ["a$b", "a`b`", 'a "b"', "a!b", "%PATH% x", "a\\\\b c", "ends in\\ a \\", "a\nb", "printed “quotes”"]
"""What they do not."""


def words_on_windows(line: str) -> list[str]:
    """Return the words of a command as programs on Windows are given them.

    Source: Microsoft, Parsing C++ command-line arguments (from memory): spaces part words outside double quotes; of
    backslashes before a double quote each second counts, and an odd one keeps the quote as it is.
    """
    words, word, inside, begun, slashes = [], "", False, False, 0
    for letter in f"{line} ":
        if letter == "\\":
            slashes, begun = slashes + 1, True
            continue
        if letter == '"':
            word += "\\" * (slashes // 2) + ('"' if slashes % 2 else "")
            inside, begun = inside ^ (slashes % 2 == 0), True
        else:
            word += "\\" * slashes
            if letter in " \t" and not inside:
                words += [word] if begun else []
                word, begun = "", False
            else:
                word, begun = word + letter, True
        slashes = 0
    return words


@pytest.mark.parametrize("text", WORDS)
def test_a_word_of_a_command_is_read_alike_by_every_shell(text: str) -> None:
    word = shell_word(text)
    assert words_on_windows(f"tipline {word} --quiet") == ["tipline", text, "--quiet"]
    done = subprocess.run(["sh", "-c", f"printf '%s|' {word} x"], capture_output=True, text=True, check=True)
    assert done.stdout == f"{text}|x|"
    kept = word.removeprefix('"').removesuffix('"')
    assert kept == text  # PowerShell takes double quotes off, and changes within them what begins with $ or `
    assert not set('"$`') & set(kept)


@pytest.mark.parametrize("text", HARD)
def test_what_no_quotes_keep_everywhere_is_quoted_for_a_posix_shell(text: str) -> None:
    done = subprocess.run(
        ["sh", "-c", f"printf '%s|' {shell_word(text)} x"], capture_output=True, text=True, check=True
    )
    assert done.stdout == f"{text}|x|"
    assert shell_word(text).startswith("'")


def test_a_list_is_set_with_single_quotes_inside_double_ones() -> None:
    word = setting_word("weighings", '[{total = "10.6 t", slabs = 2}]')
    assert word == "\"weighings=[{total = '10.6 t', slabs = 2}]\""
    assert scenario.read(SCENARIO, {"meant": "['load.mass']"}).scenario.meant == ("load.mass",)
    assert setting_word("title", '["it\'s"]') == "'title=[\"it'\"'\"'s\"]'"
