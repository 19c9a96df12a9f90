"""The slope over weeks against SciPy's, and why days and not trials."""

import math

import numpy as np
import pytest
from scipy import stats

from swaytrainer.errors import SwaytrainerError
from swaytrainer.progress.days import DatedValue, history
from swaytrainer.progress.trend import trend
from tests.progress.verdicts import Design, trend_misses

DAYS = (0, 3, 7, 10, 17, 31)
VALUES = (12.0, 11.1, 11.6, 10.2, 9.9, 8.7)


def test_the_slope_is_scipys() -> None:
    found = trend(history(map(DatedValue, DAYS, VALUES), log=False))
    fit = stats.linregress(np.array(DAYS) / 7.0, VALUES)
    half = stats.t.ppf(0.975, 4) * fit.stderr
    assert found.per_week == pytest.approx(fit.slope, rel=1e-9)
    assert (found.low, found.high) == (
        pytest.approx(fit.slope - half, rel=1e-9),
        pytest.approx(fit.slope + half, rel=1e-9),
    )
    assert found.clear
    assert (found.days, found.weeks, found.in_percent) == (6, pytest.approx(31 / 7), False)


def test_on_the_log_scale_it_is_percent_a_week() -> None:
    steady = [DatedValue(7 * n, 20.0 * 0.9**n) for n in range(5)]
    found = trend(history(steady, log=True))
    assert found.in_percent
    assert (found.per_week, found.low, found.high) == pytest.approx((-10.0, -10.0, -10.0))


def test_a_days_trials_are_one_point_however_many() -> None:
    once = trend(history(map(DatedValue, DAYS, VALUES), log=False))
    many = trend(history([*map(DatedValue, DAYS, VALUES)] * 9, log=False))
    assert many == pytest.approx(once)


@pytest.mark.parametrize("days", [(), (0,), (0, 7, 14), (0, 1, 2, 3)])
def test_too_few_days_have_no_trend_and_say_so(days: tuple[int, ...]) -> None:
    found = trend(history([DatedValue(d, 5.0 + d % 2) for d in days], log=False))
    assert math.isnan(found.per_week)
    assert f"{len(days)} days" in found.why
    assert not found.clear


def test_bad_confidence_is_refused() -> None:
    with pytest.raises(SwaytrainerError, match="between 0 and 1"):
        trend(history([], log=False), 95.0)


def test_the_interval_holds_where_one_through_all_trials_does_not() -> None:
    """Ten trials a day, nothing changed. 200 vaulters: standard deviation of 5 % is 1.5 %."""
    ours, naive = trend_misses(Design(trials=10, differ_df=0), range(200))
    assert ours <= 0.05 + 3 * 0.0155
    assert naive > 0.15
