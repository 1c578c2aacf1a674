"""Physical constants used as defaults."""

from __future__ import annotations

from typing import Final

__all__ = ["STANDARD_GRAVITY"]

STANDARD_GRAVITY: Final = 9.80665
"""Acceleration of free fall [m/s2], the conventional standard value."""
