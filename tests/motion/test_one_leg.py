"""One leg: which, touches, sway over the right stretch, and left against right."""

import math
from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from swaytrainer.errors import SwaytrainerError
from swaytrainer.motion.one_leg import (
    AFTER_TOUCH_S,
    EDGE_MM,
    ONE_LEG_MEASURES,
    SETTLE_S,
    OneLegResult,
    Terms,
    half_breadth_mm,
    measure_one_leg,
)
from swaytrainer.motion.one_leg_pair import compare_legs
from swaytrainer.sway.feet import Feet
from swaytrainer.sway.prepare import trace_from_cop
from swaytrainer.sway.table import MEASURES, sway_measures
from tests.motion.one_leg_touches import (
    FEET,
    RATE_HZ,
    WEIGHT_N,
    Made,
    confusion,
    made_touches,
    measured,
    one_leg_trace,
)


def still_at(x_mm: list[float], force_n: float = 400.0) -> OneLegResult:
    """Samples at these places, nothing else moves."""
    x = np.array(x_mm)
    time_s = np.arange(x.size) / RATE_HZ
    trace = trace_from_cop(time_s, np.full(x.size, force_n), x, np.where(np.isnan(x), x, 0.0))
    return measure_one_leg(trace, FEET)


@pytest.mark.parametrize("leg", ["left", "right"])
def test_the_leg_and_its_stretch(leg: str) -> None:
    result = measured(one_leg_trace(leg, 25.0, seed=3))
    assert result.leg == leg
    assert list(result.values) == list(ONE_LEG_MEASURES)
    # Two feet for 3 s, then a second to go over.
    assert 3.3 < result.values["one_leg_start_s"] < 4.0
    assert result.values["one_leg_touches"] == 0.0
    assert result.values["one_leg_longest_free_s"] == result.values["one_leg_s"]
    assert result.values["one_leg_measured_s"] == pytest.approx(
        result.values["one_leg_s"] - SETTLE_S, abs=0.05
    )


def test_the_sway_is_the_tables_over_the_free_time() -> None:
    trace = one_leg_trace("left", 25.0, seed=5)
    result = measured(trace)
    assert set(result.sway) == set(MEASURES)
    first = float(result.values["one_leg_start_s"]) + SETTLE_S
    part = trace.time_s >= first - 1e-9
    alone = trace_from_cop(
        trace.time_s[part], trace.force_n[part], trace.x_mm[part], trace.y_mm[part]
    )
    expected = sway_measures(alone)
    for key, value in result.sway.items():
        assert value == pytest.approx(expected[key], rel=1e-12, nan_ok=True)


def test_a_touch_adds_nothing_to_the_sway() -> None:
    made = [Made(12.0, 0.4, 0.6), Made(18.0, 0.4, 0.6)]
    touched = measured(one_leg_trace("right", 25.0, made, seed=7))
    free = measured(one_leg_trace("right", 25.0, seed=7))
    assert touched.values["one_leg_touches"] == 2.0
    assert touched.sway["mean_speed_mm_s"] == pytest.approx(free.sway["mean_speed_mm_s"], rel=0.05)
    assert touched.sway["range_ml_mm"] <= free.sway["range_ml_mm"]
    lost = 2.0 * (0.4 + 2.0 * AFTER_TOUCH_S)
    gone = free.values["one_leg_measured_s"] - touched.values["one_leg_measured_s"]
    assert gone == pytest.approx(lost, abs=0.3)
    for touch, truth in zip(touched.touches, made, strict=True):
        assert truth.start_s <= touch.start_s < touch.end_s <= truth.start_s + truth.seconds
        assert touch.share_percent == pytest.approx(60.0, abs=10.0)


def test_what_can_be_seen_is_the_lever_rule() -> None:
    """A touch with share p moves the COP by p·d; seen beyond half a foot and the edge's doubt."""
    result = still_at([FEET.left_x_mm] * 400)
    apart = FEET.right_x_mm - FEET.left_x_mm
    seen = 100.0 * (half_breadth_mm(FEET) + EDGE_MM) / apart
    assert result.values["one_leg_visible_share_percent"] == pytest.approx(seen)
    assert f"less than {seen:.0f} %" in result.notes[0]
    for share, touches in (0.98 * seen, 0.0), (1.02 * seen, 1.0):
        x = [FEET.left_x_mm] * 400
        x[200:230] = [FEET.left_x_mm + share / 100.0 * apart] * 30
        assert still_at(x).values["one_leg_touches"] == touches


def test_heavy_touches_are_seen_light_ones_are_not_and_none_are_made_up() -> None:
    """``one_leg_touches`` prints the whole table."""
    assert confusion(0.0, 0.0, range(12), 9.0) == [0, 0, 0, 0]
    assert confusion(0.45, 0.3, range(8), 5.0) == [24, 0, 0, 0]
    assert confusion(0.10, 0.8, range(6), 5.0)[0] == 0


def test_a_spike_is_no_touch_and_a_bounce_is_one() -> None:
    home, out = FEET.left_x_mm, FEET.left_x_mm + 80.0
    x = [home] * 800
    x[300] = out
    assert still_at(x).values["one_leg_touches"] == 0.0
    x[400:410] = x[414:424] = [out] * 10
    assert still_at(x).values["one_leg_touches"] == 1.0
    x[440:450] = [out] * 10
    assert still_at(x).values["one_leg_touches"] == 2.0


def test_back_on_two_feet_ends_it() -> None:
    left, middle = FEET.left_x_mm, 0.0
    result = still_at([left] * 400 + [middle] * 200 + [left] * 800)
    assert result.values["one_leg_s"] == pytest.approx(799 / RATE_HZ)
    assert result.values["one_leg_touches"] == 0.0
    # A hop over to the other foot for less than 1.5 s is a touch with nearly all the weight.
    hop = still_at([left] * 400 + [FEET.right_x_mm] * 80 + [left] * 400)
    assert hop.leg == "left"
    assert hop.touches[0].share_percent == pytest.approx(100.0)


@pytest.mark.parametrize(
    "x_mm",
    [[0.0] * 400, [math.nan] * 400, [FEET.left_x_mm] * 3, [-500.0] * 400],
    ids=["two feet", "nobody", "three samples", "off the marks"],
)
def test_no_leg_is_unknown(x_mm: list[float]) -> None:
    result = still_at(x_mm)
    assert result.leg == "unknown"
    assert all(math.isnan(v) for v in result.values.values())
    assert result.sway == {}
    assert result.notes


def test_missing_force_is_told() -> None:
    trace = one_leg_trace(seed=2)
    force = trace.force_n.copy()
    force[1200:1400] *= 0.9
    held = trace_from_cop(trace.time_s, force, trace.x_mm, trace.y_mm)
    assert any("was missing" in note for note in measured(held).notes)
    assert not any("was missing" in note for note in measured(trace).notes)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.floats(-150.0, 150.0) | st.just(math.nan), min_size=2, max_size=300))
def test_any_cop_keeps_the_books(x_mm: list[float]) -> None:
    result = still_at(x_mm)
    assert list(result.values) == list(ONE_LEG_MEASURES)
    if result.leg != "unknown":
        v = result.values
        assert 0.0 <= v["one_leg_touch_s"] <= v["one_leg_s"] + 1e-9
        assert v["one_leg_longest_free_s"] <= v["one_leg_s"] + 1e-9
        assert all(
            a.end_s < b.start_s for a, b in zip(result.touches, result.touches[1:], strict=False)
        )


def test_a_left_handed_world_is_the_same_world() -> None:
    """Mirrored COP and feet: the same numbers on the other leg."""
    made = made_touches(Random(4), 0.5, 0.4)
    trace = one_leg_trace("left", 25.0, made, seed=9)
    mirrored = trace_from_cop(trace.time_s, trace.force_n, -trace.x_mm, trace.y_mm)
    one, other = measured(trace), measured(mirrored)
    assert (one.leg, other.leg) == ("left", "right")
    assert one.values == pytest.approx(other.values)


def test_what_cannot_be_is_told() -> None:
    trace = one_leg_trace(seed=1)
    with pytest.raises(SwaytrainerError, match="near together"):
        measure_one_leg(trace, Feet(-70.0, 50.0, -30.0, 30.0))
    with pytest.raises(SwaytrainerError, match="broad"):
        measure_one_leg(trace, FEET, foot_half_breadth_mm=math.nan)
    with pytest.raises(SwaytrainerError, match="weigh"):
        measure_one_leg(trace, FEET, weight_n=0.0)


def trials(leg: str, count: int, sway_mm: float = 5.0, first: int = 0) -> list[OneLegResult]:
    seeds = range(first, first + count)
    return [measured(one_leg_trace(leg, 20.0, seed=s, sway_mm=sway_mm)) for s in seeds]


def test_the_difference_is_welchs() -> None:
    left, right = trials("left", 3), trials("right", 4, 7.0, 10)
    found = compare_legs(left, right, "mean_speed_mm_s")
    a, b = ([t.sway["mean_speed_mm_s"] for t in legs] for legs in (left, right))
    interval = stats.ttest_ind(b, a, equal_var=False).confidence_interval(0.95)
    assert found.difference - found.u95 == pytest.approx(interval.low, rel=1e-9)
    assert found.difference + found.u95 == pytest.approx(interval.high, rel=1e-9)
    assert found.settled
    assert not compare_legs(left, trials("right", 3, 5.0, 20), "mean_speed_mm_s").settled


def test_one_trial_a_leg_is_unknown_unless_the_error_is_given() -> None:
    left, right = trials("left", 1), trials("right", 1, 7.0)
    unknown = compare_legs(left, right, "mean_speed_mm_s")
    assert math.isnan(unknown.u95)
    assert not unknown.settled
    assert "unknown" in unknown.note
    given_sem = compare_legs(left, right, "mean_speed_mm_s", sem=2.0)
    assert given_sem.u95 == pytest.approx(1.96 * math.sqrt(2.0) * 2.0)


def test_unequal_terms_are_not_compared() -> None:
    left = trials("left", 1)
    foam = measured(one_leg_trace("right", 20.0), Terms(base="foam"))
    with pytest.raises(SwaytrainerError, match="terms"):
        compare_legs(left, [foam], "mean_speed_mm_s")
    with pytest.raises(SwaytrainerError, match="last from"):
        compare_legs(left, [measured(one_leg_trace("right", 35.0))], "mean_speed_mm_s")
    with pytest.raises(SwaytrainerError, match="stood on"):
        compare_legs(left, left, "mean_speed_mm_s")
    with pytest.raises(SwaytrainerError, match="no trial"):
        compare_legs(left, [], "mean_speed_mm_s")
    with pytest.raises(SwaytrainerError, match="no measure"):
        compare_legs(left, trials("right", 1), "beauty")
    with pytest.raises(SwaytrainerError, match="standard error"):
        compare_legs(left, trials("right", 1), "mean_speed_mm_s", sem=-1.0)


def test_the_weight_is_what_it_should_be() -> None:
    assert float(np.median(one_leg_trace().force_n)) == pytest.approx(WEIGHT_N, rel=0.001)
