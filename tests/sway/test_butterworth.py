from __future__ import annotations

import cmath
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import signal

from swaytrainer.errors import SwaytrainerError
from swaytrainer.sway.butterworth import (
    PAD_SAMPLES,
    Biquad,
    CausalLowpass,
    lowpass,
    zero_phase,
    zero_phase_half_power_hz,
)

CASES = [(10.0, 100.0), (10.0, 80.0), (5.0, 1000.0), (24.0, 50.0), (0.5, 93.7)]


def gain(biquad: Biquad, frequency_hz: float, rate_hz: float) -> float:
    z = cmath.exp(-2j * math.pi * frequency_hz / rate_hz)
    b0, b1, b2, a1, a2 = biquad
    return abs((b0 + b1 * z + b2 * z * z) / (1.0 + a1 * z + a2 * z * z))


@pytest.mark.parametrize(("cutoff_hz", "rate_hz"), CASES)
def test_coefficients_are_those_of_scipy(cutoff_hz: float, rate_hz: float) -> None:
    b, a = signal.butter(2, cutoff_hz, fs=rate_hz)
    ours = lowpass(cutoff_hz, rate_hz)
    assert ours == pytest.approx((*b, *a[1:]), rel=1e-9, abs=1e-12)


@pytest.mark.parametrize(("cutoff_hz", "rate_hz"), CASES)
def test_one_pass_has_half_the_power_at_the_cutoff(cutoff_hz: float, rate_hz: float) -> None:
    """-3.01 dB: the definition of a Butterworth filter's cut-off."""
    decibel = 20.0 * math.log10(gain(lowpass(cutoff_hz, rate_hz), cutoff_hz, rate_hz))
    assert decibel == pytest.approx(-3.0103, abs=1e-4)


@pytest.mark.parametrize(("cutoff_hz", "rate_hz"), CASES)
def test_two_passes_have_half_the_power_where_stated(cutoff_hz: float, rate_hz: float) -> None:
    half_hz = zero_phase_half_power_hz(cutoff_hz, rate_hz)
    assert gain(lowpass(cutoff_hz, rate_hz), half_hz, rate_hz) ** 4 == pytest.approx(0.5)


def test_delay_of_slow_sway_is_the_analogue_one() -> None:
    """√2 / (2π·cut-off) for the prototype 1 / (s² + √2·s + 1); the bilinear transform keeps it."""
    exact = lowpass(10.0, 10000.0).delay_s(10000.0)
    assert exact == pytest.approx(math.sqrt(2.0) / (2.0 * math.pi * 10.0), rel=1e-4)
    b, a = signal.butter(2, 10.0, fs=100.0)
    _, delay = signal.group_delay((b, a), w=[1e-3], fs=100.0)
    assert lowpass(10.0, 100.0).delay_s(100.0) == pytest.approx(delay[0] / 100.0, rel=1e-6)


@pytest.mark.parametrize(("cutoff_hz", "rate_hz"), CASES)
def test_causal_is_scipys_filter_begun_in_steady_state(cutoff_hz: float, rate_hz: float) -> None:
    x = 600.0 + np.random.default_rng(1).normal(size=400).cumsum()
    ours = CausalLowpass(cutoff_hz, rate_hz)
    b, a = signal.butter(2, cutoff_hz, fs=rate_hz)
    expected, _ = signal.lfilter(b, a, x, zi=signal.lfilter_zi(b, a) * x[0])
    assert [ours.update(v) for v in x.tolist()] == pytest.approx(expected, rel=1e-9)


def test_causal_restarts_without_a_swing() -> None:
    ours = CausalLowpass(10.0, 100.0)
    for v in (600.0, 610.0, 590.0):
        ours.update(v)
    ours.restart()
    assert [ours.update(50.0) for _ in range(50)] == pytest.approx([50.0] * 50, rel=1e-12)


@pytest.mark.parametrize(("cutoff_hz", "rate_hz"), CASES)
@pytest.mark.parametrize("count", [PAD_SAMPLES + 1, 46, 47, 64, 110, 111, 1000])
def test_zero_phase_is_scipys_filtfilt(cutoff_hz: float, rate_hz: float, count: int) -> None:
    """At the lengths where our blocks of 64 just end or begin, too."""
    x = 600.0 + np.random.default_rng(count).normal(size=(count, 3)).cumsum(axis=0)
    b, a = signal.butter(2, cutoff_hz, fs=rate_hz)
    ours = zero_phase(x, cutoff_hz, rate_hz)
    np.testing.assert_allclose(ours, signal.filtfilt(b, a, x, axis=0), rtol=1e-9)
    sos = signal.butter(2, cutoff_hz, fs=rate_hz, output="sos")
    np.testing.assert_allclose(ours, signal.sosfiltfilt(sos, x, axis=0), rtol=1e-9)


def test_zero_phase_takes_one_channel_or_many() -> None:
    x = np.random.default_rng(2).normal(size=(300, 2))
    both = zero_phase(x, 10.0, 100.0)
    assert zero_phase(x[:, 1].copy(), 10.0, 100.0) == pytest.approx(both[:, 1], abs=1e-12)


@given(st.floats(-1e4, 1e4), st.floats(-100.0, 100.0))
def test_zero_phase_leaves_a_straight_line_alone(level: float, slope: float) -> None:
    """Gain 1 at rest, no delay, and odd ends: nothing to change, but for the ends' settling."""
    x = np.asarray(level + slope * np.arange(400) / 100.0, dtype=np.float64)
    middle = slice(150, -150)
    assert zero_phase(x, 10.0, 100.0)[middle] == pytest.approx(x[middle], rel=1e-9, abs=1e-6)


@pytest.mark.parametrize("cutoff_hz", [50.0, 70.0, 0.0, -1.0, math.nan])
def test_an_impossible_cutoff_is_refused(cutoff_hz: float) -> None:
    with pytest.raises(SwaytrainerError, match="below half the rate"):
        lowpass(cutoff_hz, 100.0)
    with pytest.raises(SwaytrainerError, match="lower cut-off"):
        CausalLowpass(cutoff_hz, 100.0)


def test_too_short_a_series_is_refused() -> None:
    with pytest.raises(SwaytrainerError, match="9 samples are too few to filter"):
        zero_phase(np.zeros(PAD_SAMPLES), 10.0, 100.0)
