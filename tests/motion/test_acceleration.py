from __future__ import annotations

import numpy as np
import pytest

from swaytrainer.errors import SwaytrainerError
from swaytrainer.motion.acceleration import PlateAcceleration, feet_only
from swaytrainer.simulate.riding import RIGID, SUPPLE, MovingBase
from tests.motion.rides import PLATE_KG, plate_of, ridden, trace_of


def test_a_parabola_goes_through_exactly_on_uneven_stamps() -> None:
    t = np.cumsum(np.random.default_rng(1).uniform(0.01, 0.012, 200))
    wanted = np.linspace(t[1], t[-2], 997)
    curve = PlateAcceleration(t, 3.0 * t * t - t + 0.5)
    assert curve.at(wanted) == pytest.approx(3.0 * wanted**2 - wanted + 0.5, abs=1e-12)


@pytest.mark.parametrize(("hertz", "within"), [(2.0, 0.002), (6.0, 0.02)])
def test_a_slow_accelerometer_keeps_strides_and_beats(hertz: float, within: float) -> None:
    t = np.arange(1000) / 50.0
    wanted = np.arange(800, 1200) / 80.0
    found = PlateAcceleration(t, np.sin(2 * np.pi * hertz * t)).at(wanted)
    assert float(np.abs(found - np.sin(2 * np.pi * hertz * wanted)).max()) < within


def test_a_quick_accelerometers_noise_does_not_fold() -> None:
    t = np.arange(20_000) / 1000.0
    noise = np.random.default_rng(2).standard_normal(t.size)
    found = PlateAcceleration(t, noise).at(np.arange(80, 1500) / 80.0)
    # 32 of 500 Hz pass (two Butterworth passes: some 90 % of that in power).
    assert float(found.std()) == pytest.approx(np.sqrt(0.9 * 32.0 / 500.0), rel=0.15)


def test_nothing_is_known_outside_and_in_gaps() -> None:
    t = np.arange(100) / 10.0
    keep = (t < 4.0) | (t >= 5.0)
    found = PlateAcceleration(t[keep], t[keep]).at(np.array([-0.1, 0.0, 3.9, 4.2, 5.0, 9.9, 10.0]))
    assert np.isnan(found).tolist() == [True, False, False, True, False, False, True]


def test_the_plates_inertia_is_taken_out_of_force_and_cop() -> None:
    made = ridden(MovingBase(30.0, 1.8, rock_ap_mm=10.0), SUPPLE, sway=True, noise_n=0.0)
    trace = trace_of(made)
    feet = feet_only(trace, plate_of(made).at(made.time_s), PLATE_KG)
    assert float(np.abs(feet.force_n - made.feet_n)[1:].max()) < 0.1
    still = feet.y_mm - made.sway_y_mm
    raw = trace.y_mm - made.sway_y_mm
    assert float(np.abs(still).max()) == pytest.approx(10.0, abs=0.05)
    assert float(np.abs(raw).max()) > 11.0  # what a plate of 6 kg pretends


def test_a_constant_rest_of_gravity_does_no_harm() -> None:
    made = ridden(MovingBase(30.0, 1.8), RIGID)
    up = plate_of(made).at(made.time_s)
    trace = trace_of(made)
    assert feet_only(trace, up + 9.81, 6.0).force_n == pytest.approx(
        feet_only(trace, up, 6.0).force_n, abs=1e-9
    )


def test_unknown_acceleration_leaves_no_cop() -> None:
    made = ridden(MovingBase(30.0, 1.8), RIGID, 5.0)
    up = plate_of(made).at(made.time_s)
    up[100:110] = np.nan
    feet = feet_only(trace_of(made), up, 6.0)
    assert np.isnan(feet.x_mm[100:110]).all()
    assert feet.breaks[100:111].all()
    assert not feet.breaks[111]
    nothing = feet_only(trace_of(made), np.full(up.shape, np.nan), 6.0)
    assert np.isnan(nothing.force_n).all()


def test_bad_acceleration_is_refused() -> None:
    t = np.arange(10) / 10.0
    with pytest.raises(SwaytrainerError, match="too few"):
        PlateAcceleration(t[:3], t[:3])
    with pytest.raises(SwaytrainerError, match="not numbers"):
        PlateAcceleration(t, np.where(t > 0.5, np.inf, t))
    with pytest.raises(SwaytrainerError, match="do not increase"):
        PlateAcceleration(np.sort(np.append(t[:-1], t[3])), t)
    with pytest.raises(ValueError, match="one shape"):
        PlateAcceleration(t, t[:-1])
    made = ridden(MovingBase(), RIGID, 2.0)
    with pytest.raises(SwaytrainerError, match="zero or above"):
        feet_only(trace_of(made), made.base_m_s2, -1.0)
