"""Dose and rest: how much a vaulter has trained, and whether it is time to stop.

In youth, balance improved with about two sessions a week, of 4 to 15 minutes of balance work each
(Gebel, Lesinski, Behm & Granacher, Sports Medicine 2018;48:2067-2089); in adults with about three
a week (Lesinski et al., Sports Medicine 2015;45:1721-1738, from memory). These are what trained
well in studies, no limits of what is safe; so they are suggestions, and the coach decides.

Tired is told by marks that fall within a day, against the vaulter's own spread: see ``fatigue``.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from statistics import fmean
from typing import Final

from swaytrainer.training.history import Tried, equal_terms, in_order
from swaytrainer.words import say

#: Minutes of balance work a session in which youth improved (Gebel et al. 2018).
SESSION_MINUTES: Final = (4.0, 15.0)
#: Days a week: youth (Gebel et al. 2018), adults (Lesinski et al. 2015, from memory).
WEEK_DAYS: Final = (2, 3)
#: The newest marks that are held against the day's earlier ones.
NEWEST: Final = 2
#: Marks of the day before those, at the least.
EARLIER: Final = 3
#: Degrees of freedom of the vaulter's own spread, at the least: fewer say nothing of it.
SPREAD_DF: Final = 6
#: The fall must be beyond so many standard errors; false alarms are counted in the tests.
LIMIT_ERRORS: Final = 2.5
#: And at least one point of 10, so that somebody with a tiny spread isn't sent home for nothing.
LEAST_FALL: Final = 1.0


@dataclass(frozen=True, slots=True)
class Dose:
    """What a vaulter has done.

    Attributes:
        trials_today, minutes_today: trials and minutes on the board in them.
        trials_week, minutes_week, days_week: of the last seven days, today included.
        rested_s: since the last sitting ended; NaN if there was none.
    """

    trials_today: int
    minutes_today: float
    trials_week: int
    minutes_week: float
    days_week: int
    rested_s: float


def dose(tried: Sequence[Tried], now: datetime, ended: datetime | None = None) -> Dose:
    """Count what was done.

    Args:
        tried: the vaulter's trials, counted or not; those made after ``now`` are passed over.
        now: the time at the vaulter's place, with its zone.
        ended: when the last sitting ended, if that is known; else it is reckoned from its
            beginning, its trials and the rests between them, which is the earliest it can be.
    """
    known = [t for t in in_order(tried) if t.made <= now]
    today = now.date()
    week = [t for t in known if today - timedelta(days=6) <= t.day <= today]
    of_today = [t for t in week if t.day == today]
    if ended is None and known:
        ended = _earliest_end([t for t in known if t.made == known[-1].made])
    return Dose(
        trials_today=len(of_today),
        minutes_today=_minutes(of_today),
        trials_week=len(week),
        minutes_week=_minutes(week),
        days_week=len({t.day for t in week}),
        rested_s=math.nan if ended is None else max(0.0, (now - ended).total_seconds()),
    )


def _minutes(tried: Sequence[Tried]) -> float:
    return sum(t.on_board_s for t in tried if math.isfinite(t.on_board_s)) / 60.0


def _earliest_end(sitting: Sequence[Tried]) -> datetime:
    seconds = 60.0 * _minutes(sitting) + (len(sitting) - 1) * sitting[-1].level.rest_s
    return sitting[-1].made + timedelta(seconds=seconds)


@dataclass(frozen=True, slots=True)
class Fatigue:
    """Whether the marks fall.

    Attributes:
        tired: they fall beyond the vaulter's own spread.
        fall: mean of the day's earlier marks less the mean of the newest; NaN if too few.
        limit: what the fall must exceed; NaN if the own spread is not known yet.
        reason: the rule's outcome in words.
    """

    tired: bool
    fall: float
    limit: float
    reason: str


def fatigue(tried: Sequence[Tried], now: datetime) -> Fatigue:
    """Whether today's marks fall more than this vaulter's marks scatter anyway.

    Of today's counted marks on equal terms with the newest one, the mean of the newest
    ``NEWEST`` is held against the mean of the ones before (``EARLIER`` at least). The spread is
    the standard deviation within a day, pooled over earlier days on the same terms,
    s = √(Σ(mark − its day's mean)² / Σ(n − 1)). Tired is told where the fall exceeds
    ``LIMIT_ERRORS``·s·√(1/n₁ + 1/n₂) (standard error of a difference of two means) and
    ``LEAST_FALL``. Without ``SPREAD_DF`` degrees of freedom nothing is told.

    Args:
        tried: the vaulter's trials.
        now: the time at the vaulter's place, with its zone.
    """
    marks = [t for t in in_order(tried) if t.mark is not None and t.made <= now]
    today = [t for t in marks if t.day == now.date()]
    alike = [t for t in marks if today and equal_terms(t, today[-1])]
    new = [t.mark for t in alike if t.day == now.date() and t.mark is not None]
    if len(new) < NEWEST + EARLIER:
        return Fatigue(False, math.nan, math.nan, say("Too few marks today to tell of tiredness."))
    fall = fmean(new[:-NEWEST]) - fmean(new[-NEWEST:])
    spread, df = _spread([t for t in alike if t.day != now.date()])
    if df < SPREAD_DF:
        return Fatigue(
            False, fall, math.nan, say("Your own spread is not known yet: no word on tiredness.")
        )
    error = spread * math.sqrt(1.0 / NEWEST + 1.0 / (len(new) - NEWEST))
    limit = max(LIMIT_ERRORS * error, LEAST_FALL)
    if fall <= limit:
        return Fatigue(False, fall, limit, say("The marks hold."))
    return Fatigue(
        True,
        fall,
        limit,
        say("Your last marks fell by {fall:.1f}, more than they scatter on other days.", fall=fall),
    )


def _spread(marks: Sequence[Tried]) -> tuple[float, int]:
    """The pooled standard deviation within a day, and its degrees of freedom."""
    days: dict[object, list[float]] = {}
    for t in marks:
        if t.mark is not None:
            days.setdefault(t.day, []).append(t.mark)
    df = sum(len(day) - 1 for day in days.values())
    if df == 0:
        return math.nan, 0
    squares = sum((m - fmean(day)) ** 2 for day in days.values() for m in day)
    return math.sqrt(squares / df), df


def time_to_stop(tried: Sequence[Tried], now: datetime) -> str:
    """Why today had better end here, in a sentence; empty where nothing speaks for it."""
    tired = fatigue(tried, now)
    if tired.tired:
        return say("{why} Tired? Stop for today.", why=tired.reason)
    done = dose(tried, now)
    if done.minutes_today >= SESSION_MINUTES[1]:
        return say("{minutes:.0f} minutes on the board are plenty. Stop for today.",
                   minutes=done.minutes_today)  # fmt: skip
    return ""


def dose_words(done: Dose, rest_s: float) -> str:
    """Dose and rest in one line.

    Args:
        done: what ``dose`` counted.
        rest_s: the rest that the level asks for.

    >>> dose_words(Dose(4, 1.5, 10, 4.2, 2, 12.0), 30.0)
    'Trials today 4 (1.5 min) · days this week 2 (4.2 min) · rested 12 of 30 s'
    >>> dose_words(Dose(0, 0.0, 0, 0.0, 0, float("nan")), 30.0)
    'Nothing yet this week'
    """
    if done.trials_week == 0:
        return say("Nothing yet this week")
    week = say("days this week {days} ({minutes:.1f} min)", days=done.days_week,
               minutes=done.minutes_week)  # fmt: skip
    if done.trials_today == 0:
        return say("Nothing yet today · {week}", week=week)
    today = say("Trials today {n} ({minutes:.1f} min)", n=done.trials_today,
                minutes=done.minutes_today)  # fmt: skip
    if done.rested_s < rest_s:
        return say("{today} · {week} · rested {s:.0f} of {of:.0f} s", today=today, week=week,
                   s=done.rested_s, of=rest_s)  # fmt: skip
    return say("{today} · {week} · rested", today=today, week=week)
