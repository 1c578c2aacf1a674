"""`replay`: a stored run, or two in step, as one page that plays them."""

from __future__ import annotations

import os
import secrets
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path

from tipline.commands.further_runs import recorded_spread
from tipline.commands.given import Progress, named, one_of, silent, whole
from tipline.commands.limits import MOST_GHOSTS
from tipline.commands.run import REPLAY
from tipline.commands.stored import Stored, stored
from tipline.errors import InputError, argument
from tipline.playback.ghosts import SpreadRun
from tipline.playback.of_run import Played, pair_html, replay_html
from tipline.playback.stills import small_stills
from tipline.units import System

__all__ = ["ReplayResult", "replay", "write_replay"]


@dataclass(frozen=True)
class ReplayResult:
    """A page that plays a run: its text, and where it goes unless it is told otherwise."""

    html: str
    place: Path


def replay(
    run: Path | str,
    beside: Path | str | None = None,
    units: System = "si",
    progress: Progress | None = None,
    spread: int = 0,
) -> ReplayResult:
    """Make the page that plays a stored run, or two in step, from their folders alone.

    Parameters
    ----------
    run : the folder that `run` left
    beside : that of another run, played beside it on one clock and by one camera, with what was changed in words
    units : that the page begins with; it can be switched
    progress : told of each stage
    spread : so many runs of its spread, made again, are drawn as faint outlines beside it; of both where there are two

    Raises
    ------
    InputError
        A folder is not that of a run, or its files were changed since.
    MissingPart
        NiceGUI, whose three.js draws the page's pictures, is not installed.

    Examples
    --------
    >>> import tempfile, tipline
    >>> short = tipline.run("front-tyre-breaks-through-load-low", {"run.duration": 1.5}, spread=0)
    >>> with tempfile.TemporaryDirectory() as place:
    ...     folder = tipline.write(short, f"{place}/run", pictures=False)
    ...     page = tipline.replay(folder)
    >>> page.html.startswith("<!DOCTYPE html>"), page.place.name
    (True, 'replay.html')
    """
    one_of(units, "units", ("si", "us"))
    whole(spread, "spread", 0, MOST_GHOSTS)
    tell = progress or silent
    tell("reading the run", None)
    kept = stored(run)
    other = None if beside is None else stored(beside, "beside")
    played = _played(kept, spread, tell)
    if other is None:
        tell("writing the replay", None)
        stills = small_stills(played, kept.folder, units)
        return ReplayResult(replay_html(played, units, stills), kept.folder / REPLAY)
    name = f"replay-beside-{other.folder.resolve().name}.html"
    second = _played(other, spread, tell)
    tell("writing the replay", None)
    stills = [*small_stills(played, kept.folder, units), *small_stills(second, other.folder, units, 1)]
    return ReplayResult(pair_html(played, second, units, stills), kept.folder / name)


def _played(kept: Stored, spread: int, tell: Progress) -> Played:
    played = Played(kept.result.report, kept.result.case, kept.doubts)
    if not spread:
        return played
    further = recorded_spread(played.case, spread, tell)
    return replace(played, further=tuple(SpreadRun(run, up) for run, up in further), wanted=spread)


def write_replay(result: ReplayResult, out: Path | str | None = None) -> Path:
    """Write the page to `out`, else into the run's folder, in place of the one there; return where it is.

    Raises
    ------
    InputError
        Nothing can be written there.
    """
    target = result.place if out is None else Path(named(out, "out", "a file to write"))
    work = target.with_name(f".{target.name}.{secrets.token_hex(4)}")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        work.write_text(result.html, encoding="utf-8")
        os.replace(work, target)  # noqa: PTH105 - whole or not at all
    except OSError as error:
        with suppress(OSError):
            work.unlink(missing_ok=True)
        reason = f"cannot be written: {error.strerror or error}"
        raise InputError(reason, key=argument("out"), value=str(target), remedy="Give --out another file") from error
    return target
