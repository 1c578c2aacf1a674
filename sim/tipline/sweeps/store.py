"""The rows of a sweep on disk: a file a chunk while it runs, one table when it is whole.

A chunk's file is written under another name and renamed, so that a sweep that is stopped, or whose computer is, holds
whole chunks only. It carries the mark of its sweep and its rows: what lies there in its name and is not it, or was cut,
is made again. The table is written from the chunks one after another, so that memory does not grow with it.
"""

from __future__ import annotations

import hashlib
import json
import shutil
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tipline.errors import InputError, argument
from tipline.notebook import marks
from tipline.sweeps.job import FORMAT, Column, Job, Row, columns

if TYPE_CHECKING:
    import pyarrow as pa

__all__ = ["TABLE", "Store", "arrow_schema"]

TABLE = "sweep.parquet"
_PARTS, _MARK = "parts", "sweep.json"
_ASIDE = "sweep-not-of-this.parquet"
"""Where a table goes that lay in the place of the sweep's."""
_OF = "of"
"""The name under which a chunk's file carries its mark."""
_GROUP = 5000
"""Rows of a group of the table."""


class Store:
    """The folder of one sweep."""

    def __init__(self, folder: Path, job: Job, *, resume: bool = False) -> None:
        """Make the folder, or go on with what it holds.

        Raises
        ------
        InputError
            It holds something else, or another sweep; there is none to go on with; or nothing can be written there.
        """
        self.folder, self._job = folder, job
        self.parts, self._mark = folder / _PARTS, folder / _MARK
        self._absent = [place for place in (folder, *folder.parents) if not place.exists()]
        self._fresh = not resume
        self._there: set[int] = set()
        self.unfit = 0
        """How many files that were found are not of this sweep, or not whole, and are made again."""
        try:
            if resume:
                self._refuse_other()
                self._refuse_links()
            elif folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
                raise self._filled()
            self.parts.mkdir(parents=True, exist_ok=True)
            for left in self.parts.glob("*.tmp"):
                left.unlink()
            if resume:
                self._take_stock()
            if not self._mark.exists():
                _write_whole(self._mark, (json.dumps(self._marks(), indent=2) + "\n").encode())
        except OSError as error:
            reason = f"cannot be written: {error.strerror or error}"
            raise InputError(
                reason, key=argument("out"), value=str(folder), remedy="Give a folder you may write in"
            ) from error

    def withdraw(self) -> None:
        """Remove what was made for a sweep that never began; one that was gone on with stays."""
        if not self._fresh or self.rows_there():
            return
        self._mark.unlink(missing_ok=True)
        shutil.rmtree(self.parts, ignore_errors=True)
        for place in self._absent:
            if any(place.iterdir()):
                return
            place.rmdir()

    @property
    def table(self) -> Path:
        """Where the whole table is."""
        return self.folder / TABLE

    def missing(self) -> list[int]:
        """Return the numbers of the chunks that are not there yet."""
        if self.table.exists():
            return []
        return [number for number in range(self.chunks) if number not in self._there]

    @property
    def chunks(self) -> int:
        """How many chunks the sweep has."""
        return -(-self._job.rows // self._job.chunk)

    def indices(self, number: int) -> range:
        """Return the rows of a chunk."""
        start = number * self._job.chunk
        return range(start, min(start + self._job.chunk, self._job.rows))

    def rows_there(self) -> int:
        """Return how many rows are on disk."""
        return self._job.rows - sum(len(self.indices(number)) for number in self.missing())

    def write(self, number: int, rows: Sequence[Row]) -> None:
        """Write the rows of a chunk.

        Raises
        ------
        InputError
            The disk is full or cannot be written; what was written before stays.
        """
        import pyarrow.parquet as pq

        place = self._part(number)
        try:
            half = place.with_suffix(".tmp")
            table = _table(self._job, rows).replace_schema_metadata({_OF: self._part_mark(number)})
            pq.write_table(table, half, compression="zstd", write_page_checksum=True)
            half.replace(place)
            self._there.add(number)
        except OSError as error:
            place.with_suffix(".tmp").unlink(missing_ok=True)
            raise self._unwritten(place, error) from error

    def finish(self) -> Path:
        """Write the table from the chunks, remove them, and return where it is."""
        import pyarrow.parquet as pq

        if self.table.exists():
            shutil.rmtree(self.parts, ignore_errors=True)
            return self.table
        half = self.table.with_suffix(".tmp")
        schema = arrow_schema(self._job)
        try:
            with pq.ParquetWriter(half, schema, compression="zstd", write_page_checksum=True) as writer:
                for group in self._groups():
                    writer.write_table(group.cast(schema))
            half.replace(self.table)
        except OSError as error:
            half.unlink(missing_ok=True)
            raise self._unwritten(self.table, error) from error
        shutil.rmtree(self.parts)
        return self.table

    def _groups(self) -> Iterator[pa.Table]:
        """Yield the rows in order, so many at a time."""
        import pyarrow as pa
        import pyarrow.parquet as pq

        held: list[pa.Table] = []
        for number in range(self.chunks):
            part = pq.read_table(self._part(number), page_checksum_verification=True)
            held.append(part.replace_schema_metadata(None))
            if sum(len(part) for part in held) >= _GROUP:
                yield pa.concat_tables(held).combine_chunks()
                held = []
        if held:
            yield pa.concat_tables(held).combine_chunks()

    def _part(self, number: int) -> Path:
        return self.parts / f"{number:06d}.parquet"

    def _part_mark(self, number: int) -> str:
        """Return what a chunk's file carries: a hash of the sweep, the version and the chunk's rows."""
        whole = json.dumps([*self._marks().values(), number, *self._ends(number)])
        return hashlib.sha256(whole.encode()).hexdigest()

    def _ends(self, number: int) -> tuple[int, int]:
        indices = self.indices(number)
        return indices.start, indices.stop

    def _take_stock(self) -> None:
        """Find what can be gone on with; take away what stands in its place and is not it."""
        if self.table.exists() and not self._is_whole_table():
            self.table.replace(self.table.with_name(_ASIDE))  # it may be another sweep's
            self.unfit += 1
        for place in sorted(self.parts.glob("[0-9]*.parquet")):
            if self._is_part(place):
                self._there.add(int(place.stem))
            else:
                place.unlink()
                self.unfit += 1

    def _is_part(self, place: Path) -> bool:
        if not place.stem.isascii() or not place.stem.isdigit() or int(place.stem) >= self.chunks:
            return False
        number = int(place.stem)
        table = _read(place)
        if table is None or (table.schema.metadata or {}).get(_OF.encode()) != self._part_mark(number).encode():
            return False
        return bool(table.column("run").to_pylist() == list(self.indices(number)))

    def _is_whole_table(self) -> bool:
        import pyarrow as pa
        import pyarrow.parquet as pq

        schema = arrow_schema(self._job)
        try:
            file = pq.ParquetFile(self.table, page_checksum_verification=True)
            if not file.schema_arrow.equals(schema) or _fingerprint(file.schema_arrow) != self._job.fingerprint:
                return False
            seen = 0
            for batch in file.iter_batches(batch_size=_GROUP):
                if batch.column("run").to_pylist() != list(range(seen, seen + len(batch))):
                    return False
                seen += len(batch)
        except (pa.ArrowException, OSError):
            return False
        return seen == self._job.rows

    def _marks(self) -> dict[str, Any]:
        job = self._job
        return {"format": FORMAT, "fingerprint": job.fingerprint, "rows": job.rows, "rows_a_chunk": job.chunk}

    def _refuse_other(self) -> None:
        """Refuse to go on with what is not this sweep."""
        if not self._mark.exists():
            if self.folder.exists() and any(self.folder.iterdir()):
                raise self._filled()
            msg = "there is no sweep to go on with"
            remedy = f"Leave {argument('resume')} out to begin it, or give the folder of a sweep with {argument('out')}"
            raise InputError(msg, key=argument("resume"), value=str(self.folder), remedy=remedy)
        try:
            mark = json.loads(self._mark.read_text(encoding="utf-8"))
        except (ValueError, RecursionError):
            mark = {}
        if not isinstance(mark, dict) or mark.get("fingerprint") != self._job.fingerprint:
            msg = "holds another sweep: the sweep file, its scenario, machine or floor, or the program has changed"
            remedy = (
                f"Undo the change, or give another folder with {argument('out')} and leave {argument('resume')} out"
            )
            raise InputError(msg, key=argument("resume"), value=str(self.folder), remedy=remedy)

    def _refuse_links(self) -> None:
        """Refuse to write or delete where a link leads to."""
        inside = [*self.folder.iterdir()]
        if self.parts in inside and not self.parts.is_symlink():
            inside += self.parts.iterdir()
        link = next((entry for entry in inside if entry.is_symlink()), None)
        if link is not None:
            msg = f"holds a link, {link.relative_to(self.folder)}, which no sweep puts there"
            remedy = (
                f"Remove the link, or give another folder with {argument('out')} and leave {argument('resume')} out"
            )
            raise InputError(msg, key=argument("resume"), value=str(self.folder), remedy=remedy)

    def _filled(self) -> InputError:
        resumable = self._mark.exists()
        msg = "holds a sweep already" if resumable else "there is something there already"
        more = f", or go on with what is there by {argument('resume')}" if resumable else ""
        remedy = f"Give a folder that does not exist or is empty{more}"
        return InputError(msg, key=argument("out"), value=str(self.folder), remedy=remedy)

    def _unwritten(self, place: Path, error: OSError) -> InputError:
        done = f"{self.rows_there()} of {self._job.rows} rows are kept in {self.folder}"
        reason = f"cannot be written: {error.strerror or error}; {done}"
        return InputError(
            reason, file=str(place), remedy=f"Make room or mend the disk, then go on with {argument('resume')}"
        )


def _fingerprint(schema: pa.Schema) -> object:
    """Return the mark of the sweep whose table has a schema, None if it is no sweep's."""
    try:
        about = json.loads((schema.metadata or {}).get(b"tipline", b""))
    except (ValueError, RecursionError):
        return None
    return about.get("fingerprint") if isinstance(about, dict) else None


def _read(place: Path) -> pa.Table | None:
    """Return what a file holds, every page of it as it was written; None if that cannot be."""
    import pyarrow as pa
    import pyarrow.parquet as pq

    try:
        return pq.read_table(place, page_checksum_verification=True)
    except (pa.ArrowException, OSError):
        return None


def _write_whole(path: Path, data: bytes) -> None:
    half = path.with_suffix(".tmp")
    half.write_bytes(data)
    half.replace(path)


def arrow_schema(job: Job) -> pa.Schema:
    """Return the schema of a job's table, with units and words in its fields and the sweep in its own metadata."""
    import pyarrow as pa

    kinds = {"float": pa.float64(), "int": pa.int64(), "text": pa.string(), "flag": pa.bool_()}

    def field(column: Column) -> Any:
        return pa.field(column.name, kinds[column.kind], metadata={"unit": column.unit, "label": column.label})

    about = json.dumps(
        {
            "title": job.sweep.title,
            "method": job.sweep.method,
            "seed": job.sweep.seed,
            "inputs": [swept_input.column for swept_input in job.inputs],
            "fingerprint": job.fingerprint,
            "demo_of": job.demo,
            **marks(job.demo),
        },
        sort_keys=True,
    )
    return pa.schema([field(column) for column in columns(job)], metadata={"format": FORMAT, "tipline": about})


def _table(job: Job, rows: Sequence[Row]) -> pa.Table:
    import pyarrow as pa

    schema = arrow_schema(job)
    records = [{name: row.get(name) for name in schema.names} for row in rows]
    text = {column.name for column in columns(job) if column.kind == "text"}
    for row in records:
        row |= {name: str(row[name]) for name in text if row[name] is not None}
    return pa.Table.from_pylist(records, schema=schema)
