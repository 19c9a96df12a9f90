"""Trials gathered to days, and how the days scatter."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from swaytrainer.progress.days import (
    NO_SCATTER,
    DatedValue,
    history,
    scatter_about_line,
    scatter_about_mean,
)

values = st.lists(
    st.builds(DatedValue, st.integers(0, 9), st.floats(0.01, 1e4)), min_size=1, max_size=40
)


@given(values, st.booleans(), st.randoms())
def test_the_order_of_trials_does_not_matter_and_none_is_lost(
    trials: list[DatedValue], log: bool, random: object
) -> None:
    found = history(trials, log)
    shuffled = list(trials)
    random.shuffle(shuffled)  # type: ignore[attr-defined]
    again = history(shuffled, log)
    assert found.trials == len(trials)
    assert [d[:2] for d in found.days] == [d[:2] for d in again.days]
    assert [d.mean for d in found.days] == pytest.approx([d.mean for d in again.days], rel=1e-12)
    everything = [math.log(v.value) if log else v.value for v in trials]
    total = sum(d.mean * d.trials for d in found.days)
    assert total == pytest.approx(sum(everything), rel=1e-9, abs=1e-9)


@given(values)
def test_squares_are_those_of_numpy(trials: list[DatedValue]) -> None:
    for day in history(trials, log=False).days:
        own = np.array([v.value for v in trials if v.day == day.day])
        assert day.squares == pytest.approx(own.var() * own.size, rel=1e-6, abs=1e-6)


def test_what_is_no_value_is_left_out_and_counted() -> None:
    trials = [DatedValue(1, v) for v in (math.nan, math.inf, 0.0, -2.0, 3.0)]
    assert history(trials, log=True).left_out == 4
    assert history(trials, log=False).left_out == 2
    assert history([DatedValue(1, math.nan)], log=True).days == ()


def test_about_a_line_a_steady_trend_is_no_scatter() -> None:
    steady = history([DatedValue(d, 5.0 + 2.0 * d) for d in (0, 1, 4, 9)], log=False).days
    assert scatter_about_line(steady).day_squares == pytest.approx(0.0, abs=1e-20)
    assert scatter_about_line(steady).day_df == 2
    assert scatter_about_mean(steady).day_df == 3
    # 5, 7, 13, 23 about 12.
    assert scatter_about_mean(steady).day_squares == pytest.approx(49 + 25 + 1 + 121)
    assert scatter_about_line(steady[:2]) == scatter_about_mean(steady[:2])
    assert scatter_about_mean(steady[:1])[:3] == (0.0, 0, 0.0)
    assert scatter_about_mean(()) == NO_SCATTER


def test_the_line_is_least_squares() -> None:
    rng = np.random.default_rng(2)
    x = np.array([0, 2, 3, 7, 8, 15])
    y = rng.normal(size=6)
    days = history([DatedValue(int(a), float(b)) for a, b in zip(x, y, strict=True)], False).days
    rest = np.polyfit(x, y, 1, full=True)[1][0]
    assert scatter_about_line(days).day_squares == pytest.approx(float(rest), rel=1e-10)
