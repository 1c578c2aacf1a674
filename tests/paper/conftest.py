"""Results written once with their reports as PDF, for the tests of what lies in a folder."""

from __future__ import annotations

from pathlib import Path

import pytest

import tipline
from cases import SHORT_SWEEPS, brief_breakthrough
from once import once

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


@pytest.fixture(scope="session")
def floored(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A floor with a set-up on it, on Letter in US units."""

    def make() -> Path:
        folder = tmp_path_factory.mktemp("floored") / "floor"
        result = tipline.floor("stop-with-the-load-up-breaks-a-slab")
        return tipline.write(result, folder, units="us", pictures=False, pdf=True, paper="letter")

    return once(tmp_path_factory, "filed-floor", make)


@pytest.fixture(scope="session")
def sloped(tmp_path_factory: pytest.TempPathFactory) -> Path:
    def make() -> Path:
        result = tipline.slopes("floor-falls-sideways", heights="1", directions=8)
        return tipline.write(result, tmp_path_factory.mktemp("sloped") / "slopes", pictures=False, pdf=True)

    return once(tmp_path_factory, "filed-slopes", make)


@pytest.fixture(scope="session")
def swept(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A short sweep, on Letter in SI."""

    def make() -> Path:
        name = "one-front-tyre-breaks-through"
        result = tipline.sweep(name, SHORT_SWEEPS[name], workers=0)
        folder = tmp_path_factory.mktemp("swept") / "sweep"
        return tipline.write(result, folder, pictures=False, pdf=True, paper="letter")

    return once(tmp_path_factory, "filed-sweep", make)


@pytest.fixture(scope="session")
def reconstructed() -> tipline.commands.reconstruct.ReconstructResult:
    """An incident of few runs."""
    return tipline.reconstruct("truck-on-its-side-by-the-press", {"runs": 20}, workers=0)


@pytest.fixture(scope="session")
def incident(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The same, on Letter in US units."""

    def make() -> Path:
        folder = tmp_path_factory.mktemp("incident") / "press"
        return tipline.write(request.getfixturevalue("reconstructed"), folder, units="us", pdf=True, paper="letter")

    return once(tmp_path_factory, "filed-incident", make)
