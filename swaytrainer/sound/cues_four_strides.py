"""What the four strides call out beside the canter's beats: their bell, and their number."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from swaytrainer.sound.tones import CUE_PEAK, Samples, levelled, note, pitch_hz, sequence


def _bell() -> Samples:
    """Now: one bright stroke, unlike any hoof."""
    partials = [(0.0, note(pitch_hz(s), 0.5, 0.2)) for s in (7, 14)]
    return levelled(sequence(partials), 0.9 * CUE_PEAK)


def _count(number: int) -> Samples:
    """A stride has been stood: a short stroke, each a step higher."""
    semitones = (0, 3, 5, 10)[number - 1]
    return levelled(note(pitch_hz(semitones), 0.2, 0.07), 0.55 * CUE_PEAK)


CUES: Final[dict[str, Callable[[], Samples]]] = {
    "now": _bell,
    "stride 1": lambda: _count(1),
    "stride 2": lambda: _count(2),
    "stride 3": lambda: _count(3),
    "stride 4": lambda: _count(4),
}
