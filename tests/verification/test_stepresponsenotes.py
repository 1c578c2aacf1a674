"""Time response, study notes.

Where: ecexplain.in/notes/time-response-notes.
Key: [StepResponseNotes]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_step_overshoot(agrees: Agrees) -> None:
    """Overshoot of a sudden load, damping ratio 0.5, 16.3 %."""
    agrees("step-overshoot", "16.3 %")
