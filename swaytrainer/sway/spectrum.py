"""The power spectrum of sway, and the frequencies below which half and 95 % of it lie.

Spectrum: Welch, IEEE Trans Audio Electroacoustics 1967;15:70-73, with Hann windows of half the
trial, half overlapping, each about its own mean. Frequencies: Prieto et al., IEEE Trans Biomed
Eng 1996;43:956-966, who take the power between 0.15 and 5 Hz.

Limits: most power of sway lies below 0.5 Hz, where a minute holds a few swings and its spectrum a
few points: the median is rough, and falls as trials get longer (Vieira, Oliveira & Nadal, Braz J
Med Biol Res 2009;42:665-673). The distance d is folded at the mean, so that a swing through it has
twice its frequency. Offline: a spectrum is of a whole piece.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from swaytrainer.sway.cop import NAN, Array

BAND_LOW_HZ = 0.15
BAND_HIGH_HZ = 5.0

#: A spectrum needs this much in one piece: half of it is one segment, and its first step (0.1 Hz)
#: must lie below the band's lower end (0.15 Hz).
SPECTRUM_LEAST_S = 20.0
#: A slower series cannot show the band at all.
SPECTRUM_LEAST_HZ = 2.0 * BAND_HIGH_HZ


class SpectralValues(NamedTuple):
    """Frequencies (Hz) below which 50 % and 95 % of the band's power lie."""

    median_frequency_hz: float
    edge_frequency_95_hz: float


def welch(x: Array, rate_hz: float, segment: int) -> tuple[Array, Array]:
    """One-sided power spectral density.

    Args:
        x: shape (N,), evenly sampled, finite, in some unit u.
        rate_hz: samples a second.
        segment: samples a segment, 2 to N; neighbours overlap by half, a rest at the end of x
            that fills no segment is not used.

    Returns:
        Frequencies (Hz) and density (u²/Hz), each of shape (segment // 2 + 1,).

    Raises:
        ValueError: the segment is longer than x or shorter than 2.
    """
    if not 2 <= segment <= x.size:
        raise ValueError(f"segment must be from 2 to {x.size}, not {segment}")
    hop = segment - segment // 2
    parts = np.lib.stride_tricks.sliding_window_view(x, segment)[::hop]
    window = 0.5 - 0.5 * np.cos(2.0 * np.pi * np.arange(segment) / segment)
    parts = (parts - parts.mean(axis=1, keepdims=True)) * window
    transform = np.fft.rfft(parts, axis=1)
    power = transform.real**2 + transform.imag**2
    density: Array = power.mean(axis=0) / (rate_hz * float(window @ window))
    density[1 : segment - segment // 2] *= 2.0  # neither 0 Hz nor, if there, the last: no mirror
    frequency_hz = np.arange(density.size, dtype=np.float64) * (rate_hz / segment)
    return frequency_hz, density


def power_quantile_hz(frequency_hz: Array, density: Array, share: float) -> float:
    """The frequency below which a share of the power between 0.15 and 5 Hz lies.

    The density is taken as straight between its points (so also at the two ends of the band),
    its integral as straight between points: the answer moves smoothly with the data and lies
    within one step of the spectrum's grid of the first point that reaches the share.

    Args:
        frequency_hz: shape (K,), increasing.
        density: shape (K,), not negative.
        share: 0 to 1.

    Returns:
        NaN if the band holds no power, or if the spectrum ends below 5 Hz.

    >>> flat = np.ones(101)
    >>> round(power_quantile_hz(np.linspace(0.0, 10.0, 101), flat, 0.5), 6)
    2.575
    """
    if frequency_hz[-1] < BAND_HIGH_HZ:
        return NAN
    within = (frequency_hz > BAND_LOW_HZ) & (frequency_hz < BAND_HIGH_HZ)
    f = np.concatenate([[BAND_LOW_HZ], frequency_hz[within], [BAND_HIGH_HZ]])
    p = np.interp(f, frequency_hz, density)
    power = np.concatenate([[0.0], np.cumsum(0.5 * (p[1:] + p[:-1]) * np.diff(f))])
    if not power[-1] > 0.0:
        return NAN
    return float(np.interp(share * power[-1], power, f))


def spectral(x: Array, rate_hz: float) -> SpectralValues:
    """Median and 95 % edge frequency of one series (x, y, or the distance d).

    Args:
        x: shape (N,), evenly sampled, finite; N at least 4.
        rate_hz: samples a second, at least 10 (else NaN).

    >>> time = np.arange(6000) / 100.0
    >>> round(spectral(np.sin(2.0 * np.pi * 0.8 * time), 100.0).median_frequency_hz, 3)
    0.8
    """
    frequency_hz, density = welch(x, rate_hz, x.size // 2)
    # A constant leaves only rounding dust, which has no frequency.
    if density.max() * rate_hz <= (1e-13 * float(np.abs(x).max())) ** 2:
        return SpectralValues(NAN, NAN)
    return SpectralValues(
        power_quantile_hz(frequency_hz, density, 0.50),
        power_quantile_hz(frequency_hz, density, 0.95),
    )
