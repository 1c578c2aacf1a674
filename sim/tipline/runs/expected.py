"""Whether a run ended as the scenario's file expects it to, in sentences."""

from __future__ import annotations

from collections.abc import Iterator

from tipline.endings import ENDED, ENDS
from tipline.runs.outcome import Outcome
from tipline.scenario.spec import Expect, Neighbour

__all__ = ["as_expected", "expected"]

_WHO = (("truck", "truck"), ("lifted_load", "lifted load"), ("floor", "floor"))


def as_expected(expect: Expect | None, outcome: Outcome) -> bool | None:
    """Return whether a run ended in every word as is expected of it; None where nothing is."""
    return None if expect is None else not list(_misses(expect, outcome))


def expected(expect: Expect | None, outcome: Outcome) -> tuple[str, ...]:
    """Say what a file expects of a run and whether it ended so; nothing where it expects nothing."""
    if expect is None:
        return ()
    misses = tuple(_misses(expect, outcome))
    endings = ", ".join(f"the {who} {ENDS[word]}" for key, who in _WHO if (word := getattr(expect, key)) in ENDS)
    lead = f" ({expect.lead})" if expect.lead else ""
    says = f"It expects that {endings}{lead}"
    met = f"{says}, and the run ended so." if not misses else f"{says}. The run did not: {'; '.join(misses)}."
    return (f"{met} Why it is expected stands there.", *_beside(expect.neighbour))


def _misses(expect: Expect, outcome: Outcome) -> Iterator[str]:
    for key, who in _WHO:
        wanted, came = getattr(expect, key), getattr(outcome, key)
        if wanted not in (None, came):
            yield f"the {who} {ENDED.get(came, 'was not there')}"
    if expect.direction not in (None, outcome.direction):
        yield f"it went {outcome.direction or 'over no line'}, not {expect.direction}"
    if expect.lead not in (None, outcome.lead) and not expect.direction:
        yield f"the worst of it was: {outcome.lead}"


def _beside(neighbour: Neighbour | None) -> Iterator[str]:
    if neighbour is None:
        return
    changes = ", ".join(f"{key} = {value}" for key, value in neighbour.set.items())
    endings = "; ".join(f"the {who} {ENDS[word]}" for key, who in _WHO if (word := getattr(neighbour, key)) in ENDS)
    why = " Why stands there." if neighbour.because else ""
    said = f"With {changes} it expects this: {endings or 'nothing else happens'}"
    yield f"{said}.{why} That is a run of its own: not made here."
