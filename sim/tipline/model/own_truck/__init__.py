"""A truck of which only plate, own weight, axle loads and tape are known: the rest filled in within bands."""

from tipline.model.own_truck.bands import MEASURED, TruckBand
from tipline.model.own_truck.fill import TABLE, OtherKind, bands_of, fill_in, other_kinds, within_band, within_bands

__all__ = [
    "MEASURED", "TABLE", "OtherKind", "TruckBand", "bands_of", "fill_in", "other_kinds", "within_band", "within_bands",
]  # fmt: skip
