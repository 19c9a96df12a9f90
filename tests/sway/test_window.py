from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given

from swaytrainer.sway.path import path
from swaytrainer.sway.window import WindowSpeed
from tests.sway.made import Walk, walks


def test_steady_speed_and_its_change() -> None:
    speed = WindowSpeed(1.0)
    for i in range(200):
        speed.update(i / 100.0, 0.05 * i, 0.0)
    assert speed.get() == pytest.approx(5.0, rel=1e-12)
    assert speed.covered_s == pytest.approx(1.0, rel=1e-12)
    for i in range(200, 250):
        speed.update(i / 100.0, 0.05 * 199, 0.0)
    assert speed.get() == pytest.approx(2.5, rel=1e-9)  # half the window stood still


@given(walks())
def test_it_is_the_path_of_the_last_moment(walk: Walk) -> None:
    """Against the batch path of the samples whose intervals begin inside the window."""
    window_s = 0.2
    speed = WindowSpeed(window_s)
    for i, (time_s, x, y, broken) in enumerate(
        zip(*(column.tolist() for column in walk), strict=True)
    ):
        if broken:
            speed.gap()
        speed.update(time_s, x, y)
        first = int(np.searchsorted(walk.time_s, time_s - window_s - 1e-9))
        last = slice(first, i + 1)
        expected = path(walk.time_s[last], walk.x_mm[last], walk.y_mm[last], walk.breaks[last])
        assert speed.get() == pytest.approx(
            expected.mean_speed_mm_s, rel=1e-9, abs=1e-9, nan_ok=True
        )


def test_an_error_lives_for_one_window_at_most() -> None:
    """A leap of 10¹⁵ mm takes all digits from the sum while it is inside the window.

    A sum that only adds and subtracts keeps that error for ever (some tenths of a mm, or more);
    ours is whole again once the leap has left and the kept intervals have been summed afresh.
    """
    speed = WindowSpeed(1.0)
    for i in range(50):
        speed.update(i / 100.0, 0.01 * i, 0.0)
    for i in range(50, 350):
        speed.update(i / 100.0, 1e15 if i == 50 else 0.001 * i, 0.0)
    assert speed.get() == pytest.approx(0.1, rel=1e-9)


def test_hours_later_it_is_still_exact() -> None:
    """Errors live for one window, so a day is as good as the last two windows of this hour."""
    rng = np.random.default_rng(9)
    x = rng.normal(scale=3.0, size=288_000)  # an hour at 80 Hz
    time_s = np.arange(x.size) / 80.0
    speed = WindowSpeed(1.0)
    for t, value in zip(time_s.tolist(), x.tolist(), strict=True):
        speed.update(t, value, 0.0)
    exact = math.fsum(np.abs(np.diff(x[-81:]))) / float(time_s[-1] - time_s[-81])
    assert speed.get() == pytest.approx(exact, rel=1e-13)


def test_an_empty_board_lets_the_window_run_dry() -> None:
    speed = WindowSpeed(1.0)
    for i in range(101):
        speed.update(i / 100.0, float(i), 0.0)
    for i in range(101, 300):
        speed.update(i / 100.0, math.nan, math.nan)
    assert math.isnan(speed.get())
    assert speed.covered_s == 0.0
    speed.update(3.0, 500.0, 0.0)
    assert math.isnan(speed.get())  # nothing leads to the first sample after a gap
    speed.update(3.1, 501.0, 0.0)
    assert speed.get() == pytest.approx(10.0)
