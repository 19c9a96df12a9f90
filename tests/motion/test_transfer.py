from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import signal

from swaytrainer.motion.absorption import stride_gain
from swaytrainer.motion.transfer import least_coherence, spectra, transfer


def noise(seed: int, n: int = 4000) -> tuple[np.ndarray, np.ndarray]:
    rng = np.random.default_rng(seed)
    b = rng.standard_normal(n)
    a = signal.lfilter([0.3, 0.2], [1.0, -0.5], b) + 0.5 * rng.standard_normal(n)
    return b, a


@pytest.mark.parametrize("segment", [200, 257])
def test_spectra_are_scipys(segment: int) -> None:
    b, a = noise(1)
    ours = spectra([(b, a)], 80.0, segment)
    half = segment // 2
    frequency, s_bb = signal.welch(b, 80.0, nperseg=segment, noverlap=half, detrend="constant")
    _, s_ba = signal.csd(b, a, 80.0, nperseg=segment, noverlap=half, detrend="constant")
    _, coherence = signal.coherence(b, a, 80.0, nperseg=segment, noverlap=half)
    inner = slice(1, -1)
    assert ours.frequency_hz == pytest.approx(frequency, abs=1e-12)
    assert ours.base[inner] * segment / 80.0 == pytest.approx(s_bb[inner], rel=1e-9)
    h1 = ours.cross[inner] / ours.base[inner]
    assert np.abs(h1 - (s_ba / s_bb)[inner]).max() < 1e-9
    found = np.abs(ours.cross) ** 2 / (ours.base * ours.body)
    assert found[inner] == pytest.approx(coherence[inner], rel=1e-9)
    assert ours.segments == (4000 - segment // 2) // (segment - segment // 2)


def test_the_power_is_the_mean_square() -> None:
    b, a = noise(2, 40_000)
    ours = spectra([(b, a)], 80.0, 400)
    assert float(ours.base.sum()) == pytest.approx(float(b.var()), rel=0.03)


def test_pieces_are_summed_and_short_ones_passed_over() -> None:
    b, a = noise(3)
    whole = spectra([(b, a)], 80.0, 500)
    apart = spectra([(b[:1000], a[:1000]), (b[:300], a[:300]), (b[1000:], a[1000:])], 80.0, 500)
    assert apart.segments == whole.segments - 1
    assert spectra([(b[:100], a[:100])], 80.0, 500).segments == 0


def test_a_delay_turns_the_phase_and_leaves_the_gain() -> None:
    t = np.arange(2400) / 80.0
    for delay_s in (0.0, 0.01, 0.05):
        b = np.cos(2.0 * np.pi * 2.0 * t)
        a = 0.4 * np.cos(2.0 * np.pi * 2.0 * (t - delay_s))
        found = transfer(spectra([(b, a)], 80.0, 240), 2.0, 0.8)
        assert found.gain == pytest.approx(0.4, rel=1e-6)
        assert found.phase_deg == pytest.approx(-360.0 * 2.0 * delay_s, abs=1e-3)
        assert found.absorption_percent == pytest.approx(60.0, abs=1e-4)


def test_noise_of_the_base_makes_the_gain_smaller_as_stated() -> None:
    rng = np.random.default_rng(5)
    true = rng.standard_normal(80_000)
    b = true + math.sqrt(0.1) * rng.standard_normal(true.size)
    found = transfer(spectra([(b, true)], 80.0, 400), 20.0, 15.0)
    assert found.gain == pytest.approx(1.0 / 1.1, rel=0.01)
    assert found.coherence == pytest.approx(1.0 / 1.1, rel=0.01)


def test_what_is_not_the_bases_is_not_measurable() -> None:
    rng = np.random.default_rng(6)
    b, a = rng.standard_normal((2, 4000))
    found = transfer(spectra([(b, a)], 80.0, 240), 2.0, 0.8)
    assert math.isnan(found.gain)
    assert math.isnan(found.absorption_percent)
    assert found.coherence < 0.3
    assert "below 0.80" in found.reason


def test_a_base_that_hardly_moves_there_is_not_measurable() -> None:
    t = np.arange(2400) / 80.0
    b = np.cos(2.0 * np.pi * 2.0 * t) + 1e-4 * np.cos(2.0 * np.pi * 4.0 * t)
    sums = spectra([(b, 0.5 * b)], 80.0, 240)
    assert transfer(sums, 2.0, 0.8, 0.15).gain == pytest.approx(0.5)
    assert "too little to tell" in transfer(sums, 4.0, 0.8, 0.15).reason
    still = spectra([(np.zeros(2400), np.zeros(2400))], 80.0, 240)
    assert "does not move" in transfer(still, 2.0, 0.8).reason


@pytest.mark.parametrize("count", [2, 3, 4])
def test_unrelated_strides_reach_the_asked_coherence_once_in_a_hundred(count: int) -> None:
    """Drawn: P(γ² > 1 - 0.01^(1/(n-1))) = 1 %."""
    rng = np.random.default_rng(count)
    draws = rng.standard_normal((8_000, 2, count, 8))
    asked = 1.0 - 0.01 ** (1.0 / (count - 1))
    reached = sum(stride_gain(b, a)[1] > asked for b, a in draws) / len(draws)
    assert reached == pytest.approx(0.01, abs=0.004)
    assert least_coherence(count) >= asked


def test_one_stride_alone_says_nothing() -> None:
    wave = np.cos(2.0 * np.pi * np.arange(16) / 16.0)[None, :]
    gain, coherence = stride_gain(wave, wave)
    assert coherence == pytest.approx(1.0)
    assert math.isnan(gain)
    assert all(math.isnan(v) for v in stride_gain(0.0 * wave, wave))
