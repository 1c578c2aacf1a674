"""The self-test's checks through the engine hold, and each fails once what it checks is spoiled."""

from __future__ import annotations

import pytest

from few import slow_but
from tipline.selftest import pendulum_engine, rocking_engine

CHECKS = {check.name: check for check in (*pendulum_engine.CHECKS, *rocking_engine.CHECKS)}
FEW = ("engine-period-small", "engine-rocking-impact")


@pytest.mark.parametrize("name", slow_but(CHECKS, *FEW))
def test_check_holds(name: str) -> None:
    check = CHECKS[name]
    result = check.run()
    assert not result.failure
    assert result.passed, (result.computed, check.printed)


@pytest.mark.parametrize("name", ["engine-period-small", "engine-period-large"])
def test_a_rope_of_another_length_is_noticed(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pendulum_engine, "STRETCH", 0.01)
    assert not CHECKS[name].run().passed


@pytest.mark.parametrize(
    ("name", "formula"), [("engine-sudden-swing", "sudden_swing"), ("engine-residual-swing", "residual_swing")]
)
def test_another_swing_is_noticed(name: str, formula: str, monkeypatch: pytest.MonkeyPatch) -> None:
    right = getattr(pendulum_engine, formula)
    monkeypatch.setattr(pendulum_engine, formula, lambda *given: 1.03 * right(*given))
    assert not CHECKS[name].run().passed


def test_a_stronger_pull_of_the_earth_is_noticed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(rocking_engine, "G", 10.2)
    assert not CHECKS["engine-rocking-period"].run().passed


@pytest.mark.slow
@pytest.mark.parametrize("name", ["engine-rocking-impact", "engine-rocking-push"])
def test_a_floor_that_throws_back_is_noticed(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(rocking_engine, "PLASTIC", rocking_engine.Contact())
    assert not CHECKS[name].run().passed
