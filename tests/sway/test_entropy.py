from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from swaytrainer.sway.entropy import block_means, sample_entropy


def by_definition(x: np.ndarray, tolerance: float, template: int = 2) -> float:
    """Richman & Moorman 2000, word by word: every pair of the same N - m templates."""
    count = x.size - template
    short = long = 0
    for i in range(count):
        for j in range(i + 1, count):
            if max(abs(x[i + k] - x[j + k]) for k in range(template)) <= tolerance:
                short += 1
                long += bool(abs(x[i + template] - x[j + template]) <= tolerance)
    return -math.log(long / short) if long else math.nan


@given(
    st.lists(st.floats(-50.0, 50.0), min_size=1, max_size=40),
    st.floats(0.01, 30.0),
    st.integers(1, 4),
)
def test_it_is_the_definition(values: list[float], tolerance: float, template: int) -> None:
    x = np.array(values)
    # A pair on the very edge may fall to either side: x + r and x - y round differently.
    apart = np.abs(np.subtract.outer(x, x))
    assume(np.abs(apart - tolerance).min() > 1e-9)
    expected = by_definition(x, tolerance, template) if x.size > template + 1 else math.nan
    assert sample_entropy(x, tolerance, template) == pytest.approx(
        expected, rel=1e-12, abs=1e-15, nan_ok=True
    )


#: antropy 0.2.3, ``sample_entropy(x, m, tolerance=0.2·SD)``; the package weighs a quarter of a
#: gigabyte, so its values stand here. ``python -m tests.sway.outside`` reckons them again.
ANTROPY = {
    ("walk", 1): 0.13227402888200887,
    ("walk", 2): 0.10405641113890536,
    ("walk", 3): 0.09417885864324883,
    ("noise", 1): 2.1893808249195152,
    ("noise", 2): 2.1822112405114247,
    ("noise", 3): 2.1741688010362936,
}


def series(name: str) -> np.ndarray:
    noise = np.random.default_rng(1).normal(size=1200)
    return noise.cumsum() if name == "walk" else noise


@pytest.mark.parametrize(("name", "template"), ANTROPY)
def test_it_is_antropys(name: str, template: int) -> None:
    x = series(name)
    ours = sample_entropy(x, 0.2 * float(x.std()), template)
    assert ours == pytest.approx(ANTROPY[name, template], rel=1e-12)


def test_white_noise() -> None:
    """Two independent Gaussian values lie within r·SD with the chance erf(r/2), each afresh."""
    x = np.random.default_rng(3).normal(size=5000)
    assert sample_entropy(x) == pytest.approx(-math.log(math.erf(0.1)), abs=0.03)
    assert sample_entropy(x, 0.5) == pytest.approx(-math.log(math.erf(0.25)), abs=0.015)


def test_even_noise() -> None:
    """Two values from 0 to 1 lie within r with the chance 2r - r²."""
    x = np.random.default_rng(4).uniform(size=5000)
    assert sample_entropy(x, 0.1) == pytest.approx(-math.log(0.19), abs=0.02)


def test_a_period_is_foreseen() -> None:
    """What comes round exactly is foreseen exactly: A = B but for the last template's luck."""
    assert sample_entropy(np.tile([0.0, 3.0, 1.0, 7.0], 100)) == pytest.approx(0.0, abs=1e-12)


def test_neither_place_nor_size_matters() -> None:
    x = np.random.default_rng(5).normal(size=800).cumsum()
    assert sample_entropy(1000.0 - 3.0 * x) == pytest.approx(sample_entropy(x), rel=1e-9)


@pytest.mark.parametrize(
    "x",
    [
        np.empty(0),
        np.array([1.0]),
        np.array([1.0, 2.0, 3.0]),
        np.full(500, 12.3),
        np.full(500, 12.3) + 1e-15 * np.arange(500),
        np.arange(6.0),  # no stretch of it comes again
        np.array([*range(50), math.nan] * 5, dtype=np.float64),
        np.array([*range(50), math.inf] * 5, dtype=np.float64),
    ],
)
def test_what_has_no_entropy_is_nan(x: np.ndarray) -> None:
    assert math.isnan(sample_entropy(x))


@pytest.mark.parametrize("tolerance", [0.0, -1.0, math.nan])
def test_no_tolerance_is_nan(tolerance: float) -> None:
    assert math.isnan(sample_entropy(series("noise"), tolerance))


def test_a_template_of_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="template"):
        sample_entropy(series("noise"), 0.2, 0)


@pytest.mark.parametrize("rate_hz", [20.0, 73.1, 80.0, 99.97, 1000.0])
def test_block_means_of_a_ramp_are_its_middles(rate_hz: float) -> None:
    time_s = np.arange(round(10.0 * rate_hz) + 1) / rate_hz
    means = block_means(1e5 + 7.0 * time_s, rate_hz)
    assert means.size == math.floor(time_s[-1] * 20.0 + 1e-6)
    np.testing.assert_allclose(means, 1e5 + 7.0 * (np.arange(means.size) + 0.5) / 20.0, rtol=1e-13)


def test_block_means_of_whole_blocks_are_trapezoids() -> None:
    x = np.random.default_rng(6).normal(size=101)
    weights = np.array([0.5, 1.0, 1.0, 1.0, 1.0, 0.5]) / 5.0
    expected = [weights @ x[5 * i : 5 * i + 6] for i in range(20)]
    np.testing.assert_allclose(block_means(x, 100.0), expected, rtol=1e-12, atol=1e-13)


def test_block_means_of_little_are_none_and_of_a_slow_board_refused() -> None:
    assert block_means(np.arange(4.0), 100.0).size == 0
    assert block_means(np.empty(0), 100.0).size == 0
    assert block_means(np.arange(11.0), 19.99).size == 10  # a clock may be a little slow
    with pytest.raises(ValueError, match="20 Hz"):
        block_means(np.arange(11.0), 19.9)
