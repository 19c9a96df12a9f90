"""A body that stands and sways: two inverted pendulums, one forward and back, one side to side.

This is a demo, a test bench and a teaching aid. It is **never** evidence that a measure is
right or that a vaulter got better: its parameters are ours, chosen so that speed, area and
spectrum of its sway fall where those of real people fell, and nothing more.

The model, per plane. c is the centre of mass over the plate and p the COP, both in mm; dividing
Asai's torques by m·g turns them into COP, so that the mass cancels and only the height of the
centre of mass h remains:

    c'' = (g/h)·(c − p)                                     the body topples away from its COP
    p   = r + K·u + B·c' + active + n,      u = c − r       ankles (AP), hips (ML)

- r is where the body means to stand: the manner's lean, plus a slow wander.
- K and B are passive stiffness and damping. K < 1: stiffness alone cannot hold the body up.
- active is P·u + D·c' as it was a nerve's delay ago, smoothed by the muscle, and only while the
  delayed state runs away from balance: u·(c' − a·u) > 0. This intermittent control, its switching
  line and its first values are from Asai, Tasaka, Nomura, Nomura, Casadio & Morasso, PLoS ONE
  2009;4(7):e6169 (K = 0.8 mgh, B = 4 and D = 10 N·m·s/rad, P = 0.25 mgh, delay 0.2 s,
  a = −0.4 s⁻¹). With those values its path-based mean frequency is about half that of the
  people measured below; so ours differs in K, B, P, D and delay, has no dead zone, and adds the
  wander, the lags of muscle and noise, and separate amplitudes per plane and condition.
- n is motor noise behind three equal lags. Its spectrum, with what the loop makes of it, is what
  sets the speed; the wander sets much of the area.

Noise and wander per condition, and the loop's constants, are fitted to unfiltered 60 s trials at
100 Hz of young adults in Santos & Duarte, PeerJ 2016;4:e2648.

The step is 2 ms, semi-implicit Euler–Maruyama. Only +, −, ×, ÷, √ and ``random.Random.random``
are used: these are exact by IEEE 754 and by the Mersenne Twister's definition, so that one seed
gives the same floats on every platform. (sin, exp and gauss would not promise that.)

Not modelled: that children sway more and quicker than their size says (give them a restless
manner), steps, hands on a rail, and the plate's own weight.

Frame: the board's, origin at the plate's centre, x to the right, y forward. Lengths are
millimetres, forces newtons, times seconds.
"""

from __future__ import annotations

import math
import random
from dataclasses import dataclass, replace
from enum import Enum
from typing import Final, NamedTuple

from swaytrainer.board.gravity import STANDARD_GRAVITY
from swaytrainer.simulate.athlete import HEEL_LINE_MM, Athlete

STEP_S: Final = 0.002

STIFFNESS: Final = 0.85
DAMPING_S: Final = 0.014
ACTIVE_STIFFNESS: Final = 0.60
ACTIVE_DAMPING_S: Final = 0.125
SWITCH_SLOPE_PER_S: Final = -0.4
DELAY_S: Final = 0.15
MUSCLE_LAG_S: Final = 0.06
NOISE_LAG_S: Final = 0.09
WANDER_LAG_S: Final = 2.6
LEAN_LAG_S: Final = 0.3

COM_HEIGHT_SHARE: Final = 0.56
"""Effective pendulum length I/(m·h) in body heights; from memory of segment tables."""

REFERENCE_HEIGHT_M: Final = 1.70
"""The height at which the fitted amplitudes hold; sway grows in proportion to height."""

TRIAL_NOISE_SPREAD: Final = 0.075
TRIAL_WANDER_SPREAD: Final = 0.25
TRIAL_TOE_SHARE_SPREAD_PERCENT: Final = 1.2
TRIAL_RIGHT_SHARE_SPREAD_PERCENT: Final = 1.5
PERSON_SWAY_SPREAD: Final = 0.28
PERSON_DRIFT_SPREAD: Final = 0.15

BREATHS_HZ: Final = 0.25
BREATH_AMPLITUDE: Final = 0.0003
WARM_UP_S: Final = 10.0

_UNIT: Final = math.sqrt(12.0)  # a uniform number of width 1 has variance 1/12


class Ground(Enum):
    """What the plate is covered with."""

    FIRM = "firm"
    COMPLIANT = "compliant"


class Eyes(Enum):
    """Whether the vaulter sees."""

    OPEN = "open"
    CLOSED = "closed"


@dataclass(frozen=True, slots=True)
class Manner:
    """How somebody stands.

    Attributes:
        name: what to call it.
        toe_share_percent: mean load on the balls of the feet, 0 all heel, 100 all ball.
        right_share_percent: mean load on the right foot.
        sway_gain: factor on the quick part, and so about on the speed; 1 is the median of young
            adults.
        drift_gain: factor on the slow wander; with ``sway_gain`` it sets the area.
    """

    name: str
    toe_share_percent: float = 40.0
    right_share_percent: float = 50.0
    sway_gain: float = 1.0
    drift_gain: float = 1.0


# Barefoot quiet standing is heel-heavy, about a third of the load on forefoot and toes
# (Cavanagh, Rodgers & Iiboshi, Foot & Ankle 1987;7:262-276, from memory); a vaulter who has been
# taught to stand over the whole sole has somewhat more.
ORDINARY: Final = Manner("ordinary")
CALM: Final = Manner("calm", sway_gain=0.75, drift_gain=0.75)
RESTLESS: Final = Manner("restless", sway_gain=1.4, drift_gain=1.4)
HEEL_HEAVY: Final = Manner("heel_heavy", toe_share_percent=20.0)
TOE_HEAVY: Final = Manner("toe_heavy", toe_share_percent=65.0)
MANNERS: Final = {m.name: m for m in (CALM, ORDINARY, RESTLESS, HEEL_HEAVY, TOE_HEAVY)}


def individual(manner: Manner, seed: int) -> Manner:
    """One person among those who stand in this manner.

    People differ from each other much more than one person's trials do. A ``StandingBody`` varies
    from trial to trial with its own seed; this varies the person.
    """
    rng = random.Random(seed)
    sway = _spread(rng, PERSON_SWAY_SPREAD)
    drift = sway * _spread(rng, PERSON_DRIFT_SPREAD)
    return replace(manner, sway_gain=manner.sway_gain * sway, drift_gain=manner.drift_gain * drift)


class BodyState(NamedTuple):
    """What the feet press on the plate: force in N, and the COP in mm (x right, y forward)."""

    force_n: float
    x_mm: float
    y_mm: float


class _Amplitudes(NamedTuple):
    """Standard deviations of motor noise and wander (mm at 1.70 m), and of force (share of weight).

    ``bounce_hz`` is where body and ground bounce up and down.
    """

    noise_ml_mm: float
    noise_ap_mm: float
    wander_ml_mm: float
    wander_ap_mm: float
    bounce: float
    bounce_hz: float


_FITTED: Final = {
    (Ground.FIRM, Eyes.OPEN): _Amplitudes(0.31, 0.57, 1.85, 3.9, 0.0007, 6.5),
    (Ground.FIRM, Eyes.CLOSED): _Amplitudes(0.35, 0.59, 2.0, 3.8, 0.0007, 6.5),
    (Ground.COMPLIANT, Eyes.OPEN): _Amplitudes(1.16, 1.49, 3.4, 5.7, 0.0040, 3.5),
    (Ground.COMPLIANT, Eyes.CLOSED): _Amplitudes(1.52, 2.03, 3.3, 3.7, 0.0042, 3.5),
}

_BOUNCE_DAMPING_RATIO: Final = 0.3


def _normal(rng: random.Random) -> float:
    """About normal, mean 0 and deviation 1, by the sum of twelve uniform numbers."""
    total = -6.0
    for _ in range(12):
        total += rng.random()  # not sum(): since Python 3.12 that rounds differently
    return total


def _spread(rng: random.Random, spread: float) -> float:
    """A random factor with median about 1 and about ``spread`` deviation of its logarithm.

    (1 + z/8)^8 in place of exp(z), for exactness; z is bounded, so the factor stays above zero.
    """
    factor = 1.0 + spread * _normal(rng) / 8.0
    factor *= factor
    factor *= factor
    return factor * factor


class _Plane:
    """One pendulum; all lengths in mm, in the board's frame along its own axis."""

    __slots__ = (
        "_aim",
        "_aim_lag",
        "_delay",
        "_head",
        "_lower",
        "_muscle",
        "_noise",
        "_noise_drive",
        "_omega2",
        "_upper",
        "_wander",
        "_wander_drive",
        "_wander_lag",
        "c",
        "catches",
        "cop",
        "target",
        "velocity",
    )

    def __init__(self, target: float, lower: float, upper: float, omega2_per_s2: float) -> None:
        self.target = target
        self.c = self.cop = target
        self.velocity = 0.0
        self.catches = 0
        self._aim = self._aim_lag = target
        self._lower, self._upper = lower, upper
        self._omega2 = omega2_per_s2
        self._noise = [0.0, 0.0, 0.0]
        self._noise_drive = 0.0
        self._wander = self._wander_lag = 0.0
        self._wander_drive = 0.0
        self._muscle = 0.0
        self._delay = [(0.0, 0.0)] * round(DELAY_S / STEP_S)
        self._head = 0

    def drive(self, noise_mm: float, wander_mm: float) -> None:
        """Set the standard deviations of motor noise and wander.

        White noise of intensity q through n equal lags τ has variance q/τ times 1/4 for n = 2,
        3/16 for n = 3 (the integral of |1 + iωτ|^(−2n)).
        """
        self._noise_drive = noise_mm * math.sqrt(NOISE_LAG_S * 16.0 / 3.0 / STEP_S) * _UNIT
        self._wander_drive = wander_mm * math.sqrt(WANDER_LAG_S * 4.0 / STEP_S) * _UNIT

    def step(self, quick: float, slow: float) -> None:
        """Go on by ``STEP_S``; the arguments are uniform on (−0.5, 0.5).

        Their distribution does not matter: hundreds are summed by the lags behind them.
        """
        noise = self._noise
        share = STEP_S / NOISE_LAG_S
        noise[2] += share * (noise[1] - noise[2])
        noise[1] += share * (noise[0] - noise[1])
        noise[0] += share * (self._noise_drive * quick - noise[0])
        share = STEP_S / WANDER_LAG_S
        self._wander += share * (self._wander_lag - self._wander)
        self._wander_lag += share * (self._wander_drive * slow - self._wander_lag)
        share = STEP_S / LEAN_LAG_S
        self._aim += share * (self._aim_lag - self._aim)
        self._aim_lag += share * (self.target - self._aim_lag)

        head = self._head
        past_u, past_velocity = self._delay[head]
        if past_u * (past_velocity - SWITCH_SLOPE_PER_S * past_u) > 0.0:
            command = ACTIVE_STIFFNESS * past_u + ACTIVE_DAMPING_S * past_velocity
        else:
            command = 0.0
        self._muscle += STEP_S / MUSCLE_LAG_S * (command - self._muscle)

        reference = self._aim + self._wander
        u = self.c - reference
        self._delay[head] = (u, self.velocity)
        head += 1
        self._head = head if head < len(self._delay) else 0

        cop = reference + STIFFNESS * u + DAMPING_S * self.velocity + self._muscle + noise[2]
        # A foot cannot press where it is not.
        if cop < self._lower:
            cop = self._lower
        elif cop > self._upper:
            cop = self._upper
        self.cop = cop
        self.velocity += STEP_S * self._omega2 * (self.c - cop)
        self.c += STEP_S * self.velocity
        if not self._lower <= self.c <= self._upper:
            # Out over the edge of the feet nobody comes back without a step or a hand; steps are
            # not modelled, so the body is held there and its way starts anew.
            self.c = min(max(self.c, self._lower), self._upper)
            self.velocity = 0.0
            self.catches += 1


class StandingBody:
    """A vaulter who stands on the board, already settled, and sways.

    The body at a time does not depend on how often it is looked at: 50 samples a second are every
    second one of 100 (to rounding).

    Args:
        athlete: who stands.
        ground: firm plate or foam on it.
        eyes: open or closed.
        manner: how the vaulter stands.
        seed: of this trial; another seed is another trial of the same person.
        heel_line_mm: where the backs of the heels stand, y in the board's frame.
        gravity_m_s2: local gravity.
    """

    def __init__(
        self,
        athlete: Athlete,
        ground: Ground = Ground.FIRM,
        eyes: Eyes = Eyes.OPEN,
        manner: Manner = ORDINARY,
        seed: int = 0,
        *,
        heel_line_mm: float = HEEL_LINE_MM,
        gravity_m_s2: float = STANDARD_GRAVITY,
    ) -> None:
        self.athlete = athlete
        self.ground = ground
        self.eyes = eyes
        self.manner = manner
        self.heel_line_mm = heel_line_mm
        self._weight_n = athlete.mass_kg * gravity_m_s2
        self._random = rng = random.Random(seed)
        self._trial_noise = _spread(rng, TRIAL_NOISE_SPREAD)
        self._trial_wander_ml = _spread(rng, TRIAL_WANDER_SPREAD)
        self._trial_wander_ap = _spread(rng, TRIAL_WANDER_SPREAD)
        self._trial_toe_percent = TRIAL_TOE_SHARE_SPREAD_PERCENT * _normal(rng)
        self._trial_right_percent = TRIAL_RIGHT_SHARE_SPREAD_PERCENT * _normal(rng)

        omega2 = gravity_m_s2 / (COM_HEIGHT_SHARE * athlete.height_m)
        edge = athlete.outer_edge_mm()
        toe_tip = heel_line_mm + athlete.foot_length_mm
        self._ml = _Plane(self._x_target_mm(), -edge, edge, omega2)
        self._ap = _Plane(
            self._y_target_mm(manner.toe_share_percent), heel_line_mm, toe_tip, omega2
        )
        self._breath, self._breath_rate = BREATH_AMPLITUDE, 0.0
        self._bounce = self._bounce_rate = 0.0
        self._bounce_drive = self._bounce_omega = 0.0
        self._set_amplitudes()
        for _ in range(round(WARM_UP_S / STEP_S)):
            self._advance()
        self._before = self._after = self._state()
        self._steps = 0
        self._time_s = 0.0

    @property
    def catches(self) -> int:
        """How many steps of the model the body had to be held, being out over its feet's edge."""
        return self._ml.catches + self._ap.catches

    def change(
        self,
        *,
        ground: Ground | None = None,
        eyes: Eyes | None = None,
        manner: Manner | None = None,
    ) -> None:
        """Go on standing under other conditions; what is None stays. A lean is given up."""
        self.ground = ground or self.ground
        self.eyes = eyes or self.eyes
        self.manner = manner or self.manner
        self._ml.target = self._x_target_mm()
        self._ap.target = self._y_target_mm(self.manner.toe_share_percent)
        self._set_amplitudes()

    def lean_to(self, toe_share_percent: float) -> None:
        """Lean until ``toe_share_percent`` of the load is on the balls, in about three seconds."""
        self._ap.target = self._y_target_mm(toe_share_percent)

    def step(self, dt_s: float) -> BodyState:
        """Go on by ``dt_s`` seconds and say what the feet press then.

        Raises:
            ValueError: if ``dt_s`` is not a positive number.
        """
        if not 0.0 < dt_s < math.inf:
            raise ValueError(f"time goes forward by a positive number of seconds, not {dt_s}")
        self._time_s += dt_s
        position = self._time_s / STEP_S
        while self._steps < position:
            self._before = self._after
            self._advance()
            self._after = self._state()
            self._steps += 1
        back = self._steps - position
        before, after = self._before, self._after
        return BodyState(
            after.force_n + back * (before.force_n - after.force_n),
            after.x_mm + back * (before.x_mm - after.x_mm),
            after.y_mm + back * (before.y_mm - after.y_mm),
        )

    def _x_target_mm(self) -> float:
        share = self.manner.right_share_percent + self._trial_right_percent - 50.0
        return share / 100.0 * self.athlete.stance_width_mm

    def _y_target_mm(self, toe_share_percent: float) -> float:
        share = toe_share_percent + self._trial_toe_percent
        return self.athlete.y_at_toe_share_mm(share, self.heel_line_mm)

    def _set_amplitudes(self) -> None:
        fitted = _FITTED[self.ground, self.eyes]
        size = self.athlete.height_m / REFERENCE_HEIGHT_M
        quick = size * self.manner.sway_gain * self._trial_noise
        slow = size * self.manner.drift_gain
        self._ml.drive(
            quick * fitted.noise_ml_mm, slow * self._trial_wander_ml * fitted.wander_ml_mm
        )
        self._ap.drive(
            quick * fitted.noise_ap_mm, slow * self._trial_wander_ap * fitted.wander_ap_mm
        )
        # White noise of intensity q on an oscillator gives variance q/(4·ζ·ω³).
        omega = 2.0 * math.pi * fitted.bounce_hz
        intensity = (
            fitted.bounce * fitted.bounce * 4.0 * _BOUNCE_DAMPING_RATIO * omega * omega * omega
        )
        self._bounce_omega = omega
        self._bounce_drive = math.sqrt(intensity / STEP_S) * _UNIT * self.manner.sway_gain

    def _advance(self) -> None:
        uniform = self._random.random
        self._ml.step(uniform() - 0.5, uniform() - 0.5)
        self._ap.step(uniform() - 0.5, uniform() - 0.5)
        omega = self._bounce_omega
        push = self._bounce_drive * (uniform() - 0.5)
        pull = omega * (omega * self._bounce + 2.0 * _BOUNCE_DAMPING_RATIO * self._bounce_rate)
        self._bounce_rate += STEP_S * (push - pull)
        self._bounce += STEP_S * self._bounce_rate
        breath_omega = 2.0 * math.pi * BREATHS_HZ
        self._breath_rate -= STEP_S * breath_omega * breath_omega * self._breath
        self._breath += STEP_S * self._breath_rate

    def _state(self) -> BodyState:
        share = 1.0 + self._breath + self._bounce
        return BodyState(self._weight_n * share, self._ml.cop, self._ap.cop)
