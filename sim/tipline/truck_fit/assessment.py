"""What the readings tell of a machine: values with their spread, what they tell only together or not at all.

Besides: readings that do not go together, and which further weighing would tell most.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tipline.errors import InputError
from tipline.model.machine import Machine, Weighing
from tipline.notebook import Shown, figure, marks, to_frame
from tipline.set_ups.rules import LoadRules
from tipline.truck_fit.fitting import Solution, jacobian, solved
from tipline.truck_fit.readings import Reading, plate_readings, sag_reading, weighing_readings
from tipline.truck_fit.unknowns import Unknown, unknowns_of
from tipline.units import SI_UNIT

__all__ = ["Advice", "FitReport", "Fitted", "Told", "assess_fit"]

Array = NDArray[np.float64]
TOLD, HARDLY = 0.25, 0.9
"""An unknown is told by the readings where they leave this part of its spread or less, and not told where they leave
the second part or more (our choice)."""
TOGETHER = 0.35
"""Part of a direction that no reading tells, from which an unknown belongs to it (our choice)."""
AGAINST = 3.0
"""A reading is against the others from so many accuracies on (our choice: one in 370 honest readings)."""
SURE = 1.96
"""Standard deviations to either side for 95 in 100."""
WORTH = 0.8
"""A further weighing is proposed where it leaves this part of the spread of a value or less (our choice)."""
RAISED = 0.30
"""How high the steer axle is raised in a weighing that is proposed [m] (our choice: on two sleepers)."""


@dataclass(frozen=True)
class Fitted:
    """One unknown after the fit [SI]: from ``low`` to ``high`` 95 in 100; ``told`` : "yes", "partly" or "no"."""

    unknown: Unknown
    value: float
    low: float
    high: float
    left: float
    told: str


@dataclass(frozen=True)
class Told:
    """One reading: where, what, as read and as the machine gives it before and after the fit [SI], its accuracy.

    ``against`` : what it has more than a fit of all other readings gives, in its accuracies; "contradicts" where that
    is too much.
    """

    where: str
    words: str
    value: float
    before: float
    after: float
    accuracy: float
    dimension: str
    against: float
    least: bool

    @property
    def contradicts(self) -> bool:
        """Whether it does not go together with the others."""
        return abs(self.against) >= AGAINST


@dataclass(frozen=True)
class Advice:
    """A weighing that was not made: how, which unknown it tells most, and its spread before and after, 95 in 100."""

    how: str
    of: Unknown
    before: float
    after: float


@dataclass(frozen=True)
class FitReport(Shown):
    """A machine fitted to its readings. ``together`` : groups of unknowns that only a sum or difference is told of."""

    title: str
    demo: str
    fitted: tuple[Fitted, ...]
    readings: tuple[Told, ...]
    together: tuple[tuple[str, ...], ...]
    advice: tuple[Advice, ...]
    unusual: tuple[InputError, ...] = ()
    not_met: tuple[str, ...] = ()
    assumed_count: int = 0
    governs: tuple[str, ...] = ()

    @property
    def contradictions(self) -> tuple[Told, ...]:
        """The readings that do not go with the others, the worst first."""
        return tuple(
            sorted(
                (reading for reading in self.readings if reading.contradicts), key=lambda reading: -abs(reading.against)
            )
        )

    def rows(self) -> list[dict[str, Any]]:
        """Give one record a figure, in SI."""
        out = []
        for fitted in self.fitted:
            unit = SI_UNIT[fitted.unknown.dimension]
            for what, value in (
                ("as told", fitted.unknown.value),
                ("fitted", fitted.value),
                ("low", fitted.low),
                ("high", fitted.high),
            ):
                out.append(figure(what, fitted.unknown.name, value, unit))
        return out

    def to_pandas(self) -> Any:
        """Return the records as a pandas table; raises MissingPart without pandas."""
        return to_frame(self.rows(), marks(self.demo))


def assess_fit(machine: Machine, rules: LoadRules) -> FitReport:
    """Fit a machine to its weighings, sags and plate.

    Raises
    ------
    InputError
        Nothing was weighed or measured.
    """
    if not machine.weighings and not machine.sags:
        reason = "has no weighings and no sags, so there is nothing to fit it to"
        remedy = 'Add [[weighings]] with what scales read, such as drive_axle = "3.61 t"'
        raise InputError(reason, key=f"machine {machine.name}", remedy=remedy)
    unknowns = unknowns_of(machine)
    readings = [reading for weighing in machine.weighings for reading in weighing_readings(machine, weighing, unknowns)]
    readings += [sag_reading(machine, sag, unknowns) for sag in machine.sags]
    readings += plate_readings(machine, unknowns, rules)
    solution = solved(readings, unknowns)
    return FitReport(
        title=machine.title,
        demo="machine" if machine.demo else "",
        fitted=tuple(_fitted(unknown, solution, k) for k, unknown in enumerate(unknowns)),
        readings=tuple(_told(reading, solution, k, unknowns) for k, reading in enumerate(readings)),
        together=tuple(_together(solution, unknowns)),
        advice=tuple(_advice(machine, readings, unknowns, solution)),
    )


def _fitted(unknown: Unknown, solution: Solution, k: int) -> Fitted:
    value, deviation = float(solution.values[k]), solution.deviation(k)
    left = deviation / unknown.spread
    how_told = "yes" if left <= TOLD else "no" if left >= HARDLY else "partly"
    return Fitted(unknown, value, value - SURE * deviation, value + SURE * deviation, left, how_told)


def _told(reading: Reading, solution: Solution, k: int, unknowns: Sequence[Unknown]) -> Told:
    start = np.array([unknown.value for unknown in unknowns])
    return Told(
        where=reading.where,
        words=reading.words,
        value=reading.value,
        before=reading.given(start),
        after=reading.given(solution.values),
        accuracy=reading.accuracy,
        dimension=reading.dimension,
        against=float(solution.without[k]),
        least=reading.least,
    )


def _together(solution: Solution, unknowns: Sequence[Unknown]) -> Iterator[tuple[str, ...]]:
    """Give groups of unknowns that the readings tell only together.

    Of the singular directions of what the readings lean on, in spreads of the unknowns and accuracies of the readings,
    those below one are told less by them than by the file; more than one unknown in one of them: only another
    combination of these is told. Alone there it is simply not told.
    """
    _, size, direction = np.linalg.svd(solution.of_readings)
    weak = direction[np.append(size, np.zeros(len(direction) - len(size))) < 1.0]
    groups: list[set[int]] = []
    for row in weak:
        group = {int(k) for k in np.flatnonzero(np.abs(row) >= TOGETHER)}
        joined = [other for other in groups if other & group]
        groups = [other for other in groups if not other & group] + [group.union(*joined)]
    certain = [k for k in range(len(unknowns)) if solution.deviation(k) < HARDLY * unknowns[k].spread]
    for group in groups:
        known = sorted(group & set(certain))
        if len(known) > 1:
            yield tuple(unknowns[k].what for k in known)


def _advice(
    machine: Machine, readings: Sequence[Reading], unknowns: Sequence[Unknown], solution: Solution
) -> Iterator[Advice]:
    """Give for what is told least the weighing, of some that could be made, that tells most of it; the best first."""
    information = solution.of_readings.T @ solution.of_readings + np.eye(len(unknowns))
    wanting = [k for k in range(len(unknowns)) if solution.deviation(k) > TOLD * unknowns[k].spread]
    best: dict[str, Advice] = {}
    for how, weighing in _possible(machine):
        guess = weighing_readings(machine, weighing, unknowns, {"drive axle": 0.0, "steer axle": 0.0})
        guess = [replace(reading, value=reading.given(solution.values)) for reading in guess]
        guess = [replace(reading, accuracy=max(0.01 * reading.value, 25.0)) for reading in guess]
        leaning = jacobian(guess, unknowns, solution.values)
        after = np.linalg.inv(information + leaning.T @ leaning)
        for k in wanting:
            unknown = unknowns[k]
            spread = SURE * float(np.sqrt(after[k, k])) * unknown.spread
            known = best.get(unknown.name)
            if known is None or spread < known.after:
                best[unknown.name] = Advice(how, unknown, SURE * solution.deviation(k), spread)
    worth = [advice for advice in best.values() if advice.after < WORTH * advice.before]
    yield from sorted(worth, key=lambda advice: advice.after / advice.before)


def _possible(machine: Machine) -> Iterator[tuple[str, Weighing]]:
    """Give weighings that could be made, none of them with a load: in words, and as they would stand in the file."""
    out = machine.counterweight.stroke
    slabs = machine.ballast_slab.most if machine.ballast_slab is not None else 0
    forks = "forks" if machine.forks is not None else "none"
    base = Weighing(attachment=forks, extension=0.0, slabs=0)
    yield "axle by axle, counterweight home, no slabs", base
    if out > 0.0:
        yield "axle by axle, counterweight all the way out, no slabs", base.model_copy(update={"extension": out})
    if slabs:
        yield f"axle by axle, counterweight home, {slabs} slabs", base.model_copy(update={"slabs": slabs})
    raised = {"steer_axle_raised": RAISED}
    yield "axle by axle, counterweight home, steer tyres on blocks 300 mm high", base.model_copy(update=raised)
    if out > 0.0:
        both = {**raised, "extension": out}
        yield (
            "axle by axle, counterweight all the way out, steer tyres on blocks 300 mm high",
            base.model_copy(update=both),
        )
    if machine.forks is not None:
        yield "axle by axle, counterweight home, forks off", base.model_copy(update={"attachment": "none"})
    if machine.jib is not None:
        yield "axle by axle, counterweight home, jib on", base.model_copy(update={"attachment": "jib"})
