"""Somebody who stands for four strides: ``simulate``'s standing body, more or less calm."""

from __future__ import annotations

import math
from random import Random

from swaytrainer.players import ribbon_barrel
from swaytrainer.players.canter_visits import FEET, RATE_HZ, Press, Watch, mark_of, visit
from swaytrainer.simulate.athlete import JUNIOR
from swaytrainer.simulate.body import Eyes, Ground, Manner, StandingBody
from swaytrainer.training.level import Level
from swaytrainer.training.level_file import shipped_levels
from swaytrainer.training.outcome import Outcome

LEVEL = next(level for level in shipped_levels() if level.id == "four-strides-hall")
CHEATS = ("rail", "wide", "stepping", "corner", "light", "prop", "breath")


class Stander:
    """A body for ``canter_visits.visit``."""

    def __init__(self, skill: float, seed: int, cheat: str | None, level: Level) -> None:
        rng = Random(seed)
        clumsy = 1.0 - skill
        gain = 0.75 + 2.0 * clumsy
        self.cheat = cheat
        self.sway = {"rail": 0.5, "light": 1.1}.get(cheat or "", 1.0)
        self.seconds = level.seconds
        toes = 42.0 + rng.gauss(0.0, 1.5 + 13.0 * clumsy)
        side = rng.gauss(0.0, 1.5 + 8.0 * clumsy)
        if cheat == "corner":
            toes, side = 72.0, 22.0
        self.y_mm = FEET.heel_y_mm + 0.01 * toes * (FEET.ball_y_mm - FEET.heel_y_mm)
        apart = 1.5 if cheat == "wide" else 1.0
        self.x_mm = 0.01 * side * apart * (FEET.right_x_mm - FEET.left_x_mm)
        soft = level.base not in ("firm", "still barrel")
        self.body = StandingBody(
            JUNIOR,
            ground=Ground.COMPLIANT if soft else Ground.FIRM,
            eyes=Eyes.CLOSED if level.eyes == "closed" else Eyes.OPEN,
            manner=Manner("some", sway_gain=gain, drift_gain=gain),
            seed=seed,
        )
        states = [self.body.step(1.0 / RATE_HZ) for _ in range(80)]
        self.mean_x = math.fsum(s.x_mm for s in states) / len(states)
        self.mean_y = math.fsum(s.y_mm for s in states) / len(states)
        self.weight_n = JUNIOR.mass_kg * 9.80665

    def __call__(self, elapsed_s: float, words: tuple[str, ...]) -> Press:
        """Force and COP of the next sample."""
        del words
        state = self.body.step(1.0 / RATE_HZ)
        across = 0.6 if self.cheat == "wide" else 1.0
        x = self.x_mm + across * self.sway * (state.x_mm - self.mean_x)
        y = self.y_mm + self.sway * (state.y_mm - self.mean_y)
        weights = state.force_n / self.weight_n
        if self.cheat == "breath":
            weights = 1.0 if elapsed_s > self.seconds - 4.0 else weights
        if self.cheat == "rail" and elapsed_s > 0.0:
            weights -= 0.05
        if self.cheat == "stepping" and 0.0 <= elapsed_s - 0.5 * self.seconds < 0.8:
            return Press(0.0, 0.0, 0.0)
        return Press(weights, x, y)


def outcome(
    skill: float,
    seed: int,
    cheat: str | None = None,
    level: Level = LEVEL,
    watch: Watch | None = None,
) -> Outcome:
    """The outcome of one trial."""
    if level.base == "moving barrel":
        return ribbon_barrel.outcome(skill, seed, cheat, level, watch)
    weight_n = {"light": 200.0, "prop": 600.0}.get(cheat or "", 450.0)
    # Earlier days tell the weight; nobody has another body, so of a light one nothing is known.
    known_n = None if cheat == "light" else 450.0
    return visit(level, Stander(skill, seed, cheat, level), weight_n, watch, known_n)


def play(skill: float, seed: int, cheat: str | None = None) -> float:
    """The mark of one trial."""
    return mark_of(outcome(skill, seed, cheat))
