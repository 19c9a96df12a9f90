"""What a vaulter has done so far, as ladder and dose need it: trials with their date and mark."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, fields
from datetime import date, datetime
from statistics import median

from swaytrainer.training.level import Level

#: What a level may change and still ask the very same of the vaulter.
_WORDS_ONLY = ("id", "title", "purpose", "trials", "rest_s", "pass_mark", "spotter", "cautions")
_TASK = tuple(f.name for f in fields(Level) if f.name not in _WORDS_ONLY)


@dataclass(frozen=True, slots=True)
class Tried:
    """One trial.

    Attributes:
        made: when its sitting began, with its time zone.
        level: as it was when the trial was made.
        mark: 0-10; None where the trial does not count.
        on_board_s: seconds of the trial spent on the board.
        feedback: "full", "bandwidth", "sound" or "none": what this very trial gave.
        rate_hz: the board's.
        filter: the live filter's name.
        body_n: the weight in the countdown; None where it was not kept.
    """

    made: datetime
    level: Level
    mark: float | None
    on_board_s: float
    feedback: str
    rate_hz: float
    filter: str
    body_n: float | None = None

    @property
    def day(self) -> date:
        """The day at the vaulter's place."""
        return self.made.date()


def same_task(one: Level, other: Level) -> bool:
    """Whether two levels ask and mark the very same, whatever their names and texts.

    Base, stance, eyes, time, band, feedback, the game's numbers and the marking must be equal.
    """
    return one is other or all(getattr(one, name) == getattr(other, name) for name in _TASK)


def equal_terms(one: Tried, other: Tried) -> bool:
    """Whether two marks may be compared: same task, feedback, rate and filter."""
    return (one.feedback, one.rate_hz, one.filter) == (
        other.feedback,
        other.rate_hz,
        other.filter,
    ) and same_task(one.level, other.level)


#: The weight of so many days is somebody's usual one.
_USUAL_DAYS = 5


def usual_weight_n(tried: Iterable[Tried]) -> float | None:
    """A vaulter's usual weight, N: the median of the last days' medians; None before the first.

    Of days, so that whoever carries something all evening does not make it usual.
    """
    days: dict[date, list[float]] = {}
    for t in in_order(tried):
        if t.body_n is not None:
            days.setdefault(t.day, []).append(t.body_n)
    last = [median(weights) for weights in days.values()][-_USUAL_DAYS:]
    return median(last) if last else None


def in_order(tried: Iterable[Tried]) -> list[Tried]:
    """Oldest first; trials of one sitting stay as they are."""
    return sorted(tried, key=lambda t: t.made)
