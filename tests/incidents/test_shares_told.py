"""Where too few runs come near what was found, no share is told: neither of that cause nor of what hangs on it."""

from __future__ import annotations

from math import isnan

import pytest

from tipline.incidents.report import CauseJudged, Verdict, with_told_shares


def cause(verdict: Verdict, share: float, most: float) -> CauseJudged:
    return CauseJudged("a", "a", "turn", "s", verdict, (), 0.3, share, (0.0, most), 0.5, 300, 0, 30.0, (), {})


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ([("CONSISTENT", 0.9, 0.95), ("FEW", 0.04, 0.09), ("NOT", 0.06, 0.1)], [True, False, True]),
        ([("CONSISTENT", 0.9, 0.95), ("FEW", 0.04, 0.11)], [False, False]),
        ([("APART", 0.6, 0.7), ("FEW", 0.02, 0.06), ("FEW", 0.02, 0.06)], [False, False, False]),
        ([("FEW", 0.99, 1.0), ("NOT", 0.01, 0.01)], [False, False]),
        ([("FEW", 0.01, 0.01), ("NOT", 0.99, 1.0)], [False, False]),
        ([("NOT", 0.9, 1.0), ("NOT", 0.1, 0.2)], [True, True]),
        ([("CONSISTENT", 1.0, 1.0)], [True]),
    ],
)
def test_a_share_is_told_where_it_can_be(given: list[tuple[str, float, float]], told: list[bool]) -> None:
    causes = tuple(cause(Verdict[name], share, most) for name, share, most in given)
    said = with_told_shares(causes)
    assert [not isnan(one.probability) for one in said] == told
    assert [isnan(one.span[1]) for one in said] == [not one for one in told]
    kept = [(one.probability, other.probability) for one, other, there in zip(causes, said, told, strict=True) if there]
    assert all(before == after for before, after in kept)
