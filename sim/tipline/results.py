"""A run as arrays with names and units, and its way to and from disk.

Time, poses, velocities and channels of one simulated run, with the facts about the run that are not numbers.
Everything is SI and radians. On disk a run is one Parquet file: a column each for time, every pose and velocity
component and every channel, the unit and the label in the column's metadata, the facts as JSON in the file's.
"""

from __future__ import annotations

import csv
import json
from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from math import isfinite, nan
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from tipline import units as unit_table
from tipline.errors import TiplineError
from tipline.notebook import Shown, marks, to_dataset, to_frame
from tipline.printable import cell

if TYPE_CHECKING:
    import xarray

Array = NDArray[np.float64]
Timed = tuple[float, float]

FORMAT = "tipline.run/1"
PYBULLET, COMPILED = "pybullet", "compiled"
ENGINES = {
    PYBULLET: "pybullet moves the bodies, Tipline gives every force",
    COMPILED: "Tipline's own compiled engine",
}
"""What a run can be made by, and how a page says so."""
POSE_PARTS = (
    ("x", "m"),
    ("y", "m"),
    ("z", "m"),
    ("qx", ""),
    ("qy", ""),
    ("qz", ""),
    ("qw", ""),
)
VELOCITY_PARTS = (("vx", "m/s"), ("vy", "m/s"), ("vz", "m/s"), ("wx", "rad/s"), ("wy", "rad/s"), ("wz", "rad/s"))
# What a channel's SI unit measures, so that a series can be given in another unit of the same kind.
_DIMENSION = {
    unit.replace(" ", ""): name
    for name, unit in unit_table.SI_UNIT.items()
    if unit and name not in ("slope", "temperature")
}


@dataclass(frozen=True)
class Channel:
    """One recorded quantity over the run's time.

    Attributes
    ----------
    values : (n,) float array [``unit``], one for each of the run's times
    unit : in SI, "" for a pure number
    label : in words
    """

    values: Array
    unit: str
    label: str


@dataclass(frozen=True)
class Watched:
    """What was seen of a run while it was simulated, and how it ended; words as in `endings`. SI and radians.

    A pair is a value and when it was [s], both nan where there is none.

    Attributes
    ----------
    truck, lifted_load, floor : how each ended
    line : the tip line that the weight is past at the end, "" for none
    decided : what decided the ending, "" where nothing has yet
    no_return : since when there was no way back over that line [s], None for never; least values count up to there
    load_events : what happened to the lifted load, and when
    load_held : whether it was held fixed to the forks: how it ended is then worked out from what that took
    distance : least to each tip line, and to the swing lines ("swing.left", "swing.right") of a pivoting axle [m]
    energy_left : least to tip over each line [J]
    steer_share : least part of the tyre loads on the steer axle
    least_load, peak_load : of each tyre [N], the peak while the truck does not lie
    lightest : least load of each tyre, past where there was no way back too [N]
    off : of each tyre that left the floor: when, and when it first came back, None for never
    roll, pitch : least and most, right side and front down positive
    away : how far the point under the drive axle went before the truck fell [m], and when it had first rolled or slid
    deepest : greatest depth of a place under each tyre that had one, or of each zone below the floor [m]
    ledger_error : energy missing as a share of what went through
    """

    truck: str
    lifted_load: str
    floor: str
    line: str
    decided: str
    no_return: float | None
    load_events: tuple[tuple[float, str], ...]
    distance: Mapping[str, Timed]
    energy_left: Mapping[str, Timed]
    steer_share: Timed
    least_load: Mapping[str, Timed]
    lightest: Mapping[str, float]
    peak_load: Mapping[str, Timed]
    off: Mapping[str, tuple[float, float | None]]
    roll: tuple[float, float]
    pitch: tuple[float, float]
    away: Timed
    deepest: Mapping[str, float]
    ledger_error: float
    load_held: bool = False

    def plain(self) -> dict[str, Any]:
        """Give it as plain JSON values, null for nan."""
        plain: dict[str, Any] = _plain({field.name: getattr(self, field.name) for field in fields(self)})
        return plain

    @classmethod
    def from_plain(cls, plain: Mapping[str, Any]) -> Watched:
        """Read what `plain` gave."""
        read = {name: value for name, value in plain.items() if name not in ("no_return", "off")}
        off = {tyre: (float(left), back) for tyre, (left, back) in plain["off"].items()}
        return cls(no_return=plain["no_return"], off=off, **{name: _read(value) for name, value in read.items()})


def _plain(value: Any) -> Any:
    """Give words, numbers, pairs and tables as JSON has them."""
    if isinstance(value, Mapping):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, tuple):
        return [_plain(item) for item in value]
    if isinstance(value, float):
        return float(value) if isfinite(value) else None
    return str(value) if isinstance(value, str) else value


def _read(value: Any) -> Any:
    """Give tables, pairs and numbers as they were before `_plain`."""
    if isinstance(value, Mapping):
        return {key: _read(item) for key, item in value.items()}
    if isinstance(value, list):
        return tuple(_read(item) for item in value)
    return nan if value is None else value


@dataclass(frozen=True, repr=False)
class Run(Shown):
    """One simulated run.

    Attributes
    ----------
    time : (n,) float array [s], rising
    poses : (n, bodies, 7) float array: world position of each body's centre of mass [m] and the quaternion (x, y, z, w)
        that turns the truck's axes at set-up into the body's
    velocities : (n, bodies, 6) float array: velocity [m/s] and angular velocity [rad/s] in the world frame
    channels : every other quantity recorded, by name
    bodies, tyres : names, in the order of the arrays
    meta : facts that are not series (title, time step, versions, run id ...); plain JSON values only
    watched : what the engine saw of it, and how it ended; None where it was not watched
    """

    time: Array
    poses: Array
    velocities: Array
    channels: Mapping[str, Channel]
    bodies: tuple[str, ...]
    tyres: tuple[str, ...]
    meta: Mapping[str, Any] = field(default_factory=dict)
    watched: Watched | None = None

    def __post_init__(self) -> None:
        samples = len(self.time)
        shapes = {"poses": (samples, len(self.bodies), 7), "velocities": (samples, len(self.bodies), 6)}
        for name, shape in shapes.items():
            actual = getattr(self, name).shape
            if actual != shape:
                msg = f"run: {name} has shape {actual}; {shape} is needed ({samples} times, {len(self.bodies)} bodies)"
                raise ValueError(msg)
        for name, channel in self.channels.items():
            if channel.values.shape != (samples,):
                msg = f"run: channel {name} has shape {channel.values.shape}; ({samples},) is needed"
                raise ValueError(msg)

    def __repr__(self) -> str:
        """Say what the run holds; its arrays are too long to show."""
        title, end = self.meta.get("title", ""), float(self.time[-1]) if len(self.time) else 0.0
        shown = f"{len(self.time)} samples to {end:g} s, {len(self.bodies)} bodies, {len(self.tyres)} tyres"
        return f"<Run {title!r}: {shown}, {len(self.channels)} channels>"

    def series(self, name: str, units: str | None = None) -> Array:
        """Give the channel `name` as an (n,) array, in SI or in `units` (such as "kN", "mm", "deg").

        Raises
        ------
        KeyError
            No channel has this name; the message gives the nearest ones.
        ValueError
            `units` does not measure what the channel holds.
        """
        channel = self._channel(name)
        if units is None or units == channel.unit:
            return channel.values
        return channel.values / _factor(channel.unit, units)

    def with_channels(self, extra: Mapping[str, Channel]) -> Run:
        """Give the same run with further channels beside its own; a name in both takes the new one."""
        return replace(self, channels={**self.channels, **extra})

    def at(self, time: float) -> int:
        """Give the index of the sample nearest to `time` [s]."""
        return int(np.argmin(np.abs(self.time - time)))

    def to_parquet(self, path: Path) -> None:
        """Write the run as one Parquet file: time as 8-byte floats, everything else as 4-byte floats."""
        import pyarrow as pa
        import pyarrow.parquet as pq

        columns = _columns(self)
        fields = [
            pa.field(
                name,
                pa.float64() if name == "time" else pa.float32(),
                metadata={"unit": channel.unit, "label": channel.label},
            )
            for name, channel in columns.items()
        ]
        header = {"bodies": self.bodies, "tyres": self.tyres, "channels": list(self.channels), "meta": self.meta}
        if self.watched is not None:
            header["watched"] = self.watched.plain()
        text = json.dumps(header, sort_keys=True, allow_nan=False)
        schema = pa.schema(fields, metadata={"format": FORMAT, "tipline": text})
        # as buffers: given arrays, pyarrow loads pandas to ask whether they are its own
        buffers = [
            np.ascontiguousarray(channel.values, dtype=item.type.to_pandas_dtype())
            for channel, item in zip(columns.values(), fields, strict=True)
        ]
        arrays = [
            pa.Array.from_buffers(item.type, len(buffer), [None, pa.py_buffer(buffer)])
            for buffer, item in zip(buffers, fields, strict=True)
        ]
        # Byte-stream split needs the dictionary off; with zstd it is both the smallest and the fastest for floats.
        pq.write_table(
            pa.Table.from_arrays(arrays, schema=schema),
            path,
            compression="zstd",
            use_dictionary=False,
            use_byte_stream_split=True,
        )

    @classmethod
    def from_parquet(cls, path: Path) -> Run:
        """Read a run that `to_parquet` wrote.

        Raises
        ------
        TiplineError
            The file is not Parquet, or not a run of this format.
        """
        import pyarrow as pa
        import pyarrow.parquet as pq

        try:
            table = pq.read_table(path)
        except pa.ArrowInvalid as error:
            msg = f"{path}: not a Parquet file; give the run.parquet of a finished run"
            raise TiplineError(msg) from error
        labels = table.schema.metadata or {}
        if labels.get(b"format") != FORMAT.encode():
            mark = labels.get(b"format", b"none").decode()
            msg = f"{path}: the format mark is {mark!r}; {FORMAT!r} is needed. Run the scenario again to make one"
            raise TiplineError(msg)
        return _from_table(table, json.loads(labels[b"tipline"]))

    def to_csv(self, path: Path) -> None:
        """Write every column as text, units in the heading: `tyre_load.front-left [N]`; DEMO mark and caution too."""
        columns, facts = _columns(self), self._marks()
        heads = [f"{name} [{channel.unit}]" if channel.unit else name for name, channel in columns.items()]
        with path.open("w", newline="", encoding="utf-8") as stream:
            writer = csv.writer(stream)
            writer.writerow([cell(head) for head in (*heads, *facts)])
            values = np.column_stack([channel.values for channel in columns.values()]).tolist()
            writer.writerows([*row, *facts.values()] for row in values)

    def to_pandas(self) -> Any:
        """Return every column as a pandas table over time, headed as in `to_csv`; raises MissingPart without pandas."""
        columns = {
            f"{name} [{channel.unit}]" if channel.unit else name: channel.values
            for name, channel in _columns(self).items()
        }
        return to_frame(columns, self._marks()).set_index("time [s]")

    def to_xarray(self) -> xarray.Dataset:
        """Give the run as an xarray Dataset: channels over `time`, poses and velocities over `time` and `body`."""
        data = {
            name: ("time", channel.values, {"units": channel.unit, "long_name": channel.label})
            for name, channel in self.channels.items()
        }
        dataset: xarray.Dataset = to_dataset(
            {
                **data,
                "pose": (("time", "body", "pose_part"), self.poses),
                "velocity": (("time", "body", "velocity_part"), self.velocities),
            },
            {"format": FORMAT, "meta": json.dumps(dict(self.meta), sort_keys=True), **self._marks()},
            {
                "time": ("time", self.time, {"units": "s", "long_name": "time"}),
                "body": list(self.bodies),
                "pose_part": [part for part, _ in POSE_PARTS],
                "velocity_part": [part for part, _ in VELOCITY_PARTS],
            },
        )
        return dataset

    def _marks(self) -> dict[str, Any]:
        return marks(str(self.meta.get("demo", "")))

    def _channel(self, name: str) -> Channel:
        if name in self.channels:
            return self.channels[name]
        from difflib import get_close_matches

        near = get_close_matches(name, self.channels, n=3, cutoff=0.4)
        msg = f"no channel is called {name!r}" + (f"; near it are {', '.join(near)}" if near else "")
        raise KeyError(msg)


def _factor(unit: str, wanted: str) -> float:
    """Give how many of `unit` (SI) one `wanted` is."""
    dimension = _DIMENSION.get(unit.replace(" ", ""))
    if dimension is None:
        msg = f"a channel in {unit or 'pure numbers'!r} is given in that unit only, not in {wanted!r}"
        raise ValueError(msg)
    return unit_table.parse(f"1 {wanted}", dimension)


def _columns(run: Run) -> dict[str, Channel]:
    """Give every column of the file in order: time, poses, velocities, channels."""
    columns = {"time": Channel(run.time, "s", "time")}
    for index, body in enumerate(run.bodies):
        for part, (name, unit) in enumerate(POSE_PARTS):
            columns[f"pose.{body}.{name}"] = Channel(run.poses[:, index, part], unit, f"{body} {name}")
        for part, (name, unit) in enumerate(VELOCITY_PARTS):
            columns[f"velocity.{body}.{name}"] = Channel(run.velocities[:, index, part], unit, f"{body} {name}")
    columns.update(run.channels)
    return columns


def _from_table(table: Any, header: Mapping[str, Any]) -> Run:
    bodies = tuple(header["bodies"])
    values = {name: table.column(name).to_numpy().astype(np.float64) for name in table.column_names}

    def stack(kind: str, parts: tuple[tuple[str, str], ...]) -> Array:
        shape = (table.num_rows, len(bodies), len(parts))
        return np.stack([values[f"{kind}.{body}.{part}"] for body in bodies for part, _ in parts], axis=1).reshape(
            shape
        )

    channels = {}
    for name in header["channels"]:
        labels = table.schema.field(name).metadata or {}
        channels[name] = Channel(values[name], labels[b"unit"].decode(), labels[b"label"].decode())
    return Run(
        time=values["time"],
        poses=stack("pose", POSE_PARTS),
        velocities=stack("velocity", VELOCITY_PARTS),
        channels=channels,
        bodies=bodies,
        tyres=tuple(header["tyres"]),
        meta=header["meta"],
        watched=Watched.from_plain(header["watched"]) if "watched" in header else None,
    )
