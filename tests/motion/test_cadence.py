from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from swaytrainer.motion.cadence import (
    Signal,
    analytic,
    band,
    best_period,
    find_cadence,
    on_grid,
    stride_signal,
)
from swaytrainer.simulate.athlete import JUNIOR
from swaytrainer.simulate.body import Eyes, Ground, StandingBody
from swaytrainer.sway.prepare import trace_from_cop
from tests.motion.cadences import SOURCES, count


def acceleration(values: np.ndarray, rate_hz: float = 80.0) -> Signal:
    return Signal(
        "acceleration", "m/s²", np.arange(values.size) / rate_hz, values, rate_hz, 2, 0.15
    )


@pytest.mark.parametrize("source", SOURCES)
@pytest.mark.parametrize("cadence_hz", [0.8, 2.0, 3.0])
def test_uneven_strides_with_beats_noise_and_drift(source: str, cadence_hz: float) -> None:
    """A small part of what ``python -m tests.motion.cadences`` counts; there all are found."""
    found = count(source, cadence_hz, [90 + round(cadence_hz)])
    assert found.right == found.rides == 3


@settings(max_examples=60, deadline=None)
@given(
    cadence_hz=st.floats(0.8, 3.0),
    second=st.floats(0.0, 3.0),
    third=st.floats(0.0, 5.0),
    turns=st.tuples(st.floats(0.0, 6.28), st.floats(0.0, 6.28), st.floats(0.0, 6.28)),
)
def test_the_fundamental_and_not_a_beat_is_found(
    cadence_hz: float, second: float, third: float, turns: tuple[float, float, float]
) -> None:
    """Harmonics of the acceleration up to three and five times the fundamental."""
    t = np.arange(1600) / 80.0
    sizes = (1.0, second, third)
    values = sum(
        size * np.sin(2.0 * np.pi * k * cadence_hz * t + turn)
        for k, (size, turn) in enumerate(zip(sizes, turns, strict=True), start=1)
    )
    found = find_cadence(acceleration(np.asarray(values)))
    assert found.cadence_hz == pytest.approx(cadence_hz, rel=0.01)
    assert found.reason == ""


def test_every_second_stride_longer_is_still_strides() -> None:
    phase = np.cumsum(np.where((np.arange(1600) // 40) % 2 == 0, 1.0 / 43.0, 1.0 / 37.0))
    found = find_cadence(acceleration(np.cos(2.0 * np.pi * phase)))
    assert found.cadence_hz == pytest.approx(2.0, rel=0.06)  # and not 1.0


def test_the_normalised_difference_is_that_of_its_definition() -> None:
    x = np.sin(np.arange(400) / 9.0) + 0.5 * np.random.default_rng(4).standard_normal(400)
    rate_hz, n = 100.0, x.size
    period_s, clarity = best_period(x, rate_hz)
    lag = round(period_s * rate_hz)
    a, b = x[: n - lag], x[lag:]
    assert clarity == pytest.approx(2.0 * (a @ b) / (a @ a + b @ b), rel=1e-9)


@pytest.mark.parametrize("ground", list(Ground))
@pytest.mark.parametrize("eyes", list(Eyes))
def test_standing_still_has_no_cadence(ground: Ground, eyes: Eyes) -> None:
    for seed in range(3):
        body = StandingBody(JUNIOR, ground, eyes, seed=seed)
        states = np.array([body.step(1.0 / 80.0) for _ in range(1600)])
        trace = trace_from_cop(np.arange(1, 1601) / 80.0, *states.T)
        found = find_cadence(stride_signal(trace))
        assert math.isnan(found.cadence_hz)
        assert found.reason.startswith("No cadence")


def test_noise_has_no_cadence() -> None:
    for seed in range(20):
        values = np.random.default_rng(seed).standard_normal(1600)
        assert math.isnan(find_cadence(acceleration(values)).cadence_hz)


@pytest.mark.parametrize(
    ("values", "why"),
    [
        (np.zeros(1600), "stands still"),
        (np.full(1600, 3.0), "stands still"),
        (np.full(1600, np.nan), "too few"),
        (np.ones(1), "too few"),
        (np.sin(np.arange(1600) / 1000.0), "stands still"),
        (np.sin(2.0 * np.pi * 0.9 * np.arange(250) / 80.0), "fewer than four"),
    ],
)
def test_where_there_is_nothing_the_reason_is_said(values: np.ndarray, why: str) -> None:
    found = find_cadence(acceleration(values))
    assert math.isnan(found.cadence_hz)
    assert why in found.reason


def test_integrating_gives_the_height() -> None:
    t = np.arange(2000) / 100.0 - 10.0
    height = np.cos(2.0 * np.pi * 2.0 * t) * np.exp(-((t / 2.0) ** 2))
    up = np.gradient(np.gradient(height, 0.01), 0.01)
    assert band(up, 100.0, 0.65, 10.0, 2) == pytest.approx(height, abs=0.01)


def test_the_analytic_signal_turns_once_a_stride() -> None:
    t = np.arange(1000) / 100.0
    turning = analytic(3.0 * np.cos(2.0 * np.pi * 2.0 * t - 0.4), 100.0, 1.3, 2.9, 0)
    middle = slice(200, -200)
    assert np.abs(turning[middle]) == pytest.approx(np.full(600, 3.0), rel=0.01)
    phase = np.unwrap(np.angle(turning))[middle]
    assert phase - phase[0] == pytest.approx(4.0 * np.pi * (t[middle] - t[200]), abs=0.03)


def test_gaps_stay_gaps_on_the_grid() -> None:
    t = np.arange(400) / 100.0
    keep = (t < 1.0) | (t >= 1.5)
    trace = trace_from_cop(t[keep], np.full(keep.sum(), 500.0), t[keep], t[keep])
    grid_s, values = on_grid(trace, t[keep], trace.breaks)
    inside = (grid_s > 1.0) & (grid_s < 1.495)
    assert np.isnan(values[inside]).all()
    there = np.isfinite(values)
    assert values[there] == pytest.approx(grid_s[there], abs=1e-9)
    assert there.sum() >= 345
