"""What the gym screen says beside the board: what comes next, cautions, dose and rest."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime

from swaytrainer.app.past import Past
from swaytrainer.errors import SwaytrainerError
from swaytrainer.store.home import Home
from swaytrainer.training.dose import dose, dose_words, time_to_stop
from swaytrainer.training.history import Tried, usual_weight_n
from swaytrainer.training.ladder import CoachWord, Suggestion, path_of, suggest
from swaytrainer.training.level import Level
from swaytrainer.training.risk import CautionsSeen, risk_of
from swaytrainer.training.vaulter import Vaulter


class Coaching:
    """Knows the chosen vaulter's past. Of a day's cautions it knows who has read them.

    Args:
        home: the data folder: recordings, and the coach's words.
        now: the wall clock.
    """

    def __init__(self, home: Home, now: Callable[[], datetime]) -> None:
        self._home = home
        self._now = now
        self._past = Past(home, hurry=True)
        self._seen = CautionsSeen()
        self._ended: dict[str, datetime] = {}
        self._tried: list[Tried] = []
        self._words: list[CoachWord] = []
        self._told: tuple[object, tuple[str, str]] | None = None
        self.trouble: tuple[str, str] | None = None

    def look_back(self, vaulter: Vaulter) -> Level | None:
        """Read what this vaulter has done; the level trained last, None if there is none."""
        self._tried = self._past.of(vaulter.name)
        self._told = None
        try:
            self._words = self._home.coach_words(vaulter.name)
        except SwaytrainerError as error:
            self.trouble = ("The coach's words can't be used.", str(error))
            self._words = []
        return self._tried[-1].level if self._tried else None

    def has_tried(self, game: str) -> bool:
        """Whether this vaulter has ended a trial of this game: then its lesson isn't due."""
        return any(tried.level.game == game for tried in self._tried)

    @property
    def usual_n(self) -> float | None:
        """This vaulter's usual weight, N; None while it is not known."""
        return usual_weight_n(self._tried)

    def next_of_each_game(
        self, every_level: Sequence[Level], offered: Sequence[Level], spotter: bool
    ) -> list[Level]:
        """One level a game, in the levels' order: where the ladder of each stands."""
        games = dict.fromkeys(level.game for level in offered)
        steps = (suggest(path_of(every_level, g), self._tried, self._words, spotter) for g in games)
        return [step.level for step in steps if step is not None and step.level in offered]

    def suggestion(
        self, every_level: Sequence[Level], level: Level | None, spotter: bool
    ) -> Suggestion | None:
        """What comes next on the ladder of this level's game."""
        if level is None:
            return None
        return suggest(path_of(every_level, level.game), self._tried, self._words, spotter)

    def cautions_due(self, vaulter: Vaulter | None, level: Level | None) -> bool:
        """Whether the cautions must be read before: nobody has today, before such a trial."""
        if vaulter is None or level is None:
            return False
        today, risk = self._now().date(), risk_of(level)
        trained = any(t.day == today and risk_of(t.level) == risk for t in self._tried)
        return not trained and self._seen.due(vaulter.name, risk, today)

    def cautions_read(self, vaulter: Vaulter, level: Level) -> None:
        """They were shown, and somebody went on."""
        self._seen.note(vaulter.name, risk_of(level), self._now().date())

    def sitting_ended(self, vaulter: Vaulter) -> None:
        """A sitting with a trial is over now: from here on the vaulter rests."""
        self._ended[vaulter.name] = self._now()

    def dose_and_stop(self, vaulter: Vaulter, level: Level | None) -> tuple[str, str]:
        """Dose and rest in a line, and why to stop; reckoned once a second."""
        now = self._now().replace(microsecond=0)
        key = (now, vaulter, level)
        if self._told is None or self._told[0] != key:
            done = dose(self._tried, self._now(), self._ended.get(vaulter.name))
            line = dose_words(done, level.rest_s if level is not None else 0.0)
            self._told = (key, (line, time_to_stop(self._tried, self._now())))
        return self._told[1]
