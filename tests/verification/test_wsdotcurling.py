"""WSDOT pavement guide, structural design, curling example.

By: University of Washington.
Where: training.ce.washington.edu/WSDOT/Modules/06_structural_design/curling_example.htm, steps 2 and 4.
Key: [WSDOTCurling]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_stiffness_radius_9in(agrees: Agrees) -> None:
    """Steps 2 and 4: Radius of relative stiffness, 9 in slab on 200 pci, 35.3 in."""
    agrees("stiffness-radius-9in", "35.3 in")
