"""Landings whose truth is known, and everything that is none."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.signal import butter, lfilter, lfilter_zi

from swaytrainer.errors import SwaytrainerError
from swaytrainer.motion.landing import measure_landing, saturated_samples
from swaytrainer.motion.landing_find import NEVER, crossing, find_contacts
from swaytrainer.motion.landing_height import height_of_flight_mm
from swaytrainer.motion.landing_settle import QUIET_FACTOR, QuietStance, quiet_samples
from swaytrainer.motion.landing_table import LANDING_MEASURES, LandingResult
from swaytrainer.simulate.athlete import ADULT, CHILD, JUNIOR
from swaytrainer.simulate.jumping import Jump, Jumping, Sampled
from swaytrainer.sway.cop import Array, CellPlaces
from swaytrainer.sway.feet import Feet
from swaytrainer.sway.prepare import Trace, prepare, trace_from_cop
from tests.motion.landing_errors import built

PLACES = CellPlaces.rectangle(220.0, 220.0)
SERIES = [
    Jump(150.0, lag_s=0.02, right_share=0.55, stand_s=5.0),
    Jump(250.0, first_foot="right", lag_s=0.01, ball_s=0.03, heel_s=0.035, stand_s=5.0),
    Jump(300.0, from_outside=True, first_foot="right", lag_s=0.03, stray_mm=30.0, stand_s=6.0),
]


def trace_of(got: Sampled) -> Trace:
    return prepare(got.time_s, got.loads_n, PLACES, cutoff_hz=None)


@pytest.fixture(scope="module")
def series() -> Jumping:
    return Jumping(JUNIOR, SERIES, seed=3)


@pytest.fixture(scope="module")
def measured(series: Jumping) -> LandingResult:
    return measure_landing(trace_of(series.sample(500.0, 1)), series.feet)


def test_several_landings_in_one_trace(series: Jumping, measured: LandingResult) -> None:
    assert set(measured.values) == set(LANDING_MEASURES)
    assert measured.values["landing_count"] == 3.0
    assert measured.steps_s == ()
    assert measured.notes == ()
    for found, truth in zip(measured.landings, series.truths(), strict=True):
        assert found.contact.time_s == pytest.approx(truth.contact_s, abs=1e-3)
        assert found.peak_bw == pytest.approx(truth.peak_bw, rel=3e-3)
        assert found.peak is not None
        assert found.peak.time_s == pytest.approx(truth.peak_s, abs=5e-4)
        assert found.loading_rate_bw_s == pytest.approx(
            truth.peak_bw / (truth.peak_s - truth.contact_s), rel=0.03
        )
    first, second, outside = measured.landings
    assert [one.feet.first_foot for one in measured.landings] == ["left", "right", "right"]
    assert first.flight_s == pytest.approx(series.truths()[0].flight_s, abs=1e-3)
    assert second.height_mm == pytest.approx(250.0, abs=1.5)
    assert outside.takeoff is NEVER
    assert math.isnan(outside.height_mm)
    # The mean is over the hops alone.
    assert measured.values["landing_height_mm"] == pytest.approx(200.0, abs=1.5)
    assert measured.values["landing_weight_n"] == pytest.approx(series.weight_n, rel=2e-3)


def test_the_push_offs_impulse_gives_the_same_height(measured: LandingResult) -> None:
    for found, jump in zip(measured.landings[:2], SERIES[:2], strict=True):
        assert found.impulse_height_mm == pytest.approx(jump.height_mm, rel=0.02)
    assert math.isnan(measured.landings[2].impulse_height_mm)


def test_height_is_g_t_squared_over_eight() -> None:
    t = 2.0 * 2.5 / 9.80665  # up at 2.5 m/s, and down again
    assert height_of_flight_mm(t) == pytest.approx(1000.0 * 2.5**2 / (2 * 9.80665), rel=1e-12)


# Feet


def test_the_lag_is_when_the_second_foot_comes_down_and_the_middle_third_is_later() -> None:
    """With loads that grow like t, a tenth is reached after 1.125 lags, a third after 2."""
    time_s = np.arange(0.0, 2.0, 0.001)
    lag_s, contact_s = 0.016, 1.0
    left = np.clip((time_s - contact_s) * 20_000.0, 0.0, None)
    right = np.clip((time_s - contact_s - lag_s) * 20_000.0, 0.0, None)
    fall = np.where(time_s < contact_s + 0.1, 1.0, 0.2)
    force = (left + right) * fall
    feet = Feet(-80.0, 40.0, -75.0, 75.0)
    x = np.where(force >= 20.0, 75.0 * (right - left) / np.maximum(left + right, 1e-9), np.nan)
    y = np.where(np.isnan(x), np.nan, 40.0)
    result = measure_landing(trace_from_cop(time_s, force, x, y), feet, stance=QuietStance(600.0))
    (landing,) = result.landings
    assert landing.feet.first_foot == "left"
    assert landing.feet.lag_s == pytest.approx(1.125 * lag_s, abs=2e-4)
    assert landing.feet.even_s == pytest.approx(2.0 * lag_s, abs=2e-4)
    assert landing.feet.toe_share_contact_percent == pytest.approx(100.0)


@pytest.mark.parametrize("share", [0.4, 0.6])
def test_shares_of_both_feet_at_once(share: float) -> None:
    jumping = Jumping(ADULT, [Jump(250.0, right_share=share, stray_mm=1e-9)], seed=5)
    result = measure_landing(trace_of(jumping.sample(1000.0, 1)), jumping.feet)
    (landing,) = result.landings
    assert landing.feet.first_foot == "together"
    assert landing.feet.lag_s <= landing.feet.lag_within_s  # not told from nothing
    assert landing.feet.right_share_percent == pytest.approx(100.0 * share, abs=1.0)
    assert landing.feet.toe_share_contact_percent > 90.0  # on the balls first
    assert landing.feet.toe_share_peak_percent < 20.0  # the peak is the heels'


def test_one_foot_alone_and_a_landing_off_the_marks() -> None:
    jumping = Jumping(JUNIOR, [Jump(200.0, right_share=0.999)], seed=2)
    (landing,) = measure_landing(trace_of(jumping.sample(500.0, 1)), jumping.feet).landings
    assert landing.feet.first_foot == "right"
    assert math.isnan(landing.feet.lag_s)
    assert "one landed" in landing.feet.problem
    far = Feet(-90.0, 50.0, 300.0, 480.0)
    result = measure_landing(trace_of(jumping.sample(500.0, 1)), far)
    assert result.landings[0].feet.first_foot == "unknown"
    assert math.isnan(result.values["landing_right_share_percent"])
    assert any("marks" in note for note in result.notes)


# Time to still


def still_by_hand(trace: Trace, stance: QuietStance, start_s: float) -> float:
    """The definition, window by window, with SciPy's filter."""
    rows = np.flatnonzero(trace.time_s >= start_s)
    rows = rows[np.flatnonzero(trace.force_n[rows] >= 20.0)[0] :]
    force, time_s = trace.force_n[rows], trace.time_s[rows]
    b, a = butter(2, 10.0, fs=trace.rate_hz)
    smooth = [
        lfilter(b, a, v, zi=lfilter_zi(b, a) * v[0])[0]
        for v in (force, force * trace.x_mm[rows], force * trace.y_mm[rows])
    ]
    x, y = smooth[1] / smooth[0], smooth[2] / smooth[0]
    for i in range(time_s.size):
        k = int(np.searchsorted(time_s, time_s[i] + 1.0 - 1e-9))
        inside = np.abs(force[i : k + 1] - stance.weight_n) <= 0.05 * stance.weight_n
        if k < time_s.size and inside.all():
            way = np.hypot(np.diff(x[i : k + 1]), np.diff(y[i : k + 1])).sum()
            if way / (time_s[k] - time_s[i]) <= QUIET_FACTOR * stance.speed_mm_s:
                return float(time_s[i])
    return math.nan


@pytest.mark.parametrize("stray_mm", [1e-9, 15.0, 60.0])
def test_time_to_still_is_its_definition(stray_mm: float) -> None:
    jumping = Jumping(JUNIOR, [Jump(200.0, stray_mm=stray_mm, stray_s=0.6)], seed=4)
    trace = trace_of(jumping.sample(100.0, 1))
    result = measure_landing(trace)
    (landing,) = result.landings
    (truth,) = jumping.truths()
    # Without noise's help the force alone is still when the built signal says so.
    assert landing.force_still_s == pytest.approx(
        truth.force_settled_s - truth.contact_s, abs=1.5 / 100.0 + landing.contact.within_s
    )
    assert result.stance is not None
    by_hand = still_by_hand(trace, result.stance, truth.contact_s - 0.05)
    assert landing.contact.time_s + landing.time_to_still_s == pytest.approx(by_hand, abs=1e-9)
    if stray_mm > 50.0:  # the COP is what takes long
        assert landing.time_to_still_s > landing.force_still_s + 0.3


def test_no_still_second_before_the_trace_ends() -> None:
    jumping = Jumping(JUNIOR, [Jump(200.0, stand_s=1.2)], seed=4)
    result = measure_landing(trace_of(jumping.sample(100.0, 1)))
    assert math.isnan(result.values["landing_time_to_still_s"])
    assert any("no still second" in note for note in result.notes)


def test_quiet_samples_are_those_of_quiet_seconds() -> None:
    time_s = np.arange(400) / 100.0
    force = 600.0 + np.where((time_s > 1.5) & (time_s < 2.0), 100.0 * np.sin(40.0 * time_s), 0.0)
    force[300:] = 0.0
    quiet = quiet_samples(time_s, force)
    expected = np.zeros(400, dtype=np.bool_)
    for i in range(300):
        window = force[i : i + 101]
        if window.size == 101 and window.mean() > 20 and window.std() < 0.02 * window.mean():
            expected[i : i + 101] = True
    assert expected.any()
    assert (quiet == expected).all()


# Saturation, filters, rate


def test_a_cell_at_its_end_is_told_and_the_peak_is_at_least() -> None:
    jumping = Jumping(JUNIOR, [Jump(200.0), Jump(300.0, lag_s=0.02, heel_s=0.03)], seed=6)
    whole = measure_landing(trace_of(jumping.sample(500.0, 1)), jumping.feet)
    got = jumping.sample(500.0, 1, full_scale_n=620.0)
    flags = saturated_samples(got.loads_n, 620.0)
    assert (flags == got.saturated).all()
    result = measure_landing(trace_of(got), jumping.feet, saturated=flags)
    soft, hard = result.landings
    assert not soft.saturated
    assert hard.saturated
    assert hard.peak_bw < whole.landings[1].peak_bw
    assert math.isnan(hard.loading_s)
    assert math.isnan(hard.loading_rate_bw_s)
    assert hard.feet.first_foot == "unknown"
    assert hard.height_mm == whole.landings[1].height_mm
    assert result.values["landing_saturated"] == 1.0
    assert any("at least" in note for note in result.notes)


def test_filtered_traces_are_refused_but_for_light_filters() -> None:
    jumping = Jumping(JUNIOR, [Jump(200.0)], seed=6)
    got = jumping.sample(500.0, 1)
    with pytest.raises(SwaytrainerError, match="filtered"):
        measure_landing(prepare(got.time_s, got.loads_n, PLACES))
    odd = trace_from_cop(got.time_s, got.loads_n.sum(axis=1), *_no_cop(500), filter_label="mine")
    with pytest.raises(SwaytrainerError, match="mine"):
        measure_landing(odd)
    light = measure_landing(prepare(got.time_s, got.loads_n, PLACES, cutoff_hz=100.0))
    plain = measure_landing(trace_of(got))
    for key in ("landing_peak_bw", "landing_height_mm"):
        assert light.values[key] == pytest.approx(plain.values[key], rel=0.02)


def _no_cop(rate: int) -> tuple[Array, Array]:
    jumping = Jumping(JUNIOR, [Jump(200.0)], seed=6)
    count = jumping.sample(rate, 1).time_s.size
    return np.full(count, np.nan), np.full(count, np.nan)


def test_ten_hertz_would_flatten_the_peak_of_every_built_jump() -> None:
    for heel_s in (0.03, 0.08):
        jumping = Jumping(JUNIOR, [Jump(250.0, heel_s=heel_s)], seed=6)
        got = jumping.sample(500.0, 1)
        flat = prepare(got.time_s, got.loads_n, PLACES).force_n.max()
        assert flat < 0.9 * got.loads_n.sum(axis=1).max()


def test_what_a_low_rate_costs_and_that_the_bounds_hold() -> None:
    low, high = built(80.0, 25), built(1000.0, 10)
    for name in ("flight ms", "height mm", "contact ms"):
        assert low.share_held(name) == 1.0
        assert abs(low.bias(name)) < 3.5
        assert abs(high.bias(name)) < 0.4
    # Half of what simpler ways would do wrong, as the root of the mean square.
    size = {
        name: math.hypot(low.bias(name), low.spread(name))
        for name in ("flight ms", "flight, line ms", "flight, middle ms")
    }
    assert 1.4 * size["flight ms"] < size["flight, middle ms"] < size["flight, line ms"]
    assert high.spread("flight ms") < 0.5
    assert low.share_held("peak %") >= 0.9
    assert -6.0 < low.bias("peak %") < -0.5 < high.bias("peak %")
    assert low.spread("loading ms") < 8.0
    assert high.spread("loading ms") < 0.6
    assert abs(low.bias("lag ms")) < 4.0
    assert low.bias("even ms") > 4.0  # the middle third is no lag


def test_extending_the_load_beats_a_straight_line() -> None:
    """The case for ``crossing``: force rises from nothing at a time between the samples."""
    errors: dict[str, list[float]] = {"ours": [], "line": [], "middle": []}
    for phase in np.linspace(0.02, 0.98, 49):
        t = np.array([-phase, 1.0 - phase, 2.0 - phase]) / 80.0
        f = np.where(t > 0.0, 2000.0 * np.sin(math.pi * t / 0.12), 0.0)
        if f[1] < 20.0:
            continue
        errors["ours"].append(crossing((t[0], f[0]), (t[1], f[1]), (t[2], f[2])).time_s)
        errors["line"].append(t[0] + 20.0 / f[1] / 80.0)
        errors["middle"].append(0.5 * (t[0] + t[1]))
    size = {name: float(np.sqrt(np.mean(np.square(e)))) for name, e in errors.items()}
    assert size["ours"] < 0.5 * size["middle"] < 0.5 * size["line"]


# What is no landing, and bad input


def standing(seconds: float, rate_hz: float = 100.0, force_n: float = 441.0) -> Trace:
    t = np.arange(int(seconds * rate_hz)) / rate_hz
    return trace_from_cop(t, np.full(t.size, force_n), np.zeros(t.size), np.zeros(t.size))


def test_constant_load_and_stepping_on_are_no_landing() -> None:
    result = measure_landing(standing(5.0))
    assert result.landings == ()
    assert math.isnan(result.values["landing_peak_bw"])
    assert result.values["landing_count"] == 0.0
    assert any("no landing" in note for note in result.notes)
    t = np.arange(800) / 100.0
    force = np.clip((t - 1.0) / 1.2, 0.0, 1.0) * 441.0
    nothing = np.full(t.size, np.nan)
    stepped = measure_landing(trace_from_cop(t, force, nothing, nothing))
    assert stepped.landings == ()
    assert stepped.steps_s == pytest.approx([1.0], abs=0.05)


def test_kilograms_are_refused() -> None:
    jumping = Jumping(JUNIOR, [Jump(200.0)], seed=6)
    got = jumping.sample(200.0, 1)
    kilograms = got._replace(loads_n=got.loads_n / 9.80665)
    with pytest.raises(SwaytrainerError, match="kilograms"):
        measure_landing(trace_of(kilograms))
    with pytest.raises(SwaytrainerError, match="kilograms"):
        QuietStance(45.0)
    for speed in (0.0, -1.0, math.inf):
        with pytest.raises(SwaytrainerError, match="quiet speed"):
            QuietStance(441.0, speed)


def test_a_weight_that_does_not_fit_is_told() -> None:
    jumping = Jumping(JUNIOR, [Jump(200.0)], seed=6)
    trace = trace_of(jumping.sample(200.0, 1))
    said = measure_landing(trace, stance=QuietStance(600.0)).notes
    assert any("600 N" in note and "441 N" in note for note in said)


def test_without_quiet_standing_nothing_is_told_in_body_weights() -> None:
    jumping = Jumping(CHILD, [Jump(200.0, stand_s=0.6)], seed=6, quiet_s=0.2)
    result = measure_landing(trace_of(jumping.sample(500.0, 1)), jumping.feet)
    assert result.stance is None
    assert math.isnan(result.values["landing_peak_bw"])
    assert result.values["landing_height_mm"] == pytest.approx(200.0, abs=2.0)
    assert any("weight" in note for note in result.notes)


def test_too_few_samples_a_second() -> None:
    with pytest.raises(SwaytrainerError, match="too few for a landing"):
        measure_landing(standing(5.0, rate_hz=40.0))
    for gravity in (0.0, -9.81, math.nan, 981.0):
        with pytest.raises(SwaytrainerError, match="gravity"):
            measure_landing(standing(5.0), gravity_m_s2=gravity)
    with pytest.raises(ValueError, match="one flag a sample"):
        measure_landing(standing(5.0), saturated=np.zeros(3, dtype=np.bool_))
    for full_scale in (0.0, math.nan, math.inf):
        with pytest.raises(SwaytrainerError, match="ends"):
            saturated_samples(np.zeros((2, 4)), full_scale)


def test_nothing_is_measured_across_a_gap() -> None:
    jumping = Jumping(JUNIOR, [Jump(200.0), Jump(200.0)], seed=6)
    got = jumping.sample(200.0, 1)
    first, second = jumping.truths()
    t = got.time_s

    def without(from_s: float, to_s: float) -> LandingResult:
        keep = (t < from_s) | (t > to_s)
        return measure_landing(trace_of(Sampled(t[keep], got.loads_n[keep], got.saturated[keep])))

    in_flight = without(first.takeoff_s + 0.1, first.takeoff_s + 0.15)
    assert math.isnan(in_flight.landings[0].flight_s)
    assert in_flight.landings[1].flight_s == pytest.approx(second.flight_s, abs=5e-3)
    at_contact = without(first.contact_s - 0.01, first.contact_s + 0.01)
    assert len(at_contact.landings) == 1
    at_peak = without(first.peak_s - 0.01, first.peak_s + 0.01)
    assert at_peak.landings[0].peak is None
    assert math.isnan(at_peak.landings[0].time_to_still_s)


def test_a_force_that_is_no_number_is_a_gap() -> None:
    jumping = Jumping(JUNIOR, [Jump(200.0)], seed=6)
    trace = trace_of(jumping.sample(200.0, 1))
    (truth,) = jumping.truths()
    force = trace.force_n.copy()
    force[np.searchsorted(trace.time_s, truth.peak_s)] = math.nan
    broken = trace_from_cop(trace.time_s, force, trace.x_mm, trace.y_mm)
    (landing,) = measure_landing(broken).landings
    assert landing.flight_s == pytest.approx(truth.flight_s, abs=5e-3)
    assert landing.peak is None
    assert math.isnan(landing.loading_s)


def test_a_cop_without_a_force_tells_no_landing() -> None:
    t = np.arange(200) / 100.0
    result = measure_landing(trace_from_cop(t, np.full(200, np.nan), np.zeros(200), np.zeros(200)))
    assert result.landings == ()
    assert any("force is not known" in note for note in result.notes)


def test_a_board_that_rings_does_not_fly() -> None:
    t = np.arange(300) / 100.0
    force = np.full(300, 500.0)
    force[100:108] = 5.0  # 70 ms from first to last
    assert find_contacts(t, force) == []
    force[100:109] = 5.0
    assert len(find_contacts(t, force)) == 1


def test_two_samples_and_all_empty() -> None:
    t = np.array([0.0, 0.01])
    few = trace_from_cop(t, np.array([0.0, 500.0]), np.zeros(2), np.zeros(2))
    assert measure_landing(few).landings == ()
    t = np.arange(200) / 100.0
    empty = trace_from_cop(t, np.zeros(200), np.full(200, np.nan), np.full(200, np.nan))
    result = measure_landing(empty)
    assert result.landings == ()
    assert math.isnan(result.values["landing_weight_n"])
