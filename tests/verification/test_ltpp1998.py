"""LTPP guide to asphalt temperature prediction and correction, FHWA-RD-98-085.

By: Federal Highway Administration, US.
Where: ltpp.org/fwd_temp/ataf.htm.
Key: [LTPP1998]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_asphalt_10_21(agrees: Agrees) -> None:
    """Worked example: Factor on the modulus of asphalt from 10 to 21 degC, 0.587."""
    agrees("asphalt-10-21", "0.587")
