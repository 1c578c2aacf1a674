"""Numbers derived for this program and found by a second route outside it; no published source.

Key: [Own] and, where only the formula or the inputs are printed, the source named with the check.
"""

import pytest

from tipline.selftest import Check, all_checks

LONG = ("engine-rocking-push", "steel-on-slab", "engine-period-small")
DERIVED = [check for check in all_checks() if check.status == "derived here"]


@pytest.mark.parametrize(
    "check",
    [pytest.param(check, marks=pytest.mark.slow if check.name in LONG else ()) for check in DERIVED],
    ids=[check.name for check in DERIVED],
)
def test_derived_number(check: Check) -> None:
    """Product code gives the derived number to its last digit."""
    result = check.run()
    assert not result.failure
    assert result.passed, (result.computed, check.printed)
