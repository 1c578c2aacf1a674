"""What a set-up at rest is and holds: tyre loads, distances, hole depths, and the limits it holds to."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import isfinite, nan
from operator import attrgetter
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from tipline.endings import LINES, RULES, SIDES
from tipline.errors import InputError
from tipline.geometry.mast_spring import MastSpring, spring_words
from tipline.kernels import layout as at
from tipline.kernels.joints import stop_of
from tipline.kernels.tiplines import balance_point
from tipline.mechanics.constants import STANDARD_GRAVITY as G
from tipline.model.structure import STRUCTURE
from tipline.notebook import Shown, figure, marks, to_frame
from tipline.pose.alone import held_alone
from tipline.pose.from_above import FromAbove, from_above
from tipline.pose.leans import Leans, both_leans, nearest_line
from tipline.pose.nearest import Limit, NearLimit, nearest_of, own_stops, strengths
from tipline.pose.not_known import NotKnown
from tipline.pose.strength import gross_loads, load_centre
from tipline.pose.weighings import Weighed, weighed
from tipline.scenario import Case
from tipline.scenario.driving import WALKING
from tipline.scenario.labels import height_of
from tipline.statics import barrier, limits
from tipline.statics.planning import (
    FLOOR_LEVEL,
    PLANNING_SHARE,
    deceleration_word,
    governs,
    plate_row,
    stops_planned,
)
from tipline.statics.together import Together, both_at_once, shortest_stop
from tipline.statics.truck import Pose, Truck, truck_of
from tipline.units import KM_PER_HOUR, SI_UNIT, show

if TYPE_CHECKING:
    from tipline.floors.answers.report import FloorReport

__all__ = ["PoseReport", "assess_limits", "assess_pose"]

Array = NDArray[np.float64]
NO_CREST = (
    "no pose in which the truck balances over its {line} line was found within a lean of about 70 degrees; "
    "there may be one all the same"
)


@dataclass(frozen=True)
class PoseReport(Shown):
    """A set-up at rest. SI and radians; limits are (label, value, dimension).

    ``over``: the line it goes over where it does not stand, and ``fold_factor``: the share of the lifted load with
    which it still stands (nan: not even without). ``balance_point``: x, y in the truck frame. ``energy_to_tip`` [J] by
    line. ``floor``: what it asks of the floor. ``lean``: to which side the mast's play lies in the loads shown;
    distances
    are the least over both sides. ``weighings``: what scales said against the machine file, the worst first.
    ``unusual``: what the files give that is more often a slip than meant. ``not_met``: what is not used, overridden or
    never met. ``nearest_limit``: of what it holds the most used up; ``mast``: what its sections come to;
    ``own_stop``: what the truck's own stop does, whether the scenario plans one or not. ``not_known``: what it comes to
    within what is not known of an own truck; the limits are then those at the bad end. ``above``: it from above.
    """

    title: str
    demo: str
    stands: str
    weight: float
    gross_load: float
    tyre_loads: Mapping[str, float]
    axle_share: Mapping[str, float]
    balance_point: tuple[float, float]
    distances: Mapping[str, float]
    swing: Mapping[str, float]
    lean: str = ""
    over: str | None = None
    fold_factor: float = nan
    hole_depth_limits: Mapping[str, float] = field(default_factory=dict)
    energy_to_tip: Mapping[str, float] = field(default_factory=dict)
    holds_against: tuple[Limit, ...] = ()
    holds_only_while: tuple[Limit, ...] = ()
    together: Together | None = None
    floor: FloorReport | None = None
    planning_share: float = PLANNING_SHARE
    exceeded: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()
    assumed_count: int = 0
    governs: tuple[str, ...] = ()
    reasons: Mapping[str, str] = field(default_factory=dict)
    weighings: tuple[Weighed, ...] = ()
    unusual: tuple[InputError, ...] = ()
    not_met: tuple[str, ...] = ()
    nearest_limit: NearLimit | None = None
    own_stop: str = ""
    not_known: NotKnown | None = None
    mast: str = ""
    above: FromAbove = field(default_factory=FromAbove)

    @property
    def heading(self) -> str:
        """What stands in the largest type; "stands" never without the nearest limit, and what may be nearer."""
        if not self.stands.startswith("stands"):
            return f"At rest it {self.stands}"
        near = self.nearest_limit
        nearest = "" if near is None else f", but {near.short}" if near.part > 1.0 else f"; nearest limit: {near.short}"
        beyond = f"; {_beyond(self.exceeded)}" if self.exceeded else ""
        return f"{self.stands[:1].upper()}{self.stands[1:]} at rest{nearest}{_left_out(self.hole_depth_limits)}{beyond}"

    def rows(self) -> list[dict[str, Any]]:
        """Give one record a figure, in SI."""
        tables = (
            ("tyre load", self.tyre_loads, "N"),
            ("axle share", self.axle_share, ""),
            ("distance to the tip line", self.distances, "m"),
            ("distance to the swing line", self.swing, "m"),
            ("hole-depth limit", self.hole_depth_limits, "m"),
            ("energy to tip", self.energy_to_tip, "J"),
        )
        limits_told = (("holds against, alone", self.holds_against), ("holds only while", self.holds_only_while))
        return [
            figure("weight with load", "truck", self.weight, "N"),
            *(figure(what, of, value, unit) for what, table, unit in tables for of, value in table.items()),
            *(figure(what, of, value, SI_UNIT[kind]) for what, values in limits_told for of, value, kind in values),
        ]

    def to_pandas(self) -> Any:
        """Return the records as a pandas table; raises MissingPart without pandas."""
        return to_frame(self.rows(), {**marks(self.demo), "stands": self.stands})


def assess_pose(case: Case, planning_share: float = PLANNING_SHARE, floor_level: float = FLOOR_LEVEL) -> PoseReport:
    """Assess the set-up of a case at rest, on its own slope.

    Parameters
    ----------
    case : the checked scenario
    planning_share : share of each level distance that slope and stop together may take (ours, not a standard)
    floor_level : floor slope [rad] the box allows for, where it takes at most half of that share

    Raises
    ------
    NumericalError
        The equilibrium could not be computed; a pose that does not stand is reported, not raised.
    """
    truck = truck_of(case)
    report, worse, pairs = _at_rest(truck)
    report = replace(report, above=from_above(truck, worse))
    if pairs is None:
        return report
    poses, level = pairs
    report = _with_crests(truck, level, report)
    report = replace(report, planning_share=planning_share, holds_against=held_alone(truck, level, poses))
    report = _with_box(truck, report, both_at_once(truck, level, planning_share, floor_level), planning_share)
    stops = own_stops(case.machine.drive, report.holds_against, swung=truck.hung)
    near = (*stops, *strengths(truck.load_mass, gross_loads(truck)))
    return replace(
        report,
        own_stop=max(stops, key=attrgetter("part")).words if stops else "",
        nearest_limit=nearest_of(near, report.hole_depth_limits, report.axle_share["steer"], report.holds_against),
    )


def assess_limits(case: Case, near: Sequence[Pose] = ()) -> PoseReport:
    """Assess of a set-up at rest how it stands and the limits that hold at once; not what it holds against alone.

    ``near``: poses of a truck that is near, as for `both_leans`.

    Raises
    ------
    NumericalError
        As in `assess_pose`.
    """
    truck = truck_of(case)
    report, _, pairs = _at_rest(truck, near)
    if pairs is None:
        return report
    return _with_box(truck, report, both_at_once(truck, pairs[1], PLANNING_SHARE, FLOOR_LEVEL), PLANNING_SHARE)


def _at_rest(truck: Truck, near: Sequence[Pose] = ()) -> tuple[PoseReport, Pose, tuple[Leans, Leans] | None]:
    """Describe a truck at rest, with its worse pose, and with its poses on its own floor and on a level one.

    Of one that does not stand there are none.
    """
    poses = both_leans(truck, truck.gravity(*truck.case.slope), near)
    worse = min(poses, key=nearest_line)
    report = _described(truck, poses, worse)
    if not worse.stands:
        return _fallen(truck, worse, report), worse, None
    level = poses if truck.case.slope[0] == 0.0 else both_leans(truck, truck.gravity(0.0, 0.0), poses)
    if not all(pose.stands for pose in level):
        return replace(report, exceeded=("it does not stand on a level floor",)), worse, None
    return report, worse, (poses, level)


def _described(truck: Truck, poses: tuple[Pose, Pose], worse: Pose) -> PoseReport:
    case, loads = truck.case, worse.loads
    braked = truck.plant.tyre[:, at.T_BRAKED] > 0.0
    least = {line: min(pose.distances[line] for pose in poses) for line in worse.distances}
    balanced = balance_point(np.concatenate((worse.force, worse.moment)))
    point = np.array(balanced) - np.array(case.scenario.setup.position)
    ahead = truck.ahead()
    total = float(loads.sum())
    return PoseReport(
        title=case.scenario.title,
        demo=case.demo,
        stands=_standing(truck, worse),
        weight=float(truck.plant.mass.sum()) * G,
        gross_load=truck.load_mass,
        tyre_loads=dict(zip(truck.build.tyres, loads.tolist(), strict=True)),
        axle_share={"drive": float(loads[braked].sum()) / total, "steer": float(loads[~braked].sum()) / total},
        balance_point=(float(point @ ahead[:2]), float(ahead[0] * point[1] - ahead[1] * point[0])),
        distances={line: least[line] for line in LINES},
        swing={side: least[f"swing.{side}"] for side in SIDES if truck.outline.pivots},
        lean="" if poses[0] is poses[1] else ("left" if worse is poses[0] else "right"),
        assumed=tuple(case.assumed),
        assumed_count=case.assumed_count,
        governs=governs(case.load, case.machine, plate_row(case.inputs, truck)),
        weighings=weighed(case.machine),
        mast=spring_words(case.machine, _spring(truck)),
    )


def _spring(truck: Truck) -> MastSpring:
    """Return the mast's spring as it stands in the plant."""
    row, up = truck.plant.mast, truck.assembly.points.mast_joint[2]
    return MastSpring(float(up), float(row[at.M_KY]), float(row[at.M_KX]))


def _standing(truck: Truck, pose: Pose) -> str:
    if not pose.stands:
        return "tips"
    if min(limits.friction_left(truck, pose, truck.case.machine.drive.parking_brake_force).values()) < 0.0:
        return limits.moving(pose)
    stop = float(stop_of(truck.plant.axle, pose.q[3]))
    if truck.outline.pivots and abs(pose.q[3]) >= stop:
        return f"stands with the frame on its {'left' if pose.q[3] > 0.0 else 'right'} stop"
    return "stands"


def _fallen(truck: Truck, pose: Pose, report: PoseReport) -> PoseReport:
    """Say over which line it goes, and with what share of the lifted load it would still stand."""
    factor, last = nan, None
    if truck.load_mass > 0.0:
        low, high = 0.0, 1.0
        for _ in range(9):
            middle = 0.5 * (low + high) if last is not None else 0.0
            part = truck.with_load(max(middle, 1e-6) * truck.load_mass)
            pose_under = part.solve(pose.gravity, truck.start(1.0) if last is None else last)
            if pose_under.stands:
                low, last, factor = middle, pose_under, middle
            elif last is None:
                break
            else:
                high = middle
    line = _fall_line(truck, pose, last)
    reasons = {"distance_to_tip_line_mm": "it does not stand, so there is no pose at rest", "rest": "it does not stand"}
    none = dict.fromkeys(report.distances, nan)
    return replace(
        report,
        stands=f"tips over the {line} line",
        over=line,
        fold_factor=factor,
        distances=none,
        swing=dict.fromkeys(report.swing, nan),
        tyre_loads=dict.fromkeys(report.tyre_loads, nan),
        axle_share=dict.fromkeys(report.axle_share, nan),
        balance_point=(nan, nan),
        exceeded=("it does not stand",),
        reasons=reasons,
    )


def _fall_line(truck: Truck, pose: Pose, last: Pose | None) -> str:
    """Name the line by the way the search fell, or by the nearest line of the last pose that stood."""
    heading = truck.case.scenario.setup.heading
    roll = np.cos(heading) * pose.q[1] + np.sin(heading) * pose.q[2] + pose.q[4]
    pitch = -np.sin(heading) * pose.q[1] + np.cos(heading) * pose.q[2] + pose.q[5]
    if max(abs(roll), abs(pitch)) > 0.2 or last is None:
        if abs(pitch) >= abs(roll):
            return "front" if pitch > 0.0 else "back"
        return "right" if roll > 0.0 else "left"
    return min(LINES, key=lambda line: last.distances[line])


def _with_crests(truck: Truck, level: tuple[Pose, Pose], report: PoseReport) -> PoseReport:
    """Add the energy to tip over each line and, for a load that cannot swing or slide, the hole-depth limits."""
    energy = barrier.crest_energies(truck, level)
    depths: dict[str, float] = {}
    for line in LINES:
        if line == "right" and limits.mirrored(truck):
            depths[line] = depths["left"]
            continue
        pose = min(level, key=lambda near: near.distances[line])
        depths[line] = barrier.hole_depth(truck, pose, line, energy[line])
    load = truck.case.load
    fixed = load is None or (not truck.hung and load.on_forks == "fixed")
    depths = depths if fixed and truck.case.scenario.setup.speed == 0.0 else {}
    figures = ("hole_depth_limit_mm", "energy_to_tip_kJ")
    reasons = {f"{figure}.{line}": NO_CREST.format(line=line) for figure in figures for line in LINES}
    return replace(report, energy_to_tip=energy, hole_depth_limits=depths, reasons={**report.reasons, **reasons})


def _with_box(truck: Truck, report: PoseReport, box: Together, share: float) -> PoseReport:
    """Add the box of what must hold at once, and which planning limits are exceeded."""
    case = truck.case
    speed = abs(case.scenario.setup.speed) or WALKING
    rows: list[Limit] = []
    if truck.load_mass > 0.0:
        rows.append(("gross load at most", truck.load_mass, "mass"))
        rows.append(("load centre at most, from the fork face", load_centre(truck), "length"))
    rows.append((f"{height_of(case.hook_height is not None)} at most", case.height, "length"))
    if isfinite(box.deceleration):
        stop = shortest_stop(speed, box.deceleration)
        rows += [
            ("floor level within, in any direction,", box.slope, "slope"),
            (f"{deceleration_word(swung=truck.hung)} at most", box.deceleration, "acceleration"),
            (f"no stop shorter than, from {speed / KM_PER_HOUR:.3g} km/h,", stop, "length"),
        ]
    rows.append(("part of the way to tipping that is used up, at most (our choice, not a standard)", share, "ratio"))
    return replace(report, together=box, holds_only_while=tuple(rows), exceeded=_exceeded(truck, report, box))


_ABOVE_PLATE = "above the capacity plate"


def _left_out(hole_depths: Mapping[str, float]) -> str:
    """Say under which sides a hole that could tip it has a depth that is not known: it is not among the limits."""
    sides = [side for side, depth in hole_depths.items() if not isfinite(depth)]
    return f"; how deep a hole under the {' or '.join(sides)} side could tip it is not known" if sides else ""


def _beyond(exceeded: Sequence[str]) -> str:
    """Say in a heading which planning limit is exceeded: the plate before all others, the floor where it is alone."""
    if any(_ABOVE_PLATE in sentence for sentence in exceeded):
        return f"the gross load is {_ABOVE_PLATE}"
    alone = all(sentence.startswith("on the floor: ") for sentence in exceeded)
    return "the planning limit of the floor is exceeded" if alone else "a planning limit is exceeded"


def _exceeded(truck: Truck, report: PoseReport, box: Together) -> tuple[str, ...]:
    case, sentences = truck.case, []
    if not report.stands.startswith("stands"):
        sentences.append(f"at rest it {report.stands}")
    plate, steer = plate_row(case.inputs, truck), report.axle_share["steer"]
    if plate is not None and truck.load_mass > plate.load * (1.0 + 1e-4):
        load, most = show(truck.load_mass, "mass"), show(plate.load, "mass")
        sentences.append(f"the gross load {load} is {_ABOVE_PLATE}'s {most}")
    for name, held in gross_loads(truck).items():
        if truck.load_mass > held * (1.0 + 1e-4):
            load, most = show(truck.load_mass, "mass"), show(held, "mass")
            sentences.append(f"the gross load {load} is above the {most} that {STRUCTURE[name]} allows here")
    if steer < RULES.light_to_steer:
        least = f"less than {100 * RULES.light_to_steer:.0f} % (common practice, no source)"
        sentences.append(f"the steer axle carries {100 * steer:.1f} % of the weight, {least}")
    if case.slope[0] > box.slope:
        falls, level = show(case.slope[0], "slope"), show(box.slope, "slope")
        sentences.append(f"the floor falls by {falls}, more than the {level} of the limits")
    for name, value in stops_planned(case.machine, case.scenario):
        if value > box.deceleration:
            stop, most = show(value, "acceleration"), show(box.deceleration, "acceleration")
            sentences.append(f"{name} at {stop} is harder than the {most} of the limits")
    return tuple(sentences)
