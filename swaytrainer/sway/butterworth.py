"""The second-order Butterworth low-pass: live (causal) and offline (zero phase).

The analogue prototype 1 / (s² + √2·s + 1) goes through the bilinear transform with the cut-off
prewarped, so that one pass has -3.01 dB exactly at the cut-off (Oppenheim & Schafer,
Discrete-Time Signal Processing, section 7.1 in the second edition).

The two ways do not give the same values, so each carries its own label:

- ``CausalLowpass`` is one pass: order 2, -3.01 dB at the cut-off, and late by about
  √2 / (2π·cut-off), 22 ms at 10 Hz (``Biquad.delay_s`` gives the exact number).
- ``zero_phase`` is one pass forward and one backward: effective order 4, no delay, -6.02 dB at
  the cut-off, and -3.01 dB already at some 0.80-0.82 of it (``zero_phase_half_power_hz``): for a
  cut-off of 10 Hz that is 8.12 Hz at 100 samples a second, 8.02 Hz at very high rates.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from swaytrainer.errors import SwaytrainerError
from swaytrainer.sway.cop import Array

#: ``zero_phase`` extends a series by this many samples at each end: three times the number of
#: coefficients, the usual choice. A series must be longer than this.
PAD_SAMPLES = 9

_BLOCK = 16
_GROUP = 24


class Biquad(NamedTuple):
    """H(z) = (b0 + b1/z + b2/z²) / (1 + a1/z + a2/z²), with gain 1 at rest."""

    b0: float
    b1: float
    b2: float
    a1: float
    a2: float

    def delay_s(self, rate_hz: float) -> float:
        """Group delay (s) at the slowest frequencies, where sway lives.

        >>> round(lowpass(10.0, 100.0).delay_s(100.0), 4)
        0.0218
        """
        top = self.b1 + 2.0 * self.b2
        below = self.a1 + 2.0 * self.a2
        return (top / (self.b0 + self.b1 + self.b2) - below / (1.0 + self.a1 + self.a2)) / rate_hz


def lowpass(cutoff_hz: float, rate_hz: float) -> Biquad:
    """Coefficients of the second-order Butterworth low-pass, in closed form.

    Args:
        cutoff_hz: -3.01 dB point of one pass, above 0 and below half the rate.
        rate_hz: samples a second.

    Raises:
        SwaytrainerError: the rate cannot carry that cut-off.

    >>> b = lowpass(10.0, 100.0)
    >>> round(b.b0, 6), round(b.a1, 6), round(b.a2, 6)
    (0.067455, -1.142981, 0.412802)
    """
    if not 0.0 < cutoff_hz < rate_hz / 2.0:
        raise SwaytrainerError(
            f"A low-pass of {cutoff_hz:g} Hz is impossible at {rate_hz:g} samples a second:"
            " the cut-off must be above 0 and below half the rate.",
            "Record faster, choose a lower cut-off, or switch the filter off.",
        )
    k = math.tan(math.pi * cutoff_hz / rate_hz)
    scale = 1.0 / (1.0 + math.sqrt(2.0) * k + k * k)
    b0 = k * k * scale
    return Biquad(
        b0=b0,
        b1=2.0 * b0,
        b2=b0,
        a1=2.0 * (k * k - 1.0) * scale,
        a2=(1.0 - math.sqrt(2.0) * k + k * k) * scale,
    )


def zero_phase_half_power_hz(cutoff_hz: float, rate_hz: float) -> float:
    """Where ``zero_phase`` passes half the power (-3.01 dB), in Hz.

    Two passes have the power gain 1 / (1 + r⁴)², r = tan(π·f/rate) / tan(π·cutoff/rate), which is
    one half at r = (√2 - 1)^¼ = 0.802.

    >>> round(zero_phase_half_power_hz(10.0, 100.0), 2)
    8.12
    >>> round(zero_phase_half_power_hz(10.0, 1e6), 2)
    8.02
    """
    warped = math.tan(math.pi * cutoff_hz / rate_hz) * (math.sqrt(2.0) - 1.0) ** 0.25
    return math.atan(warped) * rate_hz / math.pi


class CausalLowpass:
    """The live filter: one pass, sample by sample.

    The first sample after the start or a ``restart`` is taken as if it had lasted for ever, so
    that there is no swing up from zero. Give it finite values only: a NaN would stay in it.

    >>> lowpass_10hz = CausalLowpass(10.0, 100.0)
    >>> lowpass_10hz.update(600.0)
    600.0
    >>> round(lowpass_10hz.update(610.0), 3)
    600.675
    """

    __slots__ = ("_a1", "_a2", "_b0", "_b1", "_b2", "_cold", "_z1", "_z2", "biquad")

    def __init__(self, cutoff_hz: float, rate_hz: float) -> None:
        self.biquad = lowpass(cutoff_hz, rate_hz)
        self._b0, self._b1, self._b2, self._a1, self._a2 = self.biquad
        self._z1 = self._z2 = 0.0
        self._cold = True

    def restart(self) -> None:
        """Forget the past: the next sample begins in steady state (after a gap)."""
        self._cold = True

    def update(self, x: float) -> float:
        """The filtered value for the newest sample."""
        if self._cold:
            self._cold = False
            self._z1 = (1.0 - self._b0) * x
            self._z2 = (self._b2 - self._a2) * x
            return x
        y = self._b0 * x + self._z1
        self._z1 = self._b1 * x - self._a1 * y + self._z2
        self._z2 = self._b2 * x - self._a2 * y
        return y


def zero_phase(x: Array, cutoff_hz: float, rate_hz: float) -> Array:
    """Filter forward, then backward: no delay, effective order 4, -6.02 dB at the cut-off.

    The ends are extended by their odd reflection (``PAD_SAMPLES``), and each pass begins in
    steady state at its first value (Gustafsson's problem, solved the plain way:
    IEEE Trans Signal Processing 1996;44:988-992, section I).

    Args:
        x: shape (N,), or (N, C) for C channels at once; finite, evenly sampled, without gaps.
        cutoff_hz: -6.02 dB point of the two passes together.
        rate_hz: samples a second.

    Returns:
        The same shape.

    Raises:
        SwaytrainerError: fewer than ``PAD_SAMPLES`` + 1 samples, or an impossible cut-off.
    """
    biquad = lowpass(cutoff_hz, rate_hz)
    if x.shape[0] <= PAD_SAMPLES:
        raise SwaytrainerError(
            f"{x.shape[0]} samples are too few to filter: at least {PAD_SAMPLES + 1} are needed.",
            "Record for longer, or switch the filter off.",
        )
    rows = x.reshape(x.shape[0], -1).T
    before = 2.0 * rows[:, :1] - rows[:, PAD_SAMPLES:0:-1]
    after = 2.0 * rows[:, -1:] - rows[:, -2 : -PAD_SAMPLES - 2 : -1]
    y = np.concatenate([before, rows, after], axis=1)
    for _ in range(2):
        y = _one_pass(biquad, y)[:, ::-1]
    return y[:, PAD_SAMPLES:-PAD_SAMPLES].T.reshape(x.shape)


class _Blocks(NamedTuple):
    """What a block of ``_BLOCK`` samples, and a group of ``_GROUP`` blocks, do to the two states.

    All by rows. With u a block's input and s the states at its start, its output is
    u·toeplitz + s·echo, and what it gives to the states at its end u·intake. With t the intakes of
    a group's blocks in one row and s the states at its start, the states at the starts of its
    blocks are [t s]·starts in one row, and those at its end t·ending + s·carry.
    """

    toeplitz: Array
    echo: Array
    intake: Array
    starts: Array
    ending: Array
    carry: Array


@lru_cache(maxsize=8)
def _blocks(biquad: Biquad) -> _Blocks:
    b0, b1, b2, a1, a2 = biquad
    inlet = np.array([b1 - a1 * b0, b2 - a2 * b0])
    powers = _powers(np.array([[-a1, 1.0], [-a2, 0.0]]), _BLOCK + 1)
    echo = powers[:_BLOCK, 0]
    response = np.concatenate([[b0], echo[:-1] @ inlet])
    later = np.arange(_BLOCK) - np.arange(_BLOCK)[:, None]
    over = _powers(powers[_BLOCK], _GROUP + 1).transpose(0, 2, 1)
    after = np.arange(_GROUP) - np.arange(_GROUP)[:, None] - 1
    spread = np.where((after >= 0)[:, :, None, None], over[np.maximum(after, 0)], 0.0)
    starts = [
        spread.transpose(0, 2, 1, 3).reshape(2 * _GROUP, -1),
        over[:-1].transpose(1, 0, 2).reshape(2, -1),
    ]
    return _Blocks(
        toeplitz=np.where(later >= 0, response[np.abs(later)], 0.0),
        echo=np.ascontiguousarray(echo.T),
        intake=powers[_BLOCK - 1 :: -1] @ inlet,
        starts=np.concatenate(starts),
        ending=over[_GROUP - 1 :: -1].reshape(-1, 2),
        carry=over[_GROUP],
    )


def _powers(matrix: Array, count: int) -> Array:
    """Shape (count, 2, 2): matrix⁰, matrix¹, ... by Cayley & Hamilton, M² = trace·M - det·1."""
    (a, b), (c, d) = matrix.tolist()
    trace, det = a + d, a * d - b * c
    scale = [0.0, 1.0]
    for _ in range(count - 2):
        scale.append(trace * scale[-1] - det * scale[-2])
    by = np.array(scale)
    powers: Array = np.empty((count, 2, 2))
    powers[0] = np.eye(2)
    powers[1:] = np.multiply.outer(by[1:], matrix)
    powers[1:] -= np.multiply.outer(det * by[:-1], powers[0])
    return powers


def _one_pass(biquad: Biquad, x: Array) -> Array:
    """Filter (C, N) along N, beginning in steady state at x[:, 0].

    Block by block, and the blocks' states group by group, so that Python's loop runs over
    N / (``_BLOCK``·``_GROUP``) steps; this is as fast as a compiled filter and spares the second
    that importing SciPy's would take.
    """
    channels, count = x.shape
    by = _blocks(biquad)
    groups = -(-count // (_BLOCK * _GROUP))
    u = np.zeros((channels, groups * _GROUP * _BLOCK))
    u[:, :count] = x
    u = u.reshape(-1, _BLOCK)
    row = np.empty((groups, channels, 2 * _GROUP + 2))
    row[:, :, :-2] = (u @ by.intake).reshape(channels, groups, -1).transpose(1, 0, 2)
    ends = row[:, :, :-2] @ by.ending
    state = np.outer(x[:, 0], [1.0 - biquad.b0, biquad.b2 - biquad.a2])
    for i in range(groups):
        row[i, :, -2:] = state
        state = state @ by.carry + ends[i]
    starts = row.reshape(-1, 2 * _GROUP + 2) @ by.starts
    y: Array = u @ by.toeplitz
    y += starts.reshape(groups, channels, -1).transpose(1, 0, 2).reshape(-1, 2) @ by.echo
    return y.reshape(channels, -1)[:, :count]
