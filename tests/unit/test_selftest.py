"""The registry: enough outside numbers, honest labels, a table that tells a difference."""

import json
from dataclasses import replace
from pathlib import Path

import pytest

from tipline import selftest
from tipline.selftest.printed import read

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


def test_all_checks_agree() -> None:
    """The command exits 0 only if they do."""
    assert [result.check.name for result in selftest.run_checks() if not result.passed] == []


def test_the_table_says_what_it_does_not_say_and_shows_a_difference() -> None:
    """A spoiled check is marked and the count falls."""
    check = CHECKS[0]
    spoiled = replace(check, call=lambda: 1.1 * check.call())
    text = selftest.table(selftest.run_checks([check, spoiled]))
    assert text.startswith("These say the formulas are coded right; nothing about your truck, load or floor.")
    assert "DIFFERS" in text
    assert "1 of 2 agree" in text


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
