"""Masts of stages: a second route by beam elements, limits, refusals."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from tipline.mechanics.mast import channel, lumped_joint, stage_flexibility, tied_shear_stiffness
from tipline.oracles.mast import overhanging_beam

Array = NDArray[np.float64]
EI = 8.4e6
HARD = 1e13
"""Stiffness of a roller [N/m]."""


def by_elements(stages: list[tuple[float, float]], ei: list[float], held: tuple[float, float], grip: Array) -> Array:
    """The same flexibility by bending elements, two unknowns a node, with hard springs for rollers."""
    rollers = [held] + [(inner[0], outer[1]) for outer, inner in pairwise(stages)]
    heights, first, count = [], [], 0
    for index, ends in enumerate(stages):
        beside = grip if index == len(stages) - 1 else rollers[index + 1]
        nodes = np.unique([*np.linspace(*ends, 40), *rollers[index], *beside])
        heights.append(nodes)
        first.append(count)
        count += 2 * len(nodes)
    stiff = np.zeros((count + 2, count + 2))
    for nodes, start, bending in zip(heights, first, ei, strict=True):
        for index, long in enumerate(np.diff(nodes)):
            own = np.array(
                [
                    [12, 6 * long, -12, 6 * long],
                    [6 * long, 4 * long**2, -6 * long, 2 * long**2],
                    [-12, -6 * long, 12, -6 * long],
                    [6 * long, 2 * long**2, -6 * long, 4 * long**2],
                ]
            )
            here = slice(start + 2 * index, start + 2 * index + 4)
            stiff[here, here] += bending / long**3 * own

    def roller(of: dict[int, float]) -> None:
        row = np.zeros(count + 2)
        row[list(of)] = list(of.values())
        stiff[:] += HARD * np.outer(row, row)

    def at(index: int, height: float) -> int:
        return first[index] + 2 * int(np.argmin(abs(heights[index] - height)))

    for height in held:
        roller({at(0, height): 1.0})
    for index in range(1, len(stages)):
        for height in rollers[index]:
            roller({at(index, height): 1.0, at(index - 1, height): -1.0})
    for height in grip:
        roller({at(len(stages) - 1, height): 1.0, count: -1.0, count + 1: grip[0] - height})
    loads = np.zeros((count + 2, 2))
    loads[count, 0] = loads[count + 1, 1] = 1.0
    return np.linalg.solve(stiff, loads)[-2:]


def test_stages_that_overlap_bend_as_elements_with_rollers_do() -> None:
    """Three stages of different stiffness, held at two heights: every term to 1e-4."""
    stages, held, grip = [(0.2, 2.7), (2.1, 4.6), (3.9, 6.4)], (0.36, 1.25), (5.2, 5.9)
    ei = [2.0 * EI, EI, 0.5 * EI]
    found = stage_flexibility(stages, ei, held, grip)
    assert found == pytest.approx(by_elements(stages, ei, held, np.array(grip)), rel=1e-4)
    assert found[0, 1] == pytest.approx(found[1, 0], rel=1e-12)


@settings(max_examples=40, deadline=None)
@given(span=st.floats(0.3, 2.0), overhang=st.floats(0.5, 6.0))
def test_one_stage_is_the_overhanging_beam(span: float, overhang: float) -> None:
    end = 0.3 + span + overhang
    found = stage_flexibility([(0.0, end)], [EI], (0.3, 0.3 + span), (end - 1e-7, end))
    assert found == pytest.approx(overhanging_beam(span, overhang, EI), rel=1e-5)


@settings(max_examples=40, deadline=None)
@given(force=st.floats(0.0, 1e5), moment=st.floats(1.0, 1e6))
def test_the_joint_moves_and_turns_the_carriage_as_the_stages_do(force: float, moment: float) -> None:
    flexible = stage_flexibility([(0.2, 2.7), (2.0, 4.5)], [EI, EI], (0.36, 1.25), (3.8, 4.4))
    joint = lumped_joint(flexible, 3.8, force, moment)
    turn = (force * (3.8 - joint.height) + moment) / joint.stiffness
    assert [turn * (3.8 - joint.height), turn] == pytest.approx(list(flexible @ (force, moment)))


def test_less_overlap_gives_more() -> None:
    def rotation(overlap: float) -> float:
        stages = [(0.0, 2.5), (2.5 - overlap, 5.0 - overlap)]
        return float(stage_flexibility(stages, [EI, EI], (0.3, 1.0), (4.0, 4.3))[0, 0])

    assert rotation(0.2) > 1.05 * rotation(0.8)


def test_a_deep_channel_without_flanges_is_a_plate() -> None:
    """Web nearly as wide as the flange: a solid bar, b d^3 / 12 and d b^3 / 12, its centroid in the middle."""
    bar = channel(0.2, 0.05, 0.05 - 1e-9, 0.01)
    assert bar.area == pytest.approx(0.01)
    assert (bar.fore_aft, bar.sideways) == pytest.approx((0.05 * 0.2**3 / 12, 0.2 * 0.05**3 / 12))
    assert bar.centroid == pytest.approx(0.025)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: channel(0.2, 0.05, 0.05, 0.01), "flange"),
        (lambda: channel(0.2, 0.05, 0.01, 0.1), "half the depth"),
        (lambda: stage_flexibility([(0, 2), (2, 4)], [EI, EI], (0, 1), (3, 4)), "head of the next outer one"),
        (lambda: stage_flexibility([(0, 2)], [0.0], (0, 1), (1.5, 2)), "bending stiffness"),
        (lambda: stage_flexibility([(0, 2)], [EI], (0, 1), (1.5, 2), [0.0]), "shear stiffness"),
        (lambda: lumped_joint(np.eye(2), 3.0, 0.0, 0.0), "rotation"),
        (lambda: lumped_joint(np.eye(2), 3.0, -1.0, 1.0), "force"),
        (lambda: tied_shear_stiffness(1e-6, 0.0, 2e11), "spacing"),
        (lambda: overhanging_beam(0.0, 1.0, EI), "span"),
    ],
)
def test_out_of_range_is_refused_in_plain_words(call, words) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(ValueError, match=words):
        call()
