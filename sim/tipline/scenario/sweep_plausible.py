"""What is unusual at the ends of what varies in a sweep."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from tipline.errors import InputError
from tipline.model.document import Document, dotted
from tipline.model.plausible import path_of
from tipline.model.positions import Path
from tipline.scenario.case import Case
from tipline.scenario.sweep_plan import SweptInput

__all__ = ["ask_ends", "ask_width"]

WIDEST, NARROWEST = 1.0, 5e-3
"""Standard deviation over the range that a normal distribution is cut to: beyond these one of the two is a slip, since
the other then counts for nothing (our bounds)."""


def ask_ends(
    case: Case,
    read_with: Callable[[Mapping[str, str]], Case],
    varied: SweptInput,
    meant: tuple[str, ...],
    document: Document,
    place: Path,
) -> Iterator[InputError]:
    """Yield what of each end, or of each value, of a setting is unusual; the scenario is read with it."""
    places = {_as_asked(case, key): key for key in varied.keys if key not in meant}
    for value in varied.ends():
        texts = varied.texts(value)
        questions = ((places[unusual.key], unusual) for unusual in read_with(texts).unusual if unusual.key in places)
        key, question = next(questions, ("", None))
        if question is not None:
            remedy = f'Correct it, or what it is held against. If meant, say so: meant = ["{key}"] in this file'
            yield document.problem(place, f"{key} = {texts[key]}: {question.reason}", remedy)


def ask_width(varied: SweptInput, document: Document, place: Path) -> Iterator[InputError]:
    """Yield a standard deviation that does not go with the range that its distribution is cut to."""
    if varied.shape != "truncated-normal":
        return
    least, most, deviation = (varied.figures[name] for name in ("least", "most", "deviation"))
    if not NARROWEST <= deviation / (most - least) <= WIDEST:
        far, span = varied.say(deviation), f"{varied.say(least)} to {varied.say(most)}"
        reason = f"is unusual: {far} beside a range of {span}"
        at = (*place, "deviation")
        remedy = f'Correct deviation, least or most. If meant, say so: meant = ["{dotted(at)}"] in this file'
        yield document.problem(at, reason, remedy)


def _as_asked(case: Case, key: str) -> str:
    """Return a key as a question names it: list entries by index."""
    start, _, rest = key.partition(".")
    thing = {"machine": case.machine, "floor": case.floor}.get(start)
    path = path_of(case.scenario, key) if thing is None else path_of(thing, rest)
    return key if path is None else dotted(path if thing is None else (start, *path))
