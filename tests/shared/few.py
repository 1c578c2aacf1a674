"""Cases of which a few that differ in kind are in the fast set, and all in the gate."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import pytest


def slow_but(cases: Iterable[Any], *fast: Any) -> list[Any]:
    """Mark as slow all cases but those named; a case of several values goes by the first of them."""
    by_first = [(case if isinstance(case, tuple) else (case,)) for case in cases]
    assert set(fast) <= {values[0] for values in by_first}, "no case is called so"
    return [pytest.param(*values, marks=() if values[0] in fast else pytest.mark.slow) for values in by_first]


def slow_cases(*cases: Any) -> list[Any]:
    """Mark cases of one value each as slow."""
    return [pytest.param(case, marks=pytest.mark.slow) for case in cases]
