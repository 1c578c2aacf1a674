"""Physical constants used as defaults."""

from __future__ import annotations

from tipline.units import STANDARD_GRAVITY

__all__ = ["STANDARD_GRAVITY"]
