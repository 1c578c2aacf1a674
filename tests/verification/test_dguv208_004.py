"""DGUV Information 208-004 Gabelstapler, section 2.1.

By: Deutsche Gesetzliche Unfallversicherung.
Where: bgbau-medien.de/handlungshilfen_gb/daten/dguv/208_004/3.htm.
Key: [DGUV208-004]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_insurer_front_wheel(agrees: Agrees) -> None:
    """Section 2.1: 6 t truck with 3 t and 90 % on the front axle, one wheel, 4,000 kg."""
    agrees("insurer-front-wheel", "4,000 kg")
