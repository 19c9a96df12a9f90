from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from swaytrainer.errors import SwaytrainerError
from swaytrainer.sound.canter import (
    BEAT_PEAK,
    BEAT_PHASES,
    CUES,
    beat,
    beats_between,
    canter_loop,
)
from tests.sound.listening import steepest
from tests.sound.test_tones import onsets


@pytest.mark.parametrize("number", [1, 2, 3])
def test_a_beat_is_short_levelled_and_without_a_click(number: int) -> None:
    samples = beat(number)
    assert 0.5 * BEAT_PEAK < np.abs(samples).max() <= BEAT_PEAK
    assert steepest(samples) < 0.2 * BEAT_PEAK
    np.testing.assert_array_equal(CUES[f"beat {number}"](), samples)


@pytest.mark.parametrize("stride_hz", [1.6, 1.8, 2.0])
def test_three_beats_a_stride_then_air(stride_hz: float) -> None:
    strides = 8
    heard = np.array(onsets(canter_loop(stride_hz, strides / stride_hz)))
    meant = np.array([(s + p) / stride_hz for s in range(strides) for p in BEAT_PHASES])
    assert len(heard) == len(meant)
    assert np.abs(heard - meant).max() < 0.015
    gaps = np.diff(heard)
    # The longest silence is the one after the third beat.
    assert np.all(gaps[2::3] > 1.5 * np.delete(gaps, np.s_[2::3]).max())


def test_whole_strides_loop_without_a_seam() -> None:
    loop = canter_loop(2.0, 1.0)
    twice = np.concatenate((loop, loop))
    assert steepest(twice) < 0.2 * BEAT_PEAK
    np.testing.assert_allclose(canter_loop(2.0, 2.0)[len(loop) :], loop, atol=1e-12)


@given(st.floats(0.5, 3.0), st.lists(st.floats(0.0, 20.0), min_size=2, max_size=8))
def test_stretches_side_by_side_give_each_beat_once(stride_hz: float, cuts: list[float]) -> None:
    cuts = sorted(cuts)
    pieces = [
        found
        for begin, end in itertools.pairwise(cuts)
        for found in beats_between(begin, end, stride_hz)
    ]
    assert pieces == beats_between(cuts[0], cuts[-1], stride_hz)
    times = [time_s for time_s, _ in pieces]
    assert times == sorted(times)
    assert all(b == a % 3 + 1 for (_, a), (_, b) in itertools.pairwise(pieces))


@pytest.mark.parametrize("rate", [0.0, -1.8, 4.0, math.nan, math.inf])
def test_what_is_no_canter_is_refused(rate: float) -> None:
    with pytest.raises(SwaytrainerError, match="no canter"):
        beats_between(0.0, 1.0, rate)
    with pytest.raises(SwaytrainerError, match="no canter"):
        canter_loop(rate, 5.0)


@pytest.mark.parametrize("seconds", [0.0, -1.0, 0.3, math.nan, math.inf])
def test_nor_is_less_than_a_stride(seconds: float) -> None:
    with pytest.raises(SwaytrainerError, match="stride"):
        canter_loop(2.0, seconds)


def test_no_fourth_beat_and_no_endless_stretch() -> None:
    with pytest.raises(SwaytrainerError, match="no beat 4"):
        beat(4)
    with pytest.raises(SwaytrainerError, match="without an end"):
        beats_between(0.0, math.inf, 1.8)
