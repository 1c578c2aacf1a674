"""ISO 6292, Powered industrial trucks and tractors: brake performance and component strength.

Where: Scope only; brake numbers from memory.
Key: [ISO6292]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_service_brake(agrees: Agrees) -> None:
    """Braking force asked for at 10 km/h, over weight, 18.6 % (from memory)."""
    agrees("service-brake", "18.6 %")
