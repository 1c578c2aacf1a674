"""Aggregate interlock at joints in concrete pavements.

By: B. E. Colley, H. A. Humphrey.
Where: Highway Research Record 189, 1967; the number as cogripedia.com/aggregate-interlock cites it.
Key: [ColleyHumphrey1967]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_a_wide_crack(agrees: Agrees) -> None:
    """As cited, for design: 15 % of the load cross a crack of 1.5 mm."""
    agrees("interlock-wide-crack", "15 %")
