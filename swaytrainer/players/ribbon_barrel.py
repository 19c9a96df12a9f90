"""Somebody on a barrel that is pushed: legs from stiff to supple, on ``simulate.riding``'s base."""

from __future__ import annotations

import math
from functools import lru_cache
from random import Random

from swaytrainer.players.canter_visits import FEET, RATE_HZ, Press, Watch, mark_of, visit
from swaytrainer.simulate.athlete import JUNIOR
from swaytrainer.simulate.riding import RIGID, Legs, MovingBase, ride
from swaytrainer.training.level import Level
from swaytrainer.training.level_file import shipped_levels
from swaytrainer.training.outcome import Outcome
from swaytrainer.training.tasks.ribbon import FIELDS

LEVEL = next(level for level in shipped_levels() if level.id == "ribbon-barrel")
CHEATS = ("stiff", "rail", "no push", "corner", "stepping")


def legs_of(skill: float, rng: Random) -> Legs:
    """Softer legs swallow more: unskilled ones resonate with the stride."""
    natural = 1.6 * (0.65 / 1.6) ** skill * math.exp(rng.gauss(0.0, 0.05))
    return Legs("some", natural, 0.3 + 0.2 * skill)


@lru_cache(maxsize=64)
def ridden(
    base: MovingBase, legs: Legs, seconds: float, seed: int
) -> tuple[list[float], list[float]]:
    """The force over the weight, less one, and the COP forward (mm) that the base drags along."""
    rode = ride(JUNIOR, base, legs, seconds, seed=seed, rate_hz=RATE_HZ, manner=None)
    loads = rode.loads_n.sum(axis=1)
    forward = rode.loads_n @ [1.0, 1.0, -1.0, -1.0] / loads * 170.0
    return (loads / (JUNIOR.mass_kg * 9.80665) - 1.0).tolist(), forward.tolist()


class Rider:
    """A body for ``canter_visits.visit``."""

    def __init__(self, skill: float, seed: int, cheat: str | None, level: Level) -> None:
        given = dict(level.task)
        rng = Random(seed)
        clumsy = 1.0 - skill
        self.cheat = cheat
        base = MovingBase(
            given.get("base_mm", FIELDS["base_mm"].usual) if cheat != "no push" else 0.0,
            given.get("cadence_hz", FIELDS["cadence_hz"].usual) * (1.0 + rng.gauss(0.0, 0.015)),
            irregular=0.06,
            uneven=0.1,
            harmonics=((0.04, 0.9),),
            rock_ap_mm=12.0,
            still_s=1.0,
        )
        legs = RIGID if cheat == "stiff" else legs_of(skill, rng)
        self.ripple, self.rock = ridden(base, legs, level.seconds + 1.0, seed)
        self.toes = 42.0 + rng.gauss(0.0, 1.5 + 12.0 * clumsy)
        self.side = rng.gauss(0.0, 1.5 + 8.0 * clumsy)
        if cheat == "corner":
            self.toes, self.side = 75.0, 22.0
        self.seconds = level.seconds

    def __call__(self, elapsed_s: float, words: tuple[str, ...]) -> Press:
        """Force and COP of the next sample."""
        del words
        y = FEET.heel_y_mm + 0.01 * self.toes * (FEET.ball_y_mm - FEET.heel_y_mm)
        x = 0.01 * self.side * (FEET.right_x_mm - FEET.left_x_mm)
        if elapsed_s < 0.0:
            return Press(1.0, x, y)
        n = min(round(elapsed_s * RATE_HZ), len(self.ripple) - 1)
        weights = 1.0 + self.ripple[n]
        if self.cheat == "rail":
            weights -= 0.07
        if self.cheat == "stepping" and 0.0 <= elapsed_s - 0.5 * self.seconds < 1.0:
            return Press(0.0, 0.0, 0.0)
        return Press(max(weights, 0.0), x, y + self.rock[n])


def outcome(
    skill: float,
    seed: int,
    cheat: str | None = None,
    level: Level = LEVEL,
    watch: Watch | None = None,
) -> Outcome:
    """The outcome of one trial."""
    return visit(level, Rider(skill, seed, cheat, level), JUNIOR.mass_kg * 9.80665, watch)


def play(skill: float, seed: int, cheat: str | None = None) -> float:
    """The mark of one trial."""
    return mark_of(outcome(skill, seed, cheat))
