"""Predicting maximum pavement surface temperature using maximum air temperature and hourly solar radiation, TRR 1417.

By: M. Solaimanian, T. W. Kennedy.
Where: First page, it.scribd.com/document/390393291; equations and constants from memory.
Key: [SolaimanianKennedy1993]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_asphalt_surface_30(agrees: Agrees) -> None:
    """Simple equation: Hottest asphalt surface at 30 degrees of latitude, above the air, 25.7."""
    agrees("asphalt-surface-30", "25.7")
