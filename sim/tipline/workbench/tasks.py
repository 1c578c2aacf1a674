"""What each button has made: the task for a child, and the name of the folder of its result."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from tipline.commands.folder import free_name
from tipline.errors import InputError
from tipline.scenario.templates import toml_value
from tipline.units import System
from tipline.workbench import history
from tipline.workbench.begun import files_of
from tipline.workbench.bench import Bench, FileKind
from tipline.workbench.wishes import wished
from tipline.workbench.work import Work
from tipline.workbench.worker import BenchTask

__all__ = ["FILED", "task_of"]

FILED: dict[str, FileKind] = {"sweep": "sweep", "reconstruct": "incident", "lesson": "lesson"}
"""Commands that take a file of their own, with its kind."""
_OF_CASE = ("floor", "slopes", "loads")
_OWN_SWEEP, _SET_UP = "sweep-of-this-set-up.toml", "this-set-up.toml"


def task_of(work: Work, runs: Path, what: str, of: str) -> tuple[BenchTask | None, str]:
    """Give what is to be made, and the name of its folder, "" where it goes into one that is there.

    Raises
    ------
    InputError
        The set-up cannot be read, or what is asked for is not here.
    """
    if what == "run":
        return _of_case(work, what, {"stills": work.stills})
    if what == "ask" and of in _OF_CASE:
        return _of_case(work, of, _chosen(work) if of == "floor" else {})
    if what == "ask" and of == "fit":
        return _fit(work)
    if what in FILED or what == "own-sweep":
        return _filed(work, what, of)
    return _stored(work, runs, what, of), ""


def _begun(runs: Path, name: str) -> BenchTask:
    """Go on with a sweep or an incident that is not whole."""
    folder = _folder(runs, name)
    request, files = files_of(folder)
    system: System = "us" if request.get("system") == "us" else "si"
    return BenchTask(request["command"], str(folder), "", request["name"], files=files, system=system)


def _of_case(work: Work, command: str, options: Mapping[str, Any]) -> tuple[BenchTask, str]:
    """Ask something of the set-up."""
    bench = work.bench
    bench.case()
    task = BenchTask(command, "", "", bench.name, bench.given, dict(bench.changes), options, work.system)
    stem = bench.name.removesuffix(".toml")
    return replace(task, files=bench.all_files()), stem if command == "run" else f"{command}-{stem}"


def _filed(work: Work, what: str, of: str) -> tuple[BenchTask, str]:
    """Make what a file asks for: one of the list, or the sweep of this set-up."""
    bench, files = work.bench, work.bench.all_files()
    if what == "own-sweep":
        files, what, of = {_SET_UP: bench.text(), _OWN_SWEEP: sweep_text(bench, work.wishes)}, "sweep", _OWN_SWEEP
    elif of not in bench.names(FILED[what]):
        msg = f"there is no {FILED[what]} of that name here"
        remedy = "Choose one of the list, or hand in its file"
        raise InputError(msg, key=FILED[what], value=repr(of[:80]), remedy=remedy)
    stem = of.removesuffix(".toml")
    return BenchTask(what, "", "", of, files=files, system=work.system), stem if of == _OWN_SWEEP else f"{what}-{stem}"


def _stored(work: Work, runs: Path, what: str, of: str) -> BenchTask | None:
    """Add something to results that are there."""
    if what in ("film", "pdf"):
        return BenchTask(what, str(_folder(runs, of)), "", system=work.system)
    if what == "go-on":
        return _begun(runs, of)
    if what != "pair":
        return None
    first, second = (_folder(runs, name) for name in _two(of))
    page = free_name(first, f"replay-beside-{second.name}.html")
    both = {"run": str(first), "beside": str(second)}
    return BenchTask("pair", str(page), "", options=both, system=work.system)


def _chosen(work: Work) -> dict[str, str]:
    """Give the route and the spreaders that were chosen for the floor, those that are here."""
    kinds: tuple[FileKind, ...] = ("route", "stock")
    return {kind: name for kind in kinds if (name := work.wishes.get(kind, "")) in work.bench.names(kind)}


def _fit(work: Work) -> tuple[BenchTask, str]:
    """Fit the machine of the set-up, with what was changed in it."""
    bench, name = work.bench, work.bench.case().scenario.machine
    if name not in bench.names("machine"):
        msg = "stands in the scenario's own file"
        remedy = "Save the machine as a file, hand it in, and choose it"
        raise InputError(msg, key="machine", value=repr(name[:80]), remedy=remedy)
    start = "machine."
    changes = {key.removeprefix(start): text for key, text in bench.changes.items() if key.startswith(start)}
    task = BenchTask("fit", "", "", name, changes=changes, files=bench.all_files(), system=work.system)
    return task, f"fit-{name.removesuffix('.toml')}"


def sweep_text(bench: Bench, wishes: Mapping[str, str]) -> str:
    """Give a sweep of the set-up as TOML: a grid over one value or several, each from, to, and how many.

    Raises
    ------
    InputError
        No value is chosen, or one of its figures is missing.
    """
    numbers, _ = wished(wishes)
    if not numbers:
        msg = "no value is chosen"
        raise InputError(msg, key="sweep", remedy="Choose a value of the set-up that is to vary")
    lines = [
        f"title = {toml_value('Sweep of: ' + bench.case().scenario.title)}",
        f"scenario = {toml_value(_SET_UP)}",
        'method = "grid"',
    ]
    for number in numbers:
        key = wishes[f"key{number}"]
        given = {name: wishes.get(f"{name}{number}", "").strip() for name in ("from", "to", "count")}
        for name, text in given.items():
            if not text or (name == "count" and not text.isdecimal()):
                msg = f"needs {_NEEDS[name]}"
                raise InputError(msg, key=key, remedy="Fill it in beside the value")
        lines += ["[[variable]]", f"key = {toml_value(key)}", f"count = {int(given['count'])}"]
        lines += [f"least = {toml_value(given['from'])}", f"most = {toml_value(given['to'])}"]
    return "\n".join(lines) + "\n"


_NEEDS = {"from": "its least value", "to": "its greatest value", "count": "how many values, a whole number"}


def _two(of: str) -> tuple[str, str]:
    try:
        names = json.loads(of)
    except ValueError:
        names = []
    if not isinstance(names, list) or len(names) != 2:
        msg = "two runs are played in step"
        raise InputError(msg, remedy="Tick two of the list")
    return str(names[0]), str(names[1])


def _folder(runs: Path, name: str) -> Path:
    folder = history.folder_of(runs, name)
    if folder is None:
        msg = "is no result in this folder"
        raise InputError(msg, key="run", value=repr(name[:80]), remedy="Take one of the list")
    return folder
