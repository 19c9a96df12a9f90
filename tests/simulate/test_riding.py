from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import signal

from swaytrainer.simulate.athlete import JUNIOR
from swaytrainer.simulate.riding import (
    BOUNCING,
    CANTER,
    LEGS,
    RIGID,
    SUPPLE,
    Accelerometer,
    Legs,
    MovingBase,
    ride,
)
from swaytrainer.sway.cop import CellPlaces, cop_arrays

UNEVEN = MovingBase(15.0, 1.8, 0.15, 0.15, CANTER, rock_ml_mm=4.0, rock_ap_mm=12.0)


def test_one_seed_one_ride_another_seed_another() -> None:
    first, again, other = (
        ride(JUNIOR, UNEVEN, SUPPLE, 3.0, seed=seed, accelerometer=Accelerometer())
        for seed in (5, 5, 6)
    )
    assert all(np.array_equal(a, b) for a, b in zip(first, again, strict=True))
    assert not np.array_equal(first.loads_n, other.loads_n)
    assert not np.array_equal(first.plate_m_s2, other.plate_m_s2)


@pytest.mark.parametrize("legs", LEGS.values(), ids=LEGS)
@pytest.mark.parametrize("cadence_hz", [0.8, 1.8, 3.0])
def test_a_sine_comes_through_as_the_closed_form_says(legs: Legs, cadence_hz: float) -> None:
    made = ride(JUNIOR, MovingBase(5.0, cadence_hz), legs, 20.0, rate_hz=100.0, manner=None)
    body = made.feet_n / JUNIOR.mass_kg - 9.80665
    gain = float(np.std(body) / np.std(made.base_m_s2))
    assert gain == pytest.approx(legs.transmissibility(cadence_hz), rel=2e-3)


@pytest.mark.parametrize("damping", [0.05, 0.2, 0.5, 1.0])
def test_the_closed_form_at_its_known_places(damping: float) -> None:
    legs = Legs("any", 1.0, damping)
    assert legs.transmissibility(math.sqrt(2.0)) == pytest.approx(1.0, rel=1e-12)
    assert legs.transmissibility(1.0) == pytest.approx(
        math.sqrt(1.0 + 1.0 / (4.0 * damping * damping)), rel=1e-12
    )
    assert Legs("undamped", 1.0, 0.0).transmissibility(3.0) == pytest.approx(1.0 / 8.0, rel=1e-12)


def test_uneven_strides_come_through_as_scipy_says() -> None:
    """The same spring and damper by SciPy's state-space solver, on the same base."""
    made = ride(JUNIOR, MovingBase(15.0, 1.8, 0.15, 0.15, CANTER), SUPPLE, 20.0,
                rate_hz=500.0, seed=3, manner=None)  # fmt: skip
    assert SUPPLE.natural_hz is not None
    omega = 2.0 * math.pi * SUPPLE.natural_hz
    damping = 2.0 * SUPPLE.damping_ratio * omega
    system = ([damping, omega * omega], [1.0, damping, omega * omega])
    _, body, _ = signal.lsim(system, made.base_m_s2, made.time_s)
    ours = made.feet_n / JUNIOR.mass_kg - 9.80665
    late = made.time_s > 6.0  # SciPy's begins at rest, ours has been riding
    assert float(np.abs(ours - body)[late].max()) < 2e-3 * float(np.abs(body).max())


def test_the_loads_are_feet_and_plate_and_their_cop_is_sway_and_rocking() -> None:
    made = ride(JUNIOR, UNEVEN, SUPPLE, 5.0, seed=1, plate_mass_kg=8.0)
    force, x, y, _ = cop_arrays(made.loads_n, CellPlaces.rectangle(220.0, 170.0), 20.0)
    assert force == pytest.approx(made.feet_n + 8.0 * made.base_m_s2, rel=1e-9)
    stretch = force / made.feet_n
    assert float(np.abs(x * stretch - made.sway_x_mm).max()) == pytest.approx(4.0, rel=0.02)
    assert float(np.abs(y * stretch - made.sway_y_mm).max()) == pytest.approx(12.0, rel=0.02)


def test_feet_push_but_do_not_pull() -> None:
    made = ride(JUNIOR, MovingBase(60.0, 2.4), BOUNCING, 10.0, manner=None)
    assert made.feet_n.min() == 0.0
    assert float((made.feet_n == 0.0).mean()) > 0.1
    assert made.feet_n.max() > 2.0 * JUNIOR.mass_kg * 9.8


def test_strides_are_as_uneven_as_they_are_told_to_be() -> None:
    made = ride(JUNIOR, MovingBase(15.0, 2.0, 0.15), RIGID, 60.0, seed=2, manner=None)
    times = np.diff(made.onsets_s)
    assert float(times.mean()) == pytest.approx(0.5, rel=0.05)
    # Evenly within ± 15 %: a deviation of 8.7 %; each is blended with its neighbours.
    assert 0.05 < float(times.std() / times.mean()) < 0.1
    # At an onset the base is lowest, so it is pushed up hardest.
    for onset_s in made.onsets_s[1:-1]:
        around = made.base_m_s2[np.abs(made.time_s - onset_s) < 0.2]
        at = float(np.interp(onset_s, made.time_s, made.base_m_s2))
        assert at > 0.85 * float(around.max())


def test_the_base_stands_still_at_first() -> None:
    made = ride(JUNIOR, MovingBase(15.0, 2.0, still_s=3.0, rock_ap_mm=10.0), RIGID, 6.0)
    before = made.time_s < 3.0
    assert not made.base_m_s2[before].any()
    assert made.base_m_s2[~before].std() > 1.0
    assert (made.onsets_s > 3.0).all()


def test_the_accelerometers_clock_and_zero() -> None:
    sensor = Accelerometer(50.0, 0.0, 0.5, 0.0, late_s=0.02, clock_ppm=1000.0)
    made = ride(JUNIOR, MovingBase(), RIGID, 10.0, accelerometer=sensor, manner=None)
    assert made.plate_time_s[0] == pytest.approx(0.02)
    assert made.plate_time_s[-1] == pytest.approx(9.98 * 1.001 + 0.02)
    assert float(made.plate_m_s2.mean()) == pytest.approx(0.5, abs=0.02)


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(ValueError, match="longer than nothing"):
        ride(JUNIOR, MovingBase(), RIGID, 0.0)
    with pytest.raises(ValueError, match="cadence above 0"):
        MovingBase(cadence_hz=0.0)
