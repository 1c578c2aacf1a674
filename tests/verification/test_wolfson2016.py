"""Essential University Physics, 3rd ed., problem 12.48.

By: R. Wolfson.
Where: gradesaver.com, chapter 12, exercises and problems, 48.
Key: [Wolfson2016]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_block_tips(agrees: Agrees) -> None:
    """Problem 12.48: Block twice as high as wide on an incline, tips, 26.56 deg."""
    agrees("block-tips", "26.56 deg")


def test_block_would_slide(agrees: Agrees) -> None:
    """Problem 12.48: Same block with a broad base, slides, 32.2 deg."""
    agrees("block-would-slide", "32.2 deg")
