"""Moving bodies as glTF: by the rules of the format, read back by another library, where the run's arrays have them."""

from __future__ import annotations

import json
import struct
from io import BytesIO
from typing import Any

import numpy as np
import pytest
import trimesh

import tipline
from tipline.geometry.posed import rotation
from tipline.playback.bodies import moving_bodies, with_plain_wheels
from tipline.playback.glb import EdgeLines, Node, Skin, binary, linear, quaternions, steady
from tipline.playback.surfaces import edges, shaded
from tipline.playback.track import samples
from tipline.scenario import read
from tipline.view.story import Story
from tipline.view.tell import tell

CUBE = np.array([[x, y, z] for x in (0.0, 1.0) for y in (0.0, 1.0) for z in (0.0, 1.0)])
QUADS = ((0, 2, 3, 1), (4, 5, 7, 6), (0, 1, 5, 4), (2, 6, 7, 3), (0, 4, 6, 2), (1, 3, 7, 5))
FACES = np.array([three for a, b, c, d in QUADS for three in ((a, c, b), (a, d, c))])
WIDTH = {"SCALAR": 1, "VEC3": 3, "VEC4": 4}
SIZE = {5126: ("<f4", 4), 5125: ("<u4", 4), 5123: ("<u2", 2)}


@pytest.fixture(scope="module")
def story() -> Story:
    """A run in which a tyre goes down, and the mast's stages slide."""
    changes = {"run.duration": 1.3, "event.0.at": 0.3}
    result = tipline.run("front-tyre-breaks-through-load-high", changes, spread=0, floor_spread=0, engine="compiled")
    return tell(result.run, result.report, result.case)


@pytest.fixture(scope="module")
def data(story: Story) -> bytes:
    return moving_bodies(story, samples(story))


def parts(data: bytes) -> tuple[dict[str, Any], bytes]:
    """Take a file apart as the format says: a head of 12 bytes, a chunk of JSON, a chunk of numbers."""
    mark, version, length = struct.unpack_from("<4sII", data)
    assert (mark, version, length) == (b"glTF", 2, len(data))
    long, kind = struct.unpack_from("<I4s", data, 12)
    assert (kind, long % 4) == (b"JSON", 0)
    start = 20 + long
    size, kind = struct.unpack_from("<I4s", data, start)
    assert (kind, size % 4, start + 8 + size) == (b"BIN\0", 0, len(data))
    return json.loads(data[20:start]), data[start + 8 :]


def values(document: dict[str, Any], numbers: bytes, accessor: int) -> Any:
    """Read what an accessor points to, and hold it to its view and bounds."""
    told = document["accessors"][accessor]
    view = document["bufferViews"][told["bufferView"]]
    kind, size = SIZE[told["componentType"]]
    width = WIDTH[told["type"]]
    assert view["byteOffset"] % 4 == 0
    assert view["byteLength"] == told["count"] * width * size
    assert view["byteOffset"] + view["byteLength"] <= document["buffers"][0]["byteLength"]
    read = np.frombuffer(numbers, kind, told["count"] * width, view["byteOffset"]).reshape(-1, width)
    if "min" in told:
        assert np.array_equal(read.min(axis=0), np.array(told["min"], dtype=kind))
        assert np.array_equal(read.max(axis=0), np.array(told["max"], dtype=kind))
    return read


def test_the_file_keeps_the_rules_of_the_format(data: bytes) -> None:
    document, numbers = parts(data)
    assert document["asset"]["version"] == "2.0"
    assert document["scenes"][document["scene"]]["nodes"] == [0]
    assert sorted(document["nodes"][0]["children"]) == list(range(1, len(document["nodes"])))
    for mesh in document["meshes"]:
        for primitive in mesh["primitives"]:
            points = values(document, numbers, primitive["attributes"]["POSITION"])
            assert {"min", "max"} <= set(document["accessors"][primitive["attributes"]["POSITION"]])
            index = values(document, numbers, primitive["indices"])
            assert index.max() < len(points)
            assert len(index) % (3 if primitive["mode"] == 4 else 2) == 0
            if primitive["mode"] == 4:
                normals = values(document, numbers, primitive["attributes"]["NORMAL"])
                assert np.linalg.norm(normals, axis=1) == pytest.approx(1.0, abs=1e-6)
                assert len(values(document, numbers, primitive["attributes"]["COLOR_0"])) == len(points)
            for target in primitive.get("targets", ()):
                assert len(values(document, numbers, target["POSITION"])) == len(points)
    (animation,) = document["animations"]
    aims = [(channel["target"]["node"], channel["target"]["path"]) for channel in animation["channels"]]
    assert len(set(aims)) == len(aims)
    for sampler in animation["samplers"]:
        times = values(document, numbers, sampler["input"])[:, 0]
        assert times[0] == 0.0
        assert (np.diff(times) > 0.0).all()
        assert "min" in document["accessors"][sampler["input"]]
        assert len(values(document, numbers, sampler["output"])) == len(times)


def test_bodies_are_where_the_arrays_have_them_at_every_sample(story: Story, data: bytes) -> None:
    document, numbers = parts(data)
    index = samples(story).astype(int)
    (animation,) = document["animations"]
    for channel in animation["channels"]:
        body = channel["target"]["node"] - 1
        sampler = animation["samplers"][channel["sampler"]]
        assert values(document, numbers, sampler["input"])[:, 0] == pytest.approx(story.time[index], abs=1e-6)
        read = values(document, numbers, sampler["output"])
        if channel["target"]["path"] == "translation":
            assert read == pytest.approx(story.matrices[index, body, :3, 3], abs=1e-6)
        elif channel["target"]["path"] == "rotation":
            assert rotation(read.astype(float)) == pytest.approx(story.matrices[index, body, :3, :3], abs=1e-6)
            assert (np.einsum("ni,ni->n", read[1:], read[:-1]) > 0.0).all()
        else:
            assert read[:, 0] == pytest.approx(story.rise[index] if story.rise is not None else None, abs=1e-6)


def test_another_library_reads_the_same_solids(story: Story, data: bytes) -> None:
    scene = trimesh.load(BytesIO(data), file_type="glb")
    triangles = sum(len(part.faces) for part in scene.geometry.values() if hasattr(part, "faces"))
    assert triangles == sum(len(solid.faces) for solid in story.solids)
    placed = np.concatenate([
        solid.vertices @ story.matrices[0, solid.body, :3, :3].T + story.matrices[0, solid.body, :3, 3]
        for solid in story.solids
    ])  # fmt: skip
    low, high = placed.min(axis=0), placed.max(axis=0)
    # z up becomes y up: x, z, -y
    assert scene.bounds[0] == pytest.approx([low[0], low[2], -high[1]], abs=1e-5)
    assert scene.bounds[1] == pytest.approx([high[0], high[2], -low[1]], abs=1e-5)


def test_wheels_are_as_large_with_fewer_sides(story: Story) -> None:
    """Those of replays have 24 sides, those of pictures 40: 1536 triangles of four tyres and wheels less."""
    plain = with_plain_wheels(story, read("front-tyre-breaks-through-load-high").machine)
    for drawn, solid in zip(story.solids, plain.solids, strict=True):
        if solid.kind in ("tyre", "wheel"):
            assert solid.vertices.min(axis=0) == pytest.approx(drawn.vertices.min(axis=0), abs=1e-9)
            assert solid.vertices.max(axis=0) == pytest.approx(drawn.vertices.max(axis=0), abs=1e-9)
        else:
            assert solid is drawn
    count, less = (sum(len(solid.faces) for solid in told.solids) for told in (story, plain))
    assert count - less == 4 * (6 + 4 + 2) * 2 * (40 - 24)


def test_what_happens_between_even_samples_has_one_of_its_own(story: Story) -> None:
    times = story.time[samples(story).astype(int)]
    for wanted in (story.time[0], story.time[-1], story.worst_time, *(mark.time for mark in story.marks)):
        assert np.abs(times - wanted).min() < 0.6e-3
    assert np.diff(times).max() < 0.0201


def test_a_cube_has_flat_sides_and_twelve_edges() -> None:
    points, normals, index, origin = shaded(CUBE, FACES)
    assert len(points) == 24
    assert np.array_equal(points, CUBE[origin])
    middle = points[index].mean(axis=1) - 0.5
    assert np.einsum("ki,ki->k", middle, normals[index[:, 0]]).min() > 0.0
    assert np.abs(normals).max(axis=1) == pytest.approx(1.0)
    ends = edges(CUBE, FACES)
    assert len(ends) == 12
    assert np.linalg.norm(CUBE[ends[:, 0]] - CUBE[ends[:, 1]], axis=1) == pytest.approx(1.0)


def test_a_round_side_is_smooth() -> None:
    angle = np.linspace(0.0, 2 * np.pi, 24, endpoint=False)
    ring = np.column_stack([np.cos(angle), np.sin(angle)])
    points = np.concatenate([np.column_stack([ring, np.full(24, z)]) for z in (0.0, 1.0)])
    k, m = np.arange(24), np.roll(np.arange(24), -1)
    faces = np.concatenate([np.column_stack([k, m, m + 24]), np.column_stack([k, m + 24, k + 24])])
    around, normals, _, _ = shaded(points, faces)
    assert len(around) == 48
    assert np.einsum("ki,ki->k", normals[:, :2], around[:, :2]) == pytest.approx(1.0, abs=1e-3)
    assert len(edges(points, faces)) == 0


def test_every_turn_comes_back_from_its_quaternion() -> None:
    chance = np.random.default_rng(4)
    given = chance.normal(size=(200, 4))
    halves = np.array([[1.0, 0, 0, 0], [0, 1.0, 0, 0], [0, 0, 1.0, 0], [0, 0, 0, 1.0], [0.5, 0.5, -0.5, 0.5]])
    turns = rotation(np.concatenate([given, halves]))
    assert rotation(quaternions(turns)) == pytest.approx(turns, abs=1e-12)
    mixed = np.array([[0, 0, 0, 1.0], [0, 0, -0.01, -1.0], [0, 0, 0.02, 1.0]])
    assert (steady(mixed)[:, 3] > 0.0).all()


def test_colours_become_amounts_of_light() -> None:
    """sRGB: 0.5 on a screen is 0.214 of the light, 0.04 is 0.04 / 12.92."""
    assert linear((0.5, 1.0, 0.04)) == pytest.approx((0.21404, 1.0, 0.0030960), abs=5e-6)


def test_only_what_slides_has_a_shift() -> None:
    points, normals, index, _ = shaded(CUBE, FACES)
    white = np.ones_like(points)
    still = Skin(points, normals, index, white)
    slides = Skin(points, normals, index, white, np.ones_like(points))
    line = EdgeLines(CUBE, edges(CUBE, FACES), (0.0, 0.0, 0.0))
    way, turn = np.zeros((2, 3)), np.tile([0.0, 0.0, 0.0, 1.0], (2, 1))
    nodes = (Node("a", (still, line), way, turn), Node("b", (slides, line), way, turn), Node("c", (), way, turn))
    document, _ = parts(binary(nodes, np.array([0.0, 1.0]), np.array([0.0, 1.0])))
    paths = [
        (channel["target"]["node"], channel["target"]["path"]) for channel in document["animations"][0]["channels"]
    ]
    assert [node for node, path in paths if path == "weights"] == [2]
    assert ["targets" in part for mesh in document["meshes"] for part in mesh["primitives"]] == [
        False,
        False,
        True,
        True,
    ]
    assert "mesh" not in document["nodes"][3]
