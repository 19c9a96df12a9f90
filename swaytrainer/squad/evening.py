"""Whose turn it is: an evening as the plan and what has happened since, each step a new state.

The first in the line who isn't resting is called; while all rest, the one who has rested longest.
Who has trained goes to the end of the line with one level less to do, and is done when none is
left or the minutes are used up. Who was called and isn't there goes to the end, too. So nobody is
forgotten, and nobody is called while somebody else could train.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum

from swaytrainer.squad.plan import Plan


class Kind(StrEnum):
    """What can happen in an evening."""

    MISSED = "missed"  # was called, and isn't there
    TRAINED = "trained"  # has ended a set
    AWAY = "away"  # isn't there tonight
    BACK = "back"  # has come after all


@dataclass(frozen=True, slots=True)
class Happened:
    """One thing that happened.

    Attributes:
        kind: what.
        name: to whom.
        at: when, with its time zone.
        level: id of what was trained.
        seconds: on the board.
        rest_s: that are to be rested after it.
    """

    kind: Kind
    name: str
    at: datetime
    level: str = ""
    seconds: float = 0.0
    rest_s: float = 0.0


@dataclass(frozen=True, slots=True)
class Turn:
    """One vaulter's evening.

    Attributes:
        name: who.
        levels: ids that are still to be done; empty where the ladder says what.
        free: the ladder says what: there is no list to come to the end of.
        minutes_left: on the board.
        rests_until: not called before, if it can be helped; None for nobody who has trained.
        missed: how often she was called and wasn't there.
        trained: how many sets.
        away: not there tonight.
    """

    name: str
    levels: tuple[str, ...]
    free: bool
    minutes_left: float
    rests_until: datetime | None = None
    missed: int = 0
    trained: int = 0
    away: bool = False

    @property
    def done(self) -> bool:
        """Nothing is left to do tonight."""
        return self.minutes_left <= 0.0 or not (self.free or self.levels)


@dataclass(frozen=True, slots=True)
class Evening:
    """The line, first to be called first."""

    turns: tuple[Turn, ...]

    def turn(self, name: str) -> Turn | None:
        """A vaulter's."""
        return next((turn for turn in self.turns if turn.name == name), None)

    def calls(self, now: datetime) -> tuple[str, ...]:
        """Who is called, in order: next, next but one, and so on."""
        waiting = [turn for turn in self.turns if not (turn.done or turn.away)]
        rested = [t.name for t in waiting if t.rests_until is None or t.rests_until <= now]
        resting = [t for t in waiting if t.name not in rested]
        resting.sort(key=lambda t: t.rests_until or now)
        return (*rested, *(t.name for t in resting))

    def after(self, happened: Happened) -> Evening:
        """The evening after something happened; what concerns nobody in it changes nothing."""
        turn = self.turn(happened.name)
        if turn is None:
            return self
        others = tuple(t for t in self.turns if t.name != turn.name)
        match happened.kind:
            case Kind.MISSED:
                return Evening((*others, replace(turn, missed=turn.missed + 1)))
            case Kind.TRAINED:
                rests_until = happened.at + timedelta(seconds=max(happened.rest_s, 0.0))
                levels = _without(turn.levels, happened.level)
                trained = replace(
                    turn,
                    levels=levels,
                    minutes_left=turn.minutes_left - happened.seconds / 60.0,
                    rests_until=rests_until,
                    trained=turn.trained + 1,
                    away=False,
                )
                return Evening((*others, trained))
            case Kind.AWAY | Kind.BACK:
                away = happened.kind is Kind.AWAY
                return Evening(tuple(replace(t, away=away) if t is turn else t for t in self.turns))


def _without(levels: tuple[str, ...], done: str) -> tuple[str, ...]:
    """The levels less one: of one that is planned twice, the first."""
    if done not in levels:
        return levels
    at = levels.index(done)
    return levels[:at] + levels[at + 1 :]


def evening_of(plan: Plan, happened: Iterable[Happened] = ()) -> Evening:
    """The evening of a plan, after all that has happened.

    >>> from swaytrainer.squad.plan import Group
    >>> from datetime import UTC
    >>> at = datetime(2026, 11, 25, 18, tzinfo=UTC)
    >>> line = evening_of(Plan((Group("A", ("Wren", "Tarn")),)))
    >>> line.calls(at), line.after(Happened(Kind.MISSED, "Wren", at)).calls(at)
    (('Wren', 'Tarn'), ('Tarn', 'Wren'))
    """
    evening = Evening(
        tuple(
            Turn(name, group.levels, not group.levels, group.minutes)
            for group in plan.groups
            for name in group.vaulters
        )
    )
    for each in happened:
        evening = evening.after(each)
    return evening
