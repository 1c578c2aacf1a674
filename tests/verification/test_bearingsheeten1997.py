"""Bearing resistance calculation to annex D of BS EN 1997-1, a worked calculation sheet.

Where: pt.scribd.com/document/383761215, first sheet, drained.
Key: [BearingSheetEN1997]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_footing_leaning_en1997(agrees: Agrees) -> None:
    """Drained, Rd: Footing 1 x 6 m, load leaning and off its middle, EN 1997 annex D, 95 kPa."""
    agrees("footing-leaning-en1997", "95 kPa")


def test_footing_leaning_iq(agrees: Agrees) -> None:
    """Drained, iq; its effective length printed as 5.1 m is 5.12 m: Same, inclination factor iq, 0.493631."""
    agrees("footing-leaning-iq", "0.493631")


def test_footing_leaning_igamma(agrees: Agrees) -> None:
    """Drained: Same, inclination factor on the weight, 0.328062."""
    agrees("footing-leaning-igamma", "0.328062")
