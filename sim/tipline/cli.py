"""The command line: reads what was typed, calls the package, prints. Heavy parts are imported inside the commands."""

from __future__ import annotations

import errno
import math
import os
import shutil
import signal
import sys
import time
import warnings
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager, contextmanager, nullcontext
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, NoReturn, TextIO

import typer
from typer.core import TyperGroup

from tipline.errors import PART, CacheNote, InputError, TiplineError, clipped
from tipline.printable import printable

if TYPE_CHECKING:
    from types import FrameType

LIMIT_EXCEEDED = 4
NUMERICAL_FAILURE = 3
BAD_INPUT = 2
PATIENCE = 5.0
"""How long [s] a further Ctrl-C is passed over, while what the first one stopped is cleared away."""
SOON, LONG = 3.0, 15.0
"""From when on [s] a stage says how long it will take; how often [s] it does where each time is a new line."""

_Mistyped: type[Any] = typer.BadParameter.__mro__[1]
"""What is raised for any command line that cannot be read."""
_SAID_PLAINLY = (
    ("Value error, ", ""),
    ("Input should be a valid integer, unable to parse string as an integer", "not a whole number"),
)
_REMEDY_IN_IT = ("is not one of", "Choose from", "Did you mean", "Possible options", "Give a")


class _Commands(TyperGroup):
    """The commands; what was typed wrong is told in one message with what to do, as any other bad input."""

    def make_context(self, *args: Any, **more: Any) -> Any:
        with _typed_wrong_told():
            return super().make_context(*args, **more)

    def invoke(self, ctx: Any) -> Any:
        with _typed_wrong_told(ctx):
            return super().invoke(ctx)


@contextmanager
def _typed_wrong_told(ctx: Any = None) -> Iterator[None]:
    try:
        yield
    except _Mistyped as error:
        if type(error).__name__ == "NoArgsIsHelpError":  # the help itself
            raise
        name = (ctx.invoked_subcommand if ctx is not None else None) or ""
        params = ctx.command.commands[name].params if name else ()
        _tell(f"tipline: {_typed_wrong(error, name, params)}")
        raise typer.Exit(BAD_INPUT) from None
    except KeyboardInterrupt:  # before a command has begun
        _tell("tipline: interrupted; nothing was left behind")
        raise typer.Exit(_interrupted_by()) from None


def _typed_wrong(error: Any, name: str, params: Sequence[Any]) -> str:
    """Say what was typed wrong; where that names no remedy what the item is, or how the command is written."""
    text = clipped(" ".join(error.format_message().split()).rstrip("."), 2 * PART)
    for said, plainly in _SAID_PLAINLY:
        text = text.replace(said, plainly)
    option = getattr(error, "option_name", "")
    item = getattr(error, "param", None) or next((one for one in params if option and option in one.opts), None)
    command = f"tipline {name}".rstrip()
    parts = [f"{text[:1].lower()}{text[1:]}{'' if text.endswith('?') else '.'}"]
    if not any(words in text for words in _REMEDY_IN_IT):
        if item is not None and item.help:
            parts.append(item.help)
        elif not option:
            arguments = (one.metavar for one in params if one.param_type_name == "argument")
            parts.append(f"Write it as {' '.join((command, *arguments))}, with options after it.")
    return " ".join((*parts, f"See {command} --help"))


app = typer.Typer(
    name="tipline",
    cls=_Commands,
    epilog="Exit: 0 done, 1 a part is not installed, 2 bad input, 3 numerical failure, "
    "4 done with a planning limit exceeded, 130 interrupted (143 by SIGTERM).",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)


class Units(StrEnum):
    """The system of units that pages are written in."""

    si = "si"
    us = "us"


class Subject(StrEnum):
    """What a JSON Schema can be asked for."""

    scenario = "scenario"
    machine = "machine"
    floor = "floor"
    stock = "stock"
    sweep = "sweep"


class ExportFormat(StrEnum):
    """The formats that a truck can be written in for other programs."""

    urdf = "urdf"
    mjcf = "mjcf"
    glb = "glb"


def _count(most: int, least: int = 0) -> Callable[[int | None], int | None]:
    """Return what refuses a number that is not from `least` to `most`, naming it and what may be given."""

    def checked(value: int | None) -> int | None:
        if value is not None and not least <= value <= most:
            msg = f"{value} is too {'small' if value < least else 'large'}. Give a whole number from {least} to {most}"
            raise typer.BadParameter(msg)
        return value

    return checked


ScenarioName = Annotated[str, typer.Argument(metavar="SCENARIO", help="A scenario file, or the name of a shipped one.")]
Settings = Annotated[
    list[str] | None,
    typer.Option("--set", metavar="KEY=VALUE", help="Replace a setting, as event.0.depth='95 mm'. Repeatable."),
]
Out = Annotated[Path | None, typer.Option("--out", metavar="DIR", help="The folder to write; it must not exist yet.")]
Json = Annotated[bool, typer.Option("--json", help="Print the summary as JSON instead of the page.")]
JsonList = Annotated[bool, typer.Option("--json", help="Print as JSON.")]
UnitsOption = Annotated[Units, typer.Option("--units", help="Units of the page.")]
NoPictures = Annotated[bool, typer.Option("--no-pictures", help="Leave out stills, film and plots.")]
Strict = Annotated[bool, typer.Option("--strict", help="Refuse unusual values that the files do not call meant.")]
Quiet = Annotated[bool, typer.Option("--quiet", help="No progress lines.")]


def _tell_version(asked: bool) -> None:
    if asked:
        from tipline import __version__

        typer.echo(f"tipline {__version__}")
        raise typer.Exit


@app.callback()
def tipline(
    _version: Annotated[
        bool, typer.Option("--version", callback=_tell_version, is_eager=True, help="Print the version and stop.")
    ] = False,
) -> None:
    """Work out what it takes to tip a heavy-lift truck or to break the floor under it, and what happens then."""


@app.command()
def run(
    scenario: ScenarioName,
    settings: Settings = None,
    out: Out = None,
    json: Json = False,
    units: UnitsOption = Units.si,
    no_pictures: NoPictures = False,
    quiet: Quiet = False,
    draft: Annotated[bool, typer.Option("--draft", help="A small film, drawn faster.")] = False,
    strict: Annotated[
        bool,
        typer.Option(
            "--strict",
            help="Refuse unusual values that are not called meant; exit 4 when a planning limit is exceeded.",
        ),
    ] = False,
    spread: Annotated[
        int | None,
        typer.Option(
            "--spread",
            metavar="N",
            callback=_count(500),
            help="Runs within what is not known of load, tyres, events; 50, or run.spread of the scenario; 0: none.",
        ),
    ] = None,
    floor_spread: Annotated[
        int,
        typer.Option(
            "--floor-spread", metavar="N", callback=_count(500), help="The same for the floor's strength; 20."
        ),
    ] = 20,
) -> None:
    """Simulate, assess and report a scenario; leave its folder under runs/ or in --out."""
    with _told(), _Progress(quiet) as progress:
        overrides = _overrides(settings)
        from tipline.commands import run as command
        from tipline.commands.delivered import Wishes
        from tipline.commands.folder import new_folder

        wishes = Wishes(units.value, not no_pictures, draft)
        with _target(out, Path(scenario).stem or "run") as target, new_folder(target) as folder:
            result = command.run(scenario, overrides, progress, spread, floor_spread, strict)
            delivered = command.write_run(result, folder, wishes, progress)
        progress.close()
        _say(delivered, json, f"Written to {target}/")
        if strict and result.report.exceeded:
            raise typer.Exit(LIMIT_EXCEEDED)


@app.command()
def check(
    scenario: ScenarioName,
    settings: Settings = None,
    out: Out = None,
    json: Json = False,
    units: UnitsOption = Units.si,
    _no_pictures: Annotated[bool, typer.Option("--no-pictures", help="As for run; check draws none anyway.")] = False,
    quiet: Quiet = False,
    strict: Strict = False,
) -> None:
    """Give tyre loads, distances and limits of the pose a scenario starts from; nothing is simulated."""
    with _told(), _Progress(quiet) as progress:
        overrides = _overrides(settings)
        from tipline.commands import check as command
        from tipline.commands.delivered import Wishes
        from tipline.commands.folder import new_folder

        wishes = Wishes(units.value)
        with new_folder(out) if out is not None else nullcontext() as folder:
            result = command.check(scenario, overrides, progress, strict)
            delivered = (
                command.page_of(result, wishes) if folder is None else command.write_check(result, folder, wishes)
            )
        progress.close()
        _say(delivered, json, f"Written to {out}/" if out is not None else "")
        if result.exceeded:
            raise typer.Exit(LIMIT_EXCEEDED)


@app.command()
def floor(
    subject: Annotated[
        str, typer.Argument(metavar="FLOOR|SCENARIO", help="A floor, or a scenario on it: a file or a shipped name.")
    ],
    route: Annotated[
        Path | None, typer.Option("--route", metavar="FILE", help="A way over the floor; needs a scenario.")
    ] = None,
    stock: Annotated[
        str | None,
        typer.Option("--stock", metavar="NAME", help="Spreaders to choose from: a file, or the shipped demo-stock-a."),
    ] = None,
    settings: Settings = None,
    out: Out = None,
    json: Json = False,
    units: UnitsOption = Units.si,
    no_pictures: Annotated[bool, typer.Option("--no-pictures", help="Leave out plan and stress map.")] = False,
    quiet: Quiet = False,
    strict: Strict = False,
) -> None:
    """Set what the tyres ask of a floor against planning limit and expected strength; leave a folder as run does."""
    with _told(), _Progress(quiet) as progress:
        overrides = _overrides(settings)
        from tipline.commands import floor as command
        from tipline.commands.delivered import Wishes
        from tipline.commands.folder import new_folder

        wishes = Wishes(units.value, not no_pictures)
        with _target(out, f"floor-{Path(subject).stem or 'floor'}") as target, new_folder(target) as folder:
            result = command.floor(subject, overrides, route, stock, progress, strict)
            delivered = command.write_floor(result, folder, wishes, progress)
        progress.close()
        _say(delivered, json, f"Written to {target}/")
        if result.report.exceeded:
            raise typer.Exit(LIMIT_EXCEEDED)


@app.command()
def slopes(
    scenario: ScenarioName,
    heights: Annotated[
        str | None,
        typer.Option("--heights", metavar="LIST|COUNT", help="Heights, as '0.3 m, 2 m', or how many; default four."),
    ] = None,
    beside: Annotated[
        list[str] | None,
        typer.Option("--beside", metavar="CHANGES", help="Another set-up, as 'tilt=2 deg; load.mass=4 t'. Repeatable."),
    ] = None,
    directions: Annotated[int, typer.Option("--directions", help="How many, all around; 8 to 720.")] = 72,
    simulate: Annotated[
        int, typer.Option("--simulate", metavar="N", callback=_count(36), help="Simulate N directions as well.")
    ] = 0,
    ramps: Annotated[
        int,
        typer.Option("--ramps", metavar="N", callback=_count(12), help="Simulate N ways onto a ramp, and stops on it."),
    ] = 0,
    settings: Settings = None,
    out: Out = None,
    json: Json = False,
    units: UnitsOption = Units.si,
    no_pictures: Annotated[bool, typer.Option("--no-pictures", help="Leave out maps and curves.")] = False,
    quiet: Quiet = False,
    strict: Strict = False,
) -> None:
    """Give the greatest floor slope in every direction, by height; leave a folder as run does."""
    with _told(), _Progress(quiet) as progress:
        overrides = _overrides(settings)
        from tipline.commands import slopes as command
        from tipline.commands.delivered import Wishes
        from tipline.commands.folder import new_folder

        wishes = Wishes(units.value, not no_pictures)
        with _target(out, f"slopes-{Path(scenario).stem or 'scenario'}") as target, new_folder(target) as folder:
            result = command.slopes(
                scenario, overrides, heights, beside or (), directions, simulate, ramps, progress, strict
            )
            delivered = command.write_slopes(result, folder, wishes, progress)
        progress.close()
        _say(delivered, json, f"Written to {target}/")
        if result.report.exceeded:
            raise typer.Exit(LIMIT_EXCEEDED)


@app.command()
def sweep(
    file: Annotated[str, typer.Argument(metavar="FILE", help="A sweep file, or the name of a shipped one.")],
    workers: Annotated[
        int,
        typer.Option(
            "--workers",
            metavar="N",
            callback=_count(256, 1),
            help="Processes on this computer, from 2 up by dask on loopback only; 1 without more.",
        ),
    ] = 1,
    scheduler: Annotated[
        str | None, typer.Option("--scheduler", metavar="ADDRESS", help="Run on this dask cluster instead.")
    ] = None,
    resume: Annotated[
        bool, typer.Option("--resume", help="Go on with the sweep in --out, or the last one begun under runs/.")
    ] = False,
    give_up_after: Annotated[
        str,
        typer.Option(
            "--give-up-after",
            metavar="TIME",
            help="End a run that takes longer; it is tried once more alone, then marked as without a result.",
        ),
    ] = "1 h",
    settings: Annotated[
        list[str] | None,
        typer.Option("--set", metavar="KEY=VALUE", help="Replace a value of the sweep file, as runs=50. Repeatable."),
    ] = None,
    out: Annotated[Path | None, typer.Option("--out", metavar="DIR", help="The folder to write.")] = None,
    json: Json = False,
    units: UnitsOption = Units.si,
    no_pictures: Annotated[bool, typer.Option("--no-pictures", help="Leave out the plots.")] = False,
    quiet: Quiet = False,
    strict: Strict = False,
) -> None:
    """Run a scenario many times over what may vary; leave a table of one row a run, and what it says."""
    with _told(), _Progress(quiet) as progress:
        overrides = _overrides(settings)
        from tipline.commands import sweep as command
        from tipline.commands.delivered import Wishes
        from tipline.commands.folder import last_name

        name = f"sweep-{Path(file).stem or 'sweep'}"
        last = last_name(Path("runs"), name) if resume else None
        try:
            with _target(out or last, name) as target:
                result = command.sweep(
                    file, overrides, target, workers, scheduler, resume, progress, give_up_after, strict
                )
                try:
                    wishes = Wishes(units.value, not no_pictures)
                    delivered = command.write_sweep(result, target, wishes, progress)
                except KeyboardInterrupt:
                    raise command.Interrupted(result.report.rows, result.report.rows) from None
        except command.Interrupted as stopped:
            progress.close()
            kept = f"{stopped.kept} of {stopped.rows} rows are kept in {target}; go on with --resume --out {target}"
            _tell(f"tipline: interrupted; {kept}")
            _leave(_interrupted_by())
        progress.close()
        _say(delivered, json, f"Written to {target}/")
        if result.report.lost == result.report.rows:
            raise typer.Exit(NUMERICAL_FAILURE)


@app.command()
def export(
    scenario: ScenarioName,
    form: Annotated[ExportFormat, typer.Option("--format", help="urdf, mjcf or glb.")],
    settings: Settings = None,
    out: Out = None,
    json: JsonList = False,
    quiet: Quiet = False,
) -> None:
    """Write the truck of a scenario for other programs: bodies, joints, solids; say what the format cannot hold."""
    with _told(), _Progress(quiet) as progress:
        overrides = _overrides(settings)
        from tipline.commands import export as command
        from tipline.commands.folder import new_folder

        with _target(out, f"{form.value}-{Path(scenario).stem or 'scenario'}") as target, new_folder(target) as folder:
            made = command.export(scenario, form.value, overrides, progress)
            command.write_export(made, folder)
        progress.close()
        if json:
            _print_json({"folder": str(target), "files": sorted(made.exported.files), **made.words()})
            return
        for heading, lines in made.words().items():
            _print("\n".join([heading.replace("_", " ").capitalize(), *(f"  - {line}" for line in lines)]))
        _print(f"\nWritten to {target}/")


@app.command("list")
def list_shipped(json: JsonList = False) -> None:
    """List the machines, floors, stocks of spreaders, scenarios and sweeps that come with the program."""
    with _told():
        from tipline.commands.listing import shipped

        listed = shipped()
        if json:
            _print_json(listed)
            return
        for kind, entries in listed.items():
            _print(f"{kind}s")
            width = max((len(name) for name in entries), default=0)
            for name, title in entries.items():
                _print(f"  {name.ljust(width)}  {title}")


@app.command()
def schema(
    subject: Annotated[Subject, typer.Argument(metavar="KIND", help="Which kind of file.")] = Subject.scenario,
) -> None:
    """Print the JSON Schema of a kind of file, for editors that complete and check TOML."""
    with _told():
        from tipline.scenario import schema as schema_of

        _print_json(schema_of(subject.value))


@app.command("self-test")
def self_test(json: JsonList = False) -> None:
    """Compute our own checks and set them beside published values."""
    with _told():
        from dataclasses import asdict

        from tipline import selftest

        checks = selftest.run_checks()
        if json:
            _print_json({"checks": selftest.as_records(checks), "recorded": [asdict(row) for row in selftest.RECORDED]})
        else:
            width = shutil.get_terminal_size((100, 0)).columns
            _print(selftest.table(checks, width))
            _print("\n" + selftest.recorded_table(selftest.RECORDED, width))
        if not all(check.passed for check in checks):
            raise typer.Exit(NUMERICAL_FAILURE)


class _Request:
    """The request to end that is being met: when it came, and by which signal; ``met``: that it reached the command.

    Where Python raises it in a callback of a library it does not get there, and is raised anew at the next stage.
    """

    at = -math.inf
    by = signal.SIGINT
    met = True


def main() -> None:
    """Run the command line; a request to end is taken as Ctrl-C, so that nothing half-written stays."""

    def interrupt(asked: int, _frame: FrameType | None) -> None:
        if time.monotonic() - _Request.at > PATIENCE:  # a second one must not disturb the clearing up after the first
            _Request.at, _Request.by, _Request.met = time.monotonic(), signal.Signals(asked), False
            raise KeyboardInterrupt

    _hold_streams()
    warnings.showwarning = _told_note
    # before numpy is loaded: our matrices are small, and a second thread for them would only wait, at full speed
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    ends = (signal.SIGINT, signal.SIGTERM)
    for end in ends:
        signal.signal(end, interrupt)
    sys.unraisablehook = _told_unless_kept
    try:
        app()
    finally:
        for end in ends:  # all is done; Python still puts its libraries away
            signal.signal(end, signal.SIG_IGN)


def _told_unless_kept(lost: sys.UnraisableHookArgs) -> None:
    """Say nothing of a request to end that a callback of a library swallowed: it is kept, and heeded later."""
    if not isinstance(lost.exc_value, KeyboardInterrupt):
        sys.__unraisablehook__(lost)


def _hold_streams() -> None:
    """Put nothing in the place of a stream that is closed, which the next file that is opened would take."""
    for number, name, mode in ((0, "stdin", "r"), (1, "stdout", "w"), (2, "stderr", "w")):
        if getattr(sys, name) is None:
            nothing = os.open(os.devnull, os.O_RDWR)  # the least number that is free: this one
            setattr(sys, name, os.fdopen(nothing, mode, encoding="utf-8"))
            if nothing != number:
                os.dup2(nothing, number)


def _told_note(
    message: Warning | str, category: type[Warning], filename: str, lineno: int, file: Any = None, line: Any = None
) -> None:
    """Tell a note of ours in one line, and any other warning as Python does."""
    ours = issubclass(category, CacheNote)
    _tell(f"tipline: {message}" if ours else warnings.formatwarning(message, category, filename, lineno, line).rstrip())


def _interrupted_by() -> int:
    """Return the exit code of a command that was asked to end: 130 by Ctrl-C, 143 by SIGTERM."""
    _Request.met = True
    return 128 + _Request.by


def _leave(code: int) -> NoReturn:
    """End an interrupted sweep, also where workers are not put away yet: they see that this process has gone."""
    from tipline.sweeps.interrupts import Undisturbed

    if Undisturbed.at_it:
        os._exit(code)  # their library would wait for them; what is finished is on disk, and all is told
    raise typer.Exit(code) from None


@contextmanager
def _told() -> Iterator[None]:
    """Turn what can go wrong into one message on stderr and an exit code, without a traceback."""
    try:
        yield
    except TiplineError as error:
        _tell(f"tipline: {error}")
        raise typer.Exit(error.exit_code) from None
    except OSError as error:
        remedy = ". Make room, or give --out a folder on another disk" if error.errno == errno.ENOSPC else ""
        _tell(f"tipline: {error}{remedy}")
        raise typer.Exit(BAD_INPUT) from None
    except KeyboardInterrupt:
        _tell("tipline: interrupted; nothing was left behind")
        raise typer.Exit(_interrupted_by()) from None


def _target(out: Path | None, name: str) -> AbstractContextManager[Path]:
    """Give the folder that is asked for, else one of its own under runs/."""
    from tipline.commands.folder import own_name

    return nullcontext(out) if out is not None else own_name(Path("runs"), name)


def _print(text: str) -> None:
    """Print on stdout; that nobody reads it, or no more of it, changes neither what is written nor the exit code."""
    try:
        typer.echo(printable(text))
    except BrokenPipeError:
        _give_up(sys.stdout)
    except OSError as error:
        _give_up(sys.stdout)
        msg = f"what was to be printed could not be: {error.strerror or error}"
        raise InputError(msg, remedy="Print it elsewhere; a folder that was to be written is there") from error


def _tell(text: str, *, end: bool = True, anew: bool = False) -> None:
    """Print on stderr, likewise; ``anew``: over the line that is there. Where it takes nothing nobody is told."""
    try:
        typer.echo("\r" * anew + printable(text), err=True, nl=end)
    except OSError:
        _give_up(sys.stderr)


def _give_up(stream: TextIO) -> None:
    """Let further text of a stream go nowhere, what it still holds included."""
    nothing = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nothing, stream.fileno())
    os.close(nothing)


def _overrides(settings: list[str] | None) -> dict[str, str]:
    pairs = {}
    for setting in settings or []:
        key, sign, value = setting.partition("=")
        if not sign or not key.strip():
            msg = "a setting needs a key and a value"
            raise InputError(msg, key="--set", value=setting, remedy="Write it as --set event.0.depth='95 mm'")
        pairs[key.strip()] = value.strip()
    return pairs


def _say(delivered: Any, json: bool, where: str) -> None:
    if json:
        from tipline.report import summary

        _print(summary.text(delivered.summary).rstrip("\n"))
        return
    from tipline.report import text

    width = min(text.WIDTH, shutil.get_terminal_size((text.WIDTH, 0)).columns)
    _print(text.page_text(delivered.page, width) + (f"\n\n{where}" if where else ""))


def _print_json(value: Mapping[str, Any] | list[dict[str, Any]]) -> None:
    from json import dumps

    _print(dumps(value, indent=2, ensure_ascii=False, allow_nan=False))


class _Progress:
    """Stage names on stderr: one line a stage, with the part done and the time left where the stage tells it.

    On a terminal the line is renewed; elsewhere a stage that takes long gets a further line now and then.
    """

    def __init__(self, quiet: bool) -> None:
        self._quiet = quiet
        self._live = sys.stderr.isatty()
        self._stage = ""
        self._said = ""
        self._told = self._begun = 0.0
        self._first = 0.0

    def __enter__(self) -> _Progress:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def __call__(self, stage: str, part: float | None) -> None:
        if not _Request.met:
            raise KeyboardInterrupt
        if self._quiet:
            return
        now = time.monotonic()
        if stage != self._stage:
            self.close()
            self._stage, self._begun, self._first, self._told = stage, now, part or 0.0, now
            _tell(f"{stage} ...", end=not self._live)
        if part is None or not (self._live or now - self._told > LONG):
            return
        said = f"{stage} ... {int(100 * part)} %{self._left(part, now)}"
        if said != self._said:
            blank = " " * max(0, len(self._said) - len(said))
            _tell(f"{said}{blank}", end=not self._live, anew=self._live)
            self._said, self._told = said, now

    def _left(self, part: float, now: float) -> str:
        """Say how long the rest takes at the pace so far, once that is known."""
        gone, done = now - self._begun, part - self._first
        if gone < SOON or done <= 0.0 or part >= 1.0:
            return ""
        left = gone / done * (1.0 - part)
        said = (
            f"{left:.0f} s" if left < 100.0 else f"{left / 60.0:.0f} min" if left < 6000.0 else f"{left / 3600.0:.0f} h"
        )
        return f", about {said} left"

    def close(self) -> None:
        """End the line of the stage that is shown."""
        if self._live and self._stage and not self._quiet:
            _tell("")
        self._stage, self._said = "", ""
