"""The command line: reads what was typed, calls the package, prints. Heavy parts are imported inside the commands."""

from __future__ import annotations

import errno
import os
import shutil
import warnings
from collections.abc import Iterator, Mapping
from contextlib import AbstractContextManager, contextmanager, nullcontext
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from tipline.cli.progress import Progress
from tipline.cli.signals import interrupted_by, leave, taken_as_interrupts
from tipline.cli.streams import hold_streams, show, tell, told_note
from tipline.cli.typed import BAD_INPUT, Commands, whole_number
from tipline.commands.limits import MOST_RAMPS, MOST_SIMULATED, MOST_SPREAD, MOST_WORKERS
from tipline.errors import InputError, TiplineError, as_typed

if TYPE_CHECKING:
    from tipline.report.page import Page
    from tipline.runs.outcome import Outcome

LIMIT_EXCEEDED = 4
NUMERICAL_FAILURE = 3

app = typer.Typer(
    name="tipline",
    cls=Commands,
    epilog="Exit: 0 done, 1 a part is not installed, 2 bad input, 3 numerical failure, "
    "4 done with a planning limit exceeded, 130 interrupted (143 by SIGTERM).",
    invoke_without_command=True,
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


class Template(StrEnum):
    """What a template can be written of."""

    machine = "machine"
    floor = "floor"
    scenario = "scenario"
    stock = "stock"
    route = "route"
    sweep = "sweep"


class Engine(StrEnum):
    """What can make a run."""

    pybullet = "pybullet"
    compiled = "compiled"


class ExportFormat(StrEnum):
    """The formats that a truck can be written in for other programs."""

    urdf = "urdf"
    mjcf = "mjcf"
    glb = "glb"


ScenarioName = Annotated[str, typer.Argument(metavar="SCENARIO", help="A scenario file, or the name of a shipped one.")]
Settings = Annotated[
    list[str] | None,
    typer.Option("--set", metavar="KEY=VALUE", help="Replace a setting, as event.0.depth='95 mm'. Repeatable."),
]
Out = Annotated[Path | None, typer.Option("--out", metavar="DIR", help="The folder to write; it must not exist yet.")]
Json = Annotated[
    bool, typer.Option("--json", help="Print the summary as JSON instead of the page; in SI, whatever --units.")
]
JsonList = Annotated[bool, typer.Option("--json", help="Print as JSON.")]
UnitsOption = Annotated[Units, typer.Option("--units", help="Units of the page; JSON stays in SI.")]
NoPictures = Annotated[bool, typer.Option("--no-pictures", help="Leave out stills, film and plots.")]
NoFilm = Annotated[bool, typer.Option("--no-film", help="Leave out the film only.")]
Strict = Annotated[bool, typer.Option("--strict", help="Refuse unusual values that the files do not call meant.")]
Quiet = Annotated[bool, typer.Option("--quiet", help="No progress lines.")]


def _tell_version(wanted: bool) -> None:
    if wanted:
        from tipline import __version__

        typer.echo(f"tipline {__version__}")
        raise typer.Exit


FIRST_STEPS = """tipline works out what it takes to tip a heavy-lift truck or to break the floor under it.

  tipline start                                         a first page on your own lift, from a dozen questions
  tipline list                                          the trucks, floors and scenarios that come with it
  tipline check front-tyre-breaks-through-load-high     tyre loads and limits at rest, in a second
  tipline run front-tyre-breaks-through-load-high       simulate it: a report, pictures and a film under runs/
  tipline run YOUR-FILE.toml                            your own; copy a shipped scenario and change it
  tipline --help                                        all commands
"""


@app.callback()
def tipline(
    ctx: typer.Context,
    _version: Annotated[
        bool, typer.Option("--version", callback=_tell_version, is_eager=True, help="Print the version and stop.")
    ] = False,
) -> None:
    """Work out what it takes to tip a heavy-lift truck or to break the floor under it, and what happens then."""
    if ctx.invoked_subcommand is None:
        show(FIRST_STEPS.rstrip())
        raise typer.Exit(BAD_INPUT)


@app.command()
def run(
    scenario: ScenarioName,
    settings: Settings = None,
    out: Out = None,
    json: Json = False,
    units: UnitsOption = Units.si,
    no_pictures: NoPictures = False,
    no_film: NoFilm = False,
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
            callback=whole_number(MOST_SPREAD),
            help="Runs within what is not known of load, tyres, events; 50, or run.spread of the scenario; 0: none.",
        ),
    ] = None,
    floor_spread: Annotated[
        int,
        typer.Option(
            "--floor-spread",
            metavar="N",
            callback=whole_number(MOST_SPREAD),
            help="The same for the floor's strength; 20.",
        ),
    ] = 20,
    engine: Annotated[
        Engine | None,
        typer.Option("--engine", help="What makes the run; pybullet where it is installed, else compiled."),
    ] = None,
) -> None:
    """Simulate, assess and report a scenario; leave its folder under runs/ or in --out."""
    with _told(), Progress(quiet) as progress:
        overrides = _overrides(settings)
        from tipline.commands import run as command
        from tipline.commands.delivered import Wishes
        from tipline.commands.folder import new_folder
        from tipline.commands.next_steps import after_run
        from tipline.report.sections import ended

        wishes = Wishes(units.value, not no_pictures, draft, not no_film)

        def known(outcome: Outcome) -> None:
            progress.close()
            if not json:
                show("\n".join(f"{part}: {how}" for part, how in ended(outcome)) + "\n")

        with _target(out, Path(scenario).stem or "run") as target, new_folder(target) as folder:
            result = command.run(scenario, overrides, progress, spread, floor_spread, strict, known, engine)
            progress.close()
            if not json:
                _show_page(command.page_of_run(result, wishes))
            delivered = command.write_run(result, folder, wishes, progress)
        progress.close()
        if json:
            _say(delivered, json, "")
        else:
            left_out = (f"Left out: {text}." for text in delivered.left_out)
            steps = after_run(result.report, result.case, scenario, target)
            show("\n".join(("", *left_out, f"Written to {target}/", steps)))
        if delivered.broken_off:
            tell(f"tipline: interrupted; the film was left out, all else is in {target}/")
            raise typer.Exit(interrupted_by())
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
    with _told(), Progress(quiet) as progress:
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
def start(
    answers: Annotated[
        Path | None, typer.Option("--answers", metavar="FILE", help="Take the answers from a file; nothing is asked.")
    ] = None,
    questions: Annotated[
        bool, typer.Option("--questions", help="Print the questions as such a file to fill in, and stop.")
    ] = False,
    resume: Annotated[
        bool, typer.Option("--resume", help="Go on where the questions were left, with what was answered.")
    ] = False,
    out: Out = None,
    json: Json = False,
    units: UnitsOption = Units.si,
    quiet: Quiet = False,
) -> None:
    """Ask a dozen questions, any of which may stay open; give a first page and the lift's three files."""
    with _told(), Progress(quiet) as progress:
        from tipline.commands import start as command
        from tipline.commands.delivered import Wishes
        from tipline.commands.folder import new_folder

        if questions:
            show(command.answers_text({}).rstrip())
            return
        given: Any = answers if answers is not None else _asked(resume)
        with _target(out, "start") as target, new_folder(target) as folder:
            result = command.start(given, progress)
            command.write_start(result, folder, Wishes(units.value))
        progress.close()
        if answers is None:
            from tipline.cli.dialogue import KEPT

            KEPT.unlink(missing_ok=True)
        _say(command.page_of(result, Wishes(units.value), str(target)), json, f"Written to {target}/")
        if result.pose.exceeded:
            raise typer.Exit(LIMIT_EXCEEDED)


def _asked(resume: bool) -> dict[str, Any]:
    """Ask the questions; whatever ends them early, what was answered is kept and it is said how to go on."""
    from tipline.cli.dialogue import KEPT, Left, ask

    go_on = f"what was answered is kept in {KEPT}; go on with tipline start --resume"
    try:
        answers, meant = ask(resume)
    except Left:
        tell(f"tipline: {go_on}")
        raise typer.Exit from None
    except EOFError:
        tell(f"tipline: no more answers came; {go_on}, or give them in a file with --answers")
        raise typer.Exit(BAD_INPUT) from None
    except KeyboardInterrupt:
        tell(f"\ntipline: interrupted; {go_on}")
        raise typer.Exit(interrupted_by()) from None
    return {**answers, "meant": list(meant)}


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
    """Set what the tyres put on a floor against planning limit and expected strength; leave a folder as run does."""
    with _told(), Progress(quiet) as progress:
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
        int,
        typer.Option(
            "--simulate", metavar="N", callback=whole_number(MOST_SIMULATED), help="Simulate N directions as well."
        ),
    ] = 0,
    ramps: Annotated[
        int,
        typer.Option(
            "--ramps",
            metavar="N",
            callback=whole_number(MOST_RAMPS),
            help="Simulate N ways onto a ramp, and stops on it.",
        ),
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
    with _told(), Progress(quiet) as progress:
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
def loads(
    machine: Annotated[str, typer.Argument(metavar="MACHINE", help="A machine file, or the name of a shipped one.")],
    load: Annotated[
        str | None, typer.Option("--load", metavar="MASS", help="Which set-up takes this load? As '8 t', gross.")
    ] = None,
    load_centre: Annotated[
        str | None, typer.Option("--load-centre", metavar="LENGTH", help="Its load centre on the forks, as '0.7 m'.")
    ] = None,
    reach: Annotated[
        str | None, typer.Option("--reach", metavar="LENGTH", help="Instead of it the jib's reach, as '1.6 m'.")
    ] = None,
    heights: Annotated[
        str | None,
        typer.Option("--heights", metavar="LIST", help="Fork heights to ask, as '0.3 m, 2 m'; default four."),
    ] = None,
    centres: Annotated[
        str | None, typer.Option("--centres", metavar="LIST", help="Load centres on the forks; default the plate's.")
    ] = None,
    reaches: Annotated[
        str | None, typer.Option("--reaches", metavar="LIST", help="Reaches of the jib; default all its pins.")
    ] = None,
    extensions: Annotated[
        str | None, typer.Option("--extensions", metavar="LIST", help="Counterweight extensions; default the plate's.")
    ] = None,
    slabs: Annotated[
        str | None, typer.Option("--slabs", metavar="LIST", help="Numbers of ballast slabs, as '0, 2, 4'.")
    ] = None,
    rules: Annotated[
        list[str] | None,
        typer.Option(
            "--rule", metavar="NAME=NUMBER", help="Replace a number of the rules, steer_share=0.2. Repeatable."
        ),
    ] = None,
    settings: Annotated[
        list[str] | None,
        typer.Option("--set", metavar="KEY=VALUE", help="Replace a value of the machine, wheelbase='2 m'. Repeatable."),
    ] = None,
    floor: Annotated[
        str | None, typer.Option("--floor", metavar="NAME", help="Set that load on this floor as well, by set-up.")
    ] = None,
    stock: Annotated[str | None, typer.Option("--stock", metavar="NAME", help="Spreaders to lay under it.")] = None,
    position: Annotated[
        str, typer.Option("--position", metavar="X,Y", help="Where on the floor its drive axle stands.")
    ] = "0 m, 0 m",
    out: Out = None,
    json: Json = False,
    units: UnitsOption = Units.si,
    no_pictures: Annotated[bool, typer.Option("--no-pictures", help="Leave out the chart.")] = False,
    quiet: Quiet = False,
    strict: Strict = False,
) -> None:
    """Give greatest and least lifted load by set-up, and what governs each; leave a folder as run does."""
    with _told(), Progress(quiet) as progress:
        overrides = _overrides(settings)
        from tipline.commands import loads as command
        from tipline.commands.delivered import Wishes
        from tipline.commands.folder import new_folder

        wishes = Wishes(units.value, not no_pictures)
        grid = {"heights": heights, "centres": centres, "reaches": reaches, "extensions": extensions, "slabs": slabs}
        with _target(out, f"loads-{Path(machine).stem or 'machine'}") as target, new_folder(target) as folder:
            result = command.loads(
                machine,
                overrides,
                grid,
                rules or (),
                load,
                load_centre,
                reach,
                progress,
                strict,
                floor,
                stock,
                position,
            )
            delivered = command.write_loads(result, folder, wishes, progress)
        progress.close()
        _say(delivered, json, f"Written to {target}/")


@app.command()
def fit(
    machine: Annotated[
        str,
        typer.Argument(metavar="MACHINE", help="A machine file with weighings or sags, or the name of a shipped one."),
    ],
    settings: Annotated[
        list[str] | None,
        typer.Option("--set", metavar="KEY=VALUE", help="Replace a value of the machine, wheelbase='2 m'. Repeatable."),
    ] = None,
    out: Out = None,
    json: Json = False,
    units: UnitsOption = Units.si,
    quiet: Quiet = False,
    strict: Strict = False,
) -> None:
    """Fit a machine's file to its weighings; say what they determine, what not, what contradicts; write a new file."""
    with _told(), Progress(quiet) as progress:
        overrides = _overrides(settings)
        from tipline.commands import fit as command
        from tipline.commands.delivered import Wishes
        from tipline.commands.folder import new_folder

        with _target(out, f"fit-{Path(machine).stem or 'machine'}") as target, new_folder(target) as folder:
            result = command.fit(machine, overrides, progress, strict)
            delivered = command.write_fit(result, folder, Wishes(units.value))
        progress.close()
        _say(delivered, json, f"Written to {target}/; the fitted file is {target}/{result.name}")


@app.command()
def sweep(
    file: Annotated[str, typer.Argument(metavar="FILE", help="A sweep file, or the name of a shipped one.")],
    workers: Annotated[
        int,
        typer.Option(
            "--workers",
            metavar="N",
            callback=whole_number(MOST_WORKERS, 1),
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
    with _told(), Progress(quiet) as progress:
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
            tell(f"tipline: interrupted; {kept}")
            leave(interrupted_by())
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
    with _told(), Progress(quiet) as progress:
        overrides = _overrides(settings)
        from tipline.commands import export as command
        from tipline.commands.folder import new_folder

        with _target(out, f"{form.value}-{Path(scenario).stem or 'scenario'}") as target, new_folder(target) as folder:
            result = command.export(scenario, form.value, overrides, progress)
            command.write_export(result, folder)
        progress.close()
        if json:
            _print_json({"folder": str(target), "files": sorted(result.exported.files), **result.words()})
            return
        for heading, lines in result.words().items():
            show("\n".join([heading.replace("_", " ").capitalize(), *(f"  - {line}" for line in lines)]))
        show(f"\nWritten to {target}/")


@app.command("list")
def list_shipped(
    json: JsonList = False,
    copy: Annotated[
        str | None, typer.Option("--copy", metavar="NAME", help="Copy this shipped file, to change it.")
    ] = None,
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FILE", help="Where the copy goes; NAME.toml here without it.")
    ] = None,
) -> None:
    """List the machines, floors, stocks, scenarios and sweeps that come with the program, or copy one to change."""
    with _told():
        from tipline.commands.listing import copy_shipped, shipped

        if copy is not None:
            show(f"Written to {copy_shipped(copy, out)}")
            return
        listed = shipped()
        if json:
            _print_json(listed)
            return
        for kind, entries in listed.items():
            show(f"{kind}s")
            width = max((len(name) for name in entries), default=0)
            for name, title in entries.items():
                show(f"  {name.ljust(width)}  {title}")


@app.command()
def new(
    kind: Annotated[Template, typer.Argument(metavar="KIND", help="Which kind of file.")],
    name: Annotated[str, typer.Argument(metavar="NAME", help="A name for the new file, or a path ending in .toml.")],
) -> None:
    """Write a commented template, every key explained: of a machine, floor, scenario, stock, route or sweep."""
    with _told():
        from tipline.commands.new import new as new_file

        show(f"Written to {new_file(kind.value, name)}")


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
            show(selftest.table(checks, width))
            show("\n" + selftest.recorded_table(selftest.RECORDED, width))
        if not all(check.passed for check in checks):
            raise typer.Exit(NUMERICAL_FAILURE)


def main() -> None:
    """Run the command line; a request to end is taken as Ctrl-C, so that nothing half-written stays."""
    hold_streams()
    warnings.showwarning = told_note
    # before numpy is loaded: our matrices are small, and a second thread for them would only wait, at full speed
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    with taken_as_interrupts():
        app()


@contextmanager
def _told() -> Iterator[None]:
    """Turn what can go wrong into one message on stderr and an exit code, without a traceback."""
    with as_typed():
        try:
            yield
        except TiplineError as error:
            tell(f"tipline: {error}")
            raise typer.Exit(error.exit_code) from None
        except OSError as error:
            remedy = ". Make room, or give --out a folder on another disk" if error.errno == errno.ENOSPC else ""
            tell(f"tipline: {error}{remedy}")
            raise typer.Exit(BAD_INPUT) from None
        except KeyboardInterrupt:
            tell("tipline: interrupted; nothing was left behind")
            raise typer.Exit(interrupted_by()) from None


def _target(out: Path | None, name: str) -> AbstractContextManager[Path]:
    """Give the folder that is asked for, else one of its own under runs/."""
    from tipline.commands.folder import own_name

    return nullcontext(out) if out is not None else own_name(Path("runs"), name)


def _overrides(settings: list[str] | None) -> dict[str, str]:
    pairs = {}
    for setting in settings or []:
        key, sign, value = setting.partition("=")
        if not sign or not key.strip():
            msg = "a setting needs a key and a value"
            raise InputError(msg, key="--set", value=setting, remedy="Write it as --set event.0.depth='95 mm'")
        pairs[key.strip()] = value.strip()
    return pairs


def _show_page(page: Page, where: str = "") -> None:
    from tipline.report import text

    width = min(text.WIDTH, shutil.get_terminal_size((text.WIDTH, 0)).columns)
    show(text.page_text(page, width) + (f"\n\n{where}" if where else ""))


def _say(delivered: Any, json: bool, where: str) -> None:
    if json:
        from tipline.report import summary

        show(summary.text(delivered.summary).rstrip("\n"))
        return
    _show_page(delivered.page, where)


def _print_json(value: Mapping[str, Any] | list[dict[str, Any]]) -> None:
    from json import dumps

    show(dumps(value, indent=2, ensure_ascii=False, allow_nan=False))
