"""What each extension and number of slabs asks of a floor with a load carried low, without spreaders and with them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from tipline.floors.answers.demand import demand
from tipline.model.document import Overrides
from tipline.model.spreaders import Stock
from tipline.scenario import Case
from tipline.scenario.case import Text
from tipline.scenario.reader import read
from tipline.set_ups.assessment import OnFloor, Wanted
from tipline.set_ups.cells import CARRYING

__all__ = ["FloorPlace", "case_with", "on_floor"]


@dataclass(frozen=True)
class FloorPlace:
    """Where it stands: machine and floor by file or shipped name, and the drive axle's place on the floor [m]."""

    machine: str
    floor: str
    position: tuple[float, float] = (0.0, 0.0)


_NAME = "set-up.toml"
_LONGEST, _WIDE = 2.0, 1.4
"""Size of the load that is put on the forks, along and across [m] (our choice: the floor feels its weight only)."""
_ROPE = 0.3
"""Rope that a hung load is given [m] (our choice: statics takes it at the hook)."""


def case_with(place: FloorPlace, changes: Overrides, wanted: Wanted, extension: float, slabs: int, hook: float) -> Case:
    """Return the case of a set-up with a load carried low, on the jib at a hook height; nothing happens in it.

    Raises
    ------
    InputError
        Machine or floor cannot be read, or it cannot be set up so.
    """
    tall, (x, y) = 0.8, place.position
    size = (min(_LONGEST, 2.0 * wanted.centre), _WIDE, 2.0 * min(wanted.centre, 0.6))
    if wanted.jib:
        size = (1.0, _WIDE, tall)
    carried = (
        f'attachment = "jib"\njib_reach = "{wanted.centre} m"\nhook_height = "{max(hook, tall + _ROPE + 0.05)} m"\n'
        if wanted.jib
        else f'attachment = "forks"\nfork_height = "{CARRYING} m"\n'
    )
    hung = f'hung_by = "{_ROPE} m"\n' if wanted.jib else f'load_centre = "{wanted.centre} m"\n'
    text = (
        f'title = "A set-up"\nmachine = "{place.machine}"\nfloor = "{place.floor}"\n[setup]\n{carried}'
        f'counterweight_extension = "{extension} m"\nballast_slabs = {slabs}\nposition = ["{x} m", "{y} m"]\n'
        f'[load]\nmass = "{wanted.mass} kg"\nweight_from = "told"\n'
        f'size = ["{size[0]} m", "{size[1]} m", "{size[2]} m"]\nheight_of_centre = "{0.5 * size[2]} m"\n{hung}'
    )
    own = {f"machine.{key}": value for key, value in changes.items()}
    return read(f"./{_NAME}", own, texts=(Text("scenario", f"./{_NAME}", ".", "set-up", _NAME, text),))


def on_floor(
    case_of: Callable[[float, int], Case],
    bases: Sequence[tuple[float, int]],
    stock: Stock | None,
    progress: Callable[[float], None],
) -> tuple[OnFloor, ...]:
    """Ask the floor under each extension and number of slabs.

    Raises
    ------
    InputError
        A set-up cannot be made.
    NumericalError
        An equilibrium could not be computed.
    """
    out = []
    for done, (extension, slabs) in enumerate(bases, start=1):
        out.append(_asked(case_of(extension, slabs), extension, slabs, stock))
        progress(done / len(bases))
    return tuple(out)


def _asked(case: Case, extension: float, slabs: int, stock: Stock | None) -> OnFloor:
    report = demand(case, detail=False, advice=False)
    worst, nan = report.worst, float("nan")
    if worst is None:
        return OnFloor(extension, slabs, nan, report.lead, "", nan)
    what = f"{worst.who} on {worst.zone}: {worst.mode}"
    if stock is None or worst.of_limit.high <= 1.0:
        return OnFloor(extension, slabs, worst.of_limit.high, what, "", nan)
    laid = demand(case, detail=True, advice=False, stock=stock).spreaders
    if not laid or not all(spreader.found for spreader in laid):
        return OnFloor(extension, slabs, worst.of_limit.high, what, "none of the stock is enough", nan)
    words = ", ".join(dict.fromkeys(f"{spreader.name} under {spreader.tyre}" for spreader in laid))
    return OnFloor(extension, slabs, worst.of_limit.high, what, words, max(spreader.after.high for spreader in laid))
