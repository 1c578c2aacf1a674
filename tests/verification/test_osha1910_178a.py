"""29 CFR 1910.178 Appendix A, Stability of powered industrial trucks.

By: Occupational Safety and Health Administration, US.
Where: osha.gov, 1910.178AppA; copy at 17ehs.com/doc/408.html.
Key: [OSHA1910.178A]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_osha_load_moment(agrees: Agrees) -> None:
    """A-5: Load moment of a 3000 lb truck at 24 in, 72,000 in lbf."""
    agrees("osha-load-moment", "72,000 in lbf")


def test_osha_reduced_load(agrees: Agrees) -> None:
    """A-5: Same load moment at 30 in, 2,400 lbf."""
    agrees("osha-reduced-load", "2,400 lbf")
