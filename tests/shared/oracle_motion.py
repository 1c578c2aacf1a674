"""A recorded run as bodies in space, by numpy over all its samples: the oracle of what is watched step by step.

Who is where, what presses, how far it is from each tip line, what energy is left. The balance point takes gravity, the
rope's pull, outside forces and the commanded acceleration, not the truck's own rocking. Beside it stands the distance
by weight alone, with a hung load's weight at the hook: once that is past a line on which the truck turns, weight
carries it on.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import isfinite

import numpy as np
from numpy.typing import NDArray

import oracle_lines as lines
from tipline.geometry.ground import floor_rise, ramp_rows
from tipline.kernels import layout as at
from tipline.results import Run
from tipline.scenario.driving import curvature, driven
from tipline.scenario.spec import CounterweightMove, LoadShed
from tipline.statics.truck import Pose, Truck

__all__ = ["Motion", "Shape", "rotations"]

Array = NDArray[np.float64]
Ends = tuple[Array, Array]


def rotations(quaternion: Array) -> Array:
    """Return rotation matrices (..., 3, 3) of quaternions (..., 4), x, y, z, w."""
    x, y, z, w = np.moveaxis(quaternion / np.linalg.norm(quaternion, axis=-1, keepdims=True), -1, 0)
    rows = (
        (1 - 2 * (y * y + z * z), 2 * (x * y - z * w), 2 * (x * z + y * w)),
        (2 * (x * y + z * w), 1 - 2 * (x * x + z * z), 2 * (y * z - x * w)),
        (2 * (x * z - y * w), 2 * (y * z + x * w), 1 - 2 * (x * x + y * y)),
    )
    matrices: Array = np.stack([np.stack(row, axis=-1) for row in rows], axis=-2)
    return matrices


@dataclass(frozen=True)
class Shape:
    """Where a truck turns over, in chassis axes from its centre: the ends of each tip line and the wheel radius there.

    Front and back lines run through the hubs, and the wheel's radius comes on top; side lines through the outer strips,
    with a pivoting axle on its stop.
    """

    ends: dict[str, tuple[Array, Array, float]]

    @classmethod
    def of(cls, truck: Truck) -> Shape:
        """Take it from the truck as built."""
        found, tyre, centre = lines.outline(truck.plant), truck.plant.tyre, truck.build.centre
        body = tyre[:, at.T_BODY].astype(int)
        hubs = tyre[:, at.T_X : at.T_Z + 1] + centre[body] - centre[at.CHASSIS]
        stop = float(truck.plant.axle[at.A_STOP]) if found.pivots else 0.0

        def strip(which: int, side: float) -> Array:
            point = hubs[which] + np.array([0.0, side * tyre[which, at.T_W] / at.STRIPS, -tyre[which, at.T_R]])
            if body[which] != at.AXLE or stop == 0.0:
                return np.asarray(point)
            # going over to the left the frame rolls left side down, and its axle stays behind by the stop
            c, s = np.cos(side * stop), np.sin(side * stop)
            y, z = (point - found.pivot)[1:]
            return np.asarray(found.pivot + np.array([point[0] - found.pivot[0], c * y - s * z, s * y + c * z]))

        return cls(
            {
                "front": (hubs[found.front_left], hubs[found.front_right], float(tyre[found.front_left, at.T_R])),
                "back": (hubs[found.rear_right], hubs[found.rear_left], float(tyre[found.rear_left, at.T_R])),
                "left": (strip(found.rear_left, 1.0), strip(found.front_left, 1.0), 0.0),
                "right": (strip(found.front_right, -1.0), strip(found.rear_right, -1.0), 0.0),
            }
        )

    def crest(self, line: str, centre: Array) -> Array:
        """Return how high centres (..., 3) in chassis axes stand over a line [m] when they are balanced on it."""
        start, end, radius = self.ends[line]
        along = (end - start) / np.linalg.norm(end - start)
        away = centre - start
        away = away - (away @ along)[..., None] * along
        return np.asarray(radius + np.linalg.norm(away, axis=-1))


class Motion:
    """The bodies of a run, from its poses and the truck's own masses; every array has the run's samples first."""

    def __init__(self, run: Run, truck: Truck) -> None:
        self.run, self.truck, self.outline = run, truck, lines.outline(truck.plant)
        self.rot = rotations(run.poses[:, :, 3:])
        self.gravity = np.column_stack([run.series(f"gravity_{axis}") for axis in "xyz"])
        self._recorded = np.array(run.meta["centres"])
        self.mass = truck.assembly.mass.copy()
        self.held = self._held()

    def _held(self) -> NDArray[np.bool_]:
        """Whether the truck still has its lifted load."""
        has: NDArray[np.bool_] = np.full(len(self.run.time), bool(self.mass[at.LOAD] > 0.0))
        for event in self.truck.case.scenario.event:
            if isinstance(event, LoadShed):
                has &= self.run.time < event.at
        return has

    def centres(self, centre: Array) -> Array:
        """Return where the points ``centre`` (6, 3), one a body in the truck frame at set-up, are: (n, 6, 3)."""
        arm = np.einsum("nbij,bj->nbi", self.rot, centre - self._recorded)
        return np.asarray(self.run.poses[:, :, :3] + arm)

    @cached_property
    def position(self) -> Array:
        """Centres of the bodies as the plant has them (counterweight within the chassis), (n, 6, 3)."""
        return self.centres(self.truck.build.centre)

    @cached_property
    def own(self) -> Array:
        """Own centres of the six bodies, (n, 6, 3)."""
        return self.centres(self.truck.assembly.centre)

    @cached_property
    def carried(self) -> Array:
        """Own centres with the lifted load's at the hook where it hangs, (n, 6, 3)."""
        points = self.own.copy()
        if self.truck.hung:
            points[:, at.LOAD] = self.hook
        return points

    @cached_property
    def hook(self) -> Array:
        """The point of the carriage on which the lifted load's weight acts, (n, 3)."""
        local = self.truck.plant.link[at.L_HX : at.L_HZ + 1]
        return np.asarray(self.position[:, at.CARRIAGE] + self.rot[:, at.CARRIAGE] @ local)

    @cached_property
    def masses(self) -> Array:
        """Masses that the truck carries, (n, 6); the lifted load's is 0 once it is gone."""
        masses = np.tile(self.mass, (len(self.run.time), 1))
        masses[:, at.LOAD] *= self.held
        return masses

    @cached_property
    def level(self) -> Array:
        """Level of the floor under each tyre, (n, tyres) [m]."""
        tyre, run = self.truck.plant.tyre, self.run
        body = tyre[:, at.T_BODY].astype(int)
        hubs = self.position[:, body] + np.einsum("ntij,tj->nti", self.rot[:, body], tyre[:, at.T_X : at.T_Z + 1])
        level = floor_rise(ramp_rows(self.truck.case.scenario), hubs[..., 0], hubs[..., 1])
        for place in run.meta.get("places", ()):
            depth = run.series(f"place_depth.{place['index']}")
            c, s = np.cos(place["heading"]), np.sin(place["heading"])
            x, y = hubs[..., 0] - place["x"], hubs[..., 1] - place["y"]
            within = (np.abs(c * x + s * y) < place["size"][0] / 2) & (np.abs(c * y - s * x) < place["size"][1] / 2)
            there = np.where(depth >= 0.0, np.minimum(level.T, -depth), np.maximum(level.T, -depth)).T
            level = np.where(within, there, level)
        for index, name in enumerate(run.tyres):
            pressed = run.series(f"tyre_load.{name}") > 0.0
            level[:, index] = np.where(pressed, run.series(f"tyre_contact_z.{name}"), level[:, index])
        return level

    @cached_property
    def ends(self) -> dict[str, tuple[Array, Array]]:
        """Ends of each tip and swing line where the tyres are now."""
        run, tyre = self.run, self.truck.plant.tyre
        load = np.column_stack([run.series(f"tyre_load.{name}") for name in run.tyres])
        contact = np.stack(
            [np.column_stack([run.series(f"tyre_contact_{axis}.{name}") for axis in "xyz"]) for name in run.tyres],
            axis=1,
        )
        foot = lines.feet(self.outline, tyre, self.position, self.rot, load, contact, self.level, self.steered)
        return lines.line_ends(self.outline, foot, self.position, self.rot)

    @cached_property
    def _pressing(self) -> tuple[Array, Array, NDArray[np.bool_]]:
        """What presses on the truck: forces and points (n, k, 3), and which act on the frame, not the axle (k,)."""
        run = self.run
        pushed = np.zeros((len(run.time), 3))
        pushed[:, 0], pushed[:, 1] = run.series("commanded_ax"), run.series("commanded_ay")
        forces = self.masses[..., None] * (self.gravity - pushed)[:, None, :]
        points, bodies = self.carried.copy(), list(range(at.N_BODY))
        if self.truck.hung:
            forces[:, at.LOAD] = self._rope()
        for index, place in enumerate(run.meta.get("outside", ())):
            if self.truck.hung and place["body"] == at.LOAD:
                continue
            force = np.column_stack([run.series(f"outside_{axis}.{index}") for axis in "xyz"])
            point = self.centres(np.tile(np.array(place["point"]), (at.N_BODY, 1)))[:, place["body"]]
            forces = np.concatenate((forces, force[:, None]), axis=1)
            points = np.concatenate((points, point[:, None]), axis=1)
            bodies.append(place["body"])
        for group in self._joined:
            force, point = self._led_round(group)
            forces = np.concatenate((forces, force[:, None]), axis=1)
            points = np.concatenate((points, point[:, None]), axis=1)
            bodies.append(group[0])
        return forces, points, np.array([body != at.AXLE for body in bodies])

    @cached_property
    def steered(self) -> Array:
        """Angle to the left of each wheel, (n, tyres) [rad]."""
        run, straight = self.run, np.zeros(len(self.run.time))
        names = [f"steering.{name}" for name in run.tyres]
        return np.column_stack([run.series(name) if name in run.channels else straight for name in names])

    @cached_property
    def _told(self) -> tuple[Array, Array, Array]:
        """What the scenario tells of a turn, (n,): speed [m/s], curvature [1/m], angular acceleration [rad/s2]."""
        case, run = self.truck.case, self.run
        time = np.append(run.time, 2.0 * run.time[-1] - run.time[-2])
        speed = np.full(len(time), case.scenario.setup.speed)
        for change in driven(case.machine, case.scenario, time):
            speed = np.where(change.after, change.speed, speed)
        curve = curvature(case.scenario, time)
        return speed[:-1], curve[:-1], np.diff(speed * curve) / np.diff(time)

    @cached_property
    def _ahead(self) -> Array:
        """Level unit vector along the heading, (n, 3)."""
        ahead = self.rot[:, at.CHASSIS, :, 0] * np.array([1.0, 1.0, 0.0])
        return np.asarray(ahead / np.maximum(np.linalg.norm(ahead, axis=1, keepdims=True), 1e-9))

    @property
    def _joined(self) -> list[list[int]]:
        """Bodies that the engines take as one, the steer axle's by itself; a hung load is not led round."""
        case, events = self.truck.case, self.truck.case.scenario.event
        groups = [[at.CHASSIS], [at.AXLE], [at.MAST], [at.CARRIAGE]]
        slides = any(isinstance(event, CounterweightMove) for event in events)
        groups += [[at.COUNTERWEIGHT]] if slides else []
        groups[0] += [] if slides else [at.COUNTERWEIGHT]
        if case.load is not None and not self.truck.hung:
            groups[3] += [at.LOAD] if case.load.on_forks != "free" else []
            groups += [[at.LOAD]] if case.load.on_forks == "free" else []
        return groups

    def _led_round(self, group: list[int]) -> Ends:
        """What a commanded turn takes of bodies that are one, beside the drive axle's own: force and point (n, 3)."""
        speed, curve, yaws = self._told
        mass = self.masses[:, group].sum(axis=1)[:, None]
        point = np.einsum("nb,nbi->ni", self.masses[:, group], self.carried[:, group]) / np.maximum(mass, 1e-9)
        arm = (point - self.centres(np.zeros((at.N_BODY, 3)))[:, at.CHASSIS]) * np.array([1.0, 1.0, 0.0])
        spin = np.stack((-arm[:, 1], arm[:, 0], np.zeros(len(arm))), axis=-1)
        return -mass * (yaws[:, None] * spin - ((speed * curve) ** 2)[:, None] * arm), point

    def _rope(self) -> Array:
        top = np.asarray(self.truck.assembly.points.load_top) - self.truck.assembly.centre[at.LOAD]
        away = self.own[:, at.LOAD] + self.rot[:, at.LOAD] @ top - self.hook
        length = np.linalg.norm(away, axis=1, keepdims=True)
        return np.asarray(self.run.series("rope_force")[:, None] * away / np.maximum(length, 1e-9))

    @cached_property
    def distances(self) -> dict[str, Array]:
        """Distance of the balance point to each tip and swing line, (n,) [m]."""
        forces, points, on_frame = self._pressing
        whole, frame = lines.resultant(forces, points), lines.resultant(forces[:, on_frame], points[:, on_frame])
        mass = self.masses * (np.arange(at.N_BODY) != at.AXLE)
        centre = np.einsum("nb,nbi->ni", mass, self.carried) / mass.sum(axis=1)[:, None]
        return lines.distances(self.outline, self.ends, self.rot, whole, frame, centre)

    @cached_property
    def balance(self) -> Array:
        """Balance point on the floor, (n, 2) [m]."""
        forces, points, _ = self._pressing
        return lines.balance_point(*lines.resultant(forces, points))

    @cached_property
    def by_weight(self) -> dict[str, Array]:
        """Distance to each of the four tip lines by weight alone, a hung load's at the hook, (n,) [m]."""
        whole = lines.resultant(self.masses[..., None] * self.gravity[:, None, :], self.carried)
        return {name: lines.distance(self.ends[name], *whole) for name in lines.LINES}

    @cached_property
    def lean(self) -> Array:
        """Angle between the chassis' upright and the vertical of gravity, (n,) [rad]."""
        up = -self.gravity / np.linalg.norm(self.gravity, axis=1, keepdims=True)
        return np.asarray(np.arccos(np.clip(np.sum(self.rot[:, at.CHASSIS, :, 2] * up, axis=1), -1.0, 1.0)))

    @cached_property
    def kinetic(self) -> Array:
        """Kinetic energy (n,) [J], less that of driving: along the heading, speeds count from the drive axle's."""
        run, inertia = self.run, self.truck.assembly.inertia
        turning = run.velocities[:, :, 3:]
        arm = np.einsum("nbij,bj->nbi", self.rot, self.truck.assembly.centre - self._recorded)
        speed = run.velocities[:, :, :3] + np.cross(turning, arm)
        foot = self.centres(np.zeros((at.N_BODY, 3)))[:, at.CHASSIS] - self.own[:, at.CHASSIS]
        drive = speed[:, at.CHASSIS] + np.cross(turning[:, at.CHASSIS], foot)
        ahead = np.sum(drive * self._ahead, axis=1)
        speed = speed - (ahead[:, None] * self._ahead)[:, None]
        # in a turn from a truck that is led round at that speed
        turns = np.stack((*np.zeros((2, len(ahead))), ahead * self._told[1]), axis=-1)[:, None]
        origin = self.centres(np.zeros((at.N_BODY, 3)))[:, at.CHASSIS, None]
        speed = speed - np.cross(turns, (self.own - origin) * np.array([1.0, 1.0, 0.0]))
        turning = turning - turns * (np.arange(at.N_BODY) != (at.LOAD if self.truck.hung else -1))[:, None]
        own = np.einsum("nbji,nbj->nbi", self.rot, turning)
        spun = np.einsum("nbi,bij,nbj->nb", own, inertia, own)
        return np.asarray(0.5 * np.sum(self.masses * np.sum(speed**2, axis=2) + spun * (self.masses > 0.0), axis=1))

    @cached_property
    def swing_height(self) -> Array:
        """Energy [J] that a hung load holds by standing aside of or above straight below the hook, (n,)."""
        if not self.truck.hung:
            return np.zeros(len(self.run.time))
        size = np.linalg.norm(self.gravity, axis=1)
        down = self.gravity / size[:, None]
        points = self.truck.assembly.points
        below = np.asarray(points.load_top) - self.truck.assembly.centre[at.LOAD]
        rope = float(np.linalg.norm(np.asarray(points.hook) - np.asarray(points.load_top)))
        straight = rope + float(np.linalg.norm(below))
        now = np.sum((self.own[:, at.LOAD] - self.hook) * down, axis=1)
        return np.asarray(self.masses[:, at.LOAD] * size * np.maximum(straight - now, 0.0))

    def energy_left(self, crests: dict[str, float], at_rest: Pose, bounds: dict[str, float]) -> dict[str, Array]:
        """Return the energy to tip over each line, less what moves and what springs hold above rest, (n,) [J].

        ``crests``: energy to tip from the level pose ``at_rest``, springs included; what they take off the rigid crest
        there is taken off throughout. Where none is known, ``bounds`` and all that springs hold are taken off, but what
        a rope does: on the crest it holds as much. Above 0 it cannot tip; below 0 energy alone does not rule it out,
        since not all of it moves the truck that way.
        """
        shape, spare = Shape.of(self.truck), self._spare
        k, pull = float(self.truck.plant.link[at.L_RO_K]), float(self.run.series("rope_force")[0])
        at_first = float(self.run.series("energy.elastic")[0]) - (0.5 * pull**2 / k if pull > 0.0 else 0.0)
        left = {}
        for line in lines.LINES:
            if isfinite(crests[line]):
                loss = rigid_energy(self.truck, at_rest, shape, line) - crests[line]
            else:
                loss = bounds[line] + at_first
            left[line] = self._rigid(shape, line) - spare - loss
        return left

    @cached_property
    def _spare(self) -> Array:
        elastic = self.run.series("energy.elastic")
        return np.asarray(self.kinetic + self.swing_height + elastic - elastic[0])

    @cached_property
    def _edges(self) -> dict[str, tuple[Array, Array]]:
        points = lines.treads(self.truck.plant.tyre, self.position, self.rot, self.level, self.steered)
        return lines.edges(self.outline, points)

    def _rigid(self, shape: Shape, line: str) -> Array:
        """Energy (n,) [J] by which a rigid truck's weight stands below its crest over a line on the floor as it is."""
        total = self.masses.sum(axis=1)
        centre = np.einsum("nb,nbi->ni", self.masses, self.carried) / total[:, None]
        local = np.einsum("nji,nj->ni", self.rot[:, at.CHASSIS], centre - self.position[:, at.CHASSIS])
        ends = [end.copy() for end in self._edges[line]]
        for end, tyre in zip(ends, _tyres_of(self.outline, line), strict=True):
            end[:, 2] = self.level[:, tyre]
        return _below_crest(ends[0], ends[1], centre, total[:, None] * self.gravity, shape.crest(line, local))


def _tyres_of(found: lines.Outline, line: str) -> tuple[int, int]:
    return {
        "front": (found.front_left, found.front_right),
        "back": (found.rear_right, found.rear_left),
        "left": (found.rear_left, found.front_left),
        "right": (found.front_right, found.rear_right),
    }[line]


def _below_crest(start: Array, end: Array, centre: Array, weight: Array, crest: Array) -> Array:
    """Energy from where a weight (..., 3) [N] has its centre to where it is balanced, crest [m] above the line."""
    along = end - start
    along = along / np.linalg.norm(along, axis=-1, keepdims=True)
    across = weight - np.sum(weight * along, axis=-1, keepdims=True) * along
    return np.asarray(np.linalg.norm(across, axis=-1) * crest + np.sum(across * (centre - start), axis=-1))


def rigid_energy(truck: Truck, pose: Pose, shape: Shape, line: str) -> float:
    """Return the energy [J] to tip a rigid truck from a level pose over a line."""
    plant = truck.plant
    points = pose.position.copy()
    points[at.LOAD] = pose.position[at.CARRIAGE] + pose.rot[at.CARRIAGE] @ plant.link[at.L_HX : at.L_HZ + 1]
    total = float(plant.mass.sum())
    centre = plant.mass @ points / total
    local = pose.rot[at.CHASSIS].T @ (centre - pose.position[at.CHASSIS])
    start, end = lines.edges(lines.outline(plant), lines.treads(plant.tyre, pose.position, pose.rot))[line]
    found = _below_crest(start, end, centre, total * pose.gravity, shape.crest(line, local))
    return float(found)
