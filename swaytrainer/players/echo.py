"""Somebody who plays echo: skill is how well a place is kept in mind, and a quiet stance."""

from __future__ import annotations

from random import Random
from typing import Final

from swaytrainer.players import steered
from swaytrainer.players.steered import Wish
from swaytrainer.training.level import Level
from swaytrainer.training.outcome import Outcome
from swaytrainer.training.tasks.echo import EchoScene, Part
from swaytrainer.training.trial import Trial

LEVEL: Final = steered.level_of("echo-cave")
CHEATS: Final = (
    "stays",  # never leaves the moth, to be there already
    "perches",  # never leaves home
    "corner",  # leans on a corner all the time
    "skips",  # does not look for the moth, to have less to remember
    "one side",  # always flies forward, whatever was felt
    "rail",  # a hand on a rail while it looks in the dark, and so remembers better
    "stepping",  # off the board and on again instead of going home
    "light",  # a very light body
)
HOME: Final = Wish(50.0, 40.0)
#: After a change it takes so long until the body is told.
REACTION_S: Final = 0.3


class Player:
    """Keeps what it felt, and how wrong it will be about it."""

    def __init__(self, skill: float, seed: int, cheat: str | None) -> None:
        self._rng = Random(f"echo {seed}")
        self._clumsy = 1.0 - skill
        self._cheat = cheat
        self._part = Part.START
        self._changed_s = 0.0
        self._aim = HOME
        self._toward = HOME
        self._number = 0

    def steer(self, trial: Trial, now_s: float) -> Wish:
        """What the player wants now."""
        assert trial.task is not None
        scene = trial.task.scene
        assert isinstance(scene, EchoScene)
        if scene.part is not self._part or scene.number != self._number:
            self._part, self._number, self._changed_s = scene.part, scene.number, now_s
            self._aim = self._plan(scene)
        if now_s - self._changed_s >= REACTION_S:
            self._toward = self._aim
        wish = self._toward
        if self._cheat == "corner":
            wish = Wish(72.0, 75.0)
        if self._cheat == "rail" and scene.part is Part.RECALL:
            wish = wish._replace(force=0.91, sway=0.5)
        if self._cheat == "stepping" and scene.part is Part.HOME and scene.number % 2:
            off = 0.4 < now_s - self._changed_s < 1.0
            wish = wish._replace(force=0.0 if off else 1.0)
        return wish

    def _plan(self, scene: EchoScene) -> Wish:
        """Where to lean in this part."""
        if scene.part is Part.START:
            return HOME
        target = Wish(*scene.target)
        # Drawn in every round alike, so that a cheat meets the same luck as the honest player.
        if scene.part is Part.RECALL:
            luck = [self._rng.gauss(0.0, 1.0) for _ in range(3)]
            off = 1.2 + 8.0 * self._clumsy
            if self._cheat == "rail":
                off *= 0.5
            share = 1.0 - 0.3 * self._clumsy + 0.12 * self._clumsy * luck[2]
            right = HOME.right_percent + share * (target.right_percent - HOME.right_percent)
            toe = HOME.toe_percent + share * (target.toe_percent - HOME.toe_percent)
            aim = Wish(right + 0.7 * off * luck[0], toe + 0.7 * off * luck[1])
            if self._cheat == "stays":
                return target
            if self._cheat == "perches":
                return HOME
            if self._cheat == "one side":
                return Wish(50.0, HOME.toe_percent + 14.0)
            return aim
        if scene.part is Part.FEEL:
            return HOME if self._cheat == "skips" else target
        if scene.part is Part.HOME:
            return target if self._cheat == "stays" else HOME
        return self._aim


def outcome(
    skill: float,
    seed: int,
    cheat: str | None = None,
    level: Level = LEVEL,
    watch: steered.Watch | None = None,
) -> Outcome:
    """The outcome of one trial."""
    player = Player(skill, seed, cheat)
    foam = 1.6 if level.base != "firm" else 1.0
    closed = 1.3 if level.eyes == "closed" else 1.0
    return steered.run(
        level,
        player.steer,
        seed,
        rms_mm=(1.6 + 2.6 * (1.0 - skill)) * foam * closed,
        stood=HOME,
        weight_n=120.0 if cheat == "light" else steered.WEIGHT_N,
        watch=watch,
    )


def play(skill: float, seed: int, cheat: str | None = None) -> float:
    """The mark through the real trial; 0 where it does not count."""
    return steered.mark_of(outcome(skill, seed, cheat))
