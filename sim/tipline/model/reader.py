"""Read a machine, a floor or a stock of spreaders by name or path."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import TypeVar

from tipline.errors import InputError
from tipline.model.checks import check_machine
from tipline.model.document import Document, Overrides, checked, read_text
from tipline.model.floor import Floor
from tipline.model.floor_checks import check_floor, check_stock
from tipline.model.machine import Machine, Tyre
from tipline.model.not_used import not_used_of_floor
from tipline.model.origins import fill_origins
from tipline.model.own_truck import TABLE, fill_in
from tipline.model.plausible import Rule, found, path_of, still_meant, unusual
from tipline.model.plausible_floor import FLOOR_RULES, STOCK_RULES
from tipline.model.plausible_machine import MACHINE_RULES
from tipline.model.problems import Finding, build, refuse
from tipline.model.shipped import Kind, find
from tipline.model.spreaders import Stock
from tipline.printable import printable

__all__ = [
    "change_machine",
    "load_document",
    "not_used_in_floor",
    "read_floor",
    "read_machine",
    "read_stock",
    "to_floor",
    "to_machine",
    "unusual_in_floor",
    "unusual_in_machine",
    "unusual_in_stock",
]

ThingT = TypeVar("ThingT", Machine, Floor, Stock)


def read_machine(name: str | Path, overrides: Overrides | None = None) -> Machine:
    """Return a machine by shipped name or path, with single values changed by dotted key.

    Raises InputError or InputErrors.
    """
    document = load_document("machine", *find("machine", str(name)))
    return to_machine(change_machine(document, checked(overrides).items()))


def read_floor(name: str | Path, overrides: Overrides | None = None) -> Floor:
    """Return a floor by shipped name or path, with single values changed by dotted key.

    Raises InputError or InputErrors.
    """
    return to_floor(_changed(load_document("floor", *find("floor", str(name))), overrides))


def read_stock(name: str | Path, overrides: Overrides | None = None) -> Stock:
    """Return a stock of spreaders by shipped name or path, with single values changed by dotted key.

    Raises InputError or InputErrors.
    """
    return _finished(Stock, _changed(load_document("stock", *find("stock", str(name))), overrides), check_stock)


def unusual_in_floor(name: str | Path, overrides: Overrides | None = None) -> tuple[InputError, ...]:
    """Return what is unusual in a floor's file and not said to be meant; raises what `read_floor` does."""
    document = _changed(load_document("floor", *find("floor", str(name))), overrides)
    return _unusual(to_floor(document), document, FLOOR_RULES)


def unusual_in_machine(name: str | Path, overrides: Overrides | None = None) -> tuple[InputError, ...]:
    """Return what is unusual in a machine's file and not said to be meant; raises what `read_machine` does."""
    document = load_document("machine", *find("machine", str(name)))
    change_machine(document, checked(overrides).items())
    return _unusual(to_machine(document), document, MACHINE_RULES)


def not_used_in_floor(name: str | Path, overrides: Overrides | None = None) -> tuple[str, ...]:
    """Return in sentences what a floor's file gives that nothing uses; raises what `read_floor` does."""
    document = _changed(load_document("floor", *find("floor", str(name))), overrides)
    return tuple(not_used_of_floor(to_floor(document), document))


def unusual_in_stock(name: str | Path) -> tuple[InputError, ...]:
    """Return what is unusual in a stock's file and not said to be meant; raises what `read_stock` does."""
    document = load_document("stock", *find("stock", str(name)))
    return _unusual(_finished(Stock, document, check_stock), document, STOCK_RULES)


def _unusual(thing: ThingT, document: Document, rules: tuple[Rule[ThingT], ...]) -> tuple[InputError, ...]:
    meant = [path for path in (path_of(thing, key) for key in thing.meant) if path is not None]
    return unusual(found(thing, rules), document, meant)


def load_document(kind: Kind, path: Path, shown: str) -> Document:
    """Return a file as plain data; its ``name`` is that of the file unless it says otherwise."""
    document = Document.from_text(read_text(path, shown), shown)
    if kind != "scenario":
        document.data.setdefault("name", printable(path.stem))
    return document


def change_machine(document: Document, changes: Iterable[tuple[str, object]]) -> Document:
    """Change values of a machine by dotted key: what is told of plate and tape before what is filled in from it."""
    texts = list(changes)
    for own in (True, False):
        for key, value in texts:
            if key.startswith(f"{TABLE}.") is own:
                document.change(key, value)
        if own:
            fill_in(document)
    return document


def to_machine(document: Document) -> Machine:
    """Return the machine a document holds; raises InputErrors."""
    machine = _finished(Machine, document, check_machine)
    axles = {}
    for name in ("drive_axle", "steer_axle"):
        axle = getattr(machine, name)
        axles[name] = axle.model_copy(update={"tyre": tuple(_as_worn(tyre) for tyre in axle.tyre)})
    return machine.model_copy(update=axles) if any(axles[name] != getattr(machine, name) for name in axles) else machine


def _as_worn(tyre: Tyre) -> Tyre:
    """Return a tyre as it is now: what is worn off is off its sizes."""
    if tyre.wear == 0.0:
        return tyre
    from tipline.mechanics.patch import TyreSize, worn  # loads numpy

    new = TyreSize(tyre.diameter, tyre.width, tyre.diameter - 2.0 * tyre.rubber_thickness, tyre.rubber_thickness, ())
    now = worn(new, tyre.wear)
    return tyre.model_copy(update={"diameter": now.diameter, "rubber_thickness": now.height, "wear": 0.0})


def to_floor(document: Document) -> Floor:
    """Return the floor a document holds; raises InputErrors."""
    return _finished(Floor, document, check_floor)


def _changed(document: Document, overrides: Overrides | None) -> Document:
    for key, value in checked(overrides).items():
        document.change(key, value)
    return document


def _finished(spec: type[ThingT], document: Document, check: Callable[[ThingT], Iterator[Finding]]) -> ThingT:
    thing = build(spec, document)
    refuse(check(thing), document)
    meant = still_meant(thing.meant, thing, document.changed)
    return thing.model_copy(update={"origins": fill_origins(thing, document, thing.origin), "meant": meant})
