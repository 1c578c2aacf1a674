"""What is drawn for each run of a sweep: row i depends on the seed and on i only, however the runs are shared out.

Monte Carlo rows have a generator each, keyed by (seed, i); a Sobol sequence is entered at i; Latin hypercube and
sensitivity tables are made whole, the same each time, and read at i. A row of numbers between 0 and 1 is turned into
values by the inverse of each distribution.

Source: Sobol sequence with scrambling, Latin hypercube: scipy.stats.qmc; radial sampling for Sobol indices: SALib.
"""

from __future__ import annotations

import warnings
from functools import lru_cache
from math import exp, log, sqrt
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tipline.errors import MissingPart
from tipline.scenario.sweep_plan import SweptInput

__all__ = ["EDGE", "Drawn", "Rows", "salib_problem", "unit_rows", "value_at"]

Array = NDArray[np.float64]
Drawn = tuple[float | int | str | bool, ...]
EDGE = 1e-12
"""How near to 0 and 1 a drawn share may come, so that no endless distribution ends at infinity
(numerical)."""


class Rows:
    """The values of each run of a sweep by its index; ``rows``: how many runs there are.

    ``shares``: of each row those that stand for what the method draws; none: the method draws.
    """

    def __init__(
        self,
        method: str,
        seed: int,
        inputs: tuple[SweptInput, ...],
        rows: int,
        shares: tuple[tuple[float, ...], ...] = (),
    ) -> None:
        self._method, self._seed, self._inputs, self._rows, self._shares = method, seed, inputs, rows, shares

    def between(self, start: int, stop: int) -> list[Drawn]:
        """Return the values of the runs from start to stop, in the order of the inputs."""
        inputs, method = self._inputs, self._method
        if method in ("grid", "threshold"):
            shape = tuple(len(swept_input.values) for swept_input in inputs) or (1,)
            places = np.column_stack(np.unravel_index(np.arange(start, stop), shape))
            return [
                tuple(swept_input.values[k] for swept_input, k in zip(inputs, row, strict=False))
                for row in places.tolist()
            ]
        units = self._shares[start:stop] or unit_rows(method, self._seed, self._rows, len(inputs), start, stop).tolist()
        return [tuple(value_at(swept_input, u) for swept_input, u in zip(inputs, row, strict=True)) for row in units]


def unit_rows(method: str, seed: int, rows: int, width: int, start: int, stop: int) -> Array:
    """Return rows start to stop of a table of shares in (0, 1) [1], (stop - start, width).

    Raises
    ------
    MissingPart
        Sensitivity was asked and SALib is not installed.
    """
    if method == "monte-carlo":
        units = np.empty((stop - start, width))
        for k in range(start, stop):
            units[k - start] = np.random.Generator(np.random.Philox(key=seed, counter=k << 64)).random(width)
    elif method == "sobol":
        units = _sobol(seed, width, start, stop)
    elif method == "latin-hypercube":
        units = _hypercube(seed, rows, width)[start:stop]
    else:
        units = _radial(seed, rows, width)[start:stop]
    return np.clip(units, EDGE, 1.0 - EDGE)


def _sobol(seed: int, width: int, start: int, stop: int) -> Array:
    from scipy.stats import qmc

    engine = qmc.Sobol(width, scramble=True, rng=np.random.default_rng(seed))
    if start > 0:
        engine.fast_forward(int(start))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)  # a number of points that is no power of two is as wished
        units: Array = engine.random(stop - start)
    return units


@lru_cache(maxsize=1)
def _hypercube(seed: int, rows: int, width: int) -> Array:
    from scipy.stats import qmc

    units: Array = qmc.LatinHypercube(width, rng=np.random.default_rng(seed)).random(rows)
    return units


@lru_cache(maxsize=1)
def _radial(seed: int, rows: int, width: int) -> Array:
    try:
        from SALib.sample import sobol
    except ImportError as error:
        msg = "sensitivity needs SALib"
        raise MissingPart(msg, install='pip install "tipline[sweeps]"') from error
    base = rows // (width + 2)
    units: Array = sobol.sample(salib_problem(width), base, calc_second_order=False, seed=seed % 2**32)
    return units


def salib_problem(width: int) -> dict[str, Any]:
    """Return so many inputs between 0 and 1 as SALib describes them."""
    return {"num_vars": width, "names": [f"x{k}" for k in range(width)], "bounds": [[0.0, 1.0]] * width}


def value_at(swept_input: SweptInput, share: float) -> float | int | str | bool:
    """Return the value of a setting below which that share of its distribution lies; of a list, the entry there."""
    if swept_input.shape == "values":
        return swept_input.values[min(int(share * len(swept_input.values)), len(swept_input.values) - 1)]
    figures = swept_input.figures
    if swept_input.shape == "uniform":
        return figures["least"] + share * (figures["most"] - figures["least"])
    if swept_input.shape == "triangular":
        return _triangular(share, figures["least"], figures["likeliest"], figures["most"])
    from scipy.special import ndtr, ndtri

    mean, deviation = figures["mean"], figures["deviation"]
    if swept_input.shape == "normal":
        return mean + deviation * float(ndtri(share))
    if swept_input.shape == "lognormal":
        spread = sqrt(log(1.0 + (deviation / mean) ** 2))
        return exp(log(mean) - 0.5 * spread**2 + spread * float(ndtri(share)))
    low, high = (float(ndtr((figures[end] - mean) / deviation)) for end in ("least", "most"))
    value = mean + deviation * float(ndtri(low + share * (high - low)))
    return min(max(value, figures["least"]), figures["most"])


def _triangular(share: float, least: float, likeliest: float, most: float) -> float:
    below = (likeliest - least) / (most - least)
    if share < below:
        return least + sqrt(share * (most - least) * (likeliest - least))
    return most - sqrt((1.0 - share) * (most - least) * (most - likeliest))
