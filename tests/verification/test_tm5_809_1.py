"""TM 5-809-1 / UFC 3-320-06A, Concrete floor slabs on grade subjected to heavy loads, 3-2.

By: US Departments of the Army and the Air Force.
Where: buildingcriteria1.tpub.com/ufc_3_320_06a/ufc_3_320_06a0010.htm.
Key: [TM5-809-1]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_drive_axle_share(agrees: Agrees) -> None:
    """Drive-axle share of an invented truck at its 18 % slope load, 87 to 94 %."""
    agrees("drive-axle-share", "87 to 94 %")
