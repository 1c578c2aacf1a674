"""A process that makes one result: told what to make by its standard input, it tells how far it is in lines of JSON."""

from __future__ import annotations

import json
import os
import pickle
import signal
import sys
from collections.abc import Callable, Mapping
from contextlib import closing, suppress
from dataclasses import dataclass, field
from pathlib import Path
from types import FrameType
from typing import TYPE_CHECKING, Any

from tipline.children import end_with_asker
from tipline.deadline import hold_to
from tipline.errors import InputError, TiplineError
from tipline.scenario.case import Text
from tipline.units import System
from tipline.workbench.bench import FIRST, words_of

if TYPE_CHECKING:
    from tipline.commands.run import RunResult
    from tipline.commands.write import Result
    from tipline.runs.outcome import Outcome
    from tipline.scenario import Case

__all__ = ["EARLY", "MOMENT", "BenchTask", "serve"]

EARLY = "replay.html"
"""The replay of a run whose further runs are still being made, beside the folder that is written at the end."""
MOMENT = {"event.0.at": "10 ms", "run.duration": "20 ms", "run.extend_to": "20 ms"}
"""What makes so little of the first scenario that running it is but loading the engine."""
Tell = Callable[[Mapping[str, Any]], None]


@dataclass(frozen=True)
class BenchTask:
    """What is to be made, and where: the folder of the result, and one for what is seen before it is whole.

    ``name``, ``texts``, ``changes``: as `Bench` has them; ``options``: what a command is told beside them.
    ``files``: texts by name, for commands that take files.
    """

    command: str
    folder: str
    early: str
    name: str = ""
    texts: tuple[Text, ...] = ()
    changes: Mapping[str, str] = field(default_factory=dict)
    options: Mapping[str, Any] = field(default_factory=dict)
    system: System = "si"
    files: Mapping[str, str] = field(default_factory=dict)

    def laid(self, name: str) -> str:
        """Lay the files that were handed in side by side; give a name as a command takes it."""
        folder = Path(self.early) / "files"
        folder.mkdir(exist_ok=True)
        for other, text in self.files.items():
            (folder / other).write_text(text, encoding="utf-8")
        return str(folder / name) if name in self.files else name

    def case(self) -> Case:
        """Read the case."""
        from tipline.scenario import read

        return read(self.name, self.changes, texts=self.texts)


def serve() -> None:
    """Make what is told by standard input, and end; where nobody asks any more it ends at once."""
    for end in (signal.SIGINT, signal.SIGTERM):
        signal.signal(end, _interrupt)
    tell = _lines()
    hold_to((signal.SIGTERM,), lambda: None)
    try:
        _warm()
        task: BenchTask = pickle.load(sys.stdin.buffer)
    except (EOFError, KeyboardInterrupt):  # nothing was asked of it
        return
    end_with_asker()
    try:
        _MAKERS[task.command](task, tell)
        tell({"done": task.folder})
    except TiplineError as error:
        tell({"refused": words_of(error), "numerical": error.exit_code == 3})
    except OSError as error:
        tell({"refused": f"{error}. Make room, or begin the pages where you may write", "numerical": False})
    except KeyboardInterrupt:
        tell({"cancelled": True})


def _warm() -> None:
    """Load what a run needs, before anybody waits for it, and run a moment of a shipped one.

    Not where that would first be compiled: who waits for it then is to be told so.
    """
    from tipline.commands.delivered import Wishes
    from tipline.commands.run import Equipment, run
    from tipline.engines.ahead import KERNEL
    from tipline.kernels.compiled import kept

    Equipment(Wishes(pictures=False)).load()
    with suppress(TiplineError):
        if kept(KERNEL):
            run(FIRST, MOMENT, spread=0, floor_spread=0)


def _interrupt(_number: int, _frame: FrameType | None) -> None:
    for end in (signal.SIGINT, signal.SIGTERM):
        signal.signal(end, signal.SIG_IGN)  # once is enough: what it stopped is being cleared away
    raise KeyboardInterrupt


def _lines() -> Tell:
    """Give what writes a line to who asked; whatever libraries print goes nowhere."""
    out = os.fdopen(os.dup(1), "w", encoding="utf-8")
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)

    def tell(what: Mapping[str, Any]) -> None:
        with suppress(BrokenPipeError):
            out.write(json.dumps(what, ensure_ascii=False) + "\n")
            out.flush()

    return tell


def _progress(tell: Tell) -> Callable[[str, float | None], None]:
    def told(stage: str, part: float | None) -> None:
        tell({"stage": stage, "part": part})

    return told


def _run(task: BenchTask, tell: Tell) -> None:
    """Run: the outcome as soon as it is known, the replay before any further run, then the whole folder."""
    from tipline.commands.delivered import Wishes
    from tipline.commands.folder import new_folder
    from tipline.commands.run import run, write_run
    from tipline.report.sections import ended
    from tipline.report.wording import spell

    progress = _progress(tell)

    def known(outcome: Outcome) -> None:
        tell({"outcome": [[spell(text, task.system) for text in pair] for pair in ended(outcome)]})

    def drawn(up: int, of: int) -> None:
        tell({"drawn": [up, of]})

    result = run(task.case(), None, progress, known=known, assessed=_early(task, tell), drawn=drawn)
    with new_folder(Path(task.folder)) as new:
        write_run(result, new, Wishes(task.system, film=False, stills=task.options["stills"]), progress)


def _early(task: BenchTask, tell: Tell) -> Callable[[RunResult], None]:
    def assessed(result: RunResult) -> None:
        from tipline.playback.of_run import Played, replay_html

        text = replay_html(Played(result.report, result.case), task.system, [])
        (Path(task.early) / EARLY).write_text(text, encoding="utf-8")
        tell({"replay": EARLY})

    return assessed


def _floor(task: BenchTask, tell: Tell) -> None:
    from tipline.commands.floor import floor

    chosen = {kind: task.laid(name) for kind, name in task.options.items()}
    result = floor(task.case(), None, chosen.get("route"), chosen.get("stock"), _progress(tell))
    _write(result, task, tell)


def _slopes(task: BenchTask, tell: Tell) -> None:
    from tipline.commands.slopes import slopes

    _write(slopes(task.case(), progress=_progress(tell)), task, tell)


def _loads(task: BenchTask, tell: Tell) -> None:
    from tipline.commands.loads import loads

    _write(loads(task.case().machine, progress=_progress(tell)), task, tell)


def _fit(task: BenchTask, tell: Tell) -> None:
    from tipline.commands.fit import fit

    _write(fit(task.laid(task.name), task.changes, _progress(tell)), task, tell)


def _sweep(task: BenchTask, tell: Tell) -> None:
    from tipline.commands.delivered import Wishes
    from tipline.commands.sweep import sweep, write_sweep
    from tipline.workbench.begun import kept_to_go_on

    with kept_to_go_on(Path(task.folder), _asked(task), task.files) as folder:
        result = sweep(task.laid(task.name), out=folder, resume=folder.exists(), progress=_progress(tell))
        write_sweep(result, folder, Wishes(task.system), _progress(tell))


def _reconstruct(task: BenchTask, tell: Tell) -> None:
    from tipline.commands.delivered import Wishes
    from tipline.commands.reconstruct import reconstruct, write_reconstruct
    from tipline.workbench.begun import kept_to_go_on

    with kept_to_go_on(Path(task.folder), _asked(task), task.files) as folder:
        result = reconstruct(task.laid(task.name), out=folder, resume=folder.exists(), progress=_progress(tell))
        write_reconstruct(result, folder, Wishes(task.system), _progress(tell))


def _asked(task: BenchTask) -> dict[str, str]:
    """Say what is asked, to go on with it."""
    return {"command": task.command, "name": task.name, "system": task.system}


def _lesson(task: BenchTask, tell: Tell) -> None:
    from tipline.commands.lesson import lesson

    _write(lesson(task.laid(task.name), task.system, _progress(tell)), task, tell)


def _write(result: Result, task: BenchTask, tell: Tell) -> None:
    from tipline.commands.write import write

    write(result, task.folder, task.system, progress=_progress(tell))


def _pdf(task: BenchTask, tell: Tell) -> None:
    """Set the report of a stored result on paper, into its folder."""
    from tipline.commands.report import report_of, write_report

    _progress(tell)("setting the report on paper", None)
    left_out = write_report(
        report_of(task.folder, None, task.system, "letter" if task.system == "us" else "a4"), Path(task.folder)
    )
    if left_out:
        raise InputError("; ".join(left_out), remedy="Install what is missing, or print the page from the browser")


def _pair(task: BenchTask, tell: Tell) -> None:
    """Put two runs in step; the page goes beside the first one's."""
    from tipline.commands.replay import replay, write_replay

    result = replay(task.options["run"], task.options["beside"], task.system, _progress(tell))
    write_replay(result, Path(task.folder))


def _film(task: BenchTask, tell: Tell) -> None:
    """Draw the film of a stored run into its folder."""
    from tipline import view
    from tipline.commands.stored import stored

    progress = _progress(tell)
    progress("reading the run", None)
    kept = stored(task.folder).result
    with closing(view.begin_film(kept.run, kept.report, kept.case, system=task.system)) as film:
        film.write(Path(task.folder) / "replay.mp4", lambda part: progress("drawing the film", part))


_MAKERS: dict[str, Callable[[BenchTask, Tell], None]] = {
    "run": _run,
    "floor": _floor,
    "slopes": _slopes,
    "loads": _loads,
    "fit": _fit,
    "sweep": _sweep,
    "reconstruct": _reconstruct,
    "lesson": _lesson,
    "pdf": _pdf,
    "pair": _pair,
    "film": _film,
}
