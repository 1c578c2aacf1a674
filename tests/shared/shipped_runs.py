"""Runs of shipped scenarios and their neighbours by the engine that is taken unasked; each is made once a session."""

from __future__ import annotations

from dataclasses import replace

import pytest

from once import once
from tipline.engines import simulate
from tipline.floors.laws.of_floor import floor_laws
from tipline.results import Run
from tipline.scenario import Case, read
from tipline.statics.barrier import crest_losses


def shipped_case(name: str, *, neighbour: bool = False) -> Case:
    """Read a shipped scenario, or its neighbour, without its table."""
    found = read(name)
    expect = found.scenario.expect
    assert expect is not None, f"{name} does not say what is expected"
    assert expect.neighbour is not None, f"{name} has no neighbour"
    return replace(read(name, dict(expect.neighbour.set)) if neighbour else found, cells=())


def shipped_run(factory: pytest.TempPathFactory, name: str, *, neighbour: bool = False) -> Run:
    """Return the run of a shipped scenario, or of its neighbour."""

    def make() -> Run:
        case = shipped_case(name, neighbour=neighbour)
        return simulate(case, losses=crest_losses(case), zones=floor_laws(case).zones)

    return once(factory, f"{'neighbour' if neighbour else 'own'}-run-{name}", make)
