"""The folder a run leaves: written beside its place under another name, and renamed when it is whole."""

from __future__ import annotations

import os
import secrets
import shutil
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from tipline.errors import InputError, MissingPart
from tipline.report import html, sections, summary, wording
from tipline.report.first import first_on, first_summary
from tipline.report.page import Page, Picture, Pictures
from tipline.report.sections import Beside
from tipline.report.spread import SPREAD_OFF

if TYPE_CHECKING:
    from tipline.composition import ExportResult, FloorResult, Progress, RunResult, SlopeResult
    from tipline.pose.assessment import PoseReport
    from tipline.scenario import Case
    from tipline.sweeps.sweep import SweepResult

FILES = {
    "replay.mp4": "replay.mp4: the film",
    "still-rest.png": "still-rest.png, still-worst.png, still-end.png: the pictures above",
    "summary.json": "summary.json: the figures under fixed names, for other programs",
    "run.parquet": "run.parquet: every recorded quantity over time, with units",
    "inputs": "inputs/: the files given, and resolved.toml: every value used, with its origin",
}
RUN_FILES = {"summary.json", "run.parquet", "inputs"}
READING = (
    "Yellow arrows stand for tyre loads, to the scale given. In the plan at the right, seen from above, the filled "
    "part of each ring grows with the load of its tyre, and the ringed dot is the balance point."
)
MEDIA = {".jpg": "image/jpeg", ".jpeg": "image/jpeg", ".png": "image/png"}


@dataclass(frozen=True)
class Wishes:
    """What the user asked for: the units, whether to draw, whether the film may be small."""

    system: Literal["si", "us"] = "si"
    pictures: bool = True
    draft: bool = False


def write(
    result: RunResult | FloorResult | SlopeResult | SweepResult | ExportResult,
    folder: Path | str,
    wishes: Wishes | None = None,
    progress: Progress | None = None,
) -> Path:
    """Write what the command that gives such a result leaves, whole or not at all; return the folder.

    Raises
    ------
    InputError
        `folder` holds something already, or nothing can be written there.
    """
    from tipline import composition
    from tipline.sweeps.sweep import SweepResult

    target, wish, tell = Path(folder), wishes or Wishes(), progress or _silent
    with new_folder(target) as new:
        if isinstance(result, SweepResult):
            result.table.to_parquet(new / "sweep.parquet")
            write_sweep(result, new, wish, tell)
        elif isinstance(result, composition.FloorResult):
            write_floor(result, new, wish, tell)
        elif isinstance(result, composition.SlopeResult):
            write_slopes(result, new, wish, tell)
        elif isinstance(result, composition.ExportResult):
            write_export(result, new)
        else:
            write_run(result, new, wish, tell)
    return target


def _silent(stage: str, part: float | None) -> None:
    """Tell nobody of the progress."""


@contextmanager
def new_folder(target: Path) -> Iterator[Path]:
    """Give a folder to write in; it becomes `target` when the block ends, and vanishes if the block fails.

    Raises
    ------
    InputError
        `target` holds something already, or nothing can be written there. Where something came there meanwhile, what
        was written is kept beside it, and the message says where.
    """
    place = Path(os.path.realpath(target))  # a link leads to where the folder is to be, there already or not
    _refuse_filled(place, target)
    made = _parents(place)
    work = place.with_name(f".{place.name}.{secrets.token_hex(4)}")
    try:
        work.mkdir()  # with the rights that the account gives to what is new
    except OSError as error:
        _remove_empty(made)
        raise _unwritable(target, error) from error
    try:
        yield work
        _put(work, place)
    except BaseException:
        shutil.rmtree(work, ignore_errors=True)
        _remove_empty(made)
        raise


def _put(work: Path, target: Path) -> None:
    try:
        with suppress(OSError):  # the name of an empty folder is not free everywhere
            work.rename(target)
            return
        target.rmdir()
        work.rename(target)
    except OSError as error:
        kept = free_name(target.parent, target.name)
        work.rename(kept)
        reason = "something came there while this was written"
        raise InputError(
            reason, key="--out", value=str(target), remedy=f"What was written is kept in {kept}"
        ) from error


def free_name(folder: Path, name: str) -> Path:
    """Give the first of `name`, `name-2`, `name-3` ... that is not in `folder`."""
    count, target = 1, folder / name
    while os.path.lexists(target):
        count += 1
        target = folder / f"{name}-{count}"
    return target


def last_name(folder: Path, name: str) -> Path | None:
    """Give the last of `name`, `name-2`, `name-3` ... that is in `folder`; None if there is none."""
    free = free_name(folder, name)
    if free.name == name:
        return None
    count = int(free.name.rpartition("-")[2]) - 1
    return folder / (name if count == 1 else f"{name}-{count}")


@contextmanager
def own_name(folder: Path, name: str) -> Iterator[Path]:
    """Give the first free one of these names to this run alone: another at the same time gets the next.

    It is taken by an empty folder, which goes if nothing was put there.

    Raises
    ------
    InputError
        Nothing can be written there.
    """
    made = [] if folder.exists() else [folder]
    while True:
        target = free_name(folder, name)
        try:
            folder.mkdir(exist_ok=True)
            target.mkdir()
        except FileExistsError as error:
            if not folder.is_dir():
                raise _unwritable(folder, error) from error
        except OSError as error:
            raise _unwritable(target, error) from error
        else:
            break
    try:
        yield target
    finally:
        _remove_empty([target, *made])


@dataclass(frozen=True)
class Delivered:
    """What was said: the page, and the summary under its fixed names."""

    page: Page
    summary: dict[str, Any]


def write_run(result: RunResult, folder: Path, wishes: Wishes, progress: Progress) -> Delivered:
    """Write everything a run leaves into `folder`; what had to be left out is named on the page and in the summary."""
    started = time.perf_counter()
    progress("writing the run", None)
    _write_inputs(result.case, folder / "inputs")
    result.run.to_parquet(folder / "run.parquet")
    pictures, omissions = _draw(result, folder, wishes, progress)
    if result.report.spread is None:
        omissions.append(SPREAD_OFF)
    progress("writing the report", None)
    case = result.case
    beside = Beside(
        pictures=pictures,
        omissions=tuple(omissions),
        remarks=tuple(result.run.meta.get("notes", ())),
        assumed=result.report.assumed_count,
        names=_names(case),
        inputs=case.resolved,
        files=tuple(text for name, text in FILES.items() if name in RUN_FILES or (folder / name).exists()),
    )
    page = first_on(sections.run_page(result.report, wishes.system, beside), result.report, wishes.system)
    (folder / "report.html").write_text(html.page_html(page), encoding="utf-8")
    facts = {
        "assumed_count": result.report.assumed_count,
        "left_out": omissions,
        "timings_s": {**result.run.meta.get("timings_s", {}), "pictures_and_files": time.perf_counter() - started},
    }
    figures = summary.run_summary(result.report, {**facts, **first_summary(result.report)})
    (folder / "summary.json").write_text(summary.text(figures), encoding="utf-8")
    return Delivered(page, figures)


def write_pose(delivered: Delivered, case: Case, folder: Path) -> None:
    """Write the page, the summary and the inputs of a pose into `folder`."""
    _write_inputs(case, folder / "inputs")
    (folder / "report.html").write_text(html.page_html(delivered.page), encoding="utf-8")
    (folder / "summary.json").write_text(summary.text(delivered.summary), encoding="utf-8")


def pose(report: PoseReport, case: Case, wishes: Wishes) -> Delivered:
    """Give the page and the summary of a pose."""
    beside = Beside(assumed=report.assumed_count, names=_names(case), inputs=case.resolved)
    page = first_on(sections.pose_page(report, wishes.system, beside), report, wishes.system)
    facts = {"assumed_count": report.assumed_count, **first_summary(report)}
    return Delivered(page, summary.pose_summary(report, facts))


def floor(result: FloorResult, wishes: Wishes, drawn: tuple[Pictures, ...] = ()) -> Delivered:
    """Give the page and the summary of a floor that was asked."""
    from tipline.report import floor as pages

    page = first_on(pages.floor_page(result.report, wishes.system, drawn), result.report, wishes.system)
    return Delivered(page, {**pages.floor_summary(result.report), **first_summary(result.report)})


def write_floor(result: FloorResult, folder: Path, wishes: Wishes, progress: Progress) -> Delivered:
    """Write page, summary, table, wheel-load sheet, drawings and inputs of a floor that was asked into `folder`."""
    from tipline.report import floor as pages
    from tipline.report.wheel_sheet import sheet_page

    if result.case is not None:
        _write_inputs(result.case, folder / "inputs")
    drawn = _draw_floor(result, folder, wishes, progress)
    progress("writing the report", None)
    delivered = floor(result, wishes, drawn)
    (folder / "report.html").write_text(html.page_html(delivered.page), encoding="utf-8")
    (folder / "summary.json").write_text(summary.text(delivered.summary), encoding="utf-8")
    (folder / "floor.csv").write_text(pages.rows_csv(result.report.rows(), result.report.demo), encoding="utf-8")
    if result.report.tyres:
        sheet = sheet_page(result.report, wishes.system, _draw_tyres(result, wishes))
        (folder / "wheel-loads.html").write_text(html.page_html(sheet), encoding="utf-8")
    return delivered


def write_slopes(result: SlopeResult, folder: Path, wishes: Wishes, progress: Progress) -> Delivered:
    """Write page, summary, table, drawings and inputs of slope limits into `folder`."""
    from tipline.report import floor as tables
    from tipline.report import slopes as pages

    _write_inputs(result.case, folder / "inputs")
    drawn: tuple[Pictures, ...] = ()
    if wishes.pictures:
        from tipline import view

        progress("drawing the maps", None)
        made = []
        for name, caption, svg in view.slope_drawings(result.report, wishes.system):
            (folder / name).write_text(svg, encoding="utf-8")
            made.append(Picture(caption, svg=svg))
        drawn = (Pictures("Slope limits by direction", tuple(made)),) if made else ()
    progress("writing the report", None)
    page = first_on(pages.slopes_page(result.report, wishes.system, drawn), result.report, wishes.system)
    facts = {"assumed_count": result.report.assumed_count, **first_summary(result.report)}
    figures = pages.slopes_summary(result.report, facts)
    (folder / "report.html").write_text(html.page_html(page), encoding="utf-8")
    (folder / "summary.json").write_text(summary.text(figures), encoding="utf-8")
    (folder / "slopes.csv").write_text(tables.rows_csv(result.report.rows(), result.report.demo), encoding="utf-8")
    return Delivered(page, figures)


def write_sweep(result: SweepResult, folder: Path, wishes: Wishes, progress: Progress) -> Delivered:
    """Write page, summary, drawings and inputs of a sweep into the folder that its table lies in."""
    from tipline.report import sweeps as pages

    shutil.rmtree(folder / "inputs", ignore_errors=True)
    _write_inputs(result.plan.case, folder / "inputs", result.plan.files)
    drawn: tuple[Pictures, ...] = ()
    if wishes.pictures:
        from tipline import view

        progress("drawing the plots", None)
        made = []
        for name, caption, svg in view.sweep_drawings(result.report, wishes.system):
            (folder / name).write_text(svg, encoding="utf-8")
            made.append(Picture(caption, svg=svg))
        drawn = (Pictures("Plots", tuple(made)),) if made else ()
    progress("writing the report", None)
    page = first_on(pages.sweep_page(result.report, wishes.system, drawn), result.report, wishes.system)
    figures = {**pages.sweep_summary(result.report), **first_summary(result.report)}
    (folder / "sweep.html").write_text(html.page_html(page), encoding="utf-8")
    (folder / "summary.json").write_text(summary.text(figures), encoding="utf-8")
    return Delivered(page, figures)


def write_export(made: ExportResult, folder: Path) -> None:
    """Write the files of a format, what it holds and cannot hold, and the inputs into `folder`."""
    _write_inputs(made.case, folder / "inputs")
    for name, data in made.exported.files.items():
        place = folder / name
        place.parent.mkdir(exist_ok=True)
        place.write_bytes(data)
    lines = [wording.demo_note(made.case.demo), ""] if made.case.demo else []
    for heading, items in export_words(made).items():
        lines += [heading.replace("_", " ").capitalize(), *(f"- {item}" for item in items), ""]
    (folder / "about.txt").write_text("\n".join([*lines, wording.ESTIMATE, wording.GOVERNING, ""]), encoding="utf-8")


def export_words(made: ExportResult) -> dict[str, list[str]]:
    """Say what the files hold and what the format cannot hold."""
    asked = [str(one) for one in made.case.unusual]
    first = {"unusual": asked} if asked else {}
    return {**first, "in_these_files": list(made.exported.holds), "not_in_these_files": list(made.exported.leaves_out)}


def _draw_floor(result: FloorResult, folder: Path, wishes: Wishes, progress: Progress) -> tuple[Pictures, ...]:
    """Draw the plan and the stress map, into the folder and for the page."""
    if not wishes.pictures:
        return ()
    from tipline import view

    progress("drawing the floor", None)
    made = []
    for name, caption, svg in view.floor_drawings(result.report, wishes.system):
        (folder / name).write_text(svg, encoding="utf-8")
        made.append(Picture(caption, svg=svg))
    return (Pictures("Drawings", tuple(made)),) if made else ()


def _draw_tyres(result: FloorResult, wishes: Wishes) -> tuple[Pictures, ...]:
    """Draw the sketch of the wheel-load sheet."""
    if not wishes.pictures or result.report.sheet is None:
        return ()
    from tipline import view

    caption, svg = view.wheel_sketch(result.report, wishes.system)
    return (Pictures("Sketch", (Picture(caption, svg=svg),), brief=True),)


def _draw(
    result: RunResult, folder: Path, wishes: Wishes, progress: Progress
) -> tuple[tuple[Pictures, ...], list[str]]:
    """Draw plots, stills and film; whatever this computer cannot draw is named instead."""
    if not wishes.pictures:
        return (), ["stills, film and plots: not asked for (--no-pictures)"]
    from tipline import view

    omissions: list[str] = []
    drawn: list[Pictures] = []
    progress("probing OpenGL", None)
    missing = view.probe()
    if missing:
        omissions.append(f"stills and film: {missing}")
    else:
        try:
            progress("drawing stills", None)
            stills = view.stills(result.run, result.report, folder, result.case, wishes.system)
            drawn.append(Pictures("Pictures", tuple(_still(path, caption) for path, caption in stills), READING))
            film = folder / "replay.mp4"
            view.film(
                result.run,
                result.report,
                film,
                result.case,
                draft=wishes.draft,
                progress=lambda part: progress("drawing the film", part),
                system=wishes.system,
            )
        except MissingPart as error:
            omissions.append(f"stills and film: {error}")
    progress("drawing plots", None)
    plots = view.figures(result.run, result.report, result.case, wishes.system)
    over_time = tuple(Picture(caption, svg=svg) for caption, svg in plots.items())
    drawn.append(Pictures("Over time", over_time, "The numbers above each plot are those of the events listed below."))
    return tuple(drawn), omissions


def _still(path: Path, caption: str) -> Picture:
    return Picture(caption, data=path.read_bytes(), media=MEDIA[path.suffix])


def _names(case: Case) -> tuple[tuple[str, str], ...]:
    """Say which truck, floor, attachment and events a page is about."""
    scenario = case.scenario
    rows = [
        ("truck", f"{case.machine.title} ({case.machine.name})"),
        ("floor", f"{case.floor.title} ({case.floor.name})"),
        ("attachment", scenario.setup.attachment),
    ]
    for number, event in enumerate(scenario.event, start=1):
        under = getattr(event, "under", ())
        where = f" under {', '.join(under)}" if under else ""
        rows.append((f"event {number}", event.kind.replace("_", " ") + where))
    return tuple(rows)


def _write_inputs(case: Case, folder: Path, files: Mapping[str, str] | None = None) -> None:
    from tipline.scenario import write_resolved

    folder.mkdir()
    for name, text in (files or case.files).items():
        place = folder / Path(name).name
        if place.exists() or place.name == "resolved.toml":
            place = folder / f"{Path(name).absolute().parent.name}-{place.name}"
        place.write_text(text, encoding="utf-8")
    write_resolved(case, folder / "resolved.toml")


def _refuse_filled(place: Path, target: Path) -> None:
    try:
        filled = os.path.lexists(place) and (not place.is_dir() or any(place.iterdir()))
    except OSError as error:
        raise _unwritable(target, error) from error
    if filled:
        msg = "there is something there already"
        raise InputError(msg, key="--out", value=str(target), remedy="Give a folder that does not exist or is empty")


def _parents(target: Path) -> list[Path]:
    """Make the folders above `target`; give those that were not there, innermost first."""
    absent = [folder for folder in target.parents if not folder.exists()]
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        _remove_empty(absent)
        raise _unwritable(target, error) from error
    return absent


def _remove_empty(folders: list[Path]) -> None:
    for folder in folders:
        try:
            folder.rmdir()
        except OSError:
            return


def _unwritable(target: Path, error: OSError) -> InputError:
    reason = f"cannot be written: {error.strerror or error}"
    return InputError(reason, key="--out", value=str(target), remedy="Give a folder that you may write in")
