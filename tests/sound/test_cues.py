from __future__ import annotations

import numpy as np
import pytest

from swaytrainer.errors import SwaytrainerError
from swaytrainer.sound.cues import SETS, made, merged, unnamed
from swaytrainer.sound.tones import CUE_PEAK, RATE_HZ, note
from tests.sound.listening import steepest

TOY = {"gust": lambda: note(300.0, 0.2), "calm": lambda: 0.1 * note(200.0, 0.2)}


def test_a_game_s_sounds_join_the_others() -> None:
    words = merged((*SETS, TOY))
    assert {"gust", "calm", "beat 1"} <= set(words)


def test_every_cue_there_is_can_be_heard_is_levelled_and_does_not_click() -> None:
    for word, make in merged().items():
        samples = made(word, make)
        assert 0.0 < np.abs(samples).max() <= CUE_PEAK, word
        assert steepest(samples) < 0.25 * CUE_PEAK, word
        assert len(samples) < 3 * RATE_HZ, word
    assert 0.0 < np.abs(unnamed()).max() <= CUE_PEAK


def test_too_loud_is_levelled_and_quiet_stays_quiet() -> None:
    assert np.abs(made("gust", lambda: 7.0 * TOY["gust"]())).max() == pytest.approx(CUE_PEAK)
    assert np.abs(made("calm", TOY["calm"])).max() < 0.5 * CUE_PEAK


def test_two_sounds_for_one_word_are_refused() -> None:
    with pytest.raises(SwaytrainerError, match="Two games have a sound for “gust”"):
        merged((TOY, {"gust": TOY["calm"]}))
    with pytest.raises(SwaytrainerError, match="without a word"):
        merged(({"": TOY["calm"]},))


@pytest.mark.parametrize(
    "bad", [np.zeros(0), np.zeros((5, 2)), np.array([0.0, np.nan]), np.array([np.inf])]
)
def test_what_is_no_sound_is_refused(bad: np.ndarray) -> None:
    with pytest.raises(SwaytrainerError, match="no row of finite samples"):
        made("gust", lambda: bad)
