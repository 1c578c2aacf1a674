"""Large amplitude pendulum.

By: Georgia State University.
Where: hyperphysics.phy-astr.gsu.edu/hbase/pendl.html.
Key: [HyperPhysicsPendulum]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_pendulum_series(agrees: Agrees) -> None:
    """Three-term period at 22 degrees, over the small-angle one, 0 to 1 %."""
    agrees("pendulum-series", "0 to 1 %")
