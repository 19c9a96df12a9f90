"""Who is due: for a next session, because the last one is long ago, and for a step on a ladder."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final

from swaytrainer.training.history import Tried, in_order
from swaytrainer.training.ladder import CoachWord, Step, Suggestion, each_ladder
from swaytrainer.training.level import Level

#: Two sessions a week are what helped young people: who has paused longer is due (Gebel, Lesinski,
#: Behm, Granacher, Sports Medicine 2018;48:2067-2089; the number of days is ours).
AFTER_DAYS: Final = 4


@dataclass(frozen=True, slots=True)
class Due:
    """What a vaulter is due for.

    Attributes:
        days: since the last trial; None before the first.
        paused: it is longer ago than ``AFTER_DAYS``.
        steps: up or down, one for each ladder where it is time for one.
    """

    days: int | None
    paused: bool
    steps: tuple[Suggestion, ...]


def due(
    levels: Sequence[Level], tried: Sequence[Tried], words: Sequence[CoachWord], today: date
) -> Due:
    """What a vaulter is due for today.

    Args:
        levels: all, in the order they are listed.
        tried: the vaulter's trials, in any order.
        words: the vaulter's coach's words.
        today: the day at the club's place.
    """
    days = (today - in_order(tried)[-1].day).days if tried else None
    steps = tuple(s for s in each_ladder(levels, tried, words) if s.step in (Step.UP, Step.DOWN))
    return Due(days, days is not None and days > AFTER_DAYS, steps)
