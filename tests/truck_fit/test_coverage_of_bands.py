"""A truck by plate and tape, weighed: how often the range that is told of each value holds the true one."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import combinations_with_replacement, product
from pathlib import Path

import numpy as np
import pytest
from tests.shared.spec_sheet import sheet_of, sheet_text
from tests.shared.told_ranges import AT_LEAST, AT_MOST, DRAWS, held_of_draws

from tipline.model.machine import Weighing
from tipline.model.reader import read_machine
from tipline.truck_fit.assessment import SURE
from tipline.truck_fit.readings import Reading, weighing_readings
from tipline.truck_fit.unknowns import Unknown, unknowns_of

SCALES = 20.0
"""Accuracy of every reading, one standard deviation [kg]."""
BASE = Weighing(attachment="forks", slabs=2, extension=0.0, accuracy=SCALES)
WEIGHINGS = (
    BASE.model_copy(update={"extension": 1.2}),
    BASE.model_copy(update={"steer_axle_raised": 0.4}),
    BASE.model_copy(update={"extension": 1.2, "steer_axle_raised": 0.4}),
)


def basis(scaled: np.ndarray) -> np.ndarray:
    """Terms (n, p) up to the third order of values (n, k) in spreads about the likely ones."""
    terms = [np.ones(len(scaled))]
    for order in (1, 2, 3):
        terms += [
            np.prod(scaled[:, list(places)], axis=1)
            for places in combinations_with_replacement(range(scaled.shape[1]), order)
        ]
    return np.column_stack(terms)


def smoothed(readings: list[Reading], unknowns: tuple[Unknown, ...]) -> list[Reading]:
    """The readings with what they give put through polynomials, asked thousands of times without a truck built."""
    value, spread = (np.array([getattr(one, name) for one in unknowns]) for name in ("value", "spread"))
    points = np.array(list(product(*np.linspace(value - 2.0 * spread, value + 2.0 * spread, 4).T)))
    given = np.array([[reading.given(point) for reading in readings] for point in points])
    terms, *_ = np.linalg.lstsq(basis((points - value) / spread), given, rcond=None)

    def of(k: int) -> Callable[[np.ndarray], float]:
        return lambda values: float((basis(((values - value) / spread)[None, :]) @ terms[:, k])[0])

    return [replace(reading, given=of(k)) for k, reading in enumerate(readings)]


@pytest.mark.slow
def test_the_truth_of_a_truck_by_plate_and_tape_lies_in_its_range_as_often_as_told(tmp_path: Path) -> None:
    """200 drawn trucks that the spec sheet of demo truck A leaves open, weighed three times on scales good to 20 kg.

    Sliding mass and height of the own centre are found, and lie in what is told in 95 of 100: in 188 and 191 of 200.
    """
    file = tmp_path / "own.toml"
    file.write_text(sheet_text(sheet_of("demo-truck-a")), encoding="utf-8")
    machine = read_machine(file)
    unknowns = tuple(one for one in unknowns_of(machine) if one.key != "plate_and_tape.mast_sag")
    assert [one.key.partition(".")[2] for one in unknowns] == [
        "counterweight_mass", "mast_mass", "own_height_of_centre",
    ]  # fmt: skip
    nothing = {"drive axle": 0.0, "steer axle": 0.0}
    exact = [one for weighing in WEIGHINGS for one in weighing_readings(machine, weighing, unknowns, nothing)]

    readings = smoothed(exact, unknowns)
    for part in (-1.7, -0.4, 1.3):  # the polynomials give what the truck itself weighs, to a tenth of the scales
        values = np.array([one.value + part * one.spread for one in unknowns])
        for smooth, own in zip(readings, exact, strict=True):
            assert smooth.given(values) == pytest.approx(own.given(values), abs=0.1 * SCALES)

    inside, left = held_of_draws(readings, unknowns, SURE, np.random.default_rng(16))
    found = left < 0.25
    assert found.tolist() == [True, False, True], left
    assert all(AT_LEAST <= count <= AT_MOST for count in inside[found]), inside
    assert inside[1] >= AT_LEAST  # of the mast nothing is read: its range is the band, and all trucks lie in that
    assert abs(inside[found].sum() / (2 * DRAWS) - 0.95) < 0.03, inside
