"""Advanced models for analytical design of European pavement structures, benchmark of three programs.

By: European Commission, RTD programme.
Where: Table copied in github.com/asmusskar/ALVA, examples/ALVA_bonding_validation1.m.
Key: [EuropeanPavement2000]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_road_1_surface(agrees: Agrees) -> None:
    """Table: Stress under the middle of one wheel; 260 and 500 mm of 5000 and 200 MPa on 50 MPa, 0.700 MPa."""
    agrees("road-1-surface", "0.700 MPa")


def test_road_1_edge(agrees: Agrees) -> None:
    """Table: Stress under its edge; 260 and 500 mm of 5000 and 200 MPa on 50 MPa, 0.350 MPa."""
    agrees("road-1-edge", "0.350 MPa")


def test_road_1_bottom(agrees: Agrees) -> None:
    """Table: Level strain below it, micro; 260 and 500 mm of 5000 and 200 MPa on 50 MPa, -100.5."""
    agrees("road-1-bottom", "-100.5")


def test_road_1_base(agrees: Agrees) -> None:
    """Table: Vertical strain on layer 2, micro; 260 and 500 mm of 5000 and 200 MPa on 50 MPa, 251.6 to 251.7."""
    agrees("road-1-base", "251.6 to 251.7")


def test_road_1_soil(agrees: Agrees) -> None:
    """Table: Vertical strain on layer 3, micro; 260 and 500 mm of 5000 and 200 MPa on 50 MPa, 185.0 to 185.3."""
    agrees("road-1-soil", "185.0 to 185.3")


def test_road_1_edge_bottom(agrees: Agrees) -> None:
    """Table: Level strain below the edge; 260 and 500 mm of 5000 and 200 MPa on 50 MPa, -62.0 to -61.9."""
    agrees("road-1-edge-bottom", "-62.0 to -61.9")


def test_road_1_edge_base(agrees: Agrees) -> None:
    """Table: Vertical strain on layer 2, edge; 260 and 500 mm of 5000 and 200 MPa on 50 MPa, 192.2."""
    agrees("road-1-edge-base", "192.2")


def test_road_1_edge_soil(agrees: Agrees) -> None:
    """Table: Vertical strain on layer 3, edge; 260 and 500 mm of 5000 and 200 MPa on 50 MPa, 177.5."""
    agrees("road-1-edge-soil", "177.5")


def test_road_2_bottom(agrees: Agrees) -> None:
    """Table: Level strain below one of two wheels; 260 and 500 mm of 5000 and 200 MPa on 50 MPa, -85."""
    agrees("road-2-bottom", "-85")


def test_road_2_base(agrees: Agrees) -> None:
    """Table: Vertical strain on layer 2 there; 260 and 500 mm of 5000 and 200 MPa on 50 MPa, 186."""
    agrees("road-2-base", "186")


def test_road_2_soil(agrees: Agrees) -> None:
    """Table: Vertical strain on layer 3 there; 260 and 500 mm of 5000 and 200 MPa on 50 MPa, 170."""
    agrees("road-2-soil", "170")


def test_road_2_between(agrees: Agrees) -> None:
    """Table: Level strain between the wheels; 260 and 500 mm of 5000 and 200 MPa on 50 MPa, -89."""
    agrees("road-2-between", "-89")


def test_road_2_between_base(agrees: Agrees) -> None:
    """Table: Vertical strain on layer 2 between; 260 and 500 mm of 5000 and 200 MPa on 50 MPa, 182 to 183."""
    agrees("road-2-between-base", "182 to 183")


def test_road_2_between_soil(agrees: Agrees) -> None:
    """Table: Vertical strain on layer 3 between; 260 and 500 mm of 5000 and 200 MPa on 50 MPa, 177."""
    agrees("road-2-between-soil", "177")
