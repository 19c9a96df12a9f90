"""Who is called to one board of the evening, with other boards beside it on the same line."""

from __future__ import annotations

from collections.abc import Callable, Collection
from datetime import datetime, timedelta
from pathlib import Path
from typing import Final

from swaytrainer.app.gym_line import Told
from swaytrainer.squad.evening import HOLDS_S, Evening, Happened, Kind, Turn, evening_day
from swaytrainer.store.evening_file import EveningBook
from swaytrainer.training.level import Level
from swaytrainer.words import Name, say

#: Around a trial, at most: settling, countdown, lesson, the mark; so much longer a call holds.
_BESIDE_S: Final = 60.0


class GymEvening:
    """The evening's line as this board's gym screen needs it.

    Args:
        folder: the data folder.
        vaulters, levels: names and ids that there are.
        station: this board's name.
        now: the wall clock.
    """

    def __init__(
        self,
        folder: Path,
        vaulters: Collection[str],
        levels: Collection[str],
        station: str,
        now: Callable[[], datetime],
    ) -> None:
        self._station = station
        self._now = now
        self._book = EveningBook(folder, evening_day(now()), vaulters, levels)

    title = ""
    fixed = False

    @property
    def evening(self) -> Evening | None:
        """The whole line; None without a plan."""
        return self._book.evening

    def turn(self, name: str | None) -> Turn | None:
        """A vaulter's; None for who isn't in the plan."""
        return None if self.evening is None or name is None else self.evening.turn(name)

    def planned(self, name: str | None) -> tuple[str, ...] | None:
        """The ids of the levels that are left for somebody; None for who isn't in the plan."""
        turn = self.turn(name)
        return None if turn is None else turn.levels

    def told(self, _name: str | None) -> Told:
        """Nothing: the dose stands there."""
        return Told()

    def refresh(self, names: Collection[str]) -> None:
        """Take over what the coach or another station wrote; after the night, the next evening."""
        self._book.refresh(evening_day(self._now()), names)

    @property
    def notes(self) -> tuple[str, ...]:
        """What is wrong with the plan or the book, in sentences for the screen."""
        found = () if self._book.trouble is None else (self._book.trouble,)
        plan = self._book.plan
        if plan is None or not plan.groups:
            return found
        if any(group.station in ("", self._station) for group in plan.groups):
            return found
        elsewhere = say(
            "Tonight's plan has nobody for this board, {here}: it names {there}.",
            here=Name(self._station),
            there=Name(", ".join(plan.stations)),
        )
        return (*found, elsewhere)

    def calls(self) -> tuple[str, ...]:
        """Who is called to this board, in order; empty without a plan."""
        return () if self.evening is None else self.evening.calls(self._now(), self._station)

    def called(self) -> tuple[str, ...]:
        """``calls``, the first of them held here, so that no other board calls her too."""
        calls = self.calls()
        while calls and not self._held(calls[0]):
            self._hold(calls[0], HOLDS_S)
            before, calls = calls, self.calls()
            if before == calls:
                break
        return calls

    def trains(self, name: str, level: Level) -> None:
        """She stands on this board, called or not, for a set of this level."""
        trial_s = level.seconds + level.rest_s + _BESIDE_S
        self._hold(name, level.trials * trial_s + HOLDS_S)

    def has_trained(self, name: str, level: Level, trials: int) -> None:
        """A set has ended, after so many trials."""
        seconds = trials * level.seconds
        self._note(Happened(Kind.TRAINED, name, self._now(), level.id, seconds, level.rest_s,
                            self._station))  # fmt: skip

    def missed(self, name: str) -> None:
        """She was called, and isn't here."""
        self._note(Happened(Kind.MISSED, name, self._now(), station=self._station))

    def free(self, name: str | None) -> None:
        """If she was called to this board, she is so no longer."""
        turn = self.turn(name)
        if turn is not None and turn.held_at == self._station:
            self._note(Happened(Kind.FREED, turn.name, self._now(), station=self._station))

    def _held(self, name: str) -> bool:
        """Whether a call to this board is in force, and for a while yet."""
        turn = self.turn(name)
        soon = self._now() + timedelta(seconds=HOLDS_S / 2)
        return turn is not None and turn.holder(soon) == self._station

    def _hold(self, name: str, seconds: float) -> None:
        if self.turn(name) is not None:
            self._note(
                Happened(Kind.CALLED, name, self._now(), seconds=seconds, station=self._station)
            )

    def _note(self, happened: Happened) -> None:
        if self.evening is not None:
            self._book.note(happened)
