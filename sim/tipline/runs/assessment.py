"""What a run means: outcome, worst distances with their times, energy left, peaks, and what happened when."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from math import inf, isfinite, nan
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from tipline.endings import LINES, SIDES, LoadEnd, TruckEnd
from tipline.errors import InputError
from tipline.mechanics.constants import STANDARD_GRAVITY as G
from tipline.notebook import Shown, figure, marks, to_frame
from tipline.pose.assessment import PoseReport, assess_pose
from tipline.pose.nearest import Limit
from tipline.printable import spoken_of
from tipline.results import Run, Timed, Watched
from tipline.runs.at_end import AtEnd, at_end
from tipline.runs.expected import as_expected, expected
from tipline.runs.gone import Gone, rolling_of
from tipline.runs.outcome import Outcome, outcome_of, seen_of
from tipline.runs.outcome_table import EndingTable
from tipline.runs.told import EITHER_WAY, cause, heading
from tipline.scenario import Case
from tipline.scenario.kinds import said
from tipline.scenario.spec import LoadShed
from tipline.units import SI_UNIT, show

if TYPE_CHECKING:
    from tipline.runs.breaks import Breaks
    from tipline.runs.endings import Spread
    from tipline.runs.peaks import Peak

__all__ = ["RunReport", "assess_run", "first_to_go"]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class RunReport(Shown):
    """An assessed run. SI and radians; a pair (value, time) says when [s] the worst value occurred.

    ``run`` is the run itself; ``pose`` the set-up at rest; ``no_return`` the time
    from which nothing could have stopped it, None where that never came: worst values go up to there. ``unusual``: what
    the files give that is more often a slip than meant. ``not_met``: what is not used, overridden or never met.
    ``cause``: what led to it, a sentence. ``expected``: what the file expects of the run, ``as_expected`` whether it
    ended so. ``engine``: what made the run, as in `results.ENGINES`. ``at_end``: where truck and lifted load
    are at its end.
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
    outcome_table: EndingTable | None = None
    floor_breaks: Breaks | None = None
    floor_peaks: tuple[Peak, ...] = ()
    spread: Spread | None = None
    unusual: tuple[InputError, ...] = ()
    not_met: tuple[str, ...] = ()
    cause: str = ""
    expected: tuple[str, ...] = ()
    as_expected: bool | None = None
    engine: str = ""
    at_end: AtEnd = field(kw_only=True)

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
        return tuple(
            neighbours.doubt
            for neighbours in (self.spread, self.floor_breaks)
            if neighbours is not None and neighbours.doubt
        )

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
        figures = [
            figure("weight with load", "truck", self.weight, "N"),
            *(figure(what, of, value, unit) for what, table, unit in at_rest for of, value in table.items()),
            figure("least steer-axle share", "truck", self.steer_axle_share, ""),
            *(figure("holds only while", of, value, SI_UNIT[kind]) for of, value, kind in self.holds_only_while),
        ]
        timed = [
            (figure(what, of, least[0], unit), least[1]) for what, table, unit in worst for of, least in table.items()
        ]
        timed.append((figure("lightest tyre", name, load, "N"), time))
        return [record | {"time_s": nan} for record in figures] + [record | {"time_s": time} for record, time in timed]

    def to_pandas(self) -> Any:
        """Return the records as a pandas table, the outcome in its ``attrs``; raises MissingPart without pandas."""
        ended = {"truck": self.outcome.truck, "lifted_load": self.outcome.lifted_load, "floor": self.outcome.floor}
        return to_frame(self.rows(), {**marks(self.demo), "outcome": ended, "doubts": list(self.doubts)})


def first_to_go(run: Run, moved: float) -> tuple[str, str]:
    """Return what goes first in a run of a parked truck, "" if nothing, and the line it is over at the end, or "".

    ``moved`` [m]: how far the tyres' contacts must have gone along the floor to count as rolling or sliding.
    """
    seen = seen_of(run)
    when = [(left, f"{name} lifts") for name, (left, _) in seen.off.items()]
    way = [np.mean([run.series(f"tyre_contact_{axis}.{name}") for name in run.tyres], axis=0) for axis in "xy"]
    standing = run.time < min(when, default=(inf, ""))[0]
    gone = standing & (np.hypot(way[0] - way[0][0], way[1] - way[1][0]) > moved)
    if gone.any():
        when.append((float(run.time[np.argmax(gone)]), "it rolls or slides"))
    if seen.load_events:
        when.append((seen.load_events[0][0], seen.load_events[0][1].removesuffix(" (it was held fixed in this run)")))
    if seen.line:
        return min(when, default=(0.0, f"over to the {seen.line}"))[1], seen.line
    return min(when, default=(0.0, ""))[1], ""


def assess_run(run: Run, case: Case) -> RunReport:
    """Assess a run of a case.

    The run was watched, and has the channels of the engine, and in ``meta`` ``places``, ``time_step_s`` and
    ``energy_error``.

    Raises
    ------
    NumericalError
        The pose at rest could not be computed.
    TiplineError
        The run was not watched.
    """
    seen, pose = seen_of(run), assess_pose(case)
    outcome, expect = outcome_of(run, case.inputs), case.scenario.expect
    events = _events(run, case, seen, outcome.gone)
    return RunReport(
        title=case.scenario.title,
        demo=case.demo,
        run_id=_run_id(run, case.resolved),
        outcome=outcome,
        distances={line: seen.distance[line] for line in LINES},
        swing={side: seen.distance[f"swing.{side}"] for side in SIDES if f"swing.{side}" in seen.distance},
        energy_left=seen.energy_left,
        steer_axle_share=seen.steer_share[0],
        lightest_tyre=min(((name, *load) for name, load in seen.least_load.items()), key=lambda load: load[1:]),
        weight=pose.weight,
        rest_tyre_loads=dict(zip(run.tyres, _rest_loads(run).tolist(), strict=True)),
        rest_axle_share=_axle_share(run),
        peak_tyre_loads=seen.peak_load,
        numerics=_numerics(run, pose.weight),
        events=events,
        no_return=seen.no_return,
        pose=pose,
        run=run,
        holds_only_while=pose.holds_only_while,
        exceeded=pose.exceeded,
        assumed=tuple(case.assumed),
        assumed_count=case.assumed_count,
        governs=pose.governs,
        reasons=_reasons(run),
        cause=cause(case.scenario, *_places(run), events),
        expected=expected(expect, outcome),
        as_expected=as_expected(expect, outcome),
        engine=str(run.meta.get("engine", "")),
        at_end=at_end(run, case),
    )


def _places(run: Run) -> tuple[tuple[Mapping[str, Any], ...], tuple[float, ...]]:
    """Return the places that the floor made by itself, and how deep each came to be [m]."""
    own = tuple(place for place in run.meta.get("places", ()) if place.get("zone"))
    return own, tuple(float(run.series(f"place_depth.{place['index']}").max()) for place in own)


def _rest_loads(run: Run) -> Array:
    """Return the tyre loads at rest (n,) [N]; nan where the set-up does not stand."""
    loads = np.array([run.series(f"tyre_load.{name}")[0] for name in run.tyres])
    return loads if run.meta.get("stands_at_start", True) else np.full_like(loads, np.nan)


def _axle_share(run: Run) -> dict[str, float]:
    steer = float(run.series("steer_axle_share")[0]) if run.meta.get("stands_at_start", True) else float("nan")
    return {"drive": 1.0 - steer, "steer": steer}


def _numerics(run: Run, weight: float) -> dict[str, float]:
    """Return step, ledger, and how far the forces at the first sample are from balance, as a share of the weight."""
    meta = run.meta
    load = sum(float(run.series(f"tyre_load.{name}")[0]) for name in run.tyres)
    numerics = {"time_step_s": float(meta["time_step_s"]), "energy_error": float(meta["energy_error"])}
    beside = float(run.series("body_force")[0] + run.series("load_floor_force")[0])
    upright = -weight / G * float(run.series("gravity_z")[0])
    numerics["force_balance_error"] = abs(load + beside - upright) / upright
    return numerics


def _reasons(run: Run) -> dict[str, str]:
    reasons = {
        "worst.energy_left_kJ": "nothing stood below the crest of this line",
        "at_end.lifted_load": "nothing is lifted",
        "at_end.tyres": "parts of the floor differ in friction: what was used up there is not looked at",
        "worst.distance_to_tip_line_mm": "nothing pressed on the floor before the point of no return",
    }
    if not run.meta.get("stands_at_start", True):
        reasons["rest"] = "the set-up does not stand"
    return reasons


def _events(run: Run, case: Case, seen: Watched, gone: Gone | None) -> tuple[tuple[float, str], ...]:
    """List what was told to happen and what followed, by time; times of what was told are those of the scenario."""
    time, events = run.time, case.scenario.event
    timed = [(getattr(event, "at", 0.0), said(event)) for event in events]
    timed = [event for event in timed if event[0] <= time[-1]]
    timed += _gave_way(run)
    for name, (left, back) in seen.off.items():
        timed.append((left, f"the {name} tyre leaves the floor"))
        if back is not None:
            timed.append((back, f"the {name} tyre is back on the floor"))
    axle = case.machine.steer_axle
    shed = min((event.at for event in events if isinstance(event, LoadShed)), default=inf)
    if axle.kind == "pivoting":
        (left, right), angle = axle.stops, run.series("axle_angle")
        _first(timed, time, (angle >= left) | (angle <= -right), "the frame reaches its stop")
    _first(timed, time, run.series("body_force") > 0.0, "something other than a tyre touches the floor")
    _first(timed, time, run.series("load_floor_force") > 0.0, "the lifted load touches the floor")
    if case.load is not None and case.load.hung_by is not None:
        _first(timed, time, (run.series("rope_force") <= 0.0) & (time < shed), "the rope goes slack")
    if rolling := rolling_of(seen, case.inputs, gone):
        timed.append(rolling)
    if seen.no_return is not None:
        timed.append((seen.no_return, f"past the {seen.line} line: no way back"))
    return tuple(sorted([*timed, *seen.load_events], key=lambda event: event[0]))


def _gave_way(run: Run) -> list[tuple[float, str]]:
    """Say where the floor broke or sank by itself, under which tyre, at what load and how deep in the end."""
    breaks = []
    for place in run.meta.get("places", ()):
        if not place.get("zone"):
            continue
        deep = float(run.series(f"place_depth.{place['index']}").max())
        index = run.at(place["at"])
        load = show(float(run.series(f"tyre_load.{place['tyre']}")[index]), "force")
        where, down = spoken_of(place["zone"]), show(deep, "length")
        if place["law"] == "plug":
            text = f"{where} breaks under the {place['tyre']} tyre at {load}: down {down}"
            breaks.append((float(place["at"]), text))
        elif deep > 1e-3:
            text = f"the {place['tyre']} tyre stands on {where}, which sinks {down} in all"
            breaks.append((float(place["at"]), text))
    return breaks


def _first(events: list[tuple[float, str]], time: Array, mask: NDArray[np.bool_], text: str) -> None:
    where = np.flatnonzero(mask)
    if len(where):
        events.append((float(time[where[0]]), text))


def _run_id(run: Run, resolved: Mapping[str, Mapping[str, Any]]) -> str:
    """Return the run's id: from the engine, or from all inputs and the program's version."""
    if "run_id" in run.meta:
        return str(run.meta["run_id"])
    text = json.dumps([resolved, run.meta.get("versions", {})], sort_keys=True, default=str)
    return hashlib.sha256(text.encode()).hexdigest()[:10]
