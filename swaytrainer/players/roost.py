"""Somebody who plays the roost: skill is soft, level, together and soon still."""

from __future__ import annotations

from dataclasses import replace
from random import Random
from typing import Final

import numpy as np

from swaytrainer.players import visits
from swaytrainer.players.visits import RATE_HZ, Pressed
from swaytrainer.simulate.athlete import JUNIOR, Athlete
from swaytrainer.simulate.jumping import Jump, Jumping
from swaytrainer.training.level import Level
from swaytrainer.training.outcome import Outcome
from swaytrainer.training.tasks.roost import FIELDS

LEVEL: Final = visits.level_of("roost-low-branch")
CHEATS: Final = (
    "step",  # steps onto the board
    "one foot",  # one foot, and the other a moment later
    "corner",  # all on one foot
    "rail",  # a hand on a rail bears an eighth of the weight
    "spot",  # never gets off: hops on the spot
    "prop",  # holds 4 kg in the countdown and puts them down
    "once",  # lands once, well, and lets the rest be
    "away",  # lands and is off again before swaying shows
    "light",  # a very light body
)


def jump_of(rng: Random, skill: float, kneels: bool, stand_s: float) -> Jump:
    """One landing as this skill does it."""
    clumsy = 1.0 - skill
    hard = min(max(0.0, rng.gauss(clumsy, 0.06)), 1.0)
    return Jump(
        height_mm=(60.0 if kneels else 100.0) + 120.0 * hard,
        from_outside=not kneels,
        first_foot=rng.choice(("left", "right")),
        lag_s=min(max(0.0, rng.gauss(0.004 + 0.07 * clumsy, 0.003 + 0.02 * clumsy)), 0.19),
        right_share=min(max(rng.gauss(0.5, 0.01 + 0.15 * clumsy), 0.1), 0.9),
        ball_s=0.12 - 0.09 * hard,
        heel_s=0.16 - 0.12 * hard,
        heel_after_s=0.07 - 0.05 * hard,
        settle_s=max(0.08, rng.gauss(0.15 + 0.9 * clumsy, 0.03)),
        stray_mm=max(1.0, rng.gauss(6.0 + 60.0 * clumsy, 2.0)),
        stray_s=max(0.1, rng.gauss(0.25 + 1.0 * clumsy, 0.05)),
        stand_s=stand_s,
    )


def pressed(
    skill: float,
    seed: int,
    cheat: str | None = None,
    level: Level = LEVEL,
    athlete: Athlete = JUNIOR,
) -> Pressed:
    """What the feet press from the trial's first moment on."""
    rng = Random(seed)
    given = dict(level.task)
    number = {name: given.get(name, field.usual) for name, field in FIELDS.items()}
    stand_s = number["stay_s"] + 0.6
    jumps = [
        jump_of(rng, skill, k < number["kneels"], stand_s) for k in range(round(number["landings"]))
    ]
    if cheat == "one foot":
        jumps = [replace(jump, lag_s=0.17) for jump in jumps]
    elif cheat == "corner":
        jumps = [replace(jump, right_share=0.93, first_foot="right") for jump in jumps]
    elif cheat == "spot":
        jumps = [replace(jump, from_outside=False) for jump in jumps]
    elif cheat == "once":
        jumps = jumps[:1]
    elif cheat == "away":
        jumps = [replace(jump, stand_s=0.5) for jump in jumps]
    jumping = Jumping(athlete, jumps, seed, quiet_s=1.5)
    sampled = jumping.sample(RATE_HZ, seed)
    fl, fr, rl, rr = sampled.loads_n.T
    force = sampled.loads_n.sum(axis=1)
    there = np.where(force > 1.0, force, 1.0)
    x, y = 220.0 * (fr + rr - fl - rl) / there, 220.0 * (fl + fr - rl - rr) / there
    if cheat == "step":
        # Nobody there, then up to the whole weight over half a second, one foot after the other.
        on = force > 1.0
        since = np.zeros(force.size)
        for n in range(1, force.size):
            since[n] = since[n - 1] + 1.0 / RATE_HZ if on[n] else 0.0
        force = np.where(on, jumping.weight_n * np.clip(since / 0.5, 0.0, 1.0), 0.0)
    elif cheat == "rail":
        force = force * 0.875
    first = visits.standing(rng, jumping.weight_n, float(jumping.feet.heel_y_mm + 55.0), 0.8, 1.5)
    rest_s = level.seconds + 1.0 - (force.size + first.force_n.size) / RATE_HZ
    nobody = np.zeros(max(0, round(rest_s * RATE_HZ)))
    return Pressed(
        np.concatenate([first.force_n, force, nobody]),
        np.concatenate([first.x_mm, x, nobody]),
        np.concatenate([first.y_mm, y, nobody]),
    )


def outcome(
    skill: float,
    seed: int,
    cheat: str | None = None,
    level: Level = LEVEL,
    watch: visits.Watch | None = None,
) -> Outcome:
    """The outcome of one trial."""
    athlete = replace(JUNIOR, mass_kg=18.0) if cheat == "light" else JUNIOR
    played = pressed(skill, seed, cheat, level, athlete)
    held_kg = 4.0 if cheat == "prop" else 0.0
    weight_n = visits.weight_of(replace(athlete, mass_kg=athlete.mass_kg + held_kg))
    rng = Random(f"before {seed}")
    before = visits.standing(rng, weight_n, float(played.y_mm[0]), 15.0, 1.5)
    return visits.run_trial(level, visits.feet_of(athlete), before, played, watch)


def play(skill: float, seed: int, cheat: str | None = None) -> float:
    """The mark of one trial."""
    return visits.mark_of(outcome(skill, seed, cheat))
