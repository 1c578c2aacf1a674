"""What to do after a command: what of its folder to open, and one thing to change, as a command that can be typed."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from math import isclose, isfinite
from pathlib import Path
from typing import TYPE_CHECKING

from tipline.printable import setting_word, shell_word
from tipline.scenario.kinds import kind_of
from tipline.units import System, show

if TYPE_CHECKING:
    from tipline.commands.floor import FloorResult
    from tipline.commands.loads import LoadsResult
    from tipline.commands.reconstruct import ReconstructResult
    from tipline.commands.sweep import SweepResult
    from tipline.runs.assessment import RunReport
    from tipline.runs.endings import EndingChange
    from tipline.scenario import Case

__all__ = [
    "after_check", "after_file", "after_fit", "after_floor", "after_lesson", "after_loads", "after_reconstruct",
    "after_replay", "after_run", "after_slopes", "after_start", "after_sweep", "directions",
]  # fmt: skip

LESS = 0.8
"""Part of the value given that is tried where no nearer change of the ending is known (our choice)."""
MORE_RUNS = 2
"""So many times the runs narrow a share to seven tenths (our choice)."""
_OPENED = {
    "report.html": "Report",
    "sweep.html": "Report",
    "wheel-loads.html": "Wheel-load sheet, to print",
    "replay.html": "Replay, in a browser",
    "replay.mp4": "Film",
    "lesson.html": "Lesson, in a browser",
}
"""What of a folder is opened, by its file, in the order in which it is said."""
Step = tuple[str, str]
"""What a command does, and the command as it can be typed; "" where there is none."""


def directions(folder: Path | None, *steps: Step) -> str:
    """Say where a result was written, what of it to open, and what to do next, a line each."""
    lines = []
    if folder is not None:
        lines.append(f"Written to {folder}/")
        lines += [f"{word}: {folder / name}" for name, word in _OPENED.items() if (folder / name).exists()]
    return "\n".join((*lines, *(f"{word}: {command}" for word, command in steps if command)))


def after_run(
    report: RunReport,
    case: Case,
    typed: str,
    folder: Path,
    settings: Mapping[str, str] | None = None,
    system: System = "si",
) -> str:
    """Say where report, replay and film are, and how the run is made again with one thing changed."""
    changed = _changed(report, case, system)
    again = _typed("run", typed, {**(settings or {}), changed[0]: changed[1]}) if changed else ""
    return directions(folder, ("Change one thing", again))


def after_check(case: Case, typed: str, folder: Path | None, settings: Mapping[str, str], system: System) -> str:
    """Say how the set-up is simulated, and looked at with one thing changed."""
    return directions(
        folder,
        ("Simulate it", _typed("run", typed, settings)),
        ("Change one thing", _lighter("check", case, typed, settings, system)),
    )


def after_floor(
    result: FloorResult,
    typed: str,
    folder: Path,
    settings: Mapping[str, str],
    system: System,
    files: Mapping[str, object],
) -> str:
    """Say how spreaders are chosen, or one thing changed; of a floor alone how a truck is set on it.

    ``files``: what was read beside the floor, by its option as it was typed; None where it was not.
    """
    case = result.case
    if case is None:
        begun = f"tipline new scenario my-lift, with floor = {_toml(typed)} in it; then tipline floor my-lift.toml"
        return directions(folder, ("Set a truck on it", begun))
    also = "".join(f" {option} {shell_word(str(file))}" for option, file in files.items() if file is not None)
    spread = f"{_typed('floor', typed, settings)}{also} --stock demo-stock-a"
    wanted = result.report.exceeded and not result.report.spreaders and files.get("--stock") is None
    steps = [("Choose spreaders", spread)] if wanted else []
    lighter = _lighter("floor", case, typed, settings, system)
    return directions(folder, *steps, ("Change one thing", f"{lighter}{also}" if lighter else ""))


def after_slopes(case: Case, typed: str, folder: Path, settings: Mapping[str, str], system: System) -> str:
    """Say how a second set-up is drawn beside this one."""
    change = _lighter_set_up(case, system)
    beside = f"{_typed('slopes', typed, settings)} --beside {setting_word(*change)}" if change else ""
    return directions(folder, ("Set another beside it", beside))


def after_loads(result: LoadsResult, typed: str, folder: Path, settings: Mapping[str, str], system: System) -> str:
    """Say how a load is asked about: a lighter one than the last."""
    wanted = result.report.wanted
    mass, centre = (5000.0, 0.6) if wanted is None else (LESS * wanted.mass, wanted.centre)
    out = "--reach" if wanted is not None and wanted.jib else "--load-centre"
    load, at = (shell_word(show(value, kind, system)) for value, kind in ((mass, "mass"), (centre, "length")))
    word = "Ask about a load" if wanted is None else "Ask about another load"
    return directions(folder, (word, f"{_typed('loads', typed, settings)} --load {load} {out} {at}"))


def after_fit(name: str, typed: str, folder: Path) -> str:
    """Say what the fitted file is used for, and what is done after another weighing."""
    fitted = folder / name
    return directions(
        folder,
        ("Fitted file", str(fitted)),
        ("Use it", _typed("loads", str(fitted), {})),
        ("After another weighing, added to the file", _typed("fit", typed, {})),
    )


def after_sweep(result: SweepResult, typed: str, folder: Path, settings: Mapping[str, str]) -> str:
    """Say how one of its runs is looked at, and of drawn ones how more are made."""
    plan, steps = result.plan, []
    if result.report.kind in ("drawn", "indices") and plan.sweep.runs is not None:
        more = {**settings, "runs": str(MORE_RUNS * plan.sweep.runs)}
        steps.append(("Make more runs", _typed("sweep", typed, more)))
    values: dict[str, str] = {}
    for swept in plan.inputs:
        last = swept.ends()[-1]
        values |= swept.texts(last) if swept.relative else dict.fromkeys(swept.keys, swept.say(last))
    scenario = _beside(plan.sweep.scenario, typed)
    return directions(folder, *steps, ("Look at one run", _typed("run", scenario, {**plan.fixed, **values})))


def _beside(scenario: str, typed: str) -> str:
    """Return the scenario that a file names as it is typed from here: its path is seen from that file."""
    if Path(typed).suffix and not Path(scenario).is_absolute() and Path(scenario).suffix:
        return str(Path(typed).parent / scenario)
    return scenario


def after_reconstruct(result: ReconstructResult, typed: str, folder: Path, settings: Mapping[str, str]) -> str:
    """Say how the nearest run of the likeliest cause is looked at, and how more runs are made.

    Where no cause goes with what was found, how others are written.
    """
    from tipline.incidents.report import Verdict

    causes = [cause for cause in result.report.causes if cause.verdict != Verdict.NOT]
    if not causes:
        return directions(folder, ("Every other kind of cause, written out", "tipline new incident other-causes"))
    seen = max(causes, key=lambda cause: cause.probability if isfinite(cause.probability) else cause.near / 1e6)
    more = {**settings, "runs": str(MORE_RUNS * result.report.runs)}
    return directions(
        folder,
        (f"See it, if {seen.said}", _typed("run", _beside(seen.scenario, typed), dict(seen.changes))),
        ("Make more runs", _typed("reconstruct", typed, more)),
    )


def after_start(folder: Path, case: Case, system: System) -> str:
    """Say how the lift is simulated, changed, and an answer that is known by now put in."""
    scenario = str(folder / "scenario.toml")
    answers = shell_word(str(folder / "answers.toml"))
    return directions(
        folder,
        ("Simulate it", _typed("run", scenario, {})),
        ("Change one thing", _lighter("check", case, scenario, {}, system)),
        ("After another answer, put into the file", f"tipline start --answers {answers}"),
    )


def after_lesson(folder: Path) -> str:
    """Say how a lesson of one's own is begun."""
    return directions(folder, ("Make your own", "tipline new lesson my-lesson"))


def after_replay(place: Path, run: Path, spread: int) -> str:
    """Say where the page is, and how runs of the spread are drawn into it."""
    outlines = "" if spread else f"tipline replay {shell_word(str(run))} --spread 20"
    lines = directions(None, ("With runs of its spread as outlines", outlines))
    return "\n".join(line for line in (f"Written to {place}", "Open it in a browser.", lines) if line)


def after_file(kind: str, place: Path) -> str:
    """Say what is done with a file that was copied or begun, as a command that can be typed."""
    return f"Change it, then: {_USES[kind].format(shell_word(str(place)))}"


_USES = {
    "scenario": "tipline run {}",
    "machine": "tipline loads {}",
    "floor": "tipline floor {}",
    "sweep": "tipline sweep {}",
    "incident": "tipline reconstruct {}",
    "lesson": "tipline lesson {}",
    "stock": "tipline floor SCENARIO --stock {}",
    "route": "tipline floor SCENARIO --route {}",
}


def _toml(text: str) -> str:
    """Return a text as a file has it; a path of Windows is not read for its backslashes."""
    return f"'{text}'" if "\\" in text and "'" not in text else json.dumps(text, ensure_ascii=False)


def _typed(command: str, subject: str, settings: Mapping[str, str]) -> str:
    """Return a command as it can be typed."""
    changes = (f" --set {setting_word(key, value)}" for key, value in settings.items())
    return f"tipline {command} {shell_word(subject)}{''.join(changes)}"


def _lighter(command: str, case: Case, typed: str, settings: Mapping[str, str], system: System) -> str:
    """Return a command with one thing of the set-up made easier on truck and floor."""
    change = _lighter_set_up(case, system)
    return _typed(command, typed, {**settings, change[0]: change[1]}) if change else ""


def _lighter_set_up(case: Case, system: System) -> tuple[str, str] | None:
    """Return a key and a value of it: less load, else the counterweight home."""
    if case.load is not None:
        return "load.mass", show(LESS * case.load.mass, "mass", system)
    return ("setup.counterweight_extension", "0 m") if case.scenario.setup.counterweight_extension else None


def _changed(report: RunReport, case: Case, system: System) -> tuple[str, str] | None:
    """Return a setting with another value: the nearest that ends otherwise where it is known, else a lower one."""
    spread = report.spread
    change = None if spread is None else spread.stays_until or spread.change
    nearer = [(name, key, dimension, LESS * value) for name, key, dimension, value in _settings(case)]
    if change is not None and change.at is not None:
        near = ((key, change.at) for name, key, _, value in _settings(case) if _is_of(change, name, value))
        nearer = [(change.what, key, change.dimension, at) for key, at in near] or nearer
    if not nearer:
        return None
    _, key, dimension, value = nearer[0]
    return key, show(value, dimension, system)


def _settings(case: Case) -> Iterator[tuple[str, str, str, float]]:
    """Yield name, key, dimension and value of what leads each event, then of the lifted weight."""
    for index, event in enumerate(case.scenario.event):
        leading = kind_of(event).leading
        value = getattr(event, leading.field) if leading is not None else None
        if leading is not None and value is not None:
            yield leading.what, f"event.{index}.{leading.field}", leading.dimension, float(value)
    if case.load is not None:
        yield "lifted weight", "load.mass", "mass", case.load.mass


def _is_of(change: EndingChange, name: str, value: float) -> bool:
    return change.what == name and isclose(change.here, value, rel_tol=1e-6)
