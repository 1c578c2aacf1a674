"""A run under way, in either engine: stretches of steps, a look for a breakdown after each, a record of every step."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable
from itertools import pairwise
from math import isfinite
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from tipline.endings import RULES
from tipline.engines.watching import watch_of, watched
from tipline.errors import NumericalError
from tipline.kernels import layout as at
from tipline.kernels import reading
from tipline.kernels import watching as w
from tipline.kernels.decide import goes_on
from tipline.kernels.packed import pack

if TYPE_CHECKING:
    from tipline.engines.prepare import Prepared
    from tipline.results import Watched

__all__ = ["Loop"]

Array = NDArray[np.float64]

LOOKS = 40
"""Looks at the ledger in a stretch of compiled steps (our choice: less than a second of a run)."""
AWAY = 20.0
"""Speed [m/s or rad/s] past which a run that is beyond its duration is followed no further: it slides or rolls down a
slope, for ever faster (our choice: what falls 20 m comes down so fast, and no truck lifts as high)."""
TELLS_EVERY = 10
"""Looks at the ledger between two words on how far the run is (our choice: some milliseconds)."""


class Loop(ABC):
    """One run under way, with a row of the record for each step done.

    ``engine`` names what makes it, as in `results.ENGINES`; ``looks``: how many looks at the ledger a stretch has;
    ``reads``: whether another library moves the bodies, and is read before each step.
    """

    engine: str
    looks: int
    reads: bool

    def __init__(self, prepared: Prepared, plant: at.Plant, state: Array, losses: Array | None) -> None:
        self.prepared, self.state = prepared, state
        self.dt = prepared.case.scenario.run.time_step
        packed = pack(plant, prepared.memory, watch_of(prepared, self.dt, losses, goes_on=True))
        self.buffer, self.index = packed.buffer, packed.index
        self._plant, self._memory, self.watch = packed.plant, packed.memory, packed.watch
        self.wrench = np.zeros((at.N_BODY + reading.CALLS // 2, 6))
        self._steps = len(prepared.commands.table)
        self.record = np.zeros((self._steps, at.record_width(len(plant.tyre), len(plant.place))))
        self.k = 0
        self._look = int(self.watch.rule[w.R_LOOK])

    @property
    def time(self) -> float:
        """Time reached."""
        return self.k * self.dt

    @property
    def ended(self) -> bool:
        """Whether the ending is decided at the last step, and nothing has it go on."""
        return int(self.watch.seen[w.S_WHY]) != w.NOT_YET and not goes_on(self.k, self.watch)

    def watched(self) -> Watched:
        """Return what was seen so far."""
        return watched(self.prepared, self.watch, self._plant.place, self._memory.depth, self.k, self.dt)

    def advance_to(self, end: float, progress: Callable[[float], None] | None) -> None:
        """Step until `end` [s], and take over the places that tyres opened.

        Raises
        ------
        NumericalError
            It broke down.
        """
        first, last, fastest = self.k, min(round(end / self.dt) + 1, self._steps), 0.0
        for begin, stop in pairwise(self._stretches(first, last)):
            fastest = self._advance(begin, stop)
            if (self.k - 1) % self._look == 0:
                self.look(self.k - 1, fastest)
                if progress is not None and (self.k - 1) % (TELLS_EVERY * self._look) == 0:
                    progress((self.k - 1 - first) / max(last - first, 1))
            if self.k < stop or self.ended or self._is_away(fastest):
                break
        _refuse_nonsense(fastest, (self.k - 1) * self.dt)
        self.prepared.build.plant.place[:] = self._plant.place

    def run_out(self, end: float, progress: Callable[[float], None] | None) -> None:
        """Step on until it has ended, until `end` [s] at most; raises as `advance_to`."""
        self.watch.rule[w.R_GOES_ON] = 0.0
        if not self.ended:
            self.advance_to(end, progress)

    def _is_away(self, fastest: float) -> bool:
        """Whether it is past its duration and too fast to be followed, asked at the same steps in every engine."""
        runs_out = self.watch.rule[w.R_GOES_ON] == 0.0 and (self.k - 1) % (LOOKS * self._look) == 0
        return bool(runs_out and fastest > AWAY)

    @abstractmethod
    def _advance(self, begin: int, stop: int) -> float:
        """Do the steps from begin to before stop, and count them in ``k``; less of them where the run ends before.

        Return the greatest speed of a body after the last [m/s or rad/s], nan where a state is not a finite number.
        """

    def arguments(self, begin: int, stop: int) -> tuple[Any, ...]:
        """Return what `roll_out` is called with for the steps from begin to before stop."""
        table, record = self.prepared.commands.table, self.record
        return begin, stop, self.dt, self.reads, self.state, table, self.wrench, record, self.buffer, self.index

    def _stretches(self, first: int, last: int) -> list[int]:
        """Cut the steps after looks at the ledger."""
        every = self.looks * self._look
        looks = range(first - first % every + 1, last, every)
        return sorted({first, last} | {k for k in looks if first < k < last})

    def look(self, k: int, fastest: float) -> None:
        """Stop a run that has broken down."""
        _refuse_nonsense(fastest, k * self.dt)
        seen = self.watch.seen
        if seen[w.S_BROKEN] > 0.0:
            missing, through = float(seen[w.S_MISSING + w.LOOKS - 1]), float(seen[w.S_MOST])
            msg = f"{missing / 1e3:.3g} kJ unaccounted for, {through / 1e3:.3g} kJ went through"
            raise NumericalError(msg, time=k * self.dt, quantity="energy ledger", remedy=self._at_work(k))

    def _at_work(self, k: int) -> str:
        """Say which inputs were at work in the steps since the ledger last closed."""
        build, span = self.prepared.build, self.record[max(0, k - round(RULES.landing / self.dt) - self._look) : k + 1]
        singles = 1 + 13 * at.N_BODY + at.N_TYRE_RECORD * len(build.tyres)
        places = span[:, singles + at.N_SINGLE : singles + at.N_SINGLE + len(build.plant.place)]
        commands = self.prepared.commands.table[max(0, k - len(span) + 1) : k + 1]
        work = {
            "a part of the truck strikes floor or load (machine)": span[:, singles + at.R_BODY_FORCE].any(),
            "the lifted load strikes the floor (load.mass, load.size)": span[:, singles + at.R_LOAD_FLOOR].any(),
            "the lifted load lies free on the forks (load.on_forks)": span[:, singles + at.R_SUPPORT].any(),
            "the floor sinks or breaks under tyres (floor, event)": np.ptp(places, axis=0).any(),
            "something is commanded (event)": np.ptp(commands, axis=0).any(),
        }
        inputs = [name for name, there in work.items() if there] or [
            "the truck rolls or rocks on its tyres (machine, setup)"
        ]
        return f"At that time {', '.join(inputs)}: change one of these, and report this with the input files"


def _refuse_nonsense(fastest: float, time: float) -> None:
    """Refuse a state that is not finite (nan) or too fast."""
    remedy = "Look for a mass, a size or a stiffness far from those of the rest (machine, load)"
    if not isfinite(fastest):
        msg = "not a finite number"
        raise NumericalError(msg, time=time, quantity="state of the bodies", remedy=remedy)
    if fastest > RULES.fastest:
        msg = f"{fastest:.3g} m/s or rad/s, beyond {RULES.fastest:g}"
        raise NumericalError(msg, time=time, quantity="speed of a body", remedy=remedy)
