"""The replay of a run as a file: made from the stored folder alone, whole, and refused where it would not be true."""

from __future__ import annotations

import base64
import gzip
import json
import re
import shutil
from importlib import metadata
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from typer.testing import CliRunner

import tipline
from tipline import cli
from tipline.commands.stored import stored
from tipline.errors import InputError, MissingPart
from tipline.geometry.posed import rotation
from tipline.playback import library
from tipline.playback.ghosts import SpreadRun, ghosts
from tipline.playback.html import page_html
from tipline.results import Run

QUICK = {"run.duration": 1.2, "event.0.at": 0.3}


@pytest.fixture(scope="module")
def made() -> tipline.RunResult:
    return tipline.run("front-tyre-breaks-through-load-high", QUICK, spread=3, floor_spread=0, engine="compiled")


@pytest.fixture(scope="module")
def folder(made: tipline.RunResult, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tipline.write(made, tmp_path_factory.mktemp("runs") / "run", pictures=False)


@pytest.fixture(scope="module")
def page(folder: Path) -> str:
    return tipline.replay(folder).html


def pack(page: str, name: str) -> bytes:
    (text,) = re.findall(rf'<script type="text/plain" data-pack="{re.escape(name)}">([^<]*)</script>', page)
    return gzip.decompress(base64.b64decode(text))


def facts(page: str, run: int = 0) -> dict[str, Any]:
    return json.loads(pack(page, f"facts.{run}"))


def series(page: str, run: int = 0) -> dict[str, Any]:
    told = facts(page, run)
    numbers, start, found = np.frombuffer(pack(page, f"series.{run}"), "<f4"), 0, {}
    for name, width in told["series"]:
        size = width * told["count"]
        found[name] = numbers[start : start + size].reshape(-1, width)
        start += size
    assert start == len(numbers)
    return found


@pytest.mark.slow
def test_a_stored_folder_is_the_run_that_was_made(made: tipline.RunResult, folder: Path) -> None:
    kept = stored(folder)
    assert kept.result.report.run_id == made.report.run_id
    assert kept.result.report.outcome == made.report.outcome
    assert kept.result.report.events == made.report.events
    assert kept.result.case.resolved == made.case.resolved
    assert kept.result.run.poses == pytest.approx(made.run.poses, abs=1e-6)


def test_the_page_holds_what_the_arrays_hold(made: tipline.RunResult, page: str) -> None:
    told, rows = facts(page), series(page)
    index = [made.run.at(float(time)) for time in rows["time"][:, 0]]
    assert [tyre["name"]["si"] for tyre in told["tyres"]] == list(made.run.tyres)
    for number, tyre in enumerate(made.run.tyres):
        assert rows[f"load.{number}"][:, 0] == pytest.approx(made.run.series(f"tyre_load.{tyre}")[index], abs=0.01)
    for number, line in enumerate(told["lines"]):
        name = line["name"].replace("tip ", "").replace("swing ", "swing.")
        least, when = made.report.distances.get(name) or made.report.swing[name.removeprefix("swing.")]
        assert (line["worst"], line["worst_time"]) == (pytest.approx(least, abs=1e-6), pytest.approx(when))
        at = int(np.argmin(np.abs(rows["time"][:, 0] - when)))
        assert rows[f"distance.{number}"][at, 0] == pytest.approx(least, abs=1e-5)
    assert [(mark["time"], mark["text"]["si"]) for mark in told["marks"]] == [
        (pytest.approx(time), text) for time, text in sorted(made.report.events, key=lambda event: event[0])
    ]
    depth = made.run.series("place_depth.0")[index]
    assert rows["depth.0"][:, 0] == pytest.approx(depth, abs=1e-6)


def test_outlines_are_where_the_runs_had_truck_and_load(made: tipline.RunResult) -> None:
    further = [
        SpreadRun(made.run, stayed_up=True),
        SpreadRun(made.run, stayed_up=False),
        SpreadRun(made.run, stayed_up=False),
    ]
    drawn = ghosts(made.case, further, wanted=4)
    said = drawn.facts["said"]
    assert "The truck stayed up in 1 of 3 (full lines; dashed where it did not). 1 more had no result." in said
    centres = np.array(made.run.meta["centres"])
    names = ("chassis", "mast", "load")
    for k, when in enumerate(np.arange(drawn.facts["times"]) * drawn.facts["apart"]):
        index = min(int(np.searchsorted(made.run.time, when)), len(made.run.time) - 1)
        for box, name in enumerate(names):
            body = made.run.bodies.index(name)
            pose = made.run.poses[index, body]
            where = drawn.places[2, k, box]
            turn = where[3:] / 32767
            assert abs(turn @ pose[3:]) == pytest.approx(1.0, abs=2e-4)
            carried = where[:3] * drawn.facts["unit"] + rotation(turn) @ centres[body]
            assert carried == pytest.approx(pose[:3], abs=2e-3)
    (low, high), *_, (load_low, load_high) = drawn.facts["boxes"]
    assert high[0] - low[0] > made.case.machine.wheelbase
    assert made.case.load is not None
    wider = np.array(load_high) - load_low - made.case.load.size  # drawn with its bars and feet
    assert np.all((wider > -0.01) & (wider < 0.15))


@pytest.mark.slow
def test_the_share_is_that_of_the_spread_it_draws_again(made: tipline.RunResult, folder: Path) -> None:
    assert made.report.spread is not None
    page = tipline.replay(folder, spread=3).html
    told = facts(page)["ghosts"]
    up = made.report.spread.stayed_up
    assert sum(told["up"]) == up
    assert f"The truck stayed up in {up} of 3" in told["said"]
    assert len(pack(page, "ghosts.0")) == 2 * 3 * told["times"] * len(told["boxes"]) * 7
    assert 'data-pack="ghosts' not in tipline.replay(folder).html
    with pytest.raises(InputError, match="must be a whole number from 0 to 100"):
        tipline.replay(folder, spread=101)


def test_us_texts_have_inches_and_tires(page: str) -> None:
    told = facts(page)
    assert "4.65 in" in told["marks"][0]["text"]["us"]
    assert "118 mm" in told["marks"][0]["text"]["si"]
    assert not re.search(r"\d (mm|kN|m)\b|tyre", json.dumps([mark["text"]["us"] for mark in told["marks"]]))


def test_it_is_one_file_that_asks_for_nothing(page: str) -> None:
    assert len(page) < 1.1e6
    assert re.findall(r'(?:src|href)="(?!data:)', page) == []
    (policy,) = re.findall(r'http-equiv="Content-Security-Policy" content="([^"]*)"', page)
    assert policy.startswith("default-src &#39;none&#39;; script-src &#39;sha256-")
    assert "unsafe" not in policy
    assert "http" not in policy
    assert "three.js" in page
    assert "MIT licence" in page


def test_demo_and_computed_stand_on_it(made: tipline.RunResult, page: str) -> None:
    assert page.count(">DEMO<") == 2
    assert f"computed, not recorded · run {made.report.run_id} · {made.report.assumed_count} values assumed" in page


@pytest.mark.slow
def test_what_is_told_of_further_runs_is_kept(made: tipline.RunResult, folder: Path, tmp_path: Path) -> None:
    """A run that could go either way is headed so from its folder too, where its further runs are not kept."""
    other = tmp_path / "run"
    shutil.copytree(folder, other)
    told = json.loads((other / "summary.json").read_text(encoding="utf-8"))
    told["outcome"]["heading"] = "Could go either way: the truck stayed up in 2 of 3 runs"
    (other / "summary.json").write_text(json.dumps(told), encoding="utf-8")
    page = tipline.replay(other, units="us").html
    assert facts(page)["heading"]["us"] == told["outcome"]["heading"]
    assert facts(page)["doubts"] == ["the truck stayed up in 2 of 3 runs"]
    assert f"{made.report.ended}." in dict(facts(page)["sentences"])["This run"]["si"]


def test_a_folder_that_is_none_is_refused_with_its_name(folder: Path, tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"nowhere: is not a folder\. Give the folder that tipline run wrote"):
        tipline.replay(tmp_path / "nowhere")
    with pytest.raises(InputError, match=r"has no run\.parquet"):
        tipline.replay(tmp_path)
    with pytest.raises(InputError, match="run = 5"):
        tipline.replay(5)  # type: ignore[arg-type]
    mixed = tmp_path / "mixed"
    shutil.copytree(folder, mixed)
    resolved = mixed / "inputs" / "resolved.toml"
    resolved.write_text(resolved.read_text(encoding="utf-8").replace('"118 mm"', '"95 mm"'), encoding="utf-8")
    with pytest.raises(InputError, match="its inputs are those of run"):
        tipline.replay(mixed)
    Run.from_parquet(mixed / "run.parquet")


@pytest.mark.slow
def test_the_command_writes_it_into_the_folder_or_where_it_is_told(folder: Path, tmp_path: Path) -> None:
    done = CliRunner().invoke(cli.app, ["replay", str(folder), "--quiet"])
    assert done.exit_code == 0
    assert done.stdout.splitlines()[:2] == [f"Written to {folder / 'replay.html'}", "Open it in a browser."]
    (folder / "replay.html").unlink()
    done = CliRunner().invoke(cli.app, ["replay", str(folder), "--out", str(tmp_path / "new" / "a.html"), "--quiet"])
    assert done.exit_code == 0
    assert (tmp_path / "new" / "a.html").read_text(encoding="utf-8").startswith("<!DOCTYPE html>")
    (tmp_path / "file").write_text("", encoding="utf-8")
    done = CliRunner().invoke(cli.app, ["replay", str(folder), "--out", str(tmp_path / "file" / "a.html"), "--quiet"])
    assert done.exit_code == 2
    assert "cannot be written" in done.stderr
    assert [path.name for path in tmp_path.iterdir() if path.name.startswith(".")] == []


def test_without_nicegui_it_says_what_to_install(monkeypatch: pytest.MonkeyPatch, folder: Path) -> None:
    def absent(name: str) -> Any:
        raise metadata.PackageNotFoundError(name)

    library.three.cache_clear()
    monkeypatch.setattr(library.metadata, "distribution", absent)
    with pytest.raises(MissingPart, match=r"NiceGUI, whose three\.js draws replays, is not installed\. To add it: pip"):
        tipline.replay(folder)


def test_the_library_gives_what_the_page_takes() -> None:
    """A NiceGUI that moves or renames these fails here and is told to the user, not met in the browser."""
    library.three.cache_clear()
    text = library.three()
    for name in library.EXPORTS:
        assert re.search(rf"[ {{,]{name}[,}}]", text[text.rindex("export{") :])
    assert not re.search(r"""(?:^|[;}])import["'{*]""", text)


def test_a_title_cannot_end_a_script(page: str, folder: Path) -> None:
    from tipline.playback.of_run import Played, track_of

    result = stored(folder).result
    track = track_of(Played(result.report, result.case))
    track.facts["title"] = "</script><script>alert(1)</script>"
    told = page_html([track], {"si": "</h1><b>", "us": ""}, {"si": "", "us": ""})
    assert "<script>alert" not in told
    assert "&lt;/h1&gt;" in told
