"""A vaulter who plays Grooming: leads the brush to the nearest dust, at a pace of her own."""

from __future__ import annotations

import math
import random

from swaytrainer.players.weight import (
    BASE_GAIN,
    BOARD_NOISE_MM,
    BODY_N,
    FEET,
    LOOKS_EVERY,
    MIDDLE_X_MM,
    STEP_S,
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
from swaytrainer.training.tasks.grooming import GroomingScene
from swaytrainer.training.trial import Trial

LEVELS = {level.id: level for level in shipped_levels() if level.game == "grooming"}
LEVEL = LEVELS["grooming-cob"]
CHEATS = (
    "standing still",
    "whirling",
    "foot to foot",
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
        self._given = dict(level.task)
        self._closed = level.eyes == "closed"
        gain = BASE_GAIN[level.base] * between(1.6, 0.6, skill)
        side = SWAYS_LESS if cheat == "wide stance" else 1.0
        gain *= {"hand on the rail": 0.6}.get(cheat or "", 1.0)
        lag_s = 0.12 * (1.2 if cheat == "heavy prop" else 1.0)
        self._side = Weight(rng, MIDDLE_X_MM, lag_s, 1.9 * gain * side, 0.4 * gain * side)
        self._forward = Weight(rng, FEET.heel_y_mm + 45.0 * Y_MM, lag_s, 3.6 * gain, 0.7 * gain)
        # How far she dares to lean, in the load that is moved; with a hand on the rail farther.
        dare = between(0.42, 1.05, skill) * (1 + 0.08 * rng.gauss(0, 1))
        dare *= 1.15 if cheat == "hand on the rail" else 1.0
        self._reach = (34.0 * dare, 38.0 * dare, 32.0 * dare)
        # mm/s; the hasty do not wait for the brush.
        self._pace = between(44.0, 19.0, skill) * (1 + 0.08 * rng.gauss(0, 1))
        self._miss = between(9.0, 1.0, skill)
        self._haste = between(0.5, 0.0, skill)
        self._bursts = between(0.6, 0.02, skill)
        self._rng = random.Random(seed + 1)
        self._board = random.Random(seed + 2)
        self._at = [0.0, 45.0]  # side, toes
        self._off = (0.0, 0.0)
        self._goal: int | None = None
        self._burst_until_s = -math.inf
        self._count = 0
        self._began_s = math.nan

    def sample(self, time_s: float, trial: Trial) -> tuple[float, float, float]:
        """See ``weight.Body``."""
        cheat = self._cheat
        body_n = BODY_N * {"light body": 0.4, "heavy prop": 1.25}.get(cheat or "", 1.0)
        if self._count % LOOKS_EVERY == 0 and trial.task is not None:
            self._look(trial.task.scene, time_s)
        self._count += 1
        elapsed = time_s - self._began_s  # NaN before it begins
        calm = 1.0
        side, toes = self._at
        if elapsed > 0.0:
            if cheat == "whirling":
                spread = 0.2 + 0.8 * (elapsed / self._level.seconds)
                turn = math.tau * 1.2 * elapsed
                side = spread * self._given["side_percent"] * math.sin(turn)
                toes = 45.0 + spread * self._given["front_percent"] * math.cos(turn)
            elif cheat == "foot to foot":
                side = 48.0 * math.sin(math.tau * 0.25 * elapsed)
                toes = 45.0 + 25.0 * math.sin(math.tau * elapsed / 17.0)
            elif cheat == "hand on the rail":
                body_n *= 0.94 + 0.02 * math.sin(1.3 * elapsed)
            elif cheat == "last breath":
                calm = 0.4 if elapsed > self._level.seconds - 5.0 else 1.5
            elif cheat == "off and on" and elapsed % 12.0 < 1.0:
                return 0.0, math.nan, math.nan
        x = self._side.step(MIDDLE_X_MM + X_MM * side, calm)
        y = self._forward.step(FEET.heel_y_mm + Y_MM * toes, calm)
        if cheat == "light body":
            x += self._board.gauss(0, BOARD_NOISE_MM)
            y += self._board.gauss(0, BOARD_NOISE_MM)
        return body_n, x, y

    def _look(self, scene: object, time_s: float) -> None:
        assert isinstance(scene, GroomingScene)
        if math.isnan(self._began_s):
            self._began_s = time_s
        if self._cheat == "standing still":
            return
        if self._goal is None or scene.rubbed[self._goal] >= 1.0:
            self._goal = self._choose(scene)
            self._aim()
        if self._goal is None:
            return
        if time_s > self._burst_until_s and self._rng.random() < self._bursts * 0.05:
            self._burst_until_s = time_s + 0.8
        pace = 2.2 * self._pace if time_s < self._burst_until_s else self._pace
        if scene.touch == "fast":
            pace *= 0.75
        if self._cheat == "heavy prop":
            pace *= 0.95
        if self._level.base != "firm":
            pace *= 1.5
        step_mm = pace * LOOKS_EVERY * STEP_S
        dx, dy = (
            (want - have) * scale + off
            for want, have, scale, off in zip(
                self._place(scene, self._goal), self._at, (X_MM, Y_MM), self._off, strict=True
            )
        )
        far = math.hypot(dx, dy)
        share = min(step_mm / far, 1.0) if far > 0.0 else 0.0
        if far <= step_mm:
            # There: the hasty are off again at once, to anywhere; the others aim anew.
            if self._rng.random() < self._haste:
                self._goal = self._rng.randrange(len(scene.cells))
            self._aim()
        self._at = [self._at[0] + share * dx / X_MM, self._at[1] + share * dy / Y_MM]

    def _aim(self) -> None:
        self._off = (self._miss * self._rng.gauss(0, 1), self._miss * self._rng.gauss(0, 1))

    def _place(self, scene: GroomingScene, cell: int) -> tuple[float, float]:
        """Side and toe share of a cell, as far as she dares."""
        u, v = scene.cells[cell]
        side, front, back = self._reach
        if self._cheat == "wide stance":
            side *= WIDER
        forward = v * self._given["front_percent" if v > 0 else "back_percent"]
        return (
            min(max(u * self._given["side_percent"], -side), side),
            45.0 + min(max(forward, -back), front),
        )

    def _choose(self, scene: GroomingScene) -> int | None:
        """The nearest dusty cell that she dares to go to; a row at a time where it is as near."""
        best, least = None, math.inf
        for k, rub in enumerate(scene.rubbed):
            if rub >= 1.0:
                continue
            side, toes = self._place(scene, k)
            u, v = scene.cells[k]
            forward = v * self._given["front_percent" if v > 0 else "back_percent"]
            out = math.hypot(
                (u * self._given["side_percent"] - side) * X_MM, (45.0 + forward - toes) * Y_MM
            )
            if out > 0.8 * 0.01 * self._given["brush_percent"] * 100.0 * Y_MM:
                continue
            far = math.hypot((side - self._at[0]) * X_MM, 1.5 * (toes - self._at[1]) * Y_MM)
            if self._closed:
                far *= 0.5 + self._rng.random()
            if far < least:
                best, least = k, far
        return best


def play_level(level: Level, skill: float, seed: int, cheat: str | None = None) -> float:
    """The mark at this level."""
    return play_trial(level, Player(level, skill, seed, cheat), seed, usual_n=usual_n(cheat)).mark


def play(skill: float, seed: int, cheat: str | None = None) -> float:
    """The mark at ``LEVEL``."""
    return play_level(LEVEL, skill, seed, cheat)
