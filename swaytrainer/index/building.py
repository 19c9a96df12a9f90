"""The index made from a data folder's recordings: anew, or only what has changed."""

from __future__ import annotations

import contextlib
import multiprocessing
import os
from collections.abc import Callable, Iterable, Iterator
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from swaytrainer.index.database import begun
from swaytrainer.index.reading import Read, name_in, read_file, storable_path
from swaytrainer.index.schema import (
    BOARDS,
    FILES,
    LEVELS,
    MEMOS,
    SITTINGS,
    TABLES,
    TRIALS,
    VAULTERS,
)
from swaytrainer.store.recording import SUFFIX

if TYPE_CHECKING:
    from sqlalchemy import Connection, Engine, Table

#: Below so many files, beginning other processes costs more than it brings.
_ALONE = 64


class Built(NamedTuple):
    """What was done.

    Attributes:
        read: files that were read.
        sittings, trials: that the index holds now.
        notes: a sentence for each file that is not in it as it stands.
    """

    read: int
    sittings: int
    trials: int
    notes: tuple[str, ...]


def build(
    engine: Engine,
    folder: Path,
    paths: Iterable[Path],
    rebuild: bool = False,
    jobs: int = 1,
    step: Callable[[int, int], None] = lambda _done, _all: None,
) -> Built:
    """Bring the index up to date, in one transaction: a kill leaves the old one.

    Args:
        engine: the index, opened.
        folder: the recordings' folder.
        paths: all recordings in it.
        rebuild: read all of them, whether or not they have changed.
        jobs: processes that read.
        step: is told how many files of how many are read.

    Raises:
        SwaytrainerError: the database can't be used.
    """
    from sqlalchemy import delete, select

    by_name = {name_in(folder, path): path for path in paths}
    with begun(engine) as connection:
        if rebuild:
            for table in reversed(TABLES.sorted_tables):
                connection.execute(delete(table))
        known = {row.path: row for row in connection.execute(select(FILES))}
        changed = [p for n, p in by_name.items() if n not in known or _differs(known[n], p)]
        gone = [name for name in known if name not in by_name]
        reads: dict[str, Read] = {}
        for read in _read_all(folder, changed, jobs):
            reads[read.path] = read
            step(len(reads), len(changed))
        touched = {row.sitting for name, row in known.items() if name in reads or name in gone}
        touched |= {read.sitting["id"] for read in reads.values() if read.sitting is not None}
        touched.discard(None)
        # Of a file copied twice the better one counts: to choose, all that share the key are read.
        for name, row in known.items():
            if row.sitting in touched and name in by_name and name not in reads:
                reads[name] = read_file(folder, by_name[name])
        forget(connection, touched, [*gone, *reads])
        best: dict[str, Read] = {}
        for read in sorted(reads.values(), key=lambda r: r.path):
            if read.sitting is not None:
                key = read.sitting["id"]
                best[key] = max(best.get(key, read), read, key=lambda r: (len(r.trials), r.size))
        insert_new(connection, FILES, [_file_row(read) for read in reads.values()])
        put(connection, best.values(), "")
        sweep(connection)
        return Built(len(changed), *_counts(connection), tuple(_notes(connection)))


def behind(engine: Engine, folder: Path) -> int:
    """How many files have changed, come or gone since the index was brought up to date.

    Quick: names, sizes and times alone are looked at.

    Raises:
        SwaytrainerError: the database can't be used.
    """
    from sqlalchemy import select

    query = select(FILES.c.path, FILES.c.size, FILES.c.modified_ns)
    with begun(engine, reads=True) as connection:
        known = {path: (size, modified) for path, size, modified in connection.execute(query)}
    there = _there(folder)
    return sum(known.get(n) != told for n, told in there.items()) + len(known.keys() - there.keys())


def _there(folder: Path) -> dict[str, tuple[int, int]]:
    """Each recording's name, as the index calls it, with its size and time."""
    found = {}
    try:
        days = [day for day in os.scandir(folder) if day.is_dir()]
    except OSError:
        return {}
    for day in days:
        with contextlib.suppress(OSError), os.scandir(day) as entries:
            for entry in entries:
                if entry.name.endswith(SUFFIX):
                    told = entry.stat()
                    name = f"{day.name}/{entry.name}"
                    if not name.isascii():
                        name = storable_path(name)
                    found[name] = (told.st_size, told.st_mtime_ns)
    return found


def put(connection: Connection, reads: Iterable[Read], station: str) -> None:
    """Add sittings that are not there, and of those that are the trials that are not."""
    whole = [read for read in reads if read.sitting is not None]
    rows: list[dict[str, Any]] = [{**(r.sitting or {}), "station": station} for r in whole]
    _unthink(connection, {row["vaulter"] for row in rows})
    insert_new(
        connection, VAULTERS, [{"name": name} for name in sorted({r["vaulter"] for r in rows})]
    )
    boards = {r.board["id"]: r.board for r in whole if r.board is not None}
    levels = {r.level["hash"]: r.level for r in whole if r.level is not None}
    # In one order everywhere: two stations that write at once must not wait for each other.
    insert_new(connection, BOARDS, [boards[key] for key in sorted(boards)])
    insert_new(connection, LEVELS, [levels[key] for key in sorted(levels)])
    insert_new(connection, SITTINGS, sorted(rows, key=lambda row: str(row["id"])))
    trials = [trial for read in whole for trial in read.trials]
    insert_new(connection, TRIALS, sorted(trials, key=lambda t: (t["sitting"], t["number"])))


def insert_new(connection: Connection, table: Table, rows: list[dict[str, Any]]) -> None:
    """Add rows whose keys are not there; two stations may do so at once."""
    from sqlalchemy.dialects import postgresql, sqlite

    if not rows:
        return
    if connection.dialect.name == "postgresql":
        connection.execute(postgresql.insert(table).on_conflict_do_nothing(), rows)
    else:
        connection.execute(sqlite.insert(table).on_conflict_do_nothing(), rows)


def _differs(row: Any, path: Path) -> bool:
    try:
        told = path.stat()
    except OSError:
        return True
    return bool((row.size, row.modified_ns) != (told.st_size, told.st_mtime_ns))


def _read_all(folder: Path, paths: list[Path], jobs: int) -> Iterator[Read]:
    read = partial(read_file, folder)
    if jobs <= 1 or len(paths) < _ALONE:
        yield from map(read, paths)
        return
    # Spawned on every system: what was forked from a program with threads may hang.
    with multiprocessing.get_context("spawn").Pool(jobs) as pool:
        yield from pool.imap_unordered(read, paths, chunksize=16)


def _file_row(read: Read) -> dict[str, Any]:
    return {
        "path": read.path,
        "size": read.size,
        "modified_ns": read.modified_ns,
        "sitting": None if read.sitting is None else read.sitting["id"],
        "trials": len(read.trials),
        "trouble": read.trouble,
    }


def forget(connection: Connection, sittings: set[str], files: list[str]) -> None:
    """Take out sittings by their keys, with their trials, and files by their names."""
    from sqlalchemy import bindparam, delete, select

    owner = select(SITTINGS.c.vaulter).where(SITTINGS.c.id == bindparam("of"))
    owners = {connection.execute(owner, {"of": key}).scalar() for key in sittings}
    _unthink(connection, {name for name in owners if name is not None})
    for table, column, keys in (
        (TRIALS, TRIALS.c.sitting, sorted(sittings)),
        (SITTINGS, SITTINGS.c.id, sorted(sittings)),
        (FILES, FILES.c.path, files),
    ):
        if keys:
            statement = delete(table).where(column == bindparam("gone"))
            connection.execute(statement, [{"gone": key} for key in keys])


def _unthink(connection: Connection, vaulters: set[str]) -> None:
    """What was reckoned from their trials holds no longer."""
    from sqlalchemy import bindparam, delete

    if vaulters:
        statement = delete(MEMOS).where(MEMOS.c.vaulter == bindparam("of"))
        connection.execute(statement, [{"of": name} for name in sorted(vaulters)])


def sweep(connection: Connection) -> None:
    """Take out vaulters, boards and levels to which no sitting refers any more."""
    from sqlalchemy import delete, select

    for table, column, used in (
        (VAULTERS, VAULTERS.c.name, SITTINGS.c.vaulter),
        (BOARDS, BOARDS.c.id, SITTINGS.c.board),
        (LEVELS, LEVELS.c.hash, SITTINGS.c.level),
    ):
        connection.execute(delete(table).where(column.not_in(select(used))))


def _counts(connection: Connection) -> tuple[int, int]:
    from sqlalchemy import func, select

    sittings = connection.execute(select(func.count()).select_from(SITTINGS)).scalar_one()
    trials = connection.execute(select(func.count()).select_from(TRIALS)).scalar_one()
    return sittings, trials


def _notes(connection: Connection) -> Iterator[str]:
    from sqlalchemy import select

    rows = connection.execute(select(FILES).order_by(FILES.c.path)).all()
    taken = {row.id: row.path for row in connection.execute(select(SITTINGS))}
    for row in rows:
        if row.trouble is not None:
            yield f"Left out: {row.trouble}"
        elif taken.get(row.sitting) != row.path:
            yield f"Left out: {row.path} is a copy of {taken.get(row.sitting)}."
