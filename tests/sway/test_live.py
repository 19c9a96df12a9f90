from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given

from swaytrainer.sway.cop import CopSample
from swaytrainer.sway.feet import Feet
from swaytrainer.sway.live import LiveSway
from swaytrainer.sway.prepare import Trace, trace_from_cop
from swaytrainer.sway.table import FOOT_MEASURES, MEASURES, foot_measures, sway_measures
from tests.sway.made import Walk, walks

FEET = Feet(-70.0, 50.0, -80.0, 80.0)


def streamed(trace: Trace, breaks: np.ndarray) -> LiveSway:
    live = LiveSway(FEET, 35.0, 50.0)
    columns = (trace.time_s, trace.force_n, trace.x_mm, trace.y_mm, trace.twist_n)
    for i, row in enumerate(zip(*(column.tolist() for column in columns), strict=True)):
        if breaks[i]:
            live.gap()
        live.update(CopSample(*row))
    return live


@given(walks())
def test_live_is_the_table(walk: Walk) -> None:
    trace = trace_from_cop(
        walk.time_s, np.full(walk.time_s.size, 600.0), walk.x_mm, walk.y_mm, breaks=walk.breaks
    )
    batch = {**sway_measures(trace), **foot_measures(trace, FEET, 35.0, 50.0)}
    live = streamed(trace, trace.breaks).get()
    # Where all samples are (nearly) on a line the area is the root of rounding dust.
    assert live.pop("ellipse_area_mm2") == pytest.approx(
        batch["ellipse_area_mm2"], rel=1e-9, abs=1e-7 * 800.0**2, nan_ok=True
    )
    expected = {key: batch[key] for key in live}
    assert live == pytest.approx(expected, rel=1e-9, abs=1e-9, nan_ok=True)


def test_a_whole_trial_with_gaps_to_a_billionth() -> None:
    """10⁻⁹ relative and nothing else, on a walk as long as a trial."""
    n = 6000
    x, y = np.random.default_rng(12).normal(scale=0.5, size=(2, n)).cumsum(axis=1)
    x[1000:1010] = y[1000:1010] = math.nan
    keep = np.ones(n, dtype=np.bool_)
    keep[3000:3005] = False
    time_s = np.arange(n) / 80.0
    trace = trace_from_cop(time_s[keep], np.full(n - 5, 600.0), x[keep], y[keep])
    live = streamed(trace, trace.breaks).get()
    batch = {**sway_measures(trace), **foot_measures(trace, FEET, 35.0, 50.0)}
    assert live == pytest.approx({key: batch[key] for key in live}, rel=1e-9, abs=0.0)


def test_keys_are_the_tables() -> None:
    live = LiveSway(FEET, 35.0, 50.0).get()
    assert set(live) == {
        "path_length_mm",
        "mean_speed_mm_s",
        "mean_speed_ml_mm_s",
        "mean_speed_ap_mm_s",
        "rms_ml_mm",
        "rms_ap_mm",
        "range_ml_mm",
        "range_ap_mm",
        "ellipse_area_mm2",
        "hull_area_mm2",
        *FOOT_MEASURES,
    }
    assert set(live) <= {*MEASURES, *FOOT_MEASURES}
    assert all(math.isnan(value) for value in live.values())


def test_a_sample_without_a_cop_is_a_gap() -> None:
    live = LiveSway(FEET, 35.0, 50.0)
    for time_s, x in [(0.0, 0.0), (0.1, 1.0), (0.2, math.nan), (0.3, 50.0), (0.4, 51.0)]:
        live.update(CopSample(time_s, 600.0, x, x, 0.0))
    assert live.get()["path_length_mm"] == pytest.approx(2.0 * math.sqrt(2.0))
    assert live.get()["mean_speed_ml_mm_s"] == pytest.approx(10.0)
