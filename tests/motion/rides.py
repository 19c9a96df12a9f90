"""Simulated rides as the measures take them, for the tests of this room."""

from __future__ import annotations

import math

import numpy as np

from swaytrainer.motion.acceleration import PlateAcceleration, feet_only
from swaytrainer.simulate.athlete import JUNIOR
from swaytrainer.simulate.body import ORDINARY
from swaytrainer.simulate.riding import PERFECT, Accelerometer, Legs, MovingBase, Ride, ride
from swaytrainer.sway.butterworth import zero_phase
from swaytrainer.sway.cop import CellPlaces
from swaytrainer.sway.prepare import Trace, prepare

PLACES = CellPlaces.rectangle(220.0, 170.0)
PLATE_KG = 6.0


def ridden(
    base: MovingBase,
    legs: Legs,
    seconds: float = 20.0,
    *,
    seed: int = 0,
    accelerometer: Accelerometer = PERFECT,
    sway: bool = False,
    rate_hz: float = 80.0,
    noise_n: float = 0.02,
    plate_kg: float = PLATE_KG,
) -> Ride:
    """A junior's ride; without sway unless asked for, for speed."""
    return ride(
        JUNIOR,
        base,
        legs,
        seconds,
        seed=seed,
        accelerometer=accelerometer,
        rate_hz=rate_hz,
        cell_noise_n=noise_n,
        plate_mass_kg=plate_kg,
        manner=ORDINARY if sway else None,
    )


def plate_of(made: Ride) -> PlateAcceleration:
    return PlateAcceleration(made.plate_time_s, made.plate_m_s2)


def trace_of(made: Ride, cutoff_hz: float | None = None) -> Trace:
    return prepare(made.time_s, made.loads_n, PLACES, cutoff_hz=cutoff_hz)


def feet_trace(made: Ride, cutoff_hz: float = 10.0) -> Trace:
    """Filtered, and without the plate's inertia; stamps must cover the loads'."""
    trace = trace_of(made, cutoff_hz)
    up = plate_of(made).at(made.time_s)
    known = np.isfinite(up)
    up[known] = zero_phase(up[known], cutoff_hz, trace.rate_hz)
    return feet_only(trace, up, PLATE_KG)


def fitting(cadence_hz: float, harmonics: tuple[tuple[float, float], ...] = ()) -> float:
    """An amplitude, at most 30 mm, that throws nobody off: at most 0.6 g even if strides are 15 %
    too quick and too high."""
    sizes = 1.0 + sum(k * k * size for k, (size, _) in enumerate(harmonics, start=2))
    most_mm = 0.6 * 9806.65 / ((2.0 * math.pi * cadence_hz) ** 2 * sizes * 1.15**3)
    return min(30.0, most_mm)
