"""Vaulters who *play*: they see the game as it is and move their weight, with a lag and with sway.

Nothing here says how people do it. Skill sets how soon, how far and how steadily they move; what
must hold is only that more of it earns more.
"""

from __future__ import annotations

import math
import random
from dataclasses import dataclass
from typing import Protocol

from swaytrainer.sway.cop import CopSample
from swaytrainer.sway.feet import Feet
from swaytrainer.training.happening import Event, Phase
from swaytrainer.training.level import Level
from swaytrainer.training.outcome import Outcome
from swaytrainer.training.trial import Trial

RATE_HZ = 80.0
STEP_S = 1.0 / RATE_HZ
FEET = Feet(-74.0, 46.0, -95.0, 95.0)
BODY_N = 450.0
#: Millimetres a percent of the load, across and along, and the middle between the feet.
X_MM = (FEET.right_x_mm - FEET.left_x_mm) / 100.0
Y_MM = (FEET.ball_y_mm - FEET.heel_y_mm) / 100.0
MIDDLE_X_MM = 0.5 * (FEET.left_x_mm + FEET.right_x_mm)
#: A player looks at the screen at every so many samples.
LOOKS_EVERY = 4
#: A stance so much wider than the known one: the same unevenness of load is so much longer in mm,
#: while sway from side to side is less (Day et al., J Physiol 1993;469:479-499, from memory).
WIDER, SWAYS_LESS = 1.3, 0.7

#: How much larger sway is than on firm ground: foam from medians of the open data (22.3 : 8.0 of
#: mean speed, see the levels), taken as two for size; the others are ours.
BASE_GAIN = {"firm": 1.0, "foam": 2.0, "dome": 2.2, "disc": 2.4, "still barrel": 2.4}


_SLOW_SHARE, _DRIFT_SHARE, _QUICK_SHARE = STEP_S / 1.4, STEP_S / 0.25, STEP_S / 0.15
_SLOW_DRIVE, _QUICK_DRIVE = (math.sqrt(24.0 * share) for share in (_SLOW_SHARE, _QUICK_SHARE))


#: White noise of so much at 80 Hz moves a COP by 1.25·√2·80·σ = 2 mm/s (the mean length of a normal
#: vector is 1.25 σ): several times the floor of a good board, as under a very light body.
BOARD_NOISE_MM = 0.015


def between(low: float, high: float, skill: float) -> float:
    """From ``low`` without skill to ``high`` with all of it."""
    return low + (high - low) * skill


class Weight:
    """One coordinate of the COP: follows its target by two equal lags, and sways.

    Args:
        rng: its own dice.
        lag_s: of each of the two.
        slow_mm, quick_mm: standard deviations of wander and of tremor.
    """

    def __init__(
        self, rng: random.Random, at_mm: float, lag_s: float, slow_mm: float, quick_mm: float
    ) -> None:
        self._random = rng.random
        self._first = self._second = at_mm
        self.lag_s = lag_s
        self.slow_mm, self.quick_mm = slow_mm, quick_mm
        self._slow = self._drift = rng.gauss(0.0, slow_mm)
        self._quick = [0.0, 0.0]

    def step(self, target_mm: float, calm: float = 1.0) -> float:
        """Go on by a sample; ``calm`` scales what sway is seen."""
        share = STEP_S / self.lag_s
        self._first += share * (target_mm - self._first)
        self._second += share * (self._first - self._second)
        # Ornstein-Uhlenbeck: x += -x·dt/τ + σ·√(2·dt/τ)·ξ; each goes through one more lag. ξ is
        # uniform of variance 1: hundreds are summed.
        roll = self._random
        self._slow += _SLOW_DRIVE * self.slow_mm * (roll() - 0.5) - _SLOW_SHARE * self._slow
        self._drift += _DRIFT_SHARE * (self._slow - self._drift)
        quick = self._quick
        quick[0] += _QUICK_DRIVE * self.quick_mm * (roll() - 0.5) - _QUICK_SHARE * quick[0]
        quick[1] += _QUICK_SHARE * (quick[0] - quick[1])
        return self._second + calm * (self._drift + quick[1])


class Body(Protocol):
    """What a player is asked for."""

    def sample(self, time_s: float, trial: Trial) -> tuple[float, float, float]:
        """Force (N) and COP (mm) now; NaN places off the board."""
        ...


@dataclass(frozen=True, slots=True)
class Played:
    """A whole trial: its end, what happened, and the mark (0 where it does not count)."""

    outcome: Outcome
    events: tuple[Event, ...]

    @property
    def mark(self) -> float:
        """As ``marks_table`` wants it."""
        return self.outcome.mark if self.outcome.counts and self.outcome.mark is not None else 0.0


def usual_n(cheat: str | None) -> float | None:
    """What earlier days tell of the weight; nobody has another body, so a light one is unknown."""
    return None if cheat == "light body" else BODY_N


def play_trial(
    level: Level, body: Body, seed: int, lesson: bool = False, usual_n: float | None = None
) -> Played:
    """Step on, stand, play, by the real ``Trial``; ``usual_n`` is what is known of the weight."""
    trial = Trial(level, FEET, RATE_HZ, "made", lesson, usual_n)
    events: list[Event] = []
    begin = 40 + seed % 997
    for n in range(begin, begin + 200 * round(RATE_HZ)):
        t = n * STEP_S
        if n < begin + 30:
            sample = CopSample(t, 0.0, math.nan, math.nan, 0.0)
        else:
            sample = CopSample(t, *body.sample(t, trial), 0.0)
        events += trial.update(sample)
        if trial.phase is Phase.RESULT:
            assert trial.outcome is not None
            return Played(trial.outcome, tuple(events))
    raise AssertionError(f"the trial never ended: {trial.phase}")
