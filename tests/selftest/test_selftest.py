"""The registry: enough outside numbers, honest labels, a table that tells a difference."""

import json
import re
from collections import Counter
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from typer.testing import CliRunner

from tipline import selftest
from tipline.cli import app
from tipline.selftest import Check, Result, textbook_trucks
from tipline.selftest.printed import read, shortened

CHECKS = selftest.all_checks()
VERIFICATION = Path(__file__).parents[1] / "verification"


def test_at_least_twenty_numbers_were_seen_in_an_outside_source() -> None:
    """Numbers of our own or from memory do not count."""
    seen = [check for check in CHECKS if check.status == "seen in the source"]
    assert len(seen) >= 20
    assert all(check.source != "Own" for check in seen)
    assert all(selftest.references()[check.source].seen == "text" for check in seen)


def test_every_check_has_a_name_of_its_own_and_a_listed_source() -> None:
    """Names key the records; sources key references.toml."""
    assert len({check.name for check in CHECKS}) == len(CHECKS)
    assert {check.source for check in CHECKS} <= selftest.references().keys()


def test_every_published_check_stands_in_the_file_of_its_source() -> None:
    """One file a source, named by its key, holds the name and the printed text."""
    files = {path.name: path.read_text(encoding="utf-8") for path in VERIFICATION.glob("test_*.py")}
    for check in CHECKS:
        if check.status in ("seen in the source", "from memory"):
            holding = [text for text in files.values() if f"Key: [{check.source}]" in text]
            assert len(holding) == 1, check.source
            assert f'"{check.name}"' in holding[0]
            assert f'"{check.printed}"' in holding[0]


@pytest.mark.slow
def test_all_checks_agree_and_readme_counts_them_right() -> None:
    """The command exits 0 only if they do; both kinds and each status are told as many as there are.

    At least 150 printed numbers are computed by what answers rest on; every other check has a test that meets it.
    """
    results = selftest.run_checks()
    assert [result.check.name for result in results if not result.passed] == []
    readme = (VERIFICATION.parents[1] / "README.md").read_text(encoding="utf-8")
    text = readme.partition("## How well checked")[2].partition("Below them")[0]
    told = [int(number) for number in re.findall(r"\d+", text)]
    statuses = ("seen in the source", "from memory", "common practice, no source", "derived here")
    counted = [len(results)]
    for oracle in (False, True):
        kind = Counter(result.check.status for result in results if result.used_by.oracle == oracle)
        counted += [kind.total(), *(kind[status] for status in statuses if kind[status])]
    assert told == counted
    on_the_way = [result for result in results if not result.used_by.oracle]
    assert [result.check.name for result in on_the_way if not result.used_by.commands] == []
    assert [result.check.name for result in results if result.used_by.oracle and not result.used_by.tests] == []
    assert sum(result.check.status != "derived here" for result in on_the_way) >= 150


@pytest.mark.slow
def test_the_table_says_what_it_does_not_say_and_shows_a_difference() -> None:
    """A spoiled check is marked and the count falls."""
    check = CHECKS[0]
    spoiled = replace(check, call=lambda: 1.1 * check.call())
    text = selftest.table(selftest.run_checks([check, spoiled]))
    assert text.startswith("These say the formulas are coded right; nothing about your truck, load or floor.")
    assert "DIFFERS" in text
    assert text.count("agrees") == 1
    assert "1 of 2 agree" in text


@pytest.mark.slow
def test_the_table_counts_what_answers_rest_on_and_the_oracles_apart() -> None:
    """A number of a slab's formula is used by five commands, one of a pendulum by none."""
    checks = {check.name: check for check in CHECKS}
    results = selftest.run_checks([checks["interior-stress"], checks["fctm-25"], checks["pendulum-one-per-cent"]])
    text = " ".join(selftest.table(results).split())
    assert "3 of 3 agree. Answers rest on 2 (1 from memory, 1 seen in the source)." in text
    assert "No answer rests on the oracles: 1 (1 seen in the source)." in text
    assert "check run floor loads start agrees" in text
    records = selftest.as_records(results)
    five = ["check", "run", "floor", "loads", "start"]
    assert [record["used_by"] for record in records] == [five, [*five[:3], "slopes", *five[3:]], []]
    assert [record["oracle"] for record in records] == [False, False, True]


def test_a_formula_that_refuses_is_told_not_thrown() -> None:
    """A refusal inside a check is a failed check with the words of the refusal."""

    def refuse() -> float:
        msg = "height = 0 m: must be greater than 0 and finite"
        raise ValueError(msg)

    (result,) = selftest.run_checks([replace(CHECKS[0], call=refuse)])
    assert not result.passed
    assert "height = 0 m" in selftest.table([result])
    (record,) = selftest.as_records([result])
    assert record["computed"] is None
    assert json.dumps(record)


def test_a_wider_tolerance_must_say_why() -> None:
    """Half a unit of the last printed digit is the rule."""
    with pytest.raises(ValueError, match="must say why"):
        replace(CHECKS[0], tolerance=10.0, why_wider="")


@pytest.mark.parametrize(
    ("text", "low", "high", "half"),
    [
        ("72,000 in lbf", 72000.0, 72000.0, 0.5),
        ("0.0788017", 0.0788017, 0.0788017, 5e-8),
        ("87 to 94 %", 87.0, 94.0, 0.5),
        ("-0.046 g", -0.046, -0.046, 5e-4),
    ],
)
def test_printed_text_gives_value_and_half_its_last_digit(text: str, low: float, high: float, half: float) -> None:
    """Commas group digits; 'to' makes a range."""
    printed = read(text)
    assert (printed.low, printed.high) == (low, high)
    assert printed.half_digit == pytest.approx(half)


def test_a_long_number_is_cut_after_ten_decimals_with_dots() -> None:
    """A shorter one is left as printed."""
    assert shortened("2.00989262729860052 s") == "2.0098926272.. s"
    assert shortened("0.0788017") == "0.0788017"


@pytest.mark.parametrize("text", ["", "about 5 m", "5 furlong", "1 t to 2 t", "nan m"])
def test_text_that_is_not_a_printed_number_is_refused(text: str) -> None:
    """A typing error in a check is found when it is made."""
    with pytest.raises(ValueError, match="printed value"):
        read(text)


def test_each_reference_says_where_it_was_found_and_how_far_it_was_read() -> None:
    """No source without a place."""
    for reference in selftest.references().values():
        assert reference.seen in ("text", "abstract", "no")
        assert reference.title
        assert reference.where


def test_recorded_results_name_a_test_that_is_there_and_holds_them() -> None:
    """Each says library, version, day; the test it names asks for it by its name."""
    names = [row.name for row in selftest.RECORDED]
    assert len(set(names)) == len(names) > 40
    for row in selftest.RECORDED:
        file, test = row.test.split("::")
        text = (VERIFICATION.parents[1] / file).read_text(encoding="utf-8")
        assert f"def {test}(" in text
        assert "recorded(" in text
        assert date.fromisoformat(row.date) <= date.today()
        assert row.library
        assert row.version
        assert row.ours == pytest.approx(row.other, rel=0.02)


def test_the_recorded_table_is_apart_and_names_library_and_day() -> None:
    """They are not counted among the checks and not called agreeing: nothing is computed."""
    rows = [
        replace(selftest.RECORDED[0], ours=1.5, other=1.25, unit="mm", library="Other", version="2.0"),
        replace(selftest.RECORDED[0], ours=3.0, other=3.0, unit="mm", library="Other", version="2.0"),
    ]
    text = selftest.recorded_table(rows, 80)
    assert "2 results recorded beside those of other libraries" in text
    assert "not computed now" in text.replace("\n", " ")
    assert f"Other 2.0, {rows[0].date}" in text
    assert "+0.25" in text
    assert "agrees" not in text


@pytest.mark.slow
@pytest.mark.parametrize("width", [40, 80, 100, 120, 300])
def test_both_tables_fit_the_terminal(width: int) -> None:
    """No line is wider than the terminal, from 80 columns on; numbers stand in columns; nothing is lost at 120."""
    results = [
        Result(check, check.expected.low / 1.0, 0.0, 1.0, passed=True) for check in CHECKS if check.expected.unit_in_si
    ]
    text = selftest.table(results, width) + "\n" + selftest.recorded_table(selftest.RECORDED, width)
    assert max(map(len, text.splitlines())) <= min(max(width, 80), 120)
    agreeing = [line for line in text.splitlines() if line.endswith("agrees")]
    assert len(agreeing) == len(CHECKS)
    assert len({len(line) for line in agreeing}) == 1
    flat = " ".join(text.split())
    assert all(" ".join(check.what.split()) in flat for check in CHECKS)


@pytest.mark.slow
def test_the_command_prints_checks_and_recorded_results_apart() -> None:
    """As JSON both lists are whole."""
    done = CliRunner().invoke(app, ["self-test", "--json"])
    assert done.exit_code == 0
    told = json.loads(done.stdout)
    assert len(told["checks"]) == len(CHECKS)
    assert [row["name"] for row in told["recorded"]] == [row.name for row in selftest.RECORDED]
    assert all(row["place"] is not None and "why_wider" in row for row in told["checks"])


@pytest.mark.slow
@pytest.mark.parametrize("check", textbook_trucks.CHECKS, ids=lambda check: check.name)
def test_a_truck_with_its_axles_elsewhere_is_noticed(check: Check, monkeypatch: pytest.MonkeyPatch) -> None:
    """A wheelbase 40 % longer puts other loads on the wheels of the books' trucks."""
    right = textbook_trucks.textbook_truck
    changed = {"textbook_truck": lambda parts, base, height: right(parts, 1.4 * base, height)}
    monkeypatch.setattr(textbook_trucks, "textbook_truck", changed["textbook_truck"])
    result = check.run()
    assert result.failure == ""
    assert not result.passed
