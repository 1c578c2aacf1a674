"""What would bring the governing ratio down besides spreaders: less tyre load by the set-up, another way."""

from __future__ import annotations

from collections.abc import Sequence

from tipline.floors.answers.report import Answer
from tipline.model.load import LiftedLoad
from tipline.printable import spoken_of
from tipline.scenario.commanded import Inputs
from tipline.units import show

__all__ = ["remedies"]

HALF = 2.0
"""Times the planning limit above which a tyre would have to carry less than half (our choice: seldom to be had)."""
PLACES = ("cavity", "free edge", "joint", "corner", "cover")
"""What a failure is at, in its name."""


def remedies(inputs: Inputs, load: LiftedLoad | None, answers: Sequence[Answer], stocked: bool) -> tuple[str, ...]:
    """Return remedies in words, with the tyre load that would stay within the planning limit as planning goes by it."""
    if not answers or not answers[0].exceeds:
        return ()
    worst = answers[0]
    less = ""
    if worst.dimension in ("force", "pressure") and worst.of_limit.high < 50.0:
        most = worst.tyre_load / worst.of_limit.high
        here = show(worst.tyre_load, "force")
        less = (
            f"Less tyre load: {show(most, 'force', 'si', 2)} on {worst.spoken} in place of {here} stays within the "
            "planning limit in 19 of 20 draws. That is in proportion; a smaller patch takes a little less."
        )
    sentences = _by_setup(inputs, load, worst)
    if not stocked:
        sentences.append("Spreaders: give a stock list (--stock demo-stock-a, or your own) to have them looked for.")
    place = next((word for word in PLACES if word in worst.mode), "")
    if place and "hidden joint" not in worst.mode:
        sentences.append(f"Another way: keep every tyre off the {place} of {spoken_of(worst.zone)}.")
    if worst.of_limit.high > HALF:  # less load alone is then seldom to be had, and stands last
        return tuple(sentence for sentence in (*reversed(sentences), less) if sentence)
    return tuple(sentence for sentence in (less, *sentences) if sentence)


def _by_setup(inputs: Inputs, load: LiftedLoad | None, worst: Answer) -> list[str]:
    setup, drive = inputs.scenario.setup, {tyre.name for tyre in inputs.machine.drive_axle.tyre}
    front = bool(drive & set(worst.tyres))
    sentences = []
    if front and load is not None:
        sentences.append("Less on the drive axle: a lighter lifted load, or its centre nearer to the mast.")
    if not front and (setup.ballast_slabs > 0 or setup.counterweight_extension > 0.0):
        sentences.append(
            "Less on the steer axle: fewer ballast slabs, or the counterweight nearer home; check the tip lines."
        )
    return sentences
