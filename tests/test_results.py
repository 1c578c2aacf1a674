"""A run keeps its numbers, names and units on the way to disk and back."""

from __future__ import annotations

import csv
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from tipline.errors import TiplineError
from tipline.results import Channel, Run

BODIES = ("chassis", "load")


def make_run(values: np.ndarray | None = None) -> Run:
    samples = 5 if values is None else len(values)
    rng = np.random.default_rng(3)
    return Run(
        time=np.arange(samples) * 0.001 + 1 / 3,
        poses=rng.normal(size=(samples, 2, 7)),
        velocities=rng.normal(size=(samples, 2, 6)),
        channels={
            "tyre_load.front-left": Channel(
                np.linspace(1e3, 2e5, samples) if values is None else values, "N", "tyre load, front-left"
            ),
            "axle_angle": Channel(np.linspace(0, 0.1, samples), "rad", "axle angle"),
            "mast_moment_y": Channel(np.linspace(0, 5e4, samples), "N m", "moment of the mast forward"),
            "steer_axle_share": Channel(np.linspace(0, 0.2, samples), "", "steer-axle share"),
        },
        bodies=BODIES,
        tyres=("front-left",),
        meta={"run_id": "abc", "time_step_s": 0.001, "versions": {"numpy": np.__version__}},
    )


def test_parquet_gives_back_what_was_written(tmp_path: Path) -> None:
    before = make_run()
    before.to_parquet(tmp_path / "run.parquet")
    after = Run.from_parquet(tmp_path / "run.parquet")
    assert np.array_equal(after.time, before.time), "time keeps every bit"
    assert np.array_equal(after.poses, before.poses.astype(np.float32))
    assert np.array_equal(after.velocities, before.velocities.astype(np.float32))
    assert after.meta == before.meta
    assert (after.bodies, after.tyres, list(after.channels)) == (before.bodies, before.tyres, list(before.channels))
    for name, channel in before.channels.items():
        assert np.array_equal(after.channels[name].values, channel.values.astype(np.float32))
        assert (after.channels[name].unit, after.channels[name].label) == (channel.unit, channel.label)


def test_writing_loads_no_pandas(tmp_path: Path) -> None:
    """Which takes as long to load as the rest of the file to write, and longer."""
    text = (
        "import sys, numpy as np; from pathlib import Path; from tipline.results import Run\n"
        "Run(np.zeros(2), np.zeros((2, 0, 7)), np.zeros((2, 0, 6)), {}, (), (), {}).to_parquet(Path(sys.argv[1]))\n"
        "sys.exit('pandas' in sys.modules)"
    )
    subprocess.run([sys.executable, "-c", text, str(tmp_path / "run.parquet")], check=True)


@pytest.mark.slow
@given(
    arrays(np.float64, st.integers(1, 30), elements=st.floats(-(2.0**99), 2.0**99, width=32) | st.just(float("nan"))),
)
def test_any_channel_survives_parquet(tmp_path_factory: pytest.TempPathFactory, values: np.ndarray) -> None:
    path = tmp_path_factory.mktemp("run") / "run.parquet"
    make_run(values).to_parquet(path)
    assert np.array_equal(Run.from_parquet(path).series("tyre_load.front-left"), values, equal_nan=True)


def test_same_run_gives_the_same_file(tmp_path: Path) -> None:
    make_run().to_parquet(tmp_path / "a.parquet")
    make_run().to_parquet(tmp_path / "b.parquet")
    assert (tmp_path / "a.parquet").read_bytes() == (tmp_path / "b.parquet").read_bytes()


def test_columns_carry_units_and_are_compressed(tmp_path: Path) -> None:
    pq = pytest.importorskip("pyarrow.parquet")
    make_run().to_parquet(tmp_path / "run.parquet")
    file = pq.ParquetFile(tmp_path / "run.parquet")
    assert file.schema_arrow.field("tyre_load.front-left").metadata[b"unit"] == b"N"
    assert str(file.schema_arrow.field("time").type) == "double"
    assert str(file.schema_arrow.field("pose.load.qw").type) == "float"
    column = file.metadata.row_group(0).column(1)
    assert column.compression == "ZSTD"
    assert "BYTE_STREAM_SPLIT" in column.encodings


def test_series_converts_units() -> None:
    run = make_run()
    assert run.series("tyre_load.front-left", "kN")[-1] == pytest.approx(200.0, rel=1e-15)
    assert run.series("mast_moment_y", "kN m")[-1] == pytest.approx(50.0, rel=1e-15)
    assert run.series("axle_angle", "deg")[-1] == pytest.approx(np.degrees(0.1), rel=1e-15)
    assert run.series("tyre_load.front-left") is run.channels["tyre_load.front-left"].values


def test_series_refuses_a_unit_of_another_kind() -> None:
    with pytest.raises(ValueError, match="force"):
        make_run().series("tyre_load.front-left", "mm")
    with pytest.raises(ValueError, match="pure numbers"):
        make_run().series("steer_axle_share", "kN")


def test_series_suggests_the_nearest_name() -> None:
    with pytest.raises(KeyError, match=r"tyre_load.front-left"):
        make_run().series("tire_load.front-left")


def test_shapes_must_agree() -> None:
    run = make_run()
    with pytest.raises(ValueError, match=r"poses has shape \(5, 2, 7\); \(5, 1, 7\)"):
        Run(run.time, run.poses, run.velocities, run.channels, ("chassis",), run.tyres)
    with pytest.raises(ValueError, match="channel extra"):
        run.with_channels({"extra": Channel(np.zeros(4), "m", "extra")})


def test_at_finds_the_nearest_sample() -> None:
    run = make_run()
    assert run.at(run.time[3] + 0.0004) == 3
    assert run.at(1e9) == 4


def test_other_files_are_refused_in_plain_words(tmp_path: Path) -> None:
    pa = pytest.importorskip("pyarrow")
    import pyarrow.parquet as pq

    (tmp_path / "no.parquet").write_text("not this")
    with pytest.raises(TiplineError, match="not a Parquet file"):
        Run.from_parquet(tmp_path / "no.parquet")
    pq.write_table(pa.table({"time": [0.0]}), tmp_path / "other.parquet")
    with pytest.raises(TiplineError, match=r"'none'.*tipline\.run/1"):
        Run.from_parquet(tmp_path / "other.parquet")


def test_csv_has_one_row_a_sample_and_units_in_the_heading(tmp_path: Path) -> None:
    run = make_run()
    run.to_csv(tmp_path / "run.csv")
    with (tmp_path / "run.csv").open(newline="") as stream:
        rows = list(csv.reader(stream))
    assert rows[0][0] == "time [s]"
    assert "tyre_load.front-left [N]" in rows[0]
    assert "steer_axle_share" in rows[0]
    assert rows[0][-2:] == ["demo", "caution"]
    demo = replace(run, meta={**run.meta, "demo": True})
    demo.to_csv(tmp_path / "demo.csv")
    with (tmp_path / "demo.csv").open(newline="") as stream:
        assert [(row["demo"], row["caution"][:5]) for row in csv.DictReader(stream)] == [("1", "DEMO:")] * len(run.time)
    assert len(rows) == 1 + len(run.time)
    assert float(rows[3][rows[0].index("axle_angle [rad]")]) == run.channels["axle_angle"].values[2]


def test_pandas_has_one_row_a_sample_and_units_in_the_heading() -> None:
    pytest.importorskip("pandas")
    run = make_run()
    table = run.to_pandas()
    assert table.index.to_numpy() == pytest.approx(run.time, abs=0.0)
    assert table["tyre_load.front-left [N]"].to_numpy() == pytest.approx(run.series("tyre_load.front-left"), abs=0.0)
    assert table["pose.load.z [m]"].iloc[2] == run.poses[2, 1, 2]


def test_xarray_has_coordinates_and_units() -> None:
    pytest.importorskip("xarray")
    run = make_run()
    data = run.to_xarray()
    assert data["tyre_load.front-left"].attrs["units"] == "N"
    assert float(data["pose"].sel(body="load", pose_part="z").isel(time=2)) == run.poses[2, 1, 2]
    assert float(data["velocity"].sel(body="chassis", velocity_part="wx").isel(time=4)) == run.velocities[4, 0, 3]
