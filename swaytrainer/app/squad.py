"""``swaytrainer squad``: groups, tonight's line, and who is due."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from datetime import datetime

from swaytrainer.app.past import Past
from swaytrainer.errors import SwaytrainerError
from swaytrainer.squad.due import Due, due
from swaytrainer.squad.evening import Evening, Happened, Kind, Turn, evening_day
from swaytrainer.store.evening_file import EveningBook, begin_plan
from swaytrainer.store.home import Home
from swaytrainer.training.ladder import Step
from swaytrainer.training.level import Level
from swaytrainer.training.nearest import instead
from swaytrainer.training.risk import needs_spotter
from swaytrainer.training.vaulter import called
from swaytrainer.words import Name, say, short, tr, translated

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
        path = Name(begin_plan(home.path, vaulters))
        print(translated("Written: {path}\nChange it with any editor.", path=path))
        return 0
    now = datetime.now().astimezone()
    shelf = home.level_shelf()
    book = EveningBook(home.path, evening_day(now), names, [x.id for x in shelf.levels])
    if book.evening is None:
        if book.trouble is not None:
            raise SwaytrainerError(book.trouble, say("The file is as it was."))
        print(translated("No plan yet: 'swaytrainer squad begin' writes one to change."))
        return 0
    if options.do is not None:
        book.note(Happened(Kind(options.do), _whom(options, book.evening), now))
    if book.trouble is not None:
        print(tr(book.trouble))
    _show(book, home, shelf.levels, now)
    return 0


def _whom(options: argparse.Namespace, evening: Evening) -> str:
    """Of whom it is said, as the plan writes the name."""
    if options.name is None:
        raise SwaytrainerError(
            say("'squad {do}' needs a name.", do=Name(options.do)),
            say("Write: swaytrainer squad {do} NAME", do=Name(options.do)),
        )
    names = [turn.name for turn in evening.turns]
    found = called(options.name, names)
    if found is None:
        raise SwaytrainerError(
            say(
                "There is no {name!r} in tonight's plan; {instead}.",
                name=Name(options.name),
                instead=instead(options.name, names),
            ),
            say("'swaytrainer squad' shows the plan."),
        )
    turn = evening.turn(found)
    if options.do == Kind.MISSED.value and turn is not None and turn.away:
        raise SwaytrainerError(
            say("{name} is away tonight, and was not called.", name=Name(found)),
            say("“Here after all”, or 'squad back NAME', puts somebody into the line again."),
        )
    return found


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
        where = _at(group.station)
        titles = ", ".join(_title(x) for name in group.levels for x in levels if x.id == name)
        levels_told = titles or translated("what the ladder says")
        print(f"{group.name}{where}: {levels_told}")
        for name in group.vaulters:
            turn = evening.turn(name)
            assert turn is not None
            told = due(levels, tried[name], words.get(name, []), now.date())
            place = f"{_words(turn, calls, now):<34}  {_last(told)}"
            print(f"  {short(name, width):<{width}}  {place}")
            for step in told.steps:
                what = say("a step up" if step.step is Step.UP else "an easier one")
                print(f"  {'':<{width}}  {tr(what)}: {_title(step.level)}")
    for station in plan.stations or (None,):
        where = _at(station or "")
        of_it = evening.calls(now, station)[:2]
        line = of_it[0] if of_it else translated("nobody, all have trained")
        if len(of_it) > 1:
            line = translated("{a}, then {b}", a=Name(of_it[0]), b=Name(of_it[1]))
        print(f"{translated('Next')}{where}: {line}")
    if past.note is not None:
        print(tr(past.note))


def _title(level: Level) -> str:
    risky = f" ({translated('with a spotter')})" if needs_spotter(level) else ""
    return f"{tr(level.title)}{risky}"


def _at(station: str) -> str:
    if not station:
        return ""
    return f" ({translated('at {station}', station=Name(station))})"


def _last(told: Due) -> str:
    if told.days is None:
        return translated("new")
    ago = translated("last: {n} days ago", n=told.days)
    if told.days < 2:
        ago = translated("last: today") if told.days == 0 else translated("last: yesterday")
    return translated("{ago}, due", ago=ago) if told.paused else ago


def _words(turn: Turn, calls: tuple[str, ...], now: datetime) -> str:
    if turn.away:
        return translated("not here tonight")
    if turn.done:
        return translated("done: {n} sets", n=turn.trained)
    place = translated("{n} in the line", n=calls.index(turn.name) + 1)
    holder = turn.holder(now)
    if holder is not None:
        place = translated("called")
        if holder:
            place = translated("called at {station}", station=Name(holder))
    if turn.rests_until is not None and turn.rests_until > now:
        rests_s = (turn.rests_until - now).total_seconds()
        place += ", " + translated("rests {s:.0f} s", s=rests_s)
    if turn.missed:
        place += ", " + translated("missed {n} ×", n=turn.missed)
    return place
