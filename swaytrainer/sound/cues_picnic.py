"""What Picnic calls out: wind that rises and falls, a gust held, a guest woken."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

import numpy as np

from swaytrainer.sound.tones import (
    CUE_PEAK,
    RATE_HZ,
    Samples,
    levelled,
    note,
    pitch_hz,
    ramped,
    sequence,
)


def breath_of_wind(seconds: float, rising: bool) -> Samples:
    """Noise through two lags whose loudness swells to its middle; brighter if it rises."""
    count = round(seconds * RATE_HZ)
    noise = np.random.default_rng(20 if rising else 21).normal(size=count)
    # A running mean is a low-pass; two of them have no ringing that would whistle.
    width = 24 if rising else 60
    for _ in range(2):
        noise = np.convolve(noise, np.full(width, 1.0 / width), mode="same")
    way = np.arange(count) / count
    swell = np.sin(np.pi * way ** (0.6 if rising else 1.6)) ** 2
    return ramped(noise * swell)


CUES: Final[dict[str, Callable[[], Samples]]] = {
    "picnic gust": lambda: levelled(breath_of_wind(0.9, rising=True), 0.8 * CUE_PEAK),
    "picnic over": lambda: levelled(breath_of_wind(0.6, rising=False), 0.5 * CUE_PEAK),
    "picnic held": lambda: levelled(
        sequence([(0.09 * k, note(pitch_hz(s), 0.35, 0.1)) for k, s in enumerate((3, 7, 12))]),
        0.7 * CUE_PEAK,
    ),
    "picnic woke": lambda: levelled(
        sequence([(0.13 * k, note(pitch_hz(s), 0.2, 0.05)) for k, s in enumerate((8, 2))]),
        0.5 * CUE_PEAK,
    ),
}
