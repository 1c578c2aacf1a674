"""The crest a resting truck must pass to go over a line: the saddle of its stored energy, springs included.

On a level floor the forces of the equilibrium kernel are the gradient of one energy, so the crest is where they vanish
again with the truck balanced on the line. Energy of the crest less energy at rest is the energy to tip, and it bounds
the sudden drop of one side that could tip a truck at rest. For a rigid truck that is oracles.energy's
hole_depth_limit over the outer strips, and hole_depth_limit_disc over wheels that roll.

Source: [MessuriKlein1985] (energy to tip, rigid), [Own] (with springs)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import atan2, cos, isfinite, nan, sin

import numpy as np
from numpy.typing import NDArray

from tipline.closing_in import closed_in
from tipline.endings import LINES
from tipline.geometry.outline import crest_rows, left_tyres
from tipline.kernels import equilibrium as solver
from tipline.kernels import layout as at
from tipline.kernels.crests import rises
from tipline.kernels.joints import stop_of
from tipline.kernels.tiplines import N_FOOT, contacts, distance, tread
from tipline.kernels.tyre import whole_strip
from tipline.kernels.uncompiled import for_python, plant_for_python
from tipline.scenario import Case
from tipline.statics.limits import mirrored
from tipline.statics.truck import Pose, Truck, truck_of

__all__ = ["Crest", "crest", "crest_energies", "crest_losses", "energies_to_tip", "hole_depth", "rigid_energies"]

Array = NDArray[np.float64]
_STEPS = 30
_CLOSING = 0.02
"""The stiffness is kept after a step that leaves no more of the forces than this [1]: farther off, one that is kept
leads to other places without force (numerical)."""
_STRIDE = 0.04
"""The farthest that a step goes in any unknown [m or rad] (numerical)."""
_NEAR = 1e-5
"""Forces, as a share of the weight, from which a search that goes away again has been at a place without force. Where
the energy falls in no way the truck stands there, and no crest will be found; where it falls in several it is left by a
whole stride: by its own steps, each twice the one before, it would take a dozen (numerical)."""
_FURTHEST = 1.2
"""Roll or pitch [rad] past which the way over a line is not followed: our choice, beyond every crest of a truck."""


@dataclass(frozen=True)
class Crest:
    """Energy to tip over a line [J] (nan: no crest was found), and the pose q (8,) on the crest, heading along x."""

    energy: float
    q: Array


def hole_depth(truck: Truck, pose: Pose, line: str, energy: float) -> float:
    """Return the least sudden drop [m] of the tyres beside a line that could tip a truck at rest in ``pose``.

    ``energy`` is that to tip. A drop by d lowers the crest by weight times d, but the tyres that lose their floor lose
    what they store, and that is taken off. It holds for any way of falling, so it bounds from below; wheels that follow
    a floor which sinks slowly lose more.
    """
    if not energy > 0.0:
        return nan
    plant, weight = truck.plant, -float(pose.force[2])
    side = _beside(truck, line)

    def gained(drop: float) -> float:
        lost = 0.0
        for row, state in zip(plant.tyre[side], pose.tyre[side], strict=True):
            hub = row[at.T_R] - state[10]
            lost += at.STRIPS * (whole_strip(row, hub)[1] - whole_strip(row, hub + drop)[1])
        return weight * drop - lost

    low, high = 0.0, energy / weight
    while gained(high) < energy:
        low, high = high, 2.0 * high
    return closed_in(lambda drop: gained(drop) >= energy, low, high, most=50)[1]


def _beside(truck: Truck, line: str) -> NDArray[np.bool_]:
    """Return which tyres stand on the side of a line."""
    tyre = truck.plant.tyre
    if line in ("front", "back"):
        return np.asarray((tyre[:, at.T_BRAKED] > 0.0) == (line == "front"))
    return np.asarray(left_tyres(truck.plant) == (line == "left"))


class _Forces:
    """Energy, forces and stiffness of the truck as functions of the pose."""

    def __init__(self, truck: Truck, pull: Array) -> None:
        self._plant = plant_for_python(truck.plant)
        self._fixed = (
            for_python(pull),
            for_python(np.zeros((6, 6))),
            for_python(truck.build.home),
            for_python(np.zeros(0)),
            for_python(np.zeros(3)),
            for_python(np.zeros((6, 3))),
            for_python(np.zeros((6, 3, 3))),
            for_python(np.zeros((len(truck.plant.tyre), 14))),
        )

    def at(self, q: Array) -> tuple[float, Array]:
        out = for_python(np.zeros(solver.N_Q))
        energy = solver.residual(for_python(q), self._plant, *self._fixed, out)
        return float(energy), out.astype(np.float64)

    def stiffness(self, q: Array, base: Array) -> Array:
        k = for_python(np.zeros((solver.N_Q, solver.N_Q)))
        solver.stiffness(for_python(q), for_python(base), self._plant, *self._fixed, k)
        return k.astype(np.float64)


def crest(truck: Truck, pose: Pose, line: str) -> Crest:
    """Find the crest over one of the four tip lines from a level pose at rest.

    None is found beyond a lean of about 70 degrees, where tyres no longer meet the floor as wheels.
    """
    home = truck.build.home.copy()
    home[:3] = 0.0
    here = replace(truck, build=replace(truck.build, home=home))
    heading = truck.case.scenario.setup.heading
    rest = pose.q.copy()
    c, s = cos(heading), sin(heading)
    rest[solver.Q_ROLL] = c * pose.q[solver.Q_ROLL] + s * pose.q[solver.Q_PITCH]
    rest[solver.Q_PITCH] = c * pose.q[solver.Q_PITCH] - s * pose.q[solver.Q_ROLL]
    forces = _Forces(here, pose.gravity)
    weight = -float(pose.force[2])
    q, tipping = _first_guess(here, rest, pose, line)
    size, crests, stiffness = np.inf, 0, None
    for _ in range(_STEPS):
        _, out = forces.at(q)
        before, size = size, float(np.abs(out).max()) / weight
        leaves = size > before < _NEAR
        if (size < 1e-8 and crests == 1) or (leaves and crests == 0):
            break
        if stiffness is None or size > _CLOSING * before:
            stiffness = forces.stiffness(q, out)
        step, crests = _climb(stiffness, out, tipping, 1e-3 * weight)
        far = float(np.abs(step).max()) / _STRIDE
        q = q + step / (far if leaves else max(1.0, far))
        if np.abs(q[solver.Q_ROLL : solver.Q_PITCH + 1]).max() > _FURTHEST:
            break
    if size >= 1e-8 or crests != 1:
        return Crest(nan, q)
    return Crest(forces.at(q)[0] - forces.at(rest)[0], q)


def _climb(k: Array, out: Array, tipping: Array, least: float) -> tuple[Array, int]:
    """Return a step up along the way of tipping and down along every other, and in how many ways the energy falls."""
    scale = np.sqrt(np.maximum(np.abs(np.diag(k)), least))
    values, ways = np.linalg.eigh(0.5 * (k + k.T) / np.outer(scale, scale))
    over = int(np.argmax(np.abs(ways.T @ (tipping * scale))))
    stiff = np.maximum(np.abs(values), 1e-6)
    stiff[over] *= 1.0 if values[over] > 0.0 else -1.0
    step: Array = (ways @ ((ways.T @ (out / scale)) / stiff)) / scale
    return step, int((values < 0.0).sum()) if values[over] < 0.0 else 0


def _first_guess(truck: Truck, rest: Array, pose: Pose, line: str) -> tuple[Array, Array]:
    """Return a start and the way of tipping in the unknowns.

    The resting pose is turned about the line until its balance point is over it: axle on its stop, mast leaning, and
    both ends of the line alike in the floor. With one in the air the stiffness there leads away.
    """
    plant, q = truck.plant, rest.copy()
    position, rot = np.zeros((6, 3)), np.zeros((6, 3, 3))
    solver.pose(rest, plant, truck.build.home, 0.0, position, rot)
    ends = _edge(truck, line, position, rot, -1.0)
    along = (ends[1] - ends[0])[:2] / np.linalg.norm((ends[1] - ends[0])[:2])
    masses, points = plant.mass, position.copy()
    points[at.LOAD] = position[at.CARRIAGE] + rot[at.CARRIAGE] @ plant.link[at.L_HX : at.L_HZ + 1]
    height = float(masses @ points[:, 2] / masses.sum())
    edge = _edge(truck, line, pose.position, pose.rot, 0.0)
    angle = atan2(float(distance(*edge, np.concatenate((pose.force, pose.moment)))), height)
    q[solver.Q_ROLL : solver.Q_PITCH + 1] -= angle * along
    aside = 0.0 if line in ("front", "back") else (1.0 if line == "right" else -1.0)
    if aside:
        q[solver.Q_AXLE] -= aside * float(stop_of(plant.axle, -aside))
    joint = position[at.CHASSIS] + rot[at.CHASSIS] @ plant.mast[at.M_CX : at.M_CZ + 1]
    above = float(sum(masses[b] * (points[b, 2] - joint[2]) for b in (at.MAST, at.CARRIAGE, at.LOAD)))
    bend = -float(pose.gravity[2]) * above * sin(angle)
    if aside:
        q[solver.Q_MAST_X] = aside * (plant.mast[at.M_PX] + bend / plant.mast[at.M_KX])
    else:
        q[solver.Q_MAST_Y] += (1.0 if line == "front" else -1.0) * bend / plant.mast[at.M_KY]
    low = _lowest(truck, line, q, position, rot)
    fall = float(low[0][2] - low[1][2]) / float(np.linalg.norm((low[1] - low[0])[:2]))
    q[solver.Q_ROLL : solver.Q_PITCH + 1] += fall * np.array([along[1], -along[0]])
    low = _lowest(truck, line, q, position, rot)
    pressed = 2.0 * float(pose.tyre[:, 10].max()) * cos(angle)
    q[solver.Q_HEIGHT] -= 0.5 * float(low[0][2] + low[1][2]) + pressed
    tipping = np.zeros(solver.N_Q)
    tipping[solver.Q_ROLL : solver.Q_PITCH + 1] = along
    return q, tipping


def _lowest(truck: Truck, line: str, q: Array, position: Array, rot: Array) -> tuple[Array, Array]:
    """Return both ends (3,) of a line at their lowest in a pose q, whatever the floor; position, rot: filled."""
    solver.pose(q, truck.plant, truck.build.home, 0.0, position, rot)
    return _edge(truck, line, position, rot, -1e3)


def _edge(truck: Truck, line: str, position: Array, rot: Array, level: float) -> tuple[Array, Array]:
    """Return both ends (3,) of the line on which the truck is balanced when it goes over, on a floor at a level [m].

    Ahead and behind these are the middles of the outermost treads of an axle, to a side their outer strips.
    """
    front_left, front_right, rear_left, rear_right = truck.outline.outermost
    first, last, aside = {
        "front": (front_left, front_right, 0.0),
        "back": (rear_right, rear_left, 0.0),
        "left": (rear_left, front_left, 1.0),
        "right": (front_right, rear_right, -1.0),
    }[line]
    ends = np.zeros(3), np.zeros(3)
    for which, end in zip((first, last), ends, strict=True):
        out = aside * float(truck.plant.tyre[which, at.T_W]) / at.STRIPS
        tread(which, out, truck.plant, position, rot, level, end)
    return ends


def energies_to_tip(truck: Truck) -> tuple[dict[str, float], Pose]:
    """Return the energy to tip over each line on a level floor (nan where it does not stand), and the pose at rest."""
    pull = truck.gravity(0.0, 0.0)
    poses = [truck.rest(pull, lean) for lean in (1.0, -1.0)]
    standing = [pose for pose in poses if pose.stands]
    if not standing:
        return dict.fromkeys(LINES, nan), poses[0]
    return crest_energies(truck, standing), standing[0]


def crest_energies(truck: Truck, level: Sequence[Pose]) -> dict[str, float]:
    """Return the energy to tip over each line from the nearest of level poses at rest; nan where no crest was found.

    Of a truck whose sides are alike one tells the other: rounding may lead a search on one side alone astray.
    """
    energy, alike = dict.fromkeys(LINES, nan), mirrored(truck)
    for line in LINES:
        if line == "right" and alike and isfinite(energy["left"]):
            energy[line] = energy["left"]
            continue
        pose = min(level, key=lambda near: near.distances[line])
        energy[line] = crest(truck, pose, line).energy
    return energy | {"left": energy["right"]} if alike else energy


def rigid_energies(truck: Truck, pose: Pose) -> Array:
    """Return the energy [J] to tip a rigid truck from a level pose over each line (4,)."""
    plant, record = truck.plant, np.zeros((len(truck.plant.tyre), at.N_TYRE_RECORD))
    foot, out, rows = np.zeros((N_FOOT, 4)), np.zeros(4), crest_rows(truck.build, plant, truck.outline)
    pose_of = plant, np.zeros(len(plant.place)), pose.position, pose.rot
    contacts(*pose_of, truck.outline.row, record.reshape(-1), foot)
    gravity = (float(pose.gravity[0]), float(pose.gravity[1]), float(pose.gravity[2]))
    rises(gravity, truck.load_mass, plant, pose.position, pose.rot, truck.outline.row, rows, foot, out)
    return out


def crest_losses(case: Case) -> Array:
    """Return what the springs give on the crest over each tip line (4,) [J], counted from rest on a level floor.

    By the saddle of the stored energy; nan where none was found: it may lie as low as springs can let it.
    """
    truck = truck_of(case)
    energy, rest = energies_to_tip(truck)
    losses: Array = rigid_energies(truck, rest) - np.array([energy[line] for line in LINES])
    return losses
