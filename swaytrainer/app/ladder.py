"""``swaytrainer ladder``: what comes next for each vaulter, and the coach's word on it."""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from typing import Final

from swaytrainer.app.about import overviews
from swaytrainer.app.past import Past
from swaytrainer.errors import SwaytrainerError
from swaytrainer.store.home import Home
from swaytrainer.training.dose import dose, dose_words, time_to_stop
from swaytrainer.training.history import Tried
from swaytrainer.training.ladder import CoachWord, Suggestion
from swaytrainer.training.risk import needs_spotter
from swaytrainer.words import tr

_DOSE_DAYS: Final = 8


def ladder(options: argparse.Namespace, home: Home) -> int:
    """The command; its exit status."""
    now = datetime.now().astimezone()
    names = [v.name for v in home.vaulters()]
    if options.name is not None and options.name not in names:
        raise SwaytrainerError(
            f"There is no vaulter {options.name!r}; there are {', '.join(names) or 'none'}.",
            "Add one: swaytrainer vaulter NAME",
        )
    if options.set is not None or options.note is not None:
        return _say(options, home, now)
    levels, _ = home.levels()
    past = Past(home)
    asked = [options.name] if options.name is not None else names
    # The dose is of a week; tiredness is judged by more, but only for who has trained today.
    lately = past.of_each(asked, levels, now - timedelta(days=_DOSE_DAYS))
    today = [name for name in asked if any(t.day == now.date() for t in lately[name])]
    tried = lately | past.of_each(today, levels)
    note = past.note
    known = overviews(past, home, asked, levels)
    for name in asked:
        print(name)
        for line in _of_one(known[name][1], tried[name], now):
            print(f"  {line}")
    if note is not None:
        print(note)
    if not names:
        print("There is no vaulter yet. Add one: swaytrainer vaulter NAME")
    return 0


def _say(options: argparse.Namespace, home: Home, now: datetime) -> int:
    if options.name is None or options.set is None or options.note is None:
        raise SwaytrainerError(
            "The coach's word needs a vaulter, a level and a note.",
            "Write: swaytrainer ladder NAME --set ID --note TEXT",
        )
    levels, _ = home.levels()
    level = next((x for x in levels if x.id == options.set), None)
    if level is None:
        raise SwaytrainerError(
            f"There is no level {options.set!r}; there are {', '.join(x.id for x in levels)}.",
            "Choose one of these, or look for a mistake in the file's name.",
        )
    path = home.keep_word(CoachWord(options.name, level.id, now, options.note))
    print(f"{options.name}: {level.title}, from now on. Kept in {path}.")
    if needs_spotter(level):
        print("It needs a spotter: alone, nobody is offered it.")
    return 0


def _of_one(steps: Sequence[Suggestion], tried: Sequence[Tried], now: datetime) -> Iterator[str]:
    for told in steps:
        risky = " (with a spotter)" if needs_spotter(told.level) else ""
        yield f"{told.step.value}: {told.level.title}{risky}. {tr(told.reason)}"
        if told.note and told.note not in told.reason:
            yield f"the coach's note: {told.note}"
    yield tr(dose_words(dose(tried, now), 0.0))
    stop = time_to_stop(tried, now)
    if stop:
        yield tr(stop)
