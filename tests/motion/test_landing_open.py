"""The open jump of a real person: vertical force at 600 samples a second, two seconds.

Duarte & Watanabe, Notes on Scientific Computing for Biomechanics and Motor Control.
"""

from __future__ import annotations

import numpy as np
import pytest

from swaytrainer.motion.landing import measure_landing
from swaytrainer.motion.landing_height import height_of_flight_mm, impulse_height_mm
from swaytrainer.motion.landing_settle import (
    FORCE_BAND,
    QUIET_FACTOR,
    LiveSpeed,
    QuietStance,
    quiet_samples,
)
from swaytrainer.motion.landing_table import Landing
from swaytrainer.motion.landing_watch import LandingEvent, LandingWatch
from swaytrainer.sway.butterworth import CausalLowpass, zero_phase
from swaytrainer.sway.cop import Array, cop_arrays
from swaytrainer.sway.prepare import trace_from_cop
from tests import open_data
from tests.motion.landing_errors import thinned

pytestmark = pytest.mark.open_data


def open_jump() -> tuple[Array, Array]:
    columns = open_data.read(open_data.folder() / "jump" / "countermovement_600hz.csv.gz")
    return columns["time_s"], columns["force_n"]


def jump_weight_n() -> float:
    """Of the first 0.15 s, all the quiet standing that there is."""
    time_s, force_n = open_jump()
    return float(force_n[time_s < 0.15].mean())


def the_landing() -> Landing:
    time_s, force_n = open_jump()
    nothing = np.full(time_s.size, np.nan)
    trace = trace_from_cop(time_s, force_n, nothing, nothing)
    result = measure_landing(trace, stance=QuietStance(jump_weight_n()))
    (landing,) = result.landings
    assert result.values["landing_count"] == 1.0
    assert any("quiet range" in note for note in result.notes)  # no COP, no quiet second
    return landing


def test_flight_height_and_peak() -> None:
    time_s, force_n = open_jump()
    landing = the_landing()
    below = time_s[(force_n < 20.0) & (time_s > 0.5)]  # plain counting, to an interval each way
    assert landing.flight_s == pytest.approx(below[-1] - below[0], abs=2 / 600)
    assert landing.flight_s == pytest.approx(0.4215, abs=0.0005)
    assert landing.height_mm == pytest.approx(217.8, abs=0.5)
    assert landing.flight_within_s < 3.5 / 600
    assert landing.peak_bw == pytest.approx(5.78, abs=0.01)  # "near six body weights"
    assert landing.peak is not None
    assert landing.peak.force_n == force_n.max()
    assert landing.loading_s == pytest.approx(0.0722, abs=0.0005)


def test_the_impulse_gives_another_height_and_hangs_on_the_weight() -> None:
    """Flight time and impulse differ by the posture at landing and by the weight's error."""
    time_s, force_n = open_jump()
    landing = the_landing()
    before = time_s < landing.takeoff.time_s
    heights = [
        impulse_height_mm(
            time_s[before], force_n[before], share * jump_weight_n(), landing.takeoff.time_s
        )
        for share in (0.99, 1.0, 1.01)
    ]
    assert heights[1] - landing.height_mm == pytest.approx(17.0, abs=1.0)
    # The means of its three 50 ms of standing are 1 % apart: the weight may explain all of it.
    assert (heights[0] - heights[2]) / 2.0 == pytest.approx(24.2, abs=1.0)
    # v = g·(∫F/W - T), so that 1 % of W is 0.01·(v + g·T) of v, and h = v²/(2g).
    speed = np.sqrt(2 * 9.80665 * heights[1] / 1000.0)
    error = 0.01 * (speed + 9.80665 * landing.takeoff.time_s)
    assert (heights[0] - heights[2]) / 2.0 == pytest.approx(1e3 * speed * error / 9.80665, rel=0.01)


def test_at_80_samples_a_second_the_stated_bounds_hold() -> None:
    errors = thinned(*open_jump(), jump_weight_n(), 80.0, 40)
    assert errors.share_held("flight ms") == 1.0
    assert errors.share_held("height mm") == 1.0
    assert errors.share_held("contact ms") == 1.0
    assert errors.share_held("peak %") >= 0.85
    assert abs(errors.bias("flight ms")) < 4.0
    assert errors.spread("flight ms") < 4.0
    assert -8.0 < errors.bias("peak %") < -3.0  # the peak is missed, and by how much


def test_the_10_hz_filter_takes_a_third_of_the_peak() -> None:
    time_s, force_n = open_jump()
    top = force_n.max()
    for cutoff_hz, kept in ((10.0, 0.631), (20.0, 0.820), (50.0, 0.975), (100.0, 0.999)):
        assert zero_phase(force_n, cutoff_hz, 600.0).max() / top == pytest.approx(kept, abs=0.001)
    live = CausalLowpass(10.0, 600.0)
    assert max(live.update(f) for f in force_n) / top == pytest.approx(0.691, abs=0.001)
    flight = (time_s > 1.0) & (time_s < 1.3)
    assert zero_phase(force_n, 10.0, 600.0)[flight].min() < -20.0  # and the flight rings


def test_quiet_standing_of_real_people_is_within_its_range() -> None:
    """Behind ``QUIET_FACTOR`` and the ±5 %: single seconds of 60 s trials, every third of 24."""
    upper = []
    for trial in open_data.STANDING_TRIALS[::3]:
        time_s, loads_n = open_data.standing(trial)
        force, x, y, _ = cop_arrays(loads_n, open_data.PLACES, 20.0)
        assert np.abs(force / force.mean() - 1.0).max() < FORCE_BAND
        assert quiet_samples(time_s, force).all()
        live = LiveSpeed(100.0)
        path_mm = []
        for row in zip(force, x, y, strict=True):
            live.update(*(float(v) for v in row))
            path_mm.append(live.path_mm)
        way = np.array(path_mm)
        mean_mm_s = way[-1] / time_s[-1]
        upper.append(float(np.percentile(way[100:] - way[:-100], 95)) / mean_mm_s)
    assert np.mean(upper) == pytest.approx(QUIET_FACTOR, abs=0.1)
    assert 1.4 < min(upper) < max(upper) < 2.05


def test_live_tells_the_same() -> None:
    landing = the_landing()
    watch = LandingWatch(QuietStance(jump_weight_n()), 600.0)
    events: list[LandingEvent] = []
    for time_s, force_n in zip(*open_jump(), strict=True):
        event = watch.update(float(time_s), float(force_n), np.nan, np.nan)
        if event is not None:
            events.append(event)
    contact, peak = events
    assert (contact.kind, contact.time_s) == ("contact", landing.contact.time_s)
    assert contact.value == landing.flight_s
    assert peak.kind == "peak"
    assert landing.peak is not None
    assert (peak.time_s, peak.value) == (landing.peak.time_s, landing.peak_bw)
    assert height_of_flight_mm(contact.value) == landing.height_mm
