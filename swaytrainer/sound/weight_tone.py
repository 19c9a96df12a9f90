"""The tone for where the weight is: pitch tells toes from heels, stereo place left from right.

Silence is the reward: inside the band nothing is heard. Outside it, with the eyes closed, fore–aft
becomes rising and falling pitch and side to side becomes the place between the two ears (audio
feedback on foam with the eyes closed reduced sway: Dozza, Chiari, Horak, J NeuroEng Rehabil
2005;2:13; the mapping here is our own choice).

Pure: blocks of samples between -1 and 1 at ``RATE_HZ``, shape (N, 2), left then right. Blocks
follow one another without a break in phase, pitch or loudness, whatever the weight does.
"""

from __future__ import annotations

import math
from typing import Final, NamedTuple

import numpy as np

from swaytrainer.sound.tones import RATE_HZ, Samples

TONE_PEAK: Final = 0.25
#: The pitch in the middle of the band (where it is silent): A4.
MIDDLE_HZ: Final = 440.0
#: So many per cent of toe share double the pitch, or halve it.
OCTAVE_PERCENT: Final = 25.0
#: Beyond so many octaves from the middle the pitch stays.
OCTAVES: Final = 1.25
#: The tone fades in over so many per cent beyond the band, lest it chatter at its edge.
FADE_PERCENT: Final = 1.5
#: With so much of the weight more on one foot, the sound comes from that side alone.
SIDE_PERCENT: Final = 20.0
#: Full loudness takes at least this long to come or go, whatever the block's length.
SLEW_S: Final = 0.02
#: While somebody speaks, the tone steps back to this share of its loudness.
DUCKED: Final = 0.2
#: The largest of sin x + ¼ sin 2x, where cos x = (√3 − 1)/2.
_WAVE_PEAK: Final = 1.1009


class Aim(NamedTuple):
    """What is to be heard: a pitch and how loud it is on either side, 0 to 1."""

    frequency_hz: float
    left: float
    right: float

    @property
    def silent(self) -> bool:
        """Whether there is nothing to hear."""
        return self.left == 0.0 and self.right == 0.0


SILENCE: Final = Aim(MIDDLE_HZ, 0.0, 0.0)


class ToneState(NamedTuple):
    """Where a block ended: the next begins there."""

    phase: float
    heard: Aim


START: Final = ToneState(0.0, SILENCE)


def aim(
    toe_share_percent: float,
    right_share_percent: float,
    low_percent: float,
    high_percent: float,
    loudness: float = 1.0,
) -> Aim:
    """What a place of the weight sounds like.

    Pitch: ``MIDDLE_HZ · 2^((toe share − middle of the band) / OCTAVE_PERCENT)``, within ``OCTAVES``
    of the middle. Place: equal power, so that moving to a side is not louder; the angle runs from
    the left ear at a right share of 50 − ``SIDE_PERCENT`` to the right ear at 50 + it.

    Args:
        toe_share_percent: NaN or infinite (no COP) is silence.
        right_share_percent: NaN is heard in the middle.
        low_percent, high_percent: the band of the toe share.
        loudness: 0 to 1, of all of it.

    >>> aim(67.5, 50.0, 35.0, 50.0).frequency_hz
    880.0
    >>> aim(67.5, 90.0, 35.0, 50.0)[1:], aim(40.0, 90.0, 35.0, 50.0).silent
    ((0.0, 1.0), True)
    """
    if not (math.isfinite(toe_share_percent) and math.isfinite(low_percent + high_percent)):
        return SILENCE
    beyond = max(toe_share_percent - high_percent, low_percent - toe_share_percent)
    octaves = (toe_share_percent - 0.5 * (low_percent + high_percent)) / OCTAVE_PERCENT
    frequency = MIDDLE_HZ * 2.0 ** min(max(octaves, -OCTAVES), OCTAVES)
    if beyond <= 0.0:
        return Aim(frequency, 0.0, 0.0)
    edge = min(beyond / FADE_PERCENT, 1.0)
    loud = min(max(loudness, 0.0), 1.0) * edge * edge * (3.0 - 2.0 * edge)
    side = 0.0
    if math.isfinite(right_share_percent):
        side = min(max((right_share_percent - 50.0) / SIDE_PERCENT, -1.0), 1.0)
    if abs(side) == 1.0:
        return Aim(frequency, 0.0, loud) if side > 0.0 else Aim(frequency, loud, 0.0)
    angle = 0.25 * math.pi * (1.0 + side)
    return Aim(frequency, loud * math.cos(angle), loud * math.sin(angle))


def block(state: ToneState, n_samples: int, wanted: Aim) -> tuple[Samples, ToneState]:
    """The next ``n_samples``, gliding from where the last block ended to what is wanted.

    Args:
        state: where the last block ended; ``START`` at first.
        n_samples: length of the block, 1 or more.
        wanted: reached at the block's end; the loudness later if the block is shorter than
            ``SLEW_S`` and the change is large.

    Returns:
        Samples, shape (n_samples, 2), and the state for the next block. The same arguments give
        the same block, so that one that has not been heard yet can be made again.
    """
    phase, heard = state
    frequency = wanted.frequency_hz
    begin_hz = heard.frequency_hz
    if heard.silent:
        # Nothing is heard yet: begin at the pitch, without a glide from the last one.
        begin_hz = frequency
    elif wanted.silent:
        frequency = begin_hz
    reach = n_samples / (SLEW_S * RATE_HZ)
    left = min(max(wanted.left, heard.left - reach), heard.left + reach)
    right = min(max(wanted.right, heard.right - reach), heard.right + reach)
    end = Aim(frequency, left, right)
    if heard.silent and end.silent:
        return np.zeros((n_samples, 2)), ToneState(phase, end)
    way = np.arange(1, n_samples + 1) / n_samples
    phases = phase + np.cumsum(math.tau / RATE_HZ * (begin_hz + (frequency - begin_hz) * way))
    # The octave above, quieter: small loudspeakers hardly give the low pitches' own frequency.
    wave = TONE_PEAK / _WAVE_PEAK * (np.sin(phases) + 0.25 * np.sin(2.0 * phases))
    # Raised cosine in time: a straight ramp has corners that can be heard as ticks.
    swell = 0.5 - 0.5 * np.cos(np.pi * way)
    sides = np.array((heard.left, heard.right)) + swell[:, None] * np.array(
        (left - heard.left, right - heard.right)
    )
    return wave[:, None] * sides, ToneState(float(phases[-1]) % math.tau, end)
