"""Synthesis of the short cues, and of the mark as a rising run where no voice can tell it.

Pure: arrays of samples between -1 and 1 at ``RATE_HZ``. Every sound begins and ends at zero, so
that none begins or ends with a click.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

Samples = NDArray[np.float64]

RATE_HZ = 44_100
#: The loudest sample of any cue: leaves room for the tone and the voice beside it.
CUE_PEAK = 0.4
ATTACK_S = 0.006
RELEASE_S = 0.03

#: Notes are semitones from A4, equal temperament. The rising run is pentatonic: wherever it
#: stops, it sounds finished.
RUN_SEMITONES = (-9, -7, -5, -2, 0, 3, 5, 7, 10, 12)
RUN_STEP_S = 0.17
CHORD_SEMITONES = (3, 7, 10, 15)
NO_MARK_SEMITONES = (-5, -9)
#: Between the end's bell and the mark: long enough to tell one from the other.
MARK_PAUSE_S = 0.35


class Cue(StrEnum):
    """The short sounds, each for one moment."""

    STEPPED_ON = "stepped on"
    TICK = "tick"
    START = "start"
    HALF_TIME = "half time"
    END = "end"
    STEP_OFF = "step off"
    STEP_BACK = "step back"
    SIGNAL_LOST = "signal lost"
    SIGNAL_BACK = "signal back"
    REST_OVER = "rest over"
    FINISHED = "finished"
    CREATURE = "creature"


def pitch_hz(semitones: float) -> float:
    """The frequency so many semitones from A4.

    >>> pitch_hz(12)
    880.0
    """
    return 440.0 * math.pow(2.0, semitones / 12)


def ramped(samples: Samples) -> Samples:
    """The samples with a raised-cosine rise and fall at their ends; a copy."""
    shaped = samples.copy()
    attack = min(len(shaped) // 2, round(ATTACK_S * RATE_HZ))
    release = min(len(shaped) // 2, round(RELEASE_S * RATE_HZ))
    if attack:
        shaped[:attack] *= 0.5 - 0.5 * np.cos(np.pi * np.arange(attack) / attack)
    if release:
        shaped[-release:] *= 0.5 + 0.5 * np.cos(np.pi * (np.arange(release) + 1) / release)
    return shaped


def note(frequency_hz: float, seconds: float, decay_s: float = 0.12) -> Samples:
    """A soft struck note: a sine and two quieter partials that die away sooner."""
    t = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    sound = np.zeros_like(t)
    for partial, strength in ((1, 1.0), (2, 0.35), (3, 0.12)):
        sound += (
            strength
            * np.sin(math.tau * frequency_hz * partial * t)
            * np.exp(-t * partial / decay_s)
        )
    return ramped(sound)


def levelled(samples: Samples, peak: float = CUE_PEAK) -> Samples:
    """The samples with their largest at ``peak``; silence stays silence."""
    loudest = float(np.max(np.abs(samples), initial=0.0))
    return samples * (peak / loudest) if loudest > 0 else samples


def sequence(notes: Sequence[tuple[float, Samples]]) -> Samples:
    """Sounds laid over one another, each from its own start in seconds."""
    starts = [round(start_s * RATE_HZ) for start_s, _ in notes]
    length = max(
        (start + len(sound) for start, (_, sound) in zip(starts, notes, strict=True)), default=0
    )
    total = np.zeros(length)
    for start, (_, sound) in zip(starts, notes, strict=True):
        total[start : start + len(sound)] += sound
    return total


def _notes(semitones: Sequence[float], step_s: float, seconds: float, decay_s: float) -> Samples:
    return sequence(
        [(k * step_s, note(pitch_hz(s), seconds, decay_s)) for k, s in enumerate(semitones)]
    )


#: What each cue plays. Rising asks to go on, falling says that something stopped; the two that
#: must not be mistaken, off and lost, also differ in rhythm.
_SCORES: dict[Cue, Callable[[], Samples]] = {
    Cue.STEPPED_ON: lambda: _notes((-9, -2), 0.1, 0.3, 0.1),
    Cue.TICK: lambda: _notes((0,), 0.1, 0.14, 0.06),
    Cue.START: lambda: _notes((12,), 0.1, 0.7, 0.25),
    Cue.HALF_TIME: lambda: _notes((7, 7), 0.16, 0.3, 0.09),
    Cue.END: lambda: _notes((12, 7, 3), 0.16, 0.8, 0.25),
    Cue.STEP_OFF: lambda: _notes((-2, -9), 0.13, 0.4, 0.14),
    Cue.STEP_BACK: lambda: _notes((-9, -2, 3), 0.11, 0.35, 0.12),
    Cue.SIGNAL_LOST: lambda: _notes((-12, -12, -12), 0.28, 0.24, 0.15),
    Cue.SIGNAL_BACK: lambda: _notes((-12, 0), 0.14, 0.4, 0.15),
    Cue.REST_OVER: lambda: _notes((0, 3, 7), 0.14, 0.4, 0.14),
    Cue.FINISHED: lambda: _notes((3, 7, 10, 15, 10, 15), 0.17, 0.6, 0.22),
    Cue.CREATURE: lambda: _notes((15, 19), 0.07, 0.22, 0.07),
}


def cue(which: Cue) -> Samples:
    """The samples of a cue, its loudest at ``CUE_PEAK``. The guest's greeting is a quieter one."""
    return levelled(_SCORES[which](), CUE_PEAK * (0.5 if which is Cue.CREATURE else 1.0))


def run_length(mark: float) -> int:
    """How many notes tell a mark: one for each point, halves rounded up.

    >>> run_length(7.4), run_length(7.5), run_length(12.0)
    (7, 8, 10)
    """
    return min(len(RUN_SEMITONES), max(0, math.floor(mark + 0.5)))


def mark_run(mark: float | None) -> Samples:
    """The mark as it is heard: a rising note for each point, then a chord; two falling for none."""
    if mark is None:
        return levelled(_notes(NO_MARK_SEMITONES, 0.25, 0.5, 0.18))
    count = run_length(mark)
    parts = [
        (k * RUN_STEP_S, note(pitch_hz(s), 0.3, 0.05)) for k, s in enumerate(RUN_SEMITONES[:count])
    ]
    chord = (count + 0.8) * RUN_STEP_S
    parts += [(chord, 0.5 * note(pitch_hz(s), 1.1, 0.35)) for s in CHORD_SEMITONES]
    return levelled(sequence(parts))


def end_with_mark(mark: float | None) -> Samples:
    """The end's bell, a pause, and the mark."""
    bell = cue(Cue.END)
    return sequence([(0.0, bell), (len(bell) / RATE_HZ + MARK_PAUSE_S, mark_run(mark))])


def to_int16(samples: Samples, volume: float = 1.0) -> NDArray[np.int16]:
    """Stereo sixteen-bit samples, shape (N, 2), clipped, never wrapped.

    Args:
        samples: shape (N,), to be heard on both sides alike, or (N, 2), left then right.
        volume: 0 to 1.
    """
    whole = np.clip(np.round(samples * volume * 32767), -32767, 32767).astype(np.int16)
    return np.ascontiguousarray(whole if whole.ndim == 2 else np.column_stack((whole, whole)))
