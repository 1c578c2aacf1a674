"""Defects of the truck as causes: of cases made up from runs with a known one, it is found again.

One case lists them all, so that what the runs of one leave is set beside those of the others.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from tipline.incidents.assessment import assess_incident
from tipline.incidents.judged import Judged
from tipline.incidents.report import Verdict
from tipline.incidents.rounds import CauseRuns
from tipline.scenario.incident_reader import read_incident
from tipline.sweeps.execute import run_missing
from tipline.sweeps.job import job_of
from tipline.sweeps.store import Store
from tipline.sweeps.table import SweepTable

CASE = """
title = "A stop with a load off its middle, and something wrong with the truck"
scenario = "turn-with-the-load-up"
runs = 24
seed = 4

[set]
"setup.speed" = "4 km/h"
"load.mass" = "6 t"
"load.centre_offset" = '["0 m", "0.25 m"]'
event = '[{ at = "1 s", kind = "pedal_lift", deceleration = "1 m/s2" }]'

[[variable]]
key = "event.0.at"
name = "when it happened"
least = "0.9 s"
most = "1.1 s"
"""
FINDINGS = {
    "truck.end": 'recorded = "down"',
    "truck.ahead": 'recorded = "2 m"\nwithin = "0.1 m"',
    "truck.left": 'recorded = "0 m"\nwithin = "0.1 m"',
    "truck.heading": 'recorded = "0 deg"\nwithin = "2 deg"',
    "truck.roll": 'recorded = "0 deg"\nwithin = "0.3 deg"',
    "truck.pitch": 'recorded = "0 deg"\nwithin = "0.3 deg"',
    "load.ahead": 'recorded = "2 m"\nwithin = "0.05 m"',
    "load.height": 'recorded = "5 m"\nwithin = "0.05 m"',
}
BRAKED = 'key = "event.0.deceleration", least = "0.9 m/s2", most = "1.1 m/s2"'
HOLE = """
"setup.speed" = "0 km/h"
"load.mass" = "3 t"
"load.centre_offset" = '["0 m", "0 m"]'
event = '[{ at = "1 s", kind = "breakthrough", under = "front-left", depth = "120 mm", hole = ["0.6 m", "0.6 m"] }]'
"""
"""The frame rolls onto its stop where a front tyre is down in a hole."""
DEFECTS = {
    "nothing": ("", "", BRAKED),
    "worn tyre": (
        "",
        "tyre = [{ name = 'front-left', worn = '20 mm' }]",
        'key = "setup.defects.tyre.0.worn", least = "10 mm", most = "30 mm"',
    ),
    "soft tyre": (
        "",
        "tyre = [{ name = 'front-left', stiffness = 0.5 }]",
        'key = "setup.defects.tyre.0.stiffness", least = "0.3", most = "0.6"',
    ),
    "burst tyre": ("", "tyre = [{ name = 'front-right', burst = true }]", BRAKED),
    "lift leaks": ("", "lift_leak = '50 mm/s'", 'key = "setup.defects.lift_leak", least = "30 mm/s", most = "90 mm/s"'),
    "mast leaks": (
        "",
        "tilt_leak = '0.2 deg/s'",
        'key = "setup.defects.tilt_leak", least = "0.1 deg/s", most = "0.4 deg/s"',
    ),
    "slack steering": (
        "",
        "steering_off = '2 deg'",
        'key = "setup.defects.steering_off", least = "1 deg", most = "5 deg"',
    ),
    "brake grabs": ("", "braking = 1.6", 'key = "setup.defects.braking", least = "1.4", most = "2"'),
    "hole": (HOLE, "", 'key = "event.0.depth", least = "118 mm", most = "122 mm"'),
    "hole and stop": (HOLE, "stop_left = '8 deg'", 'key = "setup.defects.stop_left", least = "6 deg", most = "10 deg"'),
}


def written(folder: Path, names: Sequence[str], runs: int) -> Path:
    found = "".join(f'\n[[found]]\nof = "{of}"\n{text}\n' for of, text in FINDINGS.items())
    causes = []
    for name in names:
        given, defect, varied = DEFECTS[name]
        causes.append(f'\n[[cause]]\nname = "{name}"\nkind = "machine defect"\nsaid = "{name}"\n')
        causes.append(f'variable = [{{ {varied}, name = "{name}, how much" }}]\n[cause.set]\n{given}')
        causes.append(f'"setup.defects" = "{{ {defect} }}"\n' if defect else "")
    file = folder / "case.toml"
    file.write_text("".join([CASE.replace("runs = 24", f"runs = {runs}"), found, *causes]), encoding="utf-8")
    return file


class Recovered:
    """Runs of some causes, and how the cases made up from them are told apart."""

    def __init__(self, folder: Path, names: Sequence[str], runs: int) -> None:
        self.plan, self.tables = read_incident(written(folder, names, runs)), list[tuple[SweepTable, ...]]()
        for number, own in enumerate(self.plan.causes):
            job = job_of(own.plan)
            store = Store(folder / f"{number}", job)
            run_missing(job, store, 600.0, 0, None)
            self.tables.append((SweepTable(data=store.finish().read_bytes()),))
        every = [CauseRuns(self.plan, number, own) for number, own in enumerate(self.tables)]
        left = tuple(runs.judged.left[0] for runs in every)
        self.judged = Judged(every[0].judged.findings, left, np.full(len(left), 1.0 / len(left)), 1)
        shares, truth, _ = self.judged.told_of_made_up(40 * len(names))
        self.told: dict[str, dict[str, float]] = {
            name: dict(zip(names, shares[truth == number].mean(axis=0).tolist(), strict=True))
            for number, name in enumerate(names)
        }


@pytest.mark.slow
def test_a_leak_is_told_from_slack_steering(tmp_path: Path) -> None:
    """With 20 runs of each."""
    told = Recovered(tmp_path, ("lift leaks", "slack steering"), 20).told
    assert told["lift leaks"]["lift leaks"] > 0.95
    assert told["slack steering"]["slack steering"] > 0.95


@pytest.fixture(scope="module")
def recovered(tmp_path_factory: pytest.TempPathFactory) -> Recovered:
    return Recovered(tmp_path_factory.mktemp("defects"), tuple(DEFECTS), 24)


@pytest.mark.slow
def test_each_defect_is_found_again(recovered: Recovered) -> None:
    """The mean probability told of the right one, of ten that are equally likely before."""
    for name in ("burst tyre", "lift leaks", "mast leaks", "slack steering", "brake grabs"):
        assert recovered.told[name][name] > 0.6, (name, recovered.told[name])
    for name in ("hole", "hole and stop"):
        assert recovered.told[name]["hole"] + recovered.told[name]["hole and stop"] > 0.95
        assert recovered.told[name][name] > 0.6, (name, recovered.told[name])


@pytest.mark.slow
def test_a_worn_and_a_soft_tyre_leave_the_same_and_are_not_told_apart(recovered: Recovered) -> None:
    """Both lower the truck at one corner; together they are told from all else."""
    for name in ("worn tyre", "soft tyre"):
        told = recovered.told[name]
        assert told["worn tyre"] + told["soft tyre"] > 0.85
        assert 0.2 < told["worn tyre"] < 0.8


@pytest.mark.slow
def test_a_known_leak_is_named_on_the_page_of_its_case(recovered: Recovered) -> None:
    """What one run of it left, taken as found: it is consistent or needs more runs, a burst tyre is not consistent."""
    place = list(DEFECTS).index("lift leaks")
    table = recovered.tables[place][0]
    readings = tuple(
        replace(reading, value=_value(reading.measured.words, table.column(reading.measured.column)[3]))
        for reading in recovered.plan.readings
    )
    report = assess_incident(replace(recovered.plan, readings=readings), recovered.tables, courses=False)
    verdicts = {cause.name: cause.verdict for cause in report.causes}
    assert verdicts["lift leaks"] != Verdict.NOT
    assert verdicts["burst tyre"] == verdicts["brake grabs"] == Verdict.NOT
    assert all(cause.misses for cause in report.causes if cause.verdict == Verdict.NOT)


def _value(words: tuple[str, ...], left: object) -> float | str:
    return str(left) if words else float(left)  # type: ignore[arg-type]
