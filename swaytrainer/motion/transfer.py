"""How much of a base's acceleration the body takes on, by frequency: transfer function, coherence.

H1(f) = S_ab(f) / S_bb(f), γ²(f) = |S_ab|² / (S_aa·S_bb): Bendat & Piersol, Random Data, 4th edition
2010, chapter 6 (from memory). Spectra are Welch's (IEEE Trans Audio Electroacoustics 1967;15:70-73)
with Hann windows that overlap by half. H1 is blind to noise in a, the body's acceleration; noise in
b, the base's, makes it smaller by 1 / (1 + noise/signal).

Two clocks that are a constant time τ apart turn the phase of H1 by 2π·f·τ and leave |H1| alone, so
long as τ is small beside a segment.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from swaytrainer.sway.cop import NAN, Array

#: Below this coherence a gain is not shown.
LEAST_COHERENCE = 0.8
#: Chance of unrelated signals' reaching the coherence that is asked for.
FALSE_ALARM = 0.01


class Spectra(NamedTuple):
    """The base's and the body's power and their cross-power, means over the segments.

    Attributes:
        frequency_hz: shape (K,).
        base, body: shape (K,), mean square that each frequency holds, in the series' unit squared.
        cross: shape (K,), complex, of body times conj(base).
        segments: how many there were.
    """

    frequency_hz: Array
    base: Array
    body: Array
    cross: NDArray[np.complex128]
    segments: int


class Transfer(NamedTuple):
    """What comes through near one frequency.

    Attributes:
        frequency_hz: the middle of the band.
        gain: |H1|: 1 stiff, below absorbing, above bouncing; NaN if not measurable.
        phase_deg: of H1, negative when the body comes later; NaN with the gain. Clocks that are
            apart turn it: read it only where they are known to agree.
        coherence: γ², 0 to 1.
        reason: why the gain is NaN, a sentence; "" if it is not.
    """

    frequency_hz: float
    gain: float
    phase_deg: float
    coherence: float
    reason: str

    @property
    def absorption_percent(self) -> float:
        """100·(1 - |H1|): 0 for a stiff body, below zero for a bouncing one."""
        return 100.0 * (1.0 - self.gain)


def least_coherence(segments: int) -> float:
    """The coherence to ask for: 0.8, and more where few segments reach that by chance.

    Of n independent segments of unrelated signals, γ² exceeds c with probability (1 - c)^(n-1)
    (Carter, Knapp & Nuttall, IEEE Trans Audio Electroacoustics 1973;21:337-344, from memory; the
    tests draw it).

    >>> [round(least_coherence(n), 2) for n in (2, 3, 4, 9)]
    [0.99, 0.9, 0.8, 0.8]
    """
    if segments < 2:
        return math.inf
    return max(LEAST_COHERENCE, 1.0 - math.pow(FALSE_ALARM, 1.0 / (segments - 1)))


def spectra(pieces: list[tuple[Array, Array]], rate_hz: float, segment: int) -> Spectra:
    """Spectra over the segments of every piece.

    Args:
        pieces: (base, body), each of shape (N,), evenly sampled, finite. Those shorter than a
            segment are passed over.
        rate_hz: samples a second.
        segment: samples a segment, at least 2.
    """
    window = 0.5 - 0.5 * np.cos(2.0 * np.pi * np.arange(segment) / segment)
    bins = segment // 2 + 1
    base, body = np.zeros(bins), np.zeros(bins)
    cross = np.zeros(bins, dtype=np.complex128)
    count = 0
    for b, a in pieces:
        if b.size < segment:
            continue
        parts = [
            np.lib.stride_tricks.sliding_window_view(series, segment)[:: segment - segment // 2]
            for series in (b, a)
        ]
        turned_b, turned_a = (
            np.fft.rfft((part - part.mean(axis=1, keepdims=True)) * window, axis=1)
            for part in parts
        )
        base += (np.abs(turned_b) ** 2).sum(axis=0)
        body += (np.abs(turned_a) ** 2).sum(axis=0)
        cross += (turned_a * turned_b.conj()).sum(axis=0)
        count += turned_b.shape[0]
    # One-sided (what is mirrored counts twice), so that the sum over frequency is the mean square.
    scale = 2.0 / (segment * float(window @ window) * max(count, 1))
    return Spectra(
        np.arange(bins, dtype=np.float64) * (rate_hz / segment),
        scale * base,
        scale * body,
        scale * cross,
        count,
    )


def transfer(
    sums: Spectra, frequency_hz: float, half_band_hz: float, least_rms: float = 0.0
) -> Transfer:
    """H1 near one frequency: bin by bin, weighted with the base's power in each.

    The gains are averaged, not the complex H1: uneven strides spread over several bins, between
    which the body's phase turns.

    Args:
        sums: from ``spectra``.
        frequency_hz: the middle of the band.
        half_band_hz: on either side of it.
        least_rms: what the base must move by in the band. Below it stands what leaks over from
            the neighbours, and the accelerometer's noise, which the plate's correction carries
            into the body's acceleration too: coherent, and meaningless.
    """
    near = np.abs(sums.frequency_hz - frequency_hz) <= half_band_hz
    power = float(sums.base[near].sum())
    if not (near.any() and power > 0.0 and float(sums.body[near].sum()) > 0.0):
        return Transfer(frequency_hz, NAN, NAN, NAN, "base or body does not move at all")
    if math.sqrt(power) < least_rms:
        return Transfer(
            frequency_hz,
            NAN,
            NAN,
            NAN,
            f"the base moves by {math.sqrt(power):.2g} m/s² rms near {frequency_hz:.2g} Hz, too"
            f" little to tell: at least {least_rms:.2g}",
        )
    safe = np.where(sums.base[near] * sums.body[near] > 0.0, sums.base[near] * sums.body[near], 1.0)
    each = np.abs(sums.cross[near]) ** 2 / safe
    coherence = float((sums.base[near] * each).sum()) / power
    asked = least_coherence(sums.segments)
    if not coherence >= asked:
        return Transfer(
            frequency_hz,
            NAN,
            NAN,
            coherence,
            f"coherence {coherence:.2f}, below {asked:.2f}: much of the body's motion is not the"
            " base's",
        )
    gain = float(np.abs(sums.cross[near]).sum()) / power
    phase = math.degrees(float(np.angle(sums.cross[near].sum())))
    return Transfer(frequency_hz, gain, phase, coherence, "")
