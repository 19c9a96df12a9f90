from __future__ import annotations

import math

import numpy as np
import pytest

from swaytrainer.sway.about_mean import (
    distances_mm,
    mean_distance_mm,
    mean_frequency_hz,
    sway_area_rate_mm2_s,
)
from swaytrainer.sway.path import path
from tests.sway.made import circle


def test_circle_away_from_the_origin() -> None:
    """d = R; area rate ½·fs·R²·sin(2πf/fs); mean frequency = mean speed / (2πR)."""
    walk = circle(radius_mm=10.0, turns_hz=0.5, rate_hz=100.0)
    x, y = walk.x_mm + 70.0, walk.y_mm - 30.0
    assert mean_distance_mm(x, y) == pytest.approx(10.0, rel=1e-12)
    rate = sway_area_rate_mm2_s(walk.time_s, x, y)
    expected = 0.5 * 100.0 * 100.0 * math.sin(2.0 * math.pi * 0.5 / 100.0)
    assert rate == pytest.approx(expected, rel=1e-9)
    speed = path(walk.time_s, x, y).mean_speed_mm_s
    frequency = mean_frequency_hz(speed, mean_distance_mm(x, y))
    assert frequency == pytest.approx(speed / (2.0 * math.pi * 10.0), rel=1e-12)
    assert frequency == pytest.approx(0.5, rel=1e-4)


def test_white_noise_distance_is_rayleighs() -> None:
    """d of two independent normals has mean σ√(π/2), variance σ²(4 - π)/2: five deviations."""
    x, y = np.random.default_rng(5).normal(scale=2.0, size=(2, 40_000))
    room = 5.0 * 2.0 * math.sqrt((4.0 - math.pi) / 2.0 / 40_000)
    assert mean_distance_mm(x, y) == pytest.approx(2.0 * math.sqrt(math.pi / 2.0), abs=room)


def test_a_line_sweeps_no_area() -> None:
    along = np.sin(np.arange(1000) / 50.0)
    rate = sway_area_rate_mm2_s(np.arange(1000) / 100.0, 3.0 * along + 1.0, 4.0 * along)
    assert rate == pytest.approx(0.0, abs=1e-10)


def test_gaps_are_not_swept() -> None:
    """Triangle by triangle, on a walk with a forbidden leap and a sample without a COP."""
    x, y = np.random.default_rng(10).normal(size=(2, 60)).cumsum(axis=1)
    x[30:] += 200.0
    x[45] = y[45] = math.nan
    time_s = np.cumsum(np.random.default_rng(11).uniform(0.01, 0.02, size=60))
    breaks = np.zeros(60, dtype=np.bool_)
    breaks[30] = True
    cx, cy = np.nanmean(x), np.nanmean(y)
    area = seconds = 0.0
    for i in range(59):
        if i + 1 == 30 or 45 in (i, i + 1):
            continue
        area += 0.5 * abs((x[i] - cx) * (y[i + 1] - cy) - (y[i] - cy) * (x[i + 1] - cx))
        seconds += time_s[i + 1] - time_s[i]
    rate = sway_area_rate_mm2_s(time_s, x, y, breaks)
    assert rate == pytest.approx(area / seconds, rel=1e-12)


def test_nothing_to_measure_is_nan() -> None:
    nothing = np.array([np.nan, np.nan])
    assert math.isnan(mean_distance_mm(nothing, nothing))
    assert np.isnan(distances_mm(nothing, nothing)).all()
    assert math.isnan(sway_area_rate_mm2_s(np.array([0.0, 1.0]), nothing, nothing))
    assert math.isnan(mean_frequency_hz(1.0, 0.0))
