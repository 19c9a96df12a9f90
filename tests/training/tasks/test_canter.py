"""Strides that are heard, and what the force does in each."""

import cmath
import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from swaytrainer.training.tasks.canter import BEATS, Canter, StrideSums


@given(
    st.floats(1.0, 2.2),
    st.floats(0.0, 15.0),
    st.integers(0, 2**60),
    st.lists(st.floats(0.0, 0.3), min_size=1, max_size=300),
)
def test_strides_follow_one_another_whatever_the_samples(
    cadence_hz: float, drift: float, seed: int, steps: list[float]
) -> None:
    canter = Canter(cadence_hz, drift, seed)
    last = (0, 0.0)
    for t in np.cumsum(steps):
        beats = canter.update(float(t))
        assert set(beats) <= {1, 2, 3}
        assert 0.0 <= canter.phase < 1.0 + 1e-6
        assert (canter.stride, canter.phase) >= last
        last = (canter.stride, canter.phase)
        assert abs(1.0 / canter.period_s / cadence_hz - 1.0) <= 0.01 * drift + 1e-9


def test_three_beats_and_a_moment_in_the_air() -> None:
    canter = Canter(1.6, 0.0, 0)
    heard = [(n / 1000, beat) for n in range(10_000) for beat in canter.update(n / 1000)]
    assert [beat for _, beat in heard] == [1, 2, 3] * 16
    rest = [b[0] - a[0] for a, b in pairwise(heard) if a[1] == 3]
    assert min(rest) == pytest.approx(0.5 / 1.6, abs=0.002)
    for t, beat in heard:
        late = (t * 1.6 - BEATS[beat - 1] + 0.5) % 1.0 - 0.5
        assert late == pytest.approx(0.0, abs=0.002 * 1.6)


def test_beats_that_a_gap_swallowed_are_not_made_up_for() -> None:
    canter = Canter(2.0, 0.0, 0)
    canter.update(0.0)
    assert canter.update(10.0) == (1,)
    assert canter.stride == 20


def test_the_drift_comes_from_the_seed() -> None:
    def periods(seed: int) -> list[float]:
        canter = Canter(1.7, 6.0, seed)
        found = []
        for k in range(600):
            canter.update(k / 60)
            found.append(canter.period_s)
        return found

    assert periods(5) == periods(5)
    assert periods(5) != periods(6)


@given(st.floats(0.01, 0.5), st.floats(0.0, 6.28), st.floats(-0.05, 0.05), st.integers(30, 700))
def test_a_stride_of_a_sine_is_told_exactly(
    size: float, angle: float, weight: float, count: int
) -> None:
    """Closed form: rms size/√2 at the phase; a harmonic adds its power and no wave."""
    sums = StrideSums()
    for n in range(count):
        turn = 2.0 * math.pi * n / count
        ripple = weight + size * math.cos(turn - angle) + 0.3 * size * math.cos(2.0 * turn)
        sums.add(n / count, ripple, 3.0, -20.0)
    ridden = sums.take(count)
    assert ridden.whole
    assert ridden.weight == pytest.approx(weight, abs=1e-9)
    assert ridden.wave == pytest.approx(cmath.rect(size / math.sqrt(2.0), -angle), abs=1e-9)
    assert ridden.power == pytest.approx(0.5 * 1.09 * size * size, rel=1e-6)
    assert (ridden.x_mm, ridden.y_mm) == pytest.approx((3.0, -20.0))


def test_a_stride_with_a_gap_or_too_few_samples_is_none() -> None:
    sums = StrideSums()
    for n in range(40):
        sums.add(n / 40, 0.1, 0.0, 0.0)
    sums.gap()
    assert not sums.take(40.0).whole
    for n in range(20):
        sums.add(n / 40, 0.1, 0.0, 0.0)
    assert not sums.take(40.0).whole
    assert not sums.take(40.0).whole  # none at all
    for _ in range(40):
        sums.add(0.5, math.nan, 0.0, 0.0)
    assert not sums.take(40.0).whole
