from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from swaytrainer.sound.tones import (
    CUE_PEAK,
    RATE_HZ,
    RUN_STEP_S,
    TONE_PEAK,
    Cue,
    Samples,
    ToeTone,
    cue,
    end_with_mark,
    mark_run,
    run_length,
    to_int16,
)

LOW, HIGH = 35.0, 50.0
BLOCK = 2048


def steepest(samples: Samples) -> float:
    """The largest step between neighbours, silence before and after included."""
    return float(np.abs(np.diff(np.concatenate(([0.0], samples, [0.0])))).max())


def bound(peak: float, frequency_hz: float) -> float:
    """The largest step of a sine: 2π f / rate; twice that, for partials and overlap."""
    return 2 * peak * math.tau * frequency_hz / RATE_HZ


def pitch_by_fft(samples: Samples) -> float:
    spectrum = np.abs(np.fft.rfft(samples * np.hanning(len(samples))))
    return float(np.argmax(spectrum) * RATE_HZ / len(samples))


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


def steady(toe_share: float) -> Samples:
    """The tone once it has settled."""
    tone = ToeTone()
    tone.block(BLOCK, toe_share, LOW, HIGH, True)
    return np.concatenate([tone.block(BLOCK, toe_share, LOW, HIGH, True) for _ in range(8)])


def test_the_pitch_rises_with_the_toe_share_above_the_band() -> None:
    pitches = [pitch_by_fft(steady(share)) for share in (52.0, 56.0, 60.0, 66.0, 72.0)]
    assert all(later > earlier for earlier, later in itertools.pairwise(pitches))
    assert pitches[0] > ToeTone.TOES_HZ * 0.99


def test_the_pitch_falls_with_the_toe_share_below_the_band() -> None:
    pitches = [pitch_by_fft(steady(share)) for share in (33.0, 29.0, 25.0, 19.0, 13.0)]
    assert all(later < earlier for earlier, later in itertools.pairwise(pitches))
    assert pitches[0] < ToeTone.HEELS_HZ * 1.01


def test_heels_are_lower_than_toes_at_any_distance() -> None:
    assert max(pitch_by_fft(steady(s)) for s in (0.0, 20.0, 33.0)) < min(
        pitch_by_fft(steady(s)) for s in (52.0, 60.0, 90.0)
    )


@pytest.mark.parametrize("toe_share", [LOW, 42.0, HIGH, math.nan])
def test_inside_the_band_and_without_a_measure_it_is_silent(toe_share: float) -> None:
    tone = ToeTone()
    tone.block(BLOCK, 70.0, LOW, HIGH, True)
    assert not tone.silent
    tone.block(BLOCK, toe_share, LOW, HIGH, True)
    assert tone.silent
    assert not tone.block(BLOCK, toe_share, LOW, HIGH, True).any()


def test_inactive_fades_out_and_stays_silent() -> None:
    tone = ToeTone()
    loud = tone.block(BLOCK, 70.0, LOW, HIGH, True)
    fading = tone.block(BLOCK, 70.0, LOW, HIGH, False)
    assert steepest(np.concatenate((loud, fading))) < bound(TONE_PEAK, 1100.0)
    assert not tone.block(BLOCK, 70.0, LOW, HIGH, False).any()


@given(
    shares=st.lists(st.one_of(st.floats(-50.0, 150.0), st.just(math.nan)), min_size=1, max_size=12),
    lengths=st.lists(st.integers(1, 3000), min_size=12, max_size=12),
    active=st.lists(st.booleans(), min_size=12, max_size=12),
)
def test_whatever_the_weight_does_there_is_no_click(
    shares: list[float], lengths: list[int], active: list[bool]
) -> None:
    tone = ToeTone()
    blocks = [
        tone.block(n, share, LOW, HIGH, on)
        for share, n, on in zip(shares, lengths, active, strict=False)
    ]
    samples = np.concatenate(blocks)
    assert np.all(np.isfinite(samples))
    assert np.abs(samples).max() <= TONE_PEAK
    # A sine's own step, and a fade over SLEW_S (steepest in its middle: π/2 times the mean).
    fade = TONE_PEAK * math.pi / 2 / (ToeTone.SLEW_S * RATE_HZ)
    assert np.abs(np.diff(samples, prepend=0.0)).max() < bound(TONE_PEAK, 1047.0) + fade


def test_sixteen_bits_are_stereo_clipped_and_scaled() -> None:
    whole = to_int16(np.array([0.0, 0.5, 2.0, -2.0]), volume=1.0)
    assert whole.dtype == np.int16
    assert whole.tolist() == [[0, 0], [16384, 16384], [32767, 32767], [-32767, -32767]]
    assert np.abs(to_int16(np.array([1.0]), volume=0.25)).max() == 8192
