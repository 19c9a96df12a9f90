"""A body on a plate on a base that moves up and down, and what loads and accelerometer say of it.

A mass on a spring and a damper stands on the base; the base moves as a sine, or in strides of
uneven length and height with the harmonics that a canter's beats make. This is a demo, a test bench
and a teaching aid, **never** evidence that a measure is right: its parameters are ours.

Frame: the board's, origin at the plate's centre, x to the right, y forward, millimetres. Loads are
newtons, tared: the plate's weight is taken off, its inertia is not. Acceleration is m/s², upward
positive, gravity removed. A seed gives the same numbers again (on another kind of processor the
last digits may differ: sines are used).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, NamedTuple

import numpy as np

from swaytrainer.board.gravity import STANDARD_GRAVITY
from swaytrainer.simulate.athlete import Athlete
from swaytrainer.simulate.body import ORDINARY, Manner, StandingBody
from swaytrainer.simulate.scenario import distribute
from swaytrainer.sway.cop import Array

STEP_S: Final = 0.002
#: What came before the first sample, so that the body already swings as it will.
WARM_UP_S: Final = 6.0

#: Amplitude relative to the first and phase (rad) of the second and third harmonic of a base's
#: height: three unequal beats and a rest in each stride. Our own choice; in acceleration they are
#: four and nine times as strong.
CANTER: Final = ((0.15, 0.9), (0.12, 2.2))


@dataclass(frozen=True, slots=True)
class MovingBase:
    """How the base moves.

    Attributes:
        amplitude_mm: of the height's fundamental.
        cadence_hz: mean strides a second.
        irregular: stride times are spread evenly within ± this share.
        uneven: stride heights are spread evenly within ± this share.
        harmonics: (relative amplitude, phase in rad) from the second harmonic on.
        rock_ml_mm, rock_ap_mm: amplitude of the COP that the rocking base drags along.
        still_s: the base stands still so long at first.
    """

    amplitude_mm: float = 30.0
    cadence_hz: float = 1.8
    irregular: float = 0.0
    uneven: float = 0.0
    harmonics: tuple[tuple[float, float], ...] = ()
    rock_ml_mm: float = 0.0
    rock_ap_mm: float = 0.0
    still_s: float = 0.0

    def __post_init__(self) -> None:
        if not (0.0 < self.cadence_hz < 10.0 and 0.0 <= self.irregular < 0.5):
            raise ValueError("a base needs a cadence above 0 Hz and irregular below 0.5")


@dataclass(frozen=True, slots=True)
class Legs:
    """How the legs take the base: a spring of this natural frequency, or none at all (locked).

    Attributes:
        name: what to call it.
        natural_hz: of the body on its legs; None: locked knees, the body goes with the base.
        damping_ratio: of the critical.
    """

    name: str
    natural_hz: float | None
    damping_ratio: float = 0.0

    def transmissibility(self, frequency_hz: float) -> float:
        """|H| = √((1 + (2ζr)²) / ((1 - r²)² + (2ζr)²)), r the frequency over the natural one.

        Ogata, System Dynamics, 4th edition 2004, equation 9-14.

        >>> round(Legs("any", 1.0, 0.3).transmissibility(math.sqrt(2.0)), 12)
        1.0
        """
        if self.natural_hz is None:
            return 1.0
        r = frequency_hz / self.natural_hz
        damped = (2.0 * self.damping_ratio * r) ** 2
        return math.sqrt((1.0 + damped) / ((1.0 - r * r) ** 2 + damped))


RIGID: Final = Legs("rigid", None)
SUPPLE: Final = Legs("supple", 0.7, 0.5)
BOUNCING: Final = Legs("bouncing", 2.6, 0.25)
LEGS: Final = {legs.name: legs for legs in (RIGID, SUPPLE, BOUNCING)}


@dataclass(frozen=True, slots=True)
class Accelerometer:
    """The plate's accelerometer and its clock.

    Attributes:
        rate_hz: samples a second, on its own stamps.
        noise_m_s2: rms of white noise.
        bias_m_s2: constant error.
        drift_m_s2: rms of a slow wander of the zero (random walk, after a minute).
        late_s: its stamps say this much later than the loads' stamps.
        clock_ppm: its clock runs fast by this much.
    """

    rate_hz: float = 100.0
    noise_m_s2: float = 0.03
    bias_m_s2: float = 0.2
    drift_m_s2: float = 0.1
    late_s: float = 0.0
    clock_ppm: float = 0.0


PERFECT: Final = Accelerometer(200.0, 0.0, 0.0, 0.0)


class Ride(NamedTuple):
    """What the sensors say, and the truth behind it.

    Attributes:
        time_s: shape (N,), the loads' stamps.
        loads_n: shape (N, 4), tared.
        plate_time_s, plate_m_s2: shape (M,), the accelerometer's stamps and values.
        onsets_s: true times at which the fundamental of the base's height is lowest.
        feet_n: shape (N,), true force under the feet.
        base_m_s2: shape (N,), true acceleration of the base.
        sway_x_mm, sway_y_mm: shape (N,), the vaulter's own COP, without the base's rocking.
    """

    time_s: Array
    loads_n: Array
    plate_time_s: Array
    plate_m_s2: Array
    onsets_s: Array
    feet_n: Array
    base_m_s2: Array
    sway_x_mm: Array
    sway_y_mm: Array


def ride(
    athlete: Athlete,
    base: MovingBase,
    legs: Legs,
    seconds: float,
    *,
    rate_hz: float = 80.0,
    seed: int = 0,
    plate_mass_kg: float = 6.0,
    accelerometer: Accelerometer = PERFECT,
    cell_noise_n: float = 0.0,
    manner: Manner | None = ORDINARY,
    half_width_mm: float = 220.0,
    half_depth_mm: float = 170.0,
    gravity_m_s2: float = STANDARD_GRAVITY,
) -> Ride:
    """Ride the base for some seconds.

    Args:
        athlete: who stands.
        base: how the base moves.
        legs: how the legs take it; a body that would be thrown off flies until it comes down.
        seconds: how long.
        rate_hz: load samples a second.
        seed: of strides, sway and noise.
        plate_mass_kg: what lies on the cells besides the body.
        accelerometer: the plate's.
        cell_noise_n: rms of each cell's white noise.
        manner: how the vaulter sways; None: not at all.
        half_width_mm, half_depth_mm: the cells stand at (±, ±) these.
        gravity_m_s2: local gravity.

    Raises:
        ValueError: the seconds are not above zero, or the COP leaves the cells.

    >>> from swaytrainer.simulate.athlete import JUNIOR
    >>> stiff = ride(JUNIOR, MovingBase(30.0, 1.8), RIGID, 10.0, plate_mass_kg=0.0, manner=None)
    >>> force = stiff.loads_n.sum(axis=1)
    >>> round(100.0 * float(force.std() / force.mean()), 1)  # ripple of a stiff body, percent
    27.7
    """
    if not 0.0 < seconds < math.inf:
        raise ValueError(f"a ride lasts longer than nothing, not {seconds} s")
    rng = np.random.default_rng([seed, 0x51DE])
    steps = round((WARM_UP_S + seconds + 1.0) / STEP_S)
    fine_s = np.arange(2 * steps + 1, dtype=np.float64) * (0.5 * STEP_S) - WARM_UP_S
    phase, acceleration, share = _base(base, fine_s, rng)
    body = _body_acceleration(legs, acceleration, gravity_m_s2)
    time_s = np.arange(round(seconds * rate_hz)) / rate_hz
    feet_n = athlete.mass_kg * (gravity_m_s2 + np.interp(time_s, fine_s[::2], body))
    base_m_s2 = np.interp(time_s, fine_s, acceleration)
    sway_x, sway_y = _sway(athlete, manner, seed, time_s.size, rate_hz)
    angle, moving = (np.interp(time_s, fine_s, values) for values in (phase, share))
    x = sway_x + moving * base.rock_ml_mm * np.cos(2.0 * np.pi * angle + 0.7)
    y = sway_y + moving * base.rock_ap_mm * np.cos(2.0 * np.pi * angle)
    plate_n = plate_mass_kg * base_m_s2
    loads = np.array(
        [
            distribute(force, at_x, at_y, half_width_mm, half_depth_mm)
            for force, at_x, at_y in zip(feet_n.tolist(), x.tolist(), y.tolist(), strict=True)
        ]
    )
    loads = loads + 0.25 * plate_n[:, None]
    loads = loads + cell_noise_n * rng.standard_normal(loads.shape)
    plate_time_s, plate = _measured(accelerometer, seconds, fine_s, acceleration, rng)
    whole = np.arange(math.ceil(phase[0]), math.floor(phase[-1]) + 1)
    onsets = np.interp(whole, phase, fine_s)
    onsets = onsets[(onsets >= max(0.0, base.still_s)) & (onsets < seconds)]
    return Ride(
        time_s, loads, plate_time_s, plate, onsets, feet_n, base_m_s2, sway_x, sway_y
    )  # fmt: skip


def _smooth(t: Array, at: Array, values: Array) -> tuple[Array, Array, Array]:
    """Through the values by quintic steps: twice differentiable; with both derivatives."""
    i = np.clip(np.searchsorted(at, t, side="right") - 1, 0, at.size - 2)
    wide = at[i + 1] - at[i]
    r = np.clip((t - at[i]) / wide, 0.0, 1.0)
    rise = values[i + 1] - values[i]
    return (
        values[i] + rise * r**3 * (10.0 - 15.0 * r + 6.0 * r * r),
        rise / wide * 30.0 * r * r * (1.0 - r) ** 2,
        rise / wide**2 * 60.0 * r * (1.0 - r) * (1.0 - 2.0 * r),
    )


def _base(base: MovingBase, time_s: Array, rng: np.random.Generator) -> tuple[Array, Array, Array]:
    """Phase (strides), acceleration (m/s²) and how much of the motion there is (0-1)."""
    count = math.ceil((time_s[-1] - time_s[0]) * base.cadence_hz / (1.0 - base.irregular)) + 3
    lengths = (1.0 + base.irregular * rng.uniform(-1.0, 1.0, count)) / base.cadence_hz
    ends = time_s[0] - lengths[0] + np.cumsum(lengths)
    middles = ends - 0.5 * lengths
    quick, quicker, _ = _smooth(time_s, middles, 1.0 / lengths)
    steps = np.diff(time_s)
    phase = np.concatenate([[0.0], np.cumsum(0.5 * steps * (quick[1:] + quick[:-1]))])
    phase = phase + rng.uniform()
    heights = 1.0 + base.uneven * rng.uniform(-1.0, 1.0, count)
    high, high_1, high_2 = _smooth(time_s, middles, heights * base.amplitude_mm / 1000.0)
    share = np.ones(time_s.size)
    if base.still_s > 0.0:
        ramp = np.array([base.still_s, base.still_s + 0.5 / base.cadence_hz])
        share, share_1, share_2 = _smooth(time_s, ramp, np.array([0.0, 1.0]))
        high_2 = high_2 * share + 2.0 * high_1 * share_1 + high * share_2
        high_1 = high_1 * share + high * share_1
        high = high * share
    # Phase 0 is the lowest point of the fundamental: -cos.
    waves = ((1.0, math.pi), *base.harmonics)
    p, p_1, p_2 = (np.zeros(time_s.size) for _ in range(3))
    for k, (size, start) in enumerate(waves, start=1):
        omega = 2.0 * math.pi * k
        angle = omega * phase + start
        p += size * np.cos(angle)
        p_1 -= size * omega * np.sin(angle)
        p_2 -= size * omega * omega * np.cos(angle)
    acceleration = (
        high_2 * p + 2.0 * high_1 * p_1 * quick + high * (p_2 * quick * quick + p_1 * quicker)
    )
    return phase, acceleration, share


def _body_acceleration(legs: Legs, base_m_s2: Array, gravity_m_s2: float) -> Array:
    """The body's acceleration at every second point, by Runge and Kutta's fourth-order rule."""
    if legs.natural_hz is None:
        return np.asarray(np.maximum(base_m_s2[::2], -gravity_m_s2))
    omega = 2.0 * math.pi * legs.natural_hz
    damping, stiffness = 2.0 * legs.damping_ratio * omega, omega * omega

    def push(u: float, v: float) -> float:
        # Feet can push, not pull: below -g the body is in the air.
        return max(-gravity_m_s2, -damping * v - stiffness * u)

    h = STEP_S
    u = v = 0.0
    out = [push(u, v)]
    base = base_m_s2.tolist()
    for a, b, c in zip(base[:-2:2], base[1:-1:2], base[2::2], strict=True):
        v1, w1 = v, push(u, v) - a
        v2 = v + 0.5 * h * w1
        w2 = push(u + 0.5 * h * v1, v2) - b
        v3 = v + 0.5 * h * w2
        w3 = push(u + 0.5 * h * v2, v3) - b
        v4 = v + h * w3
        w4 = push(u + h * v3, v4) - c
        u += h / 6.0 * (v1 + 2.0 * (v2 + v3) + v4)
        v += h / 6.0 * (w1 + 2.0 * (w2 + w3) + w4)
        out.append(push(u, v))
    return np.array(out)


def _sway(
    athlete: Athlete, manner: Manner | None, seed: int, count: int, rate_hz: float
) -> tuple[Array, Array]:
    if manner is None:
        return np.zeros(count), np.zeros(count)
    body = StandingBody(athlete, manner=manner, seed=seed)
    states = [body.step(1.0 / rate_hz) for _ in range(count)]
    return np.array([s.x_mm for s in states]), np.array([s.y_mm for s in states])


def _measured(
    sensor: Accelerometer,
    seconds: float,
    fine_s: Array,
    acceleration: Array,
    rng: np.random.Generator,
) -> tuple[Array, Array]:
    true_s = np.arange(round(seconds * sensor.rate_hz)) / sensor.rate_hz
    walk = rng.standard_normal(true_s.size).cumsum() / math.sqrt(60.0 * sensor.rate_hz)
    values = (
        np.interp(true_s, fine_s, acceleration)
        + sensor.bias_m_s2
        + sensor.drift_m_s2 * walk
        + sensor.noise_m_s2 * rng.standard_normal(true_s.size)
    )
    return true_s * (1.0 + sensor.clock_ppm * 1e-6) + sensor.late_s, values
