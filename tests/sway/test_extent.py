from __future__ import annotations

import math

import pytest
from hypothesis import given

from swaytrainer.sway.extent import Extent, extent
from tests.sway.made import Walk, circle, walks


def test_circle() -> None:
    walk = circle(radius_mm=10.0, turns_hz=0.5, rate_hz=100.0)  # passes all four sides
    assert extent(walk.x_mm, walk.y_mm) == pytest.approx((20.0, 20.0), rel=1e-12)


@given(walks(least=1))
def test_streaming_is_batch(walk: Walk) -> None:
    live = Extent()
    for x_mm, y_mm in zip(walk.x_mm.tolist(), walk.y_mm.tolist(), strict=True):
        live.update(x_mm, y_mm)
    assert live.get() == pytest.approx(extent(walk.x_mm, walk.y_mm), rel=0, abs=0, nan_ok=True)


def test_nothing_is_nan() -> None:
    assert all(math.isnan(value) for value in Extent().get())
