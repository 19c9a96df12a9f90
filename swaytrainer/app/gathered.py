"""What is known of every counted trial, day by day: from the index, else from the recordings.

The index keeps each vaulter's days of each measure once they were gathered; a sitting more, and
that vaulter's are gathered anew. So a table of two hundred vaulters costs the reading of their
days, not of fifty thousand trials.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from datetime import date, datetime
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from swaytrainer.app.kept_values import (
    gather,
    lacking,
    left_out_words,
    of_one,
    values_of,
)
from swaytrainer.app.past import Past, read_instead
from swaytrainer.errors import SwaytrainerError
from swaytrainer.progress.assess import Course, Found, courses
from swaytrainer.progress.days import Day, History, Scatter
from swaytrainer.progress.terms import Task
from swaytrainer.store.home import Home
from swaytrainer.store.recording import glance
from swaytrainer.training.outcome import Terms
from swaytrainer.words import say

if TYPE_CHECKING:
    from sqlalchemy import Connection

#: Changed whenever what is kept is made otherwise: then it is made anew.
_FORMAT: Final = 2
_TERMS: Final = Terms.__match_args__


class Gathered(NamedTuple):
    """What was found: courses, and sentences on what was left out."""

    courses: list[Course]
    notes: list[str]


class _Kept(NamedTuple):
    """One vaulter's courses of one measure, trials left out by the reason, and other sentences."""

    courses: list[Course]
    left_out: dict[str, int]
    notes: list[str]


def gathered(
    home: Home, measures: tuple[str, ...], since: date | None = None, past: Past | None = None
) -> Gathered:
    """The courses of all vaulters; a recording that is there twice counts once.

    Args:
        home: the data folder.
        measures: keys of ``senses.SENSES``.
        since: older trials are passed over, with no word.
        past: what was asked a moment ago already; it need not look once more for what is new.
    """
    try:
        return _by_index(past or Past(home), home, measures, since)
    except SwaytrainerError as error:
        found, notes = gather(home.recordings(), measures, since)
        return Gathered(courses(found), [*notes, read_instead(error)])


def _by_index(past: Past, home: Home, measures: tuple[str, ...], since: date | None) -> Gathered:
    from swaytrainer.index.database import begun
    from swaytrainer.index.kept import left_out
    from swaytrainer.index.memos import reckoned
    from swaytrainer.index.queries import names

    engine = past.engine(anew=False)
    with begun(engine, reads=True) as connection:
        notes: list[str] = [
            say("Left out: {why}", why=sentence) for sentence in left_out(connection)
        ]
        if since is not None:
            made = _made(connection, home, measures, None, since)
            kept = [each for by_name in made.values() for each in by_name.values()]
            return _together(kept, measures, notes)
        there = {measure: _recalled(connection, measure) for measure in measures}
        missing = {
            name for name in names(connection) for measure in measures if name not in there[measure]
        }
    if missing:
        made = reckoned(
            engine,
            lambda connection: _made(connection, home, measures, sorted(missing), None),
            _keep,
        )
        for measure in measures:
            there[measure] |= made[measure]
    found = [each for measure in measures for _, each in sorted(there[measure].items())]
    return _together(found, measures, notes)


def _together(kept: Iterable[_Kept], measures: tuple[str, ...], notes: list[str]) -> Gathered:
    found: list[Course] = []
    out: dict[str, int] = {}
    said: dict[str, None] = {}
    for each in kept:
        found += each.courses
        said |= dict.fromkeys(each.notes)
        for why, count in each.left_out.items():
            out[why] = out.get(why, 0) + count
    # Each measure tells of the same trials once more.
    out = {why: count // len(measures) for why, count in out.items()}
    return Gathered(found, [*notes, *said, *left_out_words(out)])


def _made(
    connection: Connection,
    home: Home,
    measures: tuple[str, ...],
    vaulters: list[str] | None,
    since: date | None,
) -> dict[str, dict[str, _Kept]]:
    """By measure and vaulter, what the index's trials tell."""
    from swaytrainer.index.kept import kept_sittings
    from swaytrainer.index.past import LevelsRead

    levels = LevelsRead()
    found: dict[str, list[Found]] = {}
    out: dict[str, dict[str, int]] = {}
    notes: dict[str, list[str]] = {}
    for sitting in kept_sittings(connection, vaulters):
        name = sitting.vaulter
        mine = found.setdefault(name, [])
        counts = out.setdefault(name, {})
        said = notes.setdefault(name, [])
        path = home.path / "recordings" / sitting.path
        try:
            day = datetime.fromisoformat(sitting.made).date()
        except ValueError:
            said.append(f"Left out: {path} does not tell its date.")
            continue
        if since is not None and day < since:
            continue
        level = levels.level(sitting.level_hash, sitting.level_text)
        if level is None or lacking(sitting.outcomes, measures):
            # Computed from the signals, at the cost of a replay.
            mine += of_one(path, glance(path), day, measures, counts)
        else:
            whose = (name, sitting.board)
            mine += values_of(whose, level, day, sitting.outcomes, {}, measures, counts)
    made: dict[str, dict[str, _Kept]] = {measure: {} for measure in measures}
    for name, mine in found.items():
        for measure in measures:
            of_measure = courses(item for item in mine if item.measure == measure)
            made[measure][name] = _Kept(of_measure, out[name], notes[name])
    return made


# As they are kept ---------------------------------------------------------------------------------


def _kind(measure: str) -> str:
    return f"days {_FORMAT} {measure}"


def _recalled(connection: Connection, measure: str) -> dict[str, _Kept]:
    from swaytrainer.index.memos import recalled

    tasks: dict[str, Task] = {}
    return {
        name: _read(name, measure, json.loads(text), tasks)
        for name, text in recalled(connection, _kind(measure)).items()
    }


def _keep(connection: Connection, made: Mapping[str, Mapping[str, _Kept]]) -> None:
    from swaytrainer.index.memos import keep

    for measure, of_each in made.items():
        keep(connection, _kind(measure), {name: _text(each) for name, each in of_each.items()})


def _text(kept: _Kept) -> str:
    rows = [
        [
            [course.task.task, *(getattr(course.task.terms, name) for name in _TERMS)],
            course.days.log,
            course.days.left_out,
            sorted(course.boards),
            course.days.days,
            course.scatter,
        ]
        for course in kept.courses
    ]
    return json.dumps([rows, kept.left_out, kept.notes], ensure_ascii=False)


def _read(name: str, measure: str, held: Any, tasks: dict[str, Task]) -> _Kept:
    """A kept text again.

    Args:
        name, measure: whose, of what.
        held: as ``_text`` made it.
        tasks: those that were met, by their text: equal ones are one and the same.
    """
    rows, left_out, notes = held
    found = []
    for told, log, out, boards, days, scatter in rows:
        key = repr(told)
        if key not in tasks:
            tasks[key] = Task(Terms(*told[1:]), told[0])
        course = Course(
            name,
            tasks[key],
            measure,
            History(tuple(map(Day._make, days)), log, out),
            frozenset(boards),
            Scatter._make(scatter),
        )
        found.append(course)
    return _Kept(found, left_out, notes)
