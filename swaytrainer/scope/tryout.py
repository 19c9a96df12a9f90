"""How many simulated vaulters would pass a level: a feeling for a number that is being changed.

Ten invented vaulters of four sizes, more and less calm and even, stand one trial each. They are
``simulate``'s standing bodies and no people: how much they differ is our own guess. They only
stand, so they are asked where standing is the whole game; and the body knows firm ground and foam.
"""

from __future__ import annotations

import math
from random import Random
from typing import Final, NamedTuple

from swaytrainer.simulate.athlete import ATHLETES, HEEL_LINE_MM
from swaytrainer.simulate.body import Eyes, Ground, Manner, StandingBody
from swaytrainer.sitting.live_cop import CUTOFF_HZ, LIVE_FILTER
from swaytrainer.sway.butterworth import CausalLowpass
from swaytrainer.sway.cop import NAN, CopSample
from swaytrainer.sway.feet import Feet
from swaytrainer.training.happening import Phase
from swaytrainer.training.level import CALM_BASES, Level
from swaytrainer.training.tasks.catalogue import KINDS
from swaytrainer.training.trial import Trial

VAULTERS: Final = 10
RATE_HZ: Final = 80.0
#: Spread of sway (of its logarithm) and of the toe share between the invented vaulters: a guess.
_SWAY_SPREAD: Final = 0.35
_TOES_PERCENT: Final = 42.0
_TOES_SPREAD_PERCENT: Final = 7.0
_LEAD_S: Final = 60.0


class Tried(NamedTuple):
    """How many passed, of how many; or in ``reason`` why nobody was asked."""

    passed: int
    of: int
    marks: tuple[float, ...]
    reason: str = ""

    def told(self) -> str:
        """In a sentence."""
        if self.reason:
            return self.reason
        shown = ", ".join(f"{mark:.1f}" for mark in sorted(self.marks))
        return (
            f"About {self.passed} of {self.of} simulated vaulters would pass (marks {shown})."
            " They are no people."
        )


def try_level(level: Level, seed: int = 1) -> Tried:
    """Let the invented vaulters stand one trial each."""
    if KINDS[level.game].make is not None:
        return Tried(0, 0, (), "Nobody is simulated for this game yet: try it on the simulator.")
    if level.base not in CALM_BASES or level.stance != "two feet":
        why = "The simulated vaulters stand on both feet, on firm ground or foam only."
        return Tried(0, 0, (), why)
    marks = tuple(_mark(level, n, seed) for n in range(VAULTERS))
    return Tried(sum(mark >= level.pass_mark for mark in marks), VAULTERS, marks)


def _mark(level: Level, number: int, seed: int) -> float:
    """One vaulter's mark; 0 where the trial does not count."""
    rng = Random(f"{seed} {number}")
    athlete = ATHLETES[number % len(ATHLETES)]
    gain = math.exp(rng.gauss(0.0, _SWAY_SPREAD))
    toes = rng.gauss(_TOES_PERCENT, _TOES_SPREAD_PERCENT)
    body = StandingBody(
        athlete,
        Ground.FIRM if level.base == "firm" else Ground.COMPLIANT,
        Eyes.CLOSED if level.eyes == "closed" else Eyes.OPEN,
        Manner("one of ten", toe_share_percent=toes, sway_gain=gain, drift_gain=gain),
        seed + number,
    )
    feet = Feet.from_length(athlete.foot_length_mm, athlete.stance_width_mm, HEEL_LINE_MM)
    trial = Trial(level, feet, RATE_HZ, LIVE_FILTER)
    low_x, low_y = CausalLowpass(CUTOFF_HZ, RATE_HZ), CausalLowpass(CUTOFF_HZ, RATE_HZ)
    empty = round(0.5 * RATE_HZ)
    for n in range(round((_LEAD_S + level.seconds) * RATE_HZ)):
        if n < empty:
            sample = CopSample(n / RATE_HZ, 0.0, NAN, NAN, 0.0)
        else:
            state = body.step(1.0 / RATE_HZ)
            x, y = low_x.update(state.x_mm), low_y.update(state.y_mm)
            sample = CopSample(n / RATE_HZ, state.force_n, x, y, 0.0)
        trial.update(sample)
        if trial.phase is Phase.SETTLING:
            trial.skip()
        outcome = trial.outcome
        if outcome is not None:
            return outcome.mark if outcome.counts and outcome.mark is not None else 0.0
    return 0.0
