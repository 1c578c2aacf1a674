"""Arrays for kernels that run uncompiled."""

from typing import cast

import numpy as np

from tipline.kernels.layout import Floats, Plant

__all__ = ["for_python", "plant_for_python"]


def for_python(array: Floats) -> Floats:
    """Return a copy of an array, of any shape and unit, with Python's own floats: twice as fast in plain Python."""
    return cast("Floats", array.astype(np.object_))


def plant_for_python(plant: Plant) -> Plant:
    """Return a truck whose arrays hold Python's own floats."""
    return Plant(*(for_python(array) for array in plant))
