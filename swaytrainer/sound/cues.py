"""The sounds of the games' own cues, by the word that an event carries.

A game brings its sounds as ``CUES`` of a module ``cues_<game>.py`` beside this one: a word and a
function that makes its samples. It is heard once its ``CUES`` stands in ``SETS`` below.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Final

import numpy as np

from swaytrainer.errors import SwaytrainerError
from swaytrainer.sound import (
    canter,
    cues_echo,
    cues_four_strides,
    cues_grooming,
    cues_picnic,
    cues_ribbon,
    cues_roost,
    cues_tray,
    cues_well,
)
from swaytrainer.sound.tones import CUE_PEAK, Samples, levelled, note, pitch_hz

CueSet = Mapping[str, Callable[[], Samples]]

#: Whose sounds there are. The canter's beats are called by more games than one.
SETS: Final[tuple[CueSet, ...]] = (
    canter.CUES,
    cues_well.CUES,
    cues_roost.CUES,
    cues_echo.CUES,
    cues_tray.CUES,
    cues_picnic.CUES,
    cues_grooming.CUES,
    cues_ribbon.CUES,
    cues_four_strides.CUES,
)


def merged(sets: Sequence[CueSet] = SETS) -> dict[str, Callable[[], Samples]]:
    """All words and what makes their sounds.

    Raises:
        SwaytrainerError: two sets have the same word, or one is empty.

    >>> sorted(merged((canter.CUES,)))
    ['beat 1', 'beat 2', 'beat 3']
    """
    found: dict[str, Callable[[], Samples]] = {}
    for cues in sets:
        for word, make in cues.items():
            if not word:
                raise SwaytrainerError("A cue without a word.", "Name it in its CUES.")
            if word in found:
                raise SwaytrainerError(
                    f"Two games have a sound for “{word}”.", "Rename one of them in its CUES."
                )
            found[word] = make
    return found


def made(word: str, make: Callable[[], Samples]) -> Samples:
    """The samples of a cue, no louder than any other.

    Raises:
        SwaytrainerError: it is empty, not one row of numbers, or not finite.
    """
    samples = np.asarray(make(), dtype=np.float64)
    if samples.ndim != 1 or not len(samples) or not np.isfinite(samples).all():
        raise SwaytrainerError(
            f"The sound for “{word}” is no row of finite samples.", "Mend it in its CUES."
        )
    return levelled(samples) if np.abs(samples).max() > CUE_PEAK else samples


def unnamed() -> Samples:
    """For a word that has neither sound nor voice: somebody who can't see must hear the call."""
    return levelled(note(pitch_hz(3), 0.2, 0.06))
