from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import signal

from swaytrainer.sway.spectrum import power_quantile_hz, spectral, welch


@pytest.mark.parametrize(("count", "segment"), [(6000, 3000), (5999, 2999), (4801, 2400), (97, 13)])
@pytest.mark.parametrize("rate_hz", [100.0, 80.3])
def test_it_is_scipys_welch(count: int, segment: int, rate_hz: float) -> None:
    x = 40.0 + np.random.default_rng(count).normal(size=count).cumsum()
    frequency_hz, density = welch(x, rate_hz, segment)
    expected_hz, expected = signal.welch(x, rate_hz, nperseg=segment)
    np.testing.assert_allclose(frequency_hz, expected_hz, rtol=1e-12)
    np.testing.assert_allclose(density, expected, rtol=1e-9, atol=1e-12 * expected.max())


def test_density_holds_the_power_of_a_sine() -> None:
    """Parseval: ∫ density df = A²/2, for a sine on the grid under a Hann window."""
    time_s = np.arange(6000) / 100.0
    frequency_hz, density = welch(3.0 * np.sin(2.0 * np.pi * 1.0 * time_s), 100.0, 3000)
    assert density.sum() * frequency_hz[1] == pytest.approx(4.5, rel=1e-9)


@pytest.mark.parametrize("segment", [1, 11])
def test_a_segment_that_does_not_fit_is_refused(segment: int) -> None:
    with pytest.raises(ValueError, match="segment"):
        welch(np.zeros(10), 100.0, segment)


@pytest.mark.parametrize("turns_hz", [0.3, 1.0, 2.5])
def test_a_sine_has_its_own_median_frequency(turns_hz: float) -> None:
    time_s = np.arange(6000) / 100.0
    values = spectral(5.0 + np.sin(2.0 * np.pi * turns_hz * time_s), 100.0)
    assert values.median_frequency_hz == pytest.approx(turns_hz, abs=1e-3)
    assert turns_hz <= values.edge_frequency_95_hz <= turns_hz + 1.5 / 30.0


def test_quantiles_of_a_sloping_spectrum() -> None:
    """Density f² up to 5 Hz: the share p lies below (p·(5³ - 0.15³) + 0.15³)^⅓."""
    f = np.linspace(0.0, 10.0, 20_001)
    for share in (0.5, 0.95):
        expected = (share * (125.0 - 0.15**3) + 0.15**3) ** (1.0 / 3.0)
        assert power_quantile_hz(f, f**2, share) == pytest.approx(expected, rel=1e-5)


def test_power_outside_the_band_has_no_say() -> None:
    time_s = np.arange(6000) / 100.0
    slow_and_fast = 50.0 * np.sin(2.0 * np.pi * time_s / 30.0) + 9.0 * np.sin(40.0 * np.pi * time_s)
    inside = np.sin(2.0 * np.pi * 0.8 * time_s)
    values = spectral(slow_and_fast + inside, 100.0)
    assert values.median_frequency_hz == pytest.approx(0.8, abs=0.01)


def test_no_power_or_no_band_is_nan() -> None:
    assert all(math.isnan(value) for value in spectral(np.full(3000, 123.456), 100.0))
    assert all(math.isnan(value) for value in spectral(np.arange(300.0) % 7, 8.0))
