"""The outcome is told first; the film comes last, can be left out, and costs nothing else where it is broken off."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from typer.testing import CliRunner

import tipline
from few import slow_but
from tipline import cli, view
from tipline.errors import MissingPart

QUICK = ("front-tyre-breaks-through-load-low", "--spread", "0", "--quiet", "--set", "run.duration=1.1 s")


class Begun:
    """A film that is not drawn; its writing may be broken off."""

    def __init__(self, noted: list[str], broken: BaseException | None = None) -> None:
        self.noted, self.broken = noted, broken
        noted.append("film begun")

    def write(self, *_: Any) -> None:
        if self.broken is not None:
            raise self.broken
        self.noted.append("film")

    def close(self) -> None:
        self.noted.append("film closed")


class Still:
    """A still that is not drawn; its drawing may be broken off."""

    def __init__(self, noted: list[str], broken: BaseException | None = None) -> None:
        self.noted, self.broken = noted, broken
        noted.append("stills begun")

    def write(self, folder: Path) -> list[tuple[Path, str]]:
        if self.broken is not None:
            raise self.broken
        self.noted.append("stills")
        path = folder / "still-worst.png"
        Image.new("RGB", (8, 8)).save(path)
        return [(path, "the worst moment")]

    def close(self) -> None:
        self.noted.append("stills closed")


BEGUN = ["film ready", "stills begun", "film begun"]


@pytest.fixture
def drawn(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Draw nothing; note what would be."""
    noted: list[str] = []

    monkeypatch.setattr(view, "probe", lambda: "")
    monkeypatch.setattr(view, "drawers_ready", lambda *, film: noted.append("film ready" if film else "ready"))
    monkeypatch.setattr(view, "begin_stills", lambda *_: Still(noted))
    monkeypatch.setattr(view, "figures", lambda *_: {})
    monkeypatch.setattr(view, "begin_film", lambda *_: Begun(noted))
    return noted


def test_the_outcome_is_printed_first_then_the_page_then_where_it_is(tmp_path: Path, drawn: list[str]) -> None:
    done = CliRunner().invoke(cli.app, ["run", *QUICK, "--out", str(tmp_path / "out")])
    assert done.exit_code == 0, done.output
    lines = done.stdout.splitlines()
    assert [line.partition(":")[0] for line in lines[:3]] == ["truck", "lifted load", "floor"]
    assert f"Written to {tmp_path / 'out'}/" in lines[-4:]
    assert any(line.startswith("How it ended") for line in lines[3:-1])
    assert drawn == [*BEGUN, "stills", "film", "film closed", "stills closed"]


def test_it_is_known_before_any_further_run() -> None:
    told: list[str] = []
    result = tipline.run(
        QUICK[0],
        {"run.duration": 1.1},
        lambda stage, _: told.append(stage),
        spread=2,
        known=lambda outcome: told.append(f"known: {outcome.truck}"),
    )
    assert f"known: {result.report.outcome.truck}" in told
    assert (
        told.index(f"known: {result.report.outcome.truck}")
        < told.index("assessing")
        < told.index("simulating the spread")
    )


@pytest.mark.slow
def test_the_film_can_be_left_out_alone(tmp_path: Path, drawn: list[str]) -> None:
    done = CliRunner().invoke(cli.app, ["run", *QUICK, "--no-film", "--out", str(tmp_path / "out")])
    assert done.exit_code == 0, done.output
    assert drawn == ["ready", "stills begun", "stills", "stills closed"]
    assert "Left out: film: not asked for (--no-film)." in done.stdout
    assert "film: not asked for (--no-film)" in summary_of(tmp_path)["left_out"]


@pytest.mark.parametrize(
    ("raised", "code", "words"),
    slow_but([(KeyboardInterrupt, 130, "broken off"), (MissingPart, 0, "no drawer")], KeyboardInterrupt),
)
def test_a_film_that_is_not_finished_costs_nothing_else(
    tmp_path: Path,
    drawn: list[str],
    monkeypatch: pytest.MonkeyPatch,
    raised: type[BaseException],
    code: int,
    words: str,
) -> None:
    broken = MissingPart("no drawer", install="none") if raised is MissingPart else raised()
    monkeypatch.setattr(view, "begin_film", lambda *_: Begun(drawn, broken))
    done = CliRunner().invoke(cli.app, ["run", *QUICK, "--out", str(tmp_path / "out")])
    assert done.exit_code == code, done.output
    assert drawn == [*BEGUN, "stills", "film closed", "stills closed"]
    names = {path.name for path in (tmp_path / "out").iterdir()}
    assert names == {
        "inputs", "replay.html", "report.html", "report.json", "run.parquet", "still-worst.png", "summary.json",
    }  # fmt: skip
    assert any(words in text for text in summary_of(tmp_path)["left_out"])
    assert ("interrupted" in done.stderr) is (code == 130)


class Lost(Still):
    """A still whose drawer is lost after the first picture."""

    def write(self, folder: Path) -> list[tuple[Path, str]]:
        super().write(folder)
        raise MissingPart("a process that draws ended before its time")


def test_what_draws_may_be_lost_and_costs_the_pictures_alone(
    tmp_path: Path, drawn: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(view, "begin_stills", lambda *_: Lost(drawn))
    done = CliRunner().invoke(cli.app, ["run", *QUICK, "--out", str(tmp_path / "out")])
    assert done.exit_code == 0, done.output
    assert drawn == [*BEGUN, "stills", "film closed", "stills closed"]
    names = {path.name for path in (tmp_path / "out").iterdir()}
    assert names == {"inputs", "replay.html", "report.html", "report.json", "run.parquet", "summary.json"}
    assert "stills and film: a process that draws ended before its time" in summary_of(tmp_path)["left_out"]


def test_a_run_broken_off_before_its_film_draws_no_more_of_it(
    tmp_path: Path, drawn: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(view, "begin_stills", lambda *_: Still(drawn, KeyboardInterrupt()))
    done = CliRunner().invoke(cli.app, ["run", *QUICK, "--out", str(tmp_path / "out")])
    assert done.exit_code == 130
    assert drawn == [*BEGUN, "film closed", "stills closed"]
    assert list(tmp_path.iterdir()) == []


@pytest.mark.slow
def test_in_python_a_broken_off_film_is_raised_when_the_folder_is_whole(
    tmp_path: Path, drawn: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(view, "begin_film", lambda *_: Begun(drawn, KeyboardInterrupt()))
    result = tipline.run(QUICK[0], {"run.duration": 1.1}, spread=0)
    with pytest.raises(KeyboardInterrupt):
        tipline.write(result, tmp_path / "out")
    assert (tmp_path / "out" / "report.html").exists()


def summary_of(folder: Path) -> Any:
    return json.loads((folder / "out" / "summary.json").read_text(encoding="utf-8"))
