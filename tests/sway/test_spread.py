from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given

from swaytrainer.sway.spread import NO_SPREAD, Spread, spread
from tests.sway.made import Walk, circle, walks


def test_circle() -> None:
    """RMS a side R/√2 over whole turns."""
    walk = circle(radius_mm=10.0)
    both = spread(walk.x_mm, walk.y_mm)
    assert (both.rms_ml_mm, both.rms_ap_mm) == pytest.approx((10.0 / math.sqrt(2.0),) * 2)


def test_covariance_is_numpys() -> None:
    x, y = np.random.default_rng(3).normal(size=(2, 500)).cumsum(axis=1) + 50.0
    (xx, xy), (_, yy) = np.cov(x, y)
    assert spread(x, y).covariance_mm2 == pytest.approx((xx, yy, xy), rel=1e-12)


@given(walks(least=1))
def test_streaming_is_batch(walk: Walk) -> None:
    live = Spread()
    for x_mm, y_mm in zip(walk.x_mm.tolist(), walk.y_mm.tolist(), strict=True):
        live.update(x_mm, y_mm)
    ours, batch = live.get(), spread(walk.x_mm, walk.y_mm)
    assert ours.samples == batch.samples
    # xy may cancel to nothing, so it is held against the size of what cancels; a sum of squares
    # of numbers that are all alike is rounding dust on either side.
    dust = 1e-18 * 400.0**2 * max(batch.samples, 1)
    assert ours[1:3] == pytest.approx(batch[1:3], rel=1e-9, abs=1e-12, nan_ok=True)
    assert ours[3:5] == pytest.approx(batch[3:5], rel=1e-9, abs=dust, nan_ok=True)
    room = 1e-9 * math.sqrt(batch.sum_xx_mm2 * batch.sum_yy_mm2) + dust
    assert ours[5] == pytest.approx(batch[5], rel=1e-9, abs=room, nan_ok=True)


def test_far_from_the_origin_no_digits_are_lost() -> None:
    """What the difference of raw sums would fail at: 1e6 mm away, spread 1e-2 mm."""
    x = 1e6 + np.random.default_rng(4).normal(scale=1e-2, size=20_000)
    live = Spread()
    for value in x.tolist():
        live.update(value, 0.0)
    assert live.get().rms_ml_mm == pytest.approx(float(np.std(x)), rel=1e-6)


def test_equal_samples_have_no_spread_at_all() -> None:
    still = np.full(3000, 12.3)
    assert spread(still, still)[1:] == (12.3, 12.3, 0.0, 0.0, 0.0)


def test_few_samples() -> None:
    live = Spread()
    nothing = np.array([np.nan])
    assert live.get() is spread(nothing, nothing) is NO_SPREAD
    assert math.isnan(NO_SPREAD.rms_ml_mm)
    live.update(2.0, 3.0)
    assert (live.get().rms_ml_mm, live.get().rms_ap_mm) == (0.0, 0.0)
    assert all(math.isnan(value) for value in live.get().covariance_mm2)
