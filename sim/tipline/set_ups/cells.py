"""The set-ups that are asked: every combination of load centre or reach, extension, slabs and height, as arrays."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import inf

import numpy as np
from numpy.typing import NDArray

from tipline import units
from tipline.errors import InputError, argument
from tipline.model.checks import is_on_step
from tipline.model.machine import Attachment, Machine
from tipline.units import show

__all__ = ["CARRYING", "MOST_CELLS", "Asked", "Cells", "asked_from", "cells_of"]

Array = NDArray[np.float64]
CARRYING = 0.3
"""Height of the forks while a load is carried [m]: that of the tests for travelling up to 10 t."""
MOST_CELLS = 200_000
_CENTRES = (0.6, 0.9, 1.2)
"""Load centres asked where the plate names none [m]."""
_SAME = 1e-6
_NONE = "names none"


@dataclass(frozen=True)
class Asked:
    """What is asked of each kind: load centres on the forks, reaches of the jib, extensions, heights [m], and slabs."""

    centres: tuple[float, ...]
    reaches: tuple[float, ...]
    extensions: tuple[float, ...]
    slabs: tuple[int, ...]
    heights: tuple[float, ...]


@dataclass(frozen=True)
class Cells:
    """Set-ups as arrays (n,): `jib` or forks, load centre [m], extension [m], slabs, height of fork or hook [m]."""

    jib: NDArray[np.bool_]
    centre: Array
    extension: Array
    slabs: NDArray[np.int64]
    height: Array

    def __len__(self) -> int:
        return len(self.centre)

    def alike(self, *, carried: bool) -> list[NDArray[np.int64]]:
        """Return the places (m,) [1] of set-ups that have mast, carriage and attachment alike, in groups.

        On the forks they go by height alone, carried low they are all alike; a jib goes by reach and height.
        """
        reaches, heights = (np.unique(column, return_inverse=True)[1] for column in (self.centre, self.height))
        kind = np.where(self.jib, 1 + reaches, 0) * len(self)
        kind = kind + np.where(self.jib | (not carried), heights, 0)
        order = np.argsort(kind, kind="stable")
        return np.split(order, np.flatnonzero(np.diff(kind[order])) + 1)

    def attachment(self, index: int) -> Attachment:
        """Return the attachment of a set-up."""
        return "jib" if self.jib[index] else "forks"


def asked_from(machine: Machine, given: Mapping[str, object] | None = None) -> Asked:
    """Return what is asked: what is given by name, else the plate's own and a few more.

    Raises
    ------
    InputError
        A name is not known, a value cannot be read, or the machine cannot do it.
    """
    lists = {key: value for key, value in (given or {}).items() if value is not None}
    known = ("centres", "reaches", "extensions", "slabs", "heights")
    for name in lists:
        if name not in known:
            msg = "is nothing that can be asked"
            raise InputError(msg, key=argument("grid"), value=str(name), remedy=f"Give one of {', '.join(known)}")
    plate, weight, top = machine.capacity_plate, machine.counterweight, machine.mast.top_fork_height
    most = 0 if machine.ballast_slab is None else machine.ballast_slab.most
    forks, jib = machine.forks, machine.jib
    own_centres = {row.load_centre for row in plate if row.attachment == "forks"} or set(_CENTRES)
    own_slabs = {row.slabs for row in plate if row.slabs is not None}
    own_out = {row.extension for row in plate if row.extension is not None}
    grid = Asked(
        centres=_lengths(lists, "centres", sorted(own_centres), 0.1, inf) if forks is not None else (),
        reaches=_pins(lists, machine) if jib is not None else (),
        extensions=_lengths(lists, "extensions", sorted({0.0, weight.stroke, *own_out}), 0.0, weight.stroke),
        slabs=_counts(lists, sorted({0, most, *own_slabs}), most),
        heights=_lengths(lists, "heights", _spread(top), 0.0, top + max(jib.rise_pins if jib is not None else (0.0,))),
    )
    for extension in grid.extensions:
        if not is_on_step(extension, weight.stroke, weight.step):
            msg = f"must be on a step of {show(weight.step or 0.0, 'length')}, or the full stroke"
            raise InputError(
                msg,
                key=argument("extensions"),
                value=show(extension, "length"),
                remedy="Use the step before or after it",
            )
    return grid


def cells_of(machine: Machine, lists: Asked) -> Cells:
    """Return every combination that the machine can do: heights that the mast reaches with a rise pin there is.

    Raises
    ------
    InputError
        There are none, or too many.
    """
    rows: list[tuple[Array, ...]] = []
    top, jib = machine.mast.top_fork_height, machine.jib
    for hangs, centres in ((False, lists.centres), (True, lists.reaches)):
        heights = [height for height in lists.heights if not hangs and height <= top + _SAME]
        if hangs and jib is not None:
            # the same heights of the carriage on its lowest pin, so that both attachments are asked from low to high
            least = min(jib.rise_pins)
            heights = [height + least for height in lists.heights if height <= top + _SAME]
        count = len(centres) * len(lists.extensions) * len(lists.slabs) * len(heights)
        if count + sum(len(row[0]) for row in rows) > MOST_CELLS:
            msg = f"at most {MOST_CELLS} set-ups can be asked at once"
            raise InputError(msg, key=argument("grid"), value=str(count), remedy="Ask fewer values of each")
        grids = np.meshgrid(centres, lists.extensions, lists.slabs, heights, indexing="ij")
        rows.append((np.full(count, float(hangs)), *(grid.ravel().astype(np.float64) for grid in grids)))
    jib_, centre, extension, slabs, height = (np.concatenate(column) for column in zip(*rows, strict=True))
    if not len(centre):
        msg = "names no set-up that the machine can do"
        raise InputError(msg, key=argument("grid"), value=repr(lists), remedy="Give it forks or a jib, or ask less")
    return Cells(jib_ > 0.0, centre, extension, slabs.astype(np.int64), height)


def _spread(top: float) -> list[float]:
    """Return four heights from carrying to the top of the mast, on whole tenths but the last."""
    low = min(CARRYING, top)
    between = (round(low + part * (top - low), 1) for part in (1.0 / 3.0, 2.0 / 3.0))
    return list(dict.fromkeys((low, *between, top)))


def _pins(lists: Mapping[str, object], machine: Machine) -> tuple[float, ...]:
    jib = machine.jib
    assert jib is not None
    reaches = _lengths(lists, "reaches", sorted(jib.reach_pins), 0.0, inf)
    for reach in reaches:
        if not any(abs(reach - pin) < _SAME for pin in jib.reach_pins):
            pins = ", ".join(show(pin, "length") for pin in jib.reach_pins)
            msg = f"is no pin of the jib; it has {pins}"
            raise InputError(msg, key=argument("reaches"), value=show(reach, "length"), remedy="Give one of them")
    return reaches


def _lengths(lists: Mapping[str, object], name: str, own: list[float], least: float, most: float) -> tuple[float, ...]:
    if name not in lists:
        return tuple(own)
    lengths = []
    for part in _parts(lists[name]):
        number = isinstance(part, int | float | np.number) and not isinstance(part, bool)
        try:
            value = float(part) if number else units.parse(str(part), "length")  # type: ignore[arg-type]
        except ValueError as error:
            raise _wrong(name, part, str(error)) from None
        if not least <= value <= most + _SAME:
            span = (
                f"{show(least, 'length')} to {show(most, 'length')}"
                if most < inf
                else f"{show(least, 'length')} or more"
            )
            raise _wrong(name, part, f"must be {span}")
        lengths.append(value)
    if not lengths:
        raise _wrong(name, lists[name], _NONE)
    return tuple(dict.fromkeys(lengths))


def _counts(lists: Mapping[str, object], own: list[int], most: int) -> tuple[int, ...]:
    name = "slabs"
    if name not in lists:
        return tuple(own)
    counts = []
    for part in _parts(lists[name]):
        text = str(part).strip()
        if not text.isdigit() or int(text) > most:
            raise _wrong(name, part, f"must be whole numbers from 0 to {most}", "0, 2, 4")
        counts.append(int(text))
    if not counts:
        raise _wrong(name, lists[name], _NONE, "0, 2, 4")
    return tuple(dict.fromkeys(counts))


def _parts(given: object) -> Iterator[object]:
    if isinstance(given, str):
        yield from (part.strip() for part in given.split(","))
    elif isinstance(given, list | tuple | range | np.ndarray):
        yield from given
    else:
        yield given


def _wrong(name: str, value: object, reason: str, like: str = "0.6 m, 0.9 m") -> InputError:
    shown = value if isinstance(value, str) else repr(value)
    return InputError(reason, key=argument(name), value=shown, remedy=f'Write it like "{like}"')
