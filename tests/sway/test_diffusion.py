from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import signal

from swaytrainer.sway.diffusion import (
    DIFFUSION_LEAST_HZ,
    DiffusionValues,
    diffusion,
    diffusion_of,
    square_displacement,
)


def brownian(d_mm2_s: float, rate_hz: float, count: int, seed: int) -> np.ndarray:
    """Steps of variance 2·D/rate."""
    steps = np.random.default_rng(seed).normal(scale=math.sqrt(2.0 * d_mm2_s / rate_hz), size=count)
    return steps.cumsum()


def drawn_back(rms_mm: float, tau_s: float, rate_hz: float, count: int, seed: int) -> np.ndarray:
    """An Ornstein-Uhlenbeck process, exact at its samples, begun in its steady state."""
    keep = math.exp(-1.0 / (tau_s * rate_hz))
    push = np.random.default_rng(seed).normal(size=count) * rms_mm
    push[1:] *= math.sqrt(1.0 - keep * keep)
    x: np.ndarray = signal.lfilter([1.0], [1.0, -keep], push)
    return x


def drawn_back_curve(rms_mm: float, tau_s: float, rate_hz: float) -> np.ndarray:
    """Its mean square displacement up to 10 s: 2σ²(1 - e^(-t/τ)) (Uhlenbeck & Ornstein 1930)."""
    lag_s = np.arange(1, round(10.0 * rate_hz) + 1) / rate_hz
    return 2.0 * rms_mm**2 * -np.expm1(-lag_s / tau_s)


@given(st.lists(st.floats(-400.0, 400.0), min_size=2, max_size=60), st.data())
def test_square_displacement_is_the_definition(values: list[float], data: st.DataObject) -> None:
    x = np.array(values)
    lags = data.draw(st.integers(1, x.size - 1))
    expected = [np.mean((x[k:] - x[:-k]) ** 2) for k in range(1, lags + 1)]
    np.testing.assert_allclose(
        square_displacement(x, lags),
        expected,
        rtol=1e-12,
        atol=1e-13 * float(np.ptp(x)) ** 2 * 60 + 1e-20,
    )


def test_square_displacement_of_a_trial_far_from_the_origin() -> None:
    x = 300.0 + brownian(5.0, 100.0, 6000, 1)
    expected = [np.mean((x[k:] - x[:-k]) ** 2) for k in range(1, 1001)]
    np.testing.assert_allclose(square_displacement(x, 1000), expected, rtol=1e-10)


@pytest.mark.parametrize("lags", [0, 10])
def test_lags_that_do_not_exist_are_refused(lags: int) -> None:
    with pytest.raises(ValueError, match="lags"):
        square_displacement(np.arange(10.0), lags)


def test_a_ramp_goes_as_the_square_of_the_lag() -> None:
    lag_s = np.arange(1, 1001) / 100.0
    curve = square_displacement(0.03 * np.arange(6000.0), 1000)
    np.testing.assert_allclose(curve, 9.0 * lag_s**2, rtol=1e-9, atol=1e-9)


def test_a_random_walk_has_the_one_coefficient_it_was_made_with() -> None:
    """Einstein 1905: ⟨Δx²⟩ = 2·D·t at all lags; an hour, for a walk's own mean is uncertain."""
    x, y = brownian(5.0, 50.0, 180_000, 2), brownian(2.0, 50.0, 180_000, 3)
    plane, ml, ap = diffusion(x, y, 50.0)
    assert ml.diffusion_short_mm2_s == pytest.approx(5.0, rel=0.03)
    assert ap.diffusion_short_mm2_s == pytest.approx(2.0, rel=0.03)
    assert ml.diffusion_long_mm2_s == pytest.approx(5.0, rel=0.2)
    assert plane.diffusion_short_mm2_s == pytest.approx(7.0, rel=0.03)
    assert plane.diffusion_short_mm2_s == pytest.approx(
        ml.diffusion_short_mm2_s + ap.diffusion_short_mm2_s, rel=1e-9
    )
    assert plane.diffusion_long_mm2_s == pytest.approx(
        ml.diffusion_long_mm2_s + ap.diffusion_long_mm2_s, rel=1e-9
    )


@pytest.mark.parametrize("tau_s", [0.5, 1.0, 3.0])
def test_a_spring_in_honey_follows_its_closed_form(tau_s: float) -> None:
    x = drawn_back(4.0, tau_s, 50.0, 500_000, 4)
    expected = drawn_back_curve(4.0, tau_s, 50.0)
    np.testing.assert_allclose(square_displacement(x, expected.size), expected, rtol=0.06)
    ours, theirs = diffusion(x, x, 50.0)[1], diffusion_of(expected, 50.0)
    assert ours.diffusion_short_mm2_s == pytest.approx(theirs.diffusion_short_mm2_s, rel=0.04)
    assert ours.critical_time_s == pytest.approx(theirs.critical_time_s, rel=0.06)
    assert ours.critical_displacement_mm2 == pytest.approx(
        theirs.critical_displacement_mm2, rel=0.06
    )


@pytest.mark.parametrize("rate_hz", [80.0, 100.0, 97.3])
def test_lines_are_numpys(rate_hz: float) -> None:
    """Slopes and crossing by numpy.polyfit, over the lags of the two windows."""
    curve = drawn_back_curve(4.0, 1.0, rate_hz)
    lag_s = np.arange(1, curve.size + 1) / rate_hz
    short, long = lag_s < 0.5 + 1e-9, lag_s > 2.5 - 1e-9
    steep, low = np.polyfit(lag_s[short], curve[short], 1)
    flat, high = np.polyfit(lag_s[long], curve[long], 1)
    at_s = (high - low) / (steep - flat)
    expected = (steep / 2.0, flat / 2.0, at_s, low + steep * at_s)
    assert diffusion_of(curve, rate_hz) == pytest.approx(expected, rel=1e-9)


def test_two_straight_lines_give_back_their_bend() -> None:
    """Slopes 8 and 2 mm²/s that meet at 1.5 s: D is half of them."""
    lag_s = np.arange(1, 1001) / 100.0
    curve = np.where(lag_s < 1.5, 8.0 * lag_s, 9.0 + 2.0 * lag_s)
    assert diffusion_of(curve, 100.0) == pytest.approx((4.0, 1.0, 1.5, 12.0), rel=1e-9)


def test_lines_that_do_not_cross_have_no_critical_point() -> None:
    lag_s = np.arange(1, 1001) / 100.0
    upward = diffusion_of(lag_s**2, 100.0)  # steeper later
    assert upward.diffusion_short_mm2_s < upward.diffusion_long_mm2_s
    assert math.isnan(upward.critical_time_s)
    assert math.isnan(upward.critical_displacement_mm2)
    straight = diffusion_of(lag_s, 100.0)
    assert straight[:2] == pytest.approx((0.5, 0.5), rel=1e-9)
    # Beyond the plot: nearly parallel, and crossing behind 10 s or before 0.
    late = diffusion_of(np.where(lag_s <= 0.5, 1.01 * lag_s, 0.3 + lag_s), 100.0)
    assert math.isnan(late.critical_time_s)
    early = diffusion_of(np.where(lag_s <= 0.5, 2.0 + 3.0 * lag_s, lag_s), 100.0)
    assert math.isnan(early.critical_time_s)


def all_nan(values: DiffusionValues) -> bool:
    return all(math.isnan(value) for value in values)


def test_too_short_too_slow_or_too_still_is_nan() -> None:
    walk = brownian(5.0, 100.0, 3000, 5)
    assert not math.isnan(diffusion(walk, walk, 100.0)[0].diffusion_long_mm2_s)
    assert all(all_nan(values) for values in diffusion(walk[:-1], walk[:-1], 100.0))
    assert all(all_nan(values) for values in diffusion(walk, walk, DIFFUSION_LEAST_HZ - 0.01))
    assert all_nan(diffusion_of(square_displacement(walk, 998), 100.0))
    plane, ml, ap = diffusion(walk, np.full(3000, 12.3), 100.0)
    assert plane == ml
    assert not math.isnan(ml.diffusion_short_mm2_s)
    assert all_nan(ap)
    assert all(all_nan(values) for values in diffusion(np.empty(0), np.empty(0), 100.0))
