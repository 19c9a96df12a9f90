"""Somebody who hears a canter and makes the movement that would swallow it.

An oscillator that corrects itself at each first beat moves the body; skill makes it more regular,
rounder, of the right size, and the weight more even. Demonstration only: the figures are ours.
"""

from __future__ import annotations

import math
from random import Random

from swaytrainer.players.canter_visits import FEET, RATE_HZ, Press, Watch, mark_of, visit
from swaytrainer.training.level import Level
from swaytrainer.training.level_file import shipped_levels
from swaytrainer.training.outcome import Outcome
from swaytrainer.training.tasks.ribbon import FIELDS

LEVEL = next(level for level in shipped_levels() if level.id == "ribbon-longer")
CHEATS = (
    "stiff", "rail", "wide", "stepping", "corner", "light", "prop", "breath", "own tempo",
    "hopping", "heel drumming",
)  # fmt: skip
_TURN = 2.0 * math.pi
_ROOT2 = math.sqrt(2.0)


class Rider:
    """A body that hears; see ``canter_visits.Body``."""

    def __init__(self, skill: float, seed: int, cheat: str | None, level: Level) -> None:
        given = dict(level.task)
        self.cheat = cheat
        self.seconds = level.seconds
        self.rng = Random(seed)
        gauss = self.rng.gauss
        clumsy = 1.0 - skill
        self.swing = 0.01 * given.get("swing_percent", FIELDS["swing_percent"].usual)
        self.period_s = 1.0 / given.get("cadence_hz", FIELDS["cadence_hz"].usual)
        self.timing_s = 0.012 + 0.1 * clumsy
        self.follows = 0.3 + 0.3 * skill
        self.size = 1.15 + clumsy * self.rng.choice((-0.55, 0.9))
        self.sizes = 0.05 + 0.3 * clumsy
        self.second = 0.08 + 0.5 * clumsy
        self.jitter = self.swing * (0.1 + 0.4 * clumsy)
        self.lag_s = gauss(0.06, 0.03)
        self.toes = 42.0 + gauss(0.0, 1.5 + 14.0 * clumsy)
        self.side = gauss(0.0, 1.5 + 8.0 * clumsy)
        self.sway_mm = 2.5 + 3.5 * clumsy
        self.turn = 0.0  # strides
        self.pace = 1.0
        self.amplitude = self.size
        self.noise = [0.0, 0.0, 0.0]
        if cheat == "corner":
            self.toes, self.side = 70.0, 22.0
        if cheat == "own tempo":
            self.period_s *= 0.9
        if cheat == "light":
            self.jitter *= 1.5

    def __call__(self, elapsed_s: float, words: tuple[str, ...]) -> Press:
        """Force and COP of the next sample."""
        gauss = self.rng.gauss
        dt = 1.0 / RATE_HZ
        for k, slow_s in enumerate((0.03, 0.35, 0.35)):
            keep = math.exp(-dt / slow_s)
            self.noise[k] = keep * self.noise[k] + math.sqrt(1.0 - keep * keep) * gauss(0.0, 1.0)
        share = 0.01 * self.toes
        y = (
            FEET.heel_y_mm
            + share * (FEET.ball_y_mm - FEET.heel_y_mm)
            + self.sway_mm * self.noise[1]
        )
        # The same shift of weight moves the COP further between feet that stand further apart.
        apart, sways = (1.5, 0.6) if self.cheat == "wide" else (1.0, 1.0)
        x = 0.01 * self.side * apart * (FEET.right_x_mm - FEET.left_x_mm)
        x += sways * self.sway_mm * self.noise[2]
        if elapsed_s < 0.0:
            return Press(1.0 + 0.003 * self.noise[0], x, y)
        before = self.turn
        self.turn += self.pace * dt / self.period_s
        if math.floor(self.turn) != math.floor(before):
            self.pace = 1.0 / max(1.0 + gauss(0.0, self.timing_s) / self.period_s, 0.4)
            self.amplitude = max(self.size * (1.0 + gauss(0.0, self.sizes)), 0.0)
        if "beat 1" in words and self.cheat != "own tempo":
            # The beat ought to fall on a whole turn of the body's own.
            off = (self.turn + 0.5) % 1.0 - 0.5
            self.turn -= self.follows * off
        angle = _TURN * (self.turn - self.lag_s / self.period_s)
        wave = math.cos(angle) + self.second * math.cos(2.0 * angle + 1.0)
        ripple = _ROOT2 * self.swing * self.amplitude * wave + self.jitter * self.noise[0]
        if self.cheat == "stiff":
            ripple = 0.004 * self.noise[0]
        if self.cheat == "hopping":
            ripple = max(3.0 * _ROOT2 * self.swing * wave, -1.0) + self.jitter * self.noise[0]
        if self.cheat == "heel drumming":
            strike = max(math.cos(angle), 0.0) ** 8
            ripple = 3.0 * self.swing * (strike - 0.273) + self.jitter * self.noise[0]
        weights = 1.0 + ripple
        if self.cheat == "rail":
            weights = 0.93 + 0.8 * ripple
        if self.cheat == "stepping" and 0.0 <= elapsed_s - 0.5 * self.seconds < 1.0:
            return Press(0.0, 0.0, 0.0)
        return Press(max(weights, 0.0), x, y)


def outcome(
    skill: float,
    seed: int,
    cheat: str | None = None,
    level: Level = LEVEL,
    watch: Watch | None = None,
) -> Outcome:
    """The outcome of one trial."""
    weight_n = {"light": 200.0, "prop": 620.0}.get(cheat or "", 450.0)
    # Earlier days tell the weight; nobody has another body, so of a light one nothing is known.
    known_n = None if cheat == "light" else 450.0
    return visit(level, Rider(skill, seed, cheat, level), weight_n, watch, known_n)


def play(skill: float, seed: int, cheat: str | None = None) -> float:
    """The mark of one trial."""
    return mark_of(outcome(skill, seed, cheat))
