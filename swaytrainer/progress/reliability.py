"""How well a measure repeats: ICC, standard error of measurement, smallest change worth the name.

For n subjects with k trials each, one value a trial, balanced. The two-way mean squares and the
names of the coefficients follow McGraw & Wong, Psychological Methods 1996;1:30-46: C for
consistency (a shift common to all subjects from trial to trial does not count as error), A for
absolute agreement (it does); 1 for a single trial, k for the mean of all k.

An ICC depends on how different the subjects are. The standard error of measurement (SEM) and the
minimal detectable change (MDC95) do so much less, and carry over better to other squads.

What is here knows trials only. Between days there is more scatter than within one, so for a
vaulter's change over weeks see ``change``.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, NamedTuple

import numpy as np
import numpy.typing as npt

from swaytrainer.errors import SwaytrainerError

#: 97.5 % quantile of the normal distribution, as rounded in the usual formula of the MDC95.
Z_95: Final = 1.96
#: An error below this share of the values' size is rounding, not scatter.
_ROUNDING: Final = 1e-12


class MeanSquares(NamedTuple):
    """The two-way ANOVA without interaction, one value a cell, in the measure's unit squared."""

    subjects: float
    trials: float
    error: float


class Coefficient(NamedTuple):
    """An intraclass correlation and its confidence interval; it may fall below zero."""

    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Reliability:
    """How a measure repeats. SEM and MDC in the measure's unit.

    Attributes:
        subjects, trials: n and k.
        mean: of all values.
        squares: the mean squares all else is made of.
        icc_c_1, icc_c_k, icc_a_1, icc_a_k: the coefficients.
        sem: √MS_error, of a single trial, without the common shift from trial to trial.
        sem_agreement: the same with it: √(MS_error + max(0, (MS_trials − MS_error)/n)).
        mdc95: 1.96·√2·``sem``, for one trial against another one.
        mdc95_percent: the same in percent of the mean; NaN unless the mean is above zero.
    """

    subjects: int
    trials: int
    mean: float
    squares: MeanSquares
    icc_c_1: Coefficient
    icc_c_k: Coefficient
    icc_a_1: Coefficient
    icc_a_k: Coefficient
    sem: float
    sem_agreement: float
    mdc95: float
    mdc95_percent: float


def mean_squares(values: npt.ArrayLike) -> MeanSquares:
    """Mean squares between subjects (n-1 degrees of freedom), trials (k-1) and of the rest.

    Args:
        values: shape (n, k), a subject a row, a trial a column.

    Raises:
        SwaytrainerError: no full table of finite numbers, at least 2 by 2.

    >>> mean_squares([[1.0, 2.0], [3.0, 4.0], [5.0, 9.0]])
    MeanSquares(subjects=15.5, trials=6.0, error=1.5)
    """
    table = _table(values)
    n, k = table.shape
    by_subject, by_trial, grand = table.mean(axis=1), table.mean(axis=0), float(table.mean())
    rest = table - by_subject[:, None] - by_trial[None, :] + grand
    return MeanSquares(
        k * float(((by_subject - grand) ** 2).sum()) / (n - 1),
        n * float(((by_trial - grand) ** 2).sum()) / (k - 1),
        float((rest**2).sum()) / ((n - 1) * (k - 1)),
    )


def reliability(values: npt.ArrayLike, confidence: float = 0.95) -> Reliability:
    """All coefficients of one table of repeated trials.

    Intervals after McGraw & Wong 1996, table 7: of C from the F distribution, exact under
    normality; of A with Satterthwaite's degrees of freedom, approximate.

    Args:
        values: shape (n, k), a subject a row, a trial a column. A subject who lacks a trial has to
            be left out first: guessing the missing one would feign agreement.
        confidence: of the intervals.

    Raises:
        SwaytrainerError: no full table of finite numbers, at least 2 by 2; or the trials of no
            subject differ by more than the same shift for all, as copies do and measurements never.

    >>> r = reliability([[8.0, 8.4, 8.1], [11.9, 12.6, 12.0], [9.8, 9.6, 10.3], [15.0, 14.2, 14.9]])
    >>> round(r.icc_c_1.value, 3), round(r.sem, 3), round(r.mdc95_percent, 1)
    (0.98, 0.4, 9.9)
    """
    if not 0.0 < confidence < 1.0:
        raise SwaytrainerError(
            f"The confidence is {confidence:g}, but must lie between 0 and 1.", "Take 0.95."
        )
    table = _table(values)
    n, k = table.shape
    ms = mean_squares(table)
    if math.sqrt(ms.error) <= _ROUNDING * float(np.abs(table).max()):
        raise SwaytrainerError(
            "The repeated trials of every subject are alike to the last digit: they are copies.",
            "Give values that were measured one by one.",
        )
    mean, sem = float(table.mean()), math.sqrt(ms.error)
    mdc = mdc95(sem)
    return Reliability(
        subjects=n,
        trials=k,
        mean=mean,
        squares=ms,
        icc_c_1=_consistency(ms, n, k, confidence, single=True),
        icc_c_k=_consistency(ms, n, k, confidence, single=False),
        icc_a_1=_agreement(ms, n, k, confidence, single=True),
        icc_a_k=_agreement(ms, n, k, confidence, single=False),
        sem=sem,
        sem_agreement=math.sqrt(ms.error + max(0.0, (ms.trials - ms.error) / n)),
        mdc95=mdc,
        mdc95_percent=100.0 * mdc / mean if mean > 0.0 else math.nan,
    )


def sem_from_icc(sd: float, icc: float) -> float:
    """SD·√(1 − ICC): for figures from a publication that gives only these two.

    With SD² the total variance of a single trial and ICC(C,1) it is √MS_error exactly.

    Returns:
        NaN for an ICC that is no number or above one, or a negative SD.

    >>> round(sem_from_icc(2.0, 0.91), 3)
    0.6
    """
    if not (sd >= 0.0 and icc <= 1.0):
        return math.nan
    return sd * math.sqrt(1.0 - icc)


def mdc95(sem: float) -> float:
    """1.96·√2·SEM: two single trials of an unchanged person differ by more once in twenty times.

    >>> round(mdc95(1.0), 3)
    2.772
    """
    return Z_95 * math.sqrt(2.0) * sem


def _table(values: npt.ArrayLike) -> npt.NDArray[np.float64]:
    remedy = "Give a full table of numbers: at least 2 subjects as rows, 2 trials as columns."
    try:
        table = np.asarray(values, dtype=float)
    except (TypeError, ValueError):
        raise SwaytrainerError(
            "Not every subject has the same number of trials, or one is no number.", remedy
        ) from None
    if table.ndim != 2 or table.shape[0] < 2 or table.shape[1] < 2:
        shape = " by ".join(str(size) for size in table.shape) or "a single number"
        raise SwaytrainerError(f"The table of trials is {shape}.", remedy)
    bad = np.flatnonzero(~np.isfinite(table).all(axis=1))
    if bad.size:
        raise SwaytrainerError(
            f"Subject {bad[0] + 1} of {table.shape[0]} has a trial that is missing or no number.",
            "Leave out each subject whose trials are not complete, and say how many.",
        )
    return table


def _consistency(ms: MeanSquares, n: int, k: int, confidence: float, single: bool) -> Coefficient:
    tail = 0.5 * (1.0 + confidence)
    ratio = ms.subjects / ms.error
    df_rows, df_error = n - 1, (n - 1) * (k - 1)
    low = ratio / _f_quantile(df_rows, df_error, tail)
    high = ratio * _f_quantile(df_error, df_rows, tail)
    if single:
        return Coefficient(*((f - 1.0) / (f + k - 1.0) for f in (ratio, low, high)))
    if ratio == 0.0:  # every subject has the same mean: the quotient runs away
        return Coefficient(math.nan, math.nan, math.nan)
    return Coefficient(*(1.0 - 1.0 / f for f in (ratio, low, high)))


def _agreement(ms: MeanSquares, n: int, k: int, confidence: float, single: bool) -> Coefficient:
    rows, columns, error = ms
    one = _over(rows - error, rows + (k - 1) * error + k * (columns - error) / n)
    # Satterthwaite's degrees of freedom of a·columns + b·error. For the mean of k the formula has
    # c and d of ICC(A,k) in their place; put into Spearman & Brown's formula they are a and b.
    a = k * one / (n * (1.0 - one))
    b = 1.0 + k * one * (n - 1) / (n * (1.0 - one))
    bottom = (a * columns) ** 2 / (k - 1) + (b * error) ** 2 / ((n - 1) * (k - 1))
    v = _over((a * columns + b * error) ** 2, bottom)
    tail = 0.5 * (1.0 + confidence)
    f_low = _f_quantile(n - 1, v, tail)
    f_high = _f_quantile(v, n - 1, tail)
    if single:
        rest = k * columns + (k * n - k - n) * error
        low = _over(n * (rows - f_low * error), f_low * rest + n * rows)
        high = _over(n * (f_high * rows - error), rest + n * f_high * rows)
        return _told(one, low, high)
    many = _over(rows - error, rows + (columns - error) / n)
    low = _over(n * (rows - f_low * error), f_low * (columns - error) + n * rows)
    high = _over(n * (f_high * rows - error), columns - error + n * f_high * rows)
    return _told(many, low, high)


def _over(top: float, bottom: float) -> float:
    """A quotient of variances; NaN where subjects differ so little that the lower one is gone."""
    return top / bottom if bottom > 0.0 else math.nan


def _f_quantile(df_top: float, df_bottom: float, probability: float) -> float:
    from scipy.special import fdtri  # scipy.stats would take a second more to load

    return float(fdtri(df_top, df_bottom, probability))


def complete(trials: Sequence[Sequence[float]], count: int) -> list[list[float]]:
    """The first ``count`` trials of each subject that has as many finite ones, in order.

    The rule for uneven data: whole subjects are left out, no value is made up.

    >>> complete([[1.0, 2.0, 3.0], [4.0], [5.0, float("nan"), 6.0]], 2)
    [[1.0, 2.0], [5.0, 6.0]]
    """
    kept = [[v for v in values if math.isfinite(v)][:count] for values in trials]
    return [values for values in kept if len(values) == count]


def _told(value: float, low: float, high: float) -> Coefficient:
    """The approximate interval of A; a negative coefficient it can miss, and then tells nothing."""
    if low <= value <= high:
        return Coefficient(value, low, high)
    return Coefficient(value, math.nan, math.nan)
