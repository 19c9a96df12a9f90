"""Stabilogram diffusion: how far the COP strays in a given time, on average over the trial.

Collins & De Luca, Exp Brain Res 1993;95:308-318: the mean square displacement over a lag t,
⟨(x(s+t) - x(s))²⟩, grows nearly straight twice, steeply over short lags, where sway runs on as it
began, and less over long ones, where it is brought back. Half of each slope is a diffusion
coefficient, D = slope / 2, along one axis; in the plane the square displacements add up, and so do
the coefficients. Where the two lines cross is the critical point: a time and a mean square
displacement.

The two regions are fixed here: lines are fitted by least squares to all lags up to 0.5 s, and to
those from 2.5 to 10 s (the windows are ours). The published bend lies between them: near 1 s by
Collins & De Luca (from memory), or at 0.3-0.5 s where it is sought in a double logarithmic plot
(Rougier, Arch Physiol Biochem 1999;107:35-42). Regions that follow the data would call any
long-lag ripple of a single trial its bend. Where the lines don't cross at a lag between 0 and
10 s there is no critical point.

Limits: long lags hold few independent pairs (six in a minute at 10 s), so the long-term
coefficient of one trial is rough, may come out below zero, and repeats poorly; the authors
averaged ten trials a person. The first tenths of a second are shaped by the filter, so compare
only at the same filter. Offline: it needs every pair of samples up to 10 s apart.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from swaytrainer.sway.cop import NAN, Array

#: Lags of the two lines (s); 10 s is the longest that Collins & De Luca looked at.
SHORT_TO_S = 0.5
LONG_FROM_S = 2.5
LONG_TO_S = 10.0
#: Collins & De Luca's trials had 30 s: less leaves hardly two pairs at 10 s that share no time.
DIFFUSION_LEAST_S = 30.0
#: The short line needs three lags (0.17, 0.33 and 0.5 s).
DIFFUSION_LEAST_HZ = 6.0


class DiffusionValues(NamedTuple):
    """Coefficients (mm²/s), and where the lines cross (s, mm²). NaN where there is none."""

    diffusion_short_mm2_s: float
    diffusion_long_mm2_s: float
    critical_time_s: float
    critical_displacement_mm2: float


NO_DIFFUSION = DiffusionValues(NAN, NAN, NAN, NAN)


def square_displacement(x: Array, lags: int) -> Array:
    """Mean square displacement over 1 to ``lags`` samples, every pair counted.

    Σ(x(i+k) - x(i))² = Σx(i+k)² + Σx(i)² - 2·Σx(i+k)·x(i), the last sum by Fourier transform
    (Wiener & Khinchin), so that all lags cost as much as a few.

    Args:
        x: shape (N,), evenly sampled, finite, in some unit u.
        lags: 1 to N - 1.

    Returns:
        Shape (lags,), u². Rounding leaves some 10⁻¹⁵ of the square range of x.

    Raises:
        ValueError: there are not as many lags.

    >>> square_displacement(np.array([0.0, 1.0, 3.0]), 2).round(12).tolist()
    [2.5, 9.0]
    """
    n = x.size
    if not 1 <= lags < n:
        raise ValueError(f"lags must be from 1 to {n - 1}, not {lags}")
    about = x - x.mean()
    size = 1 << (n + lags - 1).bit_length()  # zeros enough that no lag wraps round
    transform = np.fft.rfft(about, size)
    products = np.fft.irfft(transform.real**2 + transform.imag**2, size)[1 : lags + 1]
    squares = np.concatenate([[0.0], np.cumsum(about * about)])
    k = np.arange(1, lags + 1)
    later, earlier = squares[n] - squares[k], squares[n - k]
    mean: Array = np.maximum(later + earlier - 2.0 * products, 0.0) / (n - k)
    return mean


def diffusion_of(mean_square_mm2: Array, rate_hz: float) -> DiffusionValues:
    """Coefficients and critical point of a curve of mean square displacements.

    Args:
        mean_square_mm2: shape (K,), over 1 to K samples; in the plane, the two axes' sum.
        rate_hz: samples a second, at least ``DIFFUSION_LEAST_HZ`` (else NaN).

    Returns:
        NaN if the curve ends before 10 s or is zero all along; the critical point NaN if the lines
        do not cross between 0 and 10 s, with the short-term line the steeper.

    >>> lag_s = np.arange(1, 1001) / 100.0
    >>> bent = np.where(lag_s < 1.0, 12.0 * lag_s, 11.0 + lag_s)
    >>> [round(value, 9) for value in diffusion_of(bent, 100.0)]
    [6.0, 0.5, 1.0, 12.0]
    """
    lag_s = np.arange(1, mean_square_mm2.size + 1) / rate_hz
    hair = 1e-6 / rate_hz  # a lag that is the window's edge but for rounding belongs to it
    if rate_hz < DIFFUSION_LEAST_HZ or not lag_s.size or lag_s[-1] < LONG_TO_S - 1.0 / rate_hz:
        return NO_DIFFUSION
    if not mean_square_mm2.max() > 0.0:
        return NO_DIFFUSION
    short = lag_s <= SHORT_TO_S + hair
    long = (lag_s >= LONG_FROM_S - hair) & (lag_s <= LONG_TO_S + hair)
    steep, low = _line(lag_s[short], mean_square_mm2[short])
    flat, high = _line(lag_s[long], mean_square_mm2[long])
    cross_s = (high - low) / (steep - flat) if steep > flat else NAN
    if not 0.0 < cross_s < LONG_TO_S:
        return DiffusionValues(0.5 * steep, 0.5 * flat, NAN, NAN)
    return DiffusionValues(0.5 * steep, 0.5 * flat, cross_s, low + steep * cross_s)


def diffusion(
    x_mm: Array, y_mm: Array, rate_hz: float
) -> tuple[DiffusionValues, DiffusionValues, DiffusionValues]:
    """Diffusion in the plane, along x (ML) and along y (AP).

    Args:
        x_mm, y_mm: shape (N,), evenly sampled, finite.
        rate_hz: samples a second.

    Returns:
        All NaN below ``DIFFUSION_LEAST_S`` or ``DIFFUSION_LEAST_HZ``; NaN along an axis that does
        not move.

    >>> time = np.arange(3000) / 50.0
    >>> plane, ml, ap = diffusion(np.sin(time), 0.0 * time, 50.0)
    >>> plane == ml, ap.diffusion_short_mm2_s
    (True, nan)
    """
    lags = round(LONG_TO_S * rate_hz)
    if x_mm.size < DIFFUSION_LEAST_S * rate_hz * (1.0 - 1e-9) or rate_hz < DIFFUSION_LEAST_HZ:
        return NO_DIFFUSION, NO_DIFFUSION, NO_DIFFUSION
    x, y = _moving(x_mm, lags), _moving(y_mm, lags)
    return diffusion_of(x + y, rate_hz), diffusion_of(x, rate_hz), diffusion_of(y, rate_hz)


def _moving(x: Array, lags: int) -> Array:
    """``square_displacement``, but plain zeros where a constant leaves only rounding dust."""
    if float(np.ptp(x)) <= 1e-13 * float(np.abs(x).max()):
        return np.zeros(lags)
    return square_displacement(x, lags)


def _line(t: Array, value: Array) -> tuple[float, float]:
    """Slope, and value at 0, of the least-squares line."""
    middle, level = float(t.mean()), float(value.mean())
    about = t - middle
    slope = float(about @ (value - level)) / float(about @ about)
    return slope, level - slope * middle
