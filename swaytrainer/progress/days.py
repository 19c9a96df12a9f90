"""A vaulter's repeated trials, gathered to days.

The day is the unit of comparison: trials of one day share how the vaulter slept, warmed up and
stood on the board, so ten trials of one day are not ten independent looks. (In Santos et al., Gait
& Posture 2008;27:408-418, the subject-by-day component is up to 24 % of the variance of 36 COP
measures.) Each day counts once, by the mean of its trials.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import NamedTuple


class DatedValue(NamedTuple):
    """One trial's value of one measure, and the number of its day (any origin, whole days)."""

    day: int
    value: float


class Day(NamedTuple):
    """One day's trials.

    Attributes:
        day: the day's number.
        trials: how many.
        mean: of their values, or of their natural logarithms if ``History.log``.
        squares: sum of squares of the same about that mean.
    """

    day: int
    trials: int
    mean: float
    squares: float


class History(NamedTuple):
    """Days in order, on the scale on which they are compared.

    Attributes:
        days: each with at least one trial.
        log: whether means and squares are those of logarithms.
        left_out: trials without a usable value (no number, or not above zero if ``log``).
    """

    days: tuple[Day, ...]
    log: bool
    left_out: int

    @property
    def trials(self) -> int:
        """All trials that count."""
        return sum(day.trials for day in self.days)

    def unit(self, on_scale: float) -> float:
        """A value on the scale, back in the measure's unit."""
        return math.exp(on_scale) if self.log else on_scale


def history(values: Iterable[DatedValue], log: bool) -> History:
    """Gather trials to days. The order of the trials does not matter.

    Args:
        values: of one vaulter and one measure, all on equal terms.
        log: compare logarithms, see ``senses.Sense``.

    >>> h = history([DatedValue(3, 12.0), DatedValue(1, 10.0), DatedValue(3, 14.0)], log=False)
    >>> h.days
    (Day(day=1, trials=1, mean=10.0, squares=0.0), Day(day=3, trials=2, mean=13.0, squares=2.0))
    """
    by_day: dict[int, list[float]] = {}
    left_out = 0
    for day, value in values:
        if not math.isfinite(value) or (log and value <= 0.0):
            left_out += 1
        else:
            by_day.setdefault(day, []).append(math.log(value) if log else value)
    days = []
    for day, found in sorted(by_day.items()):
        mean = math.fsum(found) / len(found)
        days.append(Day(day, len(found), mean, math.fsum((v - mean) ** 2 for v in found)))
    return History(tuple(days), log, left_out)


class Scatter(NamedTuple):
    """How a vaulter's days and trials scatter; sums over vaulters by adding.

    Attributes:
        day_squares, day_df: sum of squares of the day means and its degrees of freedom.
        per_trial: what a single trial's variance adds to ``day_squares``: the sum of
            (degrees of freedom) · (mean of 1/trials a day).
        trial_squares, trial_df: the same of the trials about their day's mean.
    """

    day_squares: float
    day_df: int
    per_trial: float
    trial_squares: float
    trial_df: int

    def plus(self, other: Scatter) -> Scatter:
        """Both together."""
        return Scatter(
            self.day_squares + other.day_squares,
            self.day_df + other.day_df,
            self.per_trial + other.per_trial,
            self.trial_squares + other.trial_squares,
            self.trial_df + other.trial_df,
        )


NO_SCATTER = Scatter(0.0, 0, 0.0, 0.0, 0)


def scatter_about_mean(days: Sequence[Day]) -> Scatter:
    """Of days at which the vaulter is taken to be the same: n - 1 degrees of freedom."""
    if not days:
        return _scatter(days, 0.0, 1)
    # Plain numbers: a handful of days is sooner summed than made an array.
    middle = math.fsum(day.mean for day in days) / len(days)
    return _scatter(days, math.fsum((day.mean - middle) ** 2 for day in days), 1)


def scatter_about_line(days: Sequence[Day]) -> Scatter:
    """Of days over which the vaulter may get better or worse steadily: n - 2.

    Two days define a line and leave nothing; they are taken about their mean, which can only
    make the scatter look larger.
    """
    if len(days) < 3:
        return scatter_about_mean(days)
    middle_x = sum(day.day for day in days) / len(days)
    middle_y = math.fsum(day.mean for day in days) / len(days)
    pairs = [(day.day - middle_x, day.mean - middle_y) for day in days]
    slope = math.fsum(x * y for x, y in pairs) / math.fsum(x * x for x, _ in pairs)
    return _scatter(days, math.fsum((y - slope * x) ** 2 for x, y in pairs), 2)


def _scatter(days: Sequence[Day], squares: float, fitted: int) -> Scatter:
    df = max(len(days) - fitted, 0)
    share = sum(1.0 / day.trials for day in days) / len(days) if days else 0.0
    return Scatter(
        squares if df else 0.0,
        df,
        df * share,
        math.fsum(day.squares for day in days),
        sum(day.trials - 1 for day in days),
    )
