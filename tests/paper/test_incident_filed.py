"""An incident to be filed: what its PDF says is what summary.json has; set again, and made again, from its folder."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import pytest

import tipline
from filed_sheets import LETTER, sheets, summary_of, text_of
from tipline.incidents.report import percent
from tipline.report.filed import QUESTIONS
from tipline.report.stored import read_filed
from tipline.view.incident_plan import draw_incident_plan

pytestmark = pytest.mark.slow
PHONE = 366.0
"""What a page leaves for a picture on a telephone 390 wide [pixels]."""


def test_findings_and_verdicts_of_the_pdf_are_those_of_the_summary(incident: Path) -> None:
    told, text = summary_of(incident), " ".join(text_of(incident / "report.pdf").split())
    assert QUESTIONS["reconstruct"] in text
    assert told["heading"].replace("tyre", "tire") in text
    for cause in told["causes"]:
        assert cause["verdict"] in text
        share = cause["probability"]
        assert ("not told" if share is None else percent(share)) in text
        for moment in cause["moments"]:
            assert f"{moment['at_s']:.2f} s" in text
        assert bool(cause["moments"]) == (
            f"The moments of it, if it was this: {cause['said'].replace('tyre', 'tire')}" in text
        )
    for finding in told["findings"]:
        assert finding["by"] in text
    assert "Figure 1. What was found, from above" in text
    assert {(wide, high) for wide, high, _, _ in sheets(incident / "report.pdf")} == {LETTER}
    facts, computed = text.index("Facts: what was given"), text.index("What was computed from it")
    assert facts < text.index("What was found", facts) < computed < text.index("The causes listed")
    assert text.index("Opinion") < text.index("Author and reviewer")
    assert not any(word in text.split("Annex: every input")[0] for word in ("kN", "tyre", "e+"))


def test_a_filed_incident_is_set_again_without_any_run(incident: Path, tmp_path: Path) -> None:
    copy = shutil.copytree(incident, tmp_path / "copy")
    for name in ("runs", "inputs"):
        shutil.rmtree(copy / name)
    again = tipline.report_of(copy, units="us", paper="letter")
    assert tipline.report.paper.filed_pdf(again.filed, "us", "letter") == (incident / "report.pdf").read_bytes()
    assert read_filed(copy).command == "reconstruct"


def test_an_incident_made_again_from_its_folder_is_identical(incident: Path) -> None:
    result = tipline.repeat(incident)
    assert (result.grade, result.differences, result.changed) == ("identical", (), ())


def test_a_changed_finding_is_noticed_and_differs(incident: Path, tmp_path: Path) -> None:
    copy = shutil.copytree(incident, tmp_path / "copy")
    path = next((copy / "inputs").glob("truck-on-its-side*"))
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace('recorded = "6 m"', 'recorded = "4 m"'), encoding="utf-8")
    result = tipline.repeat(copy)
    assert result.grade == "differs"
    assert result.changed == (f"inputs/{path.name} was changed since",)


def test_what_was_found_is_drawn_where_it_was_found(
    reconstructed: tipline.commands.reconstruct.ReconstructResult,
) -> None:
    """A load found 6 m to the left within 0.8 m is a band from 5.2 to 6.8; nothing is drawn of what was moved."""
    report = reconstructed.report
    assert report.found_at("load.left") == (6.0, 0.8)
    assert report.found_at("truck.roll") is None
    assert report.tyres["front-left"][1] > 0.0 > report.tyres["front-right"][1]
    for cause, tables in zip(report.causes, reconstructed.tables, strict=True):
        nearest = cause.rests[0]
        ends = [end for table in tables for end in table.column("rest.truck_left").tolist()]
        assert nearest.truck[1] in ends
        assert len(cause.rests) == 5
    svg = draw_incident_plan(report)
    assert svg == draw_incident_plan(report)
    wide, least = (
        float(re.findall(r'width="([\d.]+)pt"', svg)[0]),
        min(map(float, re.findall(r" scale\(([\d.]+) ", svg))),
    )
    assert 100.0 * least * PHONE / wide > 10.4  # letters in pixels: matplotlib draws glyphs in hundredths of their size
    assert json.dumps(tipline.report.incident.incident_summary(report), allow_nan=False)
