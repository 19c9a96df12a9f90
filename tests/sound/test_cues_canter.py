"""What the games of the canter call has a sound, and the beats fall as they sound."""

import numpy as np

from swaytrainer.sound.canter import BEAT_PHASES
from swaytrainer.sound.cues import merged
from swaytrainer.sound.tones import RATE_HZ
from swaytrainer.training.tasks.canter import BEATS
from tests.training.tasks.test_four_strides import stood, swaying


def test_the_rules_and_the_sound_have_the_same_canter() -> None:
    assert BEATS == BEAT_PHASES


def test_every_word_called_has_a_sound() -> None:
    words = {word for word, _ in stood(swaying())[1]} | {"smooth"}
    assert words == {"beat 1", "beat 2", "beat 3", "now", "smooth"} | {
        f"stride {k}" for k in (1, 2, 3, 4)
    }
    assert words <= set(merged())


def test_the_four_counts_rise() -> None:
    def pitch_hz(word: str) -> float:
        samples = merged()[word]()
        power = np.abs(np.fft.rfft(samples, 1 << 16)) ** 2
        return float(power.argmax()) * RATE_HZ / (1 << 16)

    pitches = [pitch_hz(f"stride {k}") for k in (1, 2, 3, 4)]
    assert pitches == sorted(set(pitches))
