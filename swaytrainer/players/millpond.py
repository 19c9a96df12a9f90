"""Plays the Millpond: the simulated body, calmer and nearer to the band's middle with skill."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from random import Random

from swaytrainer.players.trials import RATE_HZ, State, mark_of, play_trial
from swaytrainer.simulate.athlete import JUNIOR
from swaytrainer.simulate.body import ORDINARY, Eyes, Ground, StandingBody
from swaytrainer.sway.butterworth import CausalLowpass
from swaytrainer.sway.cop import NAN
from swaytrainer.sway.feet import Feet
from swaytrainer.training.level import Level
from swaytrainer.training.level_file import shipped_levels
from swaytrainer.training.trial import Trial

LEVEL = next(level for level in shipped_levels() if level.id == "millpond-open-water")
CHEATS = (
    "leaning on a corner",
    "stepping off and on",
    "hand on the rail",
    "very light",
    "heavy prop",
    "wide stance",
)
#: A stance half as wide again: ours, as in the other games; that side-to-side sway falls with the
#: width and fore-aft sway hardly, see ``tasks.millpond``.
WIDE_SWAYS_LESS = 0.6
#: Of the same height as the others: a child of half the weight sways less because it is shorter.
LIGHT = replace(JUNIOR, mass_kg=25.0)


def states(skill: float, seed: int, cheat: str | None, trial: Trial) -> Iterator[State]:
    """What the body does; at skill 0 restless and toe-heavy, at 1 calm and even."""
    rng = Random(f"millpond {seed}")
    athlete = LIGHT if cheat == "very light" else JUNIOR
    gain = 2.4 - 1.7 * skill
    manner = replace(
        ORDINARY,
        toe_share_percent=42.0 + (1.0 - skill) * rng.choice((-14.0, 14.0)),
        sway_gain=gain,
        drift_gain=gain,
    )
    ground = Ground.FIRM if trial.level.base == "firm" else Ground.COMPLIANT
    eyes = Eyes.CLOSED if trial.level.eyes == "closed" else Eyes.OPEN
    body = StandingBody(athlete, ground, eyes, manner, seed)
    low_x, low_y = CausalLowpass(10.0, RATE_HZ), CausalLowpass(10.0, RATE_HZ)
    count = round(trial.level.seconds * RATE_HZ) + 2
    for n in range(count):
        t = n / RATE_HZ
        s = body.step(1.0 / RATE_HZ)
        x, y, force = low_x.update(s.x_mm), low_y.update(s.y_mm), s.force_n
        if cheat == "leaning on a corner":
            x, y = 55.0 + 0.5 * x, 30.0 + 0.5 * y  # on one ball: stiffer, so it wanders less
        elif cheat == "stepping off and on" and 10.0 < t < 11.5:
            yield (0.0, NAN, NAN)
            continue
        elif cheat == "hand on the rail":
            x, y, force = 0.6 * x + 6.0, -25.0 + 0.6 * (y + 25.0), 0.93 * force
        elif cheat == "wide stance":
            x *= WIDE_SWAYS_LESS
        elif cheat == "heavy prop":
            force *= 1.25  # taken up after the countdown
        yield (force, x, y)


def play(skill: float, seed: int, cheat: str | None = None) -> float:
    """The mark at ``LEVEL``."""
    return play_level(LEVEL, skill, seed, cheat)


def play_level(level: Level, skill: float, seed: int, cheat: str | None = None) -> float:
    """The mark at this level; a dome, a disc and a barrel are as soft as foam to the player."""
    athlete = LIGHT if cheat == "very light" else JUNIOR
    feet = Feet.from_length(athlete.foot_length_mm, athlete.stance_width_mm, -120.0)
    outcome = play_trial(
        level,
        lambda trial: states(skill, seed, cheat, trial),
        athlete.mass_kg * 9.80665,
        feet,
    )
    return mark_of(outcome)
