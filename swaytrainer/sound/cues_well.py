"""The well's beat, told by pitch, so that it can be followed with eyes closed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final

from swaytrainer.sound.tones import CUE_PEAK, Samples, levelled, note, pitch_hz, sequence


def _run(semitones: Sequence[float], step_s: float, seconds: float, decay_s: float) -> Samples:
    notes = [(k * step_s, note(pitch_hz(s), seconds, decay_s)) for k, s in enumerate(semitones)]
    return levelled(sequence(notes), 0.8 * CUE_PEAK)


#: By the words that ``training.tasks.well`` calls: falling, low, rising, and two high ones for
#: standing.
CUES: Final[dict[str, Callable[[], Samples]]] = {
    "bucket down": lambda: _run((3, 0, -5), 0.11, 0.25, 0.09),
    "bucket hold": lambda: _run((-9,), 0.1, 0.4, 0.16),
    "bucket up": lambda: _run((-5, 0, 3), 0.11, 0.25, 0.09),
    "bucket stand": lambda: _run((7, 7), 0.14, 0.22, 0.08),
}
