"""Engineering Mechanics: Dynamics, chapter 17.

By: R. C. Hibbeler.
Where: Problem text at mywordsolution.com/question/99687; arms and answer from memory.
Key: [HibbelerDynamics]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_pipe_lifted(agrees: Agrees) -> None:
    """Arms 4 ft and 5 ft: Upward acceleration of a pipe that tips the lift truck, 96.6 ft/s2 (from memory)."""
    agrees("pipe-lifted", "96.6 ft/s2")
