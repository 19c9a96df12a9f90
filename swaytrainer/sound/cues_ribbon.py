"""What the ribbon calls out: the canter's three hoofbeats, and a swallow that comes."""

from __future__ import annotations

import math
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

_HOOF_S: Final = 0.13
#: Semitones from A4 of hind leg, diagonal pair and leading foreleg: rising, the first strongest,
#: so that everybody hears where a stride begins.
_HOOVES: Final = ((-26.0, 1.0), (-21.0, 0.62), (-16.0, 0.5))


def hoof(beat: int) -> Samples:
    """One hoofbeat on turf, 1 to 3: a low drop in pitch with a short breath of noise.

    The noise is the same each time.
    """
    semitones, strength = _HOOVES[beat - 1]
    t = np.arange(round(_HOOF_S * RATE_HZ)) / RATE_HZ
    # From an octave above down to the pitch within some 15 ms, as a struck drum falls.
    phase = np.cumsum(pitch_hz(semitones) * (1.0 + np.exp(-t / 0.015)) / RATE_HZ)
    body = np.sin(math.tau * phase) * np.exp(-t / 0.04)
    second = 0.4 * np.sin(2.0 * math.tau * phase) * np.exp(-t / 0.02)
    breath = np.random.default_rng(beat).standard_normal(t.size)
    smooth = np.convolve(breath, np.ones(24) / 24.0, mode="same") * np.exp(-t / 0.012)
    return levelled(ramped(body + second + 0.5 * smooth), CUE_PEAK * strength)


def _swallow() -> Samples:
    """Two quick chirps, high and quiet."""
    chirps = [(k * 0.09, note(pitch_hz(s), 0.12, 0.04)) for k, s in enumerate((27, 31, 29))]
    return levelled(sequence(chirps), 0.35 * CUE_PEAK)


CUES: Final[dict[str, Callable[[], Samples]]] = {
    "beat 1": lambda: hoof(1),
    "beat 2": lambda: hoof(2),
    "beat 3": lambda: hoof(3),
    "smooth": _swallow,
}
