"""pybullet with some of its calls changed, and a truck's world that uses it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from tipline.engines import world as world_module
from tipline.engines.prepare import Prepared
from tipline.engines.world import World

Array = NDArray[np.float64]
Change = Callable[..., Any]
DT = 1e-3
SLIDES = '[[event]]\nkind = "counterweight"\nat = "0.3 s"\nto = "1.0 m"\n'


class Spoiled:
    """pybullet with some calls changed; counts what is called."""

    def __init__(self, **changed: Change) -> None:
        self._true, self._changed = world_module.load_pybullet(), changed
        self.called: Counter[str] = Counter()

    def __getattr__(self, name: str) -> Any:
        true, change = getattr(self._true, name), self._changed.get(name)
        if not callable(true):
            return true

        def call(*words: Any, **named: Any) -> Any:
            self.called[name] += 1
            return true(*words, **named) if change is None else change(true, *words, **named)

        return call


@contextmanager
def entered(prepared: Prepared, **changed: Change) -> Iterator[World]:
    """A world that uses pybullet with some calls changed."""
    library = Spoiled(**changed)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(world_module, "load_pybullet", lambda: library)
        world = World(prepared, DT)
    with world:
        yield world


def without(*dropped: str) -> Change:
    """The call without some of its named arguments."""

    def change(true: Change, *words: Any, **named: Any) -> Any:
        return true(*words, **{key: value for key, value in named.items() if key not in dropped})

    return change


def nothing(_true: Change, *_words: Any, **_named: Any) -> None:
    """The call left out."""


def states(world: World) -> Array:
    raw = np.zeros((6, 13))
    world.read(raw)
    return raw
