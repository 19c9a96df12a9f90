"""Height from force: closed forms, SciPy's integration, and when it is refused."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import cumulative_trapezoid

from swaytrainer.motion.squat_height import GRAVITY_M_S2, SPELL_LIMIT_S, heights
from swaytrainer.motion.squat_repetition import depth_uncertainty_mm
from swaytrainer.motion.squat_still import closed_path, find_stills
from swaytrainer.simulate.athlete import JUNIOR, Athlete
from swaytrainer.simulate.squatting import (
    PEAK_ACCELERATION,
    Hand,
    Squat,
    minimum_jerk,
    minimum_jerk_acceleration,
    squat_trial,
)
from swaytrainer.sway.cop import Array
from swaytrainer.sway.prepare import Trace, prepare, trace_from_cop
from tests.motion.squat_depth import LARGE, PLACES, SMALL, tilt


def plain(height_mm: Array, rate_hz: float, weight_n: float = 400.0) -> Trace:
    """A force that moves a body along these heights (second differences), COP at the origin."""
    lift = np.gradient(np.gradient(height_mm, 1.0 / rate_hz), 1.0 / rate_hz)
    force = weight_n * (1.0 + lift / 1000.0 / GRAVITY_M_S2)
    zero = np.zeros_like(force)
    return trace_from_cop(np.arange(force.size) / rate_hz, force, zero, zero)


def reference(values: Array, time_s: Array) -> Array:
    integral: Array = np.asarray(cumulative_trapezoid(values, time_s, initial=0), np.float64)
    return integral


def test_the_minimum_jerk_movement_is_the_published_polynomial() -> None:
    """z = D(10τ³ - 15τ⁴ + 6τ⁵): its second derivative and peak 10/√3·D/T²."""
    tau = np.linspace(0.0, 1.0, 20_001)
    poly = np.polynomial.Polynomial([0.0, 0.0, 0.0, 10.0, -15.0, 6.0])
    assert np.abs(minimum_jerk(tau) - poly(tau)).max() < 1e-14
    assert np.abs(minimum_jerk_acceleration(tau) - poly.deriv(2)(tau)).max() < 1e-11
    assert minimum_jerk_acceleration(tau).max() == pytest.approx(PEAK_ACCELERATION, rel=1e-7)
    assert pytest.approx(5.7735, abs=5e-5) == PEAK_ACCELERATION
    # Still at both ends, of speed 15/8·D/T in the middle.
    assert poly.deriv()(0.5) == pytest.approx(15.0 / 8.0)


@settings(max_examples=50, deadline=None)
@given(
    st.lists(st.floats(-500.0, 500.0), min_size=3, max_size=200),
    st.floats(0.001, 0.1),
)
def test_integration_is_scipys(pulls: list[float], step_s: float) -> None:
    rng = np.random.default_rng(len(pulls))
    time_s = np.cumsum(step_s * rng.uniform(0.5, 1.5, len(pulls)))
    speed, way, missed = closed_path(time_s, np.array(pulls))
    raw = reference(np.array(pulls), time_s)
    tau = (time_s - time_s[0]) / (time_s[-1] - time_s[0])
    assert missed == pytest.approx(raw[-1], rel=1e-9, abs=1e-9)
    assert speed == pytest.approx(raw - raw[-1] * tau, rel=1e-9, abs=1e-6)
    expected = reference(raw - raw[-1] * tau, time_s)
    assert way == pytest.approx(expected, rel=1e-9, abs=1e-6)


@pytest.mark.parametrize("rate_hz", [80.0, 1000.0])
@pytest.mark.parametrize("athlete", [SMALL, LARGE], ids=["25 kg", "100 kg"])
def test_a_known_descent_without_noise(rate_hz: float, athlete: Athlete) -> None:
    trial = squat_trial(
        athlete, [Squat(250.0, 1.5, 0.8, 1.2)], rate_hz, manner=None, cell_noise_n=0.0
    )
    found = heights(prepare(trial.time_s, trial.loads_n, PLACES))
    known = np.isfinite(found.height_mm)
    assert known.mean() > 0.8
    # Only the 10 Hz filter and trapezoids are between the two.
    assert np.abs(found.height_mm - trial.height_mm)[known].max() < 0.25
    assert found.weight_n == pytest.approx(trial.weight_n, rel=2e-4)


def test_gain_cancels_and_a_constant_error_shifts_by_its_share() -> None:
    trial = squat_trial(JUNIOR, [Squat(250.0)], manner=None, cell_noise_n=0.0)

    def depth(loads: Array) -> float:
        return -float(np.nanmin(heights(prepare(trial.time_s, loads, PLACES)).height_mm))

    true = depth(trial.loads_n)
    assert depth(1.05 * trial.loads_n) == pytest.approx(true, rel=1e-9)
    shifted = depth(trial.loads_n + 0.01 * trial.weight_n / 4.0)
    assert shifted == pytest.approx(true / 1.01, rel=2e-4)


def test_a_tilted_plate_adds_the_way_forward_times_the_tangent() -> None:
    trial = squat_trial(JUNIOR, [Squat(250.0)], manner=None, cell_noise_n=0.0)
    level = heights(prepare(trial.time_s, trial.loads_n, PLACES))
    sloping = tilt(trial, 5.0, 0.2)
    found = heights(prepare(sloping.time_s, sloping.loads_n, PLACES))
    added = float(np.nanmin(level.height_mm) - np.nanmin(found.height_mm))
    assert added == pytest.approx(0.2 * 250.0 * math.tan(math.radians(5.0)), rel=0.02)


def test_the_closed_form_of_a_wrong_speed_at_one_end() -> None:
    """A body that already rises at e when it seems still: T·e/8 in the middle (Hermite)."""
    rate_hz, seconds, e = 500.0, 4.0, 30.0
    time_s = np.arange(round(seconds * rate_hz) + 1) / rate_hz
    tau = time_s / seconds
    # Height e·T·(τ - 2τ² + τ³): speed e at first and 0 at last, height 0 at both.
    pull = e / seconds * (-4.0 + 6.0 * tau)
    speed, way, _ = closed_path(time_s, pull)
    closed = way - way[-1] * tau * tau * (3.0 - 2.0 * tau)
    truth = e * seconds * (tau - 2.0 * tau**2 + tau**3)
    middle = time_s.size // 2
    assert (truth - closed)[middle] == pytest.approx(seconds * e / 8.0, rel=1e-3)
    assert speed[-1] == pytest.approx(0.0, abs=1e-9)


def test_the_closed_form_of_white_noise() -> None:
    """σ·√(T³/192f), over 3,000 runs of 4 s at 50 a second."""
    rate_hz, seconds, sigma = 50.0, 4.0, 3.0
    n = round(seconds * rate_hz) + 1
    time_s = np.arange(n) / rate_hz
    tau = time_s / seconds
    rng = np.random.default_rng(3)
    middles = []
    for _ in range(3000):
        _, way, _ = closed_path(time_s, rng.normal(0.0, sigma, n))
        middles.append(way[n // 2] - 0.5 * way[-1])
    expected = sigma * math.sqrt(seconds**3 / (192.0 * rate_hz))
    # 3,000 runs know a deviation to 1.3 %; closing by straight line and cubic is the least
    # squares of the tied-down Brownian motion's two ends, so the form is exact.
    assert float(np.std(middles)) == pytest.approx(expected, rel=0.05)
    assert tau[-1] == 1.0


def test_the_uncertainty_grows_with_time_and_falls_with_weight() -> None:
    at = [depth_uncertainty_mm(250.0, s, 400.0, 80.0) for s in (1.0, 3.0, 6.0, SPELL_LIMIT_S)]
    assert at == sorted(at)
    assert at[-1] < 20.0
    light, heavy = (depth_uncertainty_mm(250.0, 6.0, w, 80.0, 2.0) for w in (250.0, 1000.0))
    assert light > heavy


def test_a_hold_shares_what_is_left_and_leaves_no_jump() -> None:
    """Coming up 16 mm short over two spells with a long hold between: closed in halves."""
    squat = Squat(250.0, 1.5, 2.0, 1.5, end_mm=-16.0)
    trial = squat_trial(JUNIOR, [squat], 200.0, manner=None, cell_noise_n=0.0)
    found = heights(prepare(trial.time_s, trial.loads_n, PLACES))
    known = np.isfinite(found.height_mm)
    assert len(found.spells) == 2
    fastest = 15.0 / 8.0 * 250.0 / 1.5
    assert np.abs(np.diff(found.height_mm[known])).max() < 1.02 * fastest / 200.0
    # The end is taken as standing, so half of the 16 mm is missing below.
    assert -np.nanmin(found.height_mm) == pytest.approx(250.0 - 8.0, abs=1.0)
    assert found.height_mm[known][-1] == pytest.approx(0.0, abs=1e-9)


def test_nobody_still_has_no_height() -> None:
    time_s = np.arange(1600) / 80.0
    moving = 30.0 * np.sin(2.0 * np.pi * 1.8 * time_s)
    found = heights(plain(moving, 80.0))
    assert np.isnan(found.height_mm).all()
    assert "stood still" in found.notes[0]


def test_a_constant_force_is_standing_throughout() -> None:
    found = heights(plain(np.zeros(800), 80.0))
    assert np.nanmax(np.abs(found.height_mm)) == 0.0
    assert found.spells == ()


@pytest.mark.parametrize("n", [2, 9, 15])
def test_a_few_samples_have_no_height(n: int) -> None:
    found = heights(plain(np.zeros(n), 80.0))
    assert np.isnan(found.height_mm).all()
    assert found.notes


def test_a_hand_is_found_out() -> None:
    once = [Squat(250.0)]
    short = squat_trial(JUNIOR, once, seed=2, hands=[Hand(4.0, 4.5, 0.05)])
    found = heights(prepare(short.time_s, short.loads_n, PLACES))
    assert any("doesn't add up" in note for note in found.notes)
    long = squat_trial(JUNIOR, once, seed=2, stand_s=6.0, hands=[Hand(1.5, 4.5, 0.10)])
    found = heights(prepare(long.time_s, long.loads_n, PLACES))
    assert any("-10 % for more than a second" in note for note in found.notes)
    # Held all the time it can't be seen, but with the weight from elsewhere.
    whole = squat_trial(JUNIOR, once, seed=2, hands=[Hand(0.0, 60.0, 0.10)])
    trace = prepare(whole.time_s, whole.loads_n, PLACES)
    assert np.isfinite(heights(trace).height_mm).any()
    refused = heights(trace, weight_n=whole.weight_n)
    assert np.isnan(refused.height_mm).all()
    assert "hand held on" in refused.notes[0]


def test_sinking_too_slow_to_tell_is_no_standing() -> None:
    trial = squat_trial(JUNIOR, [Squat(300.0, 10.0, 0.5, 10.0)], seed=4)
    found = heights(prepare(trial.time_s, trial.loads_n, PLACES))
    assert any("can't be told from standing" in note for note in found.notes)
    assert np.isnan(found.height_mm).any()


def test_a_gap_in_a_movement_leaves_it_out() -> None:
    trial = squat_trial(JUNIOR, [Squat(250.0), Squat(250.0)], seed=5)
    keep = (trial.time_s < 4.0) | (trial.time_s > 4.4)
    found = heights(prepare(trial.time_s[keep], trial.loads_n[keep], PLACES))
    early = found.height_mm[(trial.time_s[keep] > 3.3) & (trial.time_s[keep] < 6.0)]
    assert np.isnan(early).all()
    assert -np.nanmin(found.height_mm) == pytest.approx(250.0, abs=8.0)


@settings(max_examples=30, deadline=None)
@given(st.lists(st.floats(0.0, 2000.0), min_size=0, max_size=400))
def test_any_force_gives_stills_within_it(values: list[float]) -> None:
    force = np.array(values)
    whole = [slice(0, force.size)] if force.size > 9 else []
    weight, stills = find_stills(force, 80.0, whole)
    for still in stills:
        assert 0 <= still.begin < still.end <= force.size
        assert math.isfinite(weight)


@pytest.mark.parametrize("rate_hz", [80.0, 1000.0])
def test_uneven_stamps_are_taken_as_they_are(rate_hz: float) -> None:
    trial = squat_trial(JUNIOR, [Squat(250.0)], rate_hz, manner=None, cell_noise_n=0.0)
    rng = np.random.default_rng(1)
    jitter = rng.uniform(-0.2, 0.2, trial.time_s.size) / rate_hz
    again = np.interp(trial.time_s + jitter, trial.time_s, trial.loads_n.sum(axis=1))
    zero = np.zeros_like(again)
    found = heights(trace_from_cop(trial.time_s + jitter, again, zero, zero))
    assert -np.nanmin(found.height_mm) == pytest.approx(250.0, abs=1.0)
