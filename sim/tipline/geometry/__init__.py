"""From a machine's parameters and a set-up to solids, masses, centres and inertias."""

from tipline.geometry.assembly import BODIES, Assembly, ContactPoint, Part, SettingPoints, assemble

__all__ = ["BODIES", "Assembly", "ContactPoint", "Part", "SettingPoints", "assemble"]
