"""All that is known of each vaulter, gathered from list, coach's words, levels and recordings."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Collection, Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any, Final

from swaytrainer.app.gathered import gathered
from swaytrainer.app.past import Past, lately_s
from swaytrainer.errors import SwaytrainerError
from swaytrainer.progress.about import About, Done, done_of, rungs_of
from swaytrainer.progress.assess import USUAL, Report, Row, assess
from swaytrainer.progress.contrasts import contrasts_of
from swaytrainer.progress.senses import senses
from swaytrainer.store.history import NEWEST
from swaytrainer.store.home import Home
from swaytrainer.training.history import Tried, in_order
from swaytrainer.training.ladder import Step, Suggestion, each_ladder
from swaytrainer.training.level import Level
from swaytrainer.training.level_file import level_text
from swaytrainer.training.vaulter import Vaulter
from swaytrainer.words import Name, Said, say

if TYPE_CHECKING:
    from sqlalchemy import Connection

#: Enough for the squad's words; the others repeat too badly to call somebody changed by them.
SQUAD_MEASURES: Final = ("mark", "mean_speed_mm_s", "time_in_band_percent")
#: Days in a block, as ``progress`` has it without ``--block-days``.
BLOCK_DAYS: Final = 3
#: Changed whenever what is kept is made otherwise: then it is made anew.
_KIND: Final = "overview 4"


def about_one(home: Home, vaulter: Vaulter, today: date) -> tuple[About, Report]:
    """All that a page about somebody tells, and all that her measures tell.

    Raises:
        SwaytrainerError: a file of the data folder can't be used.
    """
    levels, _ = home.levels()
    past = Past(home)
    tried = past.of_each([vaulter.name], levels)[vaulter.name]
    newest = next((t for t in reversed(in_order(tried)) if t.mark is not None), None)
    known = senses()
    parts = () if newest is None else tuple(p.measure for p in newest.level.parts)
    measures = tuple(dict.fromkeys((*USUAL, *(key for key in parts if key in known))))
    there, notes = gathered(home, measures, past=past)
    report = Report((), (), tuple(notes))
    if any(course.vaulter == vaulter.name for course in there):
        report = assess(there, measures, vaulter.name, BLOCK_DAYS, notes)
    words = home.all_coach_words().get(vaulter.name, [])
    about = About(
        vaulter,
        today,
        rungs_of(levels),
        done_of(tried),
        report.rows,
        tuple(each_ladder(levels, tried, words)),
        tuple(contrasts_of(report.rows)),
        newest,
    )
    return about, report


def abouts(home: Home, vaulters: Collection[Vaulter], today: date) -> tuple[list[About], list[str]]:
    """What the squad's words need, in the vaulters' order, and sentences on what was left out.

    Raises:
        SwaytrainerError: a file of the data folder can't be used.
    """
    levels, notes = home.levels()
    past = Past(home)
    known = overviews(past, home, [v.name for v in vaulters], levels)
    there, left_out = gathered(home, SQUAD_MEASURES, past=past)
    rungs = rungs_of(levels)
    report = assess(there, SQUAD_MEASURES, None, BLOCK_DAYS)
    rows: dict[str, list[Row]] = {}
    for row in report.rows:
        rows.setdefault(row.vaulter, []).append(row)
    made = []
    for vaulter in vaulters:
        done, steps = known[vaulter.name]
        mine = tuple(rows.get(vaulter.name, ()))
        made.append(About(vaulter, today, rungs, done, mine, steps))
    return made, [*notes, *left_out]


# What was done, and what comes next ---------------------------------------------------------------

Overview = tuple[tuple[Done, ...], tuple[Suggestion, ...]]


def overviews(
    past: Past, home: Home, names: Sequence[str], levels: Sequence[Level]
) -> dict[str, Overview]:
    """Of each vaulter what was done, by day and level, and what comes next on each ladder.

    The index keeps both until the vaulter's trials, the levels or the coach's words change.
    """
    words = home.all_coach_words()

    def of_trials(tried: Mapping[str, Sequence[Tried]]) -> dict[str, Overview]:
        return {
            name: (done_of(mine), tuple(each_ladder(levels, mine, words.get(name, []))))
            for name, mine in tried.items()
        }

    try:
        engine = past.engine(anew=False)
    except SwaytrainerError:
        return of_trials(past.of_each(names, levels))
    from swaytrainer.index.database import begun
    from swaytrainer.index.memos import keep, reckoned
    from swaytrainer.index.past import LevelsRead, tried_of

    of_levels = hashlib.sha256("".join(map(level_text, levels)).encode()).hexdigest()[:16]
    stamps = {name: f"{of_levels} {words.get(name, [])}" for name in names}
    with begun(engine, reads=True) as connection:
        found = _recalled(connection, stamps, levels)
    missing = [name for name in names if name not in found]
    if missing:
        made = reckoned(
            engine,
            lambda connection: of_trials(
                tried_of(connection, missing, NEWEST, LevelsRead(levels), None, lately_s())
            ),
            lambda connection, each: keep(
                connection, _KIND, {name: _text(stamps[name], one) for name, one in each.items()}
            ),
        )
        found |= made
    return found


def _text(stamp: str, overview: Overview) -> str:
    done, steps = overview
    return json.dumps(
        [
            stamp,
            [(d.day.toordinal(), *d[1:]) for d in done],
            [
                (
                    s.step.value,
                    s.level.id,
                    _said(s.reason),
                    None if s.current is None else s.current.id,
                    s.note,
                )
                for s in steps
            ],
        ],
        ensure_ascii=False,
    )


def _recalled(
    connection: Connection, stamps: dict[str, str], levels: Sequence[Level]
) -> dict[str, Overview]:
    from swaytrainer.index.memos import recalled

    by_id = {level.id: level for level in levels}
    found: dict[str, Overview] = {}
    for name, text in recalled(connection, _KIND).items():
        stamp, done, steps = json.loads(text)
        if stamps.get(name) != stamp:
            continue
        found[name] = (
            tuple(Done(date.fromordinal(d[0]), *d[1:]) for d in done),
            tuple(
                Suggestion(
                    Step(step),
                    by_id[level],
                    _again(reason),
                    None if at is None else by_id[at],
                    note,
                )
                for step, level, reason, at, note in steps
            ),
        )
    return found


def _said(sentence: object) -> Any:
    """A sentence as JSON, so that it can be said in another language later."""
    if isinstance(sentence, Said):
        values = {key: _said(value) for key, value in sentence.values.items()}
        return {"template": sentence.template, "values": values}
    return {"name": sentence} if isinstance(sentence, Name) else sentence


def _again(held: Any) -> Any:
    if isinstance(held, dict):
        if "name" in held:
            return Name(held["name"])
        return say(held["template"], **{key: _again(v) for key, v in held["values"].items()})
    return held


def since_words(about: About) -> str:
    """When somebody trained last."""
    days = about.days_since
    if days is None:
        return say("never")
    if days == 0:
        return say("today")
    return say("yesterday") if days == 1 else say("{n} days ago", n=days)


def week_words(about: About) -> str:
    """What was trained in the last seven days."""
    week = about.load(7)
    if week.days == 0:
        return "–"
    return say("{days} d, {minutes:.0f} min", days=week.days, minutes=week.minutes)
