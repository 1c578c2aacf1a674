"""Vector Mechanics for Engineers: Dynamics.

By: F. P. Beer, E. R. Johnston.
Where: Chapter 16; sample problem 16.1 at holooly.com/?p=1078457, fork truck problem at physicsforums.com thread 66060.
Key: [BeerJohnstonDynamics]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_van_front_axle(agrees: Agrees) -> None:
    """Sample problem 16.1: Van that skids to a stop, share of one front wheel, 0.325 (from memory)."""
    agrees("van-front-axle", "0.325")


def test_van_rear_axle(agrees: Agrees) -> None:
    """Sample problem 16.1: Van that skids to a stop, share of one rear wheel, 0.175 (from memory)."""
    agrees("van-rear-axle", "0.175")


def test_crate_on_forks(agrees: Agrees) -> None:
    """Chapter 16, fork truck: Deceleration at which a crate slides on the forks, friction 0.30, 9.66 ft/s2."""
    agrees("crate-on-forks", "9.66 ft/s2")


def test_van_stops(agrees: Agrees) -> None:
    """Sample problem 16.1: Distance to a stop from 30 ft/s at 22.5 ft/s2, 20 ft."""
    agrees("van-stops", "20 ft")
