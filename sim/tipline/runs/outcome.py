"""How a run ended, as it was watched: in three words, the worst of them in a few more, the line that was crossed.

Beside them how far the truck went that was not told to.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from tipline.endings import leading
from tipline.errors import TiplineError
from tipline.results import Run, Watched
from tipline.runs.gone import Gone, gone_of

if TYPE_CHECKING:
    from tipline.scenario.commanded import Inputs

__all__ = ["Outcome", "outcome_of", "seen_of"]


@dataclass(frozen=True)
class Outcome:
    """How a run ended: truck, lifted load, floor; the worst of them in words; the tip line that was crossed.

    load_held: the lifted load was held fixed to the forks in the run, and how it ended is worked out.
    gone: how far the truck went that was not told to, None where it did not, or fell.
    """

    truck: str
    lifted_load: str
    floor: str
    lead: str
    direction: str | None = None
    load_held: bool = False
    gone: Gone | None = None


def seen_of(run: Run) -> Watched:
    """Return what was watched of a run.

    Raises
    ------
    TiplineError
        It was not watched: an older version made it, or no engine did.
    """
    if run.watched is None:
        msg = "nothing was watched of this run, so how it ended is not known; run the scenario again"
        raise TiplineError(msg)
    return run.watched


def outcome_of(run: Run, inputs: Inputs) -> Outcome:
    """Return how a run of such inputs ended; raises as `seen_of`."""
    seen = seen_of(run)
    lead = leading(seen.truck, seen.line, seen.lifted_load, seen.floor, held=seen.load_held)
    gone = gone_of(run, seen, inputs)
    return Outcome(seen.truck, seen.lifted_load, seen.floor, lead, seen.line or None, seen.load_held, gone)
