from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import signal

from swaytrainer.errors import SwaytrainerError
from swaytrainer.sway.prepare import Trace, prepare, trace_from_cop, trial_too_broken
from tests.sway.made import PLACES, loads

N = 3000
TIME_S = np.arange(1, N + 1) / 100.0


def sway(seed: int = 1) -> np.ndarray:
    return np.random.default_rng(seed).normal(scale=0.3, size=(N, 2)).cumsum(axis=0)


def standing(force_n: float | np.ndarray = 600.0) -> np.ndarray:
    x, y = sway().T
    return loads(x, y, force_n)


def without(*rows: int | slice) -> Trace:
    keep = np.ones(N, dtype=np.bool_)
    for row in rows:
        keep[row] = False
    return prepare(TIME_S[keep], standing()[keep], PLACES)


def test_the_rate_is_the_stamps_own() -> None:
    assert prepare(TIME_S, standing(), PLACES).rate_hz == pytest.approx(100.0, rel=1e-11)
    slow = prepare(TIME_S * 1.00213, standing(), PLACES)
    assert slow.rate_hz == pytest.approx(100.0 / 1.00213, rel=1e-11)
    assert without(500, slice(1000, 1100)).rate_hz == pytest.approx(100.0, rel=1e-11)


def test_unfiltered_cop_is_exact() -> None:
    trace = prepare(TIME_S, standing(), PLACES, cutoff_hz=None)
    np.testing.assert_allclose(np.stack([trace.x_mm, trace.y_mm], axis=1), sway(), atol=1e-9)
    assert trace.force_n == pytest.approx(np.full(N, 600.0))
    assert np.abs(trace.twist_n).max() < 1e-9
    assert trace.filter == "none"
    assert trace.breaks.tolist() == [True] + [False] * (N - 1)
    assert (trace.lost_percent, trace.longest_gap_s) == (0.0, 0.0)
    assert trial_too_broken(trace) is None


def test_force_and_moments_are_filtered_then_divided() -> None:
    """While the force changes, filtering the ratio would be wrong; SciPy's filtfilt is asked."""
    force_n = 600.0 + 250.0 * np.sin(2.0 * np.pi * 3.0 * TIME_S)
    x, y = sway().T
    trace = prepare(TIME_S, loads(x, y, force_n), PLACES)
    b, a = signal.butter(2, 10.0, fs=100.0)
    smooth = [signal.filtfilt(b, a, series) for series in (force_n, force_n * x, force_n * y)]
    np.testing.assert_allclose(trace.force_n, smooth[0], rtol=1e-9)
    np.testing.assert_allclose(trace.x_mm, smooth[1] / smooth[0], rtol=1e-9, atol=1e-9)
    np.testing.assert_allclose(trace.y_mm, smooth[2] / smooth[0], rtol=1e-9, atol=1e-9)
    assert np.abs(trace.x_mm - signal.filtfilt(b, a, x)).max() > 1e-3
    assert trace.filter == "zero-phase Butterworth, order 4, -6 dB at 10 Hz"


def test_each_piece_is_filtered_by_itself() -> None:
    trace = without(slice(1000, 1100))
    b, a = signal.butter(2, 10.0, fs=100.0)
    x = sway()[:, 0]
    np.testing.assert_allclose(trace.x_mm[:1000], signal.filtfilt(b, a, x[:1000]), atol=1e-9)
    np.testing.assert_allclose(trace.x_mm[1000:], signal.filtfilt(b, a, x[1100:]), atol=1e-9)


def test_missing_samples_are_gaps_and_counted() -> None:
    trace = without(500, slice(1000, 1004))
    assert np.flatnonzero(trace.breaks).tolist() == [0, 500, 999]
    assert trace.lost_percent == pytest.approx(100.0 * 5 / N)
    assert trace.longest_gap_s == pytest.approx(0.05)
    assert trial_too_broken(trace) is None


def test_a_long_gap_does_not_count() -> None:
    just = without(slice(1000, 1009))
    assert just.longest_gap_s == pytest.approx(0.1)
    over = without(slice(1000, 1010))
    assert over.longest_gap_s == pytest.approx(0.11)
    assert "110 ms at a stretch" in str(trial_too_broken(over))


def test_many_short_gaps_do_not_count() -> None:
    trace = without(*range(100, 2900, 40))
    assert trace.lost_percent == pytest.approx(100.0 * 70 / N)
    assert "2.3 % of the samples are lost" in str(trial_too_broken(trace))


def test_stepping_off_is_a_gap() -> None:
    force_n = np.full(N, 600.0)
    force_n[1000:1200] = 3.0
    x_mm, y_mm = sway().T
    trace = prepare(TIME_S, loads(x_mm, y_mm, force_n), PLACES)
    assert np.isnan(trace.x_mm[1000:1200]).all()
    assert np.isnan(trace.y_mm[1000:1200]).all()
    assert trace.breaks[1000:1201].all()
    assert trace.lost_percent == pytest.approx(100.0 * np.isnan(trace.x_mm).sum() / N)
    assert trace.longest_gap_s >= 2.0
    assert trial_too_broken(trace) is not None


def test_an_empty_start_and_end_are_gaps_too() -> None:
    force_n = np.full(N, 600.0)
    force_n[:300] = force_n[-100:] = 0.0
    x_mm, y_mm = sway().T
    trace = prepare(TIME_S, loads(x_mm, y_mm, force_n), PLACES, cutoff_hz=None)
    assert trace.longest_gap_s == pytest.approx(3.0)


def test_a_scrap_too_short_to_filter_is_lost() -> None:
    trace = without(500, 505)
    assert np.isnan(trace.x_mm[500:504]).all()
    assert trace.lost_percent == pytest.approx(100.0 * 6 / N)
    assert trace.longest_gap_s == pytest.approx(0.07)


def bad_loads(row: int, column: int, value: float) -> np.ndarray:
    four = standing()
    four[row, column] = value
    return four


def bad_time(row: int, value: float) -> np.ndarray:
    time_s = TIME_S.copy()
    time_s[row] = value
    return time_s


@pytest.mark.parametrize(
    ("time_s", "loads_n", "what"),
    [
        (TIME_S, bad_loads(41, 1, math.nan), "front_right_n is not a number in row 42"),
        (TIME_S, bad_loads(0, 2, math.inf), "rear_left_n is not a number in row 1"),
        (bad_time(7, math.nan), standing(), "time_s is not a number in row 8"),
        (bad_time(7, TIME_S[6]), standing(), "time_s does not increase in row 8"),
        (bad_time(7, TIME_S[5] - 0.001), standing(), "time_s does not increase in row 8"),
        (np.full(N, 3.0), standing(), "All samples have the same time"),
        (TIME_S * 1000.0, standing(), "milliseconds"),
        (TIME_S[:1], standing()[:1], "There are 1 samples"),
        (TIME_S[:0], standing()[:0], "There are 0 samples"),
        (TIME_S[:9], standing()[:9], "too few to filter"),
        (TIME_S, standing(0.6), "Nobody is on the board: the loads add up to 0.6 N"),
        (TIME_S, np.zeros((N, 4)), "Nobody is on the board"),
        (TIME_S, standing(-600.0), "below zero"),
        (TIME_S * 6.0, standing(), "below half the rate"),
    ],
)
def test_what_cannot_be_measured_is_refused(
    time_s: np.ndarray, loads_n: np.ndarray, what: str
) -> None:
    with pytest.raises(SwaytrainerError, match=what) as error:
        prepare(time_s, loads_n, PLACES)
    assert error.value.remedy


def test_shapes_are_checked() -> None:
    with pytest.raises(ValueError, match="shapes must be"):
        prepare(TIME_S, np.zeros((N, 3)), PLACES)
    with pytest.raises(ValueError, match="one shape"):
        trace_from_cop(TIME_S, TIME_S, TIME_S, TIME_S[1:])


def test_a_known_cop_becomes_a_trace() -> None:
    x, y = sway().T.copy()
    x[100:103] = y[100:103] = math.nan
    breaks = np.zeros(N, dtype=np.bool_)
    breaks[2000] = True
    trace = trace_from_cop(TIME_S, np.full(N, 600.0), x, y, breaks=breaks, filter_label="causal")
    assert np.flatnonzero(trace.breaks).tolist() == [0, 100, 101, 102, 103, 2000]
    assert trace.lost_percent == pytest.approx(100.0 * 3 / N)
    assert trace.longest_gap_s == pytest.approx(0.04)
    assert trace.duration_s == pytest.approx(29.99)
    assert trace.filter == "causal"
    x[200] = math.nan
    with pytest.raises(SwaytrainerError, match="Only one of x_mm and y_mm is a number in row 201"):
        trace_from_cop(TIME_S, np.full(N, 600.0), x, y)
