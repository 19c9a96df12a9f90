"""The canter as it is heard: three beats, then a moment of suspension.

Stride rate 1.6 to 2 a second, three beats then suspension: common practice, no source. The beats'
places in the stride are known from memory, of an even three-beat canter: the outside hind foot, the
inside hind with the outside fore, the inside fore, each about a quarter of a stride after the last,
and the rest of the stride is air. The middle beat, of two feet, is the heaviest.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Final

import numpy as np

from swaytrainer.errors import SwaytrainerError
from swaytrainer.sound.tones import RATE_HZ, Samples, levelled, ramped

#: Phase of each beat within the stride, 0 to 1.
BEAT_PHASES: Final = (0.0, 0.25, 0.5)
CANTER_HZ: Final = (1.6, 2.0)
BEAT_PEAK: Final = 0.35
#: Loudness, pitch where the thud begins (Hz) and ends of each beat.
_BEATS: Final = ((0.75, 150.0, 75.0), (1.0, 120.0, 60.0), (0.85, 180.0, 90.0))
_BEAT_S: Final = 0.13
_DECAY_S: Final = 0.035
#: Rates a loop is made for: wider than a canter's, to begin slowly.
_RATES_HZ: Final = (0.5, 3.0)


def beat(number: int) -> Samples:
    """The sound of one beat, 1 to 3: a hoof on soft ground, a thud that falls in pitch.

    Raises:
        SwaytrainerError: there is no such beat.
    """
    if number not in (1, 2, 3):
        raise SwaytrainerError(f"A canter has no beat {number}.", "Ask for beat 1, 2 or 3.")
    strength, from_hz, to_hz = _BEATS[number - 1]
    t = np.arange(round(_BEAT_S * RATE_HZ)) / RATE_HZ
    falling = to_hz + (from_hz - to_hz) * np.exp(-t / 0.02)
    phases = math.tau * np.cumsum(falling) / RATE_HZ
    # The higher partials say where in time the beat is, on a loudspeaker without bass too.
    thud = np.sin(phases) + 0.5 * np.sin(3.0 * phases) * np.exp(-t / 0.012)
    return levelled(ramped(thud * np.exp(-t / _DECAY_S)), strength * BEAT_PEAK)


def beats_between(from_s: float, to_s: float, stride_hz: float) -> list[tuple[float, int]]:
    """The beats due in a stretch of time, as (time in s, beat 1 to 3); strides begin at time 0.

    Args:
        from_s, to_s: the stretch, its end excluded, so that stretches side by side give each beat
            once.
        stride_hz: strides a second.

    Raises:
        SwaytrainerError: the rate is none of a canter's, or a time is no number.

    >>> beats_between(0.0, 0.6, 2.0)
    [(0.0, 1), (0.125, 2), (0.25, 3), (0.5, 1)]
    """
    _check_rate(stride_hz)
    if not (math.isfinite(from_s) and math.isfinite(to_s)):
        raise SwaytrainerError("A stretch of time without an end.", "Give both times in seconds.")
    found = []
    for stride in range(math.floor(from_s * stride_hz) - 1, math.ceil(to_s * stride_hz) + 1):
        for number, phase in enumerate(BEAT_PHASES, start=1):
            at_s = (stride + phase) / stride_hz
            if from_s <= at_s < to_s:
                found.append((at_s, number))
    return found


def canter_loop(stride_hz: float, seconds: float) -> Samples:
    """So many seconds of canter, from the first beat of a stride.

    A beat that sounds on beyond the end is laid over the beginning: whole strides loop seamlessly.

    Args:
        stride_hz: strides a second; a canter has about 1.6 to 2.
        seconds: length, at least one stride, at most ten minutes.

    Raises:
        SwaytrainerError: a rate or a length outside these.
    """
    _check_rate(stride_hz)
    if not 1.0 / stride_hz <= seconds <= 600.0:
        raise SwaytrainerError(
            f"A canter of {seconds:g} s is none.", "Give from one stride to ten minutes."
        )
    length = round(seconds * RATE_HZ)
    sound = np.zeros(length)
    beats = [beat(number) for number in (1, 2, 3)]
    for at_s, number in beats_between(0.0, seconds, stride_hz):
        samples = beats[number - 1]
        places = (round(at_s * RATE_HZ) + np.arange(len(samples))) % length
        sound[places] += samples
    return sound


def _check_rate(stride_hz: float) -> None:
    if not _RATES_HZ[0] <= stride_hz <= _RATES_HZ[1]:
        raise SwaytrainerError(
            f"{stride_hz:g} strides a second are no canter.",
            f"Give {CANTER_HZ[0]:g} to {CANTER_HZ[1]:g}.",
        )


#: By the word of a game's cue.
CUES: Final[dict[str, Callable[[], Samples]]] = {
    "beat 1": lambda: beat(1),
    "beat 2": lambda: beat(2),
    "beat 3": lambda: beat(3),
}
