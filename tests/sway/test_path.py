from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given

from swaytrainer.sway.path import PathLength, path
from tests.sway.made import Walk, circle, walks


def test_circle() -> None:
    """N-1 chords of 2R·sin(πf/fs) each (plane geometry)."""
    walk = circle(radius_mm=10.0, turns_hz=0.5, rate_hz=100.0, seconds=60.0)
    expected = 2.0 * 10.0 * math.sin(math.pi * 0.5 / 100.0) * 5999
    values = path(walk.time_s, walk.x_mm, walk.y_mm)
    assert values.path_length_mm == pytest.approx(expected, rel=1e-12)
    assert values.mean_speed_mm_s == pytest.approx(expected / 59.99, rel=1e-12)


def test_line_has_all_its_speed_along_itself() -> None:
    time_s = np.arange(101) / 50.0
    values = path(time_s, np.zeros(101), np.linspace(-30.0, 30.0, 101))
    assert values == pytest.approx((60.0, 30.0, 0.0, 30.0), rel=1e-12)


def test_white_noise() -> None:
    """Path a second √π·σ·fs: the mean length of a step of two independent normal differences.

    A step has mean σ√π and variance σ²(4 - π); neighbouring steps share a sample, which makes
    the sum's variance at most three times that of independent steps: five such deviations.
    """
    sigma_mm, rate_hz, n = 0.3, 80.0, 100_000
    x, y = np.random.default_rng(7).normal(scale=sigma_mm, size=(2, n))
    speed = path(np.arange(n) / rate_hz, x, y).mean_speed_mm_s
    error = sigma_mm * math.sqrt((4.0 - math.pi) * 3.0 / n) * rate_hz
    assert speed == pytest.approx(math.sqrt(math.pi) * sigma_mm * rate_hz, abs=5.0 * error)


def test_a_gap_is_not_bridged() -> None:
    time_s = np.array([0.0, 0.1, 0.2, 5.0, 5.1, 5.2, 5.3])
    x = np.array([0.0, 1.0, 2.0, 100.0, 101.0, np.nan, 500.0])
    breaks = np.array([True, False, False, True, False, False, False])
    values = path(time_s, x, np.where(np.isnan(x), np.nan, 0.0), breaks)
    assert values.path_length_mm == pytest.approx(3.0)
    assert values.mean_speed_mm_s == pytest.approx(3.0 / 0.3)


@given(walks())
def test_streaming_is_batch(walk: Walk) -> None:
    live = PathLength()
    for time_s, x_mm, y_mm, broken in zip(*(column.tolist() for column in walk), strict=True):
        if broken:
            live.gap()
        live.update(time_s, x_mm, y_mm)
    assert live.get() == pytest.approx(path(*walk), rel=1e-9, abs=1e-12, nan_ok=True)


def test_streaming_loses_nothing_of_small_steps_after_a_huge_one() -> None:
    """Each step is below the last place of the sum: a plain sum would stand still."""
    live = PathLength()
    live.update(0.0, 0.0, 0.0)
    live.update(1.0, 1e17, 0.0)
    live.gap()
    for i in range(1001):
        live.update(2.0 + i, float(i), 0.0)
    assert live.get().path_length_mm == pytest.approx(1e17 + 1000.0, rel=1e-16)


def test_nothing_to_measure_is_nan() -> None:
    live = PathLength()
    live.update(0.0, 1.0, 1.0)
    assert all(math.isnan(value) for value in live.get())
    assert all(math.isnan(value) for value in path(*(np.array([1.0, 2.0]),) * 3, np.ones(2, bool)))
