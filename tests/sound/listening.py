"""How the tests listen."""

from __future__ import annotations

import numpy as np

from swaytrainer.sound.tones import RATE_HZ, Samples


def steepest(samples: Samples) -> float:
    """The largest step between neighbours, silence before and after included."""
    none = np.zeros_like(samples[:1])
    return float(np.abs(np.diff(np.concatenate((none, samples, none)), axis=0)).max())


def pitch_by_fft(samples: Samples) -> float:
    """Of the strongest sine, between the spectrum's lines too (a parabola through three)."""
    n = len(samples)
    spectrum = np.log(np.abs(np.fft.rfft(samples * np.hanning(n))) + 1e-12)
    k = int(np.argmax(spectrum[1:-1])) + 1
    a, b, c = spectrum[k - 1 : k + 2]
    bend = a - 2 * b + c
    return float((k + (0.5 * (a - c) / bend if bend else 0.0)) * RATE_HZ / n)


def between(samples: Samples, start_s: float, end_s: float) -> Samples:
    return samples[round(start_s * RATE_HZ) : round(end_s * RATE_HZ)]


def found_at(
    samples: Samples, sound: Samples, after_s: float, within_s: float
) -> tuple[float, float]:
    """Where a known sound lies in what was heard: its time (s) and how well it fits (0 to 1).

    The normalised cross-correlation's highest value, over starts from ``after_s`` for ``within_s``.
    """
    first = round(after_s * RATE_HZ)
    piece = samples[first : first + round(within_s * RATE_HZ) + len(sound)]
    size = 1 << (len(piece) + len(sound)).bit_length()
    product = np.fft.irfft(np.fft.rfft(piece, size) * np.conj(np.fft.rfft(sound, size)), size)
    starts = len(piece) - len(sound) + 1
    squares = np.concatenate(([0.0], np.cumsum(piece**2)))
    power = squares[len(sound) : len(sound) + starts] - squares[:starts]
    fit = product[:starts] / np.sqrt(np.maximum(power * (sound**2).sum(), 1e-12))
    best = int(np.argmax(fit))
    return (first + best) / RATE_HZ, float(fit[best])
