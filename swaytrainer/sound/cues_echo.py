"""Echo's calls: with closed eyes they alone say where to go and what to do."""

from __future__ import annotations

from collections.abc import Callable, Sequence
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


def _run(semitones: Sequence[float], step_s: float, decay_s: float, peak: float = 1.0) -> Samples:
    notes = [(k * step_s, note(pitch_hz(s), 0.35, decay_s)) for k, s in enumerate(semitones)]
    return levelled(sequence(notes), CUE_PEAK * peak)


def _chirp(low: float, high: float, seconds: float = 0.14) -> Samples:
    """A glide between two pitches (semitones): a bat's call, brought down to where we hear."""
    t = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    semitones = low + (high - low) * t / seconds
    phase = 2.0 * np.pi * np.cumsum(440.0 * 2.0 ** (semitones / 12.0)) / RATE_HZ
    return levelled(ramped(np.sin(phase)), 0.6 * CUE_PEAK)


def _twice(sound: Samples, after_s: float) -> Samples:
    return levelled(sequence([(0.0, sound), (after_s, sound)]), 0.6 * CUE_PEAK)


#: Forward glides up and back glides down; right and left are double knocks, high and low. Arrived
#: is one soft bell and then silence. Look rises, home falls, and the call to fly is bright.
CUES: Final[dict[str, Callable[[], Samples]]] = {
    "echo_look": lambda: _run((3, 10), 0.16, 0.15),
    "echo_forward": lambda: _chirp(3.0, 12.0),
    "echo_back": lambda: _chirp(0.0, -9.0),
    "echo_right": lambda: _twice(note(pitch_hz(7), 0.09, 0.03), 0.1),
    "echo_left": lambda: _twice(note(pitch_hz(-5), 0.09, 0.03), 0.1),
    "echo_here": lambda: _run((15,), 0.1, 0.12, 0.5),
    "echo_felt": lambda: _run((10, 3, -2), 0.15, 0.14),
    "echo_go": lambda: _run((7, 7, 12), 0.12, 0.12),
    "echo_caught": lambda: _run((7, 10, 15, 19), 0.1, 0.2),
    "echo_short": lambda: _run((3, -2), 0.2, 0.14, 0.8),
    "echo_beyond": lambda: _run((-2, 3), 0.2, 0.14, 0.8),
    "echo_missed": lambda: _run((-5, -9), 0.22, 0.16, 0.8),
}
