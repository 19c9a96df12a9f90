"""The games' own sounds: none clicks, none is too loud, and every word called has one."""

from __future__ import annotations

import numpy as np
import pytest

from swaytrainer.players import grooming, picnic
from swaytrainer.players.weight import play_trial
from swaytrainer.sound import cues_grooming, cues_picnic
from swaytrainer.sound.tones import CUE_PEAK, RATE_HZ

ALL = {**cues_picnic.CUES, **cues_grooming.CUES}


@pytest.mark.parametrize("word", ALL)
def test_a_cue_is_short_begins_and_ends_in_silence_and_is_the_same_again(word: str) -> None:
    sound = ALL[word]()
    assert 0.1 < len(sound) / RATE_HZ < 1.2
    assert 0.2 * CUE_PEAK < np.abs(sound).max() <= CUE_PEAK + 1e-9
    assert abs(sound[0]) < 0.01 * CUE_PEAK
    assert abs(sound[-1]) < 0.01 * CUE_PEAK
    np.testing.assert_array_equal(sound, ALL[word]())


def test_every_word_that_is_called_has_a_sound() -> None:
    called = set()
    for module, cheat in ((picnic, "on a corner"), (picnic, None), (grooming, None)):
        for skill in (0.1, 0.9):
            body = module.Player(module.LEVEL, skill, 2, cheat)
            called |= {e.word for e in play_trial(module.LEVEL, body, 2).events if e.word}
    assert called == set(ALL)
