"""What a run asked of the floor: each tyre at its greatest load on each part, against planning limit and strength.

The load at rest and planned stops are asked in `demand`; this is what the simulation found: swaying, swinging, landing.
A tyre that is down in a hole no longer stands on the floor that is asked, so what it does there is left out.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import cos, inf, sin
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tipline.floors.answers.demand import worst_modes
from tipline.floors.answers.report import Answer
from tipline.floors.known.bands import ZoneBands
from tipline.floors.modes.evidence import bands_of
from tipline.floors.modes.situation import Situation, stood
from tipline.floors.places.loads import tyres_of
from tipline.floors.places.patch import Patch
from tipline.floors.places.tyres import contact
from tipline.floors.places.zones import name_of
from tipline.mechanics.constants import STANDARD_GRAVITY as G
from tipline.model.floor import Floor
from tipline.statics.planning import stops_planned

if TYPE_CHECKING:
    from tipline.model.machine import Tyre
    from tipline.results import Run
    from tipline.scenario.commanded import Inputs

__all__ = ["Peak", "peaks"]

Array = NDArray[np.float64]
IN_RUN = "in the run"
BLOCK = 0.01
"""Of each stretch this long only the greatest load is looked at [s] (our choice: shorter than a tyre's own swing)."""
DOWN = 0.01
"""A tyre further down than this, once a hole has opened, is in it [m] (our choice: less than any hole)."""
LIGHT = 1e3
"""A tyre that carries less asks nothing [N] (our choice: a hundredth of what one carries at work)."""
ROLLS = 0.05
"""A truck that is slower stands, for what rolls has one end of its patch on fresh ground [m/s] (our choice)."""


@dataclass(frozen=True)
class Peak:
    """When a tyre's load on a part of the floor was greatest in the run [s], and the answer that governs then."""

    time: float
    answer: Answer


def peaks(inputs: Inputs, floor: Floor, run: Run, until: float = inf) -> tuple[Peak, ...]:
    """Return the peak of every tyre on every part of the floor that has a strength, the one that asks most first.

    Of tyres together where they ask more than each of them.
    until: the point of no return [s]: how a truck that goes over lands on its wheels is not asked.
    """
    worst: dict[tuple[str, str], Peak] = {}
    bands: dict[str, ZoneBands] = {}
    for situation, time in _situations(inputs, floor, run, until):
        if situation.name not in bands:
            bands[situation.name] = bands_of(situation.zone, floor)
        modes = worst_modes([situation], bands, [])
        if modes:
            answer = max((each.answer for each in modes), key=lambda it: (it.of_limit.high, it.of_limit.likely))
            key = answer.tyre, answer.zone
            if key not in worst or answer.of_limit.high > worst[key].answer.of_limit.high:
                worst[key] = Peak(time, answer)
    kept = [peak for peak in worst.values() if not _outdone(peak.answer, worst.values())]
    return tuple(sorted(kept, key=lambda peak: (-peak.answer.of_limit.high, peak.answer.tyre)))


def _outdone(answer: Answer, others: Iterable[Peak]) -> bool:
    """Whether fewer of the tyres that an answer is about ask as much of the same part."""
    fewer = (
        peak.answer for peak in others if peak.answer.zone == answer.zone and set(peak.answer.tyres) < set(answer.tyres)
    )
    return any(other.of_limit.high >= answer.of_limit.high * (1.0 - 1e-9) for other in fewer)


def _situations(inputs: Inputs, floor: Floor, run: Run, until: float) -> Iterator[tuple[Situation, float]]:
    """Yield the tyres at their peaks, each with the part of the floor that its middle is on."""
    braking = max((value for _, value in stops_planned(inputs.machine, inputs.scenario)), default=0.0) / G
    tyres = tyres_of(inputs.machine)
    steps = {
        (name, *peak_step) for name in run.tyres for peak_step in _peak_steps(floor, run, (tyres[name],), until).items()
    }
    steps |= {("", *peak_step) for peak_step in _peak_steps(floor, run, tuple(tyres.values()), until).items()}
    for name, part, step in sorted(steps):
        moving = abs(float(run.series("speed")[step])) > ROLLS
        for situation in stood(floor, _patches(run, step, tyres), IN_RUN, braking=braking, moving=moving):
            # another part under its rim is asked when the tyre is on that one
            on = {name_of(floor.part_at(each.at)) for each in situation.patch.singles}
            its_own = situation.patch.tyre == name or (
                bool(situation.patch.members) and (name in situation.patch.tyres or not name)
            )
            if its_own and situation.name == part and on == {part}:
                yield situation, float(run.time[step])


def _peak_steps(floor: Floor, run: Run, tyres: Sequence[Tyre], until: float) -> dict[str, int]:
    """Return the step at which the tyres' load was greatest on each part of the floor that their middles were on."""
    loads = {
        tyre.name: np.where(_on_floor(run, tyre) & (run.time <= until), run.series(f"tyre_load.{tyre.name}"), 0.0)
        for tyre in tyres
    }
    middles = {tyre.name: [run.series(f"tyre_contact_{axis}.{tyre.name}") for axis in "xy"] for tyre in tyres}
    whole = np.sum(list(loads.values()), axis=0)
    step = max(1, round(BLOCK / float(run.time[1] - run.time[0]))) if len(run.time) > 1 else 1
    looked = [start + int(np.argmax(whole[start : start + step])) for start in range(0, len(whole), step)]
    # where a part gives way at once it may have carried the tyre for one step only
    looked += [int(np.searchsorted(run.time, place["at"] - 1e-9)) for place in run.meta["places"]]
    best: dict[str, tuple[float, int]] = {}
    for here in looked:
        if here >= len(whole) or whole[here] < LIGHT:
            continue
        on: dict[str, float] = {}
        for name, (x, y) in middles.items():
            if loads[name][here] >= LIGHT:
                part = name_of(floor.part_at((float(x[here]), float(y[here]))))
                on[part] = on.get(part, 0.0) + float(loads[name][here])
        for part, load in on.items():
            if part not in best or load > best[part][0]:
                best[part] = load, here
    return {part: here for part, (_, here) in best.items()}


def _on_floor(run: Run, tyre: Tyre) -> NDArray[np.bool_]:
    """Whether a tyre stands on the floor, at each step: not in a hole, and its disc not over one.

    At the rim of a hole it presses on an edge that was not there before, with what it falls or drives against it.
    """
    x, y, z = (run.series(f"tyre_contact_{axis}.{tyre.name}") for axis in "xyz")
    away = np.ones(len(run.time), dtype=bool)
    for place in run.meta["places"]:
        if place["law"] not in ("given", "plug") or place["source"] == "threshold":
            continue
        c, s = cos(place["heading"]), sin(place["heading"])
        along, across = c * (x - place["x"]) + s * (y - place["y"]), c * (y - place["y"]) - s * (x - place["x"])
        inside = (abs(along) < 0.5 * (place["size"][0] + tyre.diameter)) & (
            abs(across) < 0.5 * (place["size"][1] + tyre.width)
        )
        away &= (run.time <= place["at"] + 1e-9) | ~(inside | (z < -DOWN))
    return away


def _patches(run: Run, step: int, tyres: Mapping[str, Tyre]) -> list[Patch]:
    """Return the patches of all tyres at a step; those that carry next to nothing are left out."""
    heading = float(run.series("yaw")[step])
    patches = []
    for name in run.tyres:
        load = float(run.series(f"tyre_load.{name}")[step])
        if load < LIGHT:
            continue
        at = float(run.series(f"tyre_contact_x.{name}")[step]), float(run.series(f"tyre_contact_y.{name}")[step])
        footprint = contact(tyres[name], load)
        patches.append(Patch(name, at, heading, footprint.length, footprint.width, load, footprint.peak_pressure))
    return patches
