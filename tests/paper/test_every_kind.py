"""Floor, slopes, loads and sweep as PDF: the figures of their tables are those of summary.json, row by row."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from filed_sheets import A4, LETTER, sheets, summary_of, text_of
from tipline.report.filed import QUESTIONS

KIP = 4.4482216
"""1000 lbf [kN]."""


def below(folder: Path, head: str) -> str:
    """The text below a table's caption, up to the next one."""
    text = re.split(rf"\nTable \d+\. {head}", text_of(folder / "report.pdf"), maxsplit=1)[1]
    return re.split(r"\nTable \d+\. ", text, maxsplit=1)[0]


@pytest.mark.slow
def test_tyre_loads_and_governing_ratio_of_a_floor(floored: Path) -> None:
    told, text = summary_of(floored), text_of(floored / "report.pdf")
    first = " ".join(text.split("What decides")[0].split())
    assert QUESTIONS["floor"] in first
    ratio = told["governing"]
    assert f"Likely {ratio['of_planning_limit_likely']:.1f} times the planning limit" in first
    ends = (f"{ratio[f'of_planning_limit_{end}']:.1f}" for end in ("low", "high"))
    assert f"nine in ten draws {' to '.join(ends)}" in first
    rows = re.findall(
        r"^(\S+), as set up .*? ([\d,]+) lbf ([\d,]+) lbf ([\d,]+) lbf ", below(floored, "Tires on the floor"), re.M
    )
    assert [row[0] for row in rows] == [tyre["tyre"] for tyre in told["tyres"]]
    for row, tyre in zip(rows, told["tyres"], strict=True):
        loads = (tyre[name] / KIP * 1000.0 for name in ("load_at_rest_kN", "peak_load_kN", "peak_rolling_load_kN"))
        assert [float(cell.replace(",", "")) for cell in row[1:]] == pytest.approx(list(loads), rel=6e-3)
    exceeded = below(floored, "Planning limits exceeded")
    printed = [float(one) for one in re.findall(r"^.*? ([\d.]+) [\d.]+ to [\d.]+ \D+$", exceeded, re.M)]
    worst: dict[str, float] = {}
    for one in told["answers"]:
        if one["of_planning_limit_high"] > 1.0:
            worst[one["mode"]] = max(worst.get(one["mode"], 0.0), one["of_planning_limit_likely"])
    assert printed == pytest.approx(sorted(worst.values(), reverse=True), abs=0.0501)


def test_every_kind_tells_its_facts_with_their_ranges(floored: Path) -> None:
    """8820 lb told within 5 %: 8380 to 9260 lb; a slab of 6 in from a drawing: a fifth thinner, a tenth thicker."""
    text = text_of(floored / "report.pdf")
    facts = text.split("Facts: what was given")[1].split("What was computed from it")[0]
    assert re.search(r"^lifted load: mass 8,820 lb 8,380 lb to 9,260 lb demo$", facts, re.M)
    assert re.search(
        r"^floor\.zone\.0\.thickness 6 in 4\.8 in to 6\.6 in drawing$", text.split("Annex: every input")[1], re.M
    )
    band = r"^floor\.zone\.0\.subgrade_reaction by the soil, a band 55\.3 pci to 221 pci assumed$"
    assert re.search(band, text.split("Annex: every input")[1], re.M)  # 15 to 60 MN/m3


@pytest.mark.slow
def test_loads_by_set_up_and_without_a_load(asked: Path) -> None:
    told = summary_of(asked)
    rows = re.findall(r"^counterweight .*? (\d+) % ([\d.]+) % ([\d.]+) %$", below(asked, "Without a load"), re.M)
    stand = [one for one in told["without_a_load"] if not one["tips_back"] and one["side_slope"] is not None]
    assert len(rows) == len(stand) > 5
    for row, one in zip(rows, stand, strict=True):
        share, held, of_test = (float(cell) for cell in row)
        assert share == pytest.approx(100 * one["drive_axle_share"], abs=0.501)
        assert (held, of_test) == pytest.approx((100 * one["side_slope"], 100 * one["side_slope_of_test"]), abs=0.0501)
    printed = re.findall(r" ([\d.]+) tonne: (\D+?) (\d+) %", below(asked, "Greatest load on the forks"))
    cells = [one for one in told["set_ups"] if one["attachment"] == "forks" and one["greatest_kg"]]
    assert len(printed) == len(cells) > 5
    found = sorted((float(load), rule, int(part)) for load, rule, part in printed)
    known = sorted(
        (one["greatest_kg"] / 1e3, one["nearest_rule"], round(100 * one["part_of_nearest_rule"])) for one in cells
    )
    assert found == known


@pytest.mark.slow
def test_slope_limits_by_direction(sloped: Path) -> None:
    told, text = summary_of(sloped), text_of(sloped / "report.pdf")
    assert QUESTIONS["slopes"] in text
    assert f"Least slope limit at rest {told['least']['percent']:.1f} %" in text.split("Facts: what was given")[0]
    rows = re.findall(r"^fork height \S+ m (ahead|left|behind|right) ([\d.]+) % \(", below(sloped, "Ahead, left"), re.M)
    known = {one["azimuth_deg"] % 360.0: one["first_percent"] for one in told["limits"]}
    assert [way for way, _ in rows] == ["ahead", "left", "behind", "right"]
    for (_, printed), azimuth in zip(rows, (0.0, 90.0, 180.0, 270.0), strict=True):
        assert float(printed) == pytest.approx(known[azimuth], abs=0.0501)


@pytest.mark.slow
def test_endings_of_a_sweep(swept: Path) -> None:
    told, text = summary_of(swept), text_of(swept / "report.pdf")
    assert QUESTIONS["sweep"] in text
    asked = told["with_outcome"]
    assert f"{asked['count']} of {asked['runs']} runs went over" in text.split("Facts: what was given")[0]
    rows = re.findall(
        r"^(truck|lifted load|floor) .*? (\d+) of (\d+) (\d+) % ", below(swept, "How the runs ended"), re.M
    )
    assert [(row[0], int(row[1]), int(row[2])) for row in rows] == [
        (one["part"], one["count"], one["runs"]) for one in told["shares"]
    ]
    assert all(int(row[3]) == round(100 * one["share"]) for row, one in zip(rows, told["shares"], strict=True))
    weight = next(one for one in told["effects"] if one["input"] == "lifted weight")
    counts = re.findall(r" (\d+) of (\d+) \d+ % ", below(swept, "By lifted weight"))
    assert [tuple(map(int, pair)) for pair in counts] == [(one["count"], one["runs"]) for one in weight["groups"]]
    facts = text.split("Facts: what was given")[1]
    assert re.search(r"^event 1: depth \d+ mm 40 mm to 160 mm demo$", facts, re.M)


@pytest.mark.slow
@pytest.mark.parametrize(("folder", "size"), [("floored", LETTER), ("sloped", A4), ("asked", A4), ("swept", LETTER)])
def test_every_kind_has_its_sheets_its_opinion_and_its_blanks(
    request: pytest.FixtureRequest, folder: str, size: tuple[float, float]
) -> None:
    found = sheets(request.getfixturevalue(folder) / "report.pdf")
    assert all((wide, high) == pytest.approx(size, abs=0.1) for wide, high, _, _ in found)
    text = "\n".join(words for _, _, words, _ in found)
    parts = (
        "Facts: what was given",
        "What was computed from it",
        "Assumptions and limits",
        "Opinion",
        "Author and reviewer",
    )
    places = [re.search(rf"^\d+ {part}$", text, re.M) for part in parts]
    assert all(places)
    starts = [place.start() for place in places if place]
    assert starts == sorted(starts)
    notes = re.findall(r"^Mean: a run that went over", text, re.M)
    assert len(notes) == (folder == "swept")  # what stands below one table is not said again below the next
    assert text.count("\nsignature") + text.count(" signature") >= 2
