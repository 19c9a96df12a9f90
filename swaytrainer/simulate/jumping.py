"""Hops on the board and jumps onto it, built so that the truth about each landing is known.

A test bench, no evidence about people. Force and COP are closed forms of time, so the same jump can
be sampled at any rate and at any phase. What is kept of physics: flight is ballistic, and the
impulse of a push-off and of a landing is the one that its flight needs, ∫(F - W)dt = m·v.

Everything hangs on body weights W. A push-off is a dip and a push that falls to nothing; a landing
is, for each foot, a pulse on the ball, one on the heel and a long one of the knees, all half-sines,
and a damped swing into standing. The second foot does the same, later by the lag.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, Literal, NamedTuple

import numpy as np

from swaytrainer.board.gravity import STANDARD_GRAVITY
from swaytrainer.simulate.athlete import HEEL_LINE_MM, Athlete
from swaytrainer.sway.cop import NAN, Array
from swaytrainer.sway.feet import BALL_SHARE, HEEL_SHARE, Feet
from swaytrainer.sway.gaps import Flags

Side = Literal["left", "right"]

#: A push-off: seconds of its dip and its push, and how deep the dip is, in body weights.
_DIP_S: Final = 0.30
_PUSH_S: Final = 0.28
_DIP_BW: Final = 0.5
#: How sharply the push ends: W falls away as 1 - u⁸.
_FALL: Final = 8
#: Nobody is on the board for this long before somebody jumps onto it.
EMPTY_S: Final = 1.5
#: Shares of a landing's impulse: ball, heel, knees.
_SHARES: Final = (0.15, 0.45, 0.40)
_KNEE_S: Final = 0.25
#: The force's swing into standing, Hz; the COP's after a landing, Hz, and how it dies away, s.
_SWING_HZ: Final = 2.0
_STRAY_HZ: Final = 1.3
_STANDING_TOES_PERCENT: Final = 40.0
#: Quiet standing: rms of the COP a side, mm; the share by which the weight wavers with each heart
#: beat.
_SWAY_MM: Final = 2.5
_WAVER: Final = 0.002
#: The grid on which peaks and settling are looked for, s.
_FINE_S: Final = 2e-5


@dataclass(frozen=True, slots=True)
class Jump:
    """One jump and its landing.

    Attributes:
        height_mm: how far the centre of mass falls, or rises and falls.
        from_outside: onto the empty board; else a hop from standing.
        first_foot, lag_s: which foot lands first, and by how much.
        right_share: of the load, once both feet are down (0 to 1).
        ball_s, heel_s: how long the two pulses of a foot last.
        heel_after_s: how long after the ball the heel comes down.
        settle_s: time constant of the force's swing into standing.
        stray_mm, stray_s: the COP's swing after landing, and its time constant.
        stand_s: how long the vaulter stands afterwards.
    """

    height_mm: float
    from_outside: bool = False
    first_foot: Side = "left"
    lag_s: float = 0.0
    right_share: float = 0.5
    ball_s: float = 0.05
    heel_s: float = 0.06
    heel_after_s: float = 0.03
    settle_s: float = 0.25
    stray_mm: float = 15.0
    stray_s: float = 0.4
    stand_s: float = 5.0

    def __post_init__(self) -> None:
        above = (self.height_mm, self.ball_s, self.heel_s, self.settle_s, self.stray_s)
        if not all(0.0 < value < math.inf for value in above):
            raise ValueError(f"heights and times of a jump must be above zero: {self}")
        if not (0.0 < self.right_share < 1.0 and 0.0 <= self.lag_s < 0.2):
            raise ValueError(f"a share lies between 0 and 1, a lag between 0 and 0.2 s: {self}")

    @property
    def speed_m_s(self) -> float:
        """Of the centre of mass at contact: √(2·g·h)."""
        return math.sqrt(2e-3 * STANDARD_GRAVITY * self.height_mm)


class LandingTruth(NamedTuple):
    """What really happened at one landing; times in s from the start.

    Attributes:
        takeoff_s, flight_s: NaN for a jump from outside.
        contact_s, second_foot_s: first and second foot.
        height_mm: of the flight.
        peak_s, peak_bw: the force's largest value, before noise.
        force_settled_s: from here on the force stays within ±5 % of body weight.
    """

    takeoff_s: float
    contact_s: float
    second_foot_s: float
    flight_s: float
    height_mm: float
    peak_s: float
    peak_bw: float
    force_settled_s: float


class Sampled(NamedTuple):
    """Loads (N, 4) in N as a board would give them, at times (N,); where a cell was at its end."""

    time_s: Array
    loads_n: Array
    saturated: Flags


class _Landing(NamedTuple):
    jump: Jump
    push_s: float  # begin of the push-off; NaN from outside
    takeoff_s: float
    left_s: float
    right_s: float
    end_s: float  # of standing after it


class Jumping:
    """A vaulter's jumps, one after the other, as functions of time.

    Args:
        athlete: who jumps.
        jumps: in order. The vaulter steps off between a jump and one from outside.
        seed: of the sway.
        quiet_s: quiet standing before the first hop.
        gravity_m_s2: for the weight. The flight's gravity is standard.

    >>> from swaytrainer.simulate.athlete import JUNIOR
    >>> truth = Jumping(JUNIOR, [Jump(200.0)], seed=1).truths()[0]
    >>> round(truth.flight_s, 4), round(1000 * STANDARD_GRAVITY * truth.flight_s**2 / 8, 3)
    (0.4039, 200.0)
    """

    def __init__(
        self, athlete: Athlete, jumps: list[Jump], seed: int, *, quiet_s: float = 3.0
    ) -> None:
        self.athlete = athlete
        self.weight_n = athlete.mass_kg * STANDARD_GRAVITY
        side = 0.5 * athlete.stance_width_mm
        length = athlete.foot_length_mm
        self.feet = Feet(
            HEEL_LINE_MM + HEEL_SHARE * length, HEEL_LINE_MM + BALL_SHARE * length, -side, side
        )
        self._landings: list[_Landing] = []
        self._stands: list[tuple[float, float]] = []  # begin and end of being on the board
        rng = np.random.default_rng(seed)
        self._sway = _Sway(rng), _Sway(rng)
        now_s = 0.0
        for number, jump in enumerate(jumps):
            if jump.from_outside:
                push_s = takeoff_s = NAN
                contact_s = now_s + EMPTY_S
            else:
                push_s = now_s + (quiet_s if number == 0 else 0.0)
                takeoff_s = push_s + _DIP_S + _PUSH_S
                contact_s = takeoff_s + 2.0 * jump.speed_m_s / STANDARD_GRAVITY
            second_s = contact_s + jump.lag_s
            left_s, right_s = (
                (contact_s, second_s) if jump.first_foot == "left" else (second_s, contact_s)
            )
            now_s = contact_s + jump.stand_s
            self._landings.append(_Landing(jump, push_s, takeoff_s, left_s, right_s, now_s))
        self.duration_s = now_s

    def force_n(self, time_s: Array) -> Array:
        """The true force at any times, shape (N,)."""
        return self._loads(time_s)[0]

    def truths(self) -> list[LandingTruth]:
        """One for each jump, in order."""
        return [self._truth(number) for number in range(len(self._landings))]

    def sample(
        self,
        rate_hz: float,
        seed: int,
        half_width_mm: float = 220.0,
        half_depth_mm: float = 220.0,
        *,
        noise_n: float = 0.02,
        full_scale_n: float = math.inf,
        phase: float = 0.0,
        averaged: bool = False,
    ) -> Sampled:
        """What a board with cells at (±half_width, ±half_depth) gives.

        Args:
            rate_hz: samples a second.
            seed: of the noise.
            half_width_mm, half_depth_mm: where the cells are.
            noise_n: rms of each cell.
            full_scale_n: where a cell, and its converter, ends.
            phase: 0 to 1, of an interval: when the first sample is taken.
            averaged: each sample is the mean over the interval that ends with it, as a
                delta-sigma converter's is; else a point.
        """
        count = int((self.duration_s - phase / rate_hz) * rate_hz)
        time_s: Array = (np.arange(count, dtype=np.float64) + phase) / rate_hz
        if averaged:
            parts = 16
            within = ((np.arange(parts) + 0.5) / parts - 1.0) / rate_hz
            many = (time_s[:, None] + within).ravel()
            loads = self._corners(many, half_width_mm, half_depth_mm)
            loads = loads.reshape(count, parts, 4).mean(axis=1)
        else:
            loads = self._corners(time_s, half_width_mm, half_depth_mm)
        loads = loads + np.random.default_rng(seed).normal(0.0, 1.0, loads.shape) * noise_n
        saturated: Flags = loads.max(axis=1) >= full_scale_n
        return Sampled(time_s, np.minimum(loads, full_scale_n), saturated)

    def _truth(self, number: int) -> LandingTruth:
        jump, _, takeoff_s, left_s, right_s, end_s = self._landings[number]
        contact_s, second_s = min(left_s, right_s), max(left_s, right_s)
        fine_s = np.arange(contact_s, contact_s + 0.3, _FINE_S)
        force = self.force_n(fine_s) / self.weight_n
        peak = int(force.argmax())
        later_s = np.arange(contact_s, end_s, 1e-3)
        outside = np.abs(self.force_n(later_s) / self.weight_n - 1.0) > 0.05
        return LandingTruth(
            takeoff_s,
            contact_s,
            second_s,
            contact_s - takeoff_s,
            jump.height_mm,
            float(fine_s[peak]),
            float(force[peak]),
            float(later_s[int(np.flatnonzero(outside)[-1])]),
        )

    def _corners(self, time_s: Array, half_width_mm: float, half_depth_mm: float) -> Array:
        """Loads of four cells, front left, front right, rear left, rear right: no twist."""
        force, x, y = self._loads(time_s)
        across, along = x / half_width_mm, y / half_depth_mm
        signs = np.array([[-1.0, 1.0], [1.0, 1.0], [-1.0, -1.0], [1.0, -1.0]])
        corners = 0.25 * force[:, None] * (1.0 + np.stack([across, along], axis=1) @ signs.T)
        # As in scenario.distribute: the least twist that leaves no corner pulled up.
        up = np.minimum(corners, 0.0)
        twist = np.minimum(up[:, 1], up[:, 2]) - np.minimum(up[:, 0], up[:, 3])
        lifted: Array = corners + twist[:, None] * np.array([1.0, -1.0, -1.0, 1.0])
        return lifted

    def _loads(self, time_s: Array) -> tuple[Array, Array, Array]:
        """Force (N) and COP (mm); the COP is 0 where nobody is."""
        force = np.zeros(time_s.size)
        moment_x, moment_y = np.zeros(time_s.size), np.zeros(time_s.size)
        for number, landing in enumerate(self._landings):
            begin_s = 0.0 if number == 0 else self._landings[number - 1].end_s
            if not math.isnan(landing.push_s):
                before = (time_s >= begin_s) & (time_s < landing.takeoff_s)
                self._push(time_s, before, landing, force, moment_x, moment_y)
            after = (time_s >= min(landing.left_s, landing.right_s)) & (time_s < landing.end_s)
            self._land(time_s, after, landing, force, moment_x, moment_y)
        there = force > 0.0
        divisor = np.where(there, force, 1.0)
        return force, moment_x / divisor, moment_y / divisor

    def _push(
        self, time_s: Array, where: Flags, landing: _Landing, force: Array, mx: Array, my: Array
    ) -> None:
        now = time_s[where]
        since = now - landing.push_s
        dip = np.clip(since / _DIP_S, 0.0, 1.0)
        push = np.clip((since - _DIP_S) / _PUSH_S, 0.0, 1.0)
        wanted_s = landing.jump.speed_m_s / STANDARD_GRAVITY
        # ∫ of -dip·sin²(π·u), of -u⁸ and of bulge·sin(π·u), each over its time, sum up to v/g.
        bulge = wanted_s + 0.5 * _DIP_BW * _DIP_S + _PUSH_S / (_FALL + 1)
        bulge *= 0.5 * math.pi / _PUSH_S
        f = 1.0 - _DIP_BW * np.sin(math.pi * dip) ** 2 - push**_FALL
        f = f + bulge * np.sin(math.pi * push)
        f = f * self.weight_n + self._waver(now) * np.where(since < 0.0, 1.0, 0.0)
        y = self._standing_y() + push * (self.feet.ball_y_mm - self._standing_y())
        force[where] += f
        mx[where] += f * self._sway[0].at(now)
        my[where] += f * (y + self._sway[1].at(now))

    def _land(
        self, time_s: Array, where: Flags, landing: _Landing, force: Array, mx: Array, my: Array
    ) -> None:
        jump, now = landing.jump, time_s[where]
        swing = 2.0 * math.pi * _SWING_HZ
        missing_s = jump.settle_s / (1.0 + (swing * jump.settle_s) ** 2)  # ∫ of exp(-t/s)·cos
        impulse_s = jump.speed_m_s / STANDARD_GRAVITY + missing_s
        feet = (
            (landing.left_s, self.feet.left_x_mm, 1.0 - jump.right_share),
            (landing.right_s, self.feet.right_x_mm, jump.right_share),
        )
        for begin_s, x_mm, share in feet:
            since = now - begin_s
            down = since >= 0.0
            t = np.where(down, since, 0.0)
            pulses = (
                (0.0, jump.ball_s, self.feet.ball_y_mm),
                (jump.heel_after_s, jump.heel_s, self.feet.heel_y_mm),
                (0.0, _KNEE_S, self._standing_y()),
            )
            settled = 1.0 - np.exp(-t / jump.settle_s) * np.cos(swing * t)
            parts = [(settled, self._standing_y())]
            for (after_s, lasts_s, y_mm), part in zip(pulses, _SHARES, strict=True):
                height = part * impulse_s * 0.5 * math.pi / lasts_s
                u = np.clip((t - after_s) / lasts_s, 0.0, 1.0)
                parts.append((height * np.sin(math.pi * u), y_mm))
            for bw, y_mm in parts:
                f = np.where(down, share * self.weight_n * bw, 0.0)
                force[where] += f
                mx[where] += f * x_mm
                my[where] += f * y_mm
        since = now - min(landing.left_s, landing.right_s)
        grown = 1.0 - np.exp(-((since / 0.15) ** 2))  # nothing of it while the feet touch down
        stray = grown * jump.stray_mm * np.exp(-since / jump.stray_s)
        turn = 2.0 * math.pi * _STRAY_HZ * since
        mx[where] += force[where] * (grown * self._sway[0].at(now) + stray * np.cos(turn))
        my[where] += force[where] * (grown * self._sway[1].at(now) + stray * np.sin(turn))
        force[where] += grown * self._waver(now)

    def _standing_y(self) -> float:
        return self.athlete.y_at_toe_share_mm(_STANDING_TOES_PERCENT, HEEL_LINE_MM)

    def _waver(self, time_s: Array) -> Array:
        waver: Array = self.weight_n * _WAVER * np.sin(2.0 * math.pi * 1.1 * time_s)
        return waver


class _Sway:
    """Quiet sway of one side as a sum of sines, slower ones larger: a function of time."""

    def __init__(self, rng: np.random.Generator) -> None:
        self._hz = rng.uniform(0.1, 2.0, 15)
        size = 1.0 / self._hz
        self._mm = _SWAY_MM * size * math.sqrt(2.0 / float((size**2).sum()))
        self._phase = rng.uniform(0.0, 2.0 * math.pi, 15)

    def at(self, time_s: Array) -> Array:
        turns = 2.0 * math.pi * np.multiply.outer(time_s, self._hz) + self._phase
        swayed: Array = np.sin(turns) @ self._mm
        return swayed
