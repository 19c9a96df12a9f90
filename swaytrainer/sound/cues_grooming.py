"""What Grooming calls out: a tenth of the coat clean, and a rough brush."""

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


def snort() -> Samples:
    """Two puffs of low noise, as a pony has no use for haste."""
    count = round(0.22 * RATE_HZ)
    noise = np.random.default_rng(8).normal(size=count)
    noise = np.convolve(noise, np.full(90, 1.0 / 90), mode="same")
    flutter = 0.6 + 0.4 * np.sin(2.0 * np.pi * 26.0 * np.arange(count) / RATE_HZ)
    puff = ramped(noise * flutter * np.sin(np.pi * np.arange(count) / count))
    return sequence([(0.0, puff), (0.26, 0.7 * puff)])


CUES: Final[dict[str, Callable[[], Samples]]] = {
    "grooming tenth": lambda: levelled(
        sequence([(0.08 * k, note(pitch_hz(s), 0.3, 0.09)) for k, s in enumerate((10, 14))]),
        0.5 * CUE_PEAK,
    ),
    "grooming rough": lambda: levelled(snort(), 0.6 * CUE_PEAK),
}
