"""The truck in its set-up as parts with mass: body masses, centres, inertias, joints and contact points.

Meshes are scaled to the stated masses: parts that share a stated mass have one density. Where the machine or the load
states a centre, that centre holds and the inertia of the solids is taken about it. Solids are weighed by groups and
kept: trucks that differ in load, tyre stiffness or slabs share what they have in common.

Source: [TextbookMechanics] (bodies put together, inertia by parallel axes)
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

from tipline.errors import InputError
from tipline.geometry.attachments import forks, jib
from tipline.geometry.boxes import Box, carried_boxes, frame_boxes, load_boxes, rigging_ends, stack_boxes
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
from tipline.geometry.mast_spring import mast_spring
from tipline.geometry.pieces import Group, Piece
from tipline.geometry.setting import Heights, heights, load_place
from tipline.geometry.solids import Solid, Spot, tilted
from tipline.geometry.wheels import steer_axle
from tipline.kernels.layout import BODIES
from tipline.mechanics.mass import MassProperties, combine, solid_moments
from tipline.model.load import LiftedLoad
from tipline.model.machine import Machine
from tipline.model.quantities import Spec
from tipline.scenario.spec import Setup

if TYPE_CHECKING:
    import trimesh

__all__ = ["BODIES", "KEPT", "Assembly", "ContactPoint", "Part", "SettingPoints", "assemble"]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Part:
    """One painted solid of a body in the truck frame, at the set-up pose; ``mass`` [kg] is 0 for what is only drawn.

    ``vertices`` (n, 3) [m]; ``faces`` (m, 3), places of vertices, outside seen counter-clockwise.
    """

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
class SettingPoints:
    """Points (3,) and lengths of the set-up in the truck frame [m], angles [rad]; None where there is no such thing.

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
    """Parts and masses of the six bodies, in the order of `BODIES`; a body that is absent has mass 0.

    ``mass`` (6,) [kg], ``centre`` (6, 3) [m] in the truck frame, ``inertia`` (6, 3, 3) [kg m2] about it; contacts meet
    the floor, boxes those of other bodies.
    """

    mass: Array
    centre: Array
    inertia: Array
    points: SettingPoints
    contacts: tuple[ContactPoint, ...]
    boxes: tuple[Box, ...]
    groups: tuple[_Weighed, ...] = field(repr=False)
    looks: _Looks = field(repr=False)

    @cached_property
    def parts(self) -> tuple[Part, ...]:
        """What is drawn of it, where it stands: most that is asked of a truck needs none of it."""
        return tuple(part for group in self.groups for part in group.drawn)


def assemble(machine: Machine, setup: Setup, load: LiftedLoad | None = None, like: Assembly | None = None) -> Assembly:
    """Put the truck together in its set-up, with the lifted load if there is one.

    like : another truck, of which is taken what it has in common with this one

    Raises
    ------
    InputError
        When the set-up asks for what the machine does not have, or the load would stand in the truck or the floor.
    """
    at = heights(machine, setup)
    points = _points(machine, setup, at, load)
    looks = like.looks if like is not None and like.looks.whole.machine == machine else _looks(machine)
    built = [_frame(looks.whole), _stack(looks.whole, setup.counterweight_extension, setup.ballast_slabs)]
    built.append(_upright(looks.ahead, at, setup.tilt))
    if load is not None:
        built.append(_lifted(machine, setup, load, load_place(machine, at, load, points.hook), points))
    contacts = [point for part in built for point in part.contacts]
    groups = [group for part in built for group in part.groups]
    boxes = tuple(box for part in built for box in part.boxes)
    return _together(groups, points, tuple(sorted(contacts, key=lambda point: point.body)), boxes, looks)


class _Look:
    """A machine that counts as equal to every other of which the same shape and masses are told."""

    def __init__(self, machine: Machine, seen: tuple[object, ...]) -> None:
        self.machine, self._key, self._hash = machine, seen, hash(seen)

    def __hash__(self) -> int:
        return self._hash

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Look) and self._key == other._key


class _Looks(NamedTuple):
    """A machine as frame and stack are made from it, and as mast, carriage and attachment are."""

    whole: _Look
    ahead: _Look


def _looks(machine: Machine) -> _Looks:
    return _Looks(_Look(machine, _whole(machine)), _Look(machine, _ahead(machine)))


def _whole(machine: Machine) -> tuple[object, ...]:
    """Tell all of a machine but its springs."""
    axles = (machine.drive_axle, machine.steer_axle)
    tyres = tuple(tuple(_told(tyre, _TYRE_SPRINGS) for tyre in axle.tyre) for axle in axles)
    steer, stack = machine.steer_axle, (machine.counterweight, machine.ballast_slab)
    return machine.wheelbase, machine.chassis, *stack, tyres, steer.mass, steer.pivot_height, *_ahead(machine)


def _ahead(machine: Machine) -> tuple[object, ...]:
    """Tell what mast, carriage and attachment are drawn and weighed from: of the frame what holds the cylinders."""
    carried = machine.carriage, machine.forks, machine.jib
    return _told(machine.mast, _MAST_SPRINGS), *carried, machine.chassis.deck_height


_TYRE_SPRINGS = {"stiffness", "rated_load", "rubber_modulus", "inflation", "damping_ratio", "friction"}
_MAST_SPRINGS = {
    "stiffness_fore_aft", "stiffness_sideways", "stiffness_twist", "roller_play", "chain_stiffness", "lift_speed",
    "lower_speed", "tilt_speed",
}  # fmt: skip


def _told(spec: Spec, but: Collection[str]) -> tuple[object, ...]:
    return tuple(value for name, value in vars(spec).items() if name not in but)


class Built(NamedTuple):
    """A part of the truck: its weighed groups, and where it may meet the floor and other bodies."""

    groups: tuple[_Weighed, ...]
    contacts: tuple[ContactPoint, ...]
    boxes: tuple[Box, ...]


@contextmanager
def _room(part: str, sizes: str) -> Iterator[None]:
    """Refuse sizes that leave no room for a part's solids."""
    try:
        yield
    except ValueError as error:
        reason = f"cannot be drawn from its sizes: {error}"
        remedy = f"Write {sizes} as they stand in the truck's drawing"
        raise InputError(reason, key=f"machine.{part}", remedy=remedy) from error


MANY = 128
"""So many frames, stacks and uprights are kept: an own truck at the ends of all that is not known is some ninety."""


@lru_cache(maxsize=MANY)
def _frame(look: _Look) -> Built:
    """Weigh chassis and steer axle."""
    machine = look.machine
    with _room("chassis", "front, rear, deck_height and belly_clearance, the tyres' diameters and mast.face"):
        solids = chassis(machine), steer_axle(machine)
    boxes = frame_boxes(machine, solids[0].pieces)
    return Built(tuple(map(_weighed, solids)), tuple(frame_points(machine)), tuple(boxes))


@lru_cache(maxsize=MANY)
def _stack(look: _Look, extension: float, slabs: int) -> Built:
    """Weigh counterweight and slabs."""
    groups = counterweight(look.machine, extension, slabs)
    points = counterweight_points(look.machine, extension, slabs)
    return Built(tuple(map(_weighed, groups)), tuple(points), tuple(stack_boxes(groups)))


@lru_cache(maxsize=MANY)
def _upright(look: _Look, at: Heights, tilt: float) -> Built:
    """Weigh mast, carriage and attachment."""
    machine = look.machine
    with _room("mast", "width, stages and channel_depth, and the sizes of carriage, forks and jib"):
        upright = [mast(machine, at.fork_height), *_carried(machine, at)]
        groups = [_tilt(group, tilt, machine) for group in upright]
    corners = [*mast_points(machine, at.fork_height), *carriage_points(machine, at.fork_height, at.attachment, at.tip)]
    leaning = tuple(point._replace(position=_lean(point.position, tilt, machine)) for point in corners)
    boxes = [_leaning(box, tilt, machine) for box in carried_boxes(machine, at.fork_height, upright)]
    return Built(tuple(map(_weighed, groups)), leaning, tuple(boxes))


def _leaning(box: Box, tilt: float, machine: Machine) -> Box:
    """Turn a box about the tilt axis, back positive."""
    if not tilt:
        return box
    return box._replace(middle=_spot(_lean(np.array(box.middle), tilt, machine)), back=box.back + tilt)


def _lifted(machine: Machine, setup: Setup, load: LiftedLoad, foot: Spot, points: SettingPoints) -> Built:
    """Weigh the lifted load, its underside's middle at foot while the mast is upright."""
    tilt = setup.tilt if points.hook is None else 0.0
    corners = box_corners(foot, load.size)
    if tilt:
        corners = [point._replace(position=_lean(point.position, tilt, machine)) for point in corners]
    by = _lean(np.array(foot), tilt, machine)
    dx, dy = load.centre_offset
    centre = _lean(np.array((foot[0] + dx, foot[1] + dy, foot[2] + load.height_of_centre)), tilt, machine)
    thing, rigging, ends = _load_solids(load.size, tilt)
    groups = [thing.moved(load.mass, by, centre)]
    if load.rigging_weight > 0.0:
        aside = _lean(np.array((foot[0] + dx, foot[1] + dy, foot[2])), tilt, machine)
        groups.append(rigging.moved(load.rigging_weight, aside, None))
    if points.hook is not None:
        groups.append(_rope(_spot(points.hook), _spot(points.load_top)))
    boxes = load_boxes(foot, load.size, ends if load.rigging_weight > 0.0 else None)
    return Built(tuple(groups), tuple(corners), tuple([_leaning(box, tilt, machine) for box in boxes]))


@lru_cache(maxsize=32)
def _rope(hook: Spot, load_top: Spot) -> _Weighed:
    """Weigh the rope."""
    return _weighed(rope(hook, load_top))


@lru_cache(maxsize=32)
def _load_solids(size: Spot, tilt: float) -> tuple[_Weighed, _Weighed, tuple[Spot, Spot]]:
    """Weigh a load of this size and its rigging, underside's middle at the origin, both of unit mass.

    Beside them the ends of the rigging's beam, upright.
    """
    thing, beam = lifted_load(size)

    def turned(group: Group) -> _Weighed:
        pieces = tuple(
            piece._replace(solid=Solid(tilted(piece.solid.vertices, tilt, (0.0, 0.0)), piece.solid.faces))
            for piece in group.pieces
        )
        return _weighed(group if tilt == 0.0 else Group(group.body, group.mass, pieces))

    return turned(thing), turned(beam), rigging_ends(size, beam)


def _put_together(groups: tuple[_Weighed, ...]) -> MassProperties:
    """Put the groups of a body together."""
    return combine([g.mass for g in groups], [g.centre for g in groups], [g.inertia for g in groups])


_kept_together = lru_cache(maxsize=MANY)(_put_together)
KEPT = (_frame, _stack, _upright, _rope, _load_solids, _kept_together)
"""What is weighed once for all trucks that have it."""


def _carried(machine: Machine, at: Heights) -> list[Group]:
    """Carriage and attachment, upright."""
    carried = [carriage(machine, at.fork_height, backrest=at.attachment == "forks")]
    attached = None
    if at.attachment == "forks":
        attached = forks(machine, at.fork_height)
    elif at.attachment == "jib":
        attached = jib(machine, at.fork_height, at.reach, at.rise)
    return carried if attached is None else [*carried, attached]


def _points(machine: Machine, setup: Setup, at: Heights, load: LiftedLoad | None) -> SettingPoints:
    m, axle = machine.mast, machine.steer_axle
    joint = np.array((m.face - m.channel_depth / 2, 0.0, mast_spring(machine, at.fork_height).height))
    heel = _lean(np.array((machine.carriage.face, 0.0, at.fork_height)), setup.tilt, machine)
    hook = load_top = None
    if at.attachment == "jib":
        upright = np.array((machine.carriage.face + at.reach, 0.0, at.fork_height + at.rise))
        hook = _lean(upright, setup.tilt, machine)
        if load is not None and load.hung_by is not None:
            load_top = hook - np.array((0.0, 0.0, load.hung_by))
    return SettingPoints(
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


@dataclass(frozen=True, eq=False)
class _Weighed:
    """Parts that share a stated mass [kg], their centre [m] and inertia about it [kg m2]; own: centre of the solids.

    Each is equal to itself alone, so that what is put together of the same ones is kept (`_kept_together`).
    ``by``: how far it stands from where its parts are told [m]; ``scale``: its mass over theirs [1].
    """

    body: int
    mass: float
    centre: Array
    inertia: Array
    own: Array
    parts: tuple[Part, ...]
    by: Array | None = None
    scale: float = 1.0

    def moved(self, mass: float, by: Array, centre: Array | None) -> _Weighed:
        """Return what was not moved yet with another mass, elsewhere, and with a stated centre if there is one."""
        scale, own = mass / self.mass, self.own + by
        middle = own if centre is None else centre
        return _Weighed(self.body, mass, middle, scale * self.inertia, own, self.parts, by, scale)

    @property
    def drawn(self) -> tuple[Part, ...]:
        """Its parts where it stands."""
        if self.by is None:
            return self.parts
        return tuple(
            replace(part, vertices=part.vertices + self.by, mass=self.scale * part.mass) for part in self.parts
        )


def _weighed(group: Group) -> _Weighed:
    """Scale a group's solids to its stated mass."""
    volume, moment, second = _moments(group.pieces)
    total = volume.sum()
    density, own = group.mass / total, moment.sum(axis=0) / total
    about_centre = second.sum(axis=0) - total * np.outer(own, own)
    parts = tuple(
        Part(
            piece.name,
            group.body,
            piece.solid.vertices,
            piece.solid.faces,
            float(density * v),
            piece.colour,
            piece.kind,
        )
        for piece, v in zip(group.pieces, volume, strict=True)
    )
    centre = own if group.centre is None else np.array(group.centre)
    inertia = density * (np.trace(about_centre) * np.eye(3) - about_centre)
    if BODIES[group.body] in ("chassis", "load"):
        # nothing told of frame or load is to one side of its centre: what is drawn there must not turn the truck
        inertia[1, [0, 2]] = inertia[[0, 2], 1] = 0.0
    return _Weighed(group.body, group.mass, centre, inertia, own, parts)


def _together(
    groups: Sequence[_Weighed],
    points: SettingPoints,
    contacts: tuple[ContactPoint, ...],
    boxes: tuple[Box, ...],
    looks: _Looks,
) -> Assembly:
    """Add the groups of each body up."""
    mass, centre, inertia = np.zeros(len(BODIES)), np.zeros((len(BODIES), 3)), np.zeros((len(BODIES), 3, 3))
    for b in range(len(BODIES)):
        own = tuple([group for group in groups if group.body == b and group.mass > 0.0])
        if len(own) == 1:
            mass[b], centre[b], inertia[b] = own[0].mass, own[0].centre, own[0].inertia
        elif own:
            kept = all(group.by is None for group in own)
            mass[b], centre[b], inertia[b] = (_kept_together if kept else _put_together)(own)
    return Assembly(
        mass=mass,
        centre=centre,
        inertia=inertia,
        points=points,
        contacts=contacts,
        boxes=boxes,
        groups=tuple(groups),
        looks=looks,
    )


def _moments(pieces: Sequence[Piece]) -> tuple[Array, Array, Array]:
    corners = np.concatenate([piece.solid.vertices for piece in pieces])
    start = np.cumsum([0, *(len(piece.solid.vertices) for piece in pieces[:-1])])
    faces = np.concatenate([piece.solid.faces + n for piece, n in zip(pieces, start, strict=True)])
    first = np.cumsum([0, *(len(piece.solid.faces) for piece in pieces[:-1])])
    return solid_moments(corners[faces], first)
