"""What is kept between rows changes none of them: any order, nothing kept or everything, the same bits.

Measured.

What reading a row keeps. Texts as parsed (the eight last, by the text itself, copied for each case), quantities as
text, marks of a spec's fields by its class; what is resolved and assumed is listed when asked for, which a row never
does. 6 to 1.2 ms a row, whichever of scenario, machine and floor vary. Tyre loads for the floor's laws are found
compiled, 4 ms a row on ground and 45 before: the laws are those of `run` to rounding (4e-14).

Solids are weighed once. `geometry/assembly.py` keeps weighed groups by what they look like and weigh, so a truck with
another load, tyre stiffness or number of slabs is put together in 0.3 ms instead of 5. The pose at rest is not
started from a neighbour's: a table must not depend on the order of its rows.
"""

from __future__ import annotations

import random
import sys
from pathlib import Path

import pytest

from tipline.scenario.sweep_reader import read_sweep
from tipline.sweeps.job import Job, job_of, run_rows

SHORT = '[set]\n"run.duration" = "1.5 s"\n"run.extend_to" = "1.5 s"\n'
BREAK = 'title = "t"\nscenario = "rear-tyre-breaks-through"\n'
SPREADERS = 'title = "t"\nscenario = "the-same-lift-on-spreaders"\n'
SWEEPS = {
    "grid": SPREADERS + 'method = "grid"\n' + SHORT + '[[variable]]\nkey = "setup.fork_height"\n'
    'values = ["2 m", "3 m"]\n[[variable]]\nkey = "load.mass"\nvalues = ["4 t", "5 t", "6 t"]\n',
    "drawn": BREAK + 'method = "monte-carlo"\nruns = 5\n' + SHORT + '[[variable]]\nkey = "event.0.depth"\n'
    'least = "40 mm"\nmost = "160 mm"\n',
    "machine, floor and scenario": SPREADERS + 'method = "sobol"\nruns = 5\n' + SHORT + '[[variable]]\n'
    'key = "machine.drive_axle.tyre.front-left.stiffness"\nrelative = true\nleast = "80 %"\nmost = "125 %"\n'
    '[[variable]]\nkey = "floor.spreader.0.thickness"\nleast = "16 mm"\nmost = "30 mm"\n'
    '[[variable]]\nkey = "load.mass"\nleast = "4 t"\nmost = "6 t"\n',
}  # fmt: skip


def forget() -> None:
    """Empty all that the program keeps between calls, compiled code apart."""
    for name, module in list(sys.modules.items()):
        if name.startswith("tipline.") and not name.startswith("tipline.kernels"):
            for value in vars(module).values():
                if hasattr(value, "cache_clear"):
                    value.cache_clear()


@pytest.fixture
def jobs(tmp_path: Path) -> dict[str, Job]:
    made = {}
    for name, text in SWEEPS.items():
        file = tmp_path / "sweep.toml"
        file.write_text(text, encoding="utf-8")
        made[name] = job_of(read_sweep(file))
    return made


@pytest.mark.slow
def test_rows_are_the_same_in_any_order_with_nothing_kept_and_with_everything(jobs: dict[str, Job]) -> None:
    """Rows of all three one after the other: what one changes must not be found by the next, of another sweep."""
    forget()
    whole = {name: [repr(row) for row in run_rows(job, range(job.rows))] for name, job in jobs.items()}
    assert not any("no result" in row for rows in whole.values() for row in rows)
    places = [(name, index) for name, job in jobs.items() for index in range(job.rows)]
    for seed, keeps in ((1, True), (2, True), (3, False)):
        random.Random(seed).shuffle(places)
        for name, index in places:
            if not keeps:
                forget()
            assert repr(run_rows(jobs[name], [index])[0]) == whole[name][index], (name, index, keeps)
