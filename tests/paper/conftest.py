"""Results written once with their reports as PDF, for the tests of what lies in a folder."""

from __future__ import annotations

from pathlib import Path

import pytest

import tipline
from cases import brief_breakthrough

SCENARIO = brief_breakthrough("Front-left tyre breaks through, short", 'mass = "4 t"\nweight_from = "drawing"')


@pytest.fixture(scope="session")
def scenario(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("given") / "mini.toml"
    path.write_text(SCENARIO, encoding="utf-8")
    return path


@pytest.fixture(scope="session")
def ran(scenario: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A run by the compiled engine, on A4 in SI, without stills."""
    result = tipline.run(scenario, spread=0, floor_spread=0, engine="compiled")
    return tipline.write(result, tmp_path_factory.mktemp("ran") / "run", pictures=False, pdf=True)


@pytest.fixture(scope="session")
def checked(scenario: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A check, on Letter in US units."""
    folder = tmp_path_factory.mktemp("checked") / "check"
    return tipline.write(tipline.check(scenario, {"load.mass": "3 t"}), folder, units="us", pdf=True, paper="letter")


@pytest.fixture(scope="session")
def asked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Greatest and least loads with their chart, on A4."""
    result = tipline.loads("demo-truck-a", grid={"heights": [5.55], "centres": [0.6, 0.9]})
    return tipline.write(result, tmp_path_factory.mktemp("asked") / "loads", pdf=True)
