"""A truck of which only plate, own weight, axle loads and tape are known: the rest filled in within bands."""

from tipline.model.own_truck.bands import MEASURED, TruckBand
from tipline.model.own_truck.fill import (
    TABLE,
    OtherKind,
    as_measured,
    bands_of,
    fill_in,
    other_kinds,
    within_band,
    within_bands,
)  # fmt: skip

__all__ = [
    "MEASURED", "TABLE", "OtherKind", "TruckBand", "as_measured", "bands_of", "fill_in", "other_kinds", "within_band",
    "within_bands",
]  # fmt: skip
