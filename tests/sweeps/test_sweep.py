"""Sweeps from file to table: the same rows however they are shared out, stopped, killed, or short of disk.

Measured.

What is taken up by `--resume` carries a hash of sweep, version and rows and is read whole, page checksums and all: a
chunk of 100 rows in some milliseconds. A table in the place of the sweep's that is not it is set aside, never
deleted.
"""

from __future__ import annotations

import errno
import json
import os
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from itertools import chain
from pathlib import Path

import failing
import numpy as np
import psutil
import pyarrow.parquet as pq
import pytest

from tipline.commands.sweep import Interrupted, sweep
from tipline.engines import simulate
from tipline.errors import InputError, TiplineError
from tipline.results import Run
from tipline.scenario import read
from tipline.scenario.sweep_reader import read_sweep
from tipline.statics.barrier import crest_losses
from tipline.sweeps import execute, job
from tipline.sweeps.execute import run_missing
from tipline.sweeps.job import Job, Row, job_of, run_rows
from tipline.sweeps.store import Store
from tipline.sweeps.table import SweepTable
from trucks import HUNG, hole

HEAD = 'title = "t"\nscenario = "front-tyre-breaks-through-load-high"\n'
SET = '[set]\n"run.duration" = "2.5 s"\n"run.extend_to" = "2.5 s"\n'
DEPTH = '[[variable]]\nkey = "event.0.depth"\nleast = "60 mm"\nmost = "160 mm"\n'
MASS = '[[variable]]\nkey = "load.mass"\ndistribution = "normal"\nmean = "4.5 t"\ndeviation = "0.2 t"\n'
SLABS = '[[variable]]\nkey = "setup.ballast_slabs"\nvalues = [2, 4]\n'
PATIENCE = 600.0
DRAWN = HEAD + 'method = "monte-carlo"\nruns = 12\nseed = 4\n' + SET + DEPTH + MASS + SLABS


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "sweep.toml"
    path.write_text(DRAWN, encoding="utf-8")
    return path


def written(text: str, folder: Path) -> Path:
    path = folder / "sweep.toml"
    path.write_text(text, encoding="utf-8")
    return path


def begun(file: Path, out: Path, *, resume: bool = False) -> tuple[Job, Store]:
    made = job_of(read_sweep(file))
    return made, Store(out, made, resume=resume)


def whole(file: Path, out: Path, **how: object) -> bytes:
    """The table's bytes."""
    made, kept = begun(file, out)
    run_missing(made, kept, PATIENCE, **how)  # type: ignore[arg-type]
    return kept.finish().read_bytes()


def alone(changes: dict[str, str]) -> Run:
    """The same case in pybullet."""
    case = read("front-tyre-breaks-through-load-high", changes, table=False)
    return simulate(case, losses=crest_losses(case))


@pytest.mark.slow
def test_one_row_a_run_with_units_and_the_inputs_it_was_made_with(file: Path, tmp_path: Path) -> None:
    table = sweep(file, out=tmp_path / "out").table
    assert len(table) == 12
    assert table.inputs == ("event.0.depth", "load.mass", "setup.ballast_slabs")
    assert [table.unit(name) for name in ("event.0.depth", "load.mass", "roll_least", "peak_load.front-left")] == [
        "m", "kg", "rad", "N",
    ]  # fmt: skip
    assert set(table.column("reason")) == {""}
    assert pq.ParquetFile(table.path).num_row_groups == 1, "12 chunks of a row are one group of the table"
    assert set(table.column("setup.ballast_slabs")) <= {2, 4}
    one = read_sweep(file).inputs[0]
    depth = float(table.column("event.0.depth")[5])
    assert one.figures["least"] < depth < one.figures["most"]
    single = alone(
        {
            "event.0.depth": f"{depth!r} m",
            "load.mass": f"{float(table.column('load.mass')[5])!r} kg",
            "setup.ballast_slabs": str(table.column("setup.ballast_slabs")[5]),
            "run.duration": "2.5 s",
            "run.extend_to": "2.5 s",
        }
    )
    assert single.series("roll").min() == pytest.approx(table.column("roll_least")[5], abs=np.radians(0.1))


@pytest.mark.slow
def test_a_table_shows_and_converts_itself(file: Path, tmp_path: Path) -> None:
    result = sweep(file, {"runs": "3"})
    table = result.table
    assert result.folder is None
    frame = table.to_pandas()
    assert frame.shape == (3, len(table.names) - 1)
    assert frame.attrs["units"]["load.mass"] == "kg"
    data = table.to_xarray()
    assert data["roll_least"].attrs["units"] == "rad"
    assert "load.mass" in data.coords
    assert np.array_equal(data["load.mass"].values, frame["load.mass"].to_numpy())
    assert "<th>load.mass [kg]</th>" in table._repr_html_()
    assert "What was varied" in result._repr_html_()
    assert repr(result) == f"<SweepResult {result.report.title!r}>"
    assert "<th>roll_least" not in table._repr_html_()
    assert "roll_least" in table._repr_html_()
    with pytest.raises(KeyError, match="no column is called 'mass'"):
        table.column("mass")
    other = tmp_path / "other.parquet"
    other.write_bytes(b"nothing")
    with pytest.raises(TiplineError, match="not a Parquet file"):
        SweepTable(other)


def test_the_rows_of_any_split_are_the_same(file: Path) -> None:
    made = job_of(read_sweep(file))
    together = run_rows(made, range(12))
    apart = list(chain.from_iterable(run_rows(made, part) for part in ([0, 1, 2], [3], range(4, 12))))
    assert repr(apart) == repr(together)
    assert repr(run_rows(made, [7, 2])) == repr([together[7], together[2]])


def test_a_worker_needs_none_of_the_files(tmp_path: Path) -> None:
    from tipline.model.shipped import find

    for kind, name in (("machine", "demo-truck-a"), ("scenario", "front-tyre-breaks-through-load-high")):
        text = find(kind, name)[0].read_text(encoding="utf-8").replace('"demo-truck-a"', '"own/machine.toml"')  # type: ignore[arg-type]
        place = tmp_path / ("own/machine.toml" if kind == "machine" else "own.toml")
        place.parent.mkdir(exist_ok=True)
        place.write_text(text, encoding="utf-8")
    made = job_of(read_sweep(written(DRAWN.replace("front-tyre-breaks-through-load-high", "own.toml"), tmp_path)))
    want = run_rows(made, [0])
    (tmp_path / "own.toml").unlink()
    (tmp_path / "own" / "machine.toml").unlink()
    assert want[0]["truck"] != "no result"
    assert repr(run_rows(made, [0])) == repr(want)


@pytest.mark.slow
def test_a_threshold_lies_where_bisection_by_hand_finds_it(tmp_path: Path) -> None:
    sought = '[threshold]\nkey = "event.0.depth"\nleast = "40 mm"\nmost = "240 mm"\nwithin = "2 mm"\n'
    text = HEAD + 'method = "threshold"\n' + sought + SLABS
    result = sweep(written(text, tmp_path))
    table = result.table
    at, held = table.column("threshold"), table.column("held")
    assert (at - held > 0.0).all()
    assert (at - held <= 2e-3).all()
    halved = np.concatenate((at, held)) / (0.05 / 32)  # of five values from 40 to 240 mm, 50 mm apart, until below 2 mm
    assert halved == pytest.approx(np.round(halved - 25.6) + 25.6, abs=1e-6)
    for slabs, tips, stays in zip(table.column("setup.ballast_slabs"), at, held, strict=True):
        changes = {"setup.ballast_slabs": str(slabs)}
        words = [
            alone({**changes, "event.0.depth": f"{depth!r} m"}).series("roll").min() < -0.7
            for depth in (float(tips) + 2e-3, float(stays) - 2e-3)  # the engines agree within 2 mm
        ]
        assert words == [True, False]
    assert "goes over from hole depth" in result.report.lead


@pytest.mark.slow
def test_the_least_of_several_thresholds_is_found_and_said_not_to_be_the_only_one(tmp_path: Path) -> None:
    """With a stop of 2 deg it goes over at 96.0 to 99.4 mm and from 103 mm on; halving from 92 and 104 mm finds 103."""
    (tmp_path / "window.toml").write_text(
        HUNG + hole("front-left", "100 mm") + '[run]\nduration = "8 s"\n', encoding="utf-8"
    )
    sought = '[threshold]\nkey = "event.0.depth"\nleast = "56 mm"\nmost = "104 mm"\nwithin = "0.5 mm"\n'
    head = HEAD.replace("front-tyre-breaks-through-load-high", "window.toml")
    text = head + 'method = "threshold"\n[set]\n"machine.steer_axle.stop" = "2 deg"\n' + sought
    report = sweep(written(text, tmp_path)).report
    (found,) = report.thresholds
    assert found.at == pytest.approx(0.0960, abs=6e-4)
    assert found.changes_back
    assert report.lead.endswith("on; not at every greater one")


@pytest.mark.slow
def test_a_threshold_beyond_the_range_is_said_to_be(tmp_path: Path) -> None:
    sought = '[threshold]\nkey = "event.0.depth"\nleast = "10 mm"\nmost = "40 mm"\nwithin = "10 mm"\n'
    report = sweep(written(HEAD + 'method = "threshold"\n' + SET + sought, tmp_path)).report
    assert report.lead == "no threshold found in the range"
    assert "not up to hole depth 40 mm" in report.thresholds[0].reason


def test_a_run_that_does_not_read_or_breaks_costs_itself_only(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    text = DRAWN.replace('"monte-carlo"\nruns = 12\nseed = 4', '"grid"').replace(MASS, "").replace(SLABS, "")
    text = text.replace('least = "60 mm"\nmost = "160 mm"', 'values = ["60 mm", "70 mm", "80 mm", "90 mm"]')
    file = written(text, tmp_path)
    good = run_rows(job_of(read_sweep(file)), range(4))
    reads, batch = job.read, job.run_batch

    def reader(name: str, changes: dict[str, str], **how: object) -> object:
        if changes["event.0.depth"] == "0.07 m":
            msg = "must be something else"
            raise InputError(msg, key="event.0.depth")
        return reads(name, changes, **how)  # type: ignore[arg-type]

    def breaks(cases: Sequence[object], zones: object, **how: object) -> object:
        if any(abs(case.scenario.event[0].depth - 0.09) < 1e-9 for case in cases):  # type: ignore[attr-defined]
            msg = "division by zero"
            raise ZeroDivisionError(msg)
        return batch(cases, zones, **how)  # type: ignore[arg-type]

    monkeypatch.setattr(job, "read", reader)
    monkeypatch.setattr(job, "run_batch", breaks)
    result = sweep(file, workers=0)
    rows = run_rows(job_of(read_sweep(file)), range(4))
    assert [row["truck"] == "no result" for row in rows] == [False, True, False, True]
    assert repr([rows[0], rows[2]]) == repr([good[0], good[2]])
    assert rows[1]["reason"] == "event.0.depth: must be something else"
    assert rows[3]["reason"] == "ZeroDivisionError: division by zero"
    assert result.report.lost == 2
    assert any("1 of 4 rows have no result: ZeroDivisionError" in text for text in result.report.sentences)
    assert any("2 rows without a result are in no share" in text for text in result.report.cautions)


@pytest.mark.slow
def test_a_load_free_on_the_forks_is_swept_too(tmp_path: Path) -> None:
    text = HEAD.replace("front-tyre-breaks-through-load-high", "free-load-slides-on-the-forks")
    text += 'method = "grid"\n[[variable]]\nkey = "load.mass"\nvalues = ["1 t"]\n'
    result = sweep(written(text, tmp_path))
    assert (result.report.lost, list(result.table.column("lifted_load"))) == (0, ["slid"])


def test_a_folder_with_something_in_it_is_refused(file: Path, tmp_path: Path) -> None:
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "note").write_text("mine", encoding="utf-8")
    for resume in (False, True):
        with pytest.raises(InputError, match="there is something there already"):
            begun(file, tmp_path / "out", resume=resume)


def test_resume_where_there_is_no_sweep_is_refused(file: Path, tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    for folder in ("absent", "empty"):
        with pytest.raises(InputError, match=r"no sweep to go on with\. Leave resume out"):
            begun(file, tmp_path / folder, resume=True)
    assert not (tmp_path / "absent").exists()
    assert not list((tmp_path / "empty").iterdir())


@pytest.mark.slow
def test_resume_runs_only_what_is_missing_and_gives_the_same_table(
    file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    want = whole(file, tmp_path / "whole")
    made, kept = begun(file, tmp_path / "out")
    for number in (0, 3, 8):
        kept.write(number, run_rows(made, kept.indices(number)))
    (tmp_path / "out" / "parts" / "000005.tmp").write_bytes(b"half")
    with pytest.raises(InputError, match=r"holds a sweep already.*by resume"):
        begun(file, tmp_path / "out")
    ran: list[int] = []

    def noted(made: Job, indices: Sequence[int]) -> list[Row]:
        ran.extend(indices)
        return run_rows(made, indices)

    monkeypatch.setattr(execute, "run_rows", noted)
    made, again = begun(file, tmp_path / "out", resume=True)
    run_missing(made, again, PATIENCE, workers=0)
    assert ran == [index for index in range(12) if index not in (0, 3, 8)]
    assert again.finish().read_bytes() == want
    assert not (tmp_path / "out" / "parts").exists()
    made, finished = begun(file, tmp_path / "out", resume=True)
    run_missing(made, finished, PATIENCE, workers=0)
    assert len(ran) == 9
    assert finished.finish().read_bytes() == want


def cut(place: Path) -> None:
    place.write_bytes(place.read_bytes()[:-100])


def spoiled(place: Path) -> None:
    """A letter of a page's data that the format alone does not miss."""
    held = bytearray(place.read_bytes())
    held[len(held) // 8] ^= 0xFF
    place.write_bytes(bytes(held))


def emptied(place: Path) -> None:
    place.write_bytes(b"")


@pytest.mark.slow
@pytest.mark.parametrize("harm", [cut, spoiled, emptied])
def test_a_chunk_that_is_not_whole_is_made_again_and_told(
    file: Path, tmp_path: Path, harm: Callable[[Path], None]
) -> None:
    want = whole(file, tmp_path / "whole")
    made, kept = begun(file, tmp_path / "out")
    for number in range(4):
        kept.write(number, run_rows(made, kept.indices(number)))
    harm(tmp_path / "out" / "parts" / "000002.parquet")
    told: list[str] = []
    again = sweep(file, out=tmp_path / "out", workers=0, resume=True, progress=lambda stage, _: told.append(stage))
    assert again.table.path is not None
    assert again.table.path.read_bytes() == want
    assert "making again 1 of the files found, which are not whole or not this sweep's" in told


@pytest.mark.slow
def test_what_stands_in_the_place_of_a_chunk_or_table_is_not_taken_for_it(file: Path, tmp_path: Path) -> None:
    """A chunk of another sweep, one of this sweep under another's number, the whole table of another."""
    want = whole(file, tmp_path / "whole")
    other = written(DRAWN.replace("seed = 4", "seed = 5"), tmp_path / "whole")
    theirs, store = begun(other, tmp_path / "other")
    store.write(0, run_rows(theirs, [0]))
    made, kept = begun(file, tmp_path / "out")
    for number in range(3):
        kept.write(number, run_rows(made, kept.indices(number)))
    parts = tmp_path / "out" / "parts"
    (parts / "000000.parquet").write_bytes((tmp_path / "other" / "parts" / "000000.parquet").read_bytes())
    (parts / "000001.parquet").write_bytes((parts / "000002.parquet").read_bytes())
    (parts / "000077.parquet").write_bytes((parts / "000002.parquet").read_bytes())
    (parts / "0x1.parquet").write_bytes(b"")
    run_missing(theirs, store, PATIENCE, workers=0)
    (tmp_path / "out" / "sweep.parquet").write_bytes(store.finish().read_bytes())
    made, again = begun(file, tmp_path / "out", resume=True)
    assert again.unfit == 5
    assert again.missing() == [number for number in range(12) if number != 2]
    run_missing(made, again, PATIENCE, workers=0)
    assert again.finish().read_bytes() == want
    assert (tmp_path / "out" / "sweep-not-of-this.parquet").read_bytes() == store.table.read_bytes()


@pytest.mark.slow
def test_a_table_that_was_cut_is_made_again_and_one_with_another_title_is_not(file: Path, tmp_path: Path) -> None:
    want = whole(file, tmp_path / "out")
    made, kept = begun(written(DRAWN.replace('"t"', '"another title"'), tmp_path), tmp_path / "out", resume=True)
    assert kept.missing() == []
    cut(tmp_path / "out" / "sweep.parquet")
    made, kept = begun(written(DRAWN, tmp_path), tmp_path / "out", resume=True)
    assert (len(kept.missing()), kept.unfit) == (12, 1)
    run_missing(made, kept, PATIENCE, workers=0)
    assert kept.finish().read_bytes() == want


@pytest.mark.parametrize("name", ["parts", "sweep.json", "parts/000001.parquet", "inputs", "sweep.html"])
def test_a_folder_with_links_in_it_is_not_gone_on_with(file: Path, tmp_path: Path, name: str) -> None:
    made, kept = begun(file, tmp_path / "out")
    for number in range(2):
        kept.write(number, run_rows(made, kept.indices(number)))
    (tmp_path / "out" / "inputs").mkdir()
    (tmp_path / "out" / "sweep.html").write_text("page", encoding="utf-8")
    (tmp_path / "mine").mkdir()
    place, away = tmp_path / "out" / name, tmp_path / "mine" / "it"
    place.rename(away)
    place.symlink_to(away)
    (tmp_path / "mine" / "it.tmp").write_text("mine", encoding="utf-8")
    before = {path: path.is_dir() or path.read_bytes() for path in (tmp_path / "mine").rglob("*")}
    with pytest.raises(InputError, match=f"holds a link, {name}, which no sweep puts there. Remove the link"):
        begun(file, tmp_path / "out", resume=True)
    assert {path: path.is_dir() or path.read_bytes() for path in (tmp_path / "mine").rglob("*")} == before


@pytest.mark.parametrize(
    ("old", "new"),
    [("seed = 4", "seed = 5"), ("60 mm", "61 mm"), ("2.5 s", "2.6 s"), ("runs = 12", "runs = 13")],
)
def test_resume_refuses_a_changed_file(file: Path, tmp_path: Path, old: str, new: str) -> None:
    begun(file, tmp_path / "out")
    begun(
        written("# a remark more\n" + DRAWN.replace('"t"', '"another title"'), tmp_path), tmp_path / "out", resume=True
    )
    with pytest.raises(InputError, match="holds another sweep: the sweep file") as caught:
        begun(written(DRAWN.replace(old, new), tmp_path), tmp_path / "out", resume=True)
    assert caught.value.key == "resume"


def test_resume_refuses_a_changed_scenario(tmp_path: Path) -> None:
    from tipline.model.shipped import find

    text = find("scenario", "front-tyre-breaks-through-load-high")[0].read_text(encoding="utf-8")
    own = tmp_path / "own.toml"
    own.write_text(text, encoding="utf-8")
    file = written(DRAWN.replace("front-tyre-breaks-through-load-high", "own.toml"), tmp_path)
    begun(file, tmp_path / "out")
    own.write_text(text.replace('"120 kg"', '"121 kg"'), encoding="utf-8")
    with pytest.raises(InputError, match="holds another sweep"):
        begun(file, tmp_path / "out", resume=True)


def full(monkeypatch: pytest.MonkeyPatch, name: str, after: int) -> None:
    """Let the disk be full once so many files of the table are written: half a file, then the error."""
    write, done = getattr(pq, name), [0]

    def stand_in(table: object, where: Path, **how: object) -> object:
        done[0] += 1
        if done[0] > after:
            Path(where).write_bytes(b"half")
            raise OSError(errno.ENOSPC, "No space left on device", str(where))
        return write(table, where, **how)

    monkeypatch.setattr(pq, name, stand_in)


def no_space(*_: object) -> None:
    raise OSError(errno.ENOSPC, "No space left")


@pytest.mark.slow
def test_a_full_disk_is_told_and_loses_nothing(file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    want = whole(file, tmp_path / "whole")
    with monkeypatch.context() as patch:
        full(patch, "write_table", 5)
        made, kept = begun(file, tmp_path / "out")
        with pytest.raises(InputError, match="No space left on device; 5 of 12 rows are kept") as caught:
            run_missing(made, kept, PATIENCE)
    assert "go on with resume" in caught.value.remedy
    assert not list((tmp_path / "out" / "parts").glob("*.tmp"))
    made, again = begun(file, tmp_path / "out", resume=True)
    run_missing(made, again, PATIENCE)
    with monkeypatch.context() as patch:
        patch.setattr(pq.ParquetWriter, "write_table", no_space)
        with pytest.raises(InputError, match="12 of 12 rows are kept"):
            again.finish()
    made, last = begun(file, tmp_path / "out", resume=True)
    assert last.missing() == []
    assert last.finish().read_bytes() == want


@pytest.mark.slow
@pytest.mark.parametrize("workers", [0, 1])
def test_ctrl_c_keeps_what_is_finished(
    file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, workers: int
) -> None:
    write, done = Store.write, [0]

    def interrupted(store: Store, number: int, rows: Sequence[Row]) -> None:
        if done[0] == 7:
            raise KeyboardInterrupt
        done[0] += 1
        write(store, number, rows)

    with monkeypatch.context() as patch:
        patch.setattr(Store, "write", interrupted)
        with pytest.raises(Interrupted) as caught:
            sweep(file, out=tmp_path / "out", workers=workers)
    assert (caught.value.kept, caught.value.rows) == (7, 12)
    table = sweep(file, out=tmp_path / "out", workers=workers, resume=True).table
    assert table.path is not None
    assert table.path.read_bytes() == whole(file, tmp_path / "whole")


@pytest.mark.slow
def test_without_dask_only_a_cluster_is_out_of_reach(
    file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    want = whole(file, tmp_path / "want", workers=0)
    monkeypatch.setitem(sys.modules, "distributed", None)
    assert whole(file, tmp_path / "out", workers=2) == want
    with pytest.raises(TiplineError, match=r"tipline\[sweeps\]"):
        sweep(file, {"runs": "3"}, scheduler="tcp://127.0.0.1:1")


def command(*words: object) -> list[str]:
    return [sys.executable, "-m", "tipline", "sweep", *map(str, words)]


def wait(happens: Callable[[], bool], seconds: float = 300.0) -> None:
    end = time.monotonic() + seconds
    while not happens():
        assert time.monotonic() < end, "it did not happen"
        time.sleep(0.02)


def parts(out: Path) -> int:
    return len(list((out / "parts").glob("*.parquet")))


def family(pid: int) -> list[psutil.Process]:
    """A process's descendants."""
    return psutil.Process(pid).children(recursive=True)


def workers_of(pid: int) -> list[int]:
    """Processes below one that make its runs."""
    return [one.pid for one in family(pid) if "serve()" in " ".join(one.cmdline())]


def places(pid: int) -> set[str]:
    """The addresses at which a process and those below it listen, or to which they speak."""
    found = [place for one in (psutil.Process(pid), *family(pid)) for place in one.net_connections()]
    return {end.ip for place in found for end in (place.laddr, place.raddr) if end}


def gone(pids: Sequence[int]) -> bool:
    return not any(psutil.pid_exists(pid) for pid in pids)


@pytest.mark.slow
def test_two_workers_are_children_that_nobody_reaches_and_leave_nothing(
    file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "temp").mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "temp"))
    threads, shared = os.environ.get("OMP_NUM_THREADS"), set(Path("/dev/shm").iterdir())
    made, kept = begun(file, tmp_path / "out")
    seen: list[int] = []

    def look(there: int) -> None:
        if there < 6:
            return
        children = workers_of(os.getpid())
        assert [psutil.Process(pid).ppid() for pid in children] == [os.getpid()] * 2
        assert not places(os.getpid()), "none listens, none speaks to another"
        seen.extend(children)

    run_missing(made, kept, PATIENCE, 2, tell=look)
    assert len(set(seen)) == 2
    assert gone(seen)
    assert kept.finish().read_bytes() == whole(file, tmp_path / "whole", workers=0)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["out", "sweep.toml", "temp", "whole"]
    assert not list((tmp_path / "temp").iterdir())
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == ["sweep.json", "sweep.parquet"]
    assert set(Path("/dev/shm").iterdir()) <= shared
    assert os.environ.get("OMP_NUM_THREADS") == threads


@pytest.mark.slow
@pytest.mark.parametrize("chunks", [0, 3])
def test_sigint_to_the_whole_group_keeps_what_is_finished(tmp_path: Path, chunks: int) -> None:
    """As a terminal's Ctrl-C, as workers start or once they work: every process of the command gets it."""
    file, out = written(DRAWN.replace("runs = 12", "runs = 400"), tmp_path), tmp_path / "out"
    going = subprocess.Popen(
        command(file, "--workers", 2, "--out", out, "--quiet"),
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
        cwd=tmp_path,
    )
    wait(lambda: bool(family(going.pid)) and parts(out) >= chunks)
    below = [one.pid for one in family(going.pid)]
    os.killpg(going.pid, signal.SIGINT)
    _, said = going.communicate(timeout=20)
    kept = parts(out)
    assert chunks <= kept < 40
    told = f"tipline: interrupted; {10 * kept} of 400 rows are kept in {out}; go on with --resume --out {out}\n"
    assert (going.returncode, said) == (130, told)
    wait(lambda: gone(below), 5)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["out", "sweep.toml"]


@pytest.mark.slow
def test_killed_workers_then_killed_parent_then_resumed_is_the_uninterrupted_table(tmp_path: Path) -> None:
    """One worker at a run, then the other; the parent last."""
    file, out = written(DRAWN.replace("runs = 12", "runs = 400"), tmp_path), tmp_path / "out"
    going = subprocess.Popen(command(file, "--workers", 2, "--out", out), stderr=subprocess.DEVNULL)
    wait(lambda: parts(out) >= 3)
    before = workers_of(going.pid)
    assert len(before) == 2
    for pid in before:
        os.kill(pid, signal.SIGKILL)
        seen = parts(out)
        wait(lambda seen=seen: parts(out) >= seen + 5)  # type: ignore[misc]
    below = [one.pid for one in family(going.pid)]
    assert not set(before) & set(below)
    going.kill()
    going.wait(30)
    assert 0 < parts(out) < 40
    wait(lambda: gone([*before, *below]), 60)  # none outlives it
    subprocess.run(command(file, "--workers", 2, "--out", out, "--resume", "--quiet"), check=True, capture_output=True)
    assert (out / "sweep.parquet").read_bytes() == whole(file, tmp_path / "whole")
    assert not (out / "parts").exists()
    summary = json.loads((out / "summary.json").read_text(encoding="utf-8"))
    assert summary["without_result"] == 0


@pytest.mark.slow
def test_on_a_cluster_by_address_the_table_is_the_same(
    file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A scheduler and a worker of their own, on this computer; then again with runs that fail."""
    monkeypatch.setenv("PYTHONPATH", os.pathsep.join(sys.path))
    monkeypatch.setenv("FAILING", '{"3": "memory", "7": "kill"}')
    monkeypatch.setenv("NOTED", str(tmp_path / "noted"))
    bin_of = [sys.executable, "-m", "distributed.cli.dask_scheduler"]
    port = tmp_path / "address.json"
    common = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    server = subprocess.Popen(
        [*bin_of, "--host", "127.0.0.1", "--port", "0", "--no-dashboard", "--scheduler-file", str(port)], **common
    )
    worker = None
    try:
        wait(port.exists, 60)
        wait(lambda: port.read_text().strip().endswith("}"), 10)
        address = json.loads(port.read_text())["address"]
        worker = subprocess.Popen(
            [sys.executable, "-m", "distributed.cli.dask_worker", address, "--nthreads", "1", "--no-dashboard"],
            **common,
        )
        out = tmp_path / "out"
        done = subprocess.run(
            command(file, "--scheduler", address, "--out", out, "--quiet"), capture_output=True, text=True, check=False
        )
        assert done.returncode == 0, done.stderr
        assert (out / "sweep.parquet").read_bytes() == whole(file, tmp_path / "whole")
        monkeypatch.setattr(execute, "each_row", failing.each_row)
        lost = whole(file, tmp_path / "lost", scheduler=address)
        assert lost == whole(file, tmp_path / "lost here")
        assert np.flatnonzero(SweepTable(data=lost).column("truck") == "no result").tolist() == [3, 7]
        assert worker.poll() is None
    finally:
        for process in (worker, server):
            if process is not None:
                process.terminate()
                process.wait(20)


@pytest.mark.slow
def test_an_address_where_nobody_answers_is_refused(
    file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    pytest.importorskip("distributed")
    monkeypatch.setattr("tipline.sweeps.cluster.PATIENCE", "500ms")
    with pytest.raises(InputError, match="no scheduler with a worker answers there"):
        sweep(file, out=tmp_path / "new" / "out", scheduler="tcp://127.0.0.1:9")
    assert sorted(tmp_path.iterdir()) == [file]
    (tmp_path / "mine").mkdir()
    with pytest.raises(InputError, match="no scheduler"):
        sweep(file, out=tmp_path / "mine", scheduler="tcp://127.0.0.1:9")
    assert not list((tmp_path / "mine").iterdir())


@pytest.mark.slow
def test_a_sweep_gone_on_with_stays_when_nobody_answers(
    file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    pytest.importorskip("distributed")
    monkeypatch.setattr("tipline.sweeps.cluster.PATIENCE", "500ms")
    made, store = begun(file, tmp_path / "out")
    store.write(0, run_rows(made, store.indices(0)))
    with pytest.raises(InputError, match="no scheduler"):
        sweep(file, out=tmp_path / "out", scheduler="tcp://127.0.0.1:9", resume=True)
    assert begun(file, tmp_path / "out", resume=True)[1].rows_there() == 1
