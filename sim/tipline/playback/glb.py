"""Binary glTF 2.0 with moving nodes, written from arrays: one file that other programs open too.

The scene is z up, as the run is; one root node turns it to the y up of glTF. Source: [GLTF2].
"""

from __future__ import annotations

import json
import struct
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

__all__ = ["EdgeLines", "Node", "Skin", "binary", "linear", "quaternions", "steady"]

Array = NDArray[np.float64]

_FLOAT, _UINT, _USHORT = 5126, 5125, 5123
_VERTICES, _INDICES = 34962, 34963
_KINDS = {1: "SCALAR", 3: "VEC3", 4: "VEC4"}
_HEAD, _JSON, _BIN = b"glTF", b"JSON", b"BIN\0"
_Z_UP = [-(0.5**0.5), 0.0, 0.0, 0.5**0.5]
"""Turns z up to y up: a quarter turn about x, backwards."""


@dataclass(frozen=True)
class Skin:
    """Triangles: points and normals (k, 3), indices (m, 3), colours (k, 3) from 0 to 1, linear in light.

    `shift` (k, 3) is how far each point has moved when the file's `shifted` is 1.
    """

    points: Array
    normals: Array
    indices: NDArray[np.int64]
    colours: Array
    shift: Array | None = None


@dataclass(frozen=True)
class EdgeLines:
    """Straight pieces: points (k, 3), ends (m, 2) as indices, one colour; `shift` as of a surface."""

    points: Array
    indices: NDArray[np.int64]
    colour: tuple[float, float, float]
    shift: Array | None = None


@dataclass(frozen=True)
class Node:
    """A body: its name, what is drawn of it, and where it is: origins (n, 3) and quaternions (n, 4), x, y, z, w."""

    name: str
    parts: tuple[Skin | EdgeLines, ...]
    origins: Array
    turns: Array


def binary(nodes: Sequence[Node], times: Array, shifted: Array | None = None, extras: Any = None) -> bytes:
    """Write the file; ``times`` (n,) rise from 0 or above, ``shifted`` (n,) is the share of all shifts."""
    file = _File()
    clock = file.add(np.asarray(times, dtype=np.float32)[:, None], bounds=True)
    samplers: list[dict[str, Any]] = []
    channels: list[dict[str, Any]] = []
    entries: list[dict[str, Any]] = [{"name": "world", "rotation": _Z_UP, "children": list(range(1, len(nodes) + 1))}]
    meshes: list[dict[str, Any]] = []
    for number, node in enumerate(nodes, start=1):
        moves = {"translation": node.origins, "rotation": steady(node.turns)}
        moving = shifted is not None and any(part.shift is not None for part in node.parts)
        for path, values in moves.items():
            channels.append({"sampler": len(samplers), "target": {"node": number, "path": path}})
            samplers.append({"input": clock, "output": file.add(np.asarray(values, dtype=np.float32))})
        if moving and shifted is not None:
            channels.append({"sampler": len(samplers), "target": {"node": number, "path": "weights"}})
            samplers.append({"input": clock, "output": file.add(np.asarray(shifted, dtype=np.float32)[:, None])})
        primitives = [_primitive(file, part, moving) for part in node.parts]
        entry: dict[str, Any] = {
            "name": node.name,
            "translation": _listed(node.origins[0]),
            "rotation": _listed(node.turns[0]),
        }
        if primitives:
            entry["mesh"] = len(meshes)
            meshes.append({"name": node.name, "primitives": primitives, **({"weights": [0.0]} if moving else {})})
        entries.append(entry)
    materials = [
        {"name": "surface", "doubleSided": True, "pbrMetallicRoughness": {"metallicFactor": 0.0}},
        {"name": "edge", "pbrMetallicRoughness": {"baseColorFactor": [*_edge_colour(nodes), 1.0]}},
    ]
    document = {
        "asset": {"version": "2.0", "generator": "tipline", **({"extras": extras} if extras else {})},
        "scene": 0,
        "scenes": [{"name": "run", "nodes": [0]}],
        "nodes": entries,
        **({"meshes": meshes, "materials": materials} if meshes else {}),
        "animations": [{"name": "run", "channels": channels, "samplers": samplers}],
        "accessors": file.accessors,
        "bufferViews": file.views,
        "buffers": [{"byteLength": len(file.data)}],
    }
    return _container(json.dumps(document, separators=(",", ":"), allow_nan=False).encode(), bytes(file.data))


class _File:
    """The buffer of a file as it fills, with its views and accessors."""

    def __init__(self) -> None:
        self.data = bytearray()
        self.views: list[dict[str, Any]] = []
        self.accessors: list[dict[str, Any]] = []

    def add(self, values: NDArray[Any], target: int = 0, bounds: bool = False, normalized: bool = False) -> int:
        """Put rows (k, width) into the buffer and return the number of their accessor."""
        kind = {np.dtype(np.float32): _FLOAT, np.dtype(np.uint32): _UINT, np.dtype(np.uint16): _USHORT}[values.dtype]
        text = np.ascontiguousarray(values).tobytes()
        view = {
            "buffer": 0,
            "byteOffset": len(self.data),
            "byteLength": len(text),
            **({"target": target} if target else {}),
        }
        self.data += text + b"\0" * (-len(text) % 4)
        accessor = {
            "bufferView": len(self.views),
            "componentType": kind,
            "count": len(values),
            "type": _KINDS[values.shape[1]],
            **({"normalized": True} if normalized else {}),
            **({"min": _listed(values.min(axis=0)), "max": _listed(values.max(axis=0))} if bounds else {}),
        }
        self.views.append(view)
        self.accessors.append(accessor)
        return len(self.accessors) - 1


def _primitive(file: _File, part: Skin | EdgeLines, moving: bool) -> dict[str, Any]:
    flat = np.asarray(part.indices, dtype=np.uint32).reshape(-1, 1)
    attributes = {"POSITION": file.add(_floats(part.points), _VERTICES, bounds=True)}
    if isinstance(part, Skin):
        attributes["NORMAL"] = file.add(_floats(part.normals), _VERTICES)
        whole = np.column_stack([part.colours, np.ones(len(part.colours))])
        colours = np.rint(65535 * whole).astype(np.uint16)
        attributes["COLOR_0"] = file.add(colours, _VERTICES, normalized=True)
    primitive = {
        "attributes": attributes,
        "indices": file.add(flat, _INDICES),
        "material": 0 if isinstance(part, Skin) else 1,
        "mode": 4 if isinstance(part, Skin) else 1,
    }
    if moving:
        shift = np.zeros_like(part.points) if part.shift is None else part.shift
        primitive["targets"] = [{"POSITION": file.add(_floats(shift), _VERTICES, bounds=True)}]
    return primitive


def _edge_colour(nodes: Sequence[Node]) -> tuple[float, float, float]:
    return next((part.colour for node in nodes for part in node.parts if isinstance(part, EdgeLines)), (0.0, 0.0, 0.0))


def _container(text: bytes, data: bytes) -> bytes:
    """Put both chunks into one file, each filled up to four bytes."""
    text += b" " * (-len(text) % 4)
    data += b"\0" * (-len(data) % 4)
    chunks = b"".join(struct.pack("<I", len(part)) + kind + part for kind, part in ((_JSON, text), (_BIN, data)))
    return _HEAD + struct.pack("<II", 2, 12 + len(chunks)) + chunks


def _floats(values: Array) -> NDArray[np.float32]:
    return np.asarray(values, dtype=np.float32)


def _listed(values: NDArray[Any]) -> list[float]:
    return [float(value) for value in values]


def linear(colour: Sequence[float]) -> tuple[float, float, float]:
    """Give a screen's colour (3,) from 0 to 1 in amounts of light, which glTF wants. Source: [IEC61966-2-1]."""
    low = [value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4 for value in colour]
    return low[0], low[1], low[2]


def quaternions(turns: Array) -> Array:
    """Give quaternions (..., 4), x, y, z, w, of rotation matrices (..., 3, 3), by the largest of the four parts."""
    m = turns
    xx, yy, zz = m[..., 0, 0], m[..., 1, 1], m[..., 2, 2]
    parts = np.stack([1 + xx - yy - zz, 1 - xx + yy - zz, 1 - xx - yy + zz, 1 + xx + yy + zz], axis=-1)
    # row i: the quaternion times four times its part i
    a, b, c = m[..., 2, 1] - m[..., 1, 2], m[..., 0, 2] - m[..., 2, 0], m[..., 1, 0] - m[..., 0, 1]
    d, e, f = m[..., 1, 0] + m[..., 0, 1], m[..., 2, 0] + m[..., 0, 2], m[..., 2, 1] + m[..., 1, 2]
    rows = [[parts[..., 0], d, e, a], [d, parts[..., 1], f, b], [e, f, parts[..., 2], c], [a, b, c, parts[..., 3]]]
    table = np.stack([np.stack(row, axis=-1) for row in rows], axis=-2)
    best = np.argmax(parts, axis=-1)[..., None, None]
    chosen = np.take_along_axis(table, np.broadcast_to(best, (*best.shape[:-1], 4)), axis=-2)[..., 0, :]
    return np.asarray(chosen / np.linalg.norm(chosen, axis=-1, keepdims=True))


def steady(turns: Array) -> Array:
    """Give the same turns (n, 4) with each quaternion on the side of the one before, so that none goes the long way."""
    sign = np.where(np.einsum("ni,ni->n", turns[1:], turns[:-1]) < 0.0, -1.0, 1.0)
    return np.asarray(turns * np.concatenate([[1.0], np.cumprod(sign)])[:, None])
