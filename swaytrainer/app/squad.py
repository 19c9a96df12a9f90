"""``swaytrainer squad``: groups, tonight's line, and who is due."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from datetime import datetime

from swaytrainer.app.past import Past
from swaytrainer.errors import SwaytrainerError
from swaytrainer.squad.due import Due, due
from swaytrainer.squad.evening import Happened, Kind, Turn, evening_day
from swaytrainer.store.evening_file import EveningBook, begin_plan
from swaytrainer.store.home import Home
from swaytrainer.training.level import Level
from swaytrainer.training.risk import needs_spotter
from swaytrainer.words import short

#: Letters of a name in the table.
_WIDEST = 24


def squad(options: argparse.Namespace, home: Home) -> int:
    """Show or change the evening; its exit status.

    Raises:
        SwaytrainerError: nobody of that name, no plan, or a plan that can't be used.
    """
    vaulters = home.vaulters()
    names = [v.name for v in vaulters]
    if options.do == "begin":
        print(f"Written: {begin_plan(home.path, vaulters)}\nChange it with any editor.")
        return 0
    now = datetime.now().astimezone()
    shelf = home.level_shelf()
    book = EveningBook(home.path, evening_day(now), names, [x.id for x in shelf.levels])
    if book.evening is None:
        if book.trouble is not None:
            raise SwaytrainerError(book.trouble, "The file is as it was.")
        print("No plan yet: 'swaytrainer squad begin' writes one to change.")
        return 0
    if options.do is not None:
        if options.name is None or book.evening.turn(options.name) is None:
            raise SwaytrainerError(
                f"There is no {options.name!r} in tonight's plan.",
                "It has " + ", ".join(turn.name for turn in book.evening.turns) + ".",
            )
        book.note(Happened(Kind(options.do), options.name, now))
    if book.trouble is not None:
        print(book.trouble)
    _show(book, home, shelf.levels, now)
    return 0


def _show(book: EveningBook, home: Home, levels: Sequence[Level], now: datetime) -> None:
    evening, plan = book.evening, book.plan
    assert evening is not None
    assert plan is not None
    past = Past(home)
    tried = past.of_each([turn.name for turn in evening.turns], levels)
    words = home.all_coach_words()
    calls = evening.calls(now)
    # One long name must not push all else off the screen.
    width = min(_WIDEST, max((len(turn.name) for turn in evening.turns), default=0))
    for group in plan.groups:
        where = f" (at {group.station})" if group.station else ""
        print(f"{group.name}{where}: {', '.join(group.levels) or 'what the ladder says'}")
        for name in group.vaulters:
            turn = evening.turn(name)
            assert turn is not None
            told = due(levels, tried[name], words.get(name, []), now.date())
            place = f"{_words(turn, calls, now):<34}  last: {_last(told)}"
            print(f"  {short(name, width):<{width}}  {place}")
            for step in told.steps:
                risky = " (with a spotter)" if needs_spotter(step.level) else ""
                print(f"  {'':<{width}}  step {step.step.value}: {step.level.title}{risky}")
    for station in plan.stations or (None,):
        where = "" if station is None else f" at {station}"
        of_it = evening.calls(now, station)
        print(f"Next{where}: {', then '.join(of_it[:2]) or 'nobody, all have trained'}")
    if past.note is not None:
        print(past.note)


def _last(told: Due) -> str:
    if told.days is None:
        return "new"
    ago = "today" if told.days == 0 else "1 day ago" if told.days == 1 else f"{told.days} days ago"
    return f"{ago}, due" if told.paused else ago


def _words(turn: Turn, calls: tuple[str, ...], now: datetime) -> str:
    if turn.away:
        return "not here tonight"
    if turn.done:
        return f"done: {turn.trained} sets"
    place = f"{calls.index(turn.name) + 1} in the line"
    holder = turn.holder(now)
    if holder is not None:
        place = f"called at {holder}" if holder else "called"
    if turn.rests_until is not None and turn.rests_until > now:
        place += f", rests {(turn.rests_until - now).total_seconds():.0f} s"
    if turn.missed:
        place += f", missed {turn.missed} ×"
    return place
