"""``swaytrainer ladder``: what comes next for each vaulter, and the coach's word on it."""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from typing import Final

from swaytrainer.app.about import overviews
from swaytrainer.app.choices import no_level
from swaytrainer.app.past import Past
from swaytrainer.errors import SwaytrainerError
from swaytrainer.store.coach_file import check_note
from swaytrainer.store.home import Home
from swaytrainer.training.dose import dose, dose_words, time_to_stop
from swaytrainer.training.history import Tried
from swaytrainer.training.ladder import CoachWord, Step, Suggestion
from swaytrainer.training.risk import needs_spotter
from swaytrainer.words import Name, say, tr, translated

_DOSE_DAYS: Final = 8
#: What is suggested, in a word.
STEP_WORDS: Final = {
    Step.BEGIN: say("begin"),
    Step.UP: say("up"),
    Step.STAY: say("stay"),
    Step.DOWN: say("down"),
    Step.COACH: say("coach"),
}


def ladder(options: argparse.Namespace, home: Home) -> int:
    """The command; its exit status."""
    now = datetime.now().astimezone()
    names = [v.name for v in home.vaulters()]
    name = None if options.name is None else home.vaulter_called(options.name).name
    if options.set is not None or options.note is not None:
        return _say(options, home, name, now)
    levels, _ = home.levels()
    past = Past(home)
    asked = names if name is None else [name]
    # The dose is of a week; tiredness is judged by more, but only for who has trained today.
    lately = past.of_each(asked, levels, now - timedelta(days=_DOSE_DAYS))
    today = [each for each in asked if any(t.day == now.date() for t in lately[each])]
    tried = lately | past.of_each(today, levels)
    note = past.note
    known = overviews(past, home, asked, levels)
    for each in asked:
        print(each)
        for line in _of_one(known[each][1], tried[each], now):
            print(f"  {line}")
    if note is not None:
        print(tr(note))
    if not names:
        print(
            translated(
                "There is no vaulter yet. Add one at the desk, or with: swaytrainer vaulter NAME"
            )
        )
    return 0


def _say(options: argparse.Namespace, home: Home, name: str | None, now: datetime) -> int:
    if name is None or options.set is None or options.note is None:
        raise SwaytrainerError(
            say("The coach's word needs a vaulter, a level and a note."),
            say("Write: swaytrainer ladder NAME --set ID --note TEXT"),
        )
    check_note(options.note)
    levels, _ = home.levels()
    level = next((x for x in levels if x.id == options.set), None)
    if level is None:
        raise no_level(options.set, [x.id for x in levels])
    path = home.keep_word(CoachWord(name, level.id, now, options.note))
    print(
        translated(
            "{name}: {level}, from now on. Kept in {path}.",
            name=Name(name),
            level=level.title,
            path=Name(path),
        )
    )
    if needs_spotter(level):
        print(translated("It needs a spotter: alone, nobody is offered it."))
    return 0


def _of_one(steps: Sequence[Suggestion], tried: Sequence[Tried], now: datetime) -> Iterator[str]:
    for told in steps:
        risky = f" ({translated('with a spotter')})" if needs_spotter(told.level) else ""
        yield f"{tr(STEP_WORDS[told.step])}: {tr(told.level.title)}{risky}. {tr(told.reason)}"
        if told.note and told.note not in told.reason:
            yield translated("the coach's note: {note}", note=Name(told.note))
    yield tr(dose_words(dose(tried, now), 0.0))
    stop = time_to_stop(tried, now)
    if stop:
        yield tr(stop)
