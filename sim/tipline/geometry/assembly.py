"""The truck in its set-up as parts with mass: body masses, centres, inertias, joints and contact points.

Meshes are scaled to the stated masses: parts that share a stated mass have one density. Where the machine or the load
states a centre, that centre holds and the inertia of the solids is taken about it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tipline.geometry.attachments import forks, jib
from tipline.geometry.chassis import chassis
from tipline.geometry.contacts import (
    ContactPoint,
    box_corners,
    carriage_points,
    counterweight_points,
    frame_points,
    mast_points,
)
from tipline.geometry.counterweight import counterweight
from tipline.geometry.lifted_load import lifted_load, rope
from tipline.geometry.mast import carriage, mast
from tipline.geometry.pieces import Group, Piece
from tipline.geometry.setting import Heights, heights, load_place
from tipline.geometry.solids import Solid, tilted
from tipline.geometry.wheels import steer_axle
from tipline.mechanics.mass import combine, solid_moments
from tipline.model.load import LiftedLoad
from tipline.model.machine import Machine
from tipline.scenario.spec import Setup

if TYPE_CHECKING:
    import trimesh

__all__ = ["BODIES", "Assembly", "ContactPoint", "Part", "Points", "assemble"]

Array = NDArray[np.float64]

BODIES = ("chassis", "axle", "mast", "carriage", "counterweight", "load")
_MAST, _CARRIAGE, _LOAD = 2, 3, 5


@dataclass(frozen=True)
class Part:
    """One painted solid of a body in the truck frame, at the set-up pose; ``mass`` [kg] is 0 for what is only drawn."""

    name: str
    body: int
    vertices: Array
    faces: NDArray[np.int64]
    mass: float
    colour: tuple[float, float, float]
    kind: str

    @cached_property
    def mesh(self) -> trimesh.Trimesh:
        """The part as a mesh with corners as built, in the truck frame."""
        import trimesh

        return trimesh.Trimesh(self.vertices, self.faces, process=False)


@dataclass(frozen=True)
class Points:
    """Points and lengths of the set-up in the truck frame [m], angles [rad]; None where there is no such thing.

    ``fork_face_x`` and ``fork_top_z`` are where the fork face meets the fork top, tilt included.
    """

    pivot: Array
    mast_joint: Array
    hook: Array | None
    load_top: Array | None
    fork_face_x: float
    fork_top_z: float
    stop_angle: float
    fork_height: float


@dataclass(frozen=True)
class Assembly:
    """Parts and masses of the six bodies, in the order of `BODIES`; a body that is absent has mass 0."""

    parts: tuple[Part, ...]
    mass: Array
    centre: Array
    inertia: Array
    points: Points
    contacts: tuple[ContactPoint, ...]


def assemble(machine: Machine, setup: Setup, load: LiftedLoad | None = None) -> Assembly:
    """Put the truck together in its set-up, with the lifted load if there is one.

    Raises
    ------
    InputError
        When the set-up asks for what the machine does not have, or the load would stand in the truck or the floor.
    """
    at = heights(machine, setup)
    points = _points(machine, setup, at, load)
    upright = [mast(machine, at.fork_height), *_carried(machine, at)]
    groups = [
        chassis(machine),
        steer_axle(machine),
        *counterweight(machine, setup.counterweight_extension, setup.ballast_slabs),
        *(_tilt(group, setup.tilt, machine) for group in upright),
    ]
    contacts = [
        *frame_points(machine),
        *counterweight_points(machine, setup.counterweight_extension, setup.ballast_slabs),
    ]
    leaning = [*mast_points(machine, at.fork_height), *carriage_points(machine, at.fork_height, at.attachment, at.tip)]
    if load is not None:
        place = load_place(machine, at, load, points.hook)
        added, corners = lifted_load(load, place), box_corners(place, load.size)
        if points.hook is None:
            groups += [_tilt(group, setup.tilt, machine) for group in added]
            leaning += corners
        else:
            groups += added
            groups.append(rope(_spot(points.hook), _spot(points.load_top)))
            contacts += corners
    contacts += [point._replace(position=_lean(point.position, setup.tilt, machine)) for point in leaning]
    return _weighed(groups, points, tuple(sorted(contacts, key=lambda point: point.body)))


def _carried(machine: Machine, at: Heights) -> list[Group]:
    """Carriage and attachment, upright."""
    carried = [carriage(machine, at.fork_height, backrest=at.attachment == "forks")]
    attached = None
    if at.attachment == "forks":
        attached = forks(machine, at.fork_height)
    elif at.attachment == "jib":
        attached = jib(machine, at.fork_height, at.reach, at.rise)
    return carried if attached is None else [*carried, attached]


def _points(machine: Machine, setup: Setup, at: Heights, load: LiftedLoad | None) -> Points:
    m, axle = machine.mast, machine.steer_axle
    joint = np.array((m.face - m.channel_depth / 2, 0.0, m.joint_height))
    heel = _lean(np.array((machine.carriage.face, 0.0, at.fork_height)), setup.tilt, machine)
    hook = load_top = None
    if at.attachment == "jib":
        upright = np.array((machine.carriage.face + at.reach, 0.0, at.fork_height + at.rise))
        hook = _lean(upright, setup.tilt, machine)
        if load is not None and load.hung_by is not None:
            load_top = hook - np.array((0.0, 0.0, load.hung_by))
    return Points(
        pivot=np.array((-machine.wheelbase, 0.0, axle.pivot_height)),
        mast_joint=_lean(joint, setup.tilt, machine),
        hook=hook,
        load_top=load_top,
        fork_face_x=float(heel[0]),
        fork_top_z=float(heel[2]),
        stop_angle=axle.stop or 0.0,
        fork_height=at.fork_height,
    )


def _lean(points: Array, tilt: float, machine: Machine) -> Array:
    return tilted(points, tilt, machine.mast.tilt_axis) if tilt else points


def _tilt(group: Group, tilt: float, machine: Machine) -> Group:
    """Turn the group about the tilt axis, back positive."""
    if not tilt:
        return group
    pieces = tuple(
        piece._replace(solid=Solid(_lean(piece.solid.vertices, tilt, machine), piece.solid.faces))
        for piece in group.pieces
    )
    centre = None if group.centre is None else _spot(_lean(np.array(group.centre), tilt, machine))
    return Group(group.body, group.mass, pieces, centre)


def _spot(point: Array | None) -> tuple[float, float, float]:
    if point is None:
        return (0.0, 0.0, 0.0)
    return (float(point[0]), float(point[1]), float(point[2]))


def _weighed(groups: Sequence[Group], points: Points, contacts: tuple[ContactPoint, ...]) -> Assembly:
    """Scale each group to its stated mass and add the groups of each body up."""
    pieces = [piece for group in groups for piece in group.pieces]
    volume, moment, second = _moments(pieces)
    owner = np.repeat(np.arange(len(groups)), [len(group.pieces) for group in groups])
    stated = np.array([group.mass for group in groups])
    total, first, about = (_summed(values, owner, len(groups)) for values in (volume, moment, second))
    density = stated / total
    own = first / total[:, None]
    spread = about - total[:, None, None] * own[:, :, None] * own[:, None, :]
    inertia = density[:, None, None] * (np.trace(spread, axis1=1, axis2=2)[:, None, None] * np.eye(3) - spread)
    centre = np.array([own[i] if group.centre is None else group.centre for i, group in enumerate(groups)])
    body = np.array([group.body for group in groups])
    whole = [combine(stated[body == b], centre[body == b], inertia[body == b]) for b in range(len(BODIES))]
    return Assembly(
        parts=tuple(
            Part(
                piece.name,
                int(body[g]),
                piece.solid.vertices,
                piece.solid.faces,
                float(density[g] * v),
                piece.colour,
                piece.kind,
            )
            for piece, g, v in zip(pieces, owner, volume, strict=True)
        ),
        mass=np.array([one.mass for one in whole]),
        centre=np.array([one.centre for one in whole]),
        inertia=np.array([one.inertia for one in whole]),
        points=points,
        contacts=contacts,
    )


def _moments(pieces: Sequence[Piece]) -> tuple[Array, Array, Array]:
    corners = np.concatenate([piece.solid.vertices for piece in pieces])
    start = np.cumsum([0, *(len(piece.solid.vertices) for piece in pieces[:-1])])
    faces = np.concatenate([piece.solid.faces + n for piece, n in zip(pieces, start, strict=True)])
    first = np.cumsum([0, *(len(piece.solid.faces) for piece in pieces[:-1])])
    return solid_moments(corners[faces], first)


def _summed(values: Array, owner: NDArray[np.intp], count: int) -> Array:
    out = np.zeros((count, *values.shape[1:]))
    np.add.at(out, owner, values)
    return out
