"""Every template reads back and runs, and holds every key of the schema with a word about it."""

from __future__ import annotations

import re
from pathlib import Path
from typing import get_args

import pytest
from typer.testing import CliRunner

import tipline
from tipline.cli import app
from tipline.errors import InputError
from tipline.model.areas import FrictionTable
from tipline.model.quantities import Spec
from tipline.model.reader import read_stock
from tipline.scenario.incident_reader import read_incident
from tipline.scenario.lesson import read_lesson
from tipline.scenario.route import Route, read_route
from tipline.scenario.schema import SPECS
from tipline.scenario.sweep_reader import read_sweep
from tipline.scenario.templates import KINDS, explanation, template

OURS = {"origins", "file", "chosen"}
AT_HOME = {"setup.counterweight_extension": "0 m", "setup.ballast_slabs": 0, "load.mass": "4 t"}


def tables_of(spec: type[Spec]) -> set[type[Spec]]:
    """Give all tables that a file may hold."""

    def within(annotation: object) -> set[type[Spec]]:
        own = {annotation} if isinstance(annotation, type) and issubclass(annotation, Spec) else set()
        return own.union(*(within(part) for part in get_args(annotation)))

    known: set[type[Spec]] = {spec}
    while more := {inner for one in known for field in one.model_fields.values() for inner in within(field.annotation)}:
        if more <= known:
            break
        known |= more
    return known


@pytest.mark.parametrize("kind", KINDS)
def test_every_key_of_the_schema_occurs_and_is_explained(kind: str) -> None:
    """A key without a line in explained.toml, or one the template forgets, fails here."""
    text = template(kind)  # type: ignore[arg-type]
    whole = {**SPECS, "route": Route}[kind]
    for table in tables_of(whole):
        for key in table.model_fields.keys() - OURS:
            if (table, key) == (whole, "name") or table is FrictionTable:
                continue  # the file's own name; one number stands for all three
            assert (explanation(table, key) or "").endswith("."), (table, key)
            there = rf"^#?{key} = |^#?\[+([a-z_]+\.)*{key}\]"
            assert re.search(there, text, re.MULTILINE), (table, key)


def test_an_unknown_key_has_no_explanation() -> None:
    assert explanation(Route, "wheels") is None


def test_a_count_that_is_left_out_stands_as_what_it_then_is() -> None:
    assert "Left out: 30.\n#minutes = 30\n" in template("lesson")


@pytest.mark.slow
def test_every_template_reads_back_and_is_taken_by_its_command(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    for kind in KINDS:
        told = CliRunner().invoke(app, ["new", kind, f"my-{kind}"]).stdout
        assert told.startswith(f"Written to my-{kind}.toml\nChange it, then: tipline ")
    assert tipline.check("service-stop-load-low", {"machine": "./my-machine.toml", **AT_HOME}).unusual == ()
    assert tipline.floor("./my-floor.toml").report.answers is not None
    posed = tipline.check("./my-scenario.toml")
    assert (posed.stands, posed.unusual, posed.not_met) == ("stands", (), ())
    assert read_stock("./my-stock.toml").item[0].count == 4
    assert read_route(Path("my-route.toml")).path == ((0.0, 0.0), (5.0, 0.0))
    assert read_sweep("my-sweep.toml").sweep.runs is None
    assert [own.cause.kind for own in read_incident("my-incident.toml").causes] == ["pedal lift", "cavity under a tyre"]
    assert [len(pair.choice) for pair in read_lesson("my-lesson.toml").lesson.pair] == [3, 2]
    with pytest.raises(InputError, match="nothing is written over it"):
        tipline.new("machine", "my-machine")
    with pytest.raises(InputError, match="is no kind of file"):
        tipline.new("truck", "x")  # type: ignore[arg-type]


@pytest.mark.parametrize("kind", KINDS)
def test_a_setting_that_is_left_out_reads_once_its_sign_is_taken_away(kind: str) -> None:
    """Every line of a setting is TOML by itself."""
    import tomllib

    settings = [line for line in template(kind).splitlines() if re.match(r"#[a-z_]+ = ", line) and "..." not in line]  # type: ignore[arg-type]
    assert len(settings) >= 4  # of a route; a floor has 202
    for line in settings:
        assert list(tomllib.loads(line.removeprefix("#"))) == [line[1:].partition(" ")[0]]
