"""A vaulter who plays Picnic: sees the plate and rolls the apple after it."""

from __future__ import annotations

import math
import random
from collections import deque

from swaytrainer.players.weight import (
    BASE_GAIN,
    BOARD_NOISE_MM,
    BODY_N,
    FEET,
    LOOKS_EVERY,
    MIDDLE_X_MM,
    RATE_HZ,
    SWAYS_LESS,
    WIDER,
    X_MM,
    Y_MM,
    Weight,
    between,
    play_trial,
    usual_n,
)
from swaytrainer.training.level import Level
from swaytrainer.training.level_file import shipped_levels
from swaytrainer.training.tasks.picnic import PicnicScene
from swaytrainer.training.trial import Trial

LEVELS = {level.id: level for level in shipped_levels() if level.game == "picnic"}
LEVEL = LEVELS["picnic-breeze"]
CHEATS = (
    "standing through",
    "on a corner",
    "between two sides",
    "circling",
    "wide stance",
    "hand on the rail",
    "off and on",
    "light body",
    "heavy prop",
    "last breath",
)


class Player:
    """See the module. Skill 0 to 1."""

    def __init__(self, level: Level, skill: float, seed: int, cheat: str | None = None) -> None:
        rng = random.Random(seed)
        self._cheat = cheat
        self._level = level
        self._even = dict(level.task)["toes_percent"]
        gain = BASE_GAIN[level.base] * between(1.7, 0.6, skill)
        side, wide = (SWAYS_LESS, WIDER) if cheat == "wide stance" else (1.0, 1.0)
        if cheat == "hand on the rail":
            gain *= 0.6
        lag_s = between(0.42, 0.13, skill) * (1.15 if cheat == "heavy prop" else 1.0)
        self._side = Weight(rng, MIDDLE_X_MM, lag_s, 1.9 * gain * side, 0.4 * gain * side)
        self._forward = Weight(rng, 0.0, lag_s, 3.6 * gain, 0.7 * gain)
        self._lean_side = wide * between(9.0, 1.0, skill) * rng.gauss(0, 1)
        self._lean_forward = between(12.0, 1.5, skill) * rng.gauss(0, 1)
        self._reach = between(0.45, 1.0, skill) + 0.06 * rng.gauss(0, 1)
        # It looks at every fourth picture.
        self._late = round(between(0.9, 0.25, skill) * RATE_HZ / LOOKS_EVERY)
        self._count = 0
        self._lost = between(0.4, 0.0, skill)
        self._rng = random.Random(seed + 1)
        self._seen: deque[tuple[float, float]] = deque(maxlen=self._late)
        self._wanted = (0.0, 0.0)
        self._wind: str | None = None
        self._follows = True
        self._off_until_s = -math.inf
        self._began_s = math.nan
        self._board = random.Random(seed + 2)

    def sample(self, time_s: float, trial: Trial) -> tuple[float, float, float]:
        """See ``weight.Body``."""
        body_n = BODY_N * {"light body": 0.4, "heavy prop": 1.25}.get(self._cheat or "", 1.0)
        calm = 1.0
        if self._count % LOOKS_EVERY == 0 and trial.task is not None:
            self._look(trial.task.scene, time_s)
        self._count += 1
        elapsed = time_s - self._began_s  # NaN before it begins
        if self._cheat == "circling" and elapsed > 0.0:
            lean = dict(self._level.task)["lean_percent"]
            self._wanted = (
                lean * math.sin(math.tau * elapsed),
                lean * math.cos(math.tau * elapsed),
            )
        elif self._cheat == "hand on the rail" and elapsed > 0.0:
            body_n *= 0.94 + 0.02 * math.sin(1.3 * elapsed)
        elif self._cheat == "last breath" and elapsed > 0.0:
            calm = 0.4 if elapsed > self._level.seconds - 5.0 else 1.5
        side, forward = self._wanted
        x = self._side.step(MIDDLE_X_MM + X_MM * (side + self._lean_side), calm)
        even_mm = FEET.heel_y_mm + Y_MM * (self._even + self._lean_forward + forward)
        y = self._forward.step(even_mm, calm)
        if self._cheat == "light body":
            x += self._board.gauss(0, BOARD_NOISE_MM)
            y += self._board.gauss(0, BOARD_NOISE_MM)
        if time_s < self._off_until_s:
            return 0.0, math.nan, math.nan
        return body_n, x, y

    def _look(self, scene: object, time_s: float) -> None:
        assert isinstance(scene, PicnicScene)
        if math.isnan(self._began_s):
            self._began_s = time_s
        self._notice(scene, time_s)
        side, forward = self._seen[0] if len(self._seen) == self._late else (0.0, 0.0)
        self._seen.append((scene.aim_side, scene.aim_forward) if self._follows else (0.0, 0.0))
        if self._cheat == "standing through":
            side = forward = 0.0
        off = {"on a corner": 15.0, "between two sides": 7.0}.get(self._cheat or "", 0.0)
        self._wanted = (self._reach * side + off, self._reach * forward + off)

    def _notice(self, scene: PicnicScene, time_s: float) -> None:
        if scene.wind == self._wind:
            return
        self._wind = scene.wind
        self._follows = self._rng.random() >= self._lost
        if self._cheat == "off and on":
            self._off_until_s = time_s + 1.0


def play_level(level: Level, skill: float, seed: int, cheat: str | None = None) -> float:
    """The mark at this level."""
    return play_trial(level, Player(level, skill, seed, cheat), seed, usual_n=usual_n(cheat)).mark


def play(skill: float, seed: int, cheat: str | None = None) -> float:
    """The mark at ``LEVEL``."""
    return play_level(LEVEL, skill, seed, cheat)
