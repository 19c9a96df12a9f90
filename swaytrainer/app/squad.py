"""``swaytrainer squad``: groups, tonight's line, and who is due."""

from __future__ import annotations

import argparse
from datetime import datetime

from swaytrainer.errors import SwaytrainerError
from swaytrainer.squad.evening import Happened, Kind, Turn
from swaytrainer.store.evening_file import EveningBook, begin_plan
from swaytrainer.store.history import History
from swaytrainer.store.home import Home

#: Two sessions a week are what helped young people: who has paused longer is due (Gebel, Lesinski,
#: Behm, Granacher, Sports Medicine 2018;48:2067-2089; the number of days is ours).
DUE_AFTER_DAYS = 4


def squad(options: argparse.Namespace, home: Home) -> int:
    """Show or change the evening; its exit status.

    Raises:
        SwaytrainerError: nobody of that name, no plan, or a plan that can't be used.
    """
    names = [v.name for v in home.vaulters()]
    if options.do == "begin":
        print(f"Written: {begin_plan(home.path, names)}\nChange it with any editor.")
        return 0
    now = datetime.now().astimezone()
    shelf = home.level_shelf()
    book = EveningBook(home.path, now.date(), names, [level.id for level in shelf.levels])
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
    _show(book, home, now)
    return 0


def _show(book: EveningBook, home: Home, now: datetime) -> None:
    evening, plan = book.evening, book.plan
    assert evening is not None
    assert plan is not None
    past = History(home)
    calls = evening.calls(now)
    width = max((len(turn.name) for turn in evening.turns), default=0)
    for group in plan.groups:
        print(f"{group.name}: {', '.join(group.levels) or 'what the ladder says'}")
        for name in group.vaulters:
            turn = evening.turn(name)
            assert turn is not None
            tried = past.of(name)
            days = (now.date() - tried[-1].day).days if tried else None
            due = "new" if days is None else f"{days} days ago" if days else "today"
            if days is not None and days > DUE_AFTER_DAYS:
                due += ", due"
            print(f"  {name:<{width}}  {_words(turn, calls, now):<34}  last: {due}")
    print(f"Next: {', then '.join(calls[:2]) or 'nobody, all have trained'}")


def _words(turn: Turn, calls: tuple[str, ...], now: datetime) -> str:
    if turn.away:
        return "not here tonight"
    if turn.done:
        return f"done: {turn.trained} sets"
    place = f"{calls.index(turn.name) + 1} in the line"
    if turn.rests_until is not None and turn.rests_until > now:
        place += f", rests {(turn.rests_until - now).total_seconds():.0f} s"
    if turn.missed:
        place += f", missed {turn.missed} ×"
    return place
