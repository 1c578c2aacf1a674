"""How a page writes quantities, as rules that its scripts follow: the same digits as pictures and reports."""

from __future__ import annotations

from typing import Any

from tipline.units import FOOT, INCH, POUND_FORCE, System

__all__ = ["RULES"]

RULES: dict[str, dict[System, dict[str, Any]]] = {
    "force": {
        "si": {"unit": "kN", "per": 1e3, "steps": [[99.95, 0.1, 1], [None, 1.0, 0]]},
        "us": {"unit": "lbf", "per": POUND_FORCE, "steps": [[9_995.0, 10.0, 0], [None, 100.0, 0]], "commas": True},
    },
    "short": {
        "si": {"unit": "mm", "per": 1e-3, "steps": [[None, 1.0, 0]]},
        "us": {"unit": "in", "per": INCH, "steps": [[None, 0.1, 1]]},
    },
    "slope": {
        "si": {"unit": "%", "per": 0.01, "steps": [[None, 0.1, 1]]},
        "us": {"unit": "%", "per": 0.01, "steps": [[None, 0.1, 1]]},
    },
    "length": {
        "si": {"unit": "m", "per": 1.0, "steps": [[None, 0.01, 2]]},
        "us": {"unit": "ft", "per": FOOT, "steps": [[None, 0.1, 1]]},
    },
    "angle": {
        "si": {"unit": "deg", "per": 0.017453292519943295, "steps": [[None, 0.1, 1]]},
        "us": {"unit": "deg", "per": 0.017453292519943295, "steps": [[None, 0.1, 1]]},
    },
}
"""By kind and system: unit, SI value of one of it, and steps: below which number, rounded to what, how many digits.

``commas`` stand between thousands where the unit is that small.
`palette.force` and `palette.short_length` are the same rules in Python; a test holds both to each other.
"""
