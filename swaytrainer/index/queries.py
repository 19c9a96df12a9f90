"""What a coach asks the index."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

from swaytrainer.index.schema import LEVELS, SITTINGS, TRIALS, VAULTERS

if TYPE_CHECKING:
    from sqlalchemy import Connection


class Standing(NamedTuple):
    """One vaulter at a glance.

    Attributes:
        name: of the vaulter.
        sittings, trials, counted: how many there are.
        last: when the newest sitting began, as the recording tells it; None without a sitting.
    """

    name: str
    sittings: int
    trials: int
    counted: int
    last: str | None


class Tried(NamedTuple):
    """One trial in a list.

    Attributes:
        made: when its sitting began.
        number: in its sitting.
        level_id, level_hash: what was done, and in which version.
        mark: 0-10; None where there is none.
        counts, why_not: whether it counts, and if not, why.
        path: of the recording, in the recordings' folder.
    """

    made: str
    number: int
    level_id: str
    level_hash: str
    mark: float | None
    counts: bool
    why_not: str | None
    path: str


class Value(NamedTuple):
    """One counted trial's value of a measure, with its terms.

    Attributes:
        made, made_s: when its sitting began: as told, and in seconds since 1970 (UTC).
        number: in its sitting.
        value: None where the measure could not be had.
        level_hash, rate_hz, filter, seconds, base, stance, eyes, feedback: compare only what is
            equal in all of these.
    """

    made: str
    made_s: float | None
    number: int
    value: float | None
    level_hash: str
    rate_hz: float | None
    filter: str | None
    seconds: float | None
    base: str | None
    stance: str | None
    eyes: str | None
    feedback: str | None


def squad(connection: Connection) -> list[Standing]:
    """Every vaulter, by name."""
    from sqlalchemy import Integer, cast, func, select

    per_sitting = (
        select(
            TRIALS.c.sitting,
            func.count().label("trials"),
            func.sum(cast(TRIALS.c.counts, Integer)).label("counted"),
        )
        .group_by(TRIALS.c.sitting)
        .subquery()
    )
    query = (
        select(
            SITTINGS.c.vaulter,
            func.count().label("sittings"),
            func.coalesce(func.sum(per_sitting.c.trials), 0).label("trials"),
            func.coalesce(func.sum(per_sitting.c.counted), 0).label("counted"),
            func.max(SITTINGS.c.made_s).label("last_s"),
        )
        .outerjoin(per_sitting, per_sitting.c.sitting == SITTINGS.c.id)
        .group_by(SITTINGS.c.vaulter)
        .subquery()
    )
    newest = (
        select(query, func.max(SITTINGS.c.made).label("last"))
        .outerjoin(
            SITTINGS,
            (SITTINGS.c.vaulter == query.c.vaulter) & (SITTINGS.c.made_s == query.c.last_s),
        )
        .group_by(*query.c)
        .order_by(query.c.vaulter)
    )
    return [
        Standing(row.vaulter, row.sittings, int(row.trials), int(row.counted), row.last)
        for row in connection.execute(newest)
    ]


def newest_trials(
    connection: Connection,
    vaulter: str | None = None,
    level_id: str | None = None,
    uncounted: bool = False,
    most: int = 50,
) -> list[Tried]:
    """The newest trials, newest first.

    Args:
        connection: to the index.
        vaulter, level_id: only theirs; None for all.
        uncounted: only those that don't count.
        most: so many at most.
    """
    from sqlalchemy import select

    query = (
        select(
            SITTINGS.c.made,
            TRIALS.c.number,
            LEVELS.c.id,
            LEVELS.c.hash,
            TRIALS.c.mark,
            TRIALS.c.counts,
            TRIALS.c.why_not,
            SITTINGS.c.path,
        )
        .join(SITTINGS, SITTINGS.c.id == TRIALS.c.sitting)
        .join(LEVELS, LEVELS.c.hash == SITTINGS.c.level)
        .order_by(SITTINGS.c.made_s.desc().nulls_last(), SITTINGS.c.id, TRIALS.c.number.desc())
        .limit(most)
    )
    if vaulter is not None:
        query = query.where(SITTINGS.c.vaulter == vaulter)
    if level_id is not None:
        query = query.where(LEVELS.c.id == level_id)
    if uncounted:
        query = query.where(TRIALS.c.counts.is_(False))
    return [Tried(*row) for row in connection.execute(query)]


def values(connection: Connection, vaulter: str, measure: str) -> list[Value]:
    """Every counted trial's value of one measure, oldest first; ``mark`` is one too.

    Args:
        connection: to the index.
        vaulter: whose.
        measure: its key. Trials that don't hold it are left out.
    """
    from sqlalchemy import select

    terms = [TRIALS.c[n] for n in Value._fields if n in TRIALS.c and n != "number"]
    query = (
        select(
            SITTINGS.c.made,
            SITTINGS.c.made_s,
            TRIALS.c.number,
            TRIALS.c.mark,
            TRIALS.c.measures,
            SITTINGS.c.level,
            *terms,
        )
        .join(TRIALS, SITTINGS.c.id == TRIALS.c.sitting)
        .where(SITTINGS.c.vaulter == vaulter, TRIALS.c.counts.is_(True))
        .order_by(SITTINGS.c.made_s.nulls_first(), SITTINGS.c.id, TRIALS.c.number)
    )
    found = []
    for made, made_s, number, mark, measures, *rest in connection.execute(query):
        held: dict[str, Any] = {**measures, "mark": mark}
        if measure in held:
            found.append(Value(made, made_s, number, held[measure], *rest))
    return found


def names(connection: Connection) -> list[str]:
    """Every name that the recordings tell."""
    from sqlalchemy import select

    return list(connection.execute(select(VAULTERS.c.name).order_by(VAULTERS.c.name)).scalars())
