"""The canter's sounds: click-free, not too loud, and each game's words are all there."""

from collections.abc import Callable

import numpy as np
import pytest

from swaytrainer.sound import cues_four_strides, cues_ribbon
from swaytrainer.sound.tones import CUE_PEAK, RATE_HZ, Samples

ALL = {**cues_ribbon.CUES, **cues_four_strides.CUES}


@pytest.mark.parametrize("make", ALL.values(), ids=list(ALL))
def test_a_cue_begins_and_ends_at_zero_and_leaves_room(make: Callable[[], Samples]) -> None:
    samples = make()
    assert abs(samples[0]) < 1e-3
    assert abs(samples[-1]) < 1e-3
    assert 0.05 < np.abs(samples).max() <= CUE_PEAK + 1e-9
    assert np.abs(np.diff(samples)).max() < 0.25  # no click
    assert (make() == samples).all()


def test_a_hoofbeat_is_over_before_the_next_at_the_quickest_canter() -> None:
    for beat in (1, 2, 3):
        assert len(cues_ribbon.hoof(beat)) / RATE_HZ < 0.24 / 1.6


def test_the_first_beat_is_the_lowest_and_the_strongest() -> None:
    def loud_and_pitch(beat: int) -> tuple[float, float]:
        samples = cues_ribbon.hoof(beat)
        power = np.abs(np.fft.rfft(samples, 1 << 16)) ** 2
        return float(np.abs(samples).max()), float(power.argmax()) * RATE_HZ / (1 << 16)

    (loud, low), (second, higher), (third, highest) = (loud_and_pitch(k) for k in (1, 2, 3))
    assert loud > second > third
    assert low < higher < highest
