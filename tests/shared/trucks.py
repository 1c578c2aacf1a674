"""Cases for the engine's tests: a demo truck with a load, and the events that happen to it."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tipline import scenario
from tipline.engines import simulate
from tipline.engines.many import Rolled, begun
from tipline.engines.prepare import Prepared, prepare
from tipline.engines.record import to_run
from tipline.engines.rolled import Rolling
from tipline.engines.stepped import Stepped
from tipline.engines.world import World
from tipline.kernels import layout as at
from tipline.results import Run
from tipline.scenario.case import Case

Array = NDArray[np.float64]
Changes = Mapping[str, str]
G = 9.80665

_HEAD = """
title = "A case of the engine's tests"
machine = "demo-truck-a"
floor = "demo-hall-a"
"""
HUNG = (
    _HEAD
    + """
[setup]
counterweight_extension = "1.2 m"
ballast_slabs = 2
attachment = "jib"
jib_reach = "1.6 m"
hook_height = "7.05 m"
[load]
mass = "5.2 t"
size = ["1.8 m", "1.4 m", "1.6 m"]
height_of_centre = "0.7 m"
rigging_weight = "120 kg"
hung_by = "0.9 m"
"""
)
FORKS = (
    _HEAD
    + """
[setup]
counterweight_extension = "1.2 m"
ballast_slabs = 2
attachment = "forks"
fork_height = "0.30 m"
[load]
mass = "8 t"
size = ["1.2 m", "1.4 m", "1.2 m"]
height_of_centre = "0.6 m"
"""
)
FREE = FORKS + 'on_forks = "free"\n'
EMPTY = (
    _HEAD
    + """
[setup]
attachment = "forks"
fork_height = "0.15 m"
"""
)


def hole(under: str, depth: str, at_time: str = "0.5 s") -> str:
    """A sudden hole under a tyre."""
    return (
        f'[[event]]\nkind = "breakthrough"\nat = "{at_time}"\nunder = "{under}"\n'
        f'depth = "{depth}"\nhole = ["0.7 m", "0.5 m"]\n'
    )


def both_front(depth: str, at_time: str = "0.5 s") -> str:
    """A sudden hole under each front tyre."""
    return (
        f'[[event]]\nkind = "breakthrough"\nat = "{at_time}"\nunder = ["front-left", "front-right"]\n'
        f'depth = "{depth}"\nhole = ["1.4 m", "0.6 m"]\n'
    )


STOP = '[[event]]\nkind = "service_stop"\nat = "0.5 s"\n'


@lru_cache(maxsize=1)
def _folder() -> tempfile.TemporaryDirectory[str]:
    return tempfile.TemporaryDirectory()


@lru_cache(maxsize=256)
def _read(text: str, changes: tuple[tuple[str, str], ...]) -> Case:
    path = Path(_folder().name) / f"case-{abs(hash(text)):x}.toml"
    path.write_text(text, encoding="utf-8")
    return scenario.read(path, dict(changes))


def case(text: str, changes: Changes | None = None, **dotted: str) -> Case:
    """Read a case; keywords write dots as two underscores: load__mass="4 t"."""
    every = {**(changes or {}), **{key.replace("__", "."): value for key, value in dotted.items()}}
    return _read(text, tuple(sorted(every.items())))


def run(text: str, changes: Changes | None = None, **dotted: str) -> Run:
    """Simulate a case."""
    return simulate(case(text, changes, **dotted))


def drive(prepared: Prepared, seconds: float, watch: bool = True) -> tuple[Array, float]:
    """Step a start in pybullet for a time; return the record's rows and the ledger's error."""
    with World(prepared, prepared.case.scenario.run.time_step) as world:
        loop = Stepped(prepared, world)
        if not watch:
            loop.look = lambda k, fastest: None  # type: ignore[method-assign]
        loop.advance_to(seconds, None)
        return loop.record[: loop.k], loop.watched().ledger_error


def roll(found: Case, *told: Any, **named: Any) -> Rolled:
    """One of many runs, prepared and run."""
    return begun(found, *told, **named)()


def rolled(prepared: Prepared, seconds: float) -> Rolling:
    """Step a start in the compiled engine for a time."""
    loop = Rolling(prepared)
    loop.advance_to(seconds, None)
    return loop


def play(prepared: Prepared, seconds: float) -> Run:
    """Step a start in pybullet for a time, as a run."""
    with World(prepared, prepared.case.scenario.run.time_step) as world:
        loop = Stepped(prepared, world)
        loop.advance_to(seconds, None)
        return to_run(loop, 0.0)


def with_memory(prepared: Prepared) -> Prepared:
    """Return the same start with a memory of its own, since stepping changes it."""
    return replace(prepared, memory=at.Memory(*(field.copy() for field in prepared.memory)))


def start(text: str, changes: Changes | None = None, **dotted: str) -> Prepared:
    """Prepare a case."""
    return prepare(case(text, changes, **dotted))


def series(result: Run, name: str) -> Array:
    """The values of a channel."""
    return result.channels[name].values


def loads(result: Run) -> Array:
    """Tyre loads (n, tyres) [N]."""
    return np.column_stack([series(result, f"tyre_load.{name}") for name in result.tyres])


def energies(result: Run) -> dict[str, Array]:
    """The energy ledger's accounts [J]."""
    return {
        name: series(result, f"energy.{name}")
        for name in ("kinetic", "gravity", "elastic", "dissipated", "work_in", "floor")
    }


def ledger_left(result: Run) -> tuple[float, float]:
    """Largest energy missing for 20 ms or longer [J], and the most that went through (loss, work and motion) [J].

    The loss of an impact is booked when it is over, so a single look may see the ledger open.
    """
    e = energies(result)
    total = e["kinetic"] + e["gravity"] + e["elastic"] + e["dissipated"] + e["floor"] - e["work_in"]
    missing = np.abs(total - total[0])
    lasting = np.lib.stride_tricks.sliding_window_view(missing, 20).min(axis=1)
    through = e["dissipated"] + np.abs(e["work_in"]) + e["kinetic"]
    return float(max(lasting.max(), missing[-1])), float(through.max())
