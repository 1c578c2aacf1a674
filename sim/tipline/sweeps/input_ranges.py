"""Between what ends each input may lie, by its key: as a spread, a floor's answer or a sweep takes it.

No range is chosen here: each is read off what the input is varied by, from the case, machine or floor that it makes.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from tipline.floors.known.of_zone import zone_bands
from tipline.model.floor import Floor
from tipline.model.machine import Machine
from tipline.model.own_truck import bands_of, within_band
from tipline.scenario.case import Case, quantified_values
from tipline.scenario.reader import read
from tipline.scenario.sweep_plan import SweepPlan
from tipline.sweeps.inputs import knobs

__all__ = ["InputRange", "InputRanges", "of_case", "of_floor", "of_machine", "of_swept"]


class InputRange(NamedTuple):
    """The least and the most of an input in SI, lists entry by entry; ``quantity``: such as "mass", "" for a number."""

    low: Any
    high: Any
    quantity: str


InputRanges = Mapping[str, InputRange]
"""By dotted key."""
Values = Mapping[str, Mapping[str, Any]]


def of_case(case: Case) -> InputRanges:
    """Return the range of each input of a case that has one; of several that move it, one at a time."""
    changed = (_values(knob.set(case, end)) for knob in knobs(case) for end in (knob.input.low, knob.input.high))
    return {**_moved(_values(case), changed), **of_floor(case.floor)}


def of_machine(machine: Machine) -> InputRanges:
    """Return the range of each value of an own truck that is not known."""
    changed = (
        quantified_values({"machine.": within_band(machine, band.key, end)})
        for band in bands_of(machine)
        for end in (band.low, band.high)
    )
    return _moved(quantified_values({"machine.": machine}), changed)


def of_floor(floor: Floor) -> InputRanges:
    """Return the band of each value of a floor that has one under its own name."""
    there = quantified_values({"floor.": floor})
    bands = {
        f"floor.{floor.key_of(part)}.{name}": InputRange(band.low, band.high, band.dimension)
        for part in (*floor.zone, floor.elsewhere)
        for name, band in zone_bands(part, floor).bands.items()
        if band.low < band.high
    }
    return {key: ends for key, ends in bands.items() if key in there}


def of_swept(plan: SweepPlan) -> InputRanges:
    """Return the range of each input that a sweep varies, as far as it is a number, from the cases at its ends."""
    changed = (
        _values(read(plan.texts[0].given, {**plan.fixed, **swept.texts(end)}, table=False, texts=plan.texts))
        for swept in plan.inputs
        for end in swept.ends()
    )
    return _moved(_values(plan.case), changed)


def _values(case: Case) -> Values:
    return quantified_values({"": case.scenario, "machine.": case.machine, "floor.": case.floor})


def _moved(here: Values, changed: Iterable[Values]) -> InputRanges:
    """Return from where to where values go over what was changed, those that stay where they are left out."""
    low = {key: entry["si"] for key, entry in here.items()}
    high = dict(low)
    for values in changed:
        for key in low.keys() & values.keys():
            other = values[key]["si"]
            if _numbers(other) and _numbers(low[key]) and len(list(_flat(other))) == len(list(_flat(low[key]))):
                low[key], high[key] = _each(min, low[key], other), _each(max, high[key], other)
    return {
        key: InputRange(low[key], high[key], entry["quantity"])
        for key, entry in here.items()
        if _numbers(low[key]) and low[key] != high[key]
    }


def _numbers(value: Any) -> bool:
    return all(isinstance(number, int | float) and not isinstance(number, bool) for number in _flat(value))


def _flat(value: Any) -> Iterator[Any]:
    if isinstance(value, list):
        for part in value:
            yield from _flat(part)
    else:
        yield value


def _each(best: Any, first: Any, second: Any) -> Any:
    """Return the least or the most of two numbers, of lists entry by entry."""
    if isinstance(first, Sequence):
        return [_each(best, *pair) for pair in zip(first, second, strict=True)]
    return best(first, second)
