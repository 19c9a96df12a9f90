"""Two ways of the same: eyes open and closed, with feedback and without, left leg and right.

Only days with both count: what a day brings, it brings to both. Of each such day the difference of
the two means is taken; over the days it has a mean and, from Student's t, a 95 % interval (a paired
comparison, any textbook). All else must be equal. The first days of both are in it, too: what was
learned in between blurs the difference, but does not lean it to one side where both were done on
the same days.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import fields
from typing import Final, NamedTuple

from swaytrainer.errors import SwaytrainerError
from swaytrainer.progress.assess import Row
from swaytrainer.progress.days import History
from swaytrainer.progress.senses import sense_of
from swaytrainer.progress.terms import Task, differences
from swaytrainer.training.outcome import Terms
from swaytrainer.words import say

EYES: Final = "eyes"
FEEDBACK: Final = "feedback"
STANCE: Final = "stance"
#: What is held against what: the term, the side that is told of, the side that it is held against.
PAIRS: Final = (
    (EYES, "closed", "open"),
    (FEEDBACK, "none", "full"),
    (FEEDBACK, "none", "sound"),
    (STANCE, "left leg", "right leg"),
)
#: With two days the interval is 12.7 standard errors wide.
LEAST_DAYS: Final = 3


class Contrast(NamedTuple):
    """The one held against the other; NaN with a sentence in ``why`` where nothing is known.

    Attributes:
        term, one, other: which term differs, and its two values.
        measure, task: of what; the task is that of ``one``.
        days: on how many days there were both.
        one_mean, other_mean: over these days, in the measure's unit.
        difference: one less other: in percent of the other if ``in_percent``, in the unit
            otherwise.
        low, high: its 95 % interval.
        in_percent: which of the two.
        why: a sentence; empty if there is a difference with its interval.
    """

    term: str
    one: str
    other: str
    measure: str
    task: Task
    days: int
    one_mean: float = math.nan
    other_mean: float = math.nan
    difference: float = math.nan
    low: float = math.nan
    high: float = math.nan
    in_percent: bool = False
    why: str = ""

    @property
    def clear(self) -> bool:
        """Whether the interval leaves out "no difference"; at this one look."""
        return self.low > 0.0 or self.high < 0.0


def require_equal_but(one: Task, other: Task, term: str) -> None:
    """Refuse a contrast in which more than this term differs.

    Raises:
        SwaytrainerError: naming what else differs, or that the term itself does not.
    """
    if getattr(one.terms, term) == getattr(other.terms, term):
        raise SwaytrainerError(
            f"Both were done with the same {term}.", "Take one of each kind to compare."
        )
    alike = Task(_with(other.terms, term, getattr(one.terms, term)), other.task)
    rest = differences(one, alike)
    if rest:
        raise SwaytrainerError(
            f"These can't be held against each other: beside {term} they differ in"
            f" {', '.join(rest)}.",
            "Compare trials that differ in one thing alone.",
        )


def contrast(
    term: str, measure: str, one: tuple[Task, History], other: tuple[Task, History]
) -> Contrast:
    """One vaulter's difference, day by day.

    Args:
        term: "eyes", "feedback" or "stance".
        measure: of both.
        one, other: terms and days of each.

    Raises:
        SwaytrainerError: something else differs too, or the histories are on different scales.
    """
    require_equal_but(one[0], other[0], term)
    if one[1].log != other[1].log:
        raise SwaytrainerError(
            "The histories are not on the same scale.", "Gather both with the measure's sense."
        )
    log = one[1].log
    here = {day.day: day.mean for day in one[1].days}
    pairs = [(here[day.day], day.mean) for day in other[1].days if day.day in here]
    names = [str(getattr(task.terms, term)) for task, _ in (one, other)]
    found = Contrast(term, names[0], names[1], measure, one[0], len(pairs), in_percent=log)
    if len(pairs) < LEAST_DAYS:
        return found._replace(
            why=say(
                "It takes {need} days on which both were done; there are {days}.",
                need=LEAST_DAYS,
                days=len(pairs),
            )
        )
    from scipy.special import stdtrit  # scipy.stats would take a second more to load

    n = len(pairs)
    steps = [a - b for a, b in pairs]
    mean = math.fsum(steps) / n
    error = math.sqrt(math.fsum((s - mean) ** 2 for s in steps) / (n - 1) / n)
    half = float(stdtrit(n - 1, 0.975)) * error
    difference, low, high = (
        100.0 * math.expm1(s) if log else s for s in (mean, mean - half, mean + half)
    )
    return found._replace(
        one_mean=one[1].unit(math.fsum(a for a, _ in pairs) / n),
        other_mean=one[1].unit(math.fsum(b for _, b in pairs) / n),
        difference=difference,
        low=low,
        high=high,
    )


def contrasts_of(rows: Sequence[Row]) -> list[Contrast]:
    """All contrasts that one vaulter's rows allow, in the order of ``PAIRS``."""
    found = []
    for term, first, second in PAIRS:
        ones = [row for row in rows if getattr(row.task.terms, term) == first]
        for one in ones:
            wanted = Task(_with(one.task.terms, term, second), one.task.task)
            for other in rows:
                if other.measure == one.measure and other.task == wanted:
                    pair = ((one.task, one.days), (other.task, other.days))
                    found.append(contrast(term, one.measure, *pair))
    return found


def worse(contrast_: Contrast) -> bool | None:
    """Whether the first side is the worse one; None where neither way is better, or none shown."""
    better = sense_of(contrast_.measure).better
    if better == "neither" or not contrast_.clear:
        return None
    return (contrast_.difference > 0.0) == (better == "less")


def _with(terms: Terms, term: str, value: str) -> Terms:
    held = {f.name: getattr(terms, f.name) for f in fields(Terms)}
    return Terms(**{**held, term: value})
