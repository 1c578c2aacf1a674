"""General guide for industrial lift trucks: stability, margins of a stationary truck.

By: Safe Work Australia.
Where: public copy of the text; the same table of contents stands in the guides of SafeWork SA and NT WorkSafe.
Key: [SafeWorkForklift]
"""

from collections.abc import Callable

import pytest

from tipline import scenario
from tipline.selftest import all_checks, shipped_trucks

Agrees = Callable[[str, str], None]


@pytest.mark.slow
def test_margin_load_low(agrees: Agrees) -> None:
    """A stationary truck with its rated load down has a margin of 30 to 50 %."""
    agrees("margin-load-low-a", "30 to 50 %")
    agrees("margin-load-low-b", "30 to 50 %")
    agrees("margin-load-low-c", "30 to 50 %")


@pytest.mark.slow
def test_margin_load_raised(agrees: Agrees) -> None:
    """With the forks at full height, mast upright, it has a margin of 15 to 20 %."""
    agrees("margin-load-raised-a", "15 to 20 %")
    agrees("margin-load-raised-b", "15 to 20 %")
    agrees("margin-load-raised-c", "15 to 20 %")


@pytest.mark.slow
def test_checks_of_shipped_trucks_notice_another_load(monkeypatch: pytest.MonkeyPatch) -> None:
    checks = [check for check in all_checks() if check in shipped_trucks.CHECKS]
    assert len(checks) == 9
    shipped_trucks.rated_pose.cache_clear()
    read = scenario.read
    light = {"load.mass": "1000 kg"}
    monkeypatch.setattr(scenario, "read", lambda file, rated=None: read(file, {**rated, **light} if rated else {}))
    assert not any(check.run().passed for check in checks)
    shipped_trucks.rated_pose.cache_clear()
