"""Where a vaulter is heading: the slope over weeks, with its uncertainty.

A straight line through the *day means* by least squares, its interval from Student's t with
days − 2 degrees of freedom (any textbook of regression, for example Draper & Smith, Applied
Regression Analysis, from memory). Not through the trials: those of one day share the day, and taken
as independent they would make the interval far too narrow.

Least squares rather than Theil and Sen's median of slopes: means of trials have few outliers, and
with the five to fifteen days of a season the interval of a median of slopes is coarse. Each day
counts the same, since the days differ more than their means err.
"""

from __future__ import annotations

import math
from typing import Final, NamedTuple

from swaytrainer.errors import SwaytrainerError
from swaytrainer.progress.days import History
from swaytrainer.words import say

DAYS_A_WEEK: Final = 7.0
#: With three days there is one degree of freedom, and the interval is 12.7 standard errors wide.
LEAST_DAYS: Final = 4
LEAST_WEEKS: Final = 1.0


class Trend(NamedTuple):
    """A slope; NaN with a sentence in ``why`` where there is none.

    Attributes:
        per_week: change a week: in percent of the value if the history is on the log scale
            (compounding), in the measure's unit otherwise.
        low, high: its 95 % interval.
        in_percent: which of the two.
        days, weeks: how many days, over how many weeks.
        why: a sentence; empty if there is a slope.
    """

    per_week: float
    low: float
    high: float
    in_percent: bool
    days: int
    weeks: float
    why: str = ""

    @property
    def clear(self) -> bool:
        """Whether the interval leaves out "no change"; at a single look, not at one a week."""
        return self.low > 0.0 or self.high < 0.0


def trend(own: History, confidence: float = 0.95) -> Trend:
    """The slope over weeks.

    >>> from swaytrainer.progress.days import DatedValue, history
    >>> t = trend(history([DatedValue(7 * n, 20.0 - n + n % 2) for n in range(6)], log=False))
    >>> round(t.per_week, 3), round(t.low, 2), round(t.high, 2), t.clear
    (-0.914, -1.3, -0.53, True)
    """
    if not 0.0 < confidence < 1.0:
        raise SwaytrainerError(
            f"The confidence is {confidence:g}, but must lie between 0 and 1.", "Take 0.95."
        )
    days = own.days
    weeks = (days[-1].day - days[0].day) / DAYS_A_WEEK if days else 0.0
    nothing = Trend(math.nan, math.nan, math.nan, own.log, len(days), weeks)
    if len(days) < LEAST_DAYS or weeks < LEAST_WEEKS:
        return nothing._replace(
            why=say(
                "A trend takes {need} days over a week or more; there are {days} days over"
                " {weeks:.1f} weeks.",
                need=LEAST_DAYS,
                days=len(days),
                weeks=weeks,
            )
        )
    from scipy.special import stdtrit

    x = [day.day / DAYS_A_WEEK for day in days]
    y = [day.mean for day in days]
    x_mean, y_mean = math.fsum(x) / len(x), math.fsum(y) / len(y)
    sxx = math.fsum((a - x_mean) ** 2 for a in x)
    slope = math.fsum((a - x_mean) * (b - y_mean) for a, b in zip(x, y, strict=True)) / sxx
    rest = math.fsum((b - y_mean - slope * (a - x_mean)) ** 2 for a, b in zip(x, y, strict=True))
    df = len(days) - 2
    half = float(stdtrit(df, 0.5 * (1.0 + confidence))) * math.sqrt(rest / df / sxx)
    per_week, low, high = (
        100.0 * math.expm1(end) if own.log else end for end in (slope, slope - half, slope + half)
    )
    return Trend(per_week, low, high, own.log, len(days), weeks)
