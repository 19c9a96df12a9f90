"""Two plates: against the published joint COP, the moment balance, and built signals."""

import numpy as np
import pytest

from swaytrainer.motion.two_feet import (
    TWO_FEET_MEASURES,
    Joint,
    joint_cop,
    measure_two_feet,
    phase_between,
)
from swaytrainer.sway.cop import Array, CellPlaces, cop_arrays
from swaytrainer.sway.prepare import Trace, trace_from_cop
from tests.open_data import two_plates

RATE_HZ = 100.0
TIME_S = np.arange(6000) / RATE_HZ


@pytest.mark.open_data
@pytest.mark.parametrize("name", ["open_firm_1", "closed_foam_1"])
def test_real_people_on_two_plates(name: str) -> None:
    """Santos, Fukuchi, Fukuchi & Duarte 2017. Stated there: 45-51 % on the right foot. (Their own
    joint COP is not among the open files here, so the feet's moments stand in for it.)"""
    d = two_plates(name)
    left = Joint(d["left_force_n"], d["left_x_mm"], d["left_y_mm"])
    right = Joint(d["right_force_n"], d["right_x_mm"], d["right_y_mm"])
    joint = joint_cop(left, right)
    # Neither foot's moment about the joint COP is left over.
    for axis in (1, 2):
        rest = left[0] * (left[axis] - joint[axis]) + right[0] * (right[axis] - joint[axis])
        assert np.abs(rest).max() < 1e-8
    result = measure_two_feet(*(trace_of(d["time_s"], *foot) for foot in (left, right)))
    assert 45.0 < result.values["right_share_percent"] < 51.0
    assert tuple(result.values) == tuple(TWO_FEET_MEASURES)
    # People on two feet lean with both: the rhythm is common, nearly in phase.
    assert result.values["feet_coherence_ap"] > 0.5
    assert abs(result.values["feet_phase_ap_deg"]) < 60.0


def trace_of(time_s: Array, force: Array, x: Array, y: Array) -> Trace:
    return trace_from_cop(time_s, force, x, y)


def feet(left_y: Array, right_y: Array, share: float = 0.5) -> tuple[Trace, Trace]:
    one = np.ones(TIME_S.size)
    return (
        trace_of(TIME_S, 600 * (1 - share) * one, -100 * one, left_y),
        trace_of(TIME_S, 600 * share * one, 100 * one, right_y),
    )


def test_the_joint_cop_is_that_of_one_plate_under_both() -> None:
    """The eight loads on one imagined plate have the same force and moments."""
    rng = np.random.default_rng(4)
    loads = rng.uniform(20, 200, (50, 8))
    half = CellPlaces.rectangle(90.0, 170.0)
    left, right = (
        Joint(*cop_arrays(part, [(x + dx, y) for x, y in half], 20.0)[:3])
        for part, dx in ((loads[:, :4], -130.0), (loads[:, 4:], 130.0))
    )
    places = [(x - 130.0, y) for x, y in half] + [(x + 130.0, y) for x, y in half]
    force = loads.sum(axis=1)
    want = (loads @ np.array(places)) / force[:, None]
    joint = joint_cop(left, right)
    assert np.allclose(joint.force_n, force, rtol=1e-12)
    assert np.allclose(joint.x_mm, want[:, 0], atol=1e-9)
    assert np.allclose(joint.y_mm, want[:, 1], atol=1e-9)


@pytest.mark.parametrize("lag_deg", [-120.0, -30.0, 0.0, 45.0, 180.0])
def test_a_known_phase_is_found(lag_deg: float) -> None:
    w = 2 * np.pi * 0.5
    noise = np.random.default_rng(1).normal(0, 0.3, (2, TIME_S.size))
    lead = 5 * np.sin(w * TIME_S) + noise[0]
    late = 3 * np.sin(w * TIME_S - np.radians(lag_deg)) + noise[1]
    got = phase_between(lead, late, RATE_HZ)
    assert got.coherence > 0.95
    assert abs((got.degrees - lag_deg + 180.0) % 360.0 - 180.0) < 2.0


def test_feet_that_share_no_rhythm_have_no_phase() -> None:
    from scipy.signal import butter, lfilter

    b, a = butter(2, 1.0, fs=RATE_HZ)
    rng = np.random.default_rng(3)
    left, right = (lfilter(b, a, rng.normal(0, 1, TIME_S.size)) for _ in range(2))
    result = measure_two_feet(*feet(left, right, 0.3))
    assert np.isnan(result.values["feet_phase_ap_deg"])
    assert "share no rhythm" in result.notes[0]
    assert result.values["right_share_percent"] == pytest.approx(30.0)


@pytest.mark.parametrize("what", ["still", "short", "lifted", "other samples"])
def test_what_cannot_be_told(what: str) -> None:
    y = np.sin(2 * np.pi * 0.5 * TIME_S)
    left, right = feet(0 * y, 0 * y) if what == "still" else feet(y, y)
    if what == "short":
        left, right = (trace_of(TIME_S[:500], 300 + 0 * y[:500], y[:500], y[:500]),) * 2
    if what == "lifted":
        gone = np.where((TIME_S > 20) & (TIME_S < 22), np.nan, y)
        right = trace_of(TIME_S, right.force_n, gone, gone)
    if what == "other samples":
        with pytest.raises(ValueError, match="same samples"):
            measure_two_feet(left, trace_of(TIME_S + 1, right.force_n, y, y))
        return
    result = measure_two_feet(left, right)
    assert np.isnan(result.values["feet_phase_ap_deg"])
    assert len(result.notes) == 1
