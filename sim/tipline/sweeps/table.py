"""The table of a sweep, one row a run, read column by column as it is asked."""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from tipline.errors import TiplineError
from tipline.notebook import Shown, marks, to_dataset, to_frame
from tipline.sweeps.job import FORMAT

if TYPE_CHECKING:
    import pandas
    import xarray

__all__ = ["SweepTable"]

_MAIN = ("truck", "lifted_load", "floor", "direction", "least_distance", "threshold", "held", "reason")
"""Columns that a notebook shows beside the inputs."""


@dataclass(frozen=True, repr=False)
class SweepTable(Shown):
    """A sweep's table on disk (``path``) or in memory (``data``, the file's bytes)."""

    path: Path | None = None
    data: bytes = b""

    def __post_init__(self) -> None:
        if self._about.get("format") != FORMAT:
            msg = f"{self.path or 'these bytes'}: not the table of a sweep; give the sweep.parquet of one"
            raise TiplineError(msg)

    def __repr__(self) -> str:
        """Say what the table holds."""
        return f"<SweepTable {self._about['title']!r}: {len(self)} rows, {len(self.names)} columns>"

    def to_parquet(self, path: Path) -> None:
        """Write the table's file, byte for byte."""
        path.write_bytes(self.data if self.path is None else self.path.read_bytes())

    def __len__(self) -> int:
        """Return the number of rows."""
        return int(self._file.metadata.num_rows)

    @property
    def title(self) -> str:
        """The sweep's title."""
        return str(self._about["title"])

    @property
    def demo(self) -> str:
        """What it was made from that is invented, "" for nothing."""
        return str(self._about.get("demo_of") or "")

    @property
    def names(self) -> tuple[str, ...]:
        """The columns in order."""
        return tuple(self._file.schema_arrow.names)

    @property
    def inputs(self) -> tuple[str, ...]:
        """The columns that vary from run to run."""
        return tuple(self._about["inputs"])

    def column(self, name: str) -> NDArray[Any]:
        """Return a column as an array (rows,), numbers in SI.

        Raises
        ------
        KeyError
            There is no such column.
        """
        if name not in self.names:
            msg = f"no column is called {name!r}; there are {', '.join(self.names)}"
            raise KeyError(msg)
        values: NDArray[Any] = self._file.read(columns=[name]).column(0).to_numpy(zero_copy_only=False)
        return values

    def unit(self, name: str) -> str:
        """Return the SI unit of a column, "" for a pure number or a text."""
        return self._meta(name)[0]

    def label(self, name: str) -> str:
        """Return what a column holds in words."""
        return self._meta(name)[1] or name.replace("_", " ")

    def to_pandas(self) -> pandas.DataFrame:
        """Return the table for pandas, numbers in SI, the units in ``attrs["units"]``; MissingPart without pandas."""
        units = {name: self.unit(name) for name in self.names if self.unit(name)}
        columns = {name: self.column(name) for name in self.names}
        frame: pandas.DataFrame = to_frame(columns, {**marks(self.demo), "units": units}).set_index("run")
        return frame

    def to_xarray(self) -> xarray.Dataset:
        """Return the table over ``run`` as an xarray Dataset, inputs as coordinates; MissingPart without xarray."""

        def held(name: str) -> tuple[str, Any, dict[str, str]]:
            return "run", self.column(name), {"units": self.unit(name), "long_name": self.label(name)}

        beside = {"run", *self.inputs}
        dataset: xarray.Dataset = to_dataset(
            {name: held(name) for name in self.names if name not in beside},
            {**{key: str(value) for key, value in self._about.items() if key != "inputs"}, **marks(self.demo)},
            {name: held(name) for name in self.names if name in beside},
        )
        return dataset

    def first(self, count: int) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...], tuple[str, ...]]:
        """Return headings with units and the first rows as texts, of the columns that tell most; and the others."""
        few = self._file.schema_arrow.empty_table()
        for batch in self._file.iter_batches(batch_size=count):
            few = batch
            break
        names = [name for name in self.names if name in ("run", *self.inputs, *_MAIN)]
        units = (f" [{self.unit(name)}]" if self.unit(name) else "" for name in names)
        heads = tuple(name + unit for name, unit in zip(names, units, strict=True))
        rows = tuple(tuple(_shown(row[name]) for name in names) for row in few.to_pylist())
        return heads, rows, tuple(name for name in self.names if name not in names)

    @cached_property
    def _file(self) -> Any:
        import pyarrow as pa
        import pyarrow.parquet as pq

        try:
            return pq.ParquetFile(self.path if self.path is not None else pa.BufferReader(self.data))
        except (pa.ArrowInvalid, OSError) as error:
            msg = f"{self.path or 'these bytes'}: not a Parquet file that can be read"
            raise TiplineError(msg) from error

    @cached_property
    def _about(self) -> dict[str, Any]:
        marks = self._file.schema_arrow.metadata or {}
        about = json.loads(marks.get(b"tipline", b"{}"))
        return {"format": marks.get(b"format", b"").decode(), **(about if isinstance(about, dict) else {})}

    def _meta(self, name: str) -> tuple[str, str]:
        marks = self._file.schema_arrow.field(name).metadata or {}
        return marks.get(b"unit", b"").decode(), marks.get(b"label", b"").decode()


def _shown(value: object) -> str:
    if value is None or (isinstance(value, float) and np.isnan(value)):
        return ""
    return f"{value:.5g}" if isinstance(value, float) else str(value)
