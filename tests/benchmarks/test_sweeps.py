"""How a sweep scales from one worker to two, and how much memory 100 000 rows take (pytest -s prints the figures).

Measured.

Sweeps. Runs are made in children (`sweeps/isolated.py`), also for one worker and on the workers of dask, a chunk a
task (a fortieth of the rows, 100 at most); chunks are written by the parent, so that workers need no shared disk and
a stopped sweep holds whole chunks only. A child hands over each row as it is made: where it dies one run is suspect,
is tried once more with nothing of the sweep beside it, then marked. How long a run may take counts from the start of
each, on a timer in C that works while a compiled loop holds Python's lock. For one worker the child costs 0.4 s of
processor time (1.4 s with loading, which the parent is spared) and at most 2 ms a row, and holds 200 MB. 100 000 rows
take 247 MB in the parent at the peak, 1000 take 210. `workers=0`, in Python only, makes runs in the process itself.
Workers on this computer are children, however many; dask is for a cluster by its scheduler's address. 200 runs by two
of dask's took 14 to 15 s of processor time, by two children 8, by one 7: loading dask, three times over, was 6 to 7 s.
Where the kernel is compiled already all children start at once, each with 1.2 s of loading: numpy 0.1, scenario and
truck 0.5, numba 0.2, what finds the pose at rest 0.4, what steps 0.1.
"""

from __future__ import annotations

import importlib
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

pytest.importorskip("pybullet")

from tipline import units
from tipline.model import document
from tipline.scenario.sweep_reader import read_sweep
from tipline.sweeps import execute
from tipline.sweeps.execute import run_missing
from tipline.sweeps.job import _case, _changes, _drawn, job_of, run_rows
from tipline.sweeps.store import Store
from tipline.sweeps.table import SweepTable

pytestmark = pytest.mark.slow

SWEEP = """
title = "t"
scenario = "front-tyre-breaks-through-load-high"
method = "sobol"
runs = {runs}
[[variable]]
key = "event.0.depth"
least = "60 mm"
most = "160 mm"
[[variable]]
key = "load.mass"
least = "4 t"
most = "5 t"
"""
CHEAP = '''
import resource, sys
from tipline.sweeps import execute, job
from tipline.sweeps.draws import Rows
from tipline.commands.sweep import sweep

def cheap(made, indices):
    """Rows without runs: what is measured is draws, chunks, table and report."""
    drawn = Rows(made.sweep.method, made.sweep.seed, made.inputs, made.rows).between(indices[0], indices[-1] + 1)
    none = job.lost_row(made, indices[0], "")
    names = [one.column for one in made.inputs]
    return [
        none | dict(zip(names, values)) | {"run": index, "truck": "over" if index % 3 else "down"}
        for index, values in zip(indices, drawn)
    ]

execute.run_rows = cheap
from pathlib import Path
result = sweep(sys.argv[1], {"runs": sys.argv[2]}, Path(sys.argv[3]), workers=0)
assert len(result.table) == int(sys.argv[2])
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)
'''


CLOCKED = '''
import time
from tipline.sweeps import job

def each_row(made, indices, before):
    """Rows with the processor time each took."""
    begin = time.process_time()
    for row in job.each_row(made, indices, before):
        yield row | {"why": f"{time.process_time() - begin}"}
        begin = time.process_time()
'''


def timed(file: Path, out: Path, workers: int) -> tuple[float, float]:
    """Return the time of all rows at the pace from the first chunk on disk to the last, without the start of the
    workers, and the processor time of the rows themselves."""
    made = job_of(read_sweep(file))
    kept = Store(out, made)
    at: list[float] = []
    (file.parent / "clocked.py").write_text(CLOCKED, encoding="utf-8")
    with pytest.MonkeyPatch.context() as patch:
        patch.syspath_prepend(file.parent)  # from where the workers take it too
        patch.setattr(execute, "each_row", importlib.import_module("clocked").each_row)
        run_missing(made, kept, 600.0, workers, tell=lambda there: at.append(time.perf_counter()) if there else None)
    spent = SweepTable(kept.finish()).column("why").astype(float)
    return (at[-1] - at[0]) / (len(at) - 1) * kept.chunks, float(np.median(spent)) * made.rows


def test_two_workers_against_one(tmp_path: Path) -> None:
    """Held by processor time, which others on the machine disturb less; the wall's ratio is printed."""
    file = tmp_path / "sweep.toml"
    file.write_text(SWEEP.format(runs=400), encoding="utf-8")
    (one, alone), (two, both) = (timed(file, tmp_path / str(workers), workers) for workers in (1, 2))
    print(f"\n400 runs: one worker {one:.1f} s ({2.5 * alone:.1f} ms of processor a run), two {two:.1f} s: ", end="")
    print(f"{one / two:.2f} times as fast by the clock, {2 * alone / both:.2f} by processor time")
    assert both < 1.6 * alone


def test_reading_a_row_costs_little_beside_running_it(tmp_path: Path) -> None:
    """By processor time, least of five; for comparison with each text parsed anew, and its values listed."""
    file = tmp_path / "sweep.toml"
    file.write_text(SWEEP.format(runs=200), encoding="utf-8")
    made = job_of(read_sweep(file))
    changes = [_changes(made, values) for values in _drawn(made, range(20))]

    def anew() -> None:
        for one in changes:
            document.parsed.cache_clear()
            units.parse.cache_clear()
            case = _case(made, one)
            assert not isinstance(case, str)
            assert case.resolved
            assert case.assumed

    def least(action: Callable[[], object]) -> float:
        spent = []
        for _ in range(6):
            begin = time.process_time()
            action()
            spent.append(1e3 * (time.process_time() - begin) / len(changes))
        return min(spent[1:])

    whole, reading = least(lambda: run_rows(made, range(20))), least(lambda: [_case(made, one) for one in changes])
    print(f"\na row {whole:.1f} ms of processor, of which reading {reading:.2f}; with nothing kept {least(anew):.1f}")
    assert reading < 0.2 * whole


def test_memory_does_not_grow_with_the_rows(tmp_path: Path) -> None:
    """Least and most rows of a real study; the table itself is 37 columns wide."""
    file = tmp_path / "sweep.toml"
    file.write_text(SWEEP.format(runs=100), encoding="utf-8")
    peaks = {}
    for rows in (1000, 20_000, 100_000):
        done = subprocess.run(
            [sys.executable, "-c", CHEAP, str(file), str(rows), str(tmp_path / str(rows))],
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode == 0, done.stderr
        peaks[rows] = float(done.stdout)
    size = (tmp_path / "100000" / "sweep.parquet").stat().st_size / 1e6
    print(f"\npeak memory [MB]: {peaks}; table of 100 000 rows: {size:.1f} MB")
    assert peaks[100_000] - peaks[1000] < 250.0
