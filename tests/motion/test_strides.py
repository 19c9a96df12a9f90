from __future__ import annotations

import math

import numpy as np
import pytest

from swaytrainer.motion.strides import (
    STRIDE_MEASURES,
    Stride,
    measure_strides,
    normalised,
    stride_phase,
)
from swaytrainer.simulate.riding import CANTER, RIGID, SUPPLE, Accelerometer, MovingBase
from swaytrainer.sway.prepare import trace_from_cop
from tests.motion.rides import plate_of, ridden, trace_of


@pytest.mark.parametrize(
    ("irregular", "mean_s", "deviation_s"), [(0.0, 0.003, 0.004), (0.15, 0.008, 0.02)]
)
def test_strides_begin_where_the_base_is_lowest(
    irregular: float, mean_s: float, deviation_s: float
) -> None:
    base = MovingBase(20.0, 1.8, irregular, irregular, CANTER)
    made = ridden(base, SUPPLE, 30.0, seed=1, accelerometer=Accelerometer())
    found = measure_strides(trace_of(made), plate_of(made))
    starts = np.array([stride.start_s for stride in found.each])
    nearest = made.onsets_s[np.argmin(np.abs(starts[:, None] - made.onsets_s), axis=1)]
    assert len(found.each) >= made.onsets_s.size - 3
    assert abs(float((starts - nearest).mean())) < mean_s
    assert float((starts - nearest).std()) < deviation_s
    assert found.source == "acceleration"


def test_values_are_those_of_the_strides() -> None:
    made = ridden(MovingBase(20.0, 1.8, 0.1), RIGID, 30.0, seed=2)
    found = measure_strides(trace_of(made), plate_of(made))
    times = np.array([stride.seconds for stride in found.each])
    assert set(found.values) == set(STRIDE_MEASURES)
    assert found.values["stride_time_s"] == pytest.approx(float(times.mean()), rel=1e-12)
    assert found.cadence_hz == pytest.approx(1.0 / float(times.mean()), rel=1e-12)
    true = np.diff(made.onsets_s)
    assert found.values["stride_time_variation_percent"] == pytest.approx(
        100.0 * float(true.std(ddof=1) / true.mean()), abs=1.0
    )


def test_force_serves_and_without_force_the_cop() -> None:
    base = MovingBase(20.0, 1.8, rock_ap_mm=20.0)
    assert measure_strides(trace_of(ridden(base, SUPPLE))).source == "force"
    made = ridden(MovingBase(0.5, 1.8, rock_ap_mm=20.0), RIGID)
    found = measure_strides(trace_of(made))
    assert found.source == "COP"
    assert found.cadence_hz == pytest.approx(1.8, rel=0.01)


def test_no_stride_bridges_a_gap_and_none_is_where_the_base_rests() -> None:
    made = ridden(MovingBase(20.0, 2.0, still_s=8.0), RIGID, 30.0)
    keep = (made.time_s < 15.0) | (made.time_s > 15.4)
    made = made._replace(time_s=made.time_s[keep], loads_n=made.loads_n[keep])
    found = measure_strides(trace_of(made), plate_of(made))
    assert all(s.end_s < 15.02 or s.start_s > 15.38 for s in found.each)
    assert found.each[0].start_s > 7.7
    assert 36 <= len(found.each) <= 43


def test_a_trial_without_strides_says_so() -> None:
    t = np.arange(2000) / 80.0
    trace = trace_from_cop(t, np.full(t.size, 500.0), 0.0 * t, 0.0 * t)
    found = measure_strides(trace)
    assert found.each == ()
    assert math.isnan(found.cadence_hz)
    assert found.notes
    assert found.notes[0].startswith("No cadence")


@pytest.mark.parametrize("samples", [2, 3, 20])
def test_a_few_samples_are_no_strides(samples: int) -> None:
    t = np.arange(samples) / 80.0
    found = measure_strides(trace_from_cop(t, 500.0 + 100.0 * np.sin(12.0 * t), t, t))
    assert found.each == ()
    assert "too few" in found.notes[0]


def test_normalised_strides_of_any_length_are_alike() -> None:
    t = np.arange(0.0, 4.0, 0.001)
    phase = t + 0.1 * t * t
    strides = [Stride(*np.interp([k, k + 1.0], phase, t).tolist()) for k in range(4)]
    rows = [
        normalised(t, np.interp(phase % 1.0, [0.0, 0.5, 1.0], [0.0, 1.0, 0.0]), s, 50,
                   np.zeros(t.size, dtype=np.bool_))
        for s in strides
    ]  # fmt: skip
    for row in rows[1:]:
        assert row == pytest.approx(rows[0], abs=0.06)


def test_a_stride_with_a_gap_is_unknown() -> None:
    t = np.arange(100) / 100.0
    whole = np.zeros(100, dtype=np.bool_)
    broken = whole.copy()
    broken[50] = True
    assert np.isfinite(normalised(t, t, Stride(0.2, 0.8), 10, whole)).all()
    assert np.isnan(normalised(t, t, Stride(0.2, 0.8), 10, broken)).all()
    assert np.isnan(normalised(t, t, Stride(0.5, 1.4), 10, whole)).all()
    values = t.copy()
    values[40] = np.nan
    assert np.isnan(normalised(t, values, Stride(0.2, 0.8), 10, whole)).all()


def test_phase_within_strides() -> None:
    strides = (Stride(1.0, 2.0), Stride(2.0, 2.5))
    number, phase = stride_phase(strides, np.array([0.5, 1.0, 1.25, 2.25, 2.5, 3.0]))
    assert number.tolist() == [-1, 0, 0, 1, -1, -1]
    assert phase[1:4].tolist() == [0.0, 0.25, 0.5]
    assert np.isnan(phase[[0, 4, 5]]).all()
