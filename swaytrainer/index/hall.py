"""Several stations of one hall, one index: each brings what the hall's server lacks.

A station's own recordings are its queue: one that was offline brings its sittings when it is back.
Sittings and trials have keys of their own, so bringing one twice, or from two stations that hold
the same recording, changes nothing. A station remembers what it has brought: what was deleted there
since leaves the hall's index at its next visit, and comes back if another station still has it. A
station that remembers nothing (a new laptop, an index made anew) takes nothing out.

A person erased at one station is on the hall's list from its next visit on: the sittings are taken
out, and no other station brings them again. Whoever comes back takes another name.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Collection, Iterable
from itertools import groupby
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from swaytrainer.errors import SwaytrainerError
from swaytrainer.index.building import forget, insert_new, put, sweep
from swaytrainer.index.database import begun
from swaytrainer.index.memos import keep, recalled
from swaytrainer.index.reading import Read
from swaytrainer.index.schema import BOARDS, ERASED, LEVELS, SITTINGS, TRIALS, VAULTERS
from swaytrainer.words import say

if TYPE_CHECKING:
    from sqlalchemy import Connection, Engine

#: So many sittings in one transaction: what has arrived stays, whatever happens to the rest.
_AT_ONCE: Final = 200
#: What this station has brought to that hall, of nobody in particular.
_KIND: Final = "brought by {station} to {hall}"


class Brought(NamedTuple):
    """What a station brought.

    Attributes:
        brought: sittings that were new or had grown.
        sittings, trials: that the hall holds now.
        kept_back: sittings here whose persons were erased.
        deleted: sittings taken out because they were deleted here.
    """

    brought: int
    sittings: int
    trials: int
    kept_back: int = 0
    deleted: int = 0


def bring(
    own: Engine,
    hall: Engine,
    station: str,
    step: Callable[[int, int], None] = lambda _done, _all: None,
    erased: Callable[[str], bool] = lambda _name: False,
) -> Brought:
    """Bring the hall's index what it lacks of a station's own.

    Args:
        own: the station's own index, up to date.
        hall: the hall's.
        station: what the hall calls this station.
        step: is told how many sittings of how many have arrived.
        erased: whose sittings are not brought.

    Raises:
        SwaytrainerError: no name; or the hall's server is away or busy. What arrived stays there;
            the next time brings the rest.
    """
    if not station.strip() or not station.isprintable():
        raise SwaytrainerError(say("The station has no name."), say("Give it one with --station."))
    kind = _KIND.format(hall=hall.url.render_as_string(hide_password=True), station=station)
    with begun(own, reads=True) as connection:
        mine = _held(connection)
        brought = set(json.loads(recalled(connection, kind).get("", "[]")))
    with begun(hall) as connection:
        deleted = _of_station(connection, brought - mine.keys(), station)
        forget(connection, deleted, [])
        sweep(connection)
    with begun(hall, reads=True) as connection:
        there = _held(connection)
    with begun(own, reads=True) as connection:
        kept_back = _of_persons(connection, erased)
    lacking = sorted(k for k, n in mine.items() if there.get(k, -1) < n and k not in kept_back)
    for at in range(0, len(lacking), _AT_ONCE):
        keys = lacking[at : at + _AT_ONCE]
        with begun(own, reads=True) as connection:
            reads = _rows_of(connection, keys)
        with begun(hall) as connection:
            put(connection, reads, station)
        step(at + len(keys), len(lacking))
    with begun(hall, reads=True) as connection:
        now = _held(connection)
        here = _of_station(connection, mine.keys(), station)
    with begun(own) as connection:
        keep(connection, kind, {"": json.dumps(sorted(here))})
    return Brought(len(lacking), len(now), sum(now.values()), len(kept_back), len(deleted))


def take_out(hall: Engine, theirs: Callable[[str], bool]) -> int:
    """Erase persons from the hall's index; how many sittings that were.

    Args:
        hall: the hall's index.
        theirs: whether a name is the person's.

    Raises:
        SwaytrainerError: the hall's server is away or busy; nothing has changed then.
    """
    with begun(hall) as connection:
        keys = _of_persons(connection, theirs)
        forget(connection, keys, [])
        sweep(connection)
    return len(keys)


def shared_list(hall: Engine, known: Collection[tuple[str, str]]) -> list[tuple[str, str]]:
    """Bring a station's list of erased persons, and take the whole hall's home.

    Args:
        hall: the hall's index.
        known: the station's list: salts and hashes, in hexadecimal.

    Raises:
        SwaytrainerError: the hall's server is away or busy; nothing has changed then.
    """
    from sqlalchemy import select

    with begun(hall) as connection:
        there = {(row.salt, row.hash) for row in connection.execute(select(ERASED))}
        new = sorted(set(known) - there)
        insert_new(connection, ERASED, [{"salt": salt, "hash": hashed} for salt, hashed in new])
    return [*known, *sorted(there - set(known))]


def _of_station(connection: Connection, keys: Collection[str], station: str) -> set[str]:
    """Which of these sittings the hall has from this station."""
    from sqlalchemy import select

    query = select(SITTINGS.c.id).where(SITTINGS.c.station == station)
    return set(connection.execute(query).scalars()) & set(keys)


def _of_persons(connection: Connection, theirs: Callable[[str], bool]) -> set[str]:
    """The keys of these persons' sittings."""
    from sqlalchemy import select

    names = [n for n in connection.execute(select(VAULTERS.c.name)).scalars() if theirs(n)]
    if not names:
        return set()
    query = select(SITTINGS.c.id).where(SITTINGS.c.vaulter.in_(names))
    return set(connection.execute(query).scalars())


def _held(connection: Connection) -> dict[str, int]:
    """Each sitting's key, and how many trials of it are there."""
    from sqlalchemy import func, select

    query = (
        select(SITTINGS.c.id, func.count(TRIALS.c.number).label("trials"))
        .outerjoin(TRIALS, TRIALS.c.sitting == SITTINGS.c.id)
        .group_by(SITTINGS.c.id)
    )
    return {row.id: row.trials for row in connection.execute(query)}


def _rows_of(connection: Connection, keys: Iterable[str]) -> list[Read]:
    from sqlalchemy import select

    keys = list(keys)
    boards = {row["id"]: dict(row) for row in _all(connection, select(BOARDS))}
    levels = {row["hash"]: dict(row) for row in _all(connection, select(LEVELS))}
    query = select(TRIALS).where(TRIALS.c.sitting.in_(keys))
    trials = {
        key: tuple(dict(row) for row in rows)
        for key, rows in groupby(
            _all(connection, query.order_by(TRIALS.c.sitting, TRIALS.c.number)),
            key=lambda row: row["sitting"],
        )
    }
    return [
        Read(
            row["path"],
            0,
            0,
            dict(row),
            boards[row["board"]],
            levels[row["level"]],
            trials.get(row["id"], ()),
        )
        for row in _all(connection, select(SITTINGS).where(SITTINGS.c.id.in_(keys)))
    ]


def _all(connection: Connection, query: Any) -> list[Any]:
    return list(connection.execute(query).mappings())
