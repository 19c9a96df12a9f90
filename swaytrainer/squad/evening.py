"""Whose turn it is: an evening as the plan and what has happened since, each step a new state.

The first in the line who isn't resting is called; while all rest, the one who has rested longest.
Who has trained goes to the end of the line with one level less to do, and is done when none is
left or the minutes are used up. Who was called and isn't there goes to the end, too. So nobody is
forgotten, and nobody is called while somebody else could train.

Several boards, each with its station's name, may share one line. A station that calls somebody
holds her for a while; the others pass her over. Of two that call her at once, whoever wrote first
holds her. A group of the plan may belong to a station; one without is everybody's.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from enum import StrEnum
from typing import Final

from swaytrainer.squad.plan import Plan

#: An evening ends at four in the morning of the club's clock: what is done after midnight belongs
#: to the evening before. Nobody trains at that hour, so it needs no setting.
ENDS: Final = timedelta(hours=4)
#: A call holds so long if nothing happens, in seconds: a station that died must not keep anybody
#: from the other boards. One that lives renews it at half.
HOLDS_S: Final = 600.0


def evening_day(now: datetime) -> date:
    """The day to whose evening a moment belongs, on the clock that it tells.

    >>> evening_day(datetime(2026, 11, 26, 0, 30)).isoformat()
    '2026-11-25'
    >>> evening_day(datetime(2026, 11, 26, 4, 0)).isoformat()
    '2026-11-26'
    """
    return (now - ENDS).date()


class Kind(StrEnum):
    """What can happen in an evening."""

    MISSED = "missed"  # was called, and isn't there
    TRAINED = "trained"  # has ended a set
    AWAY = "away"  # isn't there tonight
    BACK = "back"  # has come after all
    CALLED = "called"  # is called to a station's board, or stands on it
    FREED = "freed"  # is called there no longer


@dataclass(frozen=True, slots=True)
class Happened:
    """One thing that happened.

    Attributes:
        kind: what.
        name: to whom.
        at: when, with its time zone.
        level: id of what was trained.
        seconds: on the board; of a call, how long it holds.
        rest_s: that are to be rested after it.
        station: where; empty where there is one board.
    """

    kind: Kind
    name: str
    at: datetime
    level: str = ""
    seconds: float = 0.0
    rest_s: float = 0.0
    station: str = ""


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
        station: at which alone she is called; empty for any.
        held_at: the station that has called her, None for none.
        held_until: so long, if it doesn't call again.
    """

    name: str
    levels: tuple[str, ...]
    free: bool
    minutes_left: float
    rests_until: datetime | None = None
    missed: int = 0
    trained: int = 0
    away: bool = False
    station: str = ""
    held_at: str | None = None
    held_until: datetime | None = None

    def holder(self, now: datetime) -> str | None:
        """The station at whose board she is called or stands now; None for none."""
        held = self.held_until is not None and now < self.held_until
        return self.held_at if held else None

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

    def calls(self, now: datetime, station: str | None = None) -> tuple[str, ...]:
        """Who is called, in order: next, next but one, and so on.

        Args:
            now: to tell who rests, and which calls still hold.
            station: at whose board; None for the whole line, whoever is called where.
        """
        waiting = [turn for turn in self.turns if not (turn.done or turn.away)]
        if station is not None:
            waiting = [t for t in waiting if t.station in ("", station)]
            waiting = [t for t in waiting if t.holder(now) in (None, station)]
        rested = [t for t in waiting if t.rests_until is None or t.rests_until <= now]
        resting = [t for t in waiting if t not in rested]
        resting.sort(key=lambda t: t.rests_until or now)
        # Whoever has been called to this board stays called, whatever happens at another.
        line = sorted((*rested, *resting), key=lambda t: station is None or t.holder(now) is None)
        return tuple(turn.name for turn in line)

    def after(self, happened: Happened) -> Evening:
        """The evening after something happened; what concerns nobody in it changes nothing."""
        turn = self.turn(happened.name)
        if turn is None:
            return self
        others = tuple(t for t in self.turns if t.name != turn.name)
        if happened.kind is Kind.CALLED:
            return self._called(turn, happened)
        if happened.kind is Kind.FREED:
            held = turn.held_at == happened.station
            return self._with(replace(turn, held_at=None, held_until=None) if held else turn)
        turn = replace(turn, held_at=None, held_until=None)
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
            case _:
                return self._with(replace(turn, away=happened.kind is Kind.AWAY))

    def _with(self, turn: Turn) -> Evening:
        return Evening(tuple(turn if t.name == turn.name else t for t in self.turns))

    def _called(self, turn: Turn, call: Happened) -> Evening:
        """A station calls one at a time; of two that call the same, whoever was first holds."""
        if turn.holder(call.at) not in (None, call.station):
            return self
        until = call.at + timedelta(seconds=max(call.seconds, 0.0))
        free = [
            replace(t, held_at=None, held_until=None) if t.held_at == call.station else t
            for t in self.turns
        ]
        held = replace(turn, held_at=call.station, held_until=until)
        return Evening(tuple(held if t.name == turn.name else t for t in free))


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
            Turn(name, group.levels, not group.levels, group.minutes, station=group.station)
            for group in plan.groups
            for name in group.vaulters
        )
    )
    for each in happened:
        evening = evening.after(each)
    return evening
