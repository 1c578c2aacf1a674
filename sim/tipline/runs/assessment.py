"""What a run means: outcome, worst distances with their times, energy left, peaks, and what happened when."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from math import isfinite, nan
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from tipline.endings import RULES, LoadEnd, TruckEnd
from tipline.errors import InputError
from tipline.kernels import layout as at
from tipline.notebook import Shown, figure, marks, to_frame
from tipline.pose.assessment import PoseReport, assess_pose
from tipline.results import Channel, Run
from tipline.runs.motion import Motion, crests_at_rest
from tipline.runs.outcome import (
    Outcome,
    TruckState,
    floor_state,
    leading,
    load_state,
    settled,
    steer_share,
    truck_state,
    tyres_off,
)
from tipline.runs.outcome_table import OutcomeTable
from tipline.runs.told import EITHER_WAY, cause, heading
from tipline.scenario import Case
from tipline.scenario.kinds import said
from tipline.scenario.spec import DriveEvent
from tipline.statics import lines
from tipline.statics.truck import truck_of
from tipline.units import SI_UNIT, show

if TYPE_CHECKING:
    from tipline.runs.breaks import Breaks
    from tipline.runs.endings import Spread
    from tipline.runs.peaks import Peak

__all__ = ["RunReport", "assess_run", "decider", "first_to_go", "outcome_of"]

Array = NDArray[np.float64]
Timed = tuple[float, float]
Limit = tuple[str, float, str]
AWAY = 0.05
"""Way [m] beyond which a truck that was told to stand has rolled or slid; less is the give of its tyres."""


@dataclass(frozen=True)
class RunReport(Shown):
    """An assessed run. SI and radians; a pair (value, time) says when [s] the worst value occurred.

    ``run`` is the run with the channels of the assessment added; ``pose`` the set-up at rest; ``no_return`` the time
    from which nothing could have stopped it, None where that never came: worst values go up to there. ``unusual``: what
    the files give that is more often a slip than meant. ``not_met``: what is not used, overridden or never met.
    ``cause``: what led to it, a sentence.
    """

    title: str
    demo: str
    run_id: str
    outcome: Outcome
    distances: Mapping[str, Timed]
    swing: Mapping[str, Timed]
    energy_left: Mapping[str, Timed]
    steer_axle_share: float
    lightest_tyre: tuple[str, float, float]
    weight: float
    rest_tyre_loads: Mapping[str, float]
    rest_axle_share: Mapping[str, float]
    peak_tyre_loads: Mapping[str, Timed]
    numerics: Mapping[str, float]
    events: tuple[tuple[float, str], ...]
    no_return: float | None
    pose: PoseReport
    run: Run
    holds_only_while: tuple[Limit, ...] = ()
    exceeded: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()
    assumed_count: int = 0
    governs: tuple[str, ...] = ()
    reasons: Mapping[str, str] = field(default_factory=dict)
    outcome_table: OutcomeTable | None = None
    floor_breaks: Breaks | None = None
    floor_peaks: tuple[Peak, ...] = ()
    spread: Spread | None = None
    unusual: tuple[InputError, ...] = ()
    not_met: tuple[str, ...] = ()
    cause: str = ""

    @property
    def ended(self) -> str:
        """How this run ended, in a sentence without its stop."""
        return heading(self.outcome)

    @property
    def heading(self) -> str:
        """What stands in the largest type: how it ended, or that it could go either way."""
        return f"{EITHER_WAY}: {self.doubts[0]}" if self.doubts else self.ended

    @property
    def fell(self) -> bool:
        """Whether the truck went over or came to rest on its body, or the lifted load dropped."""
        return self.outcome.truck in (TruckEnd.OVER, TruckEnd.RESTING) or self.outcome.lifted_load == LoadEnd.DROPPED

    @property
    def nearest(self) -> tuple[str, float, float] | None:
        """The tip line that it came nearest to, or went over, with the least distance [m] and when [s]."""
        known = {name: value for name, value in self.distances.items() if isfinite(value[0])}
        if not known:
            return None
        over = self.outcome.direction
        name = over if over in known else min(known, key=lambda key: (known[key][0], key))
        return name, *known[name]

    @property
    def doubts(self) -> tuple[str, ...]:
        """In how many runs it ended as it did, where it could go either way; empty where it could not."""
        return tuple(found.doubt for found in (self.spread, self.floor_breaks) if found is not None and found.doubt)

    def rows(self) -> list[dict[str, Any]]:
        """Give one record a figure, in SI, with the time [s] of a worst value; nan where it has none."""
        at_rest = (("tyre load at rest", self.rest_tyre_loads, "N"), ("axle share at rest", self.rest_axle_share, ""))
        worst = (
            ("worst distance to the tip line", self.distances, "m"),
            ("worst distance to the swing line", self.swing, "m"),
            ("least energy left", self.energy_left, "J"),
            ("peak tyre load", self.peak_tyre_loads, "N"),
        )
        name, load, time = self.lightest_tyre
        found = [
            figure("weight with load", "truck", self.weight, "N"),
            *(figure(what, of, value, unit) for what, table, unit in at_rest for of, value in table.items()),
            figure("least steer-axle share", "truck", self.steer_axle_share, ""),
            *(figure("holds only while", of, value, SI_UNIT[kind]) for of, value, kind in self.holds_only_while),
        ]
        timed = [(figure(what, of, one[0], unit), one[1]) for what, table, unit in worst for of, one in table.items()]
        timed.append((figure("lightest tyre", name, load, "N"), time))
        return [record | {"time_s": nan} for record in found] + [record | {"time_s": time} for record, time in timed]

    def to_pandas(self) -> Any:
        """Return the records as a pandas table, the outcome in its ``attrs``; raises MissingPart without pandas."""
        ended = {"truck": self.outcome.truck, "lifted_load": self.outcome.lifted_load, "floor": self.outcome.floor}
        return to_frame(self.rows(), {**marks(self.demo), "outcome": ended, "doubts": list(self.doubts)})


def decider(case: Case) -> Callable[[Run], bool]:
    """Return a function that says of a run so far whether its ending is decided."""
    truck = truck_of(case)
    crests, rest = crests_at_rest(truck)

    def decided(run: Run) -> bool:
        motion = Motion(run, truck)
        return settled(motion, motion.energy_left(crests, rest))

    return decided


def outcome_of(run: Run, case: Case) -> Outcome:
    """Return how a run of a case ended, and no more than that; the run is as for `assess_run`."""
    truck = truck_of(case)
    motion = Motion(run, truck)
    state = truck_state(motion, decided=settled(motion, motion.energy_left(*crests_at_rest(truck))))
    return _outcome(motion, state)[0]


def first_to_go(run: Run, case: Case, moved: float) -> tuple[str, str]:
    """Return what goes first in a run of a parked truck, "" if nothing, and the line it is over at the end, or "".

    ``moved`` [m]: how far the tyres' contacts must have gone along the floor to count as rolling or sliding.
    """
    motion = Motion(run, truck_of(case))
    state = truck_state(motion, decided=True)
    load, events = load_state(motion, state)
    when: list[tuple[float, str]] = []
    off = tyres_off(motion)
    for column, name in enumerate(run.tyres):
        if off[:, column].any():
            when.append((float(run.time[np.argmax(off[:, column])]), f"{name} lifts"))
    way = [np.mean([run.series(f"tyre_contact_{axis}.{name}") for name in run.tyres], axis=0) for axis in "xy"]
    gone = ~off.any(axis=1) & (np.hypot(way[0] - way[0][0], way[1] - way[1][0]) > moved)
    if gone.any():
        when.append((float(run.time[np.argmax(gone)]), "it rolls or slides"))
    if load in (LoadEnd.SLID, LoadEnd.DROPPED) and events:
        when.append((events[0][0], events[0][1].removesuffix(" (it was held fixed in this run)")))
    if state.word in (TruckEnd.OVER, TruckEnd.RESTING) and state.line is not None:
        return min(when, default=(0.0, f"over to the {state.line}"))[1], state.line
    return min(when, default=(0.0, ""))[1], ""


def _outcome(motion: Motion, state: TruckState) -> tuple[Outcome, list[tuple[float, str]]]:
    """Return the outcome, and what happened to the lifted load and when."""
    load, events = load_state(motion, state)
    floor = floor_state(motion)
    return Outcome(state.word, load, floor, leading(state, load, floor), state.line), events


def assess_run(run: Run, case: Case) -> RunReport:
    """Assess a run of a case.

    The run has the poses and velocities of the six bodies, the channels of the engine, and in ``meta`` the bodies'
    ``centres`` in the truck frame at set-up, ``places``, ``time_step_s`` and ``energy_error``. Outside forces (wind,
    pushes) count where ``meta["outside"]`` lists body and point in the truck frame, with channels ``outside_x.<i>`` ...

    Raises
    ------
    NumericalError
        The pose at rest could not be computed.
    """
    truck = truck_of(case)
    motion = Motion(run, truck)
    crests, rest = crests_at_rest(truck)
    left = motion.energy_left(crests, rest)
    decided = settled(motion, left)
    state = truck_state(motion, decided=decided)
    outcome, load_events = _outcome(motion, state)
    full = run.with_channels(_channels(motion, left))
    part = slice(0, len(run.time) if state.no_return is None else state.no_return + 1)
    pose = assess_pose(case)
    events = _events(motion, state, load_events)
    return RunReport(
        title=case.scenario.title,
        demo=case.demo,
        run_id=_run_id(run, case),
        outcome=outcome,
        distances={line: _least(motion.distances[line], run.time, part) for line in lines.LINES},
        swing={
            side: _least(motion.distances[f"swing.{side}"], run.time, part)
            for side in lines.SIDES
            if truck.outline.pivots
        },
        energy_left={line: _least(left[line], run.time, part) for line in lines.LINES},
        steer_axle_share=_least(steer_share(motion), run.time, part)[0],
        lightest_tyre=_lightest(run, part),
        weight=float(motion.masses[0].sum() * np.linalg.norm(motion.gravity[0])),
        rest_tyre_loads=dict(zip(run.tyres, _rest_loads(motion).tolist(), strict=True)),
        rest_axle_share=_axle_share(motion),
        peak_tyre_loads=_peaks(motion),
        numerics=_numerics(motion),
        events=events,
        no_return=None if state.no_return is None else float(run.time[min(state.no_return, len(run.time) - 1)]),
        pose=pose,
        run=full,
        holds_only_while=pose.holds_only_while,
        exceeded=pose.exceeded,
        assumed=tuple(case.assumed),
        assumed_count=case.assumed_count,
        governs=pose.governs,
        reasons=_reasons(run),
        cause=cause(case, *_places(run), events),
    )


def _places(run: Run) -> tuple[tuple[Mapping[str, Any], ...], tuple[float, ...]]:
    """Return the places that the floor made by itself, and how deep each came to be [m]."""
    own = tuple(place for place in run.meta.get("places", ()) if place.get("zone"))
    return own, tuple(float(run.series(f"place_depth.{place['index']}").max()) for place in own)


def _channels(motion: Motion, left: Mapping[str, Array]) -> dict[str, Channel]:
    added = {
        f"distance.{name}": Channel(values, "m", f"distance to the {name.replace('.', ' ')} line")
        for name, values in motion.distances.items()
    }
    added |= {f"energy_left.{name}": Channel(values, "J", f"energy left, {name} line") for name, values in left.items()}
    added["balance_x"] = Channel(motion.balance[:, 0], "m", "balance point x")
    added["balance_y"] = Channel(motion.balance[:, 1], "m", "balance point y")
    added["steer_axle_share"] = Channel(steer_share(motion), "", "share of the tyre loads on the steer axle")
    return added


def _least(values: Array, time: Array, part: slice) -> Timed:
    known = values[part]
    if not np.isfinite(known).any():
        return float("nan"), float("nan")
    index = int(np.nanargmin(known))
    return float(known[index]), float(time[index])


def _lightest(run: Run, part: slice) -> tuple[str, float, float]:
    least = {name: _least(run.series(f"tyre_load.{name}"), run.time, part) for name in run.tyres}
    name = min(least, key=lambda tyre: least[tyre])
    return name, *least[name]


def _rest_loads(motion: Motion) -> Array:
    """Return the tyre loads at rest (n,); nan where the set-up does not stand."""
    loads = np.array([motion.run.series(f"tyre_load.{name}")[0] for name in motion.run.tyres])
    return loads if motion.run.meta.get("stands_at_start", True) else np.full_like(loads, np.nan)


def _axle_share(motion: Motion) -> dict[str, float]:
    steer = float(steer_share(motion)[0]) if motion.run.meta.get("stands_at_start", True) else float("nan")
    return {"drive": 1.0 - steer, "steer": steer}


def _peaks(motion: Motion) -> dict[str, Timed]:
    """Return each tyre's greatest load while the truck does not lie on its side."""
    run, found = motion.run, {}
    upright = motion.lean < RULES.lying
    for name in run.tyres:
        values = np.where(upright, run.series(f"tyre_load.{name}"), -np.inf)
        index = int(np.argmax(values))
        found[name] = (float(values[index]), float(run.time[index]))
    return found


def _numerics(motion: Motion) -> dict[str, float]:
    """Return step, ledger, and how far the forces at the first sample are from balance, as a share of the weight."""
    run, meta = motion.run, motion.run.meta
    load = sum(float(run.series(f"tyre_load.{name}")[0]) for name in run.tyres)
    weight = -float(motion.masses[0].sum() * motion.gravity[0, 2])
    found = {"time_step_s": float(meta["time_step_s"]), "energy_error": float(meta["energy_error"])}
    beside = float(run.series("body_force")[0] + run.series("load_floor_force")[0])
    found["force_balance_error"] = abs(load + beside - weight) / weight
    return found


def _reasons(run: Run) -> dict[str, str]:
    reasons = {
        "worst.energy_left_kJ": "nothing stood below the crest of this line",
        "worst.distance_to_tip_line_mm": "nothing pressed on the floor before the point of no return",
    }
    if not run.meta.get("stands_at_start", True):
        reasons["rest"] = "the set-up does not stand"
    return reasons


def _events(motion: Motion, state: TruckState, load: list[tuple[float, str]]) -> tuple[tuple[float, str], ...]:
    """List what was told to happen and what followed, by time; times of what was told are those of the scenario."""
    run, time = motion.run, motion.run.time
    found = [(getattr(event, "at", 0.0), said(event)) for event in motion.truck.case.scenario.event]
    found = [event for event in found if event[0] <= time[-1]]
    found += _gave_way(run)
    off = tyres_off(motion)
    for index, name in enumerate(run.tyres):
        up = np.flatnonzero(off[:, index])
        if len(up) and (up[0] > 0 or off[0, index]):
            found.append((float(time[up[0]]), f"the {name} tyre leaves the floor"))
            down = np.flatnonzero(~off[up[0] :, index])
            if len(down):
                found.append((float(time[up[0] + down[0]]), f"the {name} tyre is back on the floor"))
    stop = float(motion.truck.plant.axle[at.A_STOP])
    if motion.truck.outline.pivots:
        _first(found, time, np.abs(run.series("axle_angle")) >= stop, "the frame reaches its stop")
    _first(found, time, run.series("body_force") > 0.0, "something other than a tyre touches the floor")
    _first(found, time, run.series("load_floor_force") > 0.0, "the lifted load touches the floor")
    if motion.truck.hung:
        _first(found, time, (run.series("rope_force") <= 0.0) & motion.held, "the rope goes slack")
    _moved(found, motion)
    if state.no_return is not None:
        found.append((float(time[min(state.no_return, len(time) - 1)]), f"past the {state.line} line: no way back"))
    return tuple(sorted([*found, *load], key=lambda event: event[0]))


def _gave_way(run: Run) -> list[tuple[float, str]]:
    """Say where the floor broke or sank by itself, under which tyre, at what load and how deep in the end."""
    found = []
    for place in run.meta.get("places", ()):
        if not place.get("zone"):
            continue
        deep = float(run.series(f"place_depth.{place['index']}").max())
        index = run.at(place["at"])
        load = show(float(run.series(f"tyre_load.{place['tyre']}")[index]), "force")
        if place["law"] == "plug":
            text = f"{place['zone']} breaks under the {place['tyre']} tyre at {load}: down {show(deep, 'length')}"
            found.append((float(place["at"]), text))
        elif deep > 1e-3:
            text = f"the {place['tyre']} tyre stands on {place['zone']}, which sinks {show(deep, 'length')} in all"
            found.append((float(place["at"]), text))
    return found


def _moved(found: list[tuple[float, str]], motion: Motion) -> None:
    """Add when a truck that was told to stand rolls or slides away, and how far by the end."""
    case = motion.truck.case
    if case.scenario.setup.speed != 0.0 or any(isinstance(event, DriveEvent) for event in case.scenario.event):
        return
    axle = motion.centres(np.zeros((at.N_BODY, 3)))[:, at.CHASSIS, :2]
    away = np.linalg.norm(axle - axle[0], axis=1)
    gone = np.flatnonzero((away > AWAY) & (motion.lean < RULES.fallen))
    if len(gone):
        far = show(float(away[motion.lean < RULES.fallen][-1]), "length")
        found.append((float(motion.run.time[gone[0]]), f"the truck rolls or slides, {far} by the end"))


def _first(found: list[tuple[float, str]], time: Array, mask: NDArray[np.bool_], text: str) -> None:
    where = np.flatnonzero(mask)
    if len(where):
        found.append((float(time[where[0]]), text))


def _run_id(run: Run, case: Case) -> str:
    """Return the run's id: from the engine, or from all inputs and the program's version."""
    if "run_id" in run.meta:
        return str(run.meta["run_id"])
    text = json.dumps([case.resolved, run.meta.get("versions", {})], sort_keys=True, default=str)
    return hashlib.sha256(text.encode()).hexdigest()[:10]
