from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from swaytrainer.sound.tones import RATE_HZ, Samples
from swaytrainer.sound.weight_tone import (
    DUCKED,
    FADE_PERCENT,
    MIDDLE_HZ,
    OCTAVE_PERCENT,
    OCTAVES,
    SIDE_PERCENT,
    SLEW_S,
    START,
    TONE_PEAK,
    aim,
    block,
)
from tests.sound.listening import pitch_by_fft

LOW, HIGH = 35.0, 50.0
HIGHEST_HZ = MIDDLE_HZ * 2**OCTAVES
#: A sine's own step at the highest pitch with its octave (weights 1 and 1/4 of 1.1), and a fade
#: over ``SLEW_S``, in a raised cosine's middle π/2 times as steep as on average.
NO_CLICK = TONE_PEAK * (
    1.5 / 1.1 * math.tau * HIGHEST_HZ / RATE_HZ + math.pi / 2 / (SLEW_S * RATE_HZ)
)


def steady(toe_share: float, right_share: float = 50.0, seconds: float = 0.4) -> Samples:
    """The tone once it has settled."""
    wanted = aim(toe_share, right_share, LOW, HIGH)
    _, state = block(START, 2048, wanted)
    return block(state, round(seconds * RATE_HZ), wanted)[0]


@pytest.mark.parametrize("toe_share", [12.0, 20.0, 33.0, 52.0, 60.0, 72.0])
def test_the_pitch_heard_is_the_pitch_meant(toe_share: float) -> None:
    meant = MIDDLE_HZ * 2 ** ((toe_share - 42.5) / OCTAVE_PERCENT)
    assert pitch_by_fft(steady(toe_share)[:, 0]) == pytest.approx(meant, rel=0.002)


@given(st.floats(-50.0, 150.0), st.floats(-50.0, 150.0))
def test_more_on_the_toes_is_never_lower_and_stays_within_the_limits(a: float, b: float) -> None:
    low, high = (aim(share, 50.0, LOW, HIGH).frequency_hz for share in sorted((a, b)))
    assert MIDDLE_HZ / 2**OCTAVES <= low <= high <= HIGHEST_HZ


@given(st.floats(LOW, HIGH), st.floats(0.0, 100.0))
def test_inside_the_band_it_is_silent(toe_share: float, right_share: float) -> None:
    assert aim(toe_share, right_share, LOW, HIGH).silent


@pytest.mark.parametrize("toe_share", [math.nan, math.inf, -math.inf])
def test_without_a_measure_it_is_silent(toe_share: float) -> None:
    assert aim(toe_share, 50.0, LOW, HIGH).silent
    assert aim(70.0, 50.0, math.nan, HIGH).silent


def test_it_fades_in_beyond_the_band() -> None:
    beyond = np.linspace(0.0, 2 * FADE_PERCENT, 61)
    loud = np.array([math.hypot(*aim(HIGH + b, 50.0, LOW, HIGH)[1:]) for b in beyond])
    assert loud[0] == 0.0
    assert np.all(np.diff(loud) >= -1e-12)
    assert loud[-1] == pytest.approx(1.0)
    # A soft edge: the first tenth of the way is heard at less than a thirtieth.
    assert loud[3] < 1 / 30


@given(st.floats(0.0, 100.0))
def test_to_one_side_is_not_louder_and_the_side_is_the_weight_s(right_share: float) -> None:
    _, left, right = aim(70.0, right_share, LOW, HIGH)
    assert math.hypot(left, right) == pytest.approx(1.0)
    if right_share > 50.0 + 1e-6:
        assert right > left
    if right_share < 50.0 - 1e-6:
        assert left > right


def test_at_the_sides_one_ear_hears_nothing_and_an_unknown_side_is_the_middle() -> None:
    assert aim(70.0, 50.0 + SIDE_PERCENT, LOW, HIGH)[1:] == (0.0, 1.0)
    assert aim(70.0, 50.0 - SIDE_PERCENT, LOW, HIGH)[1:] == (1.0, 0.0)
    _, left, right = aim(70.0, math.nan, LOW, HIGH)
    assert left == pytest.approx(right)


def test_the_place_heard_is_the_place_meant() -> None:
    for share in (35.0, 45.0, 50.0, 58.0, 65.0):
        left, right = np.sqrt((steady(70.0, share) ** 2).mean(axis=0))
        place = math.degrees(math.atan2(right, left)) / 90.0
        assert place == pytest.approx(0.5 + (share - 50.0) / (2 * SIDE_PERCENT), abs=1e-3)


def test_ducked_it_is_the_same_tone_quieter() -> None:
    full, quiet = aim(70.0, 60.0, LOW, HIGH), aim(70.0, 60.0, LOW, HIGH, DUCKED)
    assert quiet == pytest.approx((full[0], DUCKED * full[1], DUCKED * full[2]))


def test_the_same_state_gives_the_same_block_and_a_silent_one_is_zeros() -> None:
    wanted = aim(70.0, 60.0, LOW, HIGH)
    _, state = block(START, 512, wanted)
    once, again = block(state, 512, wanted)[0], block(state, 512, wanted)[0]
    np.testing.assert_array_equal(once, again)
    assert not block(START, 512, aim(40.0, 60.0, LOW, HIGH))[0].any()


shares = st.one_of(st.floats(-50.0, 150.0), st.just(math.nan))


@given(
    st.lists(
        st.tuples(shares, shares, st.integers(1, 3000), st.sampled_from((0.0, DUCKED, 1.0))),
        min_size=1,
        max_size=12,
    )
)
def test_whatever_the_weight_does_there_is_no_click(
    moves: list[tuple[float, float, int, float]],
) -> None:
    state, blocks = START, []
    for toe_share, right_share, n, loudness in moves:
        samples, state = block(state, n, aim(toe_share, right_share, LOW, HIGH, loudness))
        blocks.append(samples)
    sound = np.concatenate(blocks)
    assert np.all(np.isfinite(sound))
    assert np.abs(sound).max() <= TONE_PEAK * 1.001
    assert np.abs(np.diff(sound, axis=0, prepend=np.zeros((1, 2)))).max() < NO_CLICK


def test_a_click_would_be_found() -> None:
    """The limit is below what a cut tone makes."""
    assert np.abs(steady(70.0)[5000:5100]).max() > 2 * NO_CLICK
