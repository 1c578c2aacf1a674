"""Every kind of cause that a case may list is written out in its template, as it reads and as it runs."""

from __future__ import annotations

import re
import tomllib
from math import isnan
from pathlib import Path

import numpy as np
import pytest

from tipline.errors import InputErrors
from tipline.incidents.assessment import assess_incident
from tipline.scenario import read
from tipline.scenario.incident import CAUSES
from tipline.scenario.incident_reader import read_incident
from tipline.scenario.templates import template
from tipline.sweeps.batch import run_batch
from tipline.sweeps.execute import run_missing
from tipline.sweeps.job import job_of
from tipline.sweeps.store import Store
from tipline.sweeps.table import SweepTable

HEAD, _, WRITTEN = template("incident").partition("# Every kind of cause")
CASE = HEAD[: HEAD.index("\n[[cause]]")]
KINDS = {
    str(tomllib.loads(text)["cause"][0]["kind"]): text
    for part in re.sub(r"^#(?! )", "", WRITTEN, flags=re.MULTILINE).split("[[cause]]\n")[1:]
    for text in [f"[[cause]]\n{part}"]
}
"""By its kind each cause of the template, its signs taken away."""
TRIED = (
    "service stop", "load off the middle", "load stuck, then freed", "counterweight moved under load",
    "wrong load centre",
)  # fmt: skip
"""Those that no shipped case has."""


def written(folder: Path, *causes: str) -> Path:
    file = folder / "case.toml"
    file.write_text("\n".join([CASE, *causes]), encoding="utf-8")
    return file


def test_the_template_has_every_kind_of_cause() -> None:
    assert set(KINDS) == set(CAUSES)
    assert len(KINDS) == WRITTEN.count("#[[cause]]")


@pytest.mark.parametrize("half", [0, 1])
def test_each_reads_as_it_is_written_and_nothing_of_it_is_unusual(half: int, tmp_path: Path) -> None:
    plan = read_incident(written(tmp_path, *list(KINDS.values())[half::2]))
    assert [own.cause.kind for own in plan.causes] == list(KINDS)[half::2]
    assert plan.unusual == ()
    assert all(len(own.plan.inputs) == 2 for own in plan.causes)


def test_what_a_cause_sets_may_vary_in_it(tmp_path: Path) -> None:
    """A slope reads only with where it falls to; the case's own ranges still stand alone."""
    plan = read_incident(written(tmp_path, KINDS["slope"]))
    assert plan.causes[0].plan.case.scenario.setup.slope == pytest.approx(np.arctan(0.03))
    assert plan.causes[0].plan.inputs[1].figures["most"] == pytest.approx(np.arctan(0.05))
    twice = KINDS["slope"].replace("set = { ", 'set = { "load.height_of_centre" = "0.6 m", ')
    with pytest.raises(InputErrors, match=r"load\.height_of_centre is set elsewhere"):
        read_incident(written(tmp_path, twice))


def test_what_varies_in_a_table_that_is_not_there_is_told_which_to_give(tmp_path: Path) -> None:
    """It said of its middle that it must be greater than 0."""
    text = KINDS["machine defect"]
    bare = "\n".join(line for line in text.splitlines() if not line.startswith("set"))
    with pytest.raises(InputErrors, match=r"give no setup\.defects for it to lie in\. Give setup\.defects whole"):
        read_incident(written(tmp_path, bare))


def test_a_range_of_what_goes_by_steps_is_told_before_any_run(tmp_path: Path) -> None:
    """Read at both ends it was taken, and each of its runs was refused."""
    pinned = KINDS["counterweight moved under load"]
    ranged = pinned.replace('values = ["0 m", "0.2 m", "0.4 m", "0.6 m"]', 'least = "0 m", most = "0.6 m"')
    assert ranged != pinned
    with pytest.raises(InputErrors, match=r"within its range, does not read: must be on a step.*Give values in place"):
        read_incident(written(tmp_path, ranged))


@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_runs_at_the_ends_and_in_the_middle_of_its_range(kind: str, tmp_path: Path) -> None:
    """To where truck and load lie; the range makes a difference to it."""
    plan = read_incident(written(tmp_path, KINDS[kind])).causes[0].plan
    own = plan.inputs[1]
    least, *_, most = own.ends()
    cases = [
        read(plan.sweep.scenario, {**plan.fixed, **own.texts(value)}, table=False, texts=plan.texts)
        for value in (own.values or (least, 0.5 * (least + most), most))  # type: ignore[operator]
    ]
    ended = run_batch(cases, rests=True)
    assert [(one.reason, one.truck == "no result") for one in ended] == [("", False)] * len(cases)
    assert len({one.lies for one in ended}) == len(cases) >= 3


@pytest.mark.slow
def test_no_run_is_lost_of_the_kinds_that_no_shipped_case_has(tmp_path: Path) -> None:
    """Each is weighed, and its runs do not leave the truck all alike."""
    file = written(tmp_path, *(KINDS[kind] for kind in TRIED))
    plan = read_incident(file, {"runs": "20"})
    tables = []
    for number, own in enumerate(plan.causes):
        job = job_of(own.plan)
        store = Store(tmp_path / f"{number}", job, resume=False)
        run_missing(job, store, 600.0, 0, None)
        tables.append(SweepTable(data=store.finish().read_bytes()))
    for kind, table in zip(TRIED, tables, strict=True):
        ends, reasons = table.column("truck").tolist(), table.column("reason").tolist()
        assert (len(ends), "no result" in ends, set(reasons)) == (20, False, {""}), kind
        assert np.ptp(table.column("rest.truck_pitch")) > 1e-4, kind
    report = assess_incident(plan, [[table] for table in tables], courses=False)
    assert all(isnan(cause.probability) for cause in report.causes)  # so few runs tell no share
    assert not {*TRIED} & {*report.not_examined}
