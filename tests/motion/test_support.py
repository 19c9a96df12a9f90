"""Support, steps, hops and falls in built signals, where the truth is known."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from swaytrainer.errors import SwaytrainerError
from swaytrainer.motion.carried import SPANS_S, seen_from_percent, triangle
from swaytrainer.motion.incident import GRAVITY_M_S2, Incident, Kind, Limits
from swaytrainer.motion.support import SUPPORT_MEASURES, SupportResult, measure_support
from swaytrainer.motion.watch import IncidentWatch
from swaytrainer.sway.cop import Array
from swaytrainer.sway.feet import Feet
from swaytrainer.sway.prepare import prepare, trace_from_cop
from tests import open_data

WEIGHT_N = 450.0
RATE = 80.0
FEET = Feet(-80.0, 60.0, -90.0, 90.0)


class Signal(NamedTuple):
    time_s: Array
    share: Array
    x_mm: Array
    y_mm: Array


def still(seconds: float = 20.0, rate_hz: float = RATE, seed: int = 1) -> Signal:
    """Quiet standing: a few millimetres of sway, 0.1 % of force noise."""
    rng = np.random.default_rng(seed)
    time = np.arange(round(seconds * rate_hz)) / rate_hz
    x = 2.0 * np.sin(2.0 * time) + 1.0 * np.sin(5.0 * time + 1.0)
    y = 3.0 * np.sin(1.3 * time) + 1.0 * np.sin(4.1 * time + 2.0) - 20.0
    return Signal(time, 1.0 + rng.normal(0.0, 0.001, time.size), x, y)


def smooth(time: Array, start_s: float, seconds: float) -> Array:
    u = np.clip((time - start_s) / seconds, 0.0, 1.0)
    return np.asarray(u * u * (3.0 - 2.0 * u))


def held(signal: Signal, start_s: float, seconds: float, share: float) -> Signal:
    inside = (signal.time_s >= start_s) & (signal.time_s < start_s + seconds)
    return signal._replace(share=signal.share - share * inside)


def risen(signal: Signal, start_s: float, seconds: float, height_m: float) -> Signal:
    """z = h·(u − sin 2πu / 2π), so z'' = h·2π·sin(2πu)/T²."""
    u = (signal.time_s - start_s) / seconds
    inside = (u >= 0.0) & (u < 1.0)
    z2 = height_m * 2.0 * math.pi * np.sin(2.0 * math.pi * u) / seconds**2
    return signal._replace(share=signal.share + inside * z2 / GRAVITY_M_S2)


def kicked(signal: Signal, start_s: float, seconds: float, speed_m_s: float) -> Signal:
    u = (signal.time_s - start_s) / seconds
    inside = (u >= 0.0) & (u < 1.0)
    peak = speed_m_s * math.pi / (2.0 * GRAVITY_M_S2 * seconds)
    return signal._replace(share=signal.share + inside * peak * np.sin(math.pi * u))


def moved(signal: Signal, start_s: float, seconds: float, dx: float, dy: float) -> Signal:
    part = smooth(signal.time_s, start_s, seconds)
    return signal._replace(x_mm=signal.x_mm + part * dx, y_mm=signal.y_mm + part * dy)


def emptied(signal: Signal, start_s: float, seconds: float, back_s: float = math.inf) -> Signal:
    off = smooth(signal.time_s, start_s, seconds) * (signal.time_s < back_s)
    return signal._replace(share=signal.share * (1.0 - off))


def seen(signal: Signal, feet: Feet | None = None, base_moves: bool = False) -> list[Incident]:
    watch = IncidentWatch(feet=feet, base_moves=base_moves)
    return watched(watch, signal)


def watched(watch: IncidentWatch, signal: Signal) -> list[Incident]:
    found: list[Incident] = []
    for t, f, x, y in zip(*(v.tolist() for v in signal), strict=True):
        empty = f * WEIGHT_N < 20.0
        found += watch.update(t, f * WEIGHT_N, math.nan if empty else x, math.nan if empty else y)
    return [*found, *watch.finish()]


def measured(signal: Signal, *, base_moves: bool = False) -> SupportResult:
    empty = signal.share * WEIGHT_N < 20.0
    trace = trace_from_cop(
        signal.time_s,
        signal.share * WEIGHT_N,
        np.where(empty, np.nan, signal.x_mm),
        np.where(empty, np.nan, signal.y_mm),
    )
    return measure_support(trace, base_moves=base_moves)


def kinds(incidents: Sequence[Incident]) -> list[Kind]:
    return [i.kind for i in incidents]


# Weight that something else carries ------------------------------------------------------------


@pytest.mark.parametrize("span_s", SPANS_S)
def test_the_triangle_is_the_middle_height_against_the_ends(span_s: float) -> None:
    """The closed form in the module: for z = A·cos(ωt), by the heights alone."""
    bins = 4000
    t = (np.arange(bins) + 0.5) * span_s / bins
    omega, amplitude = 3.7, 0.05
    acceleration = -amplitude * omega**2 * np.cos(omega * t)
    z = [amplitude * math.cos(omega * s) for s in (0.0, 0.5 * span_s, span_s)]
    expected = 8.0 / span_s**2 * (0.5 * (z[0] + z[2]) - z[1])
    assert triangle(bins) @ acceleration == pytest.approx(expected, abs=1e-5)


@settings(max_examples=25, deadline=None)
@given(
    st.lists(
        st.tuples(st.floats(0.0, 0.39), st.floats(1.0, 3.0), st.floats(0.0, 3.0)),
        min_size=1,
        max_size=6,
    )
)
def test_no_movement_within_reach_is_a_support(moves: list[tuple[float, float, float]]) -> None:
    """Whatever the body's centre does inside 0.39 m, as long as the feet press."""
    signal = still(26.0)
    at_s, height = 4.0, 0.0
    for lower, slowness, wait_s in moves:
        change = -lower - height
        seconds = slowness * max(0.3, math.sqrt(abs(change) * 2.0 * math.pi / (0.8 * 9.8)))
        signal = risen(signal, at_s, seconds, change)
        at_s, height = at_s + seconds + wait_s, -lower
    assert kinds(seen(signal)) == []


@pytest.mark.parametrize("seconds", [0.5, 1.0, 2.0, 4.0, 8.0])
def test_how_light_a_support_shows_is_what_is_said(seconds: float) -> None:
    least = seen_from_percent(WEIGHT_N, seconds) / 100.0
    base = still(30.0)
    calm = base._replace(share=np.ones_like(base.share))
    assert kinds(seen(held(calm, 10.0, seconds, 1.12 * least))) == [Kind.SUPPORT]
    assert kinds(seen(held(calm, 10.0, seconds, 0.88 * least))) == []


def test_seen_from_is_nothing_for_nobody() -> None:
    assert math.isnan(seen_from_percent(0.0, 1.0))
    assert math.isnan(seen_from_percent(math.nan, 1.0))
    assert math.isnan(seen_from_percent(500.0, 0.0))


@pytest.mark.parametrize("rate_hz", [50.0, 80.0, 100.0, 333.0])
def test_when_and_how_much_was_carried(rate_hz: float) -> None:
    signal = moved(held(still(rate_hz=rate_hz), 8.0, 3.0, 0.12), 8.0, 0.3, 18.0, -9.0)
    [incident] = seen(moved(signal, 11.0, 0.3, -18.0, 9.0))
    assert incident.kind is Kind.SUPPORT
    assert incident.start_s == pytest.approx(8.0, abs=0.1)
    assert incident.end_s == pytest.approx(11.0, abs=0.1)
    assert incident.missing_percent == pytest.approx(12.0, abs=0.5)
    assert incident.shift_x_mm == pytest.approx(17.0, abs=3.0)
    assert incident.shift_y_mm == pytest.approx(-8.5, abs=3.0)
    assert "12 % of the weight" in incident.why


def test_two_touches_are_two() -> None:
    found = seen(held(held(still(), 6.0, 0.7, 0.2), 8.5, 0.7, 0.2))
    assert kinds(found) == [Kind.SUPPORT, Kind.SUPPORT]
    assert [round(i.start_s, 1) for i in found] == pytest.approx([6.0, 8.5], abs=0.15)


def test_a_hand_that_stays_to_the_end_is_told_at_the_end() -> None:
    [incident] = seen(held(still(12.0), 7.0, 9.0, 0.1))
    assert incident.kind is Kind.SUPPORT
    assert incident.end_s == pytest.approx(12.0, abs=0.1)


def test_a_hand_during_the_learning_shows_as_more_weight_afterwards() -> None:
    [incident] = seen(held(still(), 0.0, 6.0, 0.1))
    assert incident.kind is Kind.LOADED
    assert incident.missing_percent == pytest.approx(-100.0 * 0.1 / 0.9, abs=0.5)


def test_a_told_weight_is_trusted_less_than_a_learned_one() -> None:
    signal = held(still(), 0.0, 20.0, 0.011)
    assert watched(IncidentWatch(WEIGHT_N), signal) == []
    [incident] = watched(IncidentWatch(WEIGHT_N), held(still(), 0.0, 20.0, 0.03))
    assert incident.kind is Kind.SUPPORT


# Steps -------------------------------------------------------------------------------------------


def stepped(signal: Signal, dx: float, dy: float, at_s: float = 8.0) -> Signal:
    """The right foot: the COP goes to the left one at −90 mm, and comes back elsewhere."""
    return moved(moved(signal, at_s, 0.3, -90.0, 0.0), at_s + 0.6, 0.25, 90.0 + dx, dy)


@pytest.mark.parametrize("feet", [None, FEET])
@pytest.mark.parametrize(("dx", "dy"), [(25.0, 0.0), (-25.0, 10.0), (0.0, 30.0), (5.0, -30.0)])
def test_a_foot_set_down_elsewhere_is_a_step(feet: Feet | None, dx: float, dy: float) -> None:
    [incident] = seen(stepped(still(), dx, dy), feet)
    assert incident.kind is Kind.STEP
    assert incident.start_s == pytest.approx(8.0, abs=0.2)
    assert incident.shift_x_mm == pytest.approx(dx, abs=5.0)
    assert incident.shift_y_mm == pytest.approx(dy, abs=6.0)


@pytest.mark.parametrize(
    "act",
    [
        lambda s: moved(s, 8.0, 1.0, 0.0, 35.0),  # a lean
        lambda s: moved(s, 8.0, 0.4, -60.0, 0.0),  # onto one foot, and there it stays
        lambda s: stepped(s, 0.0, 0.0),  # there and back
        lambda s: moved(moved(s, 8.0, 1.2, 60.0, 0.0), 10.0, 1.2, -60.0, 0.0),
    ],
    ids=["lean", "to one side", "there and back", "slow shift"],
)
def test_what_is_no_step(act: Callable[[Signal], Signal]) -> None:
    assert kinds(seen(act(still()))) == []


# Off the board -----------------------------------------------------------------------------------


def hopped(signal: Signal, air_s: float, at_s: float = 8.0) -> Signal:
    """A half-sine push wins the flight's speed, a half-sine takes it."""
    speed = 0.5 * GRAVITY_M_S2 * air_s
    signal = kicked(kicked(signal, at_s - 0.3, 0.3, -0.3), at_s, 0.3, speed + 0.3)
    up = (signal.time_s >= at_s + 0.3) & (signal.time_s < at_s + 0.3 + air_s)
    signal = signal._replace(share=np.where(up, 0.0, signal.share))
    return kicked(signal, at_s + 0.3 + air_s, 0.2, speed)


@pytest.mark.parametrize("air_s", [0.12, 0.3, 0.6])
def test_a_hop_is_one(air_s: float) -> None:
    [incident] = seen(hopped(still(), air_s))
    assert incident.kind is Kind.HOP
    # The push's foot is below 12 % of the weight for some hundredths before the flight.
    assert incident.air_s == pytest.approx(air_s, abs=0.04)


def test_a_knee_bend_before_and_after_a_hop_is_no_support() -> None:
    signal = risen(risen(still(), 5.0, 0.8, -0.15), 5.8, 0.8, 0.15)
    assert kinds(seen(hopped(signal, 0.3))) == [Kind.HOP]


def test_off_and_back_without_a_push_is_no_hop() -> None:
    signal = kicked(emptied(still(), 8.0, 0.2, back_s=8.5), 8.5, 0.2, 1.5)
    assert kinds(seen(signal)) == [Kind.FALL]


def stepped_off(signal: Signal) -> Signal:
    return emptied(moved(moved(signal, 8.0, 0.3, -15.0, 0.0), 8.3, 0.5, 105.0, 0.0), 9.0, 0.5)


@pytest.mark.parametrize("feet", [None, FEET])
def test_calmly_off_is_no_fall(feet: Feet | None) -> None:
    [incident] = seen(stepped_off(still()), feet)
    assert incident.kind is Kind.STEP_OFF
    assert incident.start_s == pytest.approx(8.3, abs=0.3)
    assert incident.end_s == pytest.approx(9.4, abs=0.1)


@pytest.mark.parametrize("feet", [None, FEET])
@pytest.mark.parametrize("dy", [95.0, -75.0])
def test_over_the_toes_or_heels_is_a_fall(feet: Feet | None, dy: float) -> None:
    [incident] = seen(emptied(moved(still(), 8.0, 0.25, 0.0, dy), 8.6, 0.3), feet)
    assert incident.kind is Kind.FALL
    assert ("toes" if dy > 0 else "heels") in incident.why


def test_gone_in_no_time_is_a_fall() -> None:
    """However softly the last foot goes."""
    [incident] = seen(emptied(moved(still(), 8.0, 0.2, 100.0, 0.0), 8.1, 0.4))
    assert incident.kind is Kind.FALL
    assert "no step" in incident.why


def test_a_last_foot_that_hands_over_to_nothing_is_a_fall() -> None:
    """The same way and time as a calm step off, up to the last foot."""
    signal = moved(still(), 8.0, 0.5, 90.0, 0.0)
    assert kinds(seen(emptied(signal, 8.7, 0.4))) == [Kind.STEP_OFF]
    [incident] = seen(emptied(signal, 8.8, 0.1))
    assert incident.kind is Kind.FALL
    assert "nothing took over" in incident.why


def test_over_the_outer_edge_is_a_fall_where_the_feet_are_known() -> None:
    signal = emptied(moved(still(), 8.0, 0.5, 125.0, 0.0), 9.0, 0.4)
    assert kinds(seen(signal, FEET)) == [Kind.FALL]
    assert kinds(seen(signal)) == [Kind.STEP_OFF], "not told without"


def test_a_jump_off_the_board_is_no_fall() -> None:
    signal = hopped(still(), 0.4)
    [incident] = seen(signal._replace(share=signal.share * (signal.time_s < 8.3)))
    assert incident.kind is Kind.STEP_OFF
    assert "Jumped off" in incident.why


def test_coming_back_is_neither_step_nor_support() -> None:
    signal = emptied(stepped_off(still(30.0)), 9.0, 0.5, back_s=13.0)
    assert kinds(seen(signal)) == [Kind.STEP_OFF]


def test_off_at_the_end_is_left() -> None:
    signal = stepped_off(still(9.8))
    assert kinds(seen(signal)) == [Kind.LEFT]


# A moving base, bad input, the batch form -------------------------------------------------------


def test_on_a_moving_base_only_the_air_is_told() -> None:
    signal = held(stepped(still(30.0), 25.0, 10.0), 15.0, 3.0, 0.2)
    assert seen(signal, base_moves=True) == []
    result = measured(stepped_off(still(30.0)), base_moves=True)
    assert kinds(result.incidents) == [Kind.LEFT]
    told = {k for k, v in result.values.items() if not math.isnan(v)}
    assert told == {"hop_count", "left_count"}
    assert "can't be told" in result.notes[0]
    [hop] = seen(hopped(still(), 0.3), base_moves=True)
    assert hop.kind is Kind.HOP
    assert "thrown up" in hop.why


def test_a_quiet_trial_has_none_of_it_and_says_what_it_could_not_see() -> None:
    result = measured(still())
    assert set(result.values) == set(SUPPORT_MEASURES)
    assert set(result.values.values()) == {0.0}
    assert result.weight_n == pytest.approx(WEIGHT_N, rel=1e-3)
    assert "lightest support" in result.notes[0]


def test_the_batch_is_the_watch() -> None:
    signal = stepped_off(held(stepped(still(30.0), 25.0, 10.0, 20.0), 10.0, 2.0, 0.1))
    result = measured(signal)
    assert list(result.incidents) == seen(signal)
    signal = held(stepped(still(40.0), 25.0, 10.0, 20.0), 10.0, 2.0, 0.1)
    values = measured(signal).values
    assert (values["support_count"], values["step_count"]) == (1.0, 1.0)
    assert values["support_s"] == pytest.approx(2.0, abs=0.15)
    assert values["support_most_percent"] == pytest.approx(10.0, abs=0.5)


@pytest.mark.parametrize("newtons_a_unit", [1.0 / 9.80665, 1e-3])
def test_kilograms_for_newtons_are_no_weight(newtons_a_unit: float) -> None:
    time = still().time_s
    flat = np.zeros(time.size)
    result = measure_support(trace_from_cop(time, flat + WEIGHT_N * newtons_a_unit, flat, flat))
    assert all(math.isnan(v) for v in result.values.values())
    assert "newtons" in result.notes[0]
    with pytest.raises(SwaytrainerError, match="no vaulter's weight"):
        IncidentWatch(45.0)


def test_a_trial_too_short_to_learn_a_weight_says_so() -> None:
    result = measured(still(2.0))
    assert all(math.isnan(v) for v in result.values.values())
    assert "No weight" in result.notes[0]


@pytest.mark.parametrize("later", [1.0, 0.5, math.nan, math.inf])
def test_time_goes_forward(later: float) -> None:
    watch = IncidentWatch()
    watch.update(1.0, 450.0, 0.0, 0.0)
    with pytest.raises(SwaytrainerError, match="cannot follow"):
        watch.update(later, 450.0, 0.0, 0.0)


@pytest.mark.parametrize("bad", [math.nan, math.inf, -1.0])
def test_limits_are_numbers_above_zero(bad: float) -> None:
    with pytest.raises(SwaytrainerError, match="reach_m"):
        Limits(reach_m=bad)


def test_lost_samples_are_no_support_and_a_gap_is_never_bridged() -> None:
    signal = still(30.0)
    rng = np.random.default_rng(5)
    keep = rng.random(signal.time_s.size) > 0.1
    keep &= ~((signal.time_s > 12.0) & (signal.time_s < 12.2))
    assert seen(Signal(*(v[keep] for v in signal))) == []
    # On both sides of a second's gap the weight is on one foot, then at a new place: no step seen.
    keep = (signal.time_s < 8.5) | (signal.time_s > 9.5)
    assert seen(Signal(*(v[keep] for v in stepped(signal, 40.0, 20.0, 8.4)))) == []


def test_a_support_across_a_gap_ends_at_it() -> None:
    signal = held(still(30.0), 8.0, 4.0, 0.15)
    keep = (signal.time_s < 11.0) | (signal.time_s > 12.5)
    [incident] = seen(Signal(*(v[keep] for v in signal)))
    assert incident.kind is Kind.SUPPORT
    assert incident.end_s == pytest.approx(11.0, abs=0.1)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.sampled_from([0.05, 0.3, 1.0, 3.0]),
            st.sampled_from([0.0, 30.0, 200.0, 400.0, 450.0, 460.0, 700.0, math.nan]),
            st.sampled_from([-90.0, -30.0, 0.0, 60.0, math.nan]),
            st.sampled_from([0.0, 0.2, 2.0]),
        ),
        max_size=20,
    )
)
def test_whatever_is_fed_comes_out_in_order(
    pieces: list[tuple[float, float, float, float]],
) -> None:
    watch = IncidentWatch()
    now_s = 0.0
    found: list[Incident] = []
    for seconds, force_n, x_mm, gap_s in [(3.5, 450.0, 0.0, 0.0), *pieces]:
        now_s += gap_s
        for _ in range(round(seconds * 50.0)):
            now_s += 0.02
            new = watch.update(now_s, force_n, x_mm, x_mm)
            assert all(i.end_s <= now_s for i in new)
            found += new
    found += watch.finish()
    assert all(0.0 <= i.start_s <= i.end_s <= now_s for i in found)
    leavings = [i for i in found if i.kind in (Kind.FALL, Kind.STEP_OFF, Kind.LEFT)]
    assert [i.end_s for i in leavings] == sorted(i.end_s for i in leavings)


# Real people -------------------------------------------------------------------------------------


@pytest.mark.open_data
@pytest.mark.parametrize("trial", open_data.STANDING_TRIALS)
def test_nobody_who_only_stands_is_seen_to_do_anything_else(trial: int) -> None:
    trace = prepare(*open_data.standing(trial), open_data.PLACES)
    assert measure_support(trace).incidents == ()


@pytest.mark.open_data
@pytest.mark.parametrize("trial", [3, 10, 108])
def test_a_hand_laid_over_a_real_trial_is_seen(trial: int) -> None:
    """Real force and sway, of which a tenth is taken away for a second and a half."""
    time_s, loads_n = open_data.standing(trial)
    inside = (time_s > 30.0) & (time_s < 31.5)
    loads_n = loads_n * np.where(inside, 0.9, 1.0)[:, None]
    [incident] = measure_support(prepare(time_s, loads_n, open_data.PLACES)).incidents
    assert incident.kind is Kind.SUPPORT
    assert incident.start_s == pytest.approx(30.0, abs=0.15)
    assert incident.missing_percent == pytest.approx(10.0, abs=1.0)


@pytest.mark.open_data
def test_a_real_jump_is_a_hop() -> None:
    """600 Hz, vertical force alone; the body's weight from its first half second."""
    columns = open_data.read(open_data.folder() / "jump" / "countermovement_600hz.csv.gz")
    force = columns["force_n"]
    watch = IncidentWatch(float(np.median(force[:300])))
    found: list[Incident] = []
    for t, f in zip(columns["time_s"].tolist(), force.tolist(), strict=True):
        found += watch.update(t, f, 0.0, 0.0)
    [incident] = [*found, *watch.finish()]
    assert incident.kind is Kind.HOP
    assert incident.air_s == pytest.approx(0.43, abs=0.02)
