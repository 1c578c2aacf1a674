"""The folder a command leaves: written beside its place under another name, and renamed when it is whole."""

from __future__ import annotations

import os
import secrets
import shutil
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from tipline.deadline import half_written
from tipline.errors import InputError, argument
from tipline.model.shipped import lies_in

__all__ = ["free_name", "hold_links", "last_name", "new_folder", "own_name"]


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
    parents = _parents(place)
    work = place.with_name(f".{place.name}.{secrets.token_hex(4)}")
    try:
        work.mkdir()  # with the rights that the account gives to what is new
    except OSError as error:
        _remove_empty(parents)
        raise _unwritable(target, error) from error
    try:
        with half_written(work):
            yield work
            _put(work, place)
    except BaseException:
        shutil.rmtree(work, ignore_errors=True)
        _remove_empty(parents)
        raise


def hold_links(folder: Path, first: str) -> None:
    """Raise InputError where a link in a folder leads out of it: what is read there is to be the folder's own.

    first : the file that is read first; of a folder without it nothing is read, nor all that lies in it looked through
    """
    for path in folder.rglob("*") if (folder / first).exists() else ():
        if path.is_symlink() and not lies_in(path, folder):
            msg = "is a link that leads out of the folder"
            raise InputError(msg, file=str(path), remedy="Put the file itself there, as the command wrote it")


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
            reason, key=argument("folder"), value=str(target), remedy=f"What was written is kept in {kept}"
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
    parents = [] if folder.exists() else [folder]
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
        _remove_empty([target, *parents])


def _refuse_filled(place: Path, target: Path) -> None:
    try:
        filled = os.path.lexists(place) and (not place.is_dir() or any(place.iterdir()))
    except OSError as error:
        raise _unwritable(target, error) from error
    if filled:
        msg = "there is something there already"
        raise InputError(
            msg, key=argument("folder"), value=str(target), remedy="Give a folder that does not exist or is empty"
        )


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
    return InputError(reason, key=argument("folder"), value=str(target), remedy="Give a folder that you may write in")
