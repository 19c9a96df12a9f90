from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from swaytrainer.sway.band import TimeInBand, time_in_band
from tests.sway.made import Walk, walks

LOW, HIGH = 35.0, 50.0


def streamed(walk: Walk) -> TimeInBand:
    live = TimeInBand(LOW, HIGH)
    for time_s, share, _, broken in zip(*(column.tolist() for column in walk), strict=True):
        if broken:
            live.gap()
        live.update(time_s, share)
    return live


@given(walks())
def test_streaming_is_batch(walk: Walk) -> None:
    batch = time_in_band(walk.time_s, walk.x_mm, LOW, HIGH, walk.breaks)
    assert streamed(walk).get() == pytest.approx(batch, rel=1e-9, abs=1e-9, nan_ok=True)


_near = st.sampled_from([34.0, 35.0, 36.0, 42.0, 49.0, 50.0, 51.0, math.nan])


@given(st.lists(st.tuples(_near, st.booleans()), min_size=2, max_size=40))
def test_streaming_is_batch_on_and_about_the_edges(samples: list[tuple[float, bool]]) -> None:
    share = np.array([sample[0] for sample in samples])
    breaks = np.array([sample[1] for sample in samples])
    walk = Walk(np.arange(share.size) / 80.0, share, share, breaks)
    batch = time_in_band(walk.time_s, share, LOW, HIGH, breaks)
    assert streamed(walk).get() == pytest.approx(batch, rel=1e-9, abs=1e-9, nan_ok=True)


@pytest.mark.parametrize("rate_hz", [20.0, 80.0, 1000.0])
def test_a_slow_swing_is_in_the_band_as_long_as_geometry_says(rate_hz: float) -> None:
    """A triangle from 30 to 60 and back is inside for 15/30 of the time, at any rate."""
    time_s = np.arange(round(8.0 * rate_hz) + 1) / rate_hz
    share = 30.0 + 30.0 * (1.0 - np.abs((time_s % 4.0) / 2.0 - 1.0))
    values = time_in_band(time_s, share, LOW, HIGH)
    assert values.time_in_band_percent == pytest.approx(50.0, abs=1e-9)
    assert values.longest_spell_s == pytest.approx(1.0, abs=1e-9)


def test_a_leap_across_the_band_spends_its_part_inside() -> None:
    values = time_in_band(np.array([0.0, 1.0]), np.array([20.0, 80.0]), LOW, HIGH)
    assert values == pytest.approx((25.0, 0.25))


def test_time_is_weighed_by_the_stamps() -> None:
    time_s = np.array([0.0, 1.0, 1.01, 1.02, 1.03])
    values = time_in_band(time_s, np.array([40.0, 40.0, 90.0, 90.0, 90.0]), LOW, HIGH)
    assert values.time_in_band_percent == pytest.approx(100.0 * (1.0 + 0.01 * 10 / 50) / 1.03)


def test_a_gap_ends_the_spell_and_counts_neither_way() -> None:
    time_s = np.array([0.0, 1.0, 2.0, 9.0, 10.0])
    share = np.full(5, 40.0)
    breaks = np.array([False, False, False, True, False])
    assert time_in_band(time_s, share, LOW, HIGH, breaks) == pytest.approx((100.0, 2.0))
    share[3] = math.nan
    assert time_in_band(time_s, share, LOW, HIGH) == pytest.approx((100.0, 2.0))


def test_the_present_spell_is_told_live() -> None:
    live = TimeInBand(LOW, HIGH)
    seen = []
    for time_s, share in [(0.0, 40.0), (1.0, 40.0), (2.0, 60.0), (3.0, 40.0), (4.0, 40.0)]:
        live.update(time_s, share)
        seen.append((live.spell_s, live.inside_s))
    spells_s, insides_s = zip(*seen, strict=True)
    assert spells_s == pytest.approx([0.0, 1.0, 0.0, 0.5, 1.5])
    assert insides_s == pytest.approx([0.0, 1.0, 1.5, 2.0, 3.0])
    live.update(5.0, math.nan)
    assert live.spell_s == 0.0
    assert live.get() == pytest.approx((75.0, 1.5))


def test_nothing_to_measure_is_nan() -> None:
    assert all(math.isnan(value) for value in TimeInBand(LOW, HIGH).get())
    none = time_in_band(np.array([0.0, 1.0]), np.array([math.nan, 40.0]), LOW, HIGH)
    assert all(math.isnan(value) for value in none)
