"""Somebody who plays tray: skill is a quiet stance, that stays so while the head is busy."""

from __future__ import annotations

import math
from random import Random
from typing import Final

from swaytrainer.players import steered
from swaytrainer.players.steered import Wish
from swaytrainer.training.level import Level
from swaytrainer.training.outcome import Outcome
from swaytrainer.training.tasks.tray import Order, TrayScene, Turn
from swaytrainer.training.trial import Trial

LEVEL: Final = steered.level_of("tray-kitchen")
CHEATS: Final = (
    "sways alone",  # lively on purpose while alone, so that busy looks no worse
    "sways a little",  # the same by just as much as being busy adds
    "ignores",  # does not count, and guesses
    "no answer",  # does not count, and does not lean either
    "rail",  # a hand on a rail while busy
    "corner",  # leans on one foot all the time
    "stepping",  # off the board and on again while busy
    "light",  # a very light body
)
HOME: Final = Wish(50.0, 40.0)
REACTION_S: Final = 0.5
ROUGH: Final = {"firm": 1.0, "foam": 2.3, "dome": 3.0}


class Player:
    """Counts, sways and leans."""

    def __init__(self, skill: float, seed: int, cheat: str | None, ball: bool = False) -> None:
        self._rng = Random(f"tray {seed}")
        self._clumsy = 1.0 - skill
        self._cheat = cheat
        self._busy = 1.08 + 0.9 * self._clumsy * self._rng.uniform(0.8, 1.2)
        if ball:
            self._busy *= 1.7 + 0.4 * self._clumsy  # arms that throw move the weight too
        self._heard: list[str] = []
        self._called = ""
        self._turn = Turn.ALONE
        self._since_s = 0.0
        self._lean = HOME

    def steer(self, trial: Trial, now_s: float) -> Wish:
        """What the player wants now."""
        assert trial.task is not None
        scene = trial.task.scene
        assert isinstance(scene, TrayScene)
        if scene.turn is not self._turn:
            self._turn, self._since_s = scene.turn, now_s
            if scene.turn is Turn.ASK:
                self._lean = self._answer()
        if scene.called and scene.called != self._called:
            self._hear(scene.called)
        self._called = scene.called
        wish = self._stand(scene, now_s - self._since_s)
        return wish._replace(right_percent=88.0) if self._cheat == "corner" else wish

    def _hear(self, word: str) -> None:
        """A call may be missed, or taken for the other."""
        slip = self._rng.random()
        if slip >= 0.004 + 0.08 * self._clumsy:
            self._heard.append(word)

    def _answer(self) -> Wish:
        cups, cakes = self._heard.count("cup"), self._heard.count("cake")
        self._heard = []
        guess, luck = self._rng.choice(list(Order)), self._rng.random()
        said = Order.CUP if cups > cakes else Order.CAKE if cakes > cups else Order.SAME
        # Told one more or less than there were, a careful counter says what comes nearest.
        if abs(cups - cakes) == 1 and luck < 0.5:
            said = Order.SAME
        if self._cheat == "ignores" or luck > 0.99 - 0.1 * self._clumsy:
            said = guess
        if self._cheat == "no answer" or said is Order.SAME:
            return HOME
        return HOME._replace(right_percent=65.0 if said is Order.CUP else 35.0)

    def _stand(self, scene: TrayScene, since_s: float) -> Wish:
        if scene.turn is Turn.ASK:
            return self._lean if since_s >= REACTION_S else HOME
        if scene.turn is Turn.ALONE:
            sway = {"sways alone": 2.5, "sways a little": self._busy}.get(self._cheat or "", 1.0)
            return HOME._replace(sway=sway)
        wish = HOME._replace(sway=self._busy)
        if self._cheat in ("ignores", "no answer"):
            wish = HOME
        if self._cheat == "rail":
            wish = HOME._replace(force=0.91, sway=0.4)
        if self._cheat == "stepping" and math.fmod(since_s, 6.0) > 5.2:
            wish = wish._replace(force=0.0)
        return wish


def outcome(
    skill: float,
    seed: int,
    cheat: str | None = None,
    level: Level = LEVEL,
    watch: steered.Watch | None = None,
) -> Outcome:
    """The outcome of one trial."""
    return steered.run(
        level,
        Player(skill, seed, cheat, dict(level.task)["calls"] == 0).steer,
        seed,
        rms_mm=(1.7 + 2.0 * (1.0 - skill)) * ROUGH[level.base],
        stood=HOME,
        weight_n=120.0 if cheat == "light" else steered.WEIGHT_N,
        watch=watch,
    )


def play(skill: float, seed: int, cheat: str | None = None) -> float:
    """The mark through the real trial; 0 where it does not count."""
    return steered.mark_of(outcome(skill, seed, cheat))
