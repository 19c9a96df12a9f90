"""Tray's calls: two orders that nobody takes for each other, and what the turns ask."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final

from swaytrainer.sound.tones import CUE_PEAK, Samples, levelled, note, pitch_hz, sequence


def _run(semitones: Sequence[float], step_s: float, decay_s: float, peak: float = 1.0) -> Samples:
    notes = [(k * step_s, note(pitch_hz(s), 0.4, decay_s)) for k, s in enumerate(semitones)]
    return levelled(sequence(notes), CUE_PEAK * peak)


#: The cup is one bright ring, the cake two dark knocks: told by pitch and by rhythm.
CUES: Final[dict[str, Callable[[], Samples]]] = {
    "tray_cup": lambda: _run((17,), 0.1, 0.2, 0.8),
    "tray_cake": lambda: _run((-9, -9), 0.13, 0.05),
    "tray_throw": lambda: _run((3, 10), 0.09, 0.07),
    "tray_alone": lambda: _run((7, 0), 0.2, 0.2, 0.7),
    "tray_busy": lambda: _run((0, 7), 0.2, 0.2, 0.7),
    "tray_ask": lambda: _run((0, 5, 3, 8), 0.14, 0.12, 0.8),
    "tray_right": lambda: _run((7, 12, 15), 0.1, 0.2),
    "tray_wrong": lambda: _run((-2, -5), 0.2, 0.15, 0.8),
}
