"""A competition as the gym screen's line: drawn order, one trial a turn, on one level.

Nothing is kept but who was missed: after a power cut the recordings tell who is next.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from datetime import datetime

from swaytrainer.app.choices import Choices
from swaytrainer.app.gym_line import Told
from swaytrainer.app.roster import Roster
from swaytrainer.errors import SwaytrainerError
from swaytrainer.squad.contest import Call, Stage, why_again
from swaytrainer.squad.contest_words import stage_words
from swaytrainer.store.contest_book import ContestBook
from swaytrainer.store.home import Home
from swaytrainer.training.level import Level
from swaytrainer.training.risk import needs_spotter
from swaytrainer.words import Name, say


class OneLevel:
    """A shelf with the contest's level alone: level files that change now change nothing."""

    def __init__(self, level: Level) -> None:
        self.levels = (level,)
        self.troubles: tuple[str, ...] = ()
        self.notes: tuple[str, ...] = ()

    def refresh(self) -> bool:
        """Nothing ever changes."""
        return False


def contest_choices(home: Home, book: ContestBook, spotter: bool) -> Choices:
    """Who and what the gym screen offers in a contest.

    Raises:
        SwaytrainerError: its level needs a spotter, and none was said to stand by.
    """
    level = book.level
    if needs_spotter(level) and not spotter:
        raise SwaytrainerError(
            say("The contest's level {id!r} needs a spotter.", id=Name(level.id)),
            say("Ask a coach to stand by and start with --spotter."),
        )
    roster = Roster(home, lambda: book.contest.vaulters)
    return Choices(roster, (level,), 0, 0, OneLevel(level), spotter)


class GymContest:
    """See the module.

    Args:
        book: the contest as it stands.
        now: the wall clock.
    """

    fixed = True

    def __init__(self, book: ContestBook, now: Callable[[], datetime]) -> None:
        self._book = book
        self._now = now
        self._is_on = book.contest.is_on(now())
        self._coming = self._due()

    def _due(self) -> list[Call]:
        """Who is called: outside of the contest's time nobody, for nothing would count."""
        return self._book.calls() if self._book.contest.is_on(self._now()) else []

    @property
    def title(self) -> str:
        """The contest's."""
        return self._book.contest.title

    @property
    def notes(self) -> tuple[str, ...]:
        """What is wrong with its file, and when it is not its time."""
        contest, now = self._book.contest, self._now()
        found = () if self._book.trouble is None else (self._book.trouble,)
        left_out = contest.left_out(guests=False)
        if not contest.is_on(now):
            late = say(
                "It is not the contest's time ({since} to {until}): nothing counts now.",
                since=f"{contest.since.astimezone():%Y-%m-%d %H:%M}",
                until=f"{contest.until.astimezone():%Y-%m-%d %H:%M}",
            )
            return (*found, late, *left_out)
        done = () if self._coming else ("All have done their trials.",)
        return (*found, *done, *left_out)

    def planned(self, name: str | None) -> tuple[str, ...] | None:
        """The contest's level, for whoever has a trial left."""
        if not any(call.vaulter == name for call in self._coming):
            return None
        return (self._book.level.id,)

    def told(self, name: str | None) -> Told:
        """Which round it is and in which class; why a trial is done again."""
        call = next((call for call in self._coming if call.vaulter == name), None)
        if call is None or name is None:
            return Told("No trial is left here." if name is not None else "")
        contest = self._book.contest
        brief = stage_words(contest, call.stage, call.number)
        again = why_again(contest, self._book.attempts, name)
        return Told(_turn(call, brief), again, brief)

    def refresh(self, _names: Collection[str] = ()) -> None:
        """Take over the file, the vaulters and the recordings as they are now."""
        changed = self._book.refresh()
        is_on = self._book.contest.is_on(self._now())
        # Also when nothing has changed but the time.
        if changed or is_on != self._is_on:
            self._is_on = is_on
            self._coming = self._due()

    def calls(self) -> tuple[str, ...]:
        """Who is next, next but one and so on; somebody who comes twice in a row stands twice."""
        return tuple(call.vaulter for call in self._coming)

    called = calls

    def trains(self, _name: str, _level: Level) -> None:
        """Her recording tells it."""

    def has_trained(self, _name: str, _level: Level, _trials: int) -> None:
        """Her recording tells it."""
        self.refresh()

    def missed(self, name: str) -> None:
        """Who is called isn't here: after the others of this round."""
        if self._coming and self._coming[0].vaulter == name:
            self._book.note_missed(self._coming[0], self._now())
            self._coming = self._due()

    def free(self, _name: str | None) -> None:
        """Nobody is held: there is one board."""


def _turn(call: Call, brief: str) -> str:
    group = Name(call.group)
    if call.stage is Stage.WARM_UP:
        return say("Warm-up: does not count · {group}", group=group)
    return say("{turn} · {group}", turn=brief, group=group)
