from __future__ import annotations

import math

import numpy as np
import pytest

from swaytrainer.errors import SwaytrainerError
from swaytrainer.motion.absorption import ABSORPTION_MEASURES, measure_absorption
from swaytrainer.motion.acceleration import PlateAcceleration
from swaytrainer.simulate.riding import (
    BOUNCING,
    CANTER,
    RIGID,
    SUPPLE,
    Accelerometer,
    Legs,
    MovingBase,
)
from swaytrainer.sway.prepare import trace_from_cop
from tests.motion.errors import CASES, off
from tests.motion.rides import PLATE_KG, plate_of, ridden, trace_of


@pytest.mark.parametrize("damping", [0.1, 0.3, 0.7])
@pytest.mark.parametrize("ratio", [0.5, 0.8, 1.0, math.sqrt(2.0), 2.0, 3.0])
def test_the_textbooks_transmissibility(ratio: float, damping: float) -> None:
    """√((1 + (2ζr)²)/((1 - r²)² + (2ζr)²)): Ogata, System Dynamics, 4th ed. 2004, eq. 9-14."""
    legs = Legs("any", 1.8 / ratio, damping)
    made = ridden(MovingBase(4.0, 1.8), legs, noise_n=0.0)
    found = measure_absorption(trace_of(made), plate_of(made), plate_mass_kg=PLATE_KG)
    expected = math.sqrt(
        (1.0 + (2.0 * damping * ratio) ** 2)
        / ((1.0 - ratio**2) ** 2 + (2.0 * damping * ratio) ** 2)
    )
    assert found.values["transmissibility"] == pytest.approx(expected, rel=2e-3)
    assert found.values["absorption_percent"] == pytest.approx(100 * (1 - expected), abs=0.6)
    assert found.values["absorption_coherence"] > 0.999


def test_a_stiff_body_ripples_by_the_closed_form() -> None:
    """A·(2πf)²/(g·√2): 30 mm at 1.8 Hz give 27.7 %."""
    made = ridden(MovingBase(30.0, 1.8), RIGID, 30.0)
    found = measure_absorption(trace_of(made), plate_of(made), plate_mass_kg=PLATE_KG)
    expected = 100.0 * 0.030 * (2.0 * math.pi * 1.8) ** 2 / (9.80665 * math.sqrt(2.0))
    assert expected == pytest.approx(27.7, abs=0.05)
    assert found.values["force_ripple_percent"] == pytest.approx(expected, rel=2e-3)
    assert found.values["absorption_percent"] == pytest.approx(0.0, abs=0.1)
    assert found.values["base_rms_m_s2"] == pytest.approx(expected / 100.0 * 9.80665, rel=2e-3)
    assert found.values["flight_percent"] == 0.0
    assert set(found.values) == set(ABSORPTION_MEASURES)


def test_the_harmonics_of_uneven_strides() -> None:
    base = MovingBase(15.0, 1.8, 0.1, 0.1, CANTER)
    made = ridden(base, SUPPLE, 40.0, seed=4, accelerometer=Accelerometer(), sway=True)
    found = measure_absorption(trace_of(made), plate_of(made), plate_mass_kg=PLATE_KG)
    assert len(found.harmonics) == 3
    for k, part in enumerate(found.harmonics, start=1):
        assert part.frequency_hz == pytest.approx(k * 1.8, rel=0.05)
        assert part.gain == pytest.approx(SUPPLE.transmissibility(part.frequency_hz), rel=0.06)


def test_a_harmonic_that_the_base_lacks_is_not_measurable() -> None:
    """What leaks there, and noise that the plate's correction shares, is coherent nonetheless."""
    made = ridden(MovingBase(30.0, 1.8), RIGID, 30.0, accelerometer=Accelerometer())
    found = measure_absorption(trace_of(made), plate_of(made), plate_mass_kg=PLATE_KG)
    assert [math.isnan(part.gain) for part in found.harmonics] == [False, True, True]
    assert "too little to tell" in found.harmonics[1].reason


@pytest.mark.parametrize("legs", [RIGID, SUPPLE, BOUNCING], ids=lambda legs: legs.name)
def test_noise_bias_and_drift_cost_less_than_half_a_point(legs: Legs) -> None:
    for name in ("noise 0.03 m/s² rms", "bias 0.5, drift 0.5 m/s² a minute", "25 Hz"):
        found = off(legs, CASES[name], range(2))
        assert abs(found.mean) < 0.5, name


@pytest.mark.parametrize("legs", [RIGID, SUPPLE, BOUNCING], ids=lambda legs: legs.name)
def test_late_stamps_turn_the_phase_and_not_the_gain(legs: Legs) -> None:
    """So long as there is no plate to take out; 2π·f·τ is 32.4 ° for 50 ms at 1.8 Hz."""
    prompt = off(legs, CASES["perfect, 200 Hz"], [0], plate_kg=0.0)
    late = off(legs, CASES["late by 50 ms"], [0], plate_kg=0.0)
    assert late.phase_deg - prompt.phase_deg == pytest.approx(360.0 * 1.8 * 0.05, abs=0.5)
    assert late.mean == pytest.approx(prompt.mean, abs=0.2)


def test_late_stamps_cost_what_the_plate_weighs() -> None:
    """|H + (m_p/m)·(1 - exp(-iφ))| instead of |H|, φ = 2π·f·τ: the plate is taken out too late."""
    found = off(SUPPLE, CASES["late by 50 ms"], [0])
    turn = np.exp(-2j * math.pi * 1.8 * 0.05)
    r = 1.8 / 0.7
    true = (1 + 1j * r) / (1 - r * r + 1j * r)  # 2ζ = 1
    late = abs(true + PLATE_KG / 45.0 * (1.0 - turn))
    assert found.mean == pytest.approx(100.0 * (abs(true) - late), abs=0.2)
    assert found.mean > 5.0


def test_a_plate_left_in_is_told() -> None:
    made = ridden(MovingBase(30.0, 1.8), RIGID, 30.0)
    found = measure_absorption(trace_of(made), plate_of(made))
    assert found.values["transmissibility"] == pytest.approx(1.0 + PLATE_KG / 45.0, rel=1e-3)
    assert any("plate's own inertia" in note for note in found.notes)


def test_gravity_left_in_the_acceleration_does_no_harm() -> None:
    made = ridden(MovingBase(20.0, 1.8), SUPPLE)
    felt = made._replace(plate_m_s2=made.plate_m_s2 + 9.807)
    without, within = (
        measure_absorption(trace_of(m), plate_of(m), plate_mass_kg=PLATE_KG).values
        for m in (made, felt)
    )
    assert within == pytest.approx(without, rel=1e-9)


def test_low_coherence_is_not_measurable() -> None:
    made = ridden(MovingBase(8.0, 1.8), SUPPLE, 30.0, seed=7)
    rng = np.random.default_rng(7)
    hops = rng.standard_normal((made.time_s.size, 1)) * 400.0
    found = measure_absorption(
        trace_of(made._replace(loads_n=made.loads_n + hops)), plate_of(made), plate_mass_kg=PLATE_KG
    )
    assert math.isnan(found.values["absorption_percent"])
    assert math.isnan(found.values["transmissibility"])
    assert found.values["absorption_coherence"] < 0.8
    assert any("coherence" in note for note in found.notes)
    assert np.isnan([s.absorption_percent for s in found.each]).mean() > 0.5


def test_without_an_accelerometer_there_is_the_ripple() -> None:
    made = ridden(MovingBase(30.0, 1.8), SUPPLE, plate_kg=0.0)
    found = measure_absorption(trace_of(made), plate_mass_kg=0.0)
    stiff = 100.0 * 0.030 * (2.0 * math.pi * 1.8) ** 2 / (9.80665 * math.sqrt(2.0))
    assert found.values["force_ripple_percent"] == pytest.approx(
        stiff * SUPPLE.transmissibility(1.8), rel=5e-3
    )
    assert math.isnan(found.values["absorption_percent"])
    assert any("without an accelerometer" in note for note in found.notes)


def test_stride_by_stride_a_vaulter_who_stiffens_is_seen() -> None:
    soft, hard = (ridden(MovingBase(20.0, 1.8), legs, 20.0) for legs in (SUPPLE, RIGID))
    change = soft.time_s >= 10.0
    made = soft._replace(loads_n=np.where(change[:, None], hard.loads_n, soft.loads_n))
    found = measure_absorption(trace_of(made), plate_of(made), plate_mass_kg=PLATE_KG)
    early = [s.absorption_percent for s in found.each if s.stride.end_s < 8.0]
    late = [s.absorption_percent for s in found.each if s.stride.start_s > 12.0]
    assert early == pytest.approx([55.3] * len(early), abs=1.0)
    assert late == pytest.approx([0.0] * len(late), abs=1.0)
    ripples = [s.force_ripple_percent for s in found.each]
    assert ripples[-2] == pytest.approx(ripples[2] / SUPPLE.transmissibility(1.8), rel=0.02)


def test_unlike_filters_are_refused_and_like_ones_do_no_harm() -> None:
    made = ridden(MovingBase(15.0, 1.8, harmonics=CANTER), RIGID, 30.0)
    trace = trace_of(made, 10.0)
    with pytest.raises(SwaytrainerError, match="otherwise"):
        measure_absorption(trace, plate_of(made), plate_mass_kg=PLATE_KG)
    with pytest.raises(SwaytrainerError, match="otherwise"):
        measure_absorption(trace_of(made), plate_of(made), loads_cutoff_hz=10.0)
    found = measure_absorption(trace, plate_of(made), plate_mass_kg=PLATE_KG, loads_cutoff_hz=10.0)
    assert [part.gain for part in found.harmonics] == pytest.approx([1.0] * 3, abs=2e-3)


def test_somebody_who_holds_on_and_somebody_else() -> None:
    made = ridden(MovingBase(20.0, 1.8), SUPPLE)
    held = measure_absorption(
        trace_of(made), plate_of(made), plate_mass_kg=PLATE_KG, body_mass_kg=50.0
    )
    assert any("bear 90 % of the weight" in note for note in held.notes)
    assert held.values["transmissibility"] == pytest.approx(0.9 * 0.447, rel=0.01)
    other = measure_absorption(trace_of(made), plate_of(made), body_mass_kg=95.0)
    assert all(math.isnan(value) for value in other.values.values())
    assert "right vaulter" in other.notes[-1]


def test_flight_is_told() -> None:
    made = ridden(MovingBase(60.0, 2.4), BOUNCING)
    found = measure_absorption(trace_of(made), plate_of(made), plate_mass_kg=PLATE_KG)
    assert found.values["flight_percent"] > 10.0
    assert any("off the plate" in note for note in found.notes)


def test_kilograms_for_newtons_and_an_empty_plate() -> None:
    made = ridden(MovingBase(30.0, 1.8), RIGID)
    kilograms = measure_absorption(
        trace_of(made._replace(loads_n=made.loads_n / 9.80665)), plate_of(made)
    )
    assert all(math.isnan(value) for value in kilograms.values.values())
    assert "Are the loads kilograms" in kilograms.notes[-1]
    t = made.time_s
    empty = trace_from_cop(
        t, 0.01 * np.sin(11.0 * t), np.full(t.size, np.nan), np.full(t.size, np.nan)
    )
    found = measure_absorption(empty, plate_of(made), plate_mass_kg=PLATE_KG)
    assert math.isnan(found.values["force_ripple_percent"])
    assert "nobody is on the plate" in found.notes[-1]


def test_a_constant_load_and_a_short_trial() -> None:
    t = np.arange(1600) / 80.0
    still = trace_from_cop(t, np.full(t.size, 500.0), 0.0 * t, 0.0 * t)
    found = measure_absorption(still)
    assert found.values["force_ripple_percent"] == 0.0
    assert any("whole trial" in note for note in found.notes)
    moving = PlateAcceleration(t, 3.0 * np.sin(2.0 * np.pi * 1.8 * t))
    swallowed = measure_absorption(still, moving, plate_mass_kg=0.0)
    assert math.isnan(swallowed.values["absorption_percent"])
    made = ridden(MovingBase(30.0, 1.8), RIGID, 5.0)
    short = measure_absorption(trace_of(made), plate_of(made), plate_mass_kg=PLATE_KG)
    assert math.isnan(short.values["absorption_percent"])
    assert any("it needs 18 strides" in note for note in short.notes)
    assert short.values["force_ripple_percent"] == pytest.approx(27.7, rel=0.05)


def test_gaps_in_loads_and_acceleration_are_not_bridged() -> None:
    made = ridden(MovingBase(30.0, 1.8), SUPPLE, 40.0, accelerometer=Accelerometer(100.0, 0, 0, 0))
    keep = np.abs(made.time_s - 15.0) > 0.2
    sees = np.abs(made.plate_time_s - 27.0) > 0.3
    made = made._replace(
        time_s=made.time_s[keep],
        loads_n=made.loads_n[keep],
        plate_time_s=made.plate_time_s[sees],
        plate_m_s2=made.plate_m_s2[sees],
    )
    found = measure_absorption(trace_of(made), plate_of(made), plate_mass_kg=PLATE_KG)
    assert found.values["absorption_percent"] == pytest.approx(55.3, abs=0.2)
    unknown = [s for s in found.each if s.stride.start_s < 15.2 and s.stride.end_s > 14.8]
    assert not unknown


def test_acceleration_of_another_trial_is_told() -> None:
    made = ridden(MovingBase(30.0, 1.8), SUPPLE)
    elsewhere = PlateAcceleration(made.plate_time_s + 1000.0, made.plate_m_s2)
    found = measure_absorption(trace_of(made), elsewhere, plate_mass_kg=PLATE_KG)
    assert math.isnan(found.values["absorption_percent"])
    assert any("does not cover the trial" in note for note in found.notes)
    assert found.values["force_ripple_percent"] > 5.0


def test_an_impossible_mass_is_refused() -> None:
    made = ridden(MovingBase(30.0, 1.8), RIGID, 5.0)
    for mass in (0.0, -3.0, math.nan, math.inf):
        with pytest.raises(SwaytrainerError, match="above zero"):
            measure_absorption(trace_of(made), body_mass_kg=mass)
