from __future__ import annotations

import math

import numpy as np
import pytest

from swaytrainer.motion.strides import measure_strides
from swaytrainer.motion.unsteadiness import (
    LEAST_STRIDES,
    UNSTEADINESS_MEASURES,
    Unsteadiness,
    measure_unsteadiness,
)
from swaytrainer.simulate.riding import CANTER, SUPPLE, Accelerometer, MovingBase, Ride
from swaytrainer.sway.path import path
from swaytrainer.sway.prepare import Trace, trace_from_cop
from tests.motion.errors import leak
from tests.motion.rides import feet_trace, plate_of, ridden


def split(made: Ride, trace: Trace) -> Unsteadiness:
    return measure_unsteadiness(trace, measure_strides(trace, plate_of(made)))


def test_the_vaulters_own_speed_is_found_below_the_bases() -> None:
    """72 mm/s of raw path, of which some 7 are the vaulter's."""
    found = leak(10.0, 0.05, range(2))
    assert found.raw > 8.0 * found.own
    assert found.residual == pytest.approx(found.own, rel=0.1)


def test_without_rocking_nothing_is_lost_or_added() -> None:
    found = leak(0.0, 0.15, range(2))
    assert found.residual == pytest.approx(found.own, rel=0.03)


def test_a_body_that_does_not_sway_has_next_to_no_residual() -> None:
    """What uneven strides leave grows with them: the figures of ``tests.motion.errors``."""
    assert leak(10.0, 0.0, [0], sway=False).residual < 1.5
    assert leak(10.0, 0.05, [0], sway=False).residual < 3.5


def test_rms_range_and_locked_shape_are_the_truths() -> None:
    base = MovingBase(20.0, 1.8, rock_ap_mm=12.0, rock_ml_mm=4.0)
    made = ridden(base, SUPPLE, 40.0, seed=3, accelerometer=Accelerometer(), sway=True)
    found = split(made, feet_trace(made))
    v = found.values
    assert set(v) == set(UNSTEADINESS_MEASURES)
    assert v["residual_rms_ml_mm"] == pytest.approx(float(made.sway_x_mm.std()), rel=0.05)
    assert v["residual_rms_ap_mm"] == pytest.approx(float(made.sway_y_mm.std()), rel=0.05)
    assert v["locked_range_ap_mm"] == pytest.approx(24.0, rel=0.03)
    assert v["locked_range_ml_mm"] == pytest.approx(8.0, rel=0.1)
    # The base's lowest point is phase 0, where the simulator's rocking is furthest forward.
    wave = 12.0 * np.cos(2.0 * np.pi * np.arange(64) / 64.0)
    assert float(np.abs(found.locked_y_mm - wave).max()) < 1.0
    inside = np.isfinite(found.residual_y_mm)
    both = np.corrcoef(found.residual_y_mm[inside], made.sway_y_mm[inside])[0, 1]
    assert both > 0.98


def built(scatter_mm: float, strides: int = 200) -> tuple[Trace, float]:
    """Strides of 0.5 s that drag y by 20·cos; each is a little too much or too little.

    Where the size changes, the wave is zero: nothing jumps.
    """
    rng = np.random.default_rng(8)
    t = np.arange(strides * 50) / 100.0
    sizes = np.roll(np.repeat(scatter_mm * rng.standard_normal(strides), 50), 12)
    wave = np.cos(2.0 * np.pi * 2.0 * t)
    y = (20.0 + sizes) * wave
    force = 500.0 * (1.0 + 0.2 * wave)
    shapes = (sizes * wave).reshape(strides, 50)
    shapes = shapes - shapes.mean(axis=1, keepdims=True)
    true = float(np.sqrt(shapes.var(axis=0, ddof=1).mean()))
    return trace_from_cop(t, force, 0.0 * t, y), true


def test_stride_variation_is_that_which_was_built_in() -> None:
    trace, true = built(3.0)
    found = measure_unsteadiness(trace, measure_strides(trace))
    assert found.values["stride_variation_mm"] == pytest.approx(true, rel=0.05)
    regular, _ = built(0.0)
    assert (
        measure_unsteadiness(regular, measure_strides(regular)).values["stride_variation_mm"] < 0.3
    )


def test_speed_and_each_stride_hang_together() -> None:
    trace, _ = built(3.0)
    found = measure_unsteadiness(trace, measure_strides(trace))
    speeds = [part.speed_mm_s for part in found.each]
    assert float(np.mean(speeds)) == pytest.approx(found.values["residual_speed_mm_s"], rel=0.05)
    walked = path(trace.time_s, found.residual_x_mm, found.residual_y_mm, trace.breaks)
    assert found.values["residual_speed_mm_s"] == pytest.approx(
        walked.mean_speed_mm_s, rel=1.0 / len(speeds)
    )
    rms = float(np.sqrt(np.mean([part.rms_mm**2 for part in found.each])))
    assert rms == pytest.approx(found.values["residual_rms_ap_mm"], rel=0.02)


def test_too_few_strides_and_none_at_all() -> None:
    trace, _ = built(1.0, strides=LEAST_STRIDES)
    few = measure_unsteadiness(trace, measure_strides(trace))
    assert all(math.isnan(value) for value in few.values.values())
    assert "whole strides" in few.notes[0]
    t = np.arange(1000) / 80.0
    still = trace_from_cop(t, np.full(t.size, 500.0), 0.0 * t, 0.0 * t)
    none = measure_unsteadiness(still, measure_strides(still))
    assert all(math.isnan(value) for value in none.values.values())
    assert none.notes == ("No split of the COP without strides.",)


def test_strides_with_a_gap_in_the_cop_are_left_out() -> None:
    base = MovingBase(20.0, 1.8, harmonics=CANTER, rock_ap_mm=10.0)
    made = ridden(base, SUPPLE, 30.0, seed=2, sway=True)
    trace = feet_trace(made)
    before = split(made, trace).values
    x, y = trace.x_mm.copy(), trace.y_mm.copy()
    x[1000:1010] = y[1000:1010] = np.nan
    holed = trace_from_cop(trace.time_s, trace.force_n, x, y, breaks=trace.breaks)
    found = measure_unsteadiness(holed, measure_strides(holed, plate_of(made)))
    assert any("left out" in note for note in found.notes)
    assert sum(math.isnan(part.rms_mm) for part in found.each) in (1, 2)
    assert found.values["residual_speed_mm_s"] == pytest.approx(
        before["residual_speed_mm_s"], rel=0.05
    )
