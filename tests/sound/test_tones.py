from __future__ import annotations

import itertools
import math

import numpy as np
import pytest

from swaytrainer.sound.tones import (
    CUE_PEAK,
    RATE_HZ,
    RUN_STEP_S,
    Cue,
    Samples,
    cue,
    end_with_mark,
    mark_run,
    run_length,
    to_int16,
)
from tests.sound.listening import pitch_by_fft, steepest


def bound(peak: float, frequency_hz: float) -> float:
    """The largest step of a sine: 2π f / rate; twice that, for partials and overlap."""
    return 2 * peak * math.tau * frequency_hz / RATE_HZ


def onsets(samples: Samples) -> list[float]:
    """Times (s) at which the loudness rises from a dip to more than double: struck notes."""
    window = round(0.01 * RATE_HZ)
    usable = len(samples) // window * window
    loudness = np.sqrt((samples[:usable].reshape(-1, window) ** 2).mean(axis=1))
    found: list[float] = []
    floor = 0.0
    armed = True
    for k, level in enumerate(loudness):
        if armed and level > max(2.0 * floor, 0.05):
            found.append(k * window / RATE_HZ)
            armed = False
            floor = level
        elif not armed and level < 0.5 * floor:
            armed = True
            floor = level
        else:
            floor = max(floor, level) if not armed else min(floor, level)
    return found


@pytest.mark.parametrize("which", list(Cue))
def test_cues_are_levelled_and_neither_begin_nor_end_nor_run_with_a_click(which: Cue) -> None:
    samples = cue(which)
    peak = float(np.abs(samples).max())
    assert peak == pytest.approx(CUE_PEAK * (0.5 if which is Cue.CREATURE else 1.0))
    assert abs(samples[0]) < 0.01
    assert abs(samples[-1]) < 0.01
    assert steepest(samples) < bound(peak, 1400.0)
    assert 0.1 < len(samples) / RATE_HZ < 2.0


def test_no_two_cues_are_the_same_sound() -> None:
    assert len({to_int16(cue(which)).tobytes() for which in Cue}) == len(Cue)


@pytest.mark.parametrize("mark", [0.0, 0.4, 1.0, 3.2, 5.5, 7.4, 9.6, 10.0])
def test_the_mark_can_be_counted(mark: float) -> None:
    times = onsets(mark_run(mark))
    assert len(times) == run_length(mark) + 1  # and the chord
    steps = np.diff(times)
    assert np.all(np.abs(steps[:-1] - RUN_STEP_S) < 0.03)


def test_the_run_rises_note_by_note() -> None:
    samples = mark_run(10.0)
    step = round(RUN_STEP_S * RATE_HZ)
    pitches = [pitch_by_fft(samples[k * step : (k + 1) * step]) for k in range(10)]
    assert all(later > earlier for earlier, later in itertools.pairwise(pitches))


def test_no_mark_is_two_falling_notes_unlike_any_mark() -> None:
    samples = mark_run(None)
    times = onsets(samples)
    assert len(times) == 2
    middle = round(times[1] * RATE_HZ)
    assert pitch_by_fft(samples[middle:]) < pitch_by_fft(samples[:middle])


def test_the_end_s_bell_comes_before_the_mark() -> None:
    whole, bell, run = end_with_mark(6.0), cue(Cue.END), mark_run(6.0)
    np.testing.assert_array_equal(whole[: len(bell)], bell)
    np.testing.assert_array_equal(whole[-len(run) :], run)
    assert len(whole) > len(bell) + len(run)


@pytest.mark.parametrize("mark", [None, 0.0, 10.0])
def test_marks_are_levelled_without_clicks(mark: float | None) -> None:
    samples = mark_run(mark)
    assert float(np.abs(samples).max()) == pytest.approx(CUE_PEAK)
    assert steepest(samples) < bound(CUE_PEAK, 1400.0)


def test_sixteen_bits_are_stereo_clipped_and_scaled() -> None:
    whole = to_int16(np.array([0.0, 0.5, 2.0, -2.0]), volume=1.0)
    assert whole.dtype == np.int16
    assert whole.tolist() == [[0, 0], [16384, 16384], [32767, 32767], [-32767, -32767]]
    assert np.abs(to_int16(np.array([1.0]), volume=0.25)).max() == 8192


def test_left_and_right_are_kept_apart() -> None:
    assert to_int16(np.array([[0.5, -0.25]]), volume=0.5).tolist() == [[8192, -4096]]
