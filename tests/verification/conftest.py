"""One fixture: run a check of the self-test registry by name and hold it to the printed text."""

from collections.abc import Callable

import pytest

from tipline.selftest import all_checks


@pytest.fixture
def agrees() -> Callable[[str, str], None]:
    """Give a function that takes a check's name and the text as printed in the source."""
    checks = {check.name: check for check in all_checks()}

    def compare(name: str, printed: str) -> None:
        check = checks[name]
        assert check.printed == printed
        result = check.run()
        assert not result.failure
        assert abs(result.difference) <= result.tolerance * (1.0 + 1e-9), (result.computed, printed)

    return compare
