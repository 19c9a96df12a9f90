"""What the ribbon calls out beside the canter's beats: a swallow that comes."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from swaytrainer.sound.tones import CUE_PEAK, Samples, levelled, note, pitch_hz, sequence


def _swallow() -> Samples:
    """Two quick chirps and a lower one, high and quiet."""
    chirps = [(k * 0.09, note(pitch_hz(s), 0.12, 0.04)) for k, s in enumerate((15, 19, 17))]
    return levelled(sequence(chirps), 0.35 * CUE_PEAK)


CUES: Final[dict[str, Callable[[], Samples]]] = {"smooth": _swallow}
