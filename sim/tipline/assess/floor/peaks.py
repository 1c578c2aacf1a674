"""What a run asked of the floor: each tyre at its greatest load on each part, against planning limit and strength.

The load at rest and planned stops are asked in `demand`; this is what the simulation found: swaying, swinging, landing.
A tyre that is down in a hole no longer stands on the floor that is asked, so what it does there is left out.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import cos, hypot, inf, sin
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tipline.assess.floor.answers import Answer
from tipline.assess.floor.ask import REACH, Situation, laid_under
from tipline.assess.floor.bands import zone_bands
from tipline.assess.floor.demand import worst_modes
from tipline.assess.floor.known import ZoneBands
from tipline.assess.floor.loads import tyres_of
from tipline.assess.floor.patches import contact
from tipline.assess.floor.place import Patch
from tipline.assess.floor.zones import name_of, near, under
from tipline.assess.planning import stops_planned
from tipline.geometry.plant import G

if TYPE_CHECKING:
    from tipline.model.machine import Tyre
    from tipline.results import Run
    from tipline.scenario import Case

__all__ = ["Peak", "peaks"]

Array = NDArray[np.float64]
IN_RUN = "in the run"
BLOCK = 0.01
"""Of each stretch this long only the greatest load is looked at [s]."""
DOWN = 0.01
"""A tyre further down than this, once a hole has opened, is in it [m]."""
LIGHT = 1e3
"""A tyre that carries less asks nothing [N]."""
ROLLS = 0.05


@dataclass(frozen=True)
class Peak:
    """When a tyre's load on a part of the floor was greatest in the run [s], and the answer that governs then."""

    time: float
    answer: Answer


def peaks(case: Case, run: Run, until: float = inf) -> tuple[Peak, ...]:
    """Return the peak of every tyre on every part of the floor that has a strength, the one that asks most first.

    until: the point of no return [s]: how a truck that goes over lands on its wheels is not asked.
    """
    found: dict[tuple[str, str], Peak] = {}
    bands: dict[str, ZoneBands] = {}
    for one, time in _situations(case, run, until):
        if one.name not in bands:
            bands[one.name] = zone_bands(one.zone, case.floor)
        asked = worst_modes([one], bands, [])
        if asked:
            answer = max((each.answer for each in asked), key=lambda it: (it.of_limit.high, it.of_limit.likely))
            key = answer.tyre, answer.zone
            if key not in found or answer.of_limit.high > found[key].answer.of_limit.high:
                found[key] = Peak(time, answer)
    return tuple(sorted(found.values(), key=lambda peak: (-peak.answer.of_limit.high, peak.answer.tyre)))


def _situations(case: Case, run: Run, until: float) -> Iterator[tuple[Situation, float]]:
    """Yield the tyres at their peaks, each with the part of the floor that its middle is on."""
    braking = max((value for _, value in stops_planned(case)), default=0.0) / G
    tyres = tyres_of(case.machine)
    for name in run.tyres:
        for part, step in _peak_steps(case, run, tyres[name], until).items():
            made = _patches(run, step, tyres)
            patch = made[name]
            others = tuple(
                other
                for other in made.values()
                if other is not patch and hypot(other.at[0] - patch.at[0], other.at[1] - patch.at[1]) < REACH
            )
            moving = abs(float(run.series("speed")[step])) > ROLLS
            laid = laid_under(case.floor, patch)
            for zone, share in under(case.floor, patch):
                if name_of(zone) != part:  # another part under its rim is asked when the tyre is on that one
                    continue
                around = near(case.floor, zone, patch.at, patch.radius)
                one = Situation(IN_RUN, braking, moving, patch, others, zone, share, around, laid)
                yield one, float(run.time[step])


def _peak_steps(case: Case, run: Run, tyre: Tyre, until: float) -> dict[str, int]:
    """Return the step at which a tyre's load was greatest on each part of the floor that its middle was on."""
    loads = np.where(_on_floor(run, tyre) & (run.time <= until), run.series(f"tyre_load.{tyre.name}"), 0.0)
    x, y = run.series(f"tyre_contact_x.{tyre.name}"), run.series(f"tyre_contact_y.{tyre.name}")
    step = max(1, round(BLOCK / float(run.time[1] - run.time[0]))) if len(run.time) > 1 else 1
    looked = [start + int(np.argmax(loads[start : start + step])) for start in range(0, len(loads), step)]
    # where a part gives way at once it may have carried the tyre for one step only
    looked += [int(np.searchsorted(run.time, place["at"] - 1e-9)) for place in run.meta["places"]]
    best: dict[str, int] = {}
    for here in looked:
        if here >= len(loads) or loads[here] < LIGHT:
            continue
        part = name_of(case.floor.part_at((float(x[here]), float(y[here]))))
        if part not in best or loads[here] > loads[best[part]]:
            best[part] = here
    return best


def _on_floor(run: Run, tyre: Tyre) -> NDArray[np.bool_]:
    """Whether a tyre stands on the floor, at each step: not in a hole, and its disc not over one.

    At the rim of a hole it presses on an edge that was not there before, with what it falls or drives against it.
    """
    x, y, z = (run.series(f"tyre_contact_{axis}.{tyre.name}") for axis in "xyz")
    away = np.ones(len(run.time), dtype=bool)
    for place in run.meta["places"]:
        if place["law"] not in ("given", "plug"):
            continue
        c, s = cos(place["heading"]), sin(place["heading"])
        along, across = c * (x - place["x"]) + s * (y - place["y"]), c * (y - place["y"]) - s * (x - place["x"])
        inside = (abs(along) < 0.5 * (place["size"][0] + tyre.diameter)) & (
            abs(across) < 0.5 * (place["size"][1] + tyre.width)
        )
        away &= (run.time <= place["at"] + 1e-9) | ~(inside | (z < -DOWN))
    return away


def _patches(run: Run, step: int, tyres: Mapping[str, Tyre]) -> dict[str, Patch]:
    """Return the patches of all tyres at a step; those that carry next to nothing are left out."""
    heading = float(run.series("yaw")[step])
    made = {}
    for name in run.tyres:
        load = float(run.series(f"tyre_load.{name}")[step])
        if load < LIGHT:
            continue
        at = float(run.series(f"tyre_contact_x.{name}")[step]), float(run.series(f"tyre_contact_y.{name}")[step])
        found = contact(tyres[name], load)
        made[name] = Patch(name, at, heading, found.length, found.width, load, found.peak_pressure)
    return made
