"""A page says whether the run ended as its scenario's file expects."""

from __future__ import annotations

import pytest

from tipline import scenario
from tipline.runs.expected import as_expected, expected
from tipline.runs.outcome import Outcome
from tipline.scenario.spec import Expect

OVER = Outcome("over", "dropped", "broke", "over to the left", "left")
HELD = Outcome("down", "kept", "held", "down", None)


def expect() -> Expect:
    """What the breakthrough under a raised load expects: over to the left; 95 mm lift a tyre."""
    told = scenario.read("front-tyre-breaks-through-load-high", table=False).scenario.expect
    assert told is not None
    return told


def test_a_run_that_ends_so_says_so() -> None:
    assert as_expected(expect(), OVER) is True
    ended, beside = expected(expect(), OVER)
    assert ended == (
        "It expects that the truck goes over, the lifted load drops, the floor breaks (over to the left), and the run "
        "ended so. Why it is expected stands there."
    )
    assert beside == (
        "With event.0.depth = 95 mm it expects this: the truck lifts a tyre and comes back down; the lifted load stays "
        "where it was; the floor breaks. Why stands there. That is a run of its own: not made here."
    )


@pytest.mark.parametrize(
    ("outcome", "words"),
    [
        (HELD, "the truck stayed on its tyres; the lifted load stayed where it was; the floor held; it went over no"),
        (Outcome("over", "dropped", "broke", "over to the right", "right"), "it went right, not left"),
        (Outcome("over", "dropped", "sank", "over to the left", "left"), "The run did not: the floor sank."),
    ],
)
def test_a_run_that_ends_otherwise_says_how(outcome: Outcome, words: str) -> None:
    assert as_expected(expect(), outcome) is False
    assert words in expected(expect(), outcome)[0]


def test_nothing_expected_is_nothing_said() -> None:
    assert (as_expected(None, HELD), expected(None, HELD)) == (None, ())
    bare = Expect(truck="down", because="stiff")
    assert as_expected(bare, HELD) is True
    assert expected(bare, HELD) == (
        "It expects that the truck stays on its tyres, and the run ended so. Why it is expected stands there.",
    )
