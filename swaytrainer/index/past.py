"""What vaulters have done, from the index: as ladder and dose need it, without opening a file."""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime
from functools import lru_cache
from typing import TYPE_CHECKING, Final

from swaytrainer.errors import SwaytrainerError
from swaytrainer.index.schema import LEVELS, SITTINGS, TRIALS
from swaytrainer.training.history import Tried
from swaytrainer.training.level import Level
from swaytrainer.training.level_file import read_level

if TYPE_CHECKING:
    from sqlalchemy import Connection

_COLUMNS: Final = ("counts", "mark", "seconds", "off_board_s", "feedback", "rate_hz", "filter",
                   "body_n")  # fmt: skip


class LevelsRead:
    """Levels from their texts, each read once.

    Args:
        there: levels whose objects are used for equal ones: to compare one with itself costs
            nothing.
    """

    def __init__(self, there: Collection[Level] = ()) -> None:
        self._there = {level: level for level in there}
        self._held: dict[str, Level | None] = {}

    def level(self, key: str, text: str) -> Level | None:
        """The level of this hash; None where its text can't be read by this version."""
        if key not in self._held:
            try:
                level = _read(text)
            except SwaytrainerError:
                self._held[key] = None
            else:
                self._held[key] = self._there.get(level, level)
        return self._held[key]


@lru_cache(maxsize=1024)
def _read(text: str) -> Level:
    return read_level(text, "in the index")


def tried_of(
    connection: Connection,
    vaulters: Collection[str],
    newest: int,
    levels: LevelsRead,
    since_s: float | None = None,
    all_since_s: float | None = None,
) -> dict[str, list[Tried]]:
    """Each vaulter's trials in the newest sittings, oldest first.

    Args:
        connection: to the index.
        vaulters: names.
        newest: so many sittings of each.
        levels: what reads their texts.
        since_s: of these only those that began later, in seconds since 1970.
        all_since_s: besides them all that began later, however many.
    """
    from sqlalchemy import func, or_, select

    rank = (
        func.row_number()
        .over(partition_by=SITTINGS.c.vaulter, order_by=SITTINGS.c.path.desc())
        .label("rank")
    )
    ranked = select(
        SITTINGS.c.id,
        SITTINGS.c.vaulter,
        SITTINGS.c.path,
        SITTINGS.c.made,
        SITTINGS.c.made_s,
        SITTINGS.c.level,
        rank,
    ).where(SITTINGS.c.made_s.is_not(None))
    if since_s is not None:
        ranked = ranked.where(SITTINGS.c.made_s >= since_s)
    if len(vaulters) < _ALL:
        ranked = ranked.where(SITTINGS.c.vaulter.in_(list(vaulters)))
    near = ranked.subquery()
    wanted = near.c.rank <= newest
    if all_since_s is not None:
        wanted = or_(wanted, near.c.made_s >= all_since_s)
    sittings = {
        row.id: row
        for row in connection.execute(
            select(near).where(wanted).order_by(near.c.vaulter, near.c.path)
        )
    }
    of_levels = select(LEVELS.c.hash, LEVELS.c.text)
    read = {key: levels.level(key, text) for key, text in connection.execute(of_levels)}
    trials: dict[str, list[Tried]] = {key: [] for key in sittings}
    made = {key: datetime.fromisoformat(row.made) for key, row in sittings.items()}
    query = (
        select(TRIALS.c.sitting, *(TRIALS.c[name] for name in _COLUMNS))
        .where(TRIALS.c.feedback.is_not(None), TRIALS.c.filter.is_not(None))
        .where(TRIALS.c.seconds.is_not(None), TRIALS.c.rate_hz.is_not(None))
        .order_by(TRIALS.c.sitting, TRIALS.c.number)
    )
    if len(vaulters) < _ALL or since_s is not None:
        query = query.join(near, near.c.id == TRIALS.c.sitting).where(wanted)
    for key, counts, mark, seconds, off_s, feedback, rate_hz, name, body_n in connection.execute(
        query
    ):
        row = sittings.get(key)
        level = None if row is None else read.get(row.level)
        if level is not None:
            on_board_s = min(max(seconds - (off_s or 0.0), 0.0), seconds)
            trials[key].append(
                Tried(made[key], level, mark if counts else None, on_board_s, feedback, rate_hz,
                      name, body_n)
            )  # fmt: skip
    found: dict[str, list[Tried]] = {name: [] for name in vaulters}
    for key, row in sittings.items():
        if row.vaulter in found:
            found[row.vaulter] += trials[key]
    return {name: sorted(tried, key=lambda t: t.made) for name, tried in found.items()}


#: Of so many vaulters the whole table is read at once.
_ALL: Final = 50
