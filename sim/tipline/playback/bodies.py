"""The bodies of a run as nodes of a glTF file: the solids that stills and film show, moving as the run moved them."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from tipline.geometry.wheels import wheel
from tipline.playback.glb import Array, EdgeLines, Node, Skin, binary, linear, quaternions
from tipline.playback.surfaces import Indices, edges, shaded
from tipline.view import palette
from tipline.view.story import DrawnSolid, Story

if TYPE_CHECKING:
    from tipline.model.machine import Machine

__all__ = ["body_names", "moving_bodies", "with_plain_wheels"]

_SIDES = 24
"""Of a wheel, half of all triangles where they have 40 (our choice: its outline is off by a point of a page)."""

_UNLINED = {"hook", "rigging", "trim", "tyre", "wheel"}
"""Kinds without edge lines: dark or small, so that lines are not seen on them and cost a slow screen a tenth."""


def body_names(story: Story) -> tuple[str, ...]:
    """Give a name to each body, in the order of the story's matrices."""
    return tuple(f"body {number}" for number in range(story.matrices.shape[1]))


def with_plain_wheels(story: Story, machine: Machine) -> Story:
    """Give the story with tyres and wheels of fewer sides, which a processor that draws alone has time for."""
    axles = ((machine.drive_axle, 0.0), (machine.steer_axle, -machine.wheelbase))
    pieces = [piece for axle, x in axles for tyre in axle.tyre for piece in wheel(tyre, x, _SIDES)]
    plain = {piece.name: piece.solid for piece in pieces}
    solids = [
        replace(solid, vertices=plain[solid.name].vertices, faces=plain[solid.name].faces)
        if solid.name in plain
        else solid
        for solid in story.solids
    ]
    return replace(story, solids=tuple(solids))


def moving_bodies(story: Story, samples: Array) -> bytes:
    """Give the file of the story's bodies at these samples (k,), times counted from the first."""
    index = samples.astype(int)
    time = story.time[index] - story.time[index[0]]
    matrices = story.matrices[index]
    nodes = [
        Node(
            name,
            _parts([solid for solid in story.solids if solid.body == number]),
            matrices[:, number, :3, 3],
            quaternions(matrices[:, number, :3, :3]),
        )
        for number, name in enumerate(body_names(story))
    ]
    rise = None if story.rise is None else story.rise[index]
    extras = {"title": story.title, "marking": list(story.marking), "estimate": story.estimate}
    return binary(nodes, time, rise, extras)


def _parts(solids: list[DrawnSolid]) -> tuple[Skin | EdgeLines, ...]:
    """Give one surface of all solids of a body, each in its colour, and one set of edge lines."""
    if not solids:
        return ()
    surfaces = [shaded(solid.vertices, solid.faces) for solid in solids]
    starts = np.cumsum([0, *(len(points) for points, *_ in surfaces)])
    surface = Skin(
        np.concatenate([points for points, *_ in surfaces]),
        np.concatenate([normals for _, normals, *_ in surfaces]),
        np.concatenate([index + start for (_, _, index, _), start in zip(surfaces, starts[:-1], strict=True)]),
        np.concatenate(
            [
                np.tile(linear(solid.colour), (len(points), 1))
                for solid, (points, *_) in zip(solids, surfaces, strict=True)
            ]
        ),
        _shifts(solids, [origin for *_, origin in surfaces]),
    )
    lined = [solid for solid in solids if solid.kind not in _UNLINED]
    if not lined:
        return (surface,)
    lines = [edges(solid.vertices, solid.faces) for solid in lined]
    starts = np.cumsum([0, *(len(solid.vertices) for solid in lined)])
    ends = np.concatenate([line + start for line, start in zip(lines, starts[:-1], strict=True)])
    used, index = np.unique(ends, return_inverse=True)
    ink = linear([part / 255 for part in palette.INK])
    points = np.concatenate([solid.vertices for solid in lined])
    shifts = _shifts(lined, [np.arange(len(solid.vertices)) for solid in lined])
    drawn = EdgeLines(points[used], index.reshape(-1, 2), ink, None if shifts is None else shifts[used])
    return (surface, drawn) if len(used) else (surface,)


def _shifts(solids: list[DrawnSolid], origins: list[Indices]) -> Array | None:
    """Give how far each point moves as the mast's stages slide, or None where none of the solids has any."""
    if all(solid.rise is None for solid in solids):
        return None
    still = [np.zeros_like(solid.vertices) if solid.rise is None else solid.rise for solid in solids]
    return np.concatenate([shift[origin] for shift, origin in zip(still, origins, strict=True)])
