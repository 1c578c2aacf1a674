"""From the assembled truck to the arrays that the kernels step.

Source: [GentLindley1959] (rubber), [RubberDampingTable], [TyreDampingLecture] (its damping), [Own] (what is assumed
where nothing is told)
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import cos, hypot, sin, sqrt
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tipline.closing_in import closed_in
from tipline.geometry.boxes import CONTACT_DAMPING, box_rows, pair_rows
from tipline.geometry.ground import ZoneLaw, zone_rows
from tipline.geometry.mast_spring import mast_spring
from tipline.kernels import layout as at
from tipline.kernels.layout import Plant
from tipline.kernels.tyre import segment, whole_strip
from tipline.mechanics.constants import STANDARD_GRAVITY as G
from tipline.mechanics.mass import merge, principal
from tipline.mechanics.tyre import disc_inertia, rubber_line_stiffness

if TYPE_CHECKING:
    from tipline.geometry.assembly import Assembly
    from tipline.model.floor import Floor
    from tipline.model.load import LiftedLoad
    from tipline.model.machine import Machine, Tyre
    from tipline.scenario.spec import Setup

__all__ = ["Build", "build", "compressions", "gravity", "hub_height", "static_hosts"]

Array = NDArray[np.float64]

HARDENING = 1.5
"""Share by which the bed stiffens at a compression of the whole rubber, cubic term (assumed)."""
RIM_AT = 0.6
"""Share of the rubber thickness at which the rim is felt (assumed)."""
RIM_STIFFER = 20.0
"""Stiffness of the rim over that of the rubber (assumed)."""
BRISTLES_SOFTER = 0.8
"""Stiffness of a tyre along the floor over that upright at its rated load (assumed: rubber gives more aslant)."""
MOST_GIVES = 0.1
"""Damping ratio up to which the settling of rubber goes with it (our choice): more is no rubber's, and would make a
tyre stiff. What a swing loses at most is half the share that settles, in radians twice the damping ratio."""
MAST_DAMPING = 0.03
"""Damping ratio of the mast on its joint: welded and bolted steel with play (assumed)."""
AXLE_DAMPING, CHAIN_DAMPING, ROPE_DAMPING, SLIDE_DAMPING = 0.1, 0.05, 0.05, 0.2
"""Damping ratios of the axle's stop or frame, the lift chain, the rope and the slide of the counterweight (assumed)."""
SLIDE_STIFFNESS_PER_MASS = 1e4
"""Stiffness with which the slide holds the counterweight [1/s2]: stiff beside everything it carries (our choice)."""
STOP_STIFFNESS_PER_INERTIA = 1.6e5
"""Axle stop [1/s2]: stiff beside everything else, and stable at steps up to 2 ms (our choice)."""
PIN_CALMS = 0.4
"""Time [s] in which the friction of its pin calms an axle that swings in the air (our choice: within a swing or two;
on its tyres it adds some hundredths to their damping ratio)."""
FIXED_AXLE_TORSION = 2e7
"""Frame torsion stiffness of a fixed axle where none is stated [N m/rad] (assumed)."""
POINT_STIFFNESS = 2e7
"""Stiffness of a corner of the body on the floor [N/m] (assumed: a plate's edge on concrete, dented by some mm)."""
POINT_STIFFEST = 4e4
"""Stiffness of a corner over its body's mass at most (our choice): a light body on stiff corners would need a finer
step [1/s2]."""
POINT_DAMPING = 0.8
"""Damping of a corner over its stiffness and speed [s/m] (assumed: steel that dents concrete rebounds little, with a
fifth of its speed at most from some metres; common practice, no source)."""
POINT_MOST = 0.2
"""Share of its body's mass that the damping of a corner may stop in a step (our choice: more than all of it, on four
corners at once or on one far out, which has a quarter of it, throws a body back up)."""
POINT_FRICTION = 0.4
"""Friction of steel on a floor (common practice, no source)."""
ROPE_STRETCH = 0.003
"""Stretch of the rope under the hung load as a share of its length (assumed)."""
SLIP_DAMPING = 2e4
"""Damping of the friction of a corner at its full stiffness (our choice) [N s/m]."""
MOST_LOWERED = 3.0
"""Largest factor on the lever of what a mast carries where its joint is brought down to the tilt axis (our choice):
forks at the height of the joint have none about it, and bend the mast little about either."""
END_STOP = 0.03
"""How far past its greatest and least fork height the carriage meets the mast's end stops [m] (assumed)."""


@dataclass(frozen=True)
class Build:
    """A plant with what an engine and a reader of its results need beside the arrays.

    Attributes
    ----------
    plant : arrays for the kernels
    home : (6,) world x, y of the drive-axle point, heading, and that point from the chassis' centre [m, rad]
    centre : (6, 3) centres of mass after merging, truck frame, set-up pose
    moments, axes : (6, 3) principal moments and (6, 4) quaternions of the principal axes, body axes
    hosts : merged body -> the body it is part of
    own_centre : (6, 3) centres of the bodies before merging
    tyres : names in order
    """

    plant: Plant
    home: Array
    centre: Array
    moments: Array
    axes: Array
    hosts: Mapping[int, int]
    own_centre: Array
    tyres: tuple[str, ...]


def gravity(slope: float, towards: float) -> Array:
    """Return gravity (3,) [m/s2] in the frame of a floor that falls by an angle towards a world azimuth [rad]."""
    return G * np.array([sin(slope) * cos(towards), sin(slope) * sin(towards), -cos(slope)])


def static_hosts(load: LiftedLoad | None) -> dict[int, int]:
    """Return which bodies are merged at rest: the counterweight, and a load on the forks."""
    hosts = {at.COUNTERWEIGHT: at.CHASSIS}
    if load is None or load.hung_by is None:
        hosts[at.LOAD] = at.CARRIAGE
    return hosts


def build(  # noqa: PLR0913 - what a truck on its floor is packed from, each by its own reader
    machine: Machine,
    setup: Setup,
    assembly: Assembly,
    floor: Floor,
    load: LiftedLoad | None,
    hosts: Mapping[int, int],
    places: int = 0,
    pushes: Sequence[tuple[int, float, float, float]] = (),
    zones: Sequence[ZoneLaw] = (),
    ramp: Array | None = None,
    *,
    tilts: bool = False,
) -> Build:
    """Pack the truck into arrays; places (rows of zeros) are filled by the caller; ramp (0 or 1, N_RAMP) [SI].

    tilts: the mast is told to tilt on the way, which it does about its tilt axis (see `_mast`).
    """
    mass, centre, inertia = merge(assembly.mass, assembly.centre, assembly.inertia, hosts)
    moments, axes = np.ones((6, 3)), np.zeros((6, 4))
    axes[:, 3] = 1.0
    for body in range(6):
        if mass[body] > 0.0:
            moments[body], axes[body] = _principal(tuple(inertia[body].ravel().tolist()))
    frame = axes * (-1.0, -1.0, -1.0, 1.0)
    root = {body: _root(body, hosts) for body in range(6)}
    plant = Plant(
        frame=frame,
        mass=mass,
        inertia=inertia,
        tyre=np.array(_tyres(machine, floor, centre)),
        axle=_axle(machine, assembly, centre, inertia),
        mast=_mast(machine, assembly, mass, centre, inertia, tilts=tilts),
        link=_link(machine, setup, assembly, load, mass, centre),
        point=_points(assembly, centre, root, mass),
        place=np.zeros((places, at.N_PLACE)),
        push=np.array([_push(push, assembly, centre, root) for push in pushes]).reshape(-1, 4),
        zone=zone_rows(zones),
        give=np.zeros(len(machine.drive_axle.tyre) + len(machine.steer_axle.tyre)),
        ramp=np.zeros((0, at.N_RAMP)) if ramp is None else ramp,
        box=box_rows(assembly.boxes, centre, root),
        pair=pair_rows(assembly.boxes, root, mass, _friction(load, hosts)),
    )
    home = np.array([*setup.position, setup.heading, *(-centre[at.CHASSIS])])
    names = tuple(tyre.name for tyre in (*machine.drive_axle.tyre, *machine.steer_axle.tyre))
    return Build(plant, home, centre, moments, axes, dict(hosts), np.array(assembly.centre), names)


@lru_cache(maxsize=256)
def _principal(inertia: tuple[float, ...]) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Return principal moments and the quaternion of the principal axes; many trucks share most of their bodies."""
    moments, turn = principal(np.array(inertia).reshape(3, 3))
    return tuple(moments.tolist()), tuple(quaternion_of(turn).tolist())


def quaternion_of(turn: Array) -> Array:
    """Return the quaternion (4,) x, y, z, w [1] of a rotation (3, 3), from the row of 4 q q^T with its largest part."""
    (a, b, c), (d, e, f), (g, h, i) = turn.tolist()
    rows = (
        (1.0 + a - e - i, b + d, c + g, h - f),
        (b + d, 1.0 - a + e - i, f + h, c - g),
        (c + g, f + h, 1.0 - a - e + i, d - b),
        (h - f, c - g, d - b, 1.0 + a + e + i),
    )
    largest = max(range(4), key=lambda j: rows[j][j])
    q: Array = np.array(rows[largest]) / hypot(*rows[largest])
    return -q if q[3] < 0.0 else q


def _root(body: int, hosts: Mapping[int, int]) -> int:
    while body in hosts:
        body = hosts[body]
    return body


def _friction(load: LiftedLoad | None, hosts: Mapping[int, int]) -> float | None:
    """Return the friction of a load that lies free on the forks, None where none does."""
    return load.friction_on_forks if load is not None and load.hung_by is None and at.LOAD not in hosts else None


def _tyres(machine: Machine, floor: Floor, centre: Array) -> list[list[float]]:
    rows = []
    drive, steer = machine.drive_axle, machine.steer_axle
    for body, x, tyres, braked in (
        (at.CHASSIS, 0.0, drive.tyre, 1.0),
        (at.AXLE, -machine.wheelbase, steer.tyre, 0.0),
    ):
        for tyre in tyres:
            inertia = (drive.wheel_inertia if braked else None) or disc_inertia(tyre.diameter / 2, tyre.width)
            mu = tyre.friction if tyre.friction is not None else floor.friction.against(tyre.kind)
            rows.append(_tyre(tyre, body, x, braked, inertia, mu, centre[body]))
    return rows


def compressions(tyre: Tyre, loads: Array) -> Array:
    """Return how far an upright tyre is pressed on a firm floor under each load (n,) [N], as (n,) [m]."""
    row = np.array(_tyre(tyre, at.CHASSIS, 0.0, 0.0, 0.0, 0.0, np.zeros(3)))
    return np.array([row[at.T_R] - hub_height(row, load) if load > 0.0 else 0.0 for load in loads.tolist()])


_rubber_line = lru_cache(maxsize=256)(rubber_line_stiffness)
"""It is found by going round, of the same tyres again and again."""


def _tyre(tyre: Tyre, body: int, x: float, braked: float, inertia: float, mu: float, centre: Array) -> list[float]:
    hub, rubber, load = tyre.diameter / 2, tyre.rubber_thickness - tyre.lost, tyre.rated_load
    radius = hub - tyre.lost
    hard = HARDENING / rubber**2
    if tyre.stiffness is None:
        line = _rubber_line(tyre.rubber_modulus, tyre.width, rubber, radius, load)
        compression = (load / (4.0 / 3.0 * line * sqrt(2.0 * radius))) ** (2.0 / 3.0)
    else:
        compression = load / tyre.stiffness
        line = load / segment(radius, radius - compression, 1.0, hard)[0]
    tangent = 1.5 * load / compression
    held = load / G
    chi = 2.0 * tyre.damping_ratio * sqrt(tangent * held) / load
    slip = BRISTLES_SOFTER * tangent
    row, (ahead, aside, high) = [0.0] * at.N_TYRE, centre.tolist()
    row[at.T_BODY] = body
    row[at.T_X : at.T_Z + 1] = x - ahead, tyre.across - aside, hub - high
    row[at.T_R], row[at.T_W], row[at.T_K], row[at.T_HARD] = radius, tyre.width, line, hard
    row[at.T_RIM], row[at.T_K_RIM] = RIM_AT * rubber, RIM_STIFFER * line
    row[at.T_CHI], row[at.T_MU], row[at.T_KT] = chi, mu, slip
    row[at.T_CT] = 2.0 * tyre.damping_ratio * sqrt(slip * held)
    row[at.T_GIVES] = 4.0 * min(tyre.damping_ratio, MOST_GIVES)
    row[at.T_IW], row[at.T_BRAKED] = inertia, braked
    row[at.T_BEHIND], row[at.T_ASIDE] = -x, tyre.across
    return row


def _axle(machine: Machine, assembly: Assembly, centre: Array, inertia: Array) -> Array:
    steer, pivot = machine.steer_axle, np.asarray(assembly.points.pivot)
    about = float(inertia[at.AXLE][0, 0])
    row = np.zeros(at.N_AXLE)
    row[at.A_CX : at.A_CZ + 1] = pivot - centre[at.CHASSIS]
    row[at.A_AX : at.A_AZ + 1] = pivot - centre[at.AXLE]
    fixed = steer.kind == "fixed"
    k = (steer.frame_torsion_stiffness or FIXED_AXLE_TORSION) if fixed else STOP_STIFFNESS_PER_INERTIA * about
    if not fixed:
        row[at.A_STOP], row[at.A_STOP_RIGHT] = steer.stops
    row[at.A_K], row[at.A_C], row[at.A_PULLS] = k, 2.0 * AXLE_DAMPING * sqrt(k * about), float(fixed)
    row[at.A_PIN] = 0.0 if fixed else about / PIN_CALMS
    return row


def _mast(machine: Machine, assembly: Assembly, mass: Array, centre: Array, inertia: Array, *, tilts: bool) -> Array:
    """Return the mast's joint; a mast that tilts on the way has it in the tilt axis instead of where the bending lies.

    There it is stiffer by as much as keeps how far what it carries gives way: ahead under the moment of the load, which
    is the same about both, by the factor on its lever; sideways under its weight as the truck leans, by the square.
    """
    mast, joint, lowered = machine.mast, np.asarray(assembly.points.mast_joint), 1.0
    hung = assembly.points.hook is not None and mass[at.LOAD] > 0.0
    carried = mass[at.CARRIAGE] * centre[at.CARRIAGE][2]
    carried += mass[at.LOAD] * (np.asarray(assembly.points.hook)[2] if hung else centre[at.LOAD][2])
    carried /= mass[at.CARRIAGE] + mass[at.LOAD]
    spring = mast_spring(machine, assembly.points.fork_height, float(carried))
    if tilts:
        axis = np.array([mast.tilt_axis[0], 0.0, mast.tilt_axis[1]])
        high = carried - axis[2]
        lowered = high / max(high - joint[2] + axis[2], high / MOST_LOWERED)
        joint = axis
    row = np.zeros(at.N_MAST)
    row[at.M_CX : at.M_CZ + 1] = joint - centre[at.CHASSIS]
    row[at.M_MX : at.M_MZ + 1] = joint - centre[at.MAST]
    about = np.zeros(3)
    for body in (at.MAST, at.CARRIAGE, at.LOAD):
        if mass[body] > 0.0:
            d = (
                centre[body] if body != at.LOAD or assembly.points.hook is None else np.asarray(assembly.points.hook)
            ) - joint
            own = np.diag(inertia[body]) if body != at.LOAD else 0.0
            about += own + mass[body] * (d @ d - d * d)
    k = np.array([spring.sideways * lowered**2, spring.fore_aft * lowered, mast.stiffness_twist])
    row[at.M_KX : at.M_KZ + 1] = k
    row[at.M_DX : at.M_DZ + 1] = 2.0 * MAST_DAMPING * np.sqrt(k * about)
    row[at.M_PX] = row[at.M_PY] = mast.roller_play / (2.0 * lowered)
    return row


def _link(
    machine: Machine, setup: Setup, assembly: Assembly, load: LiftedLoad | None, mass: Array, centre: Array
) -> Array:
    row = np.zeros(at.N_LINK)
    carried = mass[at.CARRIAGE] + mass[at.LOAD]
    row[at.L_CH_K] = machine.mast.chain_stiffness
    row[at.L_CH_C] = 2.0 * CHAIN_DAMPING * sqrt(row[at.L_CH_K] * carried)
    moved = max(float(mass[at.COUNTERWEIGHT]), 1.0)
    row[at.L_SL_K] = SLIDE_STIFFNESS_PER_MASS * moved
    row[at.L_SL_C] = 2.0 * SLIDE_DAMPING * sqrt(row[at.L_SL_K] * moved)
    row[at.L_UX], row[at.L_UZ] = -sin(setup.tilt), cos(setup.tilt)
    row[at.L_TOP] = machine.mast.top_fork_height - assembly.points.fork_height + END_STOP
    row[at.L_FOOT] = -assembly.points.fork_height - END_STOP
    row[at.L_CX : at.L_CZ + 1] = centre[at.CARRIAGE] - centre[at.MAST]
    row[at.L_SX : at.L_SZ + 1] = centre[at.COUNTERWEIGHT] - centre[at.CHASSIS]
    if load is not None and load.hung_by is not None:
        hook, top = np.asarray(assembly.points.hook), np.asarray(assembly.points.load_top)
        row[at.L_HX : at.L_HZ + 1] = hook - centre[at.CARRIAGE]
        row[at.L_TX : at.L_TZ + 1] = top - centre[at.LOAD]
        row[at.L_RO_K] = mass[at.LOAD] * G / (ROPE_STRETCH * max(load.hung_by, 0.5))
        row[at.L_RO_C] = 2.0 * ROPE_DAMPING * sqrt(row[at.L_RO_K] * mass[at.LOAD])
    return row


def _points(assembly: Assembly, centre: Array, root: Mapping[int, int], mass: Array) -> Array:
    rows = np.zeros((len(assembly.contacts), at.N_POINT))
    if not len(rows):
        return rows
    body = np.array([root[contact.body] for contact in assembly.contacts])
    place = rows[:, at.C_X : at.C_Z + 1]
    place[:] = np.concatenate([contact.position for contact in assembly.contacts]).reshape(-1, 3) - centre[body]
    k = np.minimum(POINT_STIFFNESS, POINT_STIFFEST * mass[body])
    rows[:, at.C_BODY], rows[:, at.C_K], rows[:, at.C_CHI], rows[:, at.C_MU] = body, k, POINT_DAMPING, POINT_FRICTION
    rows[:, at.C_KT], rows[:, at.C_CT] = 0.5 * k, SLIP_DAMPING * k / POINT_STIFFNESS
    rows[:, at.C_C] = 2.0 * CONTACT_DAMPING * np.sqrt(k * mass[body])
    rows[:, at.C_MOST] = POINT_MOST * mass[body]
    rows[:, at.C_ARM] = np.sqrt((place * place).sum(axis=1))
    return rows


def _push(
    push: tuple[int, float, float, float], assembly: Assembly, centre: Array, root: Mapping[int, int]
) -> list[float]:
    body = root[int(push[0])]
    return [float(body), *(np.array(push[1:]) - centre[body])]


def hub_height(tyre: Array, load: float) -> float:
    """Return how high the hub of an upright tyre (N_TYRE,), a row of the plant, is on a firm floor under a load [m]."""
    return _hub_height(tuple([float(tyre[column]) for column in _BED]), load)


_BED = (at.T_R, at.T_K, at.T_HARD, at.T_RIM, at.T_K_RIM)
"""What of a tyre bears on a firm floor."""


@lru_cache(maxsize=64)
def _hub_height(bed: tuple[float, ...], load: float) -> float:
    """Return that of a tyre by its columns; those of an axle are alike, and many runs have the same truck."""
    row, radius = np.zeros(at.N_TYRE), bed[0]
    row[list(_BED)] = bed
    pressed = closed_in(
        lambda down: at.STRIPS * whole_strip(row, radius - down)[0] >= load, 0.0, 0.7 * radius, most=40
    )[1]
    return radius - pressed
