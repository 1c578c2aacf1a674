"""A dozen questions, any of which may stay open: answers, what is odd, the files they make, the page; in a terminal."""

from __future__ import annotations

import json
import os
import pty
import select
import signal
import subprocess
import sys
import time
import tomllib
from pathlib import Path

import pytest
from tests.shared.spec_sheet import TRUCKS, sheet_of
from typer.testing import CliRunner

import tipline
from tipline.asking.odd import case_of_answers, oddities, slip_of
from tipline.asking.questions import QUESTIONS, LiftQuestion, read_answer
from tipline.cli import app
from tipline.commands.delivered import Wishes
from tipline.commands.start import StartResult, answers_text, page_of
from tipline.errors import InputError
from tipline.report import text as printed
from tipline.sweeps.inputs import at_rest

BY_KEY = {question.key: question for question in QUESTIONS}
LIFT = {
    "load_size": "1.8 x 1.4 x 1.6 m",
    "load": "5.2 t, nameplate",
    "load_centre": "0.9 m, 0.7 m",
    "held": "forks",
    "height": "3.2 m",
    "plate": "12.25 t, 0.6 m, 5.5 m",
    "weight": "10.2 t, 3.6 t",
    "axles": "1.9 m, 1.32 m, 1.24 m, pivoting",
    "tyres": "0.72 m, 0.3 m, solid, single",
    "fork_face": "0.47 m, 6.5 t, 0.6 m",
    "counterweight": "3.4 t, 1.2 m, 1.2 m",
    "slabs": "2, 0.5 t",
    "floor": "slab, 0.2 m, soil",
}


@pytest.mark.parametrize(
    ("key", "text", "values"),
    [
        ("load_size", "1.8 x 1.4 x 1.6 m", {"length": 1.8, "width": 1.4, "height_of_load": 1.6}),
        ("load_size", "1800 mm, ?, 1.6 m", {"length": 1.8, "width": None, "height_of_load": 1.6}),
        ("load", "weighed, 5.2 t", {"mass": 5200.0, "weight_from": "weighed"}),
        ("load", "11500 lb", {"mass": 5216.312, "weight_from": None}),
        ("held", "JIB, 5 ft", {"attachment": "jib", "reach": 1.524}),
        ("slabs", "2, 0.5 t", {"slabs": 2.0, "slab_mass": 500.0}),
        ("tyres", "twins, 0.78 m, solid", {"drive_tyres": "4", "drive_tyre_diameter": 0.78, "tyre_kind": "solid"}),
        ("load_centre", "don't know", {"out": None, "up": None}),
        ("load_centre", "scales 3.1 t, 2.1 t, 1.6 m", {"out": 0.646154, "up": None}),
        ("load", "5.2 t nameplate", {"mass": 5200.0, "weight_from": "plate"}),
        ("held", "fork", {"attachment": "forks", "reach": None}),
        ("held", "hung 1.6 m", {"attachment": "jib", "reach": 1.6}),
        ("floor", "slab on soil 200 mm", {"kind": "slab on soil", "thickness": 0.2}),
        ("floor", "concrete slab, 0.2 m", {"kind": "slab", "thickness": 0.2}),
        ("counterweight", "No", {"counterweight_mass": 0.0, "counterweight_stroke": None}),
        ("slabs", "none", {"slabs": 0.0, "slab_mass": None}),
        ("fork_face", "0.47 m, 6.5 t, 0.6 m", {"fork_face": 0.47, "stamp": 6500.0, "stamp_centre": 0.6}),
    ],
)
def test_an_answer_is_read_as_people_write_it(key: str, text: str, values: dict[str, object]) -> None:
    read = read_answer(BY_KEY[key], text)
    for field, value in values.items():
        assert read[field] == (pytest.approx(value, rel=1e-6) if isinstance(value, float) else value)


def test_a_load_s_height_from_one_end_lifted_by_hand() -> None:
    """5.2 t, 1.6 m apart, 0.3 m up, 3.1 to 3.3 t: 0.2 / 5.2 * 1.6 * sqrt(2.56 - 0.09) / 0.3 = 0.32239 m."""
    read = read_answer(BY_KEY["load_centre"], "scales 3.1 t, 2.1 t, 1.6 m, lifted 3.3 t, 0.3 m")
    assert read["up"] == pytest.approx(0.322388, abs=1e-5)


def test_a_centre_from_scales_is_measured_and_its_range_narrower() -> None:
    """Of a load 1.8 m long: told 40 mm in a metre of it to either side, measured 10."""
    scales = LIFT | {"load_centre": "scales 2.6 t, 2.6 t, 1.8 m", "floor": "rigid"}
    measured, told = case_of_answers(scales), case_of_answers(LIFT | {"load_centre": "0.9 m"})
    assert measured.resolved["load.load_centre"]["origin"] == "measured"
    assert measured.load is not None
    assert measured.load.load_centre == pytest.approx(0.9)
    for case, half in ((measured, 0.01 * 1.8), (told, 0.04 * 1.8)):
        out = next(knob.input for knob in at_rest(case) if knob.input.what.endswith("out from its middle"))
        assert out.high - out.low == pytest.approx(2.0 * half)


@pytest.mark.parametrize(("how", "half"), [("weighed", 0.01), ("nameplate", 0.03), ("told", 0.05), ("guess", 0.1)])
def test_how_a_weight_is_known_sets_how_far_it_is_varied(how: str, half: float) -> None:
    case = case_of_answers(LIFT | {"load": f"5.2 t, {how}"})
    weight = next(knob.input for knob in at_rest(case) if knob.input.what == "lifted weight")
    assert (weight.low, weight.high) == pytest.approx((5200.0 * (1.0 - half), 5200.0 * (1.0 + half)))


@pytest.mark.parametrize(
    ("key", "text", "words"),
    [
        ("load", "five tonnes", "weight"),
        ("load", "5.2", "unit"),
        ("load", "5.2 t, 3 t", "one more than is asked for"),
        ("height", "-3 m", "must be 0 or more"),
        ("slabs", "2.5", "whole number from 0 to 50"),
        ("load_centre", "scales 3 t", "not written as readings are"),
        ("height", "scales 3 t, 2 t, 1 m", "no answer to this question"),
        ("weight", "10,2 t", "can be one number or two; write 10.2, 102, or a space after a comma"),
        ("load", "11,500 lb", "write 11.500, 11500, or a space"),
        ("load_centre", "scales 2,6 t, 2.6 t, 1.8 m", "can be one number or two"),
        ("axles", "1.9 m, pivoting, fixed", "is told twice, in two ways"),
    ],
)
def test_an_answer_that_cannot_be_read_says_how_to_write_it(key: str, text: str, words: str) -> None:
    with pytest.raises(InputError, match=words) as caught:
        read_answer(BY_KEY[key], text)
    assert BY_KEY[key].example in str(caught.value)


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda one: one.key)
def test_every_example_is_an_answer(question: LiftQuestion) -> None:
    assert any(value is not None for value in read_answer(question, question.example).values())


@pytest.mark.parametrize(
    ("key", "text", "slip"),
    [
        ("load", "8.5 kg", "8.5 t"),
        ("axles", "1900 m, 1.32 m", "1900 mm, 1.32 m"),
        ("plate", "12.25 kg, 0.6 m, 5.5 m", "12.25 t, 0.6 m, 5.5 m"),
        ("height", "32 m", None),
        ("weight", "10.2 t, 11 t", None),
        ("fork_face", "0.47 m, 6.5 kg", "0.47 m, 6.5 t"),
        ("fork_face", "0.47 m, 4 t, 0.6 m", None),  # two forks of it carry less than the plate has
    ],
)
def test_an_odd_answer_is_asked_at_its_own_question(key: str, text: str, slip: str | None) -> None:
    answers = LIFT | {key: text}
    assert key in {question.key for question, _ in oddities(answers)}
    found = slip_of(BY_KEY[key], answers)
    assert found == slip or (slip is None and key == "height")
    assert not list(oddities(LIFT))


@pytest.fixture(scope="module")
def first() -> StartResult:
    return tipline.start(LIFT)


def test_the_first_page_has_what_a_rigger_asks_for_in_less_than_a_page(first: StartResult, tmp_path: Path) -> None:
    answers = tmp_path / "answers.toml"
    answers.write_text(answers_text(LIFT), encoding="utf-8")
    done = CliRunner().invoke(app, ["start", "--answers", str(answers), "--out", str(tmp_path / "s"), "--quiet"])
    assert done.exit_code == 4, done.stderr  # the slab's planning limit
    said = done.stdout
    flat = " ".join(said.split())
    for words in (
        "Nearest tip line: The ", "with what is not known", "Capacity plate: It has no row", "front-left", "kPa",
        "This holds only while", "Floor: ", "nine in ten", "What knowing more would change", "weigh it with one axle",
        "Assumed", "tipline run",
    ):  # fmt: skip
        assert words in flat, words
    page, written, after = said.partition("Written to ")
    assert written
    assert len(page.split()) < 520  # of them 40 say what a draw and a swing is; it is one sheet
    assert len(after.splitlines()) < 6
    assert "safe" not in said.split()
    summary = json.loads((tmp_path / "s" / "summary.json").read_text(encoding="utf-8"))
    assert summary["schema"] == "tipline.start/1"
    assert summary["rest"]["weight_kN"] == pytest.approx((10200 + 5200) * 9.80665e-3, rel=1e-4)
    assert "strength: only the stamp of the forks" in flat
    assert first.pose.case.machine.forks.rated_load == 6500.0
    assert set(first.pressures) == {"front-left", "front-right", "rear-left", "rear-right"}


@pytest.mark.slow
def test_the_files_of_a_start_are_taken_by_check_unchanged(first: StartResult, tmp_path: Path) -> None:
    folder = tipline.write(first, tmp_path / "lift")
    assert {path.name for path in folder.iterdir()} == {
        "machine.toml", "floor.toml", "scenario.toml", "answers.toml", "report.html", "summary.json", "plan.svg",
    }  # fmt: skip
    posed = tipline.check(folder / "scenario.toml")
    assert posed.distances == pytest.approx(first.pose.distances)
    assert posed.case.machine.origins["capacity_plate.0.load"] == "plate"
    assert posed.case.machine.origins["wheelbase"] == "measured"
    again = tipline.start(folder / "answers.toml")
    assert again.answers == {**LIFT}
    assert again.pose.distances == first.pose.distances


@pytest.mark.slow
def test_a_share_of_the_plate_is_told_at_a_rated_set_up() -> None:
    """5.2 t at 0.6 m on a plate of 12.25 t at 0.6 m, counterweight all out: 5.2 / 12.25."""
    rated = tipline.start(LIFT | {"load_centre": "0.6 m, 0.7 m", "load_size": "1.2 x 1.2 x 1.6 m", "floor": "rigid"})
    assert rated.of_plate == pytest.approx(5.2 / 12.25)


@pytest.mark.slow
@pytest.mark.parametrize("known", ["load", "plate", "weight"])
def test_one_answer_is_enough_and_none_is_not(known: str) -> None:
    only = tipline.start({known: LIFT[known], "floor": "rigid"})
    assert only.pose.stands.startswith("stands")
    assert len(only.open) == len(QUESTIONS) - 2
    with pytest.raises(InputError, match="neither the load's weight"):
        tipline.start({"height": "3 m"})


@pytest.mark.slow
@pytest.mark.parametrize("name", TRUCKS)
def test_answers_from_a_spec_sheet_bracket_the_full_truck(name: str) -> None:
    """The lift as answered against the same lift on the invented truck itself: each distance and tyre load inside."""
    sheet = sheet_of(name)
    stroke, slabs = str(sheet["counterweight_stroke"]), int(str(sheet["rated_slabs"]))
    load = 0.6 * float(str(sheet["rated_load"]).split()[0])
    answered = tipline.start(
        {
            "load_size": "1.2 x 1.2 x 1.2 m",
            "load": f"{load} kg, weighed",
            "load_centre": "0.6 m, 0.6 m",
            "height": "2.5 m",
            "plate": f"{sheet['rated_load']}, {sheet['rated_load_centre']}, {sheet['lift_height']}",
            "weight": f"{sheet['own_weight']}, {sheet['drive_axle_load']}",
            "axles": f"{sheet['wheelbase']}, {sheet['drive_track']}, ?, {sheet['steer_axle_kind']}",
            "tyres": f"{sheet['drive_tyre_diameter']}, {sheet['drive_tyre_width']}, "
            f"{'twins' if sheet['drive_tyres'] == 4 else 'single'}",
            "fork_face": str(sheet["fork_face"]),
            "counterweight": f"?, {stroke}, {stroke}",
            "slabs": f"{slabs}, {sheet['slab_mass']}",
            "floor": "rigid",
        }
    ).pose.not_known
    changes = {
        "machine": name,
        "setup.counterweight_extension": stroke,
        "setup.ballast_slabs": slabs,
        "setup.fork_height": "2.5 m",
        "load.mass": load,
        "load.size": ["1.2 m", "1.2 m", "1.2 m"],
        "load.load_centre": "0.6 m",
        "load.height_of_centre": "0.6 m",
    }
    full = tipline.check("service-stop-load-low", changes)
    assert answered is not None
    for figures, brackets in ((full.distances, answered.distances), (full.tyre_loads, answered.tyre_loads)):
        for what, bracket in brackets.items():
            assert bracket.low <= figures[what] <= bracket.high, (what, bracket, figures[what])


class Terminal:
    """The program in a pseudo-terminal: types, and waits for words."""

    def __init__(self, folder: Path, *words: str) -> None:
        self.seen, self.typed = "", 0
        self.master, slave = pty.openpty()
        command = [sys.executable, "-m", "tipline", "start", *words, "--quiet"]
        self.child = subprocess.Popen(
            command, stdin=slave, stdout=slave, stderr=slave, cwd=folder, start_new_session=True, close_fds=True
        )
        os.close(slave)

    def wait_for(self, words: str) -> None:
        end = time.monotonic() + 120.0
        while words not in self.seen:
            assert time.monotonic() < end, self.seen[-2000:]
            self._read()

    def type(self, text: str) -> None:
        self.seen = ""
        self.typed += len(text) + 1
        os.write(self.master, f"{text}\n".encode())

    def _read(self) -> bool:
        if not select.select([self.master], [], [], 0.2)[0]:
            return self.child.poll() is None
        try:
            self.seen += os.read(self.master, 65536).decode("utf-8", "replace")
        except OSError:
            return False
        return True

    def ended(self) -> int:
        while self._read():
            pass
        os.close(self.master)
        return self.child.wait(timeout=60)


@pytest.mark.slow
def test_the_questions_in_a_terminal_with_slips_back_interrupt_and_resume(tmp_path: Path) -> None:
    first = Terminal(tmp_path)
    first.wait_for("1/13")
    first.type("1.8 x 1.4 x 1.6")
    first.wait_for("unit")
    first.type("1.8 x 1.4 x 1.6 m")
    first.wait_for("2/13")
    first.type("8.5 kg, nameplate")
    first.wait_for('Did you mean "8.5 t, nameplate"?')
    first.type("8.5 t, nameplate")
    first.wait_for("3/13")
    first.type("back")
    first.wait_for("you answered: 8.5 t, nameplate")
    first.type("5.2 t, nameplate")
    first.wait_for("3/13")
    first.type("")
    first.wait_for("4/13")
    os.kill(first.child.pid, signal.SIGINT)
    assert first.ended() == 130
    assert "tipline start --resume" in first.seen
    kept = (tmp_path / "tipline-answers.toml").read_text(encoding="utf-8")
    assert 'load = "5.2 t, nameplate"' in kept
    assert 'load_centre = "?"' in kept
    assert "held" not in kept

    again = Terminal(tmp_path, "--resume", "--out", "lift")
    again.wait_for("4/13")
    for number, answer in enumerate(("forks", "3.2 m", "12.25 t, 0.6 m, 5.5 m", "10.2 t"), start=5):
        again.type(answer)
        again.wait_for(f"{number}/13")
    for number in range(9, 14):
        again.type("?")
        again.wait_for(f"{number}/13")
    again.type("rigid")
    again.wait_for("Written to lift/")
    assert again.ended() in (0, 4)
    assert "Nearest tip line" in again.seen
    assert not (tmp_path / "tipline-answers.toml").exists()
    assert tipline.check(tmp_path / "lift" / "scenario.toml").stands.startswith("stands")
    assert first.typed + again.typed < 200


def test_quit_and_an_end_of_input_keep_the_answers(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    left = CliRunner().invoke(app, ["start"], input="1 x 1 x 1 m\nquit\n")
    assert (left.exit_code, "kept in tipline-answers.toml" in left.stderr) == (0, True)
    ended = CliRunner().invoke(app, ["start", "--resume"], input="2 t\n")
    assert (ended.exit_code, "no more answers came" in ended.stderr) == (2, True)
    assert 'load = "2 t"' in Path("tipline-answers.toml").read_text(encoding="utf-8")
    listed = CliRunner().invoke(app, ["start", "--questions"]).stdout
    assert all(f'{question.key} = "?"' in listed for question in QUESTIONS)


def asked(*lines: str, resume: bool = False) -> str:
    """What is said to lines typed at the questions, the input ending there."""
    words = ["start", *(["--resume"] if resume else [])]
    done = CliRunner().invoke(app, words, input="".join(f"{line}\n" for line in lines))
    assert done.exit_code == 2, done.stderr
    return done.stderr


def kept() -> dict[str, object]:
    return tomllib.loads(Path("tipline-answers.toml").read_text(encoding="utf-8"))


def test_enter_keeps_an_answer_that_is_there_and_a_question_mark_takes_it_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    asked("1 x 1 x 1 m", "2 t", "back", "", "back", "")
    assert kept() == {"load_size": "1 x 1 x 1 m", "load": "2 t"}
    asked("back", "?", resume=True)
    assert kept()["load"] == "?"


@pytest.mark.slow
def test_an_odd_answer_is_asked_again_when_resumed_and_is_not_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """158 t of a truck: asked again at once when resumed too; Enter says that nobody knows, not that it is so."""
    monkeypatch.chdir(tmp_path)
    asked("1 x 1 x 1 m", "2 t", "?", "forks", "2 m", "4 t")
    said = asked("158 t", "", resume=True)
    assert "158 t: is unusual" in said
    assert said.count("7/13") == 2
    assert kept()["weight"] == "?"
    asked("back", "158 t", "158 t", resume=True)
    assert (kept()["weight"], kept()["meant"]) == ("158 t", ["weight"])
    asked("back", "5 t", resume=True)
    assert (kept()["weight"], "meant" in kept()) == ("5 t", False)
    assert "tipline start --resume goes on with them" in asked()


def test_every_question_may_stay_open_but_one_of_three(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Enter alone goes on to the truck's weight; there it is said that one of three is needed, and what to read.

    Until then the others are looked at all the same: 32 m of height is asked again.
    """
    monkeypatch.chdir(tmp_path)
    said = asked("", "", "", "", "32 m", "3 m", "", "", "back", "12 t", "", "")
    assert "32 m: " in said
    assert said.count("neither the load's weight") == 1
    assert "Read the load's nameplate or the truck's capacity plate" in said
    assert "9/13" in said
    assert (kept()["height"], kept()["plate"], kept()["weight"]) == ("3 m", "12 t", "?")


def test_questions_that_are_all_answered_are_asked_anew(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where no page came of them, each is asked again, with its answer there."""
    monkeypatch.chdir(tmp_path)
    Path("tipline-answers.toml").write_text(answers_text(LIFT), encoding="utf-8")
    said = asked(resume=True)
    assert "1/13" in said
    assert f"you answered: {LIFT['load_size']}" in said


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('load = "5 t"\nwheels = "4"', "is no question"),
        ("load = 5", "must be text in quotes"),
        ('load = "5 t', "is not TOML"),
        ('load = "5 t"\nmeant = ["wheels"]', "must be a list of questions"),
    ],
)
def test_an_answers_file_that_is_wrong_says_what_to_write(text: str, words: str, tmp_path: Path) -> None:
    file = tmp_path / "answers.toml"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match=words) as caught:
        tipline.start(file)
    assert str(caught.value).count(".") >= 1


PRESS = {
    "load_size": "2.2 m x 1.6 m x 1.9 m", "load": "7.2 t, nameplate", "held": "forks", "height": "2.4 m",
    "plate": "9 t, 0.6 m, 4 m", "weight": "8.6 t, 3.3 t", "axles": "1.75 m, 1.25 m, 1.1 m, pivoting",
    "tyres": "0.68 m, 0.28 m, solid, single", "slabs": "2, 0.4 t", "floor": "slab, ?, soil",
}  # fmt: skip


@pytest.mark.slow
def test_a_truck_that_an_unknown_alone_tips_is_told_so_and_no_load_is_less_than_none() -> None:
    """A press 2.2 m long whose centre nobody knows: 1.1 m out or 0.92 m is between tipping and standing."""
    page = tipline.start({**PRESS, "counterweight": "2.6 t, 1 m, 1 m"})
    known = page.pose.not_known
    assert known is not None
    assert known.line == "front"
    assert all(bracket.low >= 0.0 and bracket.tips for bracket in known.tyre_loads.values())
    assert [gain.alone for gain in known.gains] == [None, None]
    words = printed.page_text(page_of(page, Wishes()).page)
    assert "tipping over to" in words
    assert "at its bad end this alone tips it over the front tip line" in " ".join(words.split())
    assert "Nothing can be told that it holds" in words


@pytest.mark.slow
def test_a_truck_that_tips_is_told_what_alone_would_make_it_stand() -> None:
    page = tipline.start({**PRESS, "counterweight": "2.6 t, 1 m, 0.5 m"})
    assert not page.pose.stands.startswith("stands")
    words = " ".join(printed.page_text(page_of(page, Wishes()).page).split())
    assert "at its good end this alone makes it stand" in words
