"""The cadence: how many strides a second, found without being told.

A canter's stride has three beats, so its force and acceleration may hold three times the cadence
more strongly than the cadence itself; and hand-pushed strides are never alike. So the search looks
at the base's height (the acceleration twice integrated, in which the stride stands out from its
beats by the square of the frequency), takes the normalised square difference of McLeod & Wyvill (A
smarter way to find pitch, Int. Computer Music Conf. 2005, 138-141; made for musical pitch) and of
its peaks the earliest that is nearly as high as the highest: later ones are two and three strides.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from swaytrainer.motion.acceleration import PlateAcceleration
from swaytrainer.sway.cop import NAN, Array
from swaytrainer.sway.gaps import GAP_INTERVALS, Flags, pieces
from swaytrainer.sway.prepare import Trace

CADENCE_LOW_HZ = 0.8
CADENCE_HIGH_HZ = 3.0
#: How well strides must repeat themselves (1: exactly); our own choice, from the simulator.
LEAST_CLARITY = 0.55
#: A peak this near to the highest is as good. Low, for uneven strides repeat better after two.
NEARLY = 0.7
#: What moves less than this at the cadence is no riding: rms in m/s², in weights, and in mm.
LEAST_M_S2, LEAST_RIPPLE, LEAST_ROCK_MM = 0.15, 0.010, 3.0
#: Stride and harmonics lie between these.
_LOW_HZ, _HIGH_HZ = 0.65, 10.0
#: Integrating leaves a bow at the ends: so much of each, and not over a tenth, is not looked at.
_TRIM_S = 0.7
#: A found cadence may be this much outside the limits.
_BEYOND = 0.06
#: The band about the mean cadence whose phase tells the strides: strides of ± 30 % are inside, the
#: second harmonic of a stride 25 % too long is not.
FUNDAMENTAL = (0.65, 1.45)
_LEAST_STRIDES = 4.0


class Signal(NamedTuple):
    """An even series that tells the strides.

    Attributes:
        name: "acceleration", "force" or "COP".
        unit: of the values.
        time_s, values: shape (N,), on an even grid, about zero. ``values`` is NaN in gaps.
        rate_hz: of the grid.
        integrals: how often it must be integrated to be like the base's height.
        least: rms below which nothing moves.
    """

    name: str
    unit: str
    time_s: Array
    values: Array
    rate_hz: float
    integrals: int
    least: float


class Cadence(NamedTuple):
    """Strides a second (NaN if none was found), how well they repeat (to 1), and why not."""

    cadence_hz: float
    clarity: float
    reason: str


def even_runs(time_s: Array, values: Array, rate_hz: float, breaks: Flags) -> list[slice]:
    """Runs of at least two finite samples without a missing one between.

    ``breaks`` may also stand where the COP is missing: give only those that are no such ones.
    """
    finite = np.isfinite(values)
    whole = finite[1:] & finite[:-1] & ~breaks[1:]
    whole &= np.diff(time_s) <= GAP_INTERVALS / rate_hz
    return [run for run in pieces(whole) if run.stop - run.start > 1]


def force_breaks(trace: Trace) -> Flags:
    """The trace's breaks without those that only say that there is no COP.

    In flight there is none, yet the force is known: it is zero.
    """
    lone = np.isnan(trace.x_mm)
    only = np.zeros(lone.shape, dtype=np.bool_)
    only[1:] = lone[1:] | lone[:-1]
    return np.asarray(trace.breaks & ~only)


def on_grid(trace: Trace, values: Array, breaks: Flags) -> tuple[Array, Array]:
    """Values (N,) of the trace on an even grid of the trace's rate; NaN in gaps."""
    count = int((trace.time_s[-1] - trace.time_s[0]) * trace.rate_hz * (1.0 + 1e-9)) + 1
    grid_s = trace.time_s[0] + np.arange(count) / trace.rate_hz
    out = np.full(count, NAN)
    dust = 1e-6 / trace.rate_hz
    for run in even_runs(trace.time_s, values, trace.rate_hz, breaks):
        at = trace.time_s[run]
        inside = (grid_s >= at[0] - dust) & (grid_s <= at[-1] + dust)
        out[inside] = np.interp(grid_s[inside], at, values[run])
    return grid_s, out


def stride_signal(trace: Trace, plate: PlateAcceleration | None = None) -> Signal:
    """What to look for strides in: acceleration if there is one, else force, else the COP.

    The COP is taken along its longer axis, and only if the force hardly moves.
    """
    breaks = force_breaks(trace)
    if plate is not None:
        up = plate.at(trace.time_s)
        time_s, values = on_grid(trace, up - _mean(up), breaks)
        found = Signal("acceleration", "m/s²", time_s, values, trace.rate_hz, 2, LEAST_M_S2)
        if np.isfinite(values).any():
            return found
    mean_n = _mean(trace.force_n)
    if mean_n > 0.0:
        time_s, values = on_grid(trace, trace.force_n / mean_n - 1.0, breaks)
        if _rms(values) >= LEAST_RIPPLE:
            return Signal("force", "weights", time_s, values, trace.rate_hz, 2, LEAST_RIPPLE)
    x, y = trace.x_mm - _mean(trace.x_mm), trace.y_mm - _mean(trace.y_mm)
    there = np.isfinite(x)
    angle = 0.5 * np.arctan2(2.0 * (x[there] @ y[there]), x[there] @ x[there] - y[there] @ y[there])
    along = x * np.cos(angle) + y * np.sin(angle)
    time_s, values = on_grid(trace, along, trace.breaks)
    return Signal("COP", "mm", time_s, values, trace.rate_hz, 0, LEAST_ROCK_MM)


def find_cadence(signal: Signal) -> Cadence:
    """The mean cadence between 0.8 and 3 Hz, from the longest run without a gap.

    >>> t = np.arange(1600) / 80.0
    >>> beats = np.sin(2 * np.pi * 2.0 * t) + 3.0 * np.sin(2 * np.pi * 6.0 * t)
    >>> round(find_cadence(Signal("acceleration", "m/s²", t, beats, 80.0, 2, 0.15)).cadence_hz, 2)
    2.0
    """
    run = longest(signal)
    values = signal.values[run]
    needed = _LEAST_STRIDES / CADENCE_HIGH_HZ
    if values.size < needed * signal.rate_hz or signal.rate_hz < 4.0 * CADENCE_HIGH_HZ:
        return Cadence(
            NAN,
            NAN,
            f"No cadence: {values.size / max(signal.rate_hz, 1e-9):.1f} s without a gap at"
            f" {signal.rate_hz:.1f} Hz are too few to see strides.",
        )
    height = band(values, signal.rate_hz, _LOW_HZ, _HIGH_HZ, signal.integrals)
    trim = min(round(_TRIM_S * signal.rate_hz), height.size // 10)
    height = height[trim : height.size - trim]
    quick = band(values, signal.rate_hz, _LOW_HZ, _HIGH_HZ, 0)
    if not _rms(quick) >= signal.least:
        return Cadence(
            NAN,
            NAN,
            f"No cadence: the {signal.name} moves by {_rms(quick):.3g} {signal.unit} rms only, less"
            f" than {signal.least:g}; the base stands still.",
        )
    period_s, clarity = best_period(height, signal.rate_hz)
    if not clarity >= LEAST_CLARITY:
        return Cadence(
            NAN, clarity, f"No cadence: the {signal.name} does not repeat itself stride by stride."
        )
    if values.size < _LEAST_STRIDES * period_s * signal.rate_hz:
        return Cadence(NAN, clarity, "No cadence: fewer than four strides without a gap.")
    cadence_hz = 1.0 / period_s
    low, high = FUNDAMENTAL
    swing = _rms(band(values, signal.rate_hz, low * cadence_hz, high * cadence_hz, 0))
    if not (swing >= signal.least and _near_limits(cadence_hz)):
        return Cadence(
            NAN,
            clarity,
            f"No cadence: the {signal.name} hardly moves at {cadence_hz:.2f} Hz, or that is no"
            f" cadence between {CADENCE_LOW_HZ:g} and {CADENCE_HIGH_HZ:g} Hz.",
        )
    return Cadence(cadence_hz, clarity, "")


def _near_limits(cadence_hz: float) -> bool:
    return CADENCE_LOW_HZ * (1.0 - _BEYOND) <= cadence_hz <= CADENCE_HIGH_HZ * (1.0 + _BEYOND)


def best_period(values: Array, rate_hz: float, nearly: float = NEARLY) -> tuple[float, float]:
    """The time (s) after which a series repeats itself, and how well: (NaN, NaN) if never.

    n(τ) = 2·Σ x(t)·x(t+τ) / Σ (x(t)² + x(t+τ)²), 1 if exactly; the earliest maximum, past the
    first lag with n < 0, that reaches ``nearly`` of the highest, refined by a parabola.

    Args:
        values: shape (N,), evenly sampled, finite, about zero.
        rate_hz: samples a second.
        nearly: how high an earlier maximum must be, as a share of the highest.
    """
    n = values.size
    most = min(int(1.15 * rate_hz / CADENCE_LOW_HZ) + 1, n // 2)
    least = int(0.85 * rate_hz / CADENCE_HIGH_HZ)
    if most <= least + 2:
        return NAN, NAN
    size = 1 << (n + most).bit_length()
    transform = np.fft.rfft(values, size)
    product = np.fft.irfft(transform.real**2 + transform.imag**2, size)[: most + 1]
    energy = np.concatenate([[0.0], np.cumsum(values * values)])
    lags = np.arange(most + 1)
    both = energy[n - lags] + energy[n] - energy[lags]
    if not both.min() > 0.0:
        return NAN, NAN
    same = 2.0 * product / both
    below = np.flatnonzero(same < 0.0)
    if not below.size:
        return NAN, NAN
    start = max(int(below[0]), least, 1)
    middle = same[start:-1]
    peaks = start + np.flatnonzero((middle >= same[start - 1 : -2]) & (middle > same[start + 1 :]))
    if not peaks.size or not float(same[peaks].max()) > 0.0:
        return NAN, NAN
    good = peaks[same[peaks] >= nearly * float(same[peaks].max())]
    at = int(good[0])
    left, top, right = same[at - 1 : at + 2].tolist()
    bend = left - 2.0 * top + right
    shift = 0.5 * (left - right) / bend if bend < 0.0 else 0.0
    return (at + shift) / rate_hz, top


def band(values: Array, rate_hz: float, low_hz: float, high_hz: float, integrals: int) -> Array:
    """Only what lies between two frequencies, integrated so often; ends mirrored, no delay.

    Args:
        values: shape (N,), finite.
        rate_hz: samples a second.
        low_hz, high_hz: full strength between them, none below 0.7 or above 1.4 of them.
        integrals: 0, 1 or 2.
    """
    return np.asarray(analytic(values, rate_hz, low_hz, high_hz, integrals).real)


def analytic(
    values: Array, rate_hz: float, low_hz: float, high_hz: float, integrals: int
) -> np.ndarray[tuple[int, ...], np.dtype[np.complex128]]:
    """``band`` with its Hilbert transform as imaginary part: modulus and angle are envelope and
    phase (Oppenheim & Schafer, Discrete-Time Signal Processing, chapter 11 of the second edition).
    """
    n = values.size
    x = values - values.mean()
    pad = min(n - 1, round(3.0 * rate_hz))
    both = np.concatenate([x[pad:0:-1], x, x[-2 : -pad - 2 : -1]])
    f = np.fft.fftfreq(both.size, 1.0 / rate_hz)
    up = np.clip((f / low_hz - 0.7) / 0.3, 0.0, 1.0)
    down = np.clip((1.4 - f / high_hz) / 0.4, 0.0, 1.0)
    gain = (np.sin(0.5 * np.pi * up) * np.sin(0.5 * np.pi * down)) ** 2
    gain = np.where(f > 0.0, 2.0 * gain, 0.0)
    if integrals:
        scale = np.ones(f.size)
        scale[f > 0.0] = (2.0 * np.pi * f[f > 0.0]) ** -float(integrals)
        gain = gain * scale
    turned = np.fft.ifft(np.fft.fft(both) * gain * (-1j) ** integrals)
    return np.asarray(turned[pad : pad + n])


def longest(signal: Signal) -> slice:
    """The longest run without a gap; an empty one if there is none."""
    runs = even_runs(
        signal.time_s, signal.values, signal.rate_hz, np.zeros(signal.time_s.size, dtype=np.bool_)
    )
    return max(runs, key=lambda run: run.stop - run.start, default=slice(0, 0))


def _mean(values: Array) -> float:
    there = np.isfinite(values)
    return float(values[there].mean()) if there.any() else NAN


def _rms(values: Array) -> float:
    there = values[np.isfinite(values)]
    return float(np.sqrt(np.mean(there * there))) if there.size else NAN
